//! Grain that runs on round the frames: what follows what, which corners do not match, and what it costs; the opening
//! tells the cost.

use std::collections::BTreeMap;

use crate::frame::{Grain, side_name};
use crate::job::{Grains, Job};
use crate::plan::{Part, Plan, Verdict};
use crate::report::document::{
    Document, Kind, Line, Table, Text, Tone, count_of, name, needed_with_unit, say, together, worth,
};
use crate::report::naming::{board_name, copy_name};

/// The section on grain; nothing where no frame asks for any.
pub(super) fn write(doc: &mut Document, plan: &Plan) {
    let job = &plan.job;
    let grains = Grains::new(job);
    let wishes = || (0..job.frames.len()).filter(|&idx| grains.granted(idx) != Grain::Free);
    if wishes().next().is_none() {
        return;
    }
    doc.heading("grain", "Grain round the frames");
    let places = places(plan);
    let marks = plan.marks();
    let mut table = Table::new()
        .column("frame", Kind::Name, Tone::Strong)
        .column("in a row", Kind::Prose, Tone::Plain)
        .column("from", Kind::Prose, Tone::Plain)
        .column("no match at", Kind::Prose, Tone::Watch);
    for frame_idx in wishes() {
        let frame = &job.frames[frame_idx];
        let grain = grains.granted(frame_idx);
        let corners = if grain == Grain::Opposite {
            "any corner".into()
        } else {
            let corners = grain.unmatched_corners(frame.art);
            Text::join(corners.iter().map(|corner| together(&**corner)), ", ")
        };
        for copy in 1..=frame.quantity {
            for (nth, chain) in grain.chains(frame.art).iter().enumerate() {
                let sides = chain
                    .iter()
                    .map(|&side| together(&*side_name(frame.art, side)));
                let first = Part::Rail {
                    frame_idx,
                    copy,
                    side: chain[0],
                };
                let from = places.get(&first).map(|&at| {
                    let of = board_name(job, plan.boards[at].board_idx);
                    let mark = marks.chalked(at).to_string();
                    together(say!("board {}, {}", mark, of))
                });
                let is_first = nth == 0;
                table.row(vec![
                    is_first.then(|| copy_name(frame, copy)).into(),
                    Text::join(sides, ", "),
                    from.unwrap_or_else(|| "missing".into()),
                    is_first.then(|| corners.clone()).into(),
                ]);
            }
        }
    }
    doc.table(table);
    let mut lines: Vec<Line> = wishes()
        .filter(|&frame_idx| grains.granted(frame_idx) != grains.asked(frame_idx))
        .map(|frame_idx| Line::new(Tone::Watch, why_in_pairs(job, &grains, frame_idx)))
        .collect();
    lines.push(Line::new(
        Tone::Faint,
        "Cut the rails of a row one after the other, all the same way round, and write its name on each before the next.",
    ));
    doc.lines(lines);
}

/// The board on which each part lies.
pub(super) fn places(plan: &Plan) -> BTreeMap<Part, usize> {
    let boards = plan.boards.iter().enumerate();
    boards
        .flat_map(|(at, board)| board.cuts().map(move |cut| (cut.part, at)))
        .collect()
}

/// Why a frame comes in pairs: all rails in a row are too long, and what board would do; or there are too few such boards.
fn why_in_pairs(job: &Job, grains: &Grains<'_>, frame_idx: usize) -> Text {
    if grains.fits(frame_idx, grains.asked(frame_idx)) {
        return say!(
            "{}: too few boards are long enough for all its rails in a row, so they come in pairs; else more parts would be missing.",
            name(&job.frames[frame_idx].name)
        );
    }
    let (_, length) = grains.longest_chain(frame_idx, grains.asked(frame_idx));
    say!(
        "{}: no board is long enough for all its rails in a row, so they come in pairs; a board of {} would be.",
        name(&job.frames[frame_idx].name),
        needed_with_unit(length + job.shop.end_trim * 2)
    )
}

/// `5 boards for 73.80 USD (proved best)`.
pub(super) fn in_short(plan: &Plan) -> Text {
    let n_boards = u64::try_from(plan.boards.len()).expect("a count in memory fits 64 bits");
    let proof = match plan.verdict {
        Verdict::Optimal => "proved best",
        _ => "not proved best",
    };
    let n_missing = plan.missing.len();
    let missing = (n_missing > 0).then(|| say!(" with {} missing", n_missing));
    say!(
        "{} for {}{} ({})",
        count_of(n_boards, "board"),
        worth(plan.measure, plan.value),
        missing,
        proof
    )
}

/// What the wish costs beside a plan without it, and what is proved of either.
pub(super) fn what_it_costs(plan: &Plan, without: &Plan, [wish, it]: [&str; 2]) -> Text {
    let difference = if !plan.missing.is_empty() || !without.missing.is_empty() {
        Text::default()
    } else if plan.value == without.value {
        ": it adds nothing to the cost".into()
    } else {
        say!(
            ": it adds {}",
            worth(plan.measure, plan.value - without.value)
        )
    };
    say!(
        "With {} {}; without {} {}{}.",
        wish,
        in_short(plan),
        it,
        in_short(without),
        difference
    )
}

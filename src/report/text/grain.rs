//! Grain that runs on round the frames: what follows what, which corners do not match, and what it costs; the opening
//! tells the cost.

use std::collections::BTreeMap;

use crate::frame::{Grain, side_name};
use crate::job::{Grains, Job};
use crate::plan::{Part, Plan, Verdict};
use crate::report::figures::count_of;
use crate::report::ink::Tone;
use crate::report::layout::{one_line, tie};
use crate::report::naming::copy_name;
use crate::report::table::{Align, Table};

use super::page::Page;

/// The section on grain; nothing where no frame asks for any.
pub(super) fn write(page: &mut Page<'_>, plan: &Plan) {
    let job = &plan.job;
    let grains = Grains::new(job);
    let wishes = || (0..job.frames.len()).filter(|&idx| grains.granted(idx) != Grain::Free);
    if wishes().next().is_none() {
        return;
    }
    page.heading("Grain round the frames");
    let places = places(plan);
    let mut table = Table::new()
        .column("frame", Align::Name, Tone::Strong)
        .column("in a row", Align::Prose, Tone::Plain)
        .column("from", Align::Prose, Tone::Plain)
        .column("no match at", Align::Prose, Tone::Watch);
    for frame_idx in wishes() {
        let frame = &job.frames[frame_idx];
        let grain = grains.granted(frame_idx);
        let corners = if grain == Grain::Opposite {
            "any corner".to_owned()
        } else {
            let corners = grain.unmatched_corners(frame.art);
            let tied: Vec<String> = corners.iter().map(|corner| tie(corner)).collect();
            tied.join(", ")
        };
        for copy in 1..=frame.quantity {
            let name = copy_name(frame, copy);
            for (nth, chain) in grain.chains(frame.art).iter().enumerate() {
                let sides: Vec<String> = chain
                    .iter()
                    .map(|&side| tie(&side_name(frame.art, side)))
                    .collect();
                let first = Part::Rail {
                    frame_idx,
                    copy,
                    side: chain[0],
                };
                let from = places.get(&first).map_or_else(
                    || "missing".to_owned(),
                    |&at| {
                        let board = &plan.boards[at];
                        let name = one_line(&job.boards[board.board_idx].name);
                        tie(&format!("{name}, board {}", board.number))
                    },
                );
                let is_first = nth == 0;
                table.row(vec![
                    if is_first {
                        name.clone()
                    } else {
                        String::new()
                    },
                    sides.join(", "),
                    from,
                    if is_first {
                        corners.clone()
                    } else {
                        String::new()
                    },
                ]);
            }
        }
    }
    page.table(2, &table);
    page.space();
    for frame_idx in wishes() {
        if grains.granted(frame_idx) != grains.asked(frame_idx) {
            write_too_long(page, job, &grains, frame_idx);
        }
    }
    page.prose(
        2,
        Tone::Faint,
        "Cut what stands in a row one after the other, all the same way round, and mark each rail before the next.",
    );
}

/// The board on which each part lies.
fn places(plan: &Plan) -> BTreeMap<Part, usize> {
    let boards = plan.boards.iter().enumerate();
    boards
        .flat_map(|(at, board)| board.cuts().map(move |cut| (cut.part, at)))
        .collect()
}

/// That all rails in a row are too long, and what board would do.
fn write_too_long(page: &mut Page<'_>, job: &Job, grains: &Grains<'_>, frame_idx: usize) {
    let (_, length) = grains.longest_chain(frame_idx, grains.asked(frame_idx));
    let needed = length + job.shop.end_trim * 2;
    let sentence = format!(
        "{}: no board is long enough for all its rails in a row, so they come in pairs; a board of {} would do.",
        one_line(&job.frames[frame_idx].name),
        page.figures.with_unit(&page.figures.needed(needed))
    );
    page.prose(2, Tone::Watch, &sentence);
}

/// What the wish costs beside a plan without it, and what is proved of either.
pub(super) fn what_it_costs(
    page: &Page<'_>,
    plan: &Plan,
    without: &Plan,
    [wish, it]: [&str; 2],
) -> String {
    let worth = |value: i64| page.figures.worth(plan.measure, value);
    let tell = |plan: &Plan| {
        let n_boards = u64::try_from(plan.boards.len()).expect("a count in memory fits 64 bits");
        let proof = match plan.verdict {
            Verdict::Optimal => "proved best",
            _ => "not proved best",
        };
        let missing = if plan.missing.is_empty() {
            String::new()
        } else {
            format!(" with {} missing", plan.missing.len())
        };
        format!(
            "{} for {}{missing} ({proof})",
            count_of(n_boards, "board"),
            worth(plan.value)
        )
    };
    let difference = if !plan.missing.is_empty() || !without.missing.is_empty() {
        String::new()
    } else if plan.value == without.value {
        ": it costs nothing more".to_owned()
    } else {
        format!(": it costs {} more", worth(plan.value - without.value))
    };
    format!(
        "With {wish} {}; without {it} {}{difference}.",
        tell(plan),
        tell(without)
    )
}

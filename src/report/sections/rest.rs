//! At the bench: what changed, then the plan of what is new.

mod glue_up;
mod left;

use crate::frame::{Grain, SheetToCut};
use crate::job::{Grains, Job, SHEET_GOODS_HEAD};
use crate::length::Length;
use crate::plan::{ChalkMark, Part, is_kept, part_label};
use crate::replan::{Again, Bench, Change, Place, Replanned};
use crate::report::document::{
    Block, Document, Kind, Line, Table, Text, Tone, count_of, exact, money, name, needed, say,
    there, together,
};
use crate::report::job_changes::job_changes;
use crate::tally::Summary;

use super::diagram::ranges;
use super::opening::boards_to_buy;
use super::write_new_cuts;
use glue_up::write_glue_up;
use left::write_what_is_left;

/// What changed since the sheet before, and the plan of what is still to be cut beyond what stays.
///
/// # Panics
/// Never, for what `replan` made.
pub fn rest_sheet(rest: &Replanned) -> Document {
    let bench = &rest.bench;
    let (job, sheet, round) = (bench.job(), bench.last(), rest.round());
    let summary = Summary::new(&sheet.plan);
    let mut doc = Document::new(job);
    let title = say!("From here on: {}", name(&job.title));
    doc.blocks.push(Block::Title(title, None));
    let count = |count: usize, noun: &str| {
        let count = u64::try_from(count).expect("a count in memory fits 64 bits");
        count_of(count, noun)
    };
    let boards = sheet.plan.boards.iter();
    let made = bench.made();
    let lead = say!(
        "Plan {}: {} cut and kept, {} spoiled; {} still to be made as before, {} planned anew.",
        bench.sheets().len(),
        count(made.done.len(), "part"),
        count(made.spoiled.len(), "part"),
        count(round.kept.len(), "cut"),
        count(boards.map(|board| board.cuts().count()).sum(), "part"),
    );
    doc.lines(vec![
        Line::new(Tone::Plain, lead),
        Line::new(Tone::Strong, still_to_buy(&summary)),
        Line::new(Tone::Plain, what_changes(rest)),
    ]);
    write_called_off(&mut doc, bench);
    if let Some(text) = sheets_stay(bench) {
        doc.line(Tone::Plain, text);
    }
    write_changed(&mut doc, rest);
    write_spoiled(&mut doc, bench);
    write_sawn_down(&mut doc, bench);
    write_wishes(&mut doc, rest);
    write_in_hand(&mut doc, bench);
    write_unchanged(&mut doc, bench);
    write_glue_up(&mut doc, bench);
    doc.blocks.push(Block::Break);
    if sheet.plan.job.pieces.is_empty() && sheet.plan.job.frames.is_empty() {
        doc.line(
            Tone::Plain,
            "There is nothing to plan: go on with the plans before.",
        );
        write_what_is_left(&mut doc, bench);
        return doc;
    }
    doc.line(
        Tone::Plain,
        "Below is only what is new. Boards of the plans before are paid for and keep their letters; what is hatched on \
         them is cut already, or is cut as before. Letters and numbers of cuts go on from theirs, so that none stands \
         for two. Distances run as they did there: from the near end of the board as it was trimmed before its first cut.",
    );
    write_new_cuts(&mut doc, &summary);
    write_what_is_left(&mut doc, bench);
    doc
}

/// What the newest sheet buys, and for how much; all else is paid for.
fn still_to_buy(summary: &Summary<'_>) -> Text {
    let lines = boards_to_buy(summary);
    if lines.is_empty() {
        return match summary.n_missing {
            0 => "Nothing more is to be bought.".into(),
            missing => say!(
                "{} cannot be cut: there is no board left to buy for what is listed below.",
                count_of(missing, "part")
            ),
        };
    }
    let cost = summary.bought.map(|cost| say!(", for {}", money(cost)));
    let lacks = (summary.n_missing > 0).then(|| {
        say!(
            " Then {} cannot be cut yet, as listed below.",
            count_of(summary.n_missing, "part")
        )
    });
    say!(
        "Still to buy: {}{}.{}",
        Text::join(lines, ", "),
        cost,
        lacks
    )
}

/// What becomes of sheet goods, which are not planned anew; nothing where none of it is planned.
fn sheets_stay(bench: &Bench) -> Option<Text> {
    let first = &bench.sheets()[0];
    if first.materials.is_empty() {
        return None;
    }
    let was = wanted_sheets(&first.job);
    let now = wanted_sheets(bench.job());
    Some(if was == now {
        say!("{} are cut as the first plan says.", SHEET_GOODS_HEAD)
    } else {
        say!(
            "{} are not planned here, and the frames want other pieces than the first plan has: plan the job again for them.",
            SHEET_GOODS_HEAD
        )
    })
}

/// All mats, panes, backings and dust covers in sheets that the frames of a job want, with their sizes.
fn wanted_sheets(job: &Job) -> Vec<(SheetToCut, u32)> {
    let frames = job.frames.iter().enumerate();
    let sheets = frames.flat_map(|(frame_idx, frame)| {
        let sheets = job.sheets_to_cut(frame_idx).into_iter();
        sheets.map(|sheet| (sheet, frame.quantity))
    });
    sheets.collect()
}

/// What papers of the newest sheet must say of the sheets before, as those still lie at the bench: which of their cuts are
/// called off, what was spoiled, and what is still to be cut by them. Nothing where there is only one sheet.
pub fn sheets_before(bench: &Bench) -> Document {
    let mut doc = Document::new(bench.job());
    write_called_off(&mut doc, bench);
    write_spoiled(&mut doc, bench);
    write_sawn_down(&mut doc, bench);
    write_in_hand(&mut doc, bench);
    write_unchanged(&mut doc, bench);
    write_glue_up(&mut doc, bench);
    doc
}

/// What all sheets of a bench leave: what goes on the rack, and what becomes of all the wood.
pub fn left_sheet(bench: &Bench) -> Document {
    let mut doc = Document::new(bench.job());
    write_what_is_left(&mut doc, bench);
    doc
}

/// Cuts of the sheets before that are not to be made any more.
fn write_called_off(doc: &mut Document, bench: &Bench) {
    let called_off = bench.called_off();
    if !called_off.is_empty() {
        let text = say!("Do not cut any more: {}.", labels(bench, &called_off));
        doc.line(Tone::Bad, text);
    }
}

/// A cut as it is chalked: `G-3`.
fn label(bench: &Bench, place: Place) -> String {
    let marks = bench.sheets()[place.sheet].plan.marks();
    marks.cut(place.board, place.strip, place.cut).to_string()
}

/// Cuts as they are chalked, in one line.
fn labels<'p>(bench: &Bench, places: impl IntoIterator<Item = &'p Place>) -> Text {
    let labels = places.into_iter().map(|&place| label(bench, place));
    Text::join(labels.map(|label| together(Text::from(label))), ", ")
}

/// What is another since the sheet before: the job, and what was measured; and what that does to the cuts.
fn write_changed(doc: &mut Document, rest: &Replanned) {
    let (bench, round) = (&rest.bench, rest.round());
    let before = bench.before();
    let mut lines = if round.has_other_job {
        job_changes(before.job(), bench.job())
    } else {
        Vec::new()
    };
    let sticks = bench.sticks();
    for (stick, measured) in &round.measured {
        let at = sticks.iter().position(|known| known == stick);
        let mark = at.and_then(|at| u32::try_from(at).ok()).map(ChalkMark::nth);
        let mark = mark.map(|mark| mark.to_string()).unwrap_or_default();
        if let Some(length) = measured.length {
            lines.push(say!("Board {} is {} long.", mark.clone(), exact(length)));
        }
        for &(from, to) in &measured.knots {
            lines.push(say!(
                "Board {} has a knot from {} to {}.",
                mark.clone(),
                exact(from),
                exact(to)
            ));
        }
    }
    if !rest.misfits.is_empty() {
        lines.push(say!(
            "No longer fit, and are planned anew: {}.",
            labels(bench, &rest.misfits)
        ));
    }
    if !rest.unwanted.is_empty() {
        lines.push(say!(
            "No longer wanted, and not to be cut: {}.",
            labels(bench, &rest.unwanted)
        ));
    }
    let served = before.serving();
    for (&place, &part) in &round.serves {
        let now = part_label(bench.job(), part);
        let was = served
            .get(&place)
            .map(|&part| part_label(before.job(), part));
        // A spare that stands for a rail is told where that is.
        if was.as_ref() == Some(&now) || round.spent.contains_key(&place) {
            continue;
        }
        let was = was.unwrap_or_else(|| bench.part_name(place));
        lines.push(say!(
            "{} was {}, and is now {}.",
            label(bench, place),
            name(&was),
            name(&now)
        ));
    }
    if lines.is_empty() {
        return;
    }
    doc.heading("changed", "What has changed");
    doc.lines(
        lines
            .into_iter()
            .map(|line| Line::new(Tone::Plain, line))
            .collect(),
    );
}

/// What has been spoiled since the sheet before, and what it is cut from now.
fn write_spoiled(doc: &mut Document, bench: &Bench) {
    let spoiled = bench.spoiled();
    let Some(round) = bench.rounds().last().filter(|_| !spoiled.is_empty()) else {
        return;
    };
    doc.heading("spoiled", "Spoiled, to be cut again");
    let mut table = Table::new()
        .column("part", Kind::Name, Tone::Bad)
        .column("was", Kind::Words, Tone::Plain)
        .column("good", Kind::Length, Tone::Plain)
        .column("now", Kind::Words, Tone::Strong)
        .column("length", Kind::Length, Tone::Strong)
        .column("from", Kind::Prose, Tone::Plain);
    for (place, part, again) in spoiled {
        let good = round.marks.spoiled[&place];
        let at = match again {
            Again::At(at) | Again::FromSpare(at) => Some(at),
            Again::Missing | Again::NotWanted => None,
        };
        let from = match again {
            Again::At(at) => name(&bench.stick_name(bench.stick_at(at)).0),
            Again::FromSpare(at) => say!("{}, a spare", name(&bench.part_name(at))),
            Again::Missing => "no wood is left for it".into(),
            Again::NotWanted => "the job no longer wants it".into(),
        };
        let length = at.and_then(|at| {
            let part = *bench.serving().get(&at)?;
            Some(needed(part.length(bench.job())))
        });
        table.row(vec![
            name(&part),
            label(bench, place).into(),
            (good > Length::ZERO).then(|| there(good)).into(),
            at.map(|at| Text::from(label(bench, at))).into(),
            length.into(),
            from,
        ]);
    }
    doc.table(table);
}

/// Spares that stand for a shorter rail, and are still to be cut or have only now come to serve it.
fn write_sawn_down(doc: &mut Document, bench: &Bench) {
    let before = bench.before().spent();
    let open = bench.open();
    let mut lines = Vec::new();
    for (rail, place, _) in bench.spent() {
        let Some(longer) = bench.from_longer(place) else {
            continue;
        };
        let is_new = !before.iter().any(|&(_, at, _)| at == place);
        let (from, to) = (needed(longer.spare_length), needed(longer.rail_length));
        let of = name(&part_label(bench.job(), rail));
        if open.contains(&place) {
            lines.push(say!(
                "{}: cut to {} as a spare, then saw to {} for {}.",
                label(bench, place),
                from,
                to,
                of
            ));
        } else if is_new {
            lines.push(say!(
                "{}: saw the spare from {} to {} for {}.",
                label(bench, place),
                from,
                to,
                of
            ));
        }
    }
    let lines = lines.into_iter();
    doc.lines(lines.map(|line| Line::new(Tone::Watch, line)).collect());
}

/// What single rails that are cut anew keep of the wishes of their frames.
fn write_wishes(doc: &mut Document, rest: &Replanned) {
    let bench = &rest.bench;
    let job = bench.job();
    let grains = Grains::new(job);
    let has_wish =
        |frame_idx| grains.granted(frame_idx) != Grain::Free || job.matches_color(frame_idx);
    let serving = bench.serving();
    let frame_of = |part: Part| match part {
        Part::Rail {
            frame_idx, copy, ..
        } => Some((frame_idx, copy)),
        Part::Loose { .. } => None,
    };
    let newest = bench.rounds().len();
    let (mut near, mut far) = (Vec::new(), Vec::new());
    for (&place, &part) in &serving {
        let Some(frame) = frame_of(part) else {
            continue;
        };
        if place.sheet != newest || bench.is_in_frame(place) || !has_wish(frame.0) {
            continue;
        }
        let mut others = serving
            .iter()
            .filter(|(at, of)| **at != place && frame_of(**of) == Some(frame));
        let stick = bench.stick_at(place);
        let is_near = others.any(|(&at, _)| bench.stick_at(at) == stick);
        if is_near { &mut near } else { &mut far }.push(place);
    }
    let mut lines = Vec::new();
    if !near.is_empty() {
        lines.push(say!(
            "{}: from a board of the same frame, so the color is like it; the grain does not run on.",
            labels(bench, &near)
        ));
    }
    if !far.is_empty() {
        lines.push(say!(
            "{}: from another board than the rest of the frame; choose it by eye for grain and color.",
            labels(bench, &far)
        ));
    }
    doc.lines(
        lines
            .into_iter()
            .map(|line| Line::new(Tone::Watch, line))
            .collect(),
    );
}

/// Parts that were cut and are in no frame, and what becomes of them.
fn write_in_hand(doc: &mut Document, bench: &Bench) {
    let rails = bench.rails_in_hand();
    if rails.is_empty() {
        return;
    }
    doc.heading("in-hand", "Cut, in no frame, and good for a shorter part");
    let mut table = Table::new()
        .column("cut", Kind::Words, Tone::Strong)
        .column("was", Kind::Name, Tone::Plain)
        .column("good", Kind::Length, Tone::Strong)
        .column("", Kind::Prose, Tone::Plain);
    let marks = bench.last().plan.marks();
    for rail in rails {
        let (on_rack, job) = (rail.on_rack, bench.job());
        // The rack has it by its shorter edge, so that is what decides.
        let is_shorter = on_rack < rail.good && on_rack > Length::ZERO;
        let by = |words: &'static str| {
            is_shorter.then(|| say!("{}{} by its shorter edge", words, there(on_rack)))
        };
        table.row(vec![
            label(bench, rail.place).into(),
            name(&bench.part_name(rail.place)),
            there(rail.good),
            match rail.taken {
                Some(board) => say!(
                    "cut again below: chalk {} on it",
                    marks.board(board).to_string()
                ),
                None if is_kept(job, on_rack) => say!("not needed now: keep it{}", by(", ")),
                None => match by("not needed now: ") {
                    Some(by) => say!("{}, too short to keep", by),
                    None => "not needed now, and too short to keep".into(),
                },
            },
        ]);
    }
    doc.table(table);
}

/// The boards on which cuts stay as they were, by the sheets that have them.
fn write_unchanged(doc: &mut Document, bench: &Bench) {
    let kept = bench.rounds().last().map(|round| &round.kept);
    let kept: Vec<Place> = kept.into_iter().flatten().copied().collect();
    if kept.is_empty() {
        return;
    }
    doc.heading("unchanged", "To be cut as before");
    let mut table = Table::new()
        .column("mark", Kind::Words, Tone::Strong)
        .column("board", Kind::Name, Tone::Plain)
        .column("sheet", Kind::Number, Tone::Plain)
        .column("cuts", Kind::Words, Tone::Strong);
    let marks: Vec<_> = bench
        .sheets()
        .iter()
        .map(|sheet| sheet.plan.marks())
        .collect();
    let strip_of = |place: &Place| (place.sheet, place.board, place.strip);
    for cuts in kept.chunk_by(|one, other| strip_of(one) == strip_of(other)) {
        let first = cuts[0];
        let numbers: Vec<u32> = cuts.iter().map(|&place| bench.cut_number(place)).collect();
        table.row(vec![
            marks[first.sheet]
                .strip(first.board, first.strip)
                .to_string()
                .into(),
            name(&bench.stick_name(bench.stick_at(first)).0),
            (first.sheet + 1).into(),
            ranges(&numbers),
        ]);
    }
    doc.table(table);
}

fn what_changes(rest: &Replanned) -> &'static str {
    let all_fit = rest.misfits.is_empty() && rest.unwanted.is_empty();
    match rest.change {
        Change::Nothing if all_fit => "No cut changes its place: changing more would save nothing.",
        Change::Nothing => {
            "Cuts that still fit, and are still wanted, keep their places: changing more would save nothing."
        }
        Change::BegunBoards => {
            "Boards that are begun are cut in another way from here on; boards that are not begun are cut as before."
        }
        Change::TouchedBoards => {
            "Boards that are begun, or on which a cut no longer fits or is no longer wanted, are cut in another way; all other boards are cut as before."
        }
        Change::TouchedWoods => {
            "All boards of the woods of which something is planned anew are cut in another way: that buys less than leaving them as they were. Other woods are cut as before."
        }
        Change::AllBoards => {
            "Boards that are not begun are cut in another way too: that buys less than leaving them as they were."
        }
    }
}

//! After a miscut: what changed, then the plan of what is new.

use crate::plan::{Part, part_label};
use crate::replan::{Change, Place, Replanned};
use crate::report::document::{Block, Document, Kind, Line, Table, Tone, count_of, name, say};
use crate::tally::Summary;

use super::diagram::ranges;
use super::write_new_cuts;

/// What changed since the sheet before, and the plan of what is still to be cut beyond what stays.
///
/// # Panics
/// Never, for what `replan` made.
pub fn rest_sheet(rest: &Replanned) -> Document {
    let bench = &rest.bench;
    let (job, sheet, round) = (bench.job(), bench.last(), rest.round());
    let mut doc = Document::new(job);
    let title = say!("After a miscut: {}", name(&job.title));
    doc.blocks.push(Block::Title(title, None));
    let count = |count: usize, noun: &str| {
        let count = u64::try_from(count).expect("a count in memory fits 64 bits");
        count_of(count, noun)
    };
    let boards = sheet.plan.boards.iter();
    let made = bench.made();
    let lead = say!(
        "Sheet {}: {} cut and kept, {} spoiled; {} still to be made as before, {} planned anew.",
        bench.sheets().len(),
        count(made.done.len(), "part"),
        count(made.spoiled.len(), "part"),
        count(round.kept.len(), "cut"),
        count(boards.map(|board| board.cuts().count()).sum(), "part"),
    );
    doc.lines(vec![
        Line::new(Tone::Plain, lead),
        Line::new(Tone::Plain, what_changes(rest.change)),
    ]);
    write_spoiled(&mut doc, rest);
    write_unchanged(&mut doc, rest);
    doc.blocks.push(Block::Break);
    if sheet.plan.job.pieces.is_empty() {
        doc.line(
            Tone::Plain,
            "There is nothing to plan: go on with the sheets before.",
        );
        return doc;
    }
    doc.line(
        Tone::Plain,
        "Below is only what is new. Boards of the sheets before are paid for and keep their letters; what is hatched on \
         them is cut already, or is cut as before. Letters and numbers of cuts go on from theirs, so that none stands \
         for two. Distances run from the near end of the board as it was before the first cut.",
    );
    write_new_cuts(&mut doc, &Summary::new(&sheet.plan));
    doc
}

/// What has been spoiled since the sheet before, and what it is cut from now.
fn write_spoiled(doc: &mut Document, rest: &Replanned) {
    let (bench, round) = (&rest.bench, rest.round());
    let job = bench.job();
    if round.marks.spoiled.is_empty() {
        return;
    }
    doc.heading("spoiled", "Spoiled, to be cut again");
    let mut table =
        Table::new()
            .column("part", Kind::Name, Tone::Bad)
            .column("from", Kind::Name, Tone::Plain);
    let spoiled: Vec<Part> = round
        .marks
        .spoiled
        .iter()
        .map(|&at| bench.part(at))
        .collect();
    // Rails whose spare was spoiled are wanted again too.
    let again = round.from_spares.iter().map(|&(rail, _)| rail);
    let again: Vec<Part> = again.filter(|rail| !spoiled.contains(rail)).collect();
    for part in spoiled.into_iter().chain(again) {
        let spare = round.from_spares.iter().find(|(rail, _)| *rail == part);
        table.row(vec![
            name(&part_label(job, part)),
            spare.map_or_else(
                || "see below".into(),
                |&(_, spare)| name(&part_label(job, spare)),
            ),
        ]);
    }
    doc.table(table);
}

/// The boards on which cuts stay as they were, by the sheets that have them.
fn write_unchanged(doc: &mut Document, rest: &Replanned) {
    let bench = &rest.bench;
    let kept: Vec<Place> = rest.round().kept.iter().copied().collect();
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
        let stick = bench.stick(first.sheet, first.board);
        let numbers: Vec<u32> = cuts.iter().map(|&place| bench.cut_number(place)).collect();
        table.row(vec![
            marks[first.sheet]
                .strip(first.board, first.strip)
                .to_string()
                .into(),
            name(&bench.job().boards[stick.board_idx].name),
            (first.sheet + 1).into(),
            ranges(&numbers),
        ]);
    }
    doc.table(table);
}

fn what_changes(change: Change) -> &'static str {
    match change {
        Change::Nothing => "No cut changes its place: changing more would save nothing.",
        Change::BegunBoards => {
            "Boards that are begun are cut in another way from here on; boards that are not begun are cut as before."
        }
        Change::AllBoards => {
            "Boards that are not begun are cut in another way too: that buys less than leaving them as they were."
        }
    }
}

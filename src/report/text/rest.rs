//! After a miscut: what changed, then the plan of what is new.

use crate::plan::{Part, part_label};
use crate::replan::{Change, Place, Replanned, Stick};
use crate::report::figures::count_of;
use crate::report::ink::{Look, Tone};
use crate::report::layout::{fit, one_line};
use crate::report::table::{Align, Table};
use crate::tally::Summary;

use super::diagram::ranges;
use super::new_cuts_text;
use super::page::Page;

/// What changed since the sheet before, and the plan of what is still to be cut beyond what stays.
///
/// # Panics
/// Never, for what `replan` made.
pub fn rest_text(rest: &Replanned, look: Look) -> String {
    let bench = &rest.bench;
    let (job, sheet, round) = (bench.job(), bench.last(), rest.round());
    let mut page = Page::new(job, look);
    let title = fit(
        &format!("After a miscut: {}", one_line(&job.title)),
        page.width,
        page.ink,
    );
    let title = page.ink.paint(Tone::Strong, &title);
    page.line(&title);
    page.space();
    let count = |count: usize, noun: &str| {
        let count = u64::try_from(count).expect("a count in memory fits 64 bits");
        count_of(count, noun)
    };
    let n_new: usize = sheet
        .plan
        .boards
        .iter()
        .map(|board| board.cuts().count())
        .sum();
    let made = bench.made();
    let lead = format!(
        "Sheet {}: {} cut and kept, {} spoiled; {} as before, {} planned anew.",
        bench.sheets().len(),
        count(made.done.len(), "part"),
        count(made.spoiled.len(), "part"),
        count(round.kept.len(), "cut"),
        count(n_new, "part"),
    );
    page.prose(0, Tone::Plain, &lead);
    page.prose(0, Tone::Plain, what_changes(rest.change));
    write_spoiled(&mut page, rest);
    write_unchanged(&mut page, rest);
    page.space();
    let mut text = page.into_text();
    if sheet.plan.job.pieces.is_empty() {
        text.push_str("Nothing is to be planned: go on by the sheets before.\n");
        return text;
    }
    text.push_str(
        "Below is only what is new. Boards of the sheets before are paid for and keep\n\
         their names; what is hatched on them is cut already, or stays as it was. Numbers\n\
         of cuts and boards go on from theirs, so that none stands for two. Distances run\n\
         from the near end of the board as it was before the first cut.\n\n",
    );
    let summary = Summary::new(&sheet.plan);
    text.push_str(&new_cuts_text(&sheet.plan, &summary, look));
    text
}

/// What has been spoiled since the sheet before, and what it is cut from now.
fn write_spoiled(page: &mut Page<'_>, rest: &Replanned) {
    let (bench, round) = (&rest.bench, rest.round());
    let job = bench.job();
    if round.marks.spoiled.is_empty() {
        return;
    }
    page.heading("Spoiled, to be cut again");
    let mut table = Table::new().column("part", Align::Name, Tone::Bad).column(
        "from",
        Align::Name,
        Tone::Plain,
    );
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
        let from = match spare {
            Some(&(_, spare)) => one_line(&part_label(job, spare)),
            None => "see below".to_owned(),
        };
        table.row(vec![one_line(&part_label(job, part)), from]);
    }
    page.table(2, &table);
}

/// The boards on which cuts stay as they were, by the sheets that have them.
fn write_unchanged(page: &mut Page<'_>, rest: &Replanned) {
    let bench = &rest.bench;
    let kept: Vec<Place> = rest.round().kept.iter().copied().collect();
    if kept.is_empty() {
        return;
    }
    page.heading("To be cut as before");
    let mut table = Table::new()
        .column("board", Align::Name, Tone::Strong)
        .column("sheet", Align::Right, Tone::Plain)
        .column("pattern", Align::Right, Tone::Plain)
        .column("cuts", Align::Left, Tone::Plain);
    let strip_of = |place: &Place| (place.sheet, place.board, place.strip);
    for cuts in kept.chunk_by(|one, other| strip_of(one) == strip_of(other)) {
        let board = &bench.sheets()[cuts[0].sheet].plan.boards[cuts[0].board];
        let stick = bench.stick(cuts[0].sheet, cuts[0].board);
        let numbers: Vec<u32> = cuts.iter().map(|&place| bench.cut_number(place)).collect();
        let mut name = stick_label(rest, stick);
        if board.strips.len() > 1 || bench.strip(cuts[0]) > 0 {
            name = format!("{name} strip {}", bench.strip(cuts[0]) + 1);
        }
        table.row(vec![
            name,
            (cuts[0].sheet + 1).to_string(),
            board.pattern.to_string(),
            ranges(&numbers, page.ink.to()),
        ]);
    }
    page.table(2, &table);
}

fn stick_label(rest: &Replanned, stick: Stick) -> String {
    let board = &rest.bench.job().boards[stick.board_idx];
    one_line(&board.numbered(stick.number))
}

fn what_changes(change: Change) -> &'static str {
    match change {
        Change::Nothing => "No cut changes its place: to change more would save nothing.",
        Change::BegunBoards => {
            "Begun boards are cut otherwise from here on; boards that are not begun stay as they were."
        }
        Change::AllBoards => {
            "Boards that are not begun are cut otherwise too, for that buys less than to leave them."
        }
    }
}

//! After a miscut: what changed, then the plan of what is new.

use crate::job::Job;
use crate::plan::{Plan, part_label};
use crate::replan::{Change, Replanned};
use crate::report::figures::count_of;
use crate::report::ink::{Look, Tone};
use crate::report::layout::{fit, one_line};
use crate::report::summary::Summary;
use crate::report::table::{Align, Table};

use super::new_cuts_text;
use super::page::Page;

/// What changed since the plan `old` of `job`, and the plan of what is still to be cut beyond what stays.
///
/// # Panics
/// If `old` is not a plan of `job`, or the rest not that plan's.
pub fn rest_text(job: &Job, old: &Plan, rest: &Replanned, look: Look) -> String {
    let mut page = Page::new(job, look);
    let title = fit(
        &format!("After a miscut: {}", one_line(&job.title)),
        page.width,
        page.ink,
    );
    let title = page.ink.paint(Tone::Strong, &title);
    page.line(&title);
    page.space();
    let n = |count: usize| u64::try_from(count).expect("a count in memory fits 64 bits");
    let lead = format!(
        "{} cut and kept, {} spoiled; {} as the old plan has them, {} planned anew.",
        count_of(n(rest.done.len()), "part"),
        count_of(n(rest.spoiled.len()), "rail"),
        count_of(n(rest.kept.len()), "cut"),
        count_of(
            n(rest
                .planned
                .plan
                .boards
                .iter()
                .map(|board| board.cuts().count())
                .sum()),
            "part"
        )
    );
    page.prose(0, Tone::Plain, &lead);
    page.prose(0, Tone::Plain, what_changes(rest.change));
    if !rest.spoiled.is_empty() {
        page.heading("Spoiled, to be cut again");
        let mut table = Table::new().column("part", Align::Name, Tone::Bad).column(
            "from",
            Align::Name,
            Tone::Plain,
        );
        for &part in &rest.spoiled {
            let spare = rest.from_spares.iter().find(|(rail, _)| *rail == part);
            let from = match spare {
                Some(&(_, spare)) => one_line(&part_label(job, spare)),
                None => "see below".to_owned(),
            };
            table.row(vec![one_line(&part_label(job, part)), from]);
        }
        page.table(2, &table);
    }
    write_unchanged(&mut page, job, old, rest);
    page.space();
    let mut text = page.into_text();
    if rest.job.pieces.is_empty() {
        text.push_str("Nothing is to be planned: go on by the old plan.\n");
        return text;
    }
    text.push_str(
        "Below is only what is new. Boards of the old plan are paid for and keep their\n\
         names; what is hatched on them is cut already, or stays as the old plan has it.\n\
         Distances run from the near end of the board as it was before the first cut.\n\n",
    );
    let summary = Summary::new(&rest.job, &rest.planned.plan);
    text.push_str(&new_cuts_text(
        &rest.job,
        &rest.planned.plan,
        &summary,
        look,
    ));
    text
}

fn what_changes(change: Change) -> &'static str {
    match change {
        Change::Nothing => {
            "No cut of the old plan changes its place: to change more would save nothing."
        }
        Change::BegunBoards => {
            "Begun boards are cut otherwise from here on; boards that are not begun stay as they were."
        }
        Change::AllBoards => {
            "Boards that are not begun are cut otherwise too, for that buys less than to leave them."
        }
    }
}

/// The boards on which cuts stay as they were.
fn write_unchanged(page: &mut Page<'_>, job: &Job, old: &Plan, rest: &Replanned) {
    if rest.kept.is_empty() {
        return;
    }
    page.heading("To be cut as the old plan has it");
    let mut table = Table::new()
        .column("board", Align::Name, Tone::Strong)
        .column("pattern", Align::Right, Tone::Plain)
        .column("cuts", Align::Right, Tone::Plain);
    for (position, board) in old.boards.iter().enumerate() {
        let count = rest
            .kept
            .iter()
            .filter(|place| place.board == position)
            .count();
        if count > 0 {
            let name = &job.boards[board.board_idx].name;
            table.row(vec![
                one_line(&format!("{name} #{}", board.number)),
                board.pattern.to_string(),
                count.to_string(),
            ]);
        }
    }
    page.table(2, &table);
}

//! The resaw list, which comes before the rip list.

use crate::length::Length;
use crate::plan::Plan;
use crate::report::document::{
    Document, Kind, Table, Text, Tone, exact, listed, needed, say, there_with_unit, together,
};
use crate::tally::{Resawing, Summary};

pub(super) fn write(doc: &mut Document, summary: &Summary<'_>) {
    let Some((how, table)) = settings(summary) else {
        return;
    };
    doc.heading("resaws", "Where to resaw");
    doc.line(Tone::Faint, how);
    doc.table(table);
}

/// How to resaw, and a row for each setting; `None` where nothing is resawn.
pub(super) fn settings(summary: &Summary<'_>) -> Option<(Text, Table)> {
    let plan = summary.plan;
    let rip = plan.job.shop.rip.filter(|_| !summary.resaws.is_empty());
    let resaw = rip.and_then(|rip| rip.resaw)?;
    let mut how = say!(
        "Flatten one face and run it along the fence, which is set to the thickness of the slice. Resaw kerf {}",
        exact(resaw.kerf)
    );
    if resaw.planing > Length::ZERO {
        how.push(say!(
            "; {} of each slice is there to be planed away",
            exact(resaw.planing)
        ));
    }
    how.push(". Every slice is a board of its own from then on.");
    let mut table = Table::new()
        .column("fence", Kind::Length, Tone::Strong)
        .column("plane to", Kind::Length, Tone::Strong)
        .column("slices", Kind::Number, Tone::Strong)
        .column("from boards", Kind::Prose, Tone::Plain);
    for resawing in &summary.resaws {
        table.row(vec![
            needed(resawing.set_to),
            needed(resawing.thickness),
            resawing.n_slices.into(),
            boards(plan, resawing),
        ]);
    }
    Some((how, table))
}

/// The boards of one setting, with their thickness and how many slices each gives.
fn boards(plan: &Plan, resawing: &Resawing) -> Text {
    let marks = plan.marks();
    let boards = resawing.boards.iter().map(|&(at, n_slices)| {
        let board = &plan.job.boards[plan.boards[at].board_idx];
        let thick = board
            .thickness
            .map(|thick| say!(", {}", there_with_unit(thick)));
        together(say!(
            "{}\u{a0}{}{} ×{}",
            marks.chalked(at).to_string(),
            listed(&board.name),
            thick,
            n_slices
        ))
    });
    Text::join(boards, " · ")
}

//! The rip list, which comes before the cutting diagram.

use std::collections::BTreeMap;

use crate::length::Length;
use crate::plan::{Plan, PlannedBoard};
use crate::report::document::{
    Document, Kind, Table, Text, Tone, exact, listed, name, needed, say, there_with_unit, together,
};
use crate::report::naming::stick_mark;
use crate::tally::{Fence, RippedStick, Summary};

use super::boards::made_into;

pub(super) fn write(doc: &mut Document, summary: &Summary<'_>) {
    let plan = summary.plan;
    let job = &plan.job;
    let Some(rip) = job.shop.rip.filter(|_| !summary.fences.is_empty()) else {
        return;
    };
    doc.heading("rips", "Where to rip");
    let mut how = say!(
        "Straighten one edge and run it along the fence; the fence is set to the width of the strip. Rip kerf {}",
        exact(rip.kerf)
    );
    if rip.straightening > Length::ZERO {
        let lost = exact(rip.straightening);
        how.push(say!(
            "; this plan takes {} of the width as lost to straightening both edges",
            lost
        ));
    }
    if rip.planing > Length::ZERO {
        how.push(say!(
            "; {} of each strip is there to be planed away",
            exact(rip.planing)
        ));
    }
    how.push(".");
    doc.line(Tone::Faint, how);
    let mut table = Table::new()
        .column("fence", Kind::Length, Tone::Strong)
        .column("strips", Kind::Number, Tone::Strong)
        .column("for", Kind::Prose, Tone::Plain)
        .column("from boards", Kind::Prose, Tone::Plain);
    for fence in &summary.fences {
        let mouldings = fence.moulding_indices.iter();
        table.row(vec![
            needed(fence.width),
            fence.n_strips.into(),
            Text::join(mouldings.map(|&idx| together(made_into(job, idx))), ", "),
            boards(plan, fence),
        ]);
    }
    doc.table(table);
    write_planing_down(doc, plan);
}

/// The boards of one setting, with how many strips each gives where that is more than one.
fn boards(plan: &Plan, fence: &Fence) -> Text {
    let marks = plan.marks();
    let boards = fence.boards.iter().map(|stick| {
        let RippedStick {
            board: at,
            stretch,
            n_strips,
        } = *stick;
        let planned = &plan.boards[at];
        let board = &plan.job.boards[planned.board_idx];
        let mark = stick_mark(&marks, planned, at, stretch);
        let count = (n_strips > 1).then(|| say!(" ×{}", n_strips));
        // What was left of a board is told apart by the end of its name, so that is never cut off.
        if board.given.is_piece {
            return say!("{}\u{a0}{}{}", mark, name(&board.name), count);
        }
        together(say!("{}\u{a0}{}{}", mark, listed(&board.name), count))
    });
    Text::join(boards, " · ")
}

/// Which mouldings are cut from boards thicker than they are.
fn write_planing_down(doc: &mut Document, plan: &Plan) {
    let job = &plan.job;
    let mut by_thickness: BTreeMap<(Length, Length), Vec<Text>> = BTreeMap::new();
    for (idx, moulding) in job.mouldings.iter().enumerate() {
        let Some(thickness) = moulding.thickness else {
            continue;
        };
        let thickest = plan
            .boards
            .iter()
            .filter(|board| is_for(board, idx))
            .filter_map(|board| board.resawn.or(job.boards[board.board_idx].thickness))
            .max()
            .filter(|&thickest| thickest > thickness);
        if let Some(thickest) = thickest {
            by_thickness
                .entry((thickness, thickest))
                .or_default()
                .push(together(name(&moulding.name)));
        }
    }
    for ((thickness, thickest), names) in by_thickness {
        let text = say!(
            "Plane to {} thick: the strips for {}, from boards up to {} thick.",
            there_with_unit(thickness),
            Text::join(names, ", "),
            there_with_unit(thickest)
        );
        doc.line(Tone::Plain, text);
    }
}

fn is_for(board: &PlannedBoard, moulding_idx: usize) -> bool {
    board
        .strips
        .iter()
        .any(|strip| strip.moulding_idx == Some(moulding_idx))
}

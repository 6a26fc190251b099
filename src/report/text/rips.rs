//! The rip list, which comes before the cutting diagram.

use std::collections::BTreeMap;

use crate::length::Length;
use crate::plan::{Plan, PlannedBoard};
use crate::report::ink::Tone;
use crate::report::layout::{fit, one_line, tie};
use crate::report::table::{Align, Table};
use crate::tally::{Fence, Summary};

use super::boards::made_into;
use super::page::Page;

/// Columns for a board's name within the list of boards at one setting.
const NAME_WIDTH: usize = 30;

pub(super) fn write(page: &mut Page<'_>, plan: &Plan, summary: &Summary) {
    let job = &plan.job;
    let Some(rip) = job.shop.rip.filter(|_| !summary.fences.is_empty()) else {
        return;
    };
    page.heading("Where to rip");
    let figures = &page.figures;
    let mut how = vec![format!(
        "Straighten one edge and run it along the fence; the fence is set to the width of the strip. Rip kerf {}",
        figures.exact(rip.kerf)
    )];
    if rip.straightening > Length::ZERO {
        how.push(format!(
            "{} of width is reckoned lost to straightening both edges",
            figures.exact(rip.straightening)
        ));
    }
    if rip.planing > Length::ZERO {
        how.push(format!(
            "{} of each strip is there to be planed off",
            figures.exact(rip.planing)
        ));
    }
    let how = format!("{}.", how.join("; "));
    page.prose(2, Tone::Faint, &how);
    page.space();
    let mut table = Table::new()
        .column("fence", Align::Figure, Tone::Strong)
        .column("strips", Align::Right, Tone::Strong)
        .column("for", Align::Prose, Tone::Plain)
        .column("from boards", Align::Prose, Tone::Plain);
    for fence in &summary.fences {
        let mouldings: Vec<String> = fence
            .moulding_indices
            .iter()
            .map(|&idx| tie(&made_into(job, idx)))
            .collect();
        table.row(vec![
            page.figures.needed(fence.width),
            fence.n_strips.to_string(),
            mouldings.join(", "),
            boards(page, plan, fence),
        ]);
    }
    page.table(2, &table);
    write_planing_down(page, plan);
}

/// The boards of one setting, with how many strips each gives where that is more than one.
fn boards(page: &Page<'_>, plan: &Plan, fence: &Fence) -> String {
    let job = &plan.job;
    let names: Vec<String> = fence
        .boards
        .iter()
        .map(|&(at, n_strips)| {
            let board = &plan.boards[at];
            let name = fit(
                &one_line(&job.boards[board.board_idx].name),
                NAME_WIDTH,
                page.ink,
            );
            let number = if job.boards[board.board_idx].quantity == Some(1) {
                String::new()
            } else {
                format!(" #{}", board.number)
            };
            let count = if n_strips > 1 {
                format!(" {}{n_strips}", page.ink.times())
            } else {
                String::new()
            };
            tie(&format!("{name}{number}{count}"))
        })
        .collect();
    names.join(page.ink.dot())
}

/// Which mouldings are cut from boards thicker than they are.
fn write_planing_down(page: &mut Page<'_>, plan: &Plan) {
    let job = &plan.job;
    let mut by_thickness: BTreeMap<(Length, Length), Vec<String>> = BTreeMap::new();
    for (idx, moulding) in job.mouldings.iter().enumerate() {
        let Some(thickness) = moulding.thickness else {
            continue;
        };
        let thickest = plan
            .boards
            .iter()
            .filter(|board| is_for(board, idx))
            .filter_map(|board| job.boards[board.board_idx].thickness)
            .max()
            .filter(|&thickest| thickest > thickness);
        if let Some(thickest) = thickest {
            by_thickness
                .entry((thickness, thickest))
                .or_default()
                .push(tie(&one_line(&moulding.name)));
        }
    }
    for ((thickness, thickest), names) in by_thickness {
        page.space();
        let text = format!(
            "Plane to {} thick: the strips for {}, from boards up to {} thick.",
            page.figures.with_unit(&page.figures.there(thickness)),
            names.join(", "),
            page.figures.with_unit(&page.figures.there(thickest))
        );
        page.prose(2, Tone::Plain, &text);
    }
}

fn is_for(board: &PlannedBoard, moulding_idx: usize) -> bool {
    board
        .strips
        .iter()
        .any(|strip| strip.moulding_idx == Some(moulding_idx))
}

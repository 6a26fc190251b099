//! The list of cuts below each drawing.

use crate::job::Job;
use crate::length::Length;
use crate::plan::{
    Gap, Part, Plan, PlannedBoard, PlannedStrip, SpareOffcut, defects_on, gaps, is_kept,
};
use crate::report::ink::Tone;
use crate::report::naming::name_together;
use crate::report::table::{Align, Table};
use crate::stock::Across;
use crate::tally::Chains;
use crate::tally::any_turned;

use super::page::Page;

/// Every cut of boards that are cut alike: its stop block, its place and the name of each part.
///
/// Where any board of the plan is ripped, the strip stands before the cut.
pub(super) fn cut_list(
    page: &Page<'_>,
    job: &Job,
    boards: &[PlannedBoard],
    columns: &Columns,
) -> Table {
    let mark_head = if boards.len() > 1 {
        "marks, board by board"
    } else {
        "mark"
    };
    let mut table = Table::new();
    if columns.strip {
        table = table.column("strip", Align::Right, Tone::Strong);
    }
    table = table
        .column("cut", Align::Right, Tone::Strong)
        .column("stop block", Align::Figure, Tone::Strong)
        .column("ends", Align::Left, Tone::Plain);
    if columns.outer {
        table = table.column("outer", Align::Left, Tone::Strong);
    }
    table =
        table
            .column("from", Align::Figure, Tone::Faint)
            .column("to", Align::Figure, Tone::Plain);
    if columns.chains.is_some() {
        table = table.column("in a row", Align::Left, Tone::Strong);
    }
    table = table.column(mark_head, Align::Prose, Tone::Plain);
    for strip_idx in 0..boards[0].strips.len() {
        for mut row in strip_rows(page, job, boards, strip_idx, columns) {
            if columns.strip {
                row.insert(0, (strip_idx + 1).to_string());
            }
            table.row(row);
        }
    }
    table
}

/// The columns of the cut lists that not every plan needs; all lists of a plan have the same.
pub(super) struct Columns {
    /// On which strip.
    strip: bool,
    /// Where the outer edge lies.
    outer: bool,
    /// Places in rows of rails.
    chains: Option<Chains>,
    /// Where spare offcuts begin: line of boards, number, strip, and place along it.
    spare_offcuts: Vec<(usize, u32, usize, Length)>,
}

impl Columns {
    pub(super) fn new(plan: &Plan, any_ripped: bool) -> Columns {
        let job = &plan.job;
        let chains = Chains::new(job);
        let mut cuts = plan.boards.iter().flat_map(PlannedBoard::cuts);
        let any_chain = cuts.any(|cut| chains.place(cut.part).is_some());
        let spare_offcut = |spare: &SpareOffcut| {
            let board = &plan.boards[spare.board];
            (board.board_idx, board.number, spare.strip, spare.from)
        };
        Columns {
            strip: any_ripped,
            outer: any_turned(plan),
            chains: any_chain.then_some(chains),
            spare_offcuts: plan.spare_offcuts.iter().map(spare_offcut).collect(),
        }
    }

    /// What becomes of a piece that is left.
    fn fate(
        &self,
        planned: &PlannedBoard,
        strip_idx: usize,
        gap: &Gap,
        is_kept: bool,
    ) -> &'static str {
        let is_spare = self
            .spare_offcuts
            .iter()
            .any(|&(board_idx, number, strip, from)| {
                (board_idx, number, strip) == (planned.board_idx, planned.number, strip_idx)
                    && (gap.from..gap.to).contains(&from)
            });
        match (is_spare, is_kept) {
            (true, _) => "the spare offcut",
            (false, true) => "back to the rack",
            (false, false) => "scrap",
        }
    }
}

/// The rows for a strip, on each of the boards that are cut alike: its cuts, its defects and what is left, from the near
/// end to the far one.
fn strip_rows(
    page: &Page<'_>,
    job: &Job,
    boards: &[PlannedBoard],
    strip_idx: usize,
    columns: &Columns,
) -> Vec<Vec<String>> {
    // The same strip of every board; boards cut alike have as many.
    let strips: Vec<&PlannedStrip> = boards
        .iter()
        .map(|board| &board.strips[strip_idx])
        .collect();
    let figures = &page.figures;
    let first = strips[0];
    // No mark takes more of the line than this, so that copy and side stay beside the name.
    let name_width = page.width / 4;
    let place = |at: Length| figures.place(at - job.shop.end_trim);
    let defects = defects_on(job, &boards[0], strip_idx);
    let is_gone = |from: Length| {
        let mut of_board = job.boards[boards[0].board_idx].defects.iter();
        of_board.any(|defect| defect.from == from && defect.across == Across::Gone)
    };
    let mut rows: Vec<(Length, Vec<String>)> = Vec::new();
    let mut idx = 0;
    while idx < first.cuts.len() {
        // A row does not run over a defect.
        let stop = defects
            .iter()
            .map(|&(from, _)| from)
            .find(|&from| from >= first.cuts[idx].to);
        let mut last = last_alike(&strips, idx);
        while stop.is_some_and(|stop| first.cuts[last].to > stop) {
            last -= 1;
        }
        let number = if last > idx {
            let numbers = [idx, last].map(|cut| number_of_cut(job, &boards[0], cut));
            format!("{}{}{}", numbers[0], page.ink.to(), numbers[1])
        } else {
            number_of_cut(job, &boards[0], idx).to_string()
        };
        let parts: Vec<Part> = strips
            .iter()
            .flat_map(|strip| &strip.cuts[idx..=last])
            .map(|cut| cut.part)
            .collect();
        let cut = &first.cuts[idx];
        let mut row = vec![
            number,
            figures.needed(cut.to - cut.from),
            figures.miter(cut.part.miter(job)),
            place(cut.from),
            place(first.cuts[last].to),
        ];
        if columns.outer {
            let edge = match (first.cuts.iter().any(|cut| cut.turned), cut.turned) {
                (false, _) => "",
                (true, false) => "on top",
                (true, true) => "below",
            };
            row.insert(3, edge.to_owned());
        }
        if let Some(chains) = &columns.chains {
            let place = chains.place(cut.part);
            row.push(place.map_or_else(String::new, |(place, of)| format!("{place} of {of}")));
        }
        row.push(name_together(job, &parts, name_width, page.ink));
        rows.push((cut.from, row));
        idx = last + 1;
    }
    for (from, to) in defects {
        let mut row = vec!["skip".to_owned(), String::new(), String::new()];
        row.resize(3 + usize::from(columns.outer), String::new());
        row.extend([place(from), place(to)]);
        if columns.chains.is_some() {
            row.push(String::new());
        }
        row.push(if is_gone(from) {
            "taken already".to_owned()
        } else {
            "defect".to_owned()
        });
        rows.push((from, row));
    }
    for gap in gaps(job, &boards[0], strip_idx) {
        let is_kept = is_kept(job, gap.clear);
        // What is too short before and between cuts is no piece of its own.
        if is_kept || gap.is_last {
            let fate = columns.fate(&boards[0], strip_idx, &gap, is_kept);
            let mut row = vec!["left".to_owned(), figures.there(gap.between_trims)];
            let n_more = usize::from(columns.outer) + usize::from(columns.chains.is_some());
            row.resize(5 + n_more, String::new());
            row.push(fate.to_owned());
            rows.push((gap.from, row));
        }
    }
    rows.sort_by_key(|&(from, _)| from);
    rows.into_iter().map(|(_, row)| row).collect()
}

/// The number of a cut on its strip: an earlier plan of the same job may have numbered some before.
pub(super) fn number_of_cut(job: &Job, planned: &PlannedBoard, cut_idx: usize) -> usize {
    let before = job.boards[planned.board_idx].given.cuts;
    cut_idx + 1 + usize::try_from(before).expect("load caps the number of parts")
}

/// The last of the cuts from `idx` on that are pieces of one line on every board: they share a row.
fn last_alike(strips: &[&PlannedStrip], idx: usize) -> usize {
    let piece_at = |strip: &PlannedStrip, at: usize| match strip.cuts.get(at).map(|cut| cut.part) {
        Some(Part::Loose { piece_idx, .. }) => Some(piece_idx),
        _ => None,
    };
    let Some(piece_idx) = piece_at(strips[0], idx) else {
        return idx;
    };
    let alike = |at: usize| {
        // Turned pieces of a run lie by turns, so each has a row of its own.
        strips.iter().all(|strip| {
            piece_at(strip, at) == Some(piece_idx)
                && strip.cuts[at].turned == strip.cuts[idx].turned
        })
    };
    if !alike(idx) {
        return idx;
    }
    let mut last = idx;
    while alike(last + 1) {
        last += 1;
    }
    last
}

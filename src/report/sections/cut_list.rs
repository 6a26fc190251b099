//! The list of cuts below each drawing.

use std::ops::Range;

use crate::frame::Miter;
use crate::job::Job;
use crate::plan::{Part, Plan, PlannedBoard, PlannedStrip};
use crate::report::document::{
    Inline, Kind, Table, Text, Tone, needed, place, place_to, say, there,
};
use crate::report::naming::{fate_words, name_together};
use crate::stations::{is_measured_elsewhere, stop_figure};
use crate::tally::{Chains, Course, any_turned, course};

/// Every cut of boards that are cut alike: its stop block, its place and the name of each part.
///
/// Where any board of the plan is ripped, the strip stands before the cut, by the labels in `strips`.
pub(super) fn cut_list(
    plan: &Plan,
    positions: Range<usize>,
    strips: &[Text],
    columns: &Columns,
) -> Table {
    let mark_head = if positions.len() > 1 {
        "part, board by board"
    } else {
        "part"
    };
    let mut table = Table::new();
    if columns.strip {
        table = table.column(columns.strip_head, Kind::Number, Tone::Strong);
    }
    table = table
        .column("cut", Kind::Number, Tone::Strong)
        .column("stop block", Kind::Length, Tone::Strong)
        .column("ends", Kind::Words, Tone::Plain);
    if columns.outer {
        table = table.column("outer", Kind::Words, Tone::Strong);
    }
    table = table
        .column("from", Kind::Length, Tone::Faint)
        .column("to", Kind::Length, Tone::Plain);
    if columns.chains.is_some() {
        table = table.column("in a row", Kind::Words, Tone::Strong);
    }
    table = table.column(mark_head, Kind::Prose, Tone::Plain);
    for (strip_idx, strip) in strips.iter().enumerate() {
        for row in strip_rows(plan, positions.clone(), strip_idx, columns) {
            table.row(row.cells(strip, columns));
        }
    }
    table
}

/// One row of a list of cuts, whichever columns are shown.
#[derive(Default)]
struct Row {
    cut: Text,
    stop_block: Text,
    ends: Text,
    outer: Text,
    from: Text,
    to: Text,
    grain: Text,
    mark: Text,
}

impl Row {
    fn cells(self, strip: &Text, columns: &Columns) -> Vec<Text> {
        let cells = [
            columns.strip.then(|| strip.clone()),
            Some(self.cut),
            Some(self.stop_block),
            Some(self.ends),
            columns.outer.then_some(self.outer),
            Some(self.from),
            Some(self.to),
            columns.chains.as_ref().map(|_| self.grain),
            Some(self.mark),
        ];
        cells.into_iter().flatten().collect()
    }
}

/// The columns of the cut lists that not every plan needs; all lists of a plan have the same.
pub(super) struct Columns {
    /// On which strip.
    strip: bool,
    /// What the strips are called.
    strip_head: &'static str,
    /// Where the outer edge lies.
    outer: bool,
    /// Places in rows of rails.
    chains: Option<Chains>,
}

impl Columns {
    pub(super) fn new(plan: &Plan, any_ripped: bool) -> Columns {
        let job = &plan.job;
        let any_parted = plan.boards.iter().any(PlannedBoard::is_parted);
        let any_resawn = plan.boards.iter().any(|board| board.resawn.is_some());
        let chains = Chains::new(job);
        let mut cuts = plan.boards.iter().flat_map(PlannedBoard::cuts);
        let any_chain = cuts.any(|cut| chains.place(cut.part).is_some());
        Columns {
            strip: any_ripped || any_parted,
            strip_head: if any_ripped || any_resawn {
                "strip"
            } else {
                "stretch"
            },
            outer: any_turned(plan),
            chains: any_chain.then_some(chains),
        }
    }
}

/// The rows for a strip, on each of the boards that are cut alike: its cuts, its defects and what is left, from the near
/// end to the far one.
fn strip_rows(
    plan: &Plan,
    positions: Range<usize>,
    strip_idx: usize,
    columns: &Columns,
) -> Vec<Row> {
    let job = &plan.job;
    let course = course(plan, positions.start, strip_idx);
    let boards = &plan.boards[positions];
    // The same strip of every board; boards cut alike have as many.
    let strips: Vec<&PlannedStrip> = boards
        .iter()
        .map(|board| &board.strips[strip_idx])
        .collect();
    let mut rows: Vec<Row> = Vec::new();
    let mut at = 0;
    while at < course.len() {
        let is_cut = |course: &&Course| matches!(course, Course::Cut(_));
        match course[at] {
            Course::Cut(idx) => {
                // A row does not run over a defect.
                let n_cuts = course[at..].iter().take_while(is_cut).count();
                let last = last_alike(&strips, idx).min(idx + n_cuts - 1);
                rows.push(cut_row(job, boards, strip_idx, (idx, last), columns));
                at += last - idx;
            }
            Course::Skip { from, to, is_gone } => rows.push(Row {
                cut: "skip".into(),
                from: place(from - job.shop.end_trim),
                to: place(to - job.shop.end_trim),
                mark: if is_gone { "other plan" } else { "defect" }.into(),
                ..Row::default()
            }),
            Course::Left { gap, fate } => rows.push(Row {
                cut: "left".into(),
                stop_block: there(gap.between_trims),
                mark: say!(
                    "{}{}",
                    fate_words(fate),
                    (gap.clear < gap.between_trims)
                        .then(|| say!(", {} clear of defects", there(gap.clear)))
                ),
                ..Row::default()
            }),
        }
        at += 1;
    }
    rows
}

/// The row for cuts of a strip that are alike, from the first to the last, on each of the boards.
fn cut_row(
    job: &Job,
    boards: &[PlannedBoard],
    strip_idx: usize,
    (idx, last): (usize, usize),
    columns: &Columns,
) -> Row {
    let first = &boards[0].strips[strip_idx];
    let number = |cut: usize| boards[0].cut_number(job, cut);
    let parts: Vec<Part> = boards
        .iter()
        .flat_map(|board| &board.strips[strip_idx].cuts[idx..=last])
        .map(|cut| cut.part)
        .collect();
    let cut = &first.cuts[idx];
    let miter = cut.part.miter(job);
    let stop = stop_figure(job, &boards[0], strip_idx, cut);
    let elsewhere = is_measured_elsewhere(job, miter, stop.at);
    let elsewhere = elsewhere.then_some(", long");
    let on_edge = cut.part.is_on_edge(job) && miter != Miter::Square;
    let on_edge = on_edge.then_some(", on edge");
    let edge = match (first.cuts.iter().any(|cut| cut.turned), cut.turned) {
        (false, _) => "",
        (true, false) => "on top",
        (true, true) => "below",
    };
    let chain = columns
        .chains
        .as_ref()
        .and_then(|chains| chains.place(cut.part));
    Row {
        cut: if last > idx {
            say!("{}–{}", number(idx), number(last))
        } else {
            number(idx).into()
        },
        stop_block: needed(stop.length),
        ends: say!("{}{}{}", Inline::Miter(miter), on_edge, elsewhere),
        outer: edge.into(),
        from: place(cut.from - job.shop.end_trim),
        to: place_to(first.cuts[last].to - job.shop.end_trim),
        grain: chain.map(|(place, of)| say!("{} of {}", place, of)).into(),
        mark: name_together(job, &parts),
    }
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

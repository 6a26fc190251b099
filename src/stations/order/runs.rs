//! The clear runs of strips, and what a cut asks of the saw.

use crate::frame::Miter;
use crate::job::StopAt;
use crate::length::{Length, Rounding};
use crate::plan::{ChalkMarks, Plan, PlannedStrip, StripMark, defects_on};
use crate::stock::Run;

use super::super::stop::{StopFigure, stop_figure};
use super::CutRef;

/// What two cuts of one moulding have in common that are made with one setting of the stop and one of the miter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Key {
    pub(super) miter: Miter,
    pub(super) at: StopAt,
    /// The figure at the stop, rounded up to the step of the job, as it is printed and set.
    stop: Length,
}

/// A cut, and what it asks of the saw.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    pub(super) cut: CutRef,
    pub(super) key: Key,
    /// The figure at the stop, exactly.
    pub(super) stop: Length,
    /// Between its long points.
    pub(super) length: Length,
}

/// Cuts of a strip between which no defect lies; never without cuts.
#[derive(Clone, Debug)]
pub(super) struct ClearRun {
    pub(super) board: usize,
    pub(super) strip: usize,
    pub(super) mark: StripMark,
    /// From the near end on.
    pub(super) cuts: Vec<Placed>,
    /// A defect between it and the run before it on its strip; `None` of the first one.
    pub(super) behind: Option<Run>,
}

/// The clear runs of a strip that have cuts, from its near end on.
///
/// Wood that is not there, as an earlier plan has cut something else from it, is no place to cut: it parts no runs.
pub(super) fn clear_runs(
    plan: &Plan,
    marks: &ChalkMarks<'_>,
    board: usize,
    strip: usize,
) -> Vec<ClearRun> {
    let job = &plan.job;
    let planned = &plan.boards[board];
    let PlannedStrip { cuts, .. } = &planned.strips[strip];
    let wood = planned.wood_of_strip(job, strip);
    let is_there = |&(from, _): &Run| wood.gone().all(|(gone, _)| gone != from);
    let defects = defects_on(job, planned, strip).into_iter().filter(is_there);
    let defects: Vec<Run> = defects.collect();
    let mut runs: Vec<ClearRun> = Vec::new();
    for (idx, cut) in cuts.iter().enumerate() {
        let before = idx.checked_sub(1).map(|before| &cuts[before]);
        let starts_behind =
            |&&(from, to): &&Run| to <= cut.from && before.is_none_or(|before| before.to <= from);
        let left_out = || defects.iter().filter(starts_behind).copied();
        let behind = left_out().next().filter(|_| before.is_some());
        let skips = left_out().reduce(|one, next| (one.0.min(next.0), one.1.max(next.1)));
        let StopFigure { at, length } = stop_figure(job, planned, strip, cut);
        let placed = Placed {
            cut: CutRef {
                board,
                strip,
                cut: idx,
                label: marks.cut(board, strip, idx),
                part: cut.part,
                turned: cut.turned,
                shares_cut: before.is_some_and(|before| cut.from < before.to),
                skips,
            },
            key: Key {
                miter: cut.part.miter(job),
                at,
                stop: length.rounded(job.display.step, Rounding::Up),
            },
            stop: length,
            length: cut.to - cut.from,
        };
        match runs.last_mut().filter(|_| behind.is_none()) {
            Some(run) => run.cuts.push(placed),
            None => runs.push(ClearRun {
                board,
                strip,
                mark: marks.strip(board, strip),
                cuts: vec![placed],
                behind,
            }),
        }
    }
    runs
}

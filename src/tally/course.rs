//! What follows each other along a strip: cuts, stretches to skip, and what is left.

use crate::job::Job;
use crate::length::Length;
use crate::plan::{Gap, Plan, PlannedBoard, defects_on, gaps, is_kept};
use crate::stock::Across;

/// One thing that one comes to along a strip, from its near end on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Course {
    /// The cut at this position among the strip's.
    Cut(usize),
    /// A stretch to skip, between two places from the untrimmed near end.
    Skip {
        /// From.
        from: Length,
        /// To.
        to: Length,
        /// Whether an earlier sheet has cut there; if not it is a defect.
        is_gone: bool,
    },
    /// What is left behind the last cut, or is long enough to keep.
    Left {
        /// Where.
        gap: Gap,
        /// Whether it is kept; if not it is scrap.
        is_kept: bool,
    },
}

/// All that one comes to along a strip of a board, in order.
///
/// # Panics
/// If it is not of a plan of `job`, or there is no such strip.
pub fn course(job: &Job, planned: &PlannedBoard, strip_idx: usize) -> Vec<Course> {
    let board = &job.boards[planned.board_idx];
    let is_gone = |from: Length| {
        let mut defects = board.defects.iter();
        defects.any(|defect| defect.from == from && defect.across == Across::Gone)
    };
    // Of a rail in hand there is nothing at the ends that could be skipped.
    let is_absent = |from: Length, to: Length| {
        let is_end = from == Length::ZERO || to == board.length;
        board.given.rail.is_some() && is_end && is_gone(from)
    };
    let cuts = planned.strips[strip_idx].cuts.iter().enumerate();
    let cuts = cuts.map(|(idx, cut)| (cut.from, Course::Cut(idx)));
    let defects = defects_on(job, planned, strip_idx).into_iter();
    let skipped = defects.filter(|&(from, to)| !is_absent(from, to));
    let skipped = skipped.map(|(from, to)| {
        let is_gone = is_gone(from);
        (from, Course::Skip { from, to, is_gone })
    });
    let left = gaps(job, planned, strip_idx).into_iter().map(|gap| {
        let is_kept = is_kept(job, gap.clear);
        (gap.from, Course::Left { gap, is_kept })
    });
    // What is too short before and between cuts is no piece of its own.
    let left = left.filter(|(_, left)| match left {
        Course::Left { gap, is_kept } => *is_kept || gap.is_last,
        _ => true,
    });
    let mut course: Vec<(Length, Course)> = cuts.chain(skipped).chain(left).collect();
    course.sort_by_key(|&(from, _)| from);
    course.into_iter().map(|(_, course)| course).collect()
}

/// Whether what is left of a strip is a spare offcut, which the job asks for; `board` is a position in `Plan::boards`.
pub fn is_spare(plan: &Plan, board: usize, strip: usize, gap: &Gap) -> bool {
    plan.spare_offcuts.iter().any(|spare| {
        (spare.board, spare.strip) == (board, strip) && (gap.from..gap.to).contains(&spare.from)
    })
}

//! The list to take to the yard.

use crate::job::Job;
use crate::length::Length;
use crate::plan::{Plan, PlannedBoard};

/// Boards of one kind to take.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct YardLine {
    /// Index into `Job::boards`.
    pub board_idx: usize,
    /// How many.
    pub count: u64,
    /// By how much each of them may be shorter than the job says and still give all its parts.
    pub may_be_short: Length,
    /// Whether they come from the rack rather than the yard.
    pub is_rack: bool,
}

/// The boards that a plan takes, in the order of the job.
///
/// A board needs to reach from its near end to the end of its last cut, and the trim beyond; what it has more, it may
/// lack. The kind takes the least of its boards.
///
/// # Panics
/// If `plan` is not a plan of `job`.
pub fn yard_list(job: &Job, plan: &Plan) -> Vec<YardLine> {
    let mut lines: Vec<YardLine> = Vec::new();
    for planned in &plan.boards {
        let spare = job.boards[planned.board_idx].length - needed(job, planned);
        match lines
            .iter_mut()
            .find(|line| line.board_idx == planned.board_idx)
        {
            Some(line) => {
                line.count += 1;
                line.may_be_short = line.may_be_short.min(spare);
            }
            None => lines.push(YardLine {
                board_idx: planned.board_idx,
                count: 1,
                may_be_short: spare,
                is_rack: job.boards[planned.board_idx].in_hand.is_some(),
            }),
        }
    }
    lines.sort_by_key(|line| line.board_idx);
    lines
}

/// The least length that gives all parts of a planned board.
fn needed(job: &Job, planned: &PlannedBoard) -> Length {
    let last = planned
        .cuts()
        .map(|cut| cut.to)
        .max()
        .unwrap_or(job.shop.end_trim);
    last + job.shop.end_trim
}

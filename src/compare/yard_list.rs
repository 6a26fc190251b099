//! The list to take to the yard.

use crate::length::Length;
use crate::plan::{Plan, PlannedStrip};

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
/// A board needs to reach from its near end to the end of its last cut or of what is to be left, and the trim beyond; what it has more, it may
/// lack. The kind takes the least of its boards.
pub fn yard_list(plan: &Plan) -> Vec<YardLine> {
    let job = &plan.job;
    let mut lines: Vec<YardLine> = Vec::new();
    for (position, planned) in plan.boards.iter().enumerate() {
        // The yard measures its cuts from the near end, so only what is behind the last may be shorter.
        let begins = planned.stretches.last().map_or(Length::ZERO, |on| on.from);
        let last = (0..planned.stretches.len()).filter(|&at| planned.stretches[at].from == begins);
        let needed = last.map(|stretch| needed(plan, position, stretch)).max();
        let spare = job.boards[planned.board_idx].length - begins - needed.unwrap_or(Length::ZERO);
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

/// The least length that gives all parts of a stretch of a planned board, and what is to be left of it; nothing where it
/// gives nothing.
fn needed(plan: &Plan, position: usize, stretch: usize) -> Length {
    let job = &plan.job;
    let planned = &plan.boards[position];
    let on = |strip: &PlannedStrip| strip.stretch == stretch;
    let cuts = planned.strips_of(stretch).flat_map(|strip| &strip.cuts);
    let cuts = cuts.map(|cut| cut.to);
    let left = plan.spare_offcuts.iter();
    let left = left.filter(|left| left.board == position && on(&planned.strips[left.strip]));
    let last = cuts.chain(left.map(|left| left.to)).max();
    let trim = job.shop.end_trim;
    last.map_or(Length::ZERO, |last| last + trim)
}

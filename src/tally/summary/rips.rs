//! The rip list: what to set the fence to, and what is left beside the strips.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use crate::job::Job;
use crate::length::Length;
use crate::plan::{Part, Plan, PlannedBoard};
use crate::stock::Taking;

/// One setting of the rip fence and the strips that are ripped with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fence {
    /// The setting: the width of the strips.
    pub width: Length,
    /// How many strips.
    pub n_strips: u64,
    /// The mouldings they are milled to, `None` being plain wood.
    pub moulding_indices: Vec<Option<usize>>,
    /// What they are ripped from, in the order of the job.
    pub boards: Vec<RippedStick>,
}

/// A board, or a stretch of one that the yard has cut off, that gives strips at one setting of the fence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RippedStick {
    /// Position in `Plan::boards`.
    pub board: usize,
    /// Position of the stretch among the board's.
    pub stretch: usize,
    /// How many strips it gives.
    pub n_strips: u64,
}

/// Whether a board of the plan is ripped at all.
///
/// # Panics
/// If it is not of a plan of `job`.
pub fn is_ripped(job: &Job, board: &PlannedBoard) -> bool {
    let own_width = job.boards[board.board_idx].width;
    job.shop.rip.is_some() && board.strips.iter().any(|strip| strip.width != own_width)
}

/// What is to be planed off the edge of a stretch of a board that is wider than what is cut from it and too narrow to be
/// ripped for that; zero of any other.
///
/// # Panics
/// If it is not of a plan of `job`.
pub fn planed_off(job: &Job, board: &PlannedBoard, stretch: usize) -> Length {
    let own_width = job.boards[board.board_idx].width;
    let Some(strip) = board.strips_of(stretch).next() else {
        return Length::ZERO;
    };
    let of_piece = || match strip.cuts.first().map(|cut| cut.part) {
        Some(Part::Loose { piece_idx, .. }) => job.pieces[piece_idx].width,
        _ => None,
    };
    let of_moulding = strip.moulding_idx.map(|idx| job.mouldings[idx].face_width);
    let wanted = of_moulding.or_else(of_piece);
    match (wanted, own_width) {
        (Some(wanted), Some(given))
            if job.boards[board.board_idx].taking(job.shop.rip.as_ref(), Some(wanted))
                == Some(Taking::Whole)
                && job.shop.rip.is_some() =>
        {
            given - wanted
        }
        _ => Length::ZERO,
    }
}

/// What is ripped at one setting.
#[derive(Default)]
struct Ripped {
    mouldings: BTreeSet<Option<usize>>,
    /// Strips by index of the job's board, number, position in the plan, and stretch.
    boards: BTreeMap<(usize, u32, usize, usize), u64>,
}

/// All settings of the fence, widest first.
pub(super) fn fences(plan: &Plan) -> Vec<Fence> {
    let job = &plan.job;
    let mut by_width: BTreeMap<Reverse<Length>, Ripped> = BTreeMap::new();
    for (position, board) in plan.boards.iter().enumerate() {
        if !is_ripped(job, board) {
            continue;
        }
        for strip in &board.strips {
            if let Some(width) = strip.width {
                let ripped = by_width.entry(Reverse(width)).or_default();
                ripped.mouldings.insert(strip.moulding_idx);
                let key = (board.board_idx, board.number, position, strip.stretch);
                *ripped.boards.entry(key).or_default() += 1;
            }
        }
    }
    by_width
        .into_iter()
        .map(|(width, ripped)| Fence {
            width: width.0,
            n_strips: ripped.boards.values().sum(),
            moulding_indices: ripped.mouldings.into_iter().collect(),
            boards: ripped
                .boards
                .into_iter()
                .map(|((_, _, board, stretch), n_strips)| RippedStick {
                    board,
                    stretch,
                    n_strips,
                })
                .collect(),
        })
        .collect()
}

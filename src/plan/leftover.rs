//! What is left of the boards of a plan, and which of it goes back on the rack.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use crate::job::Job;
use crate::length::Length;
use crate::plan::{Plan, PlannedBoard};

/// A piece of a board that goes back on the rack.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Leftover {
    /// Position of its board in `Plan::boards`.
    pub board: usize,
    /// What of the board it is.
    pub kind: LeftoverKind,
    /// Where it begins along the outer edge, from the near end of the untrimmed board.
    pub from: Length,
    /// Where it ends; at the far end of the board its trim is still on it.
    pub to: Length,
    /// Its width as it lies there, where that is known.
    pub width: Option<Length>,
    /// The length of it that may carry cuts, without the raw end's trim.
    pub usable: Length,
}

/// What of a board a leftover is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LeftoverKind {
    /// The end of a strip, by its position on the board.
    End(usize),
    /// What is left beside the strips of a ripped board, as long as the board.
    Edge,
}

/// Whether what is left behind the last cut of a strip goes back on the rack.
pub fn is_kept(job: &Job, offcut: Length) -> bool {
    offcut > Length::ZERO && offcut >= job.shop.shortest_offcut
}

/// Whether what is left beside a board's strips goes back on the rack: it must be long enough, and at least as wide as
/// the shop keeps, or as the narrowest strip of the job.
///
/// # Panics
/// If it is not of a plan of `job`.
pub fn is_edge_kept(job: &Job, board: &PlannedBoard) -> bool {
    let Some(rip) = job.shop.rip.filter(|_| board.edge_left > Length::ZERO) else {
        return false;
    };
    let used: BTreeSet<usize> = job
        .frames
        .iter()
        .map(|frame| frame.moulding_idx)
        .chain(job.pieces.iter().filter_map(|piece| piece.moulding_idx))
        .collect();
    let of_mouldings = used.into_iter().map(|idx| job.mouldings[idx].face_width);
    let of_pieces = job.pieces.iter().filter_map(|piece| piece.width);
    let narrowest = rip.narrowest_offcut.or_else(|| {
        of_mouldings
            .chain(of_pieces)
            .map(|width| rip.strip_width(width))
            .min()
    });
    narrowest.is_some_and(|narrowest| board.edge_left >= narrowest)
        && is_kept(job, job.boards[board.board_idx].length)
}

/// All pieces of a plan's boards that go back on the rack: by kind of board, ends before edges, by moulding (plain wood
/// first), widest first, longest first, then in the order of the plan.
///
/// # Panics
/// If `plan` is not a plan of `job`.
pub fn leftovers(job: &Job, plan: &Plan) -> Vec<Leftover> {
    let mut found = Vec::new();
    for (position, board) in plan.boards.iter().enumerate() {
        let length = job.boards[board.board_idx].length;
        for (strip_idx, strip) in board.strips.iter().enumerate() {
            if is_kept(job, strip.offcut) {
                found.push(Leftover {
                    board: position,
                    kind: LeftoverKind::End(strip_idx),
                    from: length - job.shop.end_trim - strip.offcut,
                    to: length,
                    width: strip.width,
                    usable: strip.offcut,
                });
            }
        }
        if is_edge_kept(job, board) {
            found.push(Leftover {
                board: position,
                kind: LeftoverKind::Edge,
                from: Length::ZERO,
                to: length,
                width: Some(board.edge_left),
                usable: length,
            });
        }
    }
    found.sort_by_key(|left| {
        let board = &plan.boards[left.board];
        let moulding_idx = left.moulding_idx(plan);
        (
            board.board_idx,
            left.kind == LeftoverKind::Edge,
            moulding_idx,
            Reverse(left.width),
            Reverse(left.usable),
        )
    });
    found
}

impl Leftover {
    /// The moulding that its strip is milled to; `None` for plain wood and for an edge.
    ///
    /// # Panics
    /// If it is not of `plan`.
    pub fn moulding_idx(&self, plan: &Plan) -> Option<usize> {
        match self.kind {
            LeftoverKind::End(strip_idx) => plan.boards[self.board].strips[strip_idx].moulding_idx,
            LeftoverKind::Edge => None,
        }
    }
}

//! What is read at the stop: the length between the points of a part that the shop measures.
//!
//! With `LP` the long point, `F` the face width, `L` the lip and `t` the tangent of the miter, a stop that touches
//!
//! | what | reads |
//! |---|---|
//! | the long point, at the back edge | `LP` |
//! | the wall of the rabbet | `LP - 2 (F - L) t` |
//! | the short point, at the sight edge | `LP - 2 F t` |
//!
//! # Source
//! Derived: a point `x` in from the back edge is nearer by `x t` at each end.

use crate::frame::{Holding, Milled, Miter};
use crate::job::{Job, StopAt};
use crate::length::Length;
use crate::plan::{Cut, Part, PlannedBoard};

/// What the stop is set to for a cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StopFigure {
    /// What is measured: as the shop says, but the long point where the part has not what the shop measures.
    pub at: StopAt,
    /// The length between both ends there; rounded up to the nanometer, as a part must not be too short.
    pub length: Length,
}

/// What the stop is set to for a cut of a strip.
///
/// A square part is as long everywhere, and counts as measured at its long points. A rail without a rabbet (of a tray, of a
/// moulding without a lip, or of one that is milled after cutting and so is plain when it is sawn) is measured at its long points where others are at the rabbet; so is a mitered piece of
/// plain wood, which has no rabbet, and at its short points only where the width of its strip is known.
///
/// # Panics
/// If the board is none of a plan of `job`, or has not this strip.
pub fn stop_figure(job: &Job, planned: &PlannedBoard, strip_idx: usize, cut: &Cut) -> StopFigure {
    let elsewhere = match (cut.part.miter(job), job.shop.stop) {
        (Miter::Square, _) | (_, StopAt::LongPoint) => None,
        (_, StopAt::Rabbet) => at_rabbet(job, cut.part),
        (_, StopAt::ShortPoint) => match cut.part {
            Part::Rail { .. } => cut.part.short_point(job),
            Part::Loose { .. } => width_at_saw(job, planned, strip_idx, cut.part)
                .map(|width| inward(job, cut.part, width)),
        },
    };
    // A piece that is shorter than its miters ends in a point.
    match elsewhere.filter(|length| *length > Length::ZERO) {
        Some(length) => StopFigure {
            at: job.shop.stop,
            length,
        },
        None => StopFigure {
            at: StopAt::LongPoint,
            length: cut.part.length(job),
        },
    }
}

/// Whether a part is mitered and measured elsewhere than the shop measures, as it has nothing there.
pub fn is_measured_elsewhere(job: &Job, miter: Miter, at: StopAt) -> bool {
    miter != Miter::Square && at != job.shop.stop
}

/// The side opposite to a side of a frame, both from 0; `None` where an odd number of sides leaves none opposite.
pub fn opposite_side(n_sides: u32, side: u32) -> Option<u32> {
    n_sides
        .is_multiple_of(2)
        .then(|| (side + n_sides / 2) % n_sides)
}

/// Between the walls of the rabbet; `None` where there is none.
fn at_rabbet(job: &Job, part: Part) -> Option<Length> {
    match part {
        Part::Rail {
            frame_idx, side, ..
        } => {
            let has_wall = has_wall(job, job.frames[frame_idx].moulding_idx);
            let rabbet = job.frame_sizes(frame_idx).rabbet.filter(|_| has_wall);
            rabbet.map(|rabbet| rabbet.side(side))
        }
        Part::Loose { piece_idx, .. } => {
            let idx = job.pieces[piece_idx].moulding_idx?;
            // A spare rail is measured like the rails that it stands for.
            let mut frames = job.frames.iter().filter(|frame| frame.moulding_idx == idx);
            let only_trays = frames.clone().next().is_some()
                && frames.all(|frame| matches!(frame.holding, Holding::Tray { .. }));
            // On a later sheet a rail that is cut anew is a piece, and no longer tells whether it is a tray's.
            let is_later_sheet = job.boards.iter().any(|board| board.given.marks > 0);
            let moulding = &job.mouldings[idx];
            (has_wall(job, idx) && !only_trays && !is_later_sheet)
                .then(|| inward(job, part, moulding.face_width - moulding.lip))
        }
    }
}

/// Whether its strips have the wall of a rabbet when they are sawn to rails.
fn has_wall(job: &Job, moulding_idx: usize) -> bool {
    let moulding = &job.mouldings[moulding_idx];
    moulding.lip > Length::ZERO && moulding.milled == Milled::BeforeCutting
}

/// How wide a loose piece is when its ends are sawn: its moulding's face; of plain wood what it was ripped to, less the
/// planing, or else the whole board.
fn width_at_saw(job: &Job, planned: &PlannedBoard, strip_idx: usize, part: Part) -> Option<Length> {
    let Part::Loose { piece_idx, .. } = part else {
        return None;
    };
    let piece = &job.pieces[piece_idx];
    if let Some(idx) = piece.moulding_idx {
        return Some(job.mouldings[idx].face_width);
    }
    let strip_width = planned.strips[strip_idx].width;
    let is_ripped = strip_width != job.boards[planned.board_idx].width;
    if is_ripped { piece.width } else { strip_width }
}

/// The length of a part so far in from its long points.
fn inward(job: &Job, part: Part, by: Length) -> Length {
    part.length(job) + part.miter(job).run_along(-(by * 2))
}

#[cfg(test)]
mod tests;

//! Which rails may lie turned end for end, and what they save, derived once more.

use crate::frame::Miter;
use crate::job::{Ends, Job, Piece};
use crate::length::Length;

/// So many miters of a moulding are turned end for end at most: those of the fewest sides.
const MOST_TURNED: usize = 6;

/// Numbers of sides whose rails may lie turned end for end, of each moulding.
pub(super) fn turned_miters(job: &Job) -> Vec<Vec<u32>> {
    let of_moulding = |idx: usize| {
        if !job.mouldings[idx].may_be_turned() {
            return Vec::new();
        }
        let frames = job.frames.iter().filter(|frame| frame.moulding_idx == idx);
        let mut sides: Vec<u32> = frames.map(|frame| frame.art.n_sides()).collect();
        let is_mitered =
            |piece: &&Piece| piece.moulding_idx == Some(idx) && piece.ends == Ends::Miter;
        sides.extend(job.pieces.iter().filter(is_mitered).map(|_| 4));
        sides.sort_unstable();
        sides.dedup();
        sides.truncate(MOST_TURNED);
        sides
    };
    (0..job.mouldings.len()).map(of_moulding).collect()
}

/// What a part of a run saves along the strip by sharing a slanting cut: the run of the slant, rounded down.
pub(super) fn saving(
    job: &Job,
    turned: &[Vec<u32>],
    moulding_idx: usize,
    miter: Miter,
    length: Length,
) -> Length {
    let Miter::Corner { sides } = miter else {
        return Length::ZERO;
    };
    let face_width = job.mouldings[moulding_idx].face_width;
    let is_trapezoid = length - miter.run_along(face_width) * 2 > Length::ZERO;
    if turned[moulding_idx].contains(&sides) && is_trapezoid {
        miter.overlap(face_width)
    } else {
        Length::ZERO
    }
}

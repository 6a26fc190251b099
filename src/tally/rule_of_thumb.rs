//! What one would buy by eye, for tests to hold sizes and plans against; no report shows it.
//!
//! # Source
//! Common practice, no source: the perimeter from the bare art size and the full face width, and 2 in to spare.

use crate::frame::Outline;
use crate::job::Job;
use crate::length::Length;
use crate::plan::{Plan, PlannedStrip};
use crate::tally::sized_frames;

/// The rough estimate for all frames of one moulding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct RoughEstimate {
    /// Index into `Job::mouldings`.
    pub(crate) moulding_idx: usize,
    /// Number of frames.
    pub(crate) n_frames: u64,
    /// Length of moulding one would buy for them.
    pub(crate) length: Length,
}

/// The rough estimate for each moulding that has frames, in the order of the job.
///
/// For each frame `2 (2F + art width) + 2 (2F + art height)` and 2 in; a polygon's `n` sides likewise
/// `n (2F + side)` and 2 in. Loose pieces are not in it.
pub(crate) fn rule_of_thumb(job: &Job) -> Vec<RoughEstimate> {
    let mut estimates: Vec<RoughEstimate> = (0..job.mouldings.len())
        .map(|moulding_idx| RoughEstimate {
            moulding_idx,
            n_frames: 0,
            length: Length::ZERO,
        })
        .collect();
    for frame in &job.frames {
        let estimate = &mut estimates[frame.moulding_idx];
        let face_width = job.mouldings[frame.moulding_idx].face_width;
        estimate.n_frames += u64::from(frame.quantity);
        estimate.length += rough_length(frame.art, face_width) * i64::from(frame.quantity);
    }
    estimates.retain(|estimate| estimate.n_frames > 0);
    estimates
}

/// The rough estimate for one frame round `art`.
fn rough_length(art: Outline, face_width: Length) -> Length {
    let sides: Length = (0..art.n_sides())
        .map(|side_idx| art.side(side_idx) + face_width * 2)
        .sum();
    sides + Length::INCH * 2
}

/// Length of all strips that `plan` takes for a moulding, or for plain wood (`None`), end to end; a board that is not
/// ripped is one strip.
pub(crate) fn nested_length(plan: &Plan, moulding_idx: Option<usize>) -> Length {
    plan.boards
        .iter()
        .map(|board| {
            let of_moulding = board.strips.iter();
            let of_moulding = of_moulding.filter(|strip| strip.moulding_idx == moulding_idx);
            let length = |strip: &PlannedStrip| {
                let stretch = &board.stretches[strip.stretch];
                stretch.to - stretch.from
            };
            of_moulding.map(length).sum::<Length>()
        })
        .sum()
}

/// The rule of thumb beside the plan, for one moulding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct ByEye {
    /// Index into `Job::mouldings`.
    pub(crate) moulding_idx: usize,
    /// How many frames.
    pub(crate) n_frames: u64,
    /// All their rails end to end, long points.
    pub(crate) rails: Length,
    /// What the rule of thumb would have one buy.
    pub(crate) estimate: Length,
    /// All strips of the plan that are milled to this moulding, end to end; loose pieces on them included.
    pub(crate) boards: Length,
}

/// For each moulding that has frames, in the order of the job: what one would buy by eye, and what is taken here.
pub(crate) fn compare_by_eye(plan: &Plan) -> Vec<ByEye> {
    let job = &plan.job;
    let mut rails = vec![Length::ZERO; job.mouldings.len()];
    for sheet in sized_frames(job) {
        let one: Length = (0..sheet.sizes.n_sides())
            .map(|side| sheet.sizes.rail(side).long_point)
            .sum();
        rails[sheet.frame.moulding_idx] += one * i64::from(sheet.frame.quantity);
    }
    rule_of_thumb(job)
        .into_iter()
        .map(|rough| ByEye {
            moulding_idx: rough.moulding_idx,
            n_frames: rough.n_frames,
            rails: rails[rough.moulding_idx],
            estimate: rough.length,
            boards: nested_length(plan, Some(rough.moulding_idx)),
        })
        .collect()
}

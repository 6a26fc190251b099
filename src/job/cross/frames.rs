//! Whether each frame can be made: what is seen through it, its stack, the play of what it holds, its spacer.

use super::Finding;
use crate::frame::{Holding, Rail, depth, package, spacer_is_open};
use crate::job::JobSpec;
use crate::length::Length;

pub(super) fn frame_rails(job: &JobSpec, frame_idx: usize) -> impl Iterator<Item = Rail> {
    let sizes = job.frame_sizes(frame_idx);
    // Opposite rails are alike, and so are all of a regular polygon.
    (0..sizes.n_sides().min(2)).map(move |side_idx| sizes.rail(side_idx))
}

pub(super) fn check_sight(job: &JobSpec, findings: &mut Vec<Finding>) {
    for frame_idx in 0..job.frames.len() {
        if frame_rails(job, frame_idx).any(|rail| rail.short_point <= Length::ZERO) {
            findings.push(Finding::NoSight { frame_idx });
        }
    }
}

pub(super) fn check_depth(job: &JobSpec, findings: &mut Vec<Finding>) {
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let Some(depth) = depth(frame, &job.mouldings, job.shop.point_room) else {
            continue;
        };
        if depth.excess().is_some() {
            findings.push(Finding::ShallowRabbet { frame_idx, depth });
        }
    }
}

/// Whether each frame inside of another has play in its rabbet; one in a tray stands free.
pub(super) fn check_play(job: &JobSpec, findings: &mut Vec<Finding>) {
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let is_tight = frame
            .inner
            .last()
            .is_some_and(|inner| inner.play == Length::ZERO);
        if is_tight && frame.holding == Holding::Rabbet {
            findings.push(Finding::NoPlay { frame_idx });
        }
    }
}

/// Whether the strips of each spacer leave something between them.
pub(super) fn check_spacers(job: &JobSpec, findings: &mut Vec<Finding>) {
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let package = package(frame, &job.mouldings, job.shop.fit_allowance);
        if frame.spacer.is_some() && !spacer_is_open(frame, &package) {
            findings.push(Finding::SpacersMeet { frame_idx });
        }
    }
}

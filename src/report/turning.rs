//! Rails that lie turned end for end, so that neighbors share a slanting cut.

use crate::job::Job;
use crate::length::Length;
use crate::plan::{Cut, Plan, PlannedBoard, PlannedStrip};

use super::naming::miter_of;

/// Whether any part of the plan lies turned.
pub(super) fn any_turned(plan: &Plan) -> bool {
    let mut cuts = plan.boards.iter().flat_map(PlannedBoard::cuts);
    cuts.any(|cut| cut.turned)
}

/// What two neighbors save of the strip by sharing one slanting cut; zero where they do not.
pub(super) fn saved(job: &Job, left: &Cut, right: &Cut) -> Length {
    let kerf = miter_of(job, left.part).kerf_along(job.shop.kerf);
    (left.to + kerf - right.from).max(Length::ZERO)
}

/// What all shared cuts of a strip save.
pub(super) fn saved_on_strip(job: &Job, strip: &PlannedStrip) -> Length {
    strip
        .cuts
        .windows(2)
        .map(|neighbors| saved(job, &neighbors[0], &neighbors[1]))
        .sum()
}

/// Shared cuts of a plan, and the length they save.
pub(super) fn count_shared(job: &Job, plan: &Plan) -> (u64, Length) {
    let mut n_shared = 0;
    let mut length = Length::ZERO;
    for strip in plan.boards.iter().flat_map(|board| &board.strips) {
        for neighbors in strip.cuts.windows(2) {
            let saved = saved(job, &neighbors[0], &neighbors[1]);
            n_shared += u64::from(saved > Length::ZERO);
            length += saved;
        }
    }
    (n_shared, length)
}

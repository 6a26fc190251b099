//! Rails that lie turned end for end, so that neighbors share a slanting cut.

use crate::job::Job;
use crate::length::Length;
use crate::plan::{Cut, Plan, PlannedBoard, PlannedStrip};

/// Whether any part of the plan lies turned.
pub fn any_turned(plan: &Plan) -> bool {
    let mut cuts = plan.boards.iter().flat_map(PlannedBoard::cuts);
    cuts.any(|cut| cut.turned)
}

/// What two neighbors save of the strip by sharing one slanting cut; zero where they do not.
pub fn saved(job: &Job, left: &Cut, right: &Cut) -> Length {
    let kerf = left.part.kerf_along(job);
    (left.to + kerf - right.from).max(Length::ZERO)
}

/// What each shared cut of a strip saves.
fn all_saved(job: &Job, strip: &PlannedStrip) -> impl Iterator<Item = Length> {
    let neighbors = strip.cuts.windows(2);
    neighbors
        .map(|pair| saved(job, &pair[0], &pair[1]))
        .filter(|&saved| saved > Length::ZERO)
}

/// What all shared cuts of a strip save.
pub fn saved_on_strip(job: &Job, strip: &PlannedStrip) -> Length {
    all_saved(job, strip).sum()
}

/// Shared cuts of a plan, and the length they save.
pub fn count_shared(plan: &Plan) -> (u64, Length) {
    let job = &plan.job;
    let strips = plan.boards.iter().flat_map(|board| &board.strips);
    strips
        .flat_map(|strip| all_saved(job, strip))
        .fold((0, Length::ZERO), |(n_shared, length), saved| {
            (n_shared + 1, length + saved)
        })
}

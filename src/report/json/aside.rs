//! What a job asks for beside its parts, and what that costs: color, spare offcuts, plans without a wish.

use serde::Serialize;

use super::PartName;
use crate::plan::boards_by_frame;
use crate::plan::{Plan, Verdict};

/// From how many boards the rails of a frame come that are to match in color.
#[derive(Serialize)]
pub(super) struct ColorObject<'a> {
    frame: &'a str,
    copy: u32,
    boards: usize,
}

/// Every frame that asks for color, copy by copy.
pub(super) fn color(plan: &Plan) -> Vec<ColorObject<'_>> {
    let job = &plan.job;
    boards_by_frame(plan)
        .into_iter()
        .map(|(frame_idx, copy, boards)| ColorObject {
            frame: &job.frames[frame_idx].name,
            copy,
            boards,
        })
        .collect()
}

/// A stretch that is left on purpose; board and strip are positions from 0.
#[derive(Serialize)]
pub(super) struct SpareOffcutObject {
    #[serde(flatten)]
    name: PartName,
    board: usize,
    strip: usize,
    from_nm: i64,
    to_nm: i64,
}

/// All stretches that are left on purpose.
pub(super) fn spare_offcuts(plan: &Plan) -> Vec<SpareOffcutObject> {
    let job = &plan.job;
    plan.spare_offcuts
        .iter()
        .map(|left| SpareOffcutObject {
            name: PartName::new(job, left.part),
            board: left.board,
            strip: left.strip,
            from_nm: left.from.nm(),
            to_nm: left.to.nm(),
        })
        .collect()
}

/// The plan of a job without some wish, in figures.
#[derive(Serialize)]
pub(super) struct WithoutObject {
    boards: usize,
    value: i64,
    lower_bound: i64,
    unplaced: usize,
    proved_optimal: bool,
}

impl WithoutObject {
    pub(super) fn new(without: &Plan) -> WithoutObject {
        WithoutObject {
            boards: without.boards.len(),
            value: without.value,
            lower_bound: without.lower_bound,
            unplaced: without.missing.len(),
            proved_optimal: without.verdict == Verdict::Optimal,
        }
    }
}

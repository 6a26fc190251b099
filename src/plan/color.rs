//! How far the rails of a frame come from few boards.

use std::collections::BTreeMap;

use super::{Part, Plan};

/// How many boards the rails of each frame come from that asks for few, in the order of the job.
///
/// Rails that are missing come from none.
pub fn boards_by_frame(plan: &Plan) -> Vec<(usize, u32, usize)> {
    let owner = |part: Part| match part {
        Part::Rail {
            frame_idx, copy, ..
        } => plan
            .job
            .matches_color(frame_idx)
            .then_some((frame_idx, copy)),
        Part::Loose { .. } => None,
    };
    let mut boards: BTreeMap<(usize, u32), Vec<usize>> = BTreeMap::new();
    for (at, board) in plan.boards.iter().enumerate() {
        for owner in board.cuts().filter_map(|cut| owner(cut.part)) {
            let of_owner = boards.entry(owner).or_default();
            if of_owner.last() != Some(&at) {
                of_owner.push(at);
            }
        }
    }
    boards
        .into_iter()
        .map(|((frame_idx, copy), boards)| (frame_idx, copy, boards.len()))
        .collect()
}

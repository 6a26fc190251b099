//! Which spoiled rails are cut from spare ones.

use std::collections::BTreeSet;

use super::{Marks, part_at, places};
use crate::frame::frame_sizes;
use crate::job::{Ends, Job};
use crate::plan::{Part, Plan};

/// Each spoiled rail of a frame for which there is a spare that is long enough, with that spare; the longest rails first.
///
/// A spare that was spoiled itself, or has no wood, is none. A square one will do for every miter.
pub(super) fn from_spares(job: &Job, old: &Plan, marks: &Marks) -> Vec<(Part, Part)> {
    let mut spares: Vec<(usize, Part)> = places(old)
        .filter(|place| !marks.spoiled.contains(place))
        .map(|place| part_at(old, place))
        .filter_map(|part| match part {
            Part::Loose { piece_idx, .. } if job.pieces[piece_idx].is_spare => {
                Some((piece_idx, part))
            }
            _ => None,
        })
        .collect();
    spares.sort_unstable();
    let rails: BTreeSet<Part> = marks
        .spoiled
        .iter()
        .map(|&place| part_at(old, place))
        .filter(|part| matches!(part, Part::Rail { .. }))
        .collect();
    let mut wanted: Vec<_> = rails
        .into_iter()
        .filter_map(|part| match part {
            Part::Rail {
                frame_idx, side, ..
            } => {
                let frame = &job.frames[frame_idx];
                let moulding = &job.mouldings[frame.moulding_idx];
                let sizes = frame_sizes(frame, moulding, job.shop.fit_allowance);
                Some((sizes.rail(side).long_point, sizes.n_sides(), part))
            }
            Part::Loose { .. } => None,
        })
        .collect();
    wanted.sort_by_key(|&(length, _, part)| (std::cmp::Reverse(length), part));
    let mut pairs = Vec::new();
    for (length, n_sides, part) in wanted {
        let Part::Rail { frame_idx, .. } = part else {
            continue;
        };
        let moulding_idx = job.frames[frame_idx].moulding_idx;
        let found = spares.iter().position(|&(piece_idx, _)| {
            let spare = &job.pieces[piece_idx];
            let has_angle = spare.ends == Ends::Square || n_sides == 4;
            spare.moulding_idx == Some(moulding_idx) && has_angle && spare.length >= length
        });
        if let Some(at) = found {
            pairs.push((part, spares.remove(at).1));
        }
    }
    pairs
}

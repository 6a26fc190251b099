//! Which spoiled rails are cut from spare ones.

use std::cmp::Reverse;

use super::{Marks, part_at, places};
use crate::frame::Miter;
use crate::job::{Ends, Job};
use crate::length::Length;
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
    let mut wanted: Vec<(Length, Part, usize)> = marks
        .spoiled
        .iter()
        .filter_map(|&place| match part_at(old, place) {
            Part::Loose { .. } => None,
            part @ Part::Rail {
                frame_idx, side, ..
            } => {
                let length = job.frame_sizes(frame_idx).rail(side).long_point;
                Some((length, part, job.frames[frame_idx].moulding_idx))
            }
        })
        .collect();
    wanted.sort_by_key(|&(length, part, _)| (Reverse(length), part));
    let mut pairs = Vec::new();
    for (length, part, moulding_idx) in wanted {
        let found = spares.iter().position(|&(piece_idx, _)| {
            let spare = &job.pieces[piece_idx];
            let has_angle = spare.ends == Ends::Square || part.miter(job) == Miter::RECTANGLE;
            spare.moulding_idx == Some(moulding_idx) && has_angle && spare.length >= length
        });
        if let Some(at) = found {
            pairs.push((part, spares.remove(at).1));
        }
    }
    pairs
}

//! Rails that stand in a row on their strip, so that the grain runs on.

use crate::job::{Grains, Job};
use crate::plan::Part;

/// The place in its row of each rail of a job.
pub struct Chains {
    /// By frame and side: the place, from 1, and how many stand in the row; `None` for a rail that stands alone.
    places: Vec<Vec<Option<(u64, u64)>>>,
}

impl Chains {
    /// Finds them for all frames of `job`.
    pub fn new(job: &Job) -> Chains {
        let grains = Grains::new(job);
        let of_frame = |frame_idx: usize| {
            let art = job.frames[frame_idx].art;
            let mut places = vec![None; usize::try_from(art.n_sides()).unwrap_or(0)];
            for chain in grains.granted(frame_idx).chains(art) {
                let n_rails = u64::try_from(chain.len()).unwrap_or(0);
                for (place, &side) in (1..).zip(&chain) {
                    if let Some(of_side) = places.get_mut(usize::try_from(side).unwrap_or(0)) {
                        *of_side = (n_rails > 1).then_some((place, n_rails));
                    }
                }
            }
            places
        };
        Chains {
            places: (0..job.frames.len()).map(of_frame).collect(),
        }
    }

    /// The place of a part in its row, from 1, and how many stand in it.
    ///
    /// # Panics
    /// If it is not a part of the job.
    pub fn place(&self, part: Part) -> Option<(u64, u64)> {
        match part {
            Part::Rail {
                frame_idx, side, ..
            } => *self.places[frame_idx].get(usize::try_from(side).ok()?)?,
            Part::Loose { .. } => None,
        }
    }
}

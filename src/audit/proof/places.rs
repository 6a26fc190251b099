//! Boards on which the places of strips across matter, because a defect leaves part of the width clear.
//!
//! Strips can be pushed to the left until each touches the one before, the edge, or the end of a defect on that edge that
//! it would else run into; so no other places need be looked at.

use std::collections::BTreeMap;

use super::{MOST_WAYS, TooMuch, Wanted};
use crate::audit::wanted::{Stick, Stretch};

impl Wanted<'_> {
    /// The worth of the best strips of these sections side by side on a stick on which their places matter.
    ///
    /// `worth(section, across)` is that of a strip of a section at its place; it is asked for every place that the strips
    /// may have.
    pub(super) fn best_across(
        &self,
        stick: Stick,
        ripped: &[(usize, i128)],
        worth: &mut dyn FnMut(usize, Stretch) -> Result<i64, TooMuch>,
    ) -> Result<i64, TooMuch> {
        let room = self.room(stick.board_idx).unwrap_or(0);
        let starts = self.starts(stick);
        let places = starts.iter().chain([&0]).map(|&at| (at, 0));
        // Places come in rising order, so what lies before each is known when it is met.
        let mut so_far: BTreeMap<i128, i64> = places.collect();
        let mut best = 0;
        let mut n_places = 0;
        while let Some((at, mut before)) = so_far.pop_first() {
            n_places += 1;
            if n_places > MOST_WAYS {
                return Err(TooMuch);
            }
            best = best.max(before);
            if starts.contains(&at) {
                // What lies between is left.
                before = best;
            }
            for &(section, width) in ripped {
                let end = at + width;
                if end > room {
                    continue;
                }
                let with = worth(section, (at, end))?;
                let with = before.checked_add(with).ok_or(TooMuch)?;
                let next = so_far.entry(end + self.rip_kerf()).or_default();
                *next = (*next).max(with);
            }
        }
        Ok(best)
    }
}

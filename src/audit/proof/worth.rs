//! What the best board is worth at the prices of a claim, in nanometers and whole prices.

use super::knapsack::{Offer, best_worth};
use super::pairs::Asked;
use super::strips::{StripKind, strip_kinds};
use super::{TooMuch, Wanted, length};
use crate::audit::wanted::{Stretch, Taken};

impl Wanted<'_> {
    /// The worth of the best board of line `board_idx` cut into parts of the classes `allowed`, at some
    /// prices; `floor` if none is worth more.
    ///
    /// The clear runs of a strip with defects count by themselves.
    pub(super) fn best_board(
        &self,
        board_idx: usize,
        classes: &[usize],
        asked: Asked<'_>,
        allowed: &[usize],
        floor: i64,
    ) -> Result<i64, TooMuch> {
        let worth = |section: usize, across: Option<Stretch>, floor: i64| {
            let parts = self.of_section(section, classes, allowed);
            if parts.is_empty() {
                return Ok(floor);
            }
            let best_run = |run, floor| best_of(&strip_kinds(&parts, length(run)), asked, floor);
            match self.clear(board_idx, section, across)[..] {
                [only] => best_run(only, floor),
                ref runs => {
                    let worths = runs.iter().map(|&run| best_run(run, 0));
                    Ok(sum(worths)?.max(floor))
                }
            }
        };
        let mut best = floor;
        for (section, taken) in self.takings[board_idx].iter().enumerate() {
            if *taken == Some(Taken::Whole) {
                best = worth(section, None, best)?;
            }
        }
        let mut ripped = self.ripped(board_idx);
        ripped.retain(|&(section, _)| !self.of_section(section, classes, allowed).is_empty());
        if self.has_partial_defects(board_idx) {
            let mut worth = |section, across| worth(section, Some(across), 0);
            let across = self.best_across(board_idx, &ripped, &mut worth)?;
            return Ok(best.max(across));
        }
        let mut strips: Vec<Offer> = Vec::with_capacity(ripped.len());
        for (section, width) in ripped {
            strips.push(Offer {
                size: i64::try_from(width + self.rip_kerf()).map_err(|_| TooMuch)?,
                price: worth(section, None, 0)?,
                most: u64::MAX,
            });
        }
        best_worth(&strips, self.room_for_strips(board_idx)?, best)
    }

    /// The room for strips, each with its kerf, on a board; zero where it is not ripped.
    pub(super) fn room_for_strips(&self, board_idx: usize) -> Result<i64, TooMuch> {
        let room = self.room(board_idx).map(|room| room + self.rip_kerf());
        i64::try_from(room.unwrap_or(0)).map_err(|_| TooMuch)
    }
}

/// The sum of worths.
pub(super) fn sum(worths: impl IntoIterator<Item = Result<i64, TooMuch>>) -> Result<i64, TooMuch> {
    let mut worths = worths.into_iter();
    worths.try_fold(0_i64, |sum, worth| sum.checked_add(worth?).ok_or(TooMuch))
}

/// The worth of the best run on a strip of the best of these kinds; `floor` if none is worth more.
fn best_of(kinds: &[StripKind], asked: Asked<'_>, floor: i64) -> Result<i64, TooMuch> {
    let mut kinds = kinds.iter();
    kinds.try_fold(floor, |best, kind| kind.worth(asked, best))
}

//! What the best board is worth at the prices of a claim, in nanometers and whole prices.

use super::knapsack::{Offer, best_worth};
use super::pairs::Asked;
use super::strips::{StripKind, strip_kinds};
use super::{TooMuch, Wanted, length};
use crate::audit::wanted::{Class, Stick, Stretch, Taken};

impl Wanted<'_> {
    /// The worth of the best board of line `board_idx` cut into parts of the classes `allowed`, at some
    /// prices; `floor` if none is worth more.
    ///
    /// The sticks into which it is parted count by themselves, each used as is best.
    pub(super) fn best_board(
        &self,
        board_idx: usize,
        classes: &[usize],
        asked: Asked<'_>,
        allowed: &[usize],
        floor: i64,
    ) -> Result<i64, TooMuch> {
        let mut best = floor;
        for sticks in self.partings(board_idx) {
            let worth = |stick, floor| self.best_stick(stick, classes, asked, allowed, floor);
            best = match sticks[..] {
                [stick] => worth(stick, best)?,
                _ => sum(sticks.into_iter().map(|stick| worth(stick, 0)))?.max(best),
            };
        }
        Ok(best)
    }

    /// The same of one stick; the clear runs of a strip with defects count by themselves.
    fn best_stick(
        &self,
        stick: Stick,
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
            let runs = self.clear(stick, section, across);
            let best_run = |nth: usize, floor| {
                let parts = self.open_on(&parts, section, &runs, nth);
                best_of(&strip_kinds(&parts, length(runs[nth])), asked, floor)
            };
            let uncut = self.uncut(&parts, section, &runs);
            let floor = uncut.map_or(floor, |(number, _)| floor.max(asked.prices[number]));
            if let [_] = runs[..] {
                return best_run(0, floor);
            }
            let worths = (0..runs.len()).map(|nth| best_run(nth, 0));
            Ok(sum(worths)?.max(floor))
        };
        let mut best = floor;
        for section in 0..self.sections.len() {
            if self.taken(stick, section) == Some(Taken::Whole) {
                best = worth(section, None, best)?;
            }
        }
        let mut ripped = self.ripped(stick);
        ripped.retain(|&(section, _)| !self.of_section(section, classes, allowed).is_empty());
        if self.has_partial_defects(stick) {
            let mut worth = |section, across| worth(section, Some(across), 0);
            let across = self.best_across(stick, &ripped, &mut worth)?;
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
        best_worth(
            &strips,
            self.room_for_strips(stick.board_idx)?,
            best,
            asked.effort,
        )
    }

    /// The classes that may lie on the `nth` clear run of a strip from which something is cut.
    pub(super) fn open_on<'c>(
        &self,
        parts: &[(usize, &'c Class)],
        section: usize,
        runs: &[Stretch],
        nth: usize,
    ) -> Vec<(usize, &'c Class)> {
        let may_leave = self.may_leave(section, runs, nth);
        let parts = parts.iter().copied();
        parts
            .filter(|(_, class)| may_leave || class.rail_nm.is_none())
            .collect()
    }

    /// What is to be left of a strip with these clear runs that it has no room for behind cuts, but uncut; `parts` are its
    /// classes with their numbers.
    pub(super) fn uncut<'c>(
        &self,
        parts: &[(usize, &'c Class)],
        section: usize,
        runs: &[Stretch],
    ) -> Option<(usize, &'c Class)> {
        let longest = |nth: &mut dyn Iterator<Item = usize>| nth.map(|nth| length(runs[nth])).max();
        let all = longest(&mut (0..runs.len()))?;
        let behind_cuts =
            longest(&mut (0..runs.len()).filter(|&nth| self.may_leave(section, runs, nth)));
        let fits = |class: &Class| {
            let is_only_uncut = behind_cuts.is_none_or(|longest| longest < class.length_nm);
            Some(self.uncut_nm(class.rail_nm?) <= all && is_only_uncut)
        };
        let mut parts = parts.iter().copied();
        parts.find(|(_, class)| fits(class) == Some(true))
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

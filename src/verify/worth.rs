//! What the best board is worth at the prices of a claim, in nanometres and whole prices.

use super::across::best_across;
use super::knapsack::{Offer, best_worth};
use super::model::{Class, Model};
use super::strips::{StripKind, strip_kinds};
use crate::length::Length;
use crate::stock::{Run, Taking, usable_length};

impl Model<'_> {
    /// The worth of the best board of line `board_idx` cut into parts of the classes `allowed`, where a part of
    /// `classes[n]` is worth `prices[n]`; `floor` if none is worth more.
    pub(super) fn best_board(
        &self,
        board_idx: usize,
        classes: &[usize],
        prices: &[i64],
        allowed: &[usize],
        floor: i64,
    ) -> i64 {
        if !self.job.boards[board_idx].defects.is_empty() {
            return self.best_board_with_defects(board_idx, classes, prices, allowed, floor);
        }
        let mut best = floor;
        let mut strips: Vec<Offer> = Vec::new();
        for (taken, kinds) in self.strips_of(board_idx, classes, allowed) {
            match taken {
                Taking::Whole => best = best_of(&kinds, prices, best),
                Taking::Ripped { width } => {
                    strips.push(self.offer(width, best_of(&kinds, prices, 0)));
                }
            }
        }
        best_worth(&strips, self.room(board_idx).nm(), best)
    }

    /// The kinds of strip of each section that can be taken from a board of line `board_idx`, which has no defects, for the
    /// classes `allowed`, which are numbers in `classes`.
    fn strips_of(
        &self,
        board_idx: usize,
        classes: &[usize],
        allowed: &[usize],
    ) -> Vec<(Taking, Vec<StripKind>)> {
        let board = &self.job.boards[board_idx];
        let Some(usable) = usable_length(board.length, self.job.shop.end_trim) else {
            return Vec::new();
        };
        self.takings[board_idx]
            .iter()
            .enumerate()
            .filter_map(|(section, taken)| {
                let parts = self.of_section(section, classes, allowed);
                Some(((*taken)?, strip_kinds(&parts, usable)))
            })
            .collect()
    }

    /// What the saw that rips takes beside each strip.
    pub(super) fn rip_kerf(&self) -> Length {
        self.job.shop.rip.map_or(Length::ZERO, |rip| rip.kerf)
    }

    /// The room for strips, each with its kerf, on a board of line `board_idx`; zero where it is not ripped.
    pub(super) fn room(&self, board_idx: usize) -> Length {
        match (&self.job.shop.rip, self.job.boards[board_idx].width) {
            (Some(rip), Some(width)) => rip.room(width) + rip.kerf,
            _ => Length::ZERO,
        }
    }

    /// [`Model::best_board`] for a board with defects: the clear runs of each strip count by themselves.
    fn best_board_with_defects(
        &self,
        board_idx: usize,
        classes: &[usize],
        prices: &[i64],
        allowed: &[usize],
        floor: i64,
    ) -> i64 {
        let worth = |section: usize, across: Option<Run>, floor: i64| {
            let parts = self.of_section(section, classes, allowed);
            let best_run =
                |(from, to), floor| best_of(&strip_kinds(&parts, to - from), prices, floor);
            match self.runs(board_idx, section, across)[..] {
                [only] => best_run(only, floor),
                ref runs => runs
                    .iter()
                    .map(|&run| best_run(run, 0))
                    .sum::<i64>()
                    .max(floor),
            }
        };
        let mut best = floor;
        for (section, taken) in self.takings[board_idx].iter().enumerate() {
            if *taken == Some(Taking::Whole) {
                best = worth(section, None, best);
            }
        }
        let ripped = self.ripped(board_idx);
        let board = &self.job.boards[board_idx];
        if let Some(rip) = &self.job.shop.rip
            && board.has_partial_defects()
        {
            return best.max(best_across(board, rip, &ripped, &|section, across| {
                worth(section, Some(across), 0)
            }));
        }
        let strips: Vec<Offer> = ripped
            .into_iter()
            .map(|(section, width)| self.offer(width, worth(section, None, 0)))
            .collect();
        best_worth(&strips, self.room(board_idx).nm(), best)
    }

    /// The classes of one section among the classes `allowed`, which are numbers in `classes`.
    pub(super) fn of_section(
        &self,
        section: usize,
        classes: &[usize],
        allowed: &[usize],
    ) -> Vec<(usize, &Class)> {
        let parts = allowed.iter().map(|&n| (n, &self.classes[classes[n]]));
        parts
            .filter(|(_, class)| class.section == section)
            .collect()
    }

    /// A ripped strip of a width and a worth, as often as there is room.
    fn offer(&self, width: Length, price: i64) -> Offer {
        Offer {
            size: (width + self.rip_kerf()).nm(),
            price,
            most: u32::MAX,
        }
    }
}

/// The worth of the best run on a strip of the best of these kinds; `floor` if none is worth more.
fn best_of(kinds: &[StripKind], prices: &[i64], floor: i64) -> i64 {
    kinds
        .iter()
        .fold(floor, |best, kind| kind.worth(prices, best))
}

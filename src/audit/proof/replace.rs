//! What fits a board, and which board is as good as another.

use super::rips::Ways;
use super::{Taken, Wanted, length};
use crate::audit::wanted::{Class, Stick, Stretch, supply};

impl Wanted<'_> {
    /// The longest clear run of a section on a board, however it is parted.
    fn longest_run(&self, board_idx: usize, section: usize) -> Option<i128> {
        let sticks = self.sticks(board_idx).into_iter();
        let runs = sticks.filter_map(|stick| self.longest_on(stick, section));
        runs.max()
    }

    /// The longest clear run of a section on a stick, wherever across it its strips may lie.
    fn longest_on(&self, stick: Stick, section: usize) -> Option<i128> {
        let longest = |across: Option<Stretch>| {
            let runs = self.clear(stick, section, across);
            runs.into_iter().map(length).max()
        };
        let is_ripped = matches!(self.taken(stick, section)?, Taken::Ripped { .. });
        if !is_ripped || !self.has_partial_defects(stick) {
            return longest(None);
        }
        let mut most = None;
        let ripped = self.ripped(stick);
        let found = self.best_across(stick, &ripped, &mut |other, across| {
            if other == section {
                most = most.max(longest(Some(across)));
            }
            Ok(0)
        });
        match found {
            Ok(_) => most,
            // There are too many places to look at them all, so all between the trims may be clear at one.
            Err(_) => Some(length(self.between_trims(stick))),
        }
    }

    /// How many boards of a line there are at most; `None` where that is not limited.
    fn supply(&self, board_idx: usize) -> Option<u32> {
        supply(self.job, board_idx)
    }

    /// Whether a part of `class` can be cut from a board of line `board_idx`, of which there is one.
    pub(super) fn fits(&self, class: usize, board_idx: usize) -> bool {
        let may_give = self.may_give(board_idx, class);
        let class = &self.classes[class];
        self.supply(board_idx) != Some(0)
            && may_give
            && self
                .longest_run(board_idx, class.section)
                .is_some_and(|run| self.needed_nm(board_idx, class) <= run)
    }

    /// The shortest clear run of a board that will do for a part of a class, if the board may stay uncut where that is to be
    /// left.
    fn needed_nm(&self, board_idx: usize, class: &Class) -> i128 {
        match class.rail_nm {
            None => class.length_nm,
            Some(rail_nm) if self.job.boards[board_idx].in_hand.is_some() => rail_nm,
            Some(rail_nm) => self.uncut_nm(rail_nm),
        }
    }

    /// Whether a board of a line is a piece on the rack that may stay there as it lies for a part of `class`.
    pub(in crate::audit) fn may_keep(&self, board_idx: usize, class: usize) -> bool {
        let (whole, section) = (self.whole(board_idx), self.classes[class].section);
        self.job.boards[board_idx].in_hand.is_some()
            && !self.is_cut_at_yard(board_idx)
            && self.classes[class].rail_nm.is_some()
            && self.taken(whole, section).is_some()
            && self.fits(class, board_idx)
    }

    /// Whether a board of line `by`, of which there always is one, can stand in for one of line `board_idx` that is cut
    /// into parts of `needed`, which all fit it and can be cut from one board of it together, and costs no more.
    pub(super) fn replaces(&self, by: usize, board_idx: usize, needed: &[usize]) -> bool {
        let takings = |board_idx: usize| {
            needed
                .iter()
                .filter(move |&&class| self.may_give(board_idx, class))
                .filter_map(move |&class| self.takings[board_idx][self.classes[class].section])
        };
        let costs_no_more = match (self.costs[by], self.costs[board_idx]) {
            (Some(by), Some(cost)) => by <= cost,
            _ => false,
        };
        // What may stay as it lies, for nothing, is never as good as bought.
        let may_stay = needed.iter().any(|&class| self.may_keep(board_idx, class));
        if takings(by).count() != needed.len() || !costs_no_more || !self.is_ample(by) || may_stay {
            return false;
        }
        // One strip for one strip; whether `by` is ripped for it does not matter.
        // Where there may be several, `by` must give the same ones, side by side.
        let as_wide = takings(by).all(|taken| taken != Taken::Whole)
            && self.job.boards[by].width >= self.job.boards[board_idx].width;
        // A board without defects bears at its places all that one with defects does; of sticks that does not hold.
        let is_parted = [by, board_idx].map(|board_idx| self.may_be_parted(board_idx));
        let at_its_places = is_parted == [false, false]
            && self.job.boards[by].defects.is_empty()
            && (as_wide || self.is_one_strip(board_idx, takings(board_idx)))
            && self.job.boards[by].length >= self.job.boards[board_idx].length;
        at_its_places || self.holds_single_strip(by, board_idx, needed)
    }

    /// Whether every way to cut a board of line `board_idx` into parts of `needed` gives a single strip, and some strip of
    /// `by` holds all that can be cut from that one.
    fn holds_single_strip(&self, by: usize, board_idx: usize, needed: &[usize]) -> bool {
        let all: Vec<usize> = (0..needed.len()).collect();
        let ways = |board_idx| Ways::of(self, board_idx, needed, &all);
        match (ways(by), ways(board_idx)) {
            (Ok(better), Ok(worse)) => worse.single_strips().is_some_and(|mut strips| {
                strips.all(|strip| better.strips().any(|other| other.holds(strip)))
            }),
            _ => false,
        }
    }

    /// Whether there are as many boards of a line as any plan can use: one for each part that fits it, and at least one.
    fn is_ample(&self, board_idx: usize) -> bool {
        let Some(supply) = self.supply(board_idx) else {
            return true;
        };
        let fitting: u64 = (0..self.classes.len())
            .filter(|&class| self.fits(class, board_idx))
            .map(|class| self.classes[class].count)
            .sum();
        supply > 0 && u64::from(supply) >= fitting
    }

    /// Whether a board gives a single strip however sections are taken from it in one of these ways.
    fn is_one_strip(&self, board_idx: usize, takings: impl Iterator<Item = Taken>) -> bool {
        let widths = takings.filter_map(|taken| match taken {
            Taken::Whole => None,
            Taken::Ripped { width_nm } => Some(width_nm),
        });
        match (self.room(board_idx), widths.min()) {
            (Some(room), Some(narrowest)) => narrowest * 2 + self.rip_kerf() > room,
            _ => true,
        }
    }
}

//! What fits a board, and which board is as good as another.

use super::across::reachable;
use super::model::Model;
use super::rips::Ways;
use crate::length::Length;
use crate::stock::{Run, Taking, usable_length};

impl Model<'_> {
    /// The clear runs along a strip of a board, which begins and ends there across it; `None` where the strip is the board.
    pub(super) fn runs(&self, board_idx: usize, section: usize, across: Option<Run>) -> Vec<Run> {
        let board = &self.job.boards[board_idx];
        let widest = self
            .classes
            .iter()
            .filter(|class| class.section == section)
            .map(|class| class.kerf)
            .max();
        board.clear_runs(
            self.job.shop.end_trim,
            widest.unwrap_or(Length::ZERO),
            |defect| match (across, &self.job.shop.rip) {
                (Some(across), Some(rip)) => defect.reaches(board, rip, across),
                _ => true,
            },
        )
    }

    /// The longest clear run of a section on a board, wherever across it its strips may lie.
    fn longest_run(&self, board_idx: usize, section: usize) -> Option<Length> {
        let board = &self.job.boards[board_idx];
        let is_ripped = matches!(
            self.takings[board_idx][section],
            Some(Taking::Ripped { .. })
        );
        let longest = |across| {
            let runs = self.runs(board_idx, section, across);
            runs.into_iter().map(|(from, to)| to - from).max()
        };
        match &self.job.shop.rip {
            Some(rip) if is_ripped && board.has_partial_defects() => {
                reachable(board, rip, &self.ripped(board_idx))
                    .into_iter()
                    .filter(|&(other, _)| other == section)
                    .filter_map(|(_, across)| longest(Some(across)))
                    .max()
            }
            _ => longest(None),
        }
    }

    /// The sections that are ripped from a board, each with the width of its strips.
    pub(super) fn ripped(&self, board_idx: usize) -> Vec<(usize, Length)> {
        let takings = self.takings[board_idx].iter().enumerate();
        takings
            .filter_map(|(section, taken)| match taken {
                Some(Taking::Ripped { width }) => Some((section, *width)),
                Some(Taking::Whole) | None => None,
            })
            .collect()
    }

    /// Whether a part of `class` can be cut from a board of line `board_idx`, supply apart.
    pub(super) fn fits(&self, class: usize, board_idx: usize) -> bool {
        let class = &self.classes[class];
        self.supply(board_idx) != Some(0)
            && self.takings[board_idx][class.section].is_some()
            && self
                .longest_run(board_idx, class.section)
                .is_some_and(|run| class.length <= run)
    }

    /// Whether a board of line `by`, of which there always is one, can stand in for one of line `board_idx` that is cut
    /// into parts of `needed`, which all fit it and can be cut from one board of it together, and costs no more.
    pub(super) fn replaces(&self, by: usize, board_idx: usize, needed: &[usize]) -> bool {
        let takings = |board_idx: usize| {
            needed
                .iter()
                .filter_map(move |&class| self.takings[board_idx][self.classes[class].section])
        };
        // One strip for one strip; whether `by` is ripped for it does not matter.
        // Where there may be several, `by` must give the same ones, side by side.
        let as_wide = takings(by).all(|taken| taken != Taking::Whole)
            && self.job.boards[by].width >= self.job.boards[board_idx].width;
        let usable = |board_idx: usize| {
            usable_length(self.job.boards[board_idx].length, self.job.shop.end_trim)
        };
        // A board without defects bears at its places all that one with defects does.
        let at_its_places = self.job.boards[by].defects.is_empty()
            && (as_wide || self.is_one_strip(board_idx, takings(board_idx)))
            && usable(by) >= usable(board_idx);
        takings(by).count() == needed.len()
            && self.is_ample(by)
            && self.costs[by] <= self.costs[board_idx]
            && (at_its_places || self.holds_single_strip(by, board_idx, needed))
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

    /// Whether there are as many boards of a line as any plan can use: one for each part that fits it.
    fn is_ample(&self, board_idx: usize) -> bool {
        let Some(supply) = self.supply(board_idx) else {
            return true;
        };
        let fitting: u64 = (0..self.classes.len())
            .filter(|&class| self.fits(class, board_idx))
            .map(|class| u64::from(self.classes[class].count))
            .sum();
        u64::from(supply) >= fitting
    }

    /// Whether a board gives a single strip however sections are taken from it in one of these ways.
    fn is_one_strip(&self, board_idx: usize, takings: impl Iterator<Item = Taking>) -> bool {
        let narrowest = takings
            .filter_map(|taken| match taken {
                Taking::Whole => None,
                Taking::Ripped { width } => Some(width),
            })
            .min();
        match (
            &self.job.shop.rip,
            self.job.boards[board_idx].width,
            narrowest,
        ) {
            (Some(rip), Some(width), Some(narrowest)) => narrowest * 2 + rip.kerf > rip.room(width),
            _ => true,
        }
    }
}

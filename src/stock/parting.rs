//! How a board is parted into sticks before it is used: cut at the yard, resawn, both, or neither.

use std::collections::BTreeSet;

use crate::length::Length;
use crate::stock::{Board, Rip, Run};

/// A way to part a board.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Parting {
    /// Where the yard cuts it, from its near end.
    pub yard_cuts: Vec<Length>,
    /// What it is resawn into, or all that the yard has cut it into, if it is.
    pub slices: Option<Slices>,
}

/// What a board is resawn into.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Slices {
    /// How thick each is once it is planed.
    pub thickness: Length,
    /// How many there are.
    pub count: usize,
}

impl Parting {
    /// Whether it leaves the board as it is.
    pub fn is_whole(&self) -> bool {
        self.yard_cuts.is_empty() && self.slices.is_none()
    }

    /// Where along a board its sticks lie, from the near end; slices lie over each other.
    pub fn runs(&self, board: &Board) -> Vec<Run> {
        let n_slices = self.slices.map_or(1, |slices| slices.count);
        let parted = board.parted(&self.yard_cuts).into_iter();
        parted
            .flat_map(|run| std::iter::repeat_n(run, n_slices))
            .collect()
    }

    /// Its sticks, each as a board of its own.
    pub fn sticks(&self, board: &Board) -> Vec<Board> {
        let stick = |run: Run| match self.slices {
            Some(slices) => board.slice(run, slices.thickness),
            None => board.stretch(run),
        };
        self.runs(board).into_iter().map(stick).collect()
    }
}

impl Board {
    /// All ways to part it, where parts of these thicknesses are wanted of it: those without resawing first.
    pub fn partings(&self, rip: Option<&Rip>, wanted: &BTreeSet<Length>) -> Vec<Parting> {
        let resawn = wanted.iter().filter_map(|&thickness| {
            let count = self.slices(rip, thickness)?;
            Some(Slices { thickness, count })
        });
        let slices: Vec<Option<Slices>> = std::iter::once(None).chain(resawn.map(Some)).collect();
        let yard_ways = self.yard_ways();
        let parting = |slices| {
            yard_ways.iter().map(move |yard_cuts| Parting {
                yard_cuts: yard_cuts.clone(),
                slices,
            })
        };
        slices.into_iter().flat_map(parting).collect()
    }
}

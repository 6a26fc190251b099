//! The answer to a job: sheets with every strip and piece at its place, and what is proved of it.

use super::certificate::Certificate;
use super::job::Along;
use crate::cutting::{Bound, End};

/// A piece on a strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Piece {
    /// Index of the item.
    pub item: usize,
    /// Where it begins along the strip, from the edge of the sheet.
    pub at: i64,
    /// Whether it is turned by a right angle: its width then lies along the height of the sheet.
    pub turned: bool,
}

/// A strip of a sheet, made by first cuts; its pieces begin where it begins across.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Strip {
    /// Where it begins across the strips, from the edge of the sheet.
    pub at: i64,
    /// How wide it is: as its widest piece. Narrower ones are trimmed by a cut along the strip.
    pub width: i64,
    /// Its pieces, one after another; at least one.
    pub pieces: Vec<Piece>,
}

/// A sheet that is cut.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CutSheet {
    /// Index of its kind.
    pub kind: usize,
    /// Which way its strips run.
    pub along: Along,
    /// Its strips, one after another; at least one.
    pub strips: Vec<Strip>,
}

/// A plan for a whole job.
///
/// Every item is cut exactly `demand - missing` times.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetPlan {
    /// The sheets, by kind, direction and what is on them.
    pub sheets: Vec<CutSheet>,
    /// `missing[i]` pieces of item `i` find no place on the sheets there are.
    pub missing: Vec<u32>,
    /// What the sheets cost.
    pub cost: i64,
    /// What is proved; equal to missing pieces and cost exactly where `end` is `Proved`.
    pub bound: Bound,
    /// Why the search ended.
    pub end: End,
    /// What proves the bound.
    pub certificate: Certificate,
}

impl SheetPlan {
    /// How many pieces are missing in all.
    pub fn n_missing(&self) -> u64 {
        self.missing.iter().map(|&count| u64::from(count)).sum()
    }
}

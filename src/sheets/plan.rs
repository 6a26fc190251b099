//! The answer to a job: sheets with every strip and piece at its place, and what is proved of it.

use super::certificate::Certificate;
use super::job::{Along, Stages};
use crate::cutting::{Bound, End};

/// A piece of a stack.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Piece {
    /// Index of the item.
    pub item: usize,
    /// Where it begins across the strips, from the edge of the sheet.
    pub at: i64,
    /// Whether it is turned by a right angle: its width then lies along the height of the sheet.
    pub turned: bool,
}

/// What second cuts part from a strip, as wide as that: pieces one above another, which begin where it begins along the strip.
///
/// In two stages of cuts it is one piece; third cuts, along the strip, part several.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stack {
    /// Where it begins along the strip, from the edge of the sheet.
    pub at: i64,
    /// How long it is along the strip: as its longest piece. Shorter ones are trimmed by a cut across the strip.
    pub length: i64,
    /// Its pieces, one above another; at least one.
    pub pieces: Vec<Piece>,
}

/// A strip of a sheet, made by first cuts; its stacks begin where it begins across.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Strip {
    /// Where it begins across the strips, from the edge of the sheet.
    pub at: i64,
    /// How wide it is: as its widest stack, from the first piece to the end of the last. What is left of a narrower one is
    /// taken off by a cut along the strip.
    pub width: i64,
    /// Its stacks, one after another; at least one.
    pub stacks: Vec<Stack>,
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

impl CutSheet {
    /// Its pieces, strip by strip and there stack by stack.
    pub fn pieces(&self) -> impl Iterator<Item = &Piece> {
        let stacks = self.strips.iter().flat_map(|strip| &strip.stacks);
        stacks.flat_map(|stack| &stack.pieces)
    }

    /// In how many stages it is cut: three where some stack has several pieces, else two; trimming is none.
    pub fn stages(&self) -> Stages {
        let mut stacks = self.strips.iter().flat_map(|strip| &strip.stacks);
        if stacks.any(|stack| stack.pieces.len() > 1) {
            Stages::Three
        } else {
            Stages::Two
        }
    }
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
    /// What is proved of plans in two stages; equal to missing pieces and cost exactly where `end` is `Proved`. Only a plan in
    /// three stages can cost less.
    pub bound: Bound,
    /// Why the search ended.
    pub end: End,
    /// What proves the bound.
    pub certificate: Certificate,
}

impl SheetPlan {
    /// In how many stages it is cut.
    pub fn stages(&self) -> Stages {
        let stages = self.sheets.iter().map(CutSheet::stages);
        stages.max().unwrap_or_default()
    }

    /// How many pieces are missing in all.
    pub fn n_missing(&self) -> u64 {
        self.missing.iter().map(|&count| u64::from(count)).sum()
    }
}

//! The answer to an instance: boards with their patterns, and what has been proved of them.

use super::certificate::InstanceProof;

/// How a strip is cut: some items with a count each.
///
/// Item indices rise, counts are 1 or more; an empty pattern leaves the strip whole.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pattern {
    /// `(item, count)`.
    pub counts: Vec<(usize, u32)>,
}

/// Some boards of one kind, all divided and cut alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardUse {
    /// Index of the stock.
    pub stock: usize,
    /// Index of the layout within the stock.
    pub layout: usize,
    /// One pattern for each strip of the layout, in the layout's order.
    pub patterns: Vec<Pattern>,
    /// How many boards, 1 or more.
    pub times: u32,
}

/// A proved lower bound on the lexicographic objective.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Bound {
    /// No plan leaves fewer pieces missing.
    pub missing_pieces: u64,
    /// No plan with `missing_pieces` missing costs less.
    pub cost: i64,
}

/// Why the search ended, the worse the greater.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum End {
    /// Value and bound met.
    Proved,
    /// The solver's own limits on work were reached; the same on every machine.
    WorkLimit,
    /// The caller asked to stop (time limit or interrupt).
    Stopped,
}

/// The answer to an instance.
///
/// Every item is cut exactly `demand - missing` times, never more.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Solution {
    /// The boards used.
    pub boards: Vec<BoardUse>,
    /// `missing[i]` pieces of item `i` could not be cut from the supply.
    pub missing: Vec<u32>,
    /// Total cost of the boards used.
    pub cost: i64,
    /// What has been proved; equal to the value (missing pieces and cost) exactly when `end` is `Proved`.
    pub bound: Bound,
    /// Why the search ended.
    pub end: End,
    /// Prices from which the bound can be checked.
    pub certificate: Option<InstanceProof>,
    /// Boards that the search found useful, none of each: one for a like instance may begin with how they are cut.
    pub patterns: Vec<BoardUse>,
}

/// Adds `count` of `item` to `(item, count)` entries, which stand by rising item and stay so.
pub fn add_count(counts: &mut Vec<(usize, u32)>, item: usize, count: u32) {
    match counts.binary_search_by_key(&item, |entry| entry.0) {
        Ok(at) => counts[at].1 += count,
        Err(at) => counts.insert(at, (item, count)),
    }
}

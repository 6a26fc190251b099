//! Every limit of the search in three stages, each with what it decides.

use crate::solve::Share;

/// Sums of sizes that are looked at, across or along; where there are more, three stages are not searched.
pub(super) const MOST_WIDTHS: usize = 4_000;
/// Work of the whole search, if no less is allowed: some two seconds.
pub(super) const SHARE: Share = Share::steps(400_000_000);
/// Work of a table besides its cells, so that small ones reach the limit too.
pub(super) const TABLE_WORK: u64 = 4_000;
/// The same of one of its rows.
pub(super) const ROW_WORK: usize = 20;
/// Kinds of sheets whose sets are listed at most; each is one level of recursion.
pub(super) const MOST_KINDS: usize = 300;
/// Cases that are looked at when sets of sheets are listed; where there are more, some sets are left out.
pub(super) const MOST_NODES: usize = 50_000;
/// Sets of sheets for which prices are sought that rule them out, those worth most first.
pub(super) const MOST_REFUTED: usize = 60;
/// Work up to which that is begun: some second.
pub(super) const REFUTE_WORK: u64 = 200_000_000;
/// Sets of sheets that are filled at most, those worth most first.
pub(super) const MOST_SETS: usize = 40;
/// Rounds of filling some sheets of a set anew before it is begun anew.
pub(super) const ROUNDS: usize = 30;

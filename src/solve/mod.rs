//! Solves a cutting-stock instance and proves a lower bound in integers.

use crate::cutting::{Instance, Solution};

/// What the caller may steer.
pub struct Control<'a> {
    /// Asked now and then; `true` ends the search with the best solution so far.
    pub stop: &'a (dyn Fn() -> bool + Sync),
    /// Told of each better value or bound.
    pub progress: &'a (dyn Fn(Progress) + Sync),
}

/// How far the search has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Cost of the best solution so far.
    pub value: i64,
    /// Best bound so far.
    pub bound: i64,
}

/// Solves `instance`.
pub fn solve(instance: &Instance, control: &Control<'_>) -> Solution {
    let _ = (instance, control);
    unimplemented!("the solver is written next")
}

//! Solves a cutting-stock instance and proves a lower bound in integers.
//!
//! The way of an instance: its components are solved one after another, each by its `blocks` if that will do; `normalize`
//! makes a `problem` of what is solved as one, for which
//! `heuristic` builds plans, `master` solves the linear relaxation by column generation over `lp` and `knapsack`,
//! `bound` turns duals into proofs, and `branch` closes what gap is left.
//! Start reading at [`solve`], then `blocks`, `component`, `branch`.
//!
//! Who asks for many instances that have much in common asks a [`Session`], which remembers components.

mod blocks;
mod bound;
mod branch;
mod certify;
mod check;
mod component;
mod dealt;
pub(crate) mod draw;
mod heuristic;
mod knapsack;
pub(crate) mod lp;
mod master;
pub(crate) mod meter;
mod normalize;
mod outright;
mod params;
mod problem;
mod session;
mod taken;
mod threads;
mod tiers;

use std::sync::Arc;

use crate::cutting::{BoardUse, Component, Instance, Solution};

use meter::Meter;

pub use meter::Share;
pub use outright::rules_out;
pub use session::{Session, Task};
pub use threads::{both, in_parallel};

/// What the caller may steer.
pub struct Control<'a> {
    /// Asked now and then; `true` ends the search with the best solution so far.
    pub stop: &'a (dyn Fn() -> bool + Sync),
    /// Told of each better value or bound.
    pub progress: &'a (dyn Fn(Progress) + Sync),
}

impl<'a> Control<'a> {
    /// The same for a search that tells nothing of its progress.
    #[must_use]
    pub fn quiet(&self) -> Control<'a> {
        Control {
            stop: self.stop,
            progress: &|_| {},
        }
    }
}

/// What is known of an instance before the search.
#[derive(Clone, Copy, Debug, Default)]
pub struct Known<'a> {
    /// Only plans that cost less are of interest: the search ends when it is proved that there is none.
    pub below: Option<i64>,
    /// Boards to begin with: a plan, or what makes one with boards that are found for what they lack. What does not fit, and
    /// what is cut or taken beyond demand and supply, is passed over; of boards of which there are none it is of use how
    /// they are cut.
    pub start: &'a [BoardUse],
}

/// How far the search has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Cost of the best solution so far.
    pub value: i64,
    /// Best bound so far.
    pub bound: i64,
}

/// Solves `instance` with nothing known of it.
///
/// # Panics
/// As [`solve_knowing`].
pub fn solve(instance: &Instance, control: &Control<'_>) -> Solution {
    solve_knowing(instance, &Known::default(), control)
}

/// Solves `instance`.
///
/// The answer always is a feasible solution: every item is cut as often as wanted or counted as missing.
/// With the same instance, the same knowledge and a `stop` that never asks for the end, the answer is the same on every
/// machine.
///
/// # Panics
/// Only if the solver itself is at fault: the solution is checked against the instance before it is returned.
pub fn solve_knowing(instance: &Instance, known: &Known<'_>, control: &Control<'_>) -> Solution {
    let stop = || (control.stop)();
    let meter = Meter::new(&stop, Share::FULL);
    let components = instance.components();
    let none = vec![None; components.len()];
    let solved = in_turn(&components, none, known, control, |own, known, control| {
        Arc::new(blocks::solve(
            &own.instance,
            known,
            &meter,
            control.progress,
        ))
    });
    put_together(instance, components.iter().zip(&solved))
}

/// Solves those of `components` that are not `solved` yet, one after another.
///
/// What is known of the whole is told of each: it costs less than what is asked for less what the others cost at least.
fn in_turn(
    components: &[Component],
    solved: Vec<Option<Arc<Solution>>>,
    known: &Known<'_>,
    control: &Control<'_>,
    solve: impl Fn(&Component, &Known<'_>, &Control<'_>) -> Arc<Solution>,
) -> Vec<Arc<Solution>> {
    let mut so_far = Progress { value: 0, bound: 0 };
    for solution in solved.iter().flatten() {
        so_far = so_far.and(solution.cost, solution.bound.cost);
    }
    let mut solve_next = |own: &Component| {
        let start = own.lower(known.start);
        let known = Known {
            below: known.below.map(|below| below.saturating_sub(so_far.bound)),
            start: &start,
        };
        let progress = |own: Progress| (control.progress)(so_far.and(own.value, own.bound));
        let control = Control {
            stop: control.stop,
            progress: &progress,
        };
        let solution = solve(own, &known, &control);
        so_far = so_far.and(solution.cost, solution.bound.cost);
        solution
    };
    let solved = components.iter().zip(solved);
    solved
        .map(|(own, solved)| solved.unwrap_or_else(|| solve_next(own)))
        .collect()
}

/// The solution of the whole out of those of its components.
fn put_together<'a>(
    instance: &Instance,
    solved: impl Iterator<Item = (&'a Component, &'a Arc<Solution>)>,
) -> Solution {
    let whole = Solution::of_components(instance, solved.map(|(own, solution)| (own, &**solution)));
    check::assert_feasible(instance, &whole);
    whole
}

impl Progress {
    /// The same with a component more.
    fn and(self, value: i64, bound: i64) -> Progress {
        Progress {
            value: self.value.saturating_add(value),
            bound: self.bound.saturating_add(bound),
        }
    }
}

#[cfg(test)]
mod tests;

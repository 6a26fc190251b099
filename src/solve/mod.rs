//! Solves a cutting-stock instance and proves a lower bound in integers.
//!
//! The way of an instance: `normalize` splits it into connected parts; each part is a `problem`, for which
//! `heuristic` builds plans, `master` solves the linear relaxation by column generation over `lp` and `knapsack`,
//! `bound` turns prices into proofs, and `branch` closes what gap is left.
//! Start reading at [`solve`], then `component`, then `branch`.

mod bound;
mod branch;
mod certify;
mod component;
mod heuristic;
mod knapsack;
mod lp;
mod master;
mod meter;
mod normalize;
mod params;
mod problem;
mod taken;

use crate::cutting::{BoardUse, Bound, Certificate, End, Instance, Solution};

use component::Wanted;
use meter::Meter;

/// What the caller may steer.
pub struct Control<'a> {
    /// Asked now and then; `true` ends the search with the best solution so far.
    pub stop: &'a (dyn Fn() -> bool + Sync),
    /// Told of each better value or bound.
    pub progress: &'a (dyn Fn(Progress) + Sync),
}

/// What is known of an instance before the search.
#[derive(Clone, Copy, Debug, Default)]
pub struct Known<'a> {
    /// Only plans that cost less are of interest: the search ends when it is proved that there is none.
    pub below: Option<i64>,
    /// A plan to begin with; of a part of the instance for which it does not cut everything in the demand, or takes what
    /// is not there, it is passed over.
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
    let meter = Meter::new(&stop);
    let (parts, placed) = normalize::split(instance);
    let mut missing: Vec<u32> = instance
        .items
        .iter()
        .zip(&placed)
        .map(|(item, &placed)| if placed { 0 } else { item.demand })
        .collect();
    let mut missing_bound: u64 = weigh(instance, &missing);
    let mut boards = Vec::new();
    let (mut cost, mut cost_bound) = (0i128, 0i128);
    let mut proved = true;
    let mut certificate = Certificate::default();
    for part in &parts {
        let unit = i128::from(part.cost_unit);
        let report = |value: i64, bound: i64| {
            // Parts already solved count with their own values.
            let value = cost + i128::from(value) * unit;
            let bound = cost_bound + i128::from(bound) * unit;
            (control.progress)(Progress {
                value: clamp(value),
                bound: clamp(bound),
            });
        };
        // What is known of several parts together says nothing of one of them.
        let below = known.below.filter(|_| parts.len() == 1);
        let wanted = Wanted {
            below: below.map_or(i64::MAX, |below| div_ceil(below, part.cost_unit)),
            start: part.lower(known.start),
        };
        let answer = component::solve(&part.problem, &wanted, &meter, &report);
        part.raise(
            instance,
            &answer.problem,
            &answer.plan,
            &mut boards,
            &mut missing,
        );
        proved &= answer.proved;
        certificate
            .parts
            .extend(answer.tree.map(|tree| tree.raise(part)));
        missing_bound += answer.missing_bound;
        cost += i128::from(answer.cost) * unit;
        cost_bound += i128::from(answer.cost_bound) * unit;
    }
    let end = if proved {
        End::Proved
    } else {
        meter.end().unwrap_or(End::WorkLimit)
    };
    let solution = Solution {
        boards,
        missing,
        cost: clamp(cost),
        bound: Bound {
            missing_pieces: missing_bound,
            cost: clamp(cost_bound),
        },
        end,
        certificate: Some(certificate),
    };
    assert_feasible(instance, &solution);
    solution
}

/// `value / unit`, rounded up.
fn div_ceil(value: i64, unit: i64) -> i64 {
    value.div_euclid(unit) + i64::from(value.rem_euclid(unit) > 0)
}

fn clamp(value: i128) -> i64 {
    i64::try_from(value).unwrap_or(i64::MAX)
}

fn weigh(instance: &Instance, missing: &[u32]) -> u64 {
    instance
        .items
        .iter()
        .zip(missing)
        .map(|(item, &count)| u64::from(item.pieces) * u64::from(count))
        .sum()
}

/// Checks in integers that `solution` answers `instance`.
fn assert_feasible(instance: &Instance, solution: &Solution) {
    let mut cut: Vec<u64> = vec![0; instance.items.len()];
    let mut used: Vec<u64> = vec![0; instance.stocks.len()];
    let mut cost = 0i128;
    for board in &solution.boards {
        let stock = &instance.stocks[board.stock];
        let layout = &stock.layouts[board.layout];
        assert_eq!(
            layout.strips.len(),
            board.patterns.len(),
            "one pattern for each strip"
        );
        for (&strip, pattern) in layout.strips.iter().zip(&board.patterns) {
            let strip = &instance.strips[strip];
            let mut length = 0i128;
            for &(item, count) in &pattern.counts {
                assert!(
                    strip.items.contains(&item),
                    "an item lies on a strip that may hold it"
                );
                length += i128::from(instance.items[item].size) * i128::from(count);
                cut[item] += u64::from(count) * u64::from(board.times);
            }
            assert!(
                pattern.counts.is_empty() || length <= i128::from(strip.capacity),
                "a pattern fits its strip"
            );
        }
        used[board.stock] += u64::from(board.times);
        cost += i128::from(stock.cost) * i128::from(board.times);
    }
    for (idx, item) in instance.items.iter().enumerate() {
        assert_eq!(
            cut[idx] + u64::from(solution.missing[idx]),
            u64::from(item.demand),
            "each piece is cut once"
        );
    }
    for (stock, &used) in instance.stocks.iter().zip(&used) {
        assert!(
            stock.supply.is_none_or(|supply| used <= u64::from(supply)),
            "no stock is used beyond its supply"
        );
    }
    assert_eq!(clamp(cost), solution.cost, "the cost is that of the boards");
    let value = Bound {
        missing_pieces: weigh(instance, &solution.missing),
        cost: solution.cost,
    };
    assert!(
        solution.bound <= value,
        "no bound lies above the value it bounds"
    );
    assert_eq!(
        solution.bound == value,
        solution.end == End::Proved,
        "a proof is where value and bound meet"
    );
}

#[cfg(test)]
mod tests;

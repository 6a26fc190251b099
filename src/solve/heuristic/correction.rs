//! Sequential value correction: one pattern after another is the one worth most at values that learn from waste.
//!
//! # Source
//! E. A. Mukhacheva, A. S. Mukhacheva, sequential value correction; as told by G. Belov, G. Scheithauer, A
//! branch-and-cut-and-price algorithm for one-dimensional stock cutting and two-dimensional two-stage cutting, EJOR 171
//! (2006), doi 10.1016/j.ejor.2004.08.036; several lengths and costs: the cost of a board in place of its length.
#![expect(
    clippy::float_arithmetic,
    reason = "values only steer the choice of patterns; plans are checked in integers"
)]
#![expect(clippy::cast_precision_loss, reason = "sizes and costs as values only")]

use super::super::knapsack::{Fill, Knapsack};
use super::super::meter::Meter;
use super::super::params::{INERTIA, PROFIT_BITS, SCATTER, SIZE_POWER};
use super::super::problem::{CutBoard, Problem, times_within};

/// The values of the items and what they are computed with, over any number of passes.
pub(in super::super) struct Correction<'p> {
    problem: &'p Problem,
    knapsacks: Vec<Knapsack>,
    /// `values[i]` is what one of item `i` should cost, in units of the dearest board.
    values: Vec<f64>,
    /// Sizes in terms of the largest, raised to a power a little above one.
    weights: Vec<f64>,
    n_passes: u32,
}

impl<'p> Correction<'p> {
    /// A start from `values`, in units of the dearest board; `None` where boards are ripped or pieces left out.
    pub(in super::super) fn new(problem: &'p Problem, values: Vec<f64>) -> Option<Correction<'p>> {
        let is_plain = problem
            .kinds
            .iter()
            .all(|kind| !kind.absent && kind.layouts.iter().all(|layout| layout.len() == 1));
        if !is_plain {
            return None;
        }
        let largest = problem.sizes.iter().copied().max().unwrap_or(1).max(1) as f64;
        Some(Correction {
            problem,
            knapsacks: Knapsack::by_group(problem),
            values,
            weights: problem
                .sizes
                .iter()
                .map(|&size| (size as f64 / largest).powf(SIZE_POWER))
                .collect(),
            n_passes: 0,
        })
    }

    /// One pass: boards for the whole demand, or `None` where the supply does not do or the meter ended the search.
    pub(in super::super) fn pass(&mut self, meter: &Meter<'_>) -> Option<Vec<(CutBoard, u32)>> {
        self.n_passes += 1;
        let problem = self.problem;
        let mut left = problem.demand.clone();
        let mut supply: Vec<u32> = problem.kinds.iter().map(|kind| kind.limit).collect();
        let mut boards = Vec::new();
        while left.iter().any(|&count| count > 0) {
            let board = self.next_board(&left, &supply, meter)?;
            let times = times_within(&board.counts, &left).min(supply[board.kind]);
            for &(item, count) in &board.counts {
                left[item] -= count * times;
            }
            supply[board.kind] -= times;
            self.learn(&board, times, &left, boards.len());
            boards.push((board, times));
            if meter.halted() {
                return None;
            }
        }
        Some(boards)
    }

    /// The board whose pattern is worth most for its cost; one that takes all that is left, if nothing costs less.
    fn next_board(&mut self, left: &[u32], supply: &[u32], meter: &Meter<'_>) -> Option<CutBoard> {
        let problem = self.problem;
        let largest = self
            .values
            .iter()
            .copied()
            .fold(f64::MIN_POSITIVE, f64::max);
        let all_left: i64 = (0..left.len())
            .map(|item| problem.sizes[item].saturating_mul(i64::from(left[item])))
            .fold(0, i64::saturating_add);
        for group in 0..self.knapsacks.len() {
            let items = problem.groups[group].iter().map(|&item| {
                (
                    item,
                    problem.sizes[item],
                    profit(self.values[item] / largest),
                    left[item],
                )
            });
            self.knapsacks[group].fill(items, Fill::Fitting, meter);
        }
        let mut best: Option<(f64, CutBoard)> = None;
        let mut last: Option<(i64, CutBoard)> = None;
        for (kind_idx, kind) in problem.kinds.iter().enumerate() {
            if supply[kind_idx] == 0 {
                continue;
            }
            for (layout, strips) in kind.layouts.iter().enumerate() {
                let strip = problem.strips[strips[0]];
                let knapsack = &self.knapsacks[strip.group];
                let (found, _) = knapsack.best(strip.capacity, 0, None, &[], meter);
                let Some(found) = found else { continue };
                let cost = kind.cost_in(layout);
                let worth = f64::from(found.value) / (cost as f64).max(f64::MIN_POSITIVE);
                let board = CutBoard {
                    kind: kind_idx,
                    layout,
                    counts: found.counts,
                    parts: Vec::new(),
                };
                let filled: i64 = board
                    .counts
                    .iter()
                    .map(|&(item, count)| problem.sizes[item] * i64::from(count))
                    .sum();
                if filled == all_left && last.as_ref().is_none_or(|known| cost < known.0) {
                    last = Some((cost, board.clone()));
                }
                if best.as_ref().is_none_or(|known| worth > known.0) {
                    best = Some((worth, board));
                }
            }
        }
        match (last, best) {
            (Some((cost, last)), Some((_, best)))
                if cost <= problem.kinds[best.kind].cost_in(best.layout) =>
            {
                Some(last)
            }
            (_, best) => best.map(|(_, board)| board),
        }
    }

    /// Moves the values of what was cut towards its share of what the board cost.
    fn learn(&mut self, board: &CutBoard, times: u32, left: &[u32], step: usize) {
        let cost = self.problem.kinds[board.kind].cost_in(board.layout) as f64
            / self.problem.dearest() as f64;
        let total: f64 = board
            .counts
            .iter()
            .map(|&(item, count)| self.weights[item] * f64::from(count))
            .sum();
        // A fixed scatter between 2/3 and 3/2 of how much the past counts.
        let turn = f64::from(self.n_passes) * SCATTER[1] + step as f64 * SCATTER[2];
        let inertia = INERTIA.powf(2.0 * (turn % 1.0) - 1.0);
        for &(item, count) in &board.counts {
            let share = cost * self.weights[item] / total;
            let past = inertia * f64::from(self.problem.demand[item].saturating_add(left[item]));
            let present = f64::from(count.saturating_mul(times));
            self.values[item] = (past * self.values[item] + present * share) / (past + present);
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a share of the largest profit, between 0 and 2 to the power of [`PROFIT_BITS`]"
)]
fn profit(share: f64) -> i32 {
    (share * f64::from(1 << PROFIT_BITS)).round().max(1.0) as i32
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::super::meter::Share;
    use super::super::super::problem::{GroupedStrip, StockKind};
    use super::*;

    /// Boards of the given `(length, cost)`, as many as wanted.
    fn plain(items: &[(i64, u32)], boards: &[(i64, i64)]) -> Problem {
        Problem {
            sizes: items.iter().map(|item| item.0).collect(),
            demand: items.iter().map(|item| item.1).collect(),
            weights: vec![1; items.len()],
            is_single: vec![true; items.len()],
            strips: boards
                .iter()
                .map(|board| GroupedStrip {
                    capacity: board.0,
                    group: 0,
                })
                .collect(),
            groups: vec![(0..items.len()).collect()],
            besides: 0,
            kinds: boards
                .iter()
                .enumerate()
                .map(|(idx, board)| StockKind {
                    cost: board.1,
                    length: board.0,
                    limit: 1000,
                    limited: false,
                    layouts: vec![vec![idx]],
                    n_kept: 0,
                    absent: false,
                })
                .collect(),
        }
    }

    fn best_of(problem: &Problem, n_passes: u32) -> i64 {
        let stop = || false;
        let meter = Meter::new(&stop, Share::FULL);
        let mut correction =
            Correction::new(problem, vec![0.1; problem.n_items()]).expect("boards are plain");
        let plans = (0..n_passes).map(|_| {
            let boards = correction.pass(&meter).expect("supply is plenty");
            problem.plan_from(&boards).expect("the demand is met").cost
        });
        plans.min().expect("there are passes")
    }

    #[test]
    fn values_learn_what_first_fit_does_not_see() {
        // Derived: 3 boards of 10 hold 5 + 5, 4 + 3 + 3 and 4 + 3 + 3, all full; first fit decreasing lays 4 + 4 on
        // one board and needs a fourth.
        let problem = plain(&[(5, 2), (4, 2), (3, 4)], &[(10, 1)]);
        assert_eq!(best_of(&problem, 12), 3);
    }

    #[test]
    fn of_two_lengths_the_cheaper_for_what_it_holds_is_taken() {
        // Derived: four of 6 from two boards of 12 at 3 each, or from four boards of 6 at 2 each.
        let problem = plain(&[(6, 4)], &[(12, 3), (6, 2)]);
        assert_eq!(best_of(&problem, 1), 6);
    }

    proptest! {
        #![proptest_config(cases!())]

        #[test]
        fn every_pass_meets_the_demand_at_no_less_than_the_material_costs(
            items in prop::collection::btree_map(1i64..20, 1u32..6, 1..6),
            boards in prop::collection::vec((20i64..40, 1i64..30), 1..4),
        ) {
            let items: Vec<(i64, u32)> = items.into_iter().rev().collect();
            let problem = plain(&items, &boards);
            let cost = best_of(&problem, 4);
            let material: i64 = items.iter().map(|&(size, count)| size * i64::from(count)).sum();
            // No board holds more than its length: cost / material >= the least cost / length.
            prop_assert!(boards.iter().any(|&(length, price)| cost * length >= material * price));
        }
    }
}

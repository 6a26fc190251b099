//! Plans with the numbers of boards of a node's solution, where these are whole.
#![expect(
    clippy::float_arithmetic,
    reason = "values only steer; plans are checked in integers"
)]

use super::super::heuristic::fill::{Effort, SettledBoards, fill};
use super::super::master::ColumnSource;
use super::super::params::{FILL_PART, FILL_WORK, INTEGRAL_WITHIN, LEAST_FILL_WORK, REFILL_PART};
use super::BranchAndPrice;

/// What a node's solution says of boards, where it says it in whole numbers.
pub(super) struct SettledNumbers {
    boards: Vec<SettledBoards>,
    /// What they cost together.
    cost: i64,
    /// The patterns of the solution, each with the index of its boards.
    patterns: Vec<(usize, Vec<(usize, u32)>)>,
}

impl BranchAndPrice<'_, '_> {
    /// The numbers of boards of a solution, where all of them are whole, there is a choice of boards, and a fill is due that
    /// may find something better.
    pub(super) fn settled_numbers(&self, primal: &[(usize, f64)]) -> Option<SettledNumbers> {
        let is_due = self.fill_work * FILL_PART <= self.meter.work() - self.began;
        if self.nested || !is_due {
            return None;
        }
        let usage = self.master.usage();
        let mut place = vec![None; usage.len()];
        let mut boards = Vec::new();
        let mut cost = 0i128;
        for (source, &used) in usage.iter().enumerate() {
            let number = whole_number(used)?;
            if number == 0 {
                continue;
            }
            let ColumnSource::Whole {
                kind,
                layout,
                strip,
            } = self.master.sources[source]
            else {
                return None;
            };
            let kept = self.problem.kinds[kind].is_kept(layout);
            if kept {
                continue;
            }
            place[source] = Some(boards.len());
            cost += i128::from(self.problem.kinds[kind].cost) * i128::from(number);
            boards.push(SettledBoards {
                kind,
                layout,
                strip,
                number,
            });
        }
        // With one kind of board there is nothing that a second objective could spare.
        let cost = i64::try_from(cost).unwrap_or(i64::MAX);
        if boards.len() < 2 || cost >= self.cutoff() || !self.is_to_be_filled(&boards) {
            return None;
        }
        let patterns = primal.iter().filter_map(|&(column, _)| {
            let column = &self.master.columns()[column];
            let own = place[column.source]?;
            (!column.counts.is_empty())
                .then(|| (own, self.master.items.spelled_out(&column.counts)))
        });
        Some(SettledNumbers {
            patterns: patterns.collect(),
            boards,
            cost,
        })
    }

    /// Whether boards were not filled yet, or were in vain and may be tried again for a small part of all work.
    fn is_to_be_filled(&self, boards: &[SettledBoards]) -> bool {
        let is_cheap = self.fill_work * REFILL_PART <= self.meter.work() - self.began;
        is_cheap || !self.filled.contains_key(boards)
    }

    /// Looks for a plan with these numbers, unless by now it would be no better than the best.
    pub(super) fn fill(&mut self, settled: SettledNumbers) {
        if settled.cost >= self.cutoff() || self.meter.halted() {
            return;
        }
        let spent = self.meter.work() - self.began;
        let before = self.meter.work();
        let effort = Effort {
            work: (spent / FILL_PART).clamp(LEAST_FILL_WORK, FILL_WORK),
            turn: self.filled.get(&settled.boards).copied().unwrap_or(0),
        };
        let boards = fill(
            self.problem,
            &settled.boards,
            &settled.patterns,
            self.meter,
            effort,
        );
        self.fill_work += self.meter.work() - before;
        *self.filled.entry(settled.boards).or_default() += 1;
        if let Some(boards) = boards {
            self.offer(&boards);
            self.fill_work = 0;
        }
    }
}

/// The whole number that a value is.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a number of boards, not negative"
)]
fn whole_number(value: f64) -> Option<u32> {
    ((value - value.round()).abs() < INTEGRAL_WITHIN).then(|| value.round().max(0.0) as u32)
}

//! Full boards: where what is wanted takes every cell of as many boards as a better plan may have.
//!
//! Then a pattern that leaves a cell free is in no better plan, and the program does without it.
//! That tells at once of nodes which hold nothing better, and of which the program with all patterns tells it in its last
//! digits only: there a pattern with one cell free costs a plan next to nothing.
//!
//! What is proved of full patterns holds for all once a free cell has its price. Let `n` be the boards that a better plan
//! may have, `C` the cells of one, `a_i` those of an item, `p_i` duals at which no full pattern is worth more than `w`, and
//! `m` so large that one with `f` free cells is worth no more than `w + f m`. At duals `p_i + m a_i` no pattern is worth
//! more than `w + m C`, and as `sum d_i a_i = n C`, what is wanted is worth more than `n` boards wherever it is at `p_i`.
//! The two sums are exact, however large `m` is.
//!
//! # Source
//! That patterns with more waste than a better plan can have are left out: R. F. F. da Silva, R. C. S. Schouery, INFORMS
//! Journal on Computing 2025, doi 10.1287/ijoc.2023.0399. The duals for all patterns are derived here.

use super::super::bound::{self, IntegerDuals};
use super::super::knapsack::Knapsack;
use super::super::params::MOST_OF_CLASS;
use super::super::problem::GroupedStrip;
use super::{ColumnSource, Master, MasterColumn, NodeState};

impl Master<'_> {
    /// Bars all patterns but full ones where a plan for `state` below `budget` has none, and calls them back elsewhere.
    pub(super) fn fill_boards(&mut self, state: &NodeState, budget: i64) {
        let is_full = self.must_be_full(state, budget);
        if is_full != self.is_full {
            self.is_full = is_full;
            self.apply(state);
        }
    }

    /// Whether a better plan has none but full boards at the present node.
    pub(in super::super) fn is_full(&self) -> bool {
        self.is_full
    }

    /// Whether a column may be used as far as that goes.
    pub(super) fn may_fill(&self, column: &MasterColumn) -> bool {
        if !self.is_full {
            return true;
        }
        let Some((strip, knapsack)) = self.only_strip() else {
            return true;
        };
        let cells = column.counts.iter().map(|&(item, count)| {
            let own = knapsack.cells_of(self.items.sizes[item]);
            own.saturating_mul(count as usize)
        });
        cells.sum::<usize>() == knapsack.cells(strip.capacity)
    }

    /// The one strip that all is cut from, with its knapsack, where there is but one and cells tell as much as lengths.
    fn only_strip(&self) -> Option<(GroupedStrip, &Knapsack)> {
        let &[ColumnSource::Whole { strip, .. }] = &self.sources[..] else {
            return None;
        };
        let strip = self.problem.strips[strip];
        let knapsack = &self.knapsacks[strip.group];
        knapsack.is_exact().then_some((strip, knapsack))
    }

    fn must_be_full(&self, state: &NodeState, budget: i64) -> bool {
        let (Some((strip, knapsack)), [kind]) = (self.only_strip(), &self.problem.kinds[..]) else {
            return false;
        };
        let n_boards = bound::affordable(budget, kind.cost);
        // One board more must reach the budget, and it is the budget that forbids it.
        let is_last = kind.cost == 1 && kind.n_kept == 0 && self.problem.besides == 0;
        if !is_last || n_boards > state.supply[0] || !state.caps.is_empty() {
            return false;
        }
        let wanted = state.demand.iter().enumerate().map(|(item, &count)| {
            let own = knapsack.cells_of(self.items.sizes[item]);
            u128::from(count) * own as u128
        });
        wanted.sum::<u128>() == u128::from(n_boards) * knapsack.cells(strip.capacity) as u128
    }

    /// Duals that hold for all patterns: out of some that hold for full ones, with what a board is worth at most; without
    /// any, those of the cells alone, at which what is wanted is worth as many boards as it fills.
    ///
    /// To be called while the table is that of the duals.
    pub(super) fn beyond_full(
        &self,
        state: &NodeState,
        known: Option<(&IntegerDuals, i64)>,
    ) -> Option<IntegerDuals> {
        let (strip, knapsack) = self.only_strip()?;
        let whole = |cells: usize| i64::try_from(cells).unwrap_or(i64::MAX);
        let cells = knapsack.cells(strip.capacity);
        let (mut items, mut worth, mut free) = match known {
            None => (vec![0; self.items.sizes.len()], 0, 1),
            Some((duals, worth)) => {
                let by_cells = knapsack.by_cells()[..cells].iter().enumerate();
                let free = by_cells.map(|(taken, &own)| {
                    let left = whole(cells - taken);
                    ((i64::from(own) - worth).max(0) + left - 1) / left
                });
                (duals.items.clone(), worth, free.max().unwrap_or(0))
            }
        };
        loop {
            let priced = items.iter().zip(&self.items.sizes).zip(0..);
            let priced = priced.map(|((&dual, &size), item)| {
                let is_wanted = state.demand.get(item).is_some_and(|&count| count > 0);
                let of_cells = free.saturating_mul(whole(knapsack.cells_of(size)));
                if is_wanted {
                    dual.saturating_add(of_cells)
                } else {
                    0
                }
            });
            let priced: Vec<i64> = priced.collect();
            if priced.iter().all(|&dual| dual <= MOST_OF_CLASS) {
                return Some(IntegerDuals {
                    items: priced,
                    sets: Vec::new(),
                    scale: worth
                        .saturating_add(free.saturating_mul(whole(cells)))
                        .max(1),
                    unit: self.problem.dearest(),
                });
            }
            // Half of each, so rounded that it still holds.
            for dual in &mut items {
                *dual /= 2;
            }
            worth = worth / 2 + worth % 2;
            free = free / 2 + free % 2;
        }
    }
}

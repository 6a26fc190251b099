//! Depth-first search for the best pattern, cut off by the table.

use super::super::params::SEARCH_NODES;
use super::Knapsack;
use super::table::count_profit;

/// Depth-first search for the best pattern.
pub(super) struct PatternSearch<'a> {
    knapsack: &'a Knapsack,
    forbidden: &'a [&'a [(usize, u32)]],
    best: i32,
    counts: Vec<u32>,
    pub(super) found: Option<(i32, Vec<u32>)>,
    pub(super) nodes: u32,
    pub(super) cut_short: bool,
    /// How many layers now in the pattern clash with each item.
    present: Vec<u32>,
}

impl<'a> PatternSearch<'a> {
    /// A search for a pattern worth more than `above` that is none of the `forbidden`.
    pub(super) fn new(
        knapsack: &'a Knapsack,
        above: i32,
        forbidden: &'a [&'a [(usize, u32)]],
    ) -> PatternSearch<'a> {
        PatternSearch {
            knapsack,
            forbidden,
            best: above,
            counts: vec![0; knapsack.layers.len()],
            found: None,
            nodes: 0,
            cut_short: false,
            present: vec![0; knapsack.clashes.len()],
        }
    }

    fn bound(&self, idx: usize, rest: i64) -> i32 {
        let knapsack = self.knapsack;
        knapsack.table[idx * knapsack.width + knapsack.cells(rest).min(knapsack.width - 1)]
    }

    pub(super) fn descend(&mut self, mut idx: usize, rest: i64, value: i32) {
        let knapsack = self.knapsack;
        let n_layers = knapsack.layers.len();
        self.nodes += 1;
        if self.nodes > SEARCH_NODES {
            self.cut_short = true;
            return;
        }
        let cell = knapsack.cells(rest).min(knapsack.width - 1);
        loop {
            if value + knapsack.table[idx * knapsack.width + cell] <= self.best {
                return;
            }
            if idx == n_layers {
                if !self.forbidden.is_empty() {
                    let counts = knapsack.spelled_out(&self.counts);
                    if self.forbidden.iter().any(|pattern| **pattern == counts[..]) {
                        return;
                    }
                }
                self.best = value;
                self.found = Some((value, self.counts.clone()));
                return;
            }
            if knapsack.layers[idx].size <= rest {
                break;
            }
            idx += 1;
        }
        self.options(idx, rest, value, 0);
    }

    /// Tries every count of layer `idx` from `least` on, the most promising first.
    pub(super) fn options(&mut self, idx: usize, rest: i64, value: i32, least: u32) {
        let layer = self.knapsack.layers[idx];
        let fits = u32::try_from(rest / layer.size).unwrap_or(u32::MAX);
        let mut most = layer.most.min(fits);
        if !self.knapsack.clashes.is_empty() {
            if self.present[layer.item] > 0 {
                most = 0;
            } else if self.knapsack.clashes[layer.item].contains(&layer.item) {
                most = most.min(1);
            }
        }
        if least > most {
            return;
        }
        // The bound of a count falls off around the best one: go through counts by falling bound.
        let mut first = least;
        let mut first_bound = i32::MIN;
        for count in (least..=most).rev() {
            let bound = value
                + count_profit(layer.profit, count)
                + self.bound(idx + 1, rest - i64::from(count) * layer.size);
            if bound > first_bound {
                first_bound = bound;
                first = count;
            }
        }
        if first_bound <= self.best {
            return;
        }
        self.take(idx, rest, value, first);
        for count in (least..=most).rev() {
            if count == first {
                continue;
            }
            let rest_after = rest - i64::from(count) * layer.size;
            if value + count_profit(layer.profit, count) + self.bound(idx + 1, rest_after)
                > self.best
            {
                self.take(idx, rest, value, count);
            }
            if self.cut_short {
                return;
            }
        }
    }

    fn take(&mut self, idx: usize, rest: i64, value: i32, count: u32) {
        let knapsack = self.knapsack;
        let layer = knapsack.layers[idx];
        self.counts[idx] = count;
        let clashing = !knapsack.clashes.is_empty() && count > 0;
        if clashing {
            for &other in &knapsack.clashes[layer.item] {
                self.present[other] += 1;
            }
        }
        self.descend(
            idx + 1,
            rest - i64::from(count) * layer.size,
            value + count_profit(layer.profit, count),
        );
        if clashing {
            for &other in &knapsack.clashes[layer.item] {
                self.present[other] -= 1;
            }
        }
        self.counts[idx] = 0;
    }
}

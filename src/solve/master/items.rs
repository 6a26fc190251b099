//! The items of the master: those of the problem, and pairs of them merged into longer ones.

use crate::cutting::add_count;

use super::super::problem::Problem;

/// All items, merged ones behind those of the problem.
pub(in super::super) struct Items {
    n_own: usize,
    /// What each takes from a strip, in nanometers.
    pub(in super::super) sizes: Vec<i64>,
    /// The problem's own items within each.
    makeup: Vec<Vec<(usize, u32)>>,
    /// The two that each merged item stands for, the smaller index first, and its variant.
    pairs: Vec<(usize, usize, usize)>,
    /// The problem's groups, merged items included.
    pub(super) groups: Vec<Vec<usize>>,
}

impl Items {
    /// The problem's own.
    pub(super) fn new(problem: &Problem) -> Items {
        Items {
            n_own: problem.n_items(),
            sizes: problem.sizes.clone(),
            makeup: (0..problem.n_items()).map(|item| vec![(item, 1)]).collect(),
            pairs: Vec::new(),
            groups: problem.groups.clone(),
        }
    }

    /// The item that stands for one of `first` and one of `second` in one pattern, and whether it is new.
    ///
    /// `variant` tells apart copies with different histories.
    pub(super) fn merge(&mut self, first: usize, second: usize, variant: usize) -> (usize, bool) {
        let pair = (first.min(second), first.max(second), variant);
        if let Some(known) = self.pairs.iter().position(|&known| known == pair) {
            return (self.n_own + known, false);
        }
        let item = self.sizes.len();
        self.pairs.push(pair);
        self.sizes.push(self.sizes[first] + self.sizes[second]);
        self.makeup
            .push(self.spelled_out(&[(first, 1), (second, 1)]));
        for group in &mut self.groups {
            if group.contains(&first) && group.contains(&second) {
                group.push(item);
            }
        }
        (item, true)
    }

    /// A pattern in terms of the problem's own items.
    pub(in super::super) fn spelled_out(&self, counts: &[(usize, u32)]) -> Vec<(usize, u32)> {
        let mut out: Vec<(usize, u32)> = Vec::new();
        for &(item, count) in counts {
            for &(own, times) in &self.makeup[item] {
                add_count(&mut out, own, times * count);
            }
        }
        out
    }

    /// A demand in the problem's own items.
    pub(in super::super) fn own_demand(&self, demand: &[u32]) -> Vec<u32> {
        let mut own = vec![0; self.n_own];
        for (makeup, &count) in self.makeup.iter().zip(demand) {
            for &(item, times) in makeup {
                own[item] += times * count;
            }
        }
        own
    }
}

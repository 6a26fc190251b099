//! The last boards, by trying all patterns within the budget.

#![expect(
    clippy::float_arithmetic,
    reason = "values only steer the choice of patterns; plans are checked in integers"
)]

use super::super::super::params::{LAST_NODES, LAST_PATTERNS};
use super::boards::Boards;

impl Boards<'_> {
    /// Fills the boards left so that nothing is wanted any more; depth first, the least loss first, with few nodes.
    pub(super) fn last(
        &mut self,
        left: &mut [u32],
        budget: f64,
        wanted: &mut [u32],
        filled: &mut Vec<(usize, Vec<usize>)>,
    ) -> bool {
        self.n_nodes += 1;
        if self.n_nodes > LAST_NODES || self.meter.halted() {
            return false;
        }
        if wanted.iter().all(|&count| count == 0) {
            return true;
        }
        let open = (0..self.sorts.len()).filter(|&sort| left[sort] > 0);
        let Some(at) = open.clone().min_by_key(|&sort| self.sorts[sort].capacity) else {
            return false;
        };
        // Where all boards are alike, one of them has the largest piece: this one.
        let first = if open.count() == 1 {
            let Some(largest) = self.largest(at, wanted) else {
                return false;
            };
            Some(largest)
        } else {
            None
        };
        left[at] -= 1;
        for pattern in self.patterns(at, first, wanted, budget, LAST_PATTERNS) {
            for &item in &pattern.items {
                wanted[item] -= 1;
            }
            if self.last(left, budget - pattern.loss, wanted, filled) {
                filled.push((at, pattern.items));
                return true;
            }
            for &item in &pattern.items {
                wanted[item] += 1;
            }
            if self.n_nodes > LAST_NODES {
                break;
            }
        }
        left[at] += 1;
        false
    }
}

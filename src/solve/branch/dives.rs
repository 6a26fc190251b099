//! The plans that a node is searched for: by sequential value correction at the root, by dives from any node.

use super::super::heuristic::correction::Correction;
use super::super::heuristic::dive::{DiveRounding, dive};
use super::super::lp::Basic;
use super::super::params::{
    CLOSE_EVERY, CORRECTION_PASSES, CORRECTION_SHARE, DIVE_PART, EAGER_NODES, LATER_ROOT_DIVES,
    ROOT_DIVES,
};
use super::BranchAndPrice;
use super::node::Node;

impl BranchAndPrice<'_, '_> {
    /// Passes of sequential value correction from the root's duals, for a part of the work the root took.
    pub(super) fn correct(&mut self, bound: i64) {
        let values = self.master.item_duals();
        let Some(mut correction) = Correction::new(self.problem, values) else {
            return;
        };
        let end = self.meter.work() + self.meter.work() / CORRECTION_SHARE;
        for _ in 0..CORRECTION_PASSES {
            if bound >= self.cutoff() || self.meter.halted() {
                return;
            }
            if let Some(boards) = correction.pass(self.meter) {
                self.offer(&boards);
            }
            if self.meter.work() > end {
                return;
            }
        }
    }

    /// Dives from a node just solved, while they may find something better than `bound` allows.
    pub(super) fn dives(&mut self, node: &Node, basis: &[Basic], bound: i64) {
        let began = self.meter.work();
        let n_dives = match (node.depth, self.regrowth.is_first()) {
            (0, true) => ROOT_DIVES,
            (0, false) => LATER_ROOT_DIVES,
            _ => {
                let is_due = self.dive_work * DIVE_PART <= began - self.began;
                u32::from(self.n_nodes < EAGER_NODES || is_due)
            }
        };
        let known = self.cutoff();
        for turn in 0..n_dives {
            if bound >= self.cutoff() || self.meter.halted() {
                break;
            }
            if turn > 0 {
                self.master.enter(&node.state, Some(basis));
                self.master.solve(self.meter);
            }
            // Other trees are disturbed otherwise.
            let rounding = if turn == 0 {
                DiveRounding::Largest
            } else {
                DiveRounding::Disturbed(
                    self.regrowth
                        .turn()
                        .saturating_mul(LATER_ROOT_DIVES)
                        .saturating_add(turn),
                )
            };
            let cutoff = self.cutoff();
            let mut remainder = None;
            let boards = dive(
                &mut self.master,
                &node.state,
                cutoff,
                rounding,
                self.meter,
                &mut remainder,
            );
            match (boards, remainder) {
                (Some(boards), _) => self.offer(&boards),
                (None, Some(remainder))
                    if !self.nested
                        && (node.depth == 0 || self.n_nodes.is_multiple_of(CLOSE_EVERY)) =>
                {
                    self.close(&remainder);
                }
                _ => {}
            }
        }
        if self.cutoff() < known {
            self.dive_work = 0;
        } else {
            self.dive_work += self.meter.work() - began;
        }
    }
}

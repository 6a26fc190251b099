//! The dual simplex: after right-hand sides have changed or columns were barred.
//!
//! # Source
//! C. E. Lemke, Naval Research Logistics Quarterly 1 (1954), doi 10.1002/nav.3800010107; the choice by the lengths of
//! rows (steepest edge): J. J. Forrest, D. Goldfarb, Mathematical Programming 57 (1992), doi 10.1007/BF01581089.

use super::super::meter::Meter;
use super::super::params::{
    DUAL_LIMIT, DUAL_TOLERANCE, PIVOT_MISMATCH, PIVOT_TOLERANCE, PRIMAL_TOLERANCE, SLIGHT,
    SMALLEST_ENTRY,
};
use super::Lp;
use super::program::{Basic, Sense};
use super::vertex::Exchange;

impl Lp {
    /// Restores feasibility as far as columns at hand allow; `false` when the meter ended the search.
    pub(super) fn dual_simplex(&mut self, meter: &Meter<'_>) -> bool {
        let mut norms = self.inverse.row_norms();
        let (mut alpha, mut rho) = (Vec::new(), Vec::new());
        let mut candidates = Vec::new();
        for _ in 0..DUAL_LIMIT {
            if self.inverse.is_worn() {
                self.renew(meter);
                norms = self.inverse.row_norms();
            }
            let Some(place) = self.worst_infeasible(&norms) else {
                return true;
            };
            if !meter.spend(self.work_of_exchange()) {
                return false;
            }
            self.inverse.row(place, &mut rho);
            self.fill_row(&rho);
            let sign = if self.x[place] < 0.0 { -1.0 } else { 1.0 };
            let Some((entering, reduced)) = self.dual_entering(&rho, sign, &mut candidates) else {
                return true;
            };
            self.solve_column(entering, &mut alpha);
            let pivot = self.program.entry(entering, &rho);
            if alpha[place].abs() < PIVOT_TOLERANCE
                || (pivot - alpha[place]).abs() > PIVOT_MISMATCH * (1.0 + pivot.abs())
            {
                if self.inverse.n_updates() == 0 {
                    return true;
                }
                self.renew(meter);
                norms = self.inverse.row_norms();
                continue;
            }
            let step = self.x[place] / alpha[place];
            self.exchange(&Exchange {
                place,
                entering,
                alpha: &alpha,
                rho: &rho,
                step,
                reduced,
            });
            self.inverse.update_norms(&alpha, &mut norms);
        }
        true
    }

    /// The place farthest from feasible, in terms of its row's length.
    fn worst_infeasible(&self, norms: &[f64]) -> Option<usize> {
        let mut worst = None;
        let mut greatest = 0.0;
        for (place, &x) in self.x.iter().enumerate() {
            let excess = self.infeasibility(place, x);
            if excess > PRIMAL_TOLERANCE && excess * excess > greatest * norms[place] {
                greatest = excess * excess / norms[place];
                worst = Some(place);
            }
        }
        worst
    }

    /// The variable that enters for the row `rho` of the inverse, with its reduced cost.
    ///
    /// Of those whose ratio of reduced cost to size is least but for the tolerance, the one of the largest size.
    /// `candidates` is space to work in: each variable that may be it, its reduced cost, and the size of its entry.
    fn dual_entering(
        &self,
        rho: &[f64],
        sign: f64,
        candidates: &mut Vec<(Basic, f64, f64)>,
    ) -> Option<(Basic, f64)> {
        let mut limit = f64::INFINITY;
        candidates.clear();
        self.for_each_nonbasic(rho, sign, |basic, reduced, size| {
            if reduced <= limit * size {
                limit = limit.min((reduced + DUAL_TOLERANCE) / size);
                candidates.push((basic, reduced, size));
            }
        });
        let mut largest = 0.0;
        let mut choice = None;
        for &(basic, reduced, size) in candidates.iter() {
            if reduced <= limit * size && size > largest {
                largest = size;
                choice = Some((basic, reduced));
            }
        }
        choice
    }

    /// Calls `consider` with each nonbasic variable that may enter, its reduced cost and the size of its entry.
    fn for_each_nonbasic(&self, rho: &[f64], sign: f64, mut consider: impl FnMut(Basic, f64, f64)) {
        let mut pass = |basic: Basic, reduced: f64, entry: f64| {
            let size = entry * sign;
            // A reduced cost that is clearly negative is left to the primal simplex.
            if size > SMALLEST_ENTRY && reduced > -SLIGHT && reduced < f64::INFINITY {
                consider(basic, reduced.max(0.0), size);
            }
        };
        for (row, (&dual, &entry)) in self.y.iter().zip(rho).enumerate() {
            let sense = self.program.sense(row);
            if !self.basis.has_slack(row) {
                pass(
                    Basic::Slack(row),
                    -sense.slack() * dual,
                    sense.slack() * entry,
                );
            }
            if sense == Sense::AtLeast && !self.basis.has_artificial(row) {
                pass(Basic::Artificial(row), self.program.penalty - dual, entry);
            }
        }
        let pairs = self.live.reduced.iter().zip(&self.live.entries);
        for (slot, (&reduced, &entry)) in pairs.enumerate() {
            pass(Basic::Column(self.live.columns[slot]), reduced, entry);
        }
    }
}

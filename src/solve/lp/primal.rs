//! The primal simplex.
//!
//! # Source
//! Two-pass ratio test and reference weights (devex): P. M. J. Harris, Pivot selection methods of the Devex LP code,
//! Mathematical Programming 5 (1973), doi 10.1007/BF01580108.

use super::super::meter::Meter;
use super::super::params::{
    DUAL_TOLERANCE, LARGEST_REFERENCE, PIVOT_MISMATCH, PIVOT_TOLERANCE, RATIO_SLACK, STALL_LIMIT,
};
use super::{Basic, Lp, Sense};

impl Lp {
    /// Improves the present feasible basis; `false` when the meter ended the search.
    ///
    /// [`Lp::is_optimal`] tells whether it went to the end.
    pub(super) fn primal_simplex(&mut self, meter: &Meter<'_>) -> bool {
        self.stalled = false;
        self.reset_references();
        let mut n_stalled = 0usize;
        let mut n_pivots = 0usize;
        let start = meter.work();
        let (mut alpha, mut rho) = (Vec::new(), Vec::new());
        loop {
            if self.inverse.is_worn() {
                self.renew(meter);
            }
            if !meter.spend(self.work_of_iteration()) {
                return false;
            }
            let Some((entering, reduced)) = self.entering() else {
                self.optimal = true;
                return true;
            };
            if meter.work() - start > self.allowance {
                return true;
            }
            self.solve_column(entering, &mut alpha);
            let Some(place) = self.leaving(&alpha) else {
                return true;
            };
            self.inverse.row(place, &mut rho);
            let pivot = self.entry(entering, &rho);
            if (pivot - alpha[place]).abs() > PIVOT_MISMATCH * (1.0 + pivot.abs())
                && self.inverse.n_updates() > 0
            {
                self.renew(meter);
                continue;
            }
            let step = if self.is_held(self.basis[place]) {
                0.0
            } else {
                (self.x[place] / alpha[place]).max(0.0)
            };
            n_pivots += 1;
            n_stalled = if step > 1e-12 { 0 } else { n_stalled + 1 };
            self.fill_row(&rho);
            self.update_references(entering, self.basis[place], alpha[place], &rho);
            self.exchange(place, entering, &alpha, &rho, step, reduced);
            let limit = 20 * (self.rows.len() + self.live.len()) + 10 * STALL_LIMIT;
            if n_stalled > STALL_LIMIT || n_pivots > limit {
                self.stalled = true;
                return true;
            }
        }
    }

    /// The variable to enter with its reduced cost: the greatest square of it over its reference weight.
    pub(super) fn entering(&self) -> Option<(Basic, f64)> {
        let mut best = 0.0;
        let mut choice = None;
        for row in 0..self.rows.len() {
            let mut consider = |basic: Basic, reduced: f64, reference: f64| {
                if reduced < -DUAL_TOLERANCE && reduced * reduced > best * reference {
                    best = reduced * reduced / reference;
                    choice = Some((basic, reduced));
                }
            };
            let price = self.y[row];
            let sense = self.rows[row].sense;
            if !self.slack_basic[row] {
                let reduced = -sense.slack() * price;
                consider(Basic::Slack(row), reduced, self.slack_reference[row]);
            }
            if sense == Sense::AtLeast && !self.artificial_basic[row] {
                let reduced = self.penalty - price;
                consider(
                    Basic::Artificial(row),
                    reduced,
                    self.artificial_reference[row],
                );
            }
        }
        let pairs = self.live.reduced.iter().zip(&self.live.reference);
        for (slot, (&reduced, &reference)) in pairs.enumerate() {
            if reduced < -DUAL_TOLERANCE && reduced * reduced > best * reference {
                best = reduced * reduced / reference;
                choice = Some((Basic::Column(self.live.columns[slot]), reduced));
            }
        }
        choice
    }

    fn reset_references(&mut self) {
        self.live.reference.fill(1.0);
        self.slack_reference.clear();
        self.slack_reference.resize(self.rows.len(), 1.0);
        self.artificial_reference.clear();
        self.artificial_reference.resize(self.rows.len(), 1.0);
    }

    fn reference_of(&mut self, basic: Basic) -> &mut f64 {
        match basic {
            Basic::Slack(row) => &mut self.slack_reference[row],
            Basic::Artificial(row) => &mut self.artificial_reference[row],
            Basic::Column(column) => match self.slot(column) {
                Some(slot) => &mut self.live.reference[slot],
                // A barred column never enters again; its weight is of no interest.
                None => &mut self.spare_reference,
            },
        }
    }

    fn update_references(&mut self, entering: Basic, leaving: Basic, pivot: f64, rho: &[f64]) {
        let own = *self.reference_of(entering);
        let ratio = own / (pivot * pivot);
        self.live.raise_references(ratio);
        for (row, &entry) in rho.iter().enumerate() {
            let least = entry * entry * ratio;
            self.slack_reference[row] = self.slack_reference[row].max(least);
            self.artificial_reference[row] = self.artificial_reference[row].max(least);
        }
        *self.reference_of(leaving) = ratio.max(1.0);
        if ratio > LARGEST_REFERENCE {
            self.reset_references();
        }
    }

    fn leaving(&self, alpha: &[f64]) -> Option<usize> {
        let mut largest_step = f64::INFINITY;
        for (place, &a) in alpha.iter().enumerate() {
            if self.is_held(self.basis[place]) {
                if a.abs() > PIVOT_TOLERANCE {
                    largest_step = largest_step.min(RATIO_SLACK / a.abs());
                }
            } else if a > PIVOT_TOLERANCE {
                largest_step = largest_step.min((self.x[place].max(0.0) + RATIO_SLACK) / a);
            }
        }
        if largest_step == f64::INFINITY {
            return None;
        }
        let mut choice = None;
        let mut size = 0.0;
        for (place, &a) in alpha.iter().enumerate() {
            let held = self.is_held(self.basis[place]);
            let fits = if held {
                a.abs() > PIVOT_TOLERANCE
            } else {
                a > PIVOT_TOLERANCE && self.x[place].max(0.0) / a <= largest_step
            };
            if fits && a.abs() > size {
                size = a.abs();
                choice = Some(place);
            }
        }
        choice
    }
}

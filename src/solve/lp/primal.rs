//! The primal simplex.
//!
//! # Source
//! Two-pass ratio test and reference weights (devex): P. M. J. Harris, Pivot selection methods of the Devex LP code,
//! Mathematical Programming 5 (1973), doi 10.1007/BF01580108.

use super::super::meter::Meter;
use super::super::params::{
    DUAL_TOLERANCE, EXCHANGE_LIMIT, LARGEST_REFERENCE, PIVOT_MISMATCH, PIVOT_TOLERANCE,
    RATIO_SLACK, STALL_LIMIT, STANDSTILL,
};
use super::Lp;
use super::live::Live;
use super::program::{Basic, Sense};
use super::vertex::Exchange;

/// Why the primal simplex ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum PrimalEnd {
    /// No variable improves the value.
    Optimum,
    /// Its allowance is used up, or nothing keeps the value from improving.
    Part,
    /// So many exchanges did not move the value that it may go round in circles.
    Stalled,
    /// The meter ended the search.
    Halted,
}

/// Weights of slacks and artificials in the choice of the entering variable, by row; those of columns are in [`Live`].
#[derive(Debug, Default)]
pub(super) struct UnitReferences {
    slack: Vec<f64>,
    artificial: Vec<f64>,
}

impl UnitReferences {
    /// Makes all weights one, those of columns too.
    fn reset(&mut self, n_rows: usize, live: &mut Live) {
        for references in [&mut self.slack, &mut self.artificial] {
            references.clear();
            references.resize(n_rows, 1.0);
        }
        live.reference.fill(1.0);
    }

    /// The weight of a variable; a column that is barred has none, as it never enters again.
    fn of<'a>(&'a mut self, basic: Basic, live: &'a mut Live) -> Option<&'a mut f64> {
        match basic {
            Basic::Slack(row) => Some(&mut self.slack[row]),
            Basic::Artificial(row) => Some(&mut self.artificial[row]),
            Basic::Column(_) => live.slot(basic).map(|slot| &mut live.reference[slot]),
        }
    }
}

impl Lp {
    /// Improves the present feasible basis, with no more than `allowance` steps of work.
    pub(super) fn primal_simplex(&mut self, allowance: u64, meter: &Meter<'_>) -> PrimalEnd {
        self.references.reset(self.n_rows(), &mut self.live);
        let mut n_stalled = 0usize;
        let mut n_exchanges = 0usize;
        let start = meter.work();
        let (mut alpha, mut rho) = (Vec::new(), Vec::new());
        loop {
            if self.inverse.is_worn() {
                self.renew(meter);
            }
            if !meter.spend(self.work_of_exchange()) {
                return PrimalEnd::Halted;
            }
            let Some((entering, reduced)) = self.entering() else {
                return PrimalEnd::Optimum;
            };
            if meter.work() - start > allowance {
                return PrimalEnd::Part;
            }
            self.solve_column(entering, &mut alpha);
            let Some(place) = self.leaving(&alpha) else {
                return PrimalEnd::Part;
            };
            self.inverse.row(place, &mut rho);
            let pivot = self.program.entry(entering, &rho);
            if (pivot - alpha[place]).abs() > PIVOT_MISMATCH * (1.0 + pivot.abs())
                && self.inverse.n_updates() > 0
            {
                self.renew(meter);
                continue;
            }
            let leaving = self.basis.places()[place];
            let step = if self.program.is_held(leaving) {
                0.0
            } else {
                (self.x[place] / alpha[place]).max(0.0)
            };
            n_exchanges += 1;
            n_stalled = if step > STANDSTILL { 0 } else { n_stalled + 1 };
            self.fill_row(&rho);
            self.update_references(entering, leaving, alpha[place], &rho);
            self.exchange(&Exchange {
                place,
                entering,
                alpha: &alpha,
                rho: &rho,
                step,
                reduced,
            });
            let limit = EXCHANGE_LIMIT.0 * (self.n_rows() + self.live.len()) + EXCHANGE_LIMIT.1;
            if n_stalled > STALL_LIMIT || n_exchanges > limit {
                return PrimalEnd::Stalled;
            }
        }
    }

    /// The variable to enter with its reduced cost: the greatest square of it over its reference weight.
    pub(super) fn entering(&self) -> Option<(Basic, f64)> {
        let mut best = 0.0;
        let mut choice = None;
        for row in 0..self.n_rows() {
            let mut consider = |basic: Basic, reduced: f64, reference: f64| {
                if reduced < -DUAL_TOLERANCE && reduced * reduced > best * reference {
                    best = reduced * reduced / reference;
                    choice = Some((basic, reduced));
                }
            };
            let dual = self.y[row];
            let sense = self.program.sense(row);
            if !self.basis.has_slack(row) {
                let reduced = -sense.slack() * dual;
                consider(Basic::Slack(row), reduced, self.references.slack[row]);
            }
            if sense == Sense::AtLeast && !self.basis.has_artificial(row) {
                let reduced = self.program.penalty - dual;
                let reference = self.references.artificial[row];
                consider(Basic::Artificial(row), reduced, reference);
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

    fn update_references(&mut self, entering: Basic, leaving: Basic, pivot: f64, rho: &[f64]) {
        let (units, live) = (&mut self.references, &mut self.live);
        let own = units.of(entering, live).map_or(1.0, |own| *own);
        let ratio = own / (pivot * pivot);
        live.raise_references(ratio);
        for (row, &entry) in rho.iter().enumerate() {
            let least = entry * entry * ratio;
            units.slack[row] = units.slack[row].max(least);
            units.artificial[row] = units.artificial[row].max(least);
        }
        if let Some(reference) = units.of(leaving, live) {
            *reference = ratio.max(1.0);
        }
        if ratio > LARGEST_REFERENCE {
            units.reset(rho.len(), live);
        }
    }

    fn leaving(&self, alpha: &[f64]) -> Option<usize> {
        let mut largest_step = f64::INFINITY;
        for (place, &a) in alpha.iter().enumerate() {
            if self.program.is_held(self.basis.places()[place]) {
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
            let held = self.program.is_held(self.basis.places()[place]);
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

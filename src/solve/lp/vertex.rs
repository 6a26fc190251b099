//! The vertex at hand: values, duals and reduced costs of its basis, and the step to the next.

use super::super::meter::Meter;
use super::super::params::{PRIMAL_TOLERANCE, RESIDUAL_TOLERANCE, SMALL_RESIDUAL};
use super::Lp;
use super::program::Basic;

/// An exchange of basic variables.
pub(super) struct Exchange<'a> {
    /// The place of the variable that leaves.
    pub(super) place: usize,
    /// The variable that enters.
    pub(super) entering: Basic,
    /// The inverse times its column.
    pub(super) alpha: &'a [f64],
    /// The row of the inverse at `place`, for which [`Lp::fill_row`] was called last.
    pub(super) rho: &'a [f64],
    /// What the entering variable comes to.
    pub(super) step: f64,
    /// Its reduced cost before.
    pub(super) reduced: f64,
}

impl Lp {
    /// Brings values, duals and reduced costs up to date, and the inverse where it has lost its digits.
    pub(super) fn settle(&mut self, disturbed: bool, meter: &Meter<'_>) {
        if !self.is_inverse {
            self.renew(meter);
        }
        if self.find_values(disturbed) > RESIDUAL_TOLERANCE && self.inverse.n_updates() > 0 {
            self.renew(meter);
            self.find_values(disturbed);
        }
        self.find_duals();
        let n_rows = self.n_rows();
        meter.spend((n_rows * n_rows / 2 + self.live.n_entries()) as u64);
    }

    /// Makes the inverse anew, with unit variables in the place of columns that depend on others.
    pub(super) fn renew(&mut self, meter: &Meter<'_>) {
        let n_rows = self.n_rows();
        loop {
            let mut start = Vec::with_capacity(n_rows + 1);
            let mut entries: Vec<(usize, f64)> = Vec::new();
            start.push(0);
            for &basic in self.basis.places() {
                self.program
                    .for_each_entry(basic, |row, value| entries.push((row, value)));
                start.push(entries.len());
            }
            match self.inverse.renew(n_rows, &start, &entries) {
                Ok(()) => break,
                Err(failed) => {
                    for (place, row) in failed {
                        self.basis.put(place, self.program.unit_of(row));
                    }
                }
            }
        }
        meter.spend(self.inverse.work_of_renewal() as u64);
        self.is_inverse = true;
    }

    /// Computes the values of basic variables; returns by how much they missed their rows before a correction.
    fn find_values(&mut self, disturbed: bool) -> f64 {
        let sides: Vec<f64> = (0..self.n_rows())
            .map(|row| self.program.side(row, disturbed))
            .collect();
        self.x = self.inverse.times(&sides);
        let mut residual = sides;
        for (&basic, &x) in self.basis.places().iter().zip(&self.x) {
            self.program
                .for_each_entry(basic, |row, value| residual[row] -= x * value);
        }
        let worst = residual.iter().fold(0.0f64, |worst, r| worst.max(r.abs()));
        if worst > SMALL_RESIDUAL {
            let correction = self.inverse.times(&residual);
            for (x, change) in self.x.iter_mut().zip(correction) {
                *x += change;
            }
        }
        worst
    }

    /// Computes duals and reduced costs.
    fn find_duals(&mut self) {
        let places = self.basis.places();
        let costs: Vec<f64> = places
            .iter()
            .map(|&basic| self.program.cost(basic))
            .collect();
        self.y = self.inverse.by(&costs);
        let mut residual = costs;
        let mut worst = 0.0f64;
        for (miss, &basic) in residual.iter_mut().zip(places) {
            self.program
                .for_each_entry(basic, |row, value| *miss -= self.y[row] * value);
            worst = worst.max(miss.abs());
        }
        if worst > SMALL_RESIDUAL {
            let correction = self.inverse.by(&residual);
            for (y, change) in self.y.iter_mut().zip(correction) {
                *y += change;
            }
        }
        for (kind, reduced) in self.program.kinds.iter().zip(&mut self.kind_reduced) {
            *reduced = kind.cost - kind.rows.iter().map(|&row| self.y[row]).sum::<f64>();
        }
        self.live.reduce(&self.y, &self.kind_reduced);
        for &basic in self.basis.places() {
            self.live.set_reduced(basic, f64::INFINITY);
        }
    }

    pub(super) fn is_feasible(&self) -> bool {
        let mut places = self.x.iter().enumerate();
        places.all(|(place, &x)| self.infeasibility(place, x) <= PRIMAL_TOLERANCE)
    }

    /// By how much the basic variable at `place` is out of its bounds at the value `x`; negative when it is not.
    pub(super) fn infeasibility(&self, place: usize, x: f64) -> f64 {
        if x < 0.0 {
            -x
        } else if self.program.is_held(self.basis.places()[place]) {
            x
        } else {
            -1.0
        }
    }

    /// The inverse times the column of a variable, into `alpha`.
    pub(super) fn solve_column(&mut self, basic: Basic, alpha: &mut Vec<f64>) {
        let entries = &mut self.scratch;
        entries.clear();
        self.program
            .for_each_entry(basic, |row, value| entries.push((row, value)));
        self.inverse.column(entries, alpha);
    }

    /// Computes the entries of all columns in the row `rho` of the inverse.
    pub(super) fn fill_row(&mut self, rho: &[f64]) {
        let kinds = self.program.kinds.iter();
        let kind_rho: Vec<f64> = kinds
            .map(|kind| kind.rows.iter().map(|&row| rho[row]).sum())
            .collect();
        self.live.fill_row(rho, &kind_rho);
    }

    pub(super) fn work_of_exchange(&self) -> u64 {
        let rows = 8 * self.n_rows();
        (self.inverse.work_of_exchange() + self.live.n_entries() + 2 * self.live.len() + rows)
            as u64
    }

    /// Exchanges basic variables, and brings everything up to date.
    pub(super) fn exchange(&mut self, exchange: &Exchange<'_>) {
        let &Exchange {
            place,
            entering,
            alpha,
            rho,
            step,
            reduced,
        } = exchange;
        if step != 0.0 {
            for (x, &a) in self.x.iter_mut().zip(alpha) {
                *x -= step * a;
            }
        }
        self.x[place] = step;
        let rise = reduced / alpha[place];
        self.live.shift(rise);
        for (y, &entry) in self.y.iter_mut().zip(rho) {
            *y += rise * entry;
        }
        self.live.set_reduced(self.basis.places()[place], -rise);
        self.live.set_reduced(entering, f64::INFINITY);
        self.basis.put(place, entering);
        self.inverse.exchange(place, alpha, rho);
        self.n_exchanges += 1;
    }
}

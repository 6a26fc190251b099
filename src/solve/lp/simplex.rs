//! The way from the present basis to an optimal one.

use super::super::meter::Meter;
use super::super::params::{PRIMAL_TOLERANCE, RESIDUAL_TOLERANCE, SMALL_RESIDUAL};
use super::{Basic, Lp};

impl Lp {
    /// Solves the program from the present basis.
    ///
    /// Returns `false` when the meter ended the search; prices and values are then those of some basis.
    ///
    /// With `allowance`, the primal simplex stops after so many steps of work, and [`Lp::is_optimal`] tells of it.
    pub(in super::super) fn solve(&mut self, allowance: Option<u64>, meter: &Meter<'_>) -> bool {
        self.optimal = false;
        self.allowance = allowance.unwrap_or(u64::MAX);
        if !self.live_fresh {
            self.pack();
        }
        self.settle(meter);
        for _ in 0..8 {
            if !self.is_feasible() && !self.dual_simplex(meter) {
                return false;
            }
            if !self.is_feasible() {
                // The columns that the dual simplex may use cannot meet the rows: begin anew.
                self.set_basis(&[]);
                self.settle(meter);
            }
            if !self.primal_simplex(meter) {
                return false;
            }
            if self.stalled && !self.perturbed && !self.leave_vertex(meter) {
                return false;
            }
            // Judge the end by values that no exchange has worn.
            self.settle(meter);
            if !self.optimal || (self.is_feasible() && self.entering().is_none()) {
                break;
            }
        }
        !meter.halted()
    }

    /// Whether the last call of [`Lp::solve`] went to the end.
    pub(in super::super) fn is_optimal(&self) -> bool {
        self.optimal
    }

    /// Leaves a vertex where pivots go round in circles by disturbed right-hand sides.
    fn leave_vertex(&mut self, meter: &Meter<'_>) -> bool {
        self.perturbed = true;
        self.settle(meter);
        let is_whole =
            (self.is_feasible() || self.dual_simplex(meter)) && self.primal_simplex(meter);
        self.perturbed = false;
        is_whole
    }

    /// Brings values, prices and reduced costs up to date, and the inverse where it has lost its digits.
    fn settle(&mut self, meter: &Meter<'_>) {
        if !self.fresh {
            self.renew(meter);
        }
        if self.find_values() > RESIDUAL_TOLERANCE && self.inverse.n_updates() > 0 {
            self.renew(meter);
            self.find_values();
        }
        self.find_prices();
        let n_rows = self.rows.len();
        meter.spend((n_rows * n_rows / 2 + self.live.n_entries()) as u64);
    }

    /// Computes the values of basic variables; returns by how much they missed their rows before a correction.
    fn find_values(&mut self) -> f64 {
        let sides: Vec<f64> = (0..self.rows.len()).map(|row| self.rhs(row)).collect();
        self.x = self.inverse.times(&sides);
        let mut residual = sides;
        for place in 0..self.basis.len() {
            let x = self.x[place];
            self.for_each_entry(self.basis[place], |row, value| residual[row] -= x * value);
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

    /// Computes prices and reduced costs.
    fn find_prices(&mut self) {
        let costs: Vec<f64> = self.basis.iter().map(|&basic| self.cost(basic)).collect();
        self.y = self.inverse.by(&costs);
        let mut residual = costs;
        let mut worst = 0.0f64;
        for (place, &basic) in self.basis.iter().enumerate() {
            let mut miss = residual[place];
            self.for_each_entry(basic, |row, value| miss -= self.y[row] * value);
            residual[place] = miss;
            worst = worst.max(miss.abs());
        }
        if worst > SMALL_RESIDUAL {
            let correction = self.inverse.by(&residual);
            for (y, change) in self.y.iter_mut().zip(correction) {
                *y += change;
            }
        }
        self.price_kinds();
        self.live.price(&self.y, &self.kind_price);
        for &basic in &self.basis {
            if let Basic::Column(column) = basic
                && let Some(slot) = self.slot(column)
            {
                self.live.reduced[slot] = f64::INFINITY;
            }
        }
    }

    fn is_feasible(&self) -> bool {
        let mut places = self.x.iter().enumerate();
        places.all(|(place, &x)| self.infeasibility(place, x) <= PRIMAL_TOLERANCE)
    }

    /// By how much the basic variable at `place` is out of its bounds at the value `x`; negative when it is not.
    pub(super) fn infeasibility(&self, place: usize, x: f64) -> f64 {
        if x < 0.0 {
            -x
        } else if self.is_held(self.basis[place]) {
            x
        } else {
            -1.0
        }
    }
}

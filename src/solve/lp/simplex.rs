//! The way from the present basis to an optimal one.

use super::super::meter::Meter;
use super::super::params::SOLVE_TURNS;
use super::primal::PrimalEnd;
use super::{Lp, Reached, SimplexWay};

impl Lp {
    /// Solves the program from the present basis.
    pub(crate) fn solve(&mut self, way: SimplexWay, meter: &Meter<'_>) -> Reached {
        let allowance = way.allowance.unwrap_or(u64::MAX);
        let mut is_optimal = false;
        self.live.pack(&self.program);
        self.settle(way.disturbed, meter);
        for _ in 0..SOLVE_TURNS {
            if !self.is_feasible() && !self.dual_simplex(meter) {
                return Reached::Halted;
            }
            if !self.is_feasible() {
                // The columns that the dual simplex may use cannot meet the rows: begin anew.
                self.set_basis(&[]);
                self.settle(way.disturbed, meter);
            }
            let mut end = self.primal_simplex(allowance, meter);
            if end == PrimalEnd::Stalled && !way.disturbed {
                // Pivots go round in circles: disturbed right-hand sides leave the vertex.
                self.settle(true, meter);
                if !self.is_feasible() && !self.dual_simplex(meter) {
                    return Reached::Halted;
                }
                end = self.primal_simplex(allowance, meter);
            }
            if end == PrimalEnd::Halted {
                return Reached::Halted;
            }
            is_optimal |= end == PrimalEnd::Optimum;
            // Judge the end by values that no exchange has worn.
            self.settle(way.disturbed, meter);
            if !is_optimal || (self.is_feasible() && self.entering().is_none()) {
                break;
            }
        }
        if meter.halted() {
            Reached::Halted
        } else if is_optimal {
            Reached::Optimum
        } else {
            Reached::Part
        }
    }
}

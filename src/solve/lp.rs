//! The linear program of the master problem and a revised simplex for it.
//!
//! Columns are patterns or boards: whole counts of their own, and a weight in the rows of their kind.
//! The program is kept alive through column generation, dives and branching: columns and rows are added, right-hand
//! sides change, columns are barred and allowed again, and each time the last basis is the start.
//! All that may be done at any time; what is told of a solution is of the last one, [`Lp::solve`]'s.
//!
//! Everything here is floating point and proves nothing; `bound` turns the duals into proofs.
#![expect(
    clippy::float_arithmetic,
    reason = "the linear program is solved in floats; proofs are made elsewhere"
)]

mod basis;
mod dual;
mod factor;
mod inverse;
mod live;
mod penalty;
mod primal;
mod program;
mod simplex;
mod vertex;

use super::params::{
    DUAL_TOLERANCE, EXPLICIT_ROWS, LARGEST_PENALTY, PENALTY_STEP, PRIMAL_TOLERANCE, SMALL_SHORTFALL,
};
use basis::Basis;
use inverse::Inverse;
use live::Live;
use primal::UnitReferences;
use program::Program;

pub(crate) use program::{Basic, Sense};

/// How a program is to be solved.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct SimplexWay {
    /// Whether right-hand sides have small disturbances that keep the simplex from stalling.
    pub(crate) disturbed: bool,
    /// Steps of work after which the primal simplex stops where it is.
    pub(crate) allowance: Option<u64>,
}

/// How far a solve went.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Reached {
    /// The optimum, as far as floats tell.
    Optimum,
    /// Some feasible basis, when its allowance was used up or nothing moved any more.
    Part,
    /// The meter ended the search; duals and values are those of some basis.
    Halted,
}

/// The program with its simplex.
#[derive(Debug)]
pub(crate) struct Lp {
    program: Program,
    /// The penalty of artificials that was asked for; [`Lp::raise_penalty`] goes beyond it.
    least_penalty: f64,
    basis: Basis,
    inverse: Inverse,
    /// Whether `inverse` is that of `basis`.
    is_inverse: bool,
    /// Columns that are not barred.
    live: Live,
    references: UnitReferences,
    /// `x[p]` is the value of the basic variable at place `p`.
    x: Vec<f64>,
    /// `y[r]` is the dual of row `r`.
    y: Vec<f64>,
    /// Cost of a unit of weight of each kind less the duals of its rows.
    kind_reduced: Vec<f64>,
    n_exchanges: u64,
    /// Entries of the column last scattered.
    scratch: Vec<(usize, f64)>,
}

impl Lp {
    /// An empty program for as many kinds of column as there are `costs`, with the penalty of artificials.
    pub(crate) fn new(costs: &[f64], penalty: f64) -> Lp {
        Lp {
            program: Program::new(costs, penalty),
            least_penalty: penalty,
            basis: Basis::default(),
            inverse: Inverse::new(EXPLICIT_ROWS),
            is_inverse: false,
            live: Live::default(),
            references: UnitReferences::default(),
            x: Vec::new(),
            y: Vec::new(),
            kind_reduced: vec![0.0; costs.len()],
            n_exchanges: 0,
            scratch: Vec::new(),
        }
    }

    /// Adds a row that only later columns, or the columns of `kinds`, have a part in; returns its index.
    pub(crate) fn add_row(&mut self, sense: Sense, side: f64, kinds: &[usize]) -> usize {
        let row = self.program.add_row(sense, side, kinds);
        self.basis.add_row(self.program.unit_of(row));
        self.is_inverse = false;
        row
    }

    /// Adds a column of `kind` with counts in rows that its kind has no part in; returns its index.
    pub(crate) fn add_column(
        &mut self,
        kind: usize,
        weight: u32,
        counts: &[(usize, i32)],
    ) -> usize {
        let column = self.program.add_column(kind, weight, counts);
        self.live.add(column, &self.program);
        column
    }

    /// Gives `column` a part of one in `row`; costs a pass over all entries.
    pub(crate) fn attach(&mut self, row: usize, column: usize) {
        self.program.attach(row, column);
        self.is_inverse = false;
        self.live.unpack();
    }

    /// Number of rows.
    pub(crate) fn n_rows(&self) -> usize {
        self.program.n_rows()
    }

    /// Whether nothing was ever solved.
    pub(crate) fn is_untouched(&self) -> bool {
        self.n_exchanges == 0
    }

    /// Changes the right-hand side of a row.
    pub(crate) fn set_side(&mut self, row: usize, side: f64) {
        self.program.set_side(row, side);
    }

    /// Holds a column at zero, or lets it go.
    pub(crate) fn bar(&mut self, column: usize, barred: bool) {
        if self.program.bar(column, barred) {
            self.live.unpack();
        }
    }

    /// Whether a column is barred.
    pub(crate) fn is_barred(&self, column: usize) -> bool {
        self.program.is_barred(column)
    }

    /// Raises the penalty of artificials; `false` when it is as high as it may be.
    pub(crate) fn raise_penalty(&mut self) -> bool {
        let may_rise = self.program.penalty < LARGEST_PENALTY;
        if may_rise {
            self.program.penalty *= PENALTY_STEP;
        }
        may_rise
    }

    /// A reduced cost that is negative by no more than this may be zero: duals lose digits as the penalty grows. Where nothing
    /// is short they are small again, whatever the penalty is.
    pub(crate) fn noise(&self) -> f64 {
        if self.shortfall() < SMALL_SHORTFALL {
            return DUAL_TOLERANCE;
        }
        DUAL_TOLERANCE * (self.program.penalty / self.least_penalty)
    }

    /// Makes the penalty of artificials what it was at first.
    pub(crate) fn reset_penalty(&mut self) {
        self.program.penalty = self.least_penalty;
    }

    /// The basis, to come back to.
    pub(crate) fn basis(&self) -> &[Basic] {
        self.basis.places()
    }

    /// Comes back to an earlier basis; rows added since get their own unit variable.
    pub(crate) fn set_basis(&mut self, places: &[Basic]) {
        self.basis.reset(places, &self.program);
        self.is_inverse = false;
    }

    /// The dual of a row.
    pub(crate) fn dual(&self, row: usize) -> f64 {
        self.y[row]
    }

    /// Value of the objective, artificials included.
    pub(crate) fn value(&self) -> f64 {
        let mut value = 0.0;
        for (&basic, &x) in self.basis.places().iter().zip(&self.x) {
            value += x * self.program.cost(basic);
        }
        value
    }

    /// Total of the artificials, all zero when the rows can be met.
    pub(crate) fn shortfall(&self) -> f64 {
        let mut sum = 0.0;
        for (&basic, &x) in self.basis.places().iter().zip(&self.x) {
            if matches!(basic, Basic::Artificial(_)) {
                sum += x.max(0.0);
            }
        }
        sum
    }

    /// The columns above zero with their values, by rising index.
    pub(crate) fn primal(&self) -> Vec<(usize, f64)> {
        let values = self.basis.places().iter().zip(&self.x);
        let mut primal: Vec<(usize, f64)> = values
            .filter_map(|(&basic, &x)| match basic {
                Basic::Column(column) if x > PRIMAL_TOLERANCE => Some((column, x)),
                _ => None,
            })
            .collect();
        primal.sort_by_key(|entry| entry.0);
        primal
    }

    /// Reduced cost of a column, which may have been added since.
    pub(crate) fn reduced_cost(&self, column: usize) -> f64 {
        let (kind, weight, entries) = self.program.column(column);
        let mut cost = weight * self.kind_reduced[kind as usize];
        for &(row, count) in entries {
            cost -= self.y[row as usize] * f64::from(count);
        }
        cost
    }
}

#[cfg(test)]
mod tests;

//! The linear program of the master problem and a revised simplex for it.
//!
//! Columns are patterns or boards: whole counts of their own, and a weight in the rows of their kind.
//! The program is kept alive through column generation, dives and branching: columns and rows are added, right-hand
//! sides change, columns are barred and allowed again, and each time the last basis is the start.
//!
//! Everything here is floating point and proves nothing; `bound` turns the prices into proofs.
#![expect(
    clippy::float_arithmetic,
    reason = "the linear program is solved in floats; proofs are made elsewhere"
)]
#![expect(clippy::cast_precision_loss, reason = "counts are far below 2^52")]

mod factor;
mod simplex;

use super::meter::Meter;
use super::params::{ETA_LIMIT, PERTURBATION, PRIMAL_TOLERANCE};
use factor::Factor;

/// A basic variable.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Basic {
    /// The slack (of `<=`) or surplus (of `>=`) of a row.
    Slack(usize),
    /// The artificial of a `>=` row.
    Artificial(usize),
    /// A column.
    Column(usize),
}

/// The direction of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sense {
    /// At least the right-hand side.
    AtLeast,
    /// At most the right-hand side.
    AtMost,
}

#[derive(Clone, Copy, Debug)]
struct Row {
    sense: Sense,
    rhs: f64,
}

#[derive(Clone, Debug, Default)]
struct KindColumns {
    cost: f64,
    rows: Vec<usize>,
}

/// The state of the program and of its simplex.
#[derive(Debug)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each marks a different part of the state as up to date"
)]
pub(super) struct Lp {
    rows: Vec<Row>,
    kinds: Vec<KindColumns>,
    column_start: Vec<usize>,
    /// `(row, count)` of the item rows.
    entries: Vec<(u32, i32)>,
    column_kind: Vec<u32>,
    column_weight: Vec<f64>,
    barred: Vec<bool>,
    /// Columns that are not barred, by rising index; drawn up by [`Lp::solve`].
    active: Vec<usize>,
    active_fresh: bool,
    basis: Vec<Basic>,
    column_basic: Vec<bool>,
    slack_basic: Vec<bool>,
    artificial_basic: Vec<bool>,
    factor: Factor,
    fresh: bool,
    /// `x[p]` is the value of the basic variable at place `p`.
    x: Vec<f64>,
    /// `y[r]` is the price of row `r`.
    y: Vec<f64>,
    kind_price: Vec<f64>,
    perturbed: bool,
    /// Cost of a unit of an artificial.
    penalty: f64,
    n_pivots: u64,
    optimal: bool,
    stalled: bool,
    allowance: u64,
    /// Columns of negative reduced cost at the last full look.
    candidates: Vec<usize>,
    /// The least reduced cost at the last full look.
    candidate_best: f64,
}

impl Lp {
    /// An empty program for as many kinds of column as there are `costs`.
    pub(super) fn new(costs: &[f64], penalty: f64) -> Lp {
        Lp {
            rows: Vec::new(),
            kinds: costs
                .iter()
                .map(|&cost| KindColumns {
                    cost,
                    rows: Vec::new(),
                })
                .collect(),
            column_start: vec![0],
            entries: Vec::new(),
            column_kind: Vec::new(),
            column_weight: Vec::new(),
            barred: Vec::new(),
            active: Vec::new(),
            active_fresh: false,
            basis: Vec::new(),
            column_basic: Vec::new(),
            slack_basic: Vec::new(),
            artificial_basic: Vec::new(),
            factor: Factor::default(),
            fresh: false,
            x: Vec::new(),
            y: Vec::new(),
            kind_price: vec![0.0; costs.len()],
            perturbed: true,
            penalty,
            n_pivots: 0,
            optimal: false,
            stalled: false,
            allowance: u64::MAX,
            candidates: Vec::new(),
            candidate_best: 0.0,
        }
    }

    /// Adds a row that only later columns, or the columns of `kinds`, have a part in; returns its index.
    pub(super) fn add_row(&mut self, sense: Sense, rhs: f64, kinds: &[usize]) -> usize {
        let row = self.rows.len();
        self.rows.push(Row { sense, rhs });
        for &kind in kinds {
            self.kinds[kind].rows.push(row);
        }
        let basic = match sense {
            Sense::AtLeast => Basic::Artificial(row),
            Sense::AtMost => Basic::Slack(row),
        };
        self.slack_basic.push(sense == Sense::AtMost);
        self.artificial_basic.push(sense == Sense::AtLeast);
        self.basis.push(basic);
        self.fresh = false;
        row
    }

    /// Adds a column of `kind` with counts in rows that its kind has no part in; returns its index.
    pub(super) fn add_column(
        &mut self,
        kind: usize,
        weight: u32,
        counts: &[(usize, i32)],
    ) -> usize {
        for &(row, count) in counts {
            self.entries
                .push((u32::try_from(row).expect("rows are far below 2^32"), count));
        }
        self.column_start.push(self.entries.len());
        self.column_kind
            .push(u32::try_from(kind).expect("kinds are far below 2^32"));
        self.column_weight.push(f64::from(weight));
        self.barred.push(false);
        self.active_fresh = false;
        self.column_basic.push(false);
        self.barred.len() - 1
    }

    /// Gives `column` a part of one in `row`; costs a pass over all entries.
    pub(super) fn attach(&mut self, row: usize, column: usize) {
        let at = self.column_start[column + 1];
        self.entries.insert(
            at,
            (u32::try_from(row).expect("rows are far below 2^32"), 1),
        );
        for start in &mut self.column_start[column + 1..] {
            *start += 1;
        }
        self.fresh = false;
    }

    /// Number of rows.
    pub(super) fn n_rows(&self) -> usize {
        self.rows.len()
    }

    /// Pivots so far.
    pub(super) fn n_pivots(&self) -> u64 {
        self.n_pivots
    }

    /// Changes the right-hand side of a row.
    pub(super) fn set_rhs(&mut self, row: usize, rhs: f64) {
        self.rows[row].rhs = rhs;
    }

    /// Holds a column at zero, or lets it go.
    pub(super) fn bar(&mut self, column: usize, barred: bool) {
        if self.barred[column] != barred {
            self.barred[column] = barred;
            self.active_fresh = false;
        }
    }

    /// Changes the penalty of artificials.
    pub(super) fn set_penalty(&mut self, penalty: f64) {
        self.penalty = penalty;
    }

    /// The penalty of artificials.
    pub(super) fn penalty(&self) -> f64 {
        self.penalty
    }

    /// Whether right-hand sides are solved with small disturbances that keep the simplex from stalling.
    pub(super) fn set_perturbed(&mut self, perturbed: bool) {
        self.perturbed = perturbed;
    }

    /// The basis, to come back to.
    pub(super) fn basis(&self) -> &[Basic] {
        &self.basis
    }

    /// Comes back to an earlier basis; rows added since get their own unit variable.
    pub(super) fn set_basis(&mut self, basis: &[Basic]) {
        self.column_basic.fill(false);
        self.slack_basic.fill(false);
        self.artificial_basic.fill(false);
        self.basis.truncate(0);
        self.basis.extend_from_slice(basis);
        for row in basis.len()..self.rows.len() {
            self.basis.push(match self.rows[row].sense {
                Sense::AtLeast => Basic::Artificial(row),
                Sense::AtMost => Basic::Slack(row),
            });
        }
        for place in 0..self.basis.len() {
            self.mark(self.basis[place], true);
        }
        self.fresh = false;
    }

    /// The price of a row after [`Lp::solve`].
    pub(super) fn price(&self, row: usize) -> f64 {
        self.y[row]
    }

    /// Value of the objective at the present basis, artificials included, for the right-hand sides as set.
    pub(super) fn value(&self) -> f64 {
        let mut value = 0.0;
        for (&basic, &x) in self.basis.iter().zip(&self.x) {
            value += x * self.cost(basic);
        }
        value
    }

    /// Total of the artificials, all zero when the rows can be met.
    pub(super) fn shortfall(&self) -> f64 {
        let mut sum = 0.0;
        for (&basic, &x) in self.basis.iter().zip(&self.x) {
            if matches!(basic, Basic::Artificial(_)) {
                sum += x.max(0.0);
            }
        }
        sum
    }

    /// The columns above zero with their values, by rising index.
    pub(super) fn primal(&self) -> Vec<(usize, f64)> {
        let mut primal: Vec<(usize, f64)> = self
            .basis
            .iter()
            .zip(&self.x)
            .filter_map(|(&basic, &x)| match basic {
                Basic::Column(column) if x > PRIMAL_TOLERANCE => Some((column, x)),
                _ => None,
            })
            .collect();
        primal.sort_by_key(|entry| entry.0);
        primal
    }

    /// Reduced cost of a column at the present prices.
    pub(super) fn reduced_cost(&self, column: usize) -> f64 {
        let mut cost =
            self.column_weight[column] * self.kind_price[self.column_kind[column] as usize];
        for &(row, count) in &self.entries[self.column_start[column]..self.column_start[column + 1]]
        {
            cost -= self.y[row as usize] * f64::from(count);
        }
        cost
    }

    fn mark(&mut self, basic: Basic, inside: bool) {
        match basic {
            Basic::Slack(row) => self.slack_basic[row] = inside,
            Basic::Artificial(row) => self.artificial_basic[row] = inside,
            Basic::Column(column) => self.column_basic[column] = inside,
        }
    }

    fn cost(&self, basic: Basic) -> f64 {
        match basic {
            Basic::Slack(_) => 0.0,
            Basic::Artificial(_) => self.penalty,
            Basic::Column(column) => {
                self.column_weight[column] * self.kinds[self.column_kind[column] as usize].cost
            }
        }
    }

    fn is_held(&self, basic: Basic) -> bool {
        matches!(basic, Basic::Column(column) if self.barred[column])
    }

    /// Right-hand side as the simplex sees it.
    fn rhs(&self, row: usize) -> f64 {
        let Row { sense, rhs } = self.rows[row];
        if !self.perturbed || rhs <= 0.0 {
            return rhs;
        }
        // A fixed scatter in (0, 1]: the fractional parts of multiples of the golden ratio.
        let scatter = ((row as f64 + 1.0) * 0.618_033_988_749_894_9) % 1.0;
        // Towards the easier side, so that what can be met stays so.
        let change = PERTURBATION * (0.5 + scatter);
        if sense == Sense::AtLeast {
            rhs - change
        } else {
            rhs + change
        }
    }

    fn scatter_into(&self, basic: Basic, vector: &mut [f64]) {
        match basic {
            Basic::Slack(row) => {
                vector[row] = if self.rows[row].sense == Sense::AtLeast {
                    -1.0
                } else {
                    1.0
                };
            }
            Basic::Artificial(row) => vector[row] = 1.0,
            Basic::Column(column) => {
                for &(row, count) in
                    &self.entries[self.column_start[column]..self.column_start[column + 1]]
                {
                    vector[row as usize] = f64::from(count);
                }
                let weight = self.column_weight[column];
                for &row in &self.kinds[self.column_kind[column] as usize].rows {
                    vector[row] = weight;
                }
            }
        }
    }

    fn refactor(&mut self, meter: &Meter<'_>) {
        loop {
            let mut start = Vec::with_capacity(self.basis.len() + 1);
            let mut entries: Vec<(usize, f64)> = Vec::new();
            start.push(0);
            for &basic in &self.basis {
                match basic {
                    Basic::Slack(row) => {
                        entries.push((
                            row,
                            if self.rows[row].sense == Sense::AtLeast {
                                -1.0
                            } else {
                                1.0
                            },
                        ));
                    }
                    Basic::Artificial(row) => entries.push((row, 1.0)),
                    Basic::Column(column) => {
                        for &(row, count) in
                            &self.entries[self.column_start[column]..self.column_start[column + 1]]
                        {
                            entries.push((row as usize, f64::from(count)));
                        }
                        let weight = self.column_weight[column];
                        for &row in &self.kinds[self.column_kind[column] as usize].rows {
                            entries.push((row, weight));
                        }
                    }
                }
                start.push(entries.len());
            }
            let n_rows = self.rows.len();
            meter.spend((entries.len() * 8 + n_rows * n_rows / 8) as u64);
            match self.factor.factorize(n_rows, &start, &entries) {
                Ok(()) => break,
                Err(failed) => {
                    for (place, row) in failed {
                        self.mark(self.basis[place], false);
                        let unit = match self.rows[row].sense {
                            Sense::AtLeast => Basic::Artificial(row),
                            Sense::AtMost => Basic::Slack(row),
                        };
                        self.basis[place] = unit;
                        self.mark(unit, true);
                    }
                }
            }
        }
        self.fresh = true;
        self.compute_x();
    }

    fn compute_x(&mut self) {
        let mut x: Vec<f64> = (0..self.rows.len()).map(|row| self.rhs(row)).collect();
        self.factor.ftran(&mut x);
        self.x = x;
    }

    fn compute_prices(&mut self) {
        let mut y: Vec<f64> = self.basis.iter().map(|&basic| self.cost(basic)).collect();
        self.factor.btran(&mut y);
        self.y = y;
        for (kind, price) in self.kinds.iter().zip(&mut self.kind_price) {
            *price = kind.cost - kind.rows.iter().map(|&row| self.y[row]).sum::<f64>();
        }
    }

    fn work_of_iteration(&self) -> u64 {
        (2 * (self.factor.n_entries() + self.factor.n_update_entries()) + 8 * self.rows.len())
            as u64
    }

    fn exchange(&mut self, place: usize, entering: Basic, alpha: &[f64], step: f64) {
        if step != 0.0 {
            for (x, &a) in self.x.iter_mut().zip(alpha) {
                *x -= step * a;
            }
        }
        self.x[place] = step;
        self.mark(self.basis[place], false);
        self.mark(entering, true);
        self.basis[place] = entering;
        self.factor.update(place, alpha);
        self.n_pivots += 1;
    }

    fn refresh(&mut self, meter: &Meter<'_>) {
        let stale = self.factor.n_updates() >= ETA_LIMIT
            || (self.factor.n_updates() > 8
                && self.factor.n_update_entries() > 3 * self.factor.n_entries() + 500);
        if !self.fresh || stale {
            self.refactor(meter);
        }
    }
}

#[cfg(test)]
mod tests;

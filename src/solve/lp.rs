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

mod dual;
mod factor;
mod inverse;
mod live;
mod penalty;
mod primal;
mod simplex;

use super::meter::Meter;
use super::params::{EXPLICIT_ROWS, PERTURBATION, PRIMAL_TOLERANCE};
use inverse::Inverse;
use live::{Live, NOWHERE};

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

impl Sense {
    /// What the row's own slack, or surplus, counts in it.
    fn slack(self) -> f64 {
        match self {
            Sense::AtLeast => -1.0,
            Sense::AtMost => 1.0,
        }
    }
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
    /// Columns that are not barred; packed by [`Lp::solve`].
    live: Live,
    live_fresh: bool,
    /// The slot in `live` of each column.
    slots: Vec<u32>,
    basis: Vec<Basic>,
    slack_basic: Vec<bool>,
    artificial_basic: Vec<bool>,
    slack_reference: Vec<f64>,
    artificial_reference: Vec<f64>,
    spare_reference: f64,
    inverse: Inverse,
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
    /// Entries of the column last scattered.
    scratch: Vec<(usize, f64)>,
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
            live: Live::default(),
            live_fresh: false,
            slots: Vec::new(),
            basis: Vec::new(),
            slack_basic: Vec::new(),
            artificial_basic: Vec::new(),
            slack_reference: Vec::new(),
            artificial_reference: Vec::new(),
            spare_reference: 1.0,
            inverse: Inverse::new(EXPLICIT_ROWS),
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
            scratch: Vec::new(),
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
        self.slots.push(NOWHERE);
        let column = self.barred.len() - 1;
        if self.live_fresh {
            self.enliven(column);
        }
        column
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
        self.live_fresh = false;
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
            self.live_fresh = false;
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
        self.slack_basic.fill(false);
        self.artificial_basic.fill(false);
        self.basis.truncate(0);
        self.basis.extend_from_slice(basis);
        for row in basis.len()..self.rows.len() {
            self.basis.push(self.unit_of(row));
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
            Basic::Column(_) => {}
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

    /// Calls `visit` with each row in which a basic variable has a part, and that part.
    fn for_each_entry(&self, basic: Basic, mut visit: impl FnMut(usize, f64)) {
        match basic {
            Basic::Slack(row) => visit(row, self.rows[row].sense.slack()),
            Basic::Artificial(row) => visit(row, 1.0),
            Basic::Column(column) => {
                let range = self.column_start[column]..self.column_start[column + 1];
                for &(row, count) in &self.entries[range] {
                    visit(row as usize, f64::from(count));
                }
                let weight = self.column_weight[column];
                for &row in &self.kinds[self.column_kind[column] as usize].rows {
                    visit(row, weight);
                }
            }
        }
    }

    /// The entry of a variable in the row `rho` of the inverse.
    fn entry(&self, basic: Basic, rho: &[f64]) -> f64 {
        let mut entry = 0.0;
        self.for_each_entry(basic, |row, value| entry += rho[row] * value);
        entry
    }

    /// The inverse times the column of a variable, into `alpha`.
    fn solve_column(&mut self, basic: Basic, alpha: &mut Vec<f64>) {
        let mut entries = std::mem::take(&mut self.scratch);
        entries.clear();
        self.for_each_entry(basic, |row, value| entries.push((row, value)));
        self.inverse.column(&entries, alpha);
        self.scratch = entries;
    }

    /// The slot of a column that is not barred.
    fn slot(&self, column: usize) -> Option<usize> {
        let slot = self.slots[column];
        (slot != NOWHERE).then_some(slot as usize)
    }

    /// Packs the columns that are not barred.
    fn pack(&mut self) {
        self.live.clear();
        self.slots.fill(NOWHERE);
        for column in 0..self.barred.len() {
            if !self.barred[column] {
                self.enliven(column);
            }
        }
        self.live_fresh = true;
    }

    /// Takes a column among the packed ones.
    fn enliven(&mut self, column: usize) {
        self.slots[column] = u32::try_from(self.live.len()).unwrap_or(NOWHERE);
        let entries = &self.entries[self.column_start[column]..self.column_start[column + 1]];
        let kind = self.column_kind[column];
        self.live
            .push(column, kind, self.column_weight[column], entries);
    }

    /// Makes the inverse anew, with unit variables in the place of columns that depend on others.
    fn renew(&mut self, meter: &Meter<'_>) {
        let n_rows = self.rows.len();
        loop {
            let mut start = Vec::with_capacity(n_rows + 1);
            let mut entries: Vec<(usize, f64)> = Vec::new();
            start.push(0);
            for &basic in &self.basis {
                self.for_each_entry(basic, |row, value| entries.push((row, value)));
                start.push(entries.len());
            }
            match self.inverse.renew(n_rows, &start, &entries) {
                Ok(()) => break,
                Err(failed) => {
                    for (place, row) in failed {
                        self.put(place, self.unit_of(row));
                    }
                }
            }
        }
        meter.spend(self.inverse.work_of_renewal() as u64);
        self.fresh = true;
    }

    /// The unit variable that a row has in a basis of its own.
    fn unit_of(&self, row: usize) -> Basic {
        match self.rows[row].sense {
            Sense::AtLeast => Basic::Artificial(row),
            Sense::AtMost => Basic::Slack(row),
        }
    }

    /// Puts a variable into the basis at `place`.
    fn put(&mut self, place: usize, basic: Basic) {
        self.mark(self.basis[place], false);
        self.mark(basic, true);
        self.basis[place] = basic;
    }

    fn price_kinds(&mut self) {
        for (kind, price) in self.kinds.iter().zip(&mut self.kind_price) {
            *price = kind.cost - kind.rows.iter().map(|&row| self.y[row]).sum::<f64>();
        }
    }

    /// Computes the entries of all columns in the row `rho` of the inverse.
    fn fill_row(&mut self, rho: &[f64]) {
        let sum = |kind: &KindColumns| kind.rows.iter().map(|&row| rho[row]).sum();
        let kind_rho: Vec<f64> = self.kinds.iter().map(sum).collect();
        self.live.fill_row(rho, &kind_rho);
    }

    fn work_of_iteration(&self) -> u64 {
        let rows = 8 * self.rows.len();
        (self.inverse.work_of_exchange() + self.live.n_entries() + 2 * self.live.len() + rows)
            as u64
    }

    /// Exchanges the basic variable at `place` for `entering`.
    ///
    /// `alpha` is the inverse times the column of `entering`, `rho` the row of the inverse at `place`, for which
    /// [`Lp::fill_row`] was called; `reduced` is the reduced cost of `entering`.
    fn exchange(
        &mut self,
        place: usize,
        entering: Basic,
        alpha: &[f64],
        rho: &[f64],
        step: f64,
        reduced: f64,
    ) {
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
        if let Basic::Column(column) = self.basis[place]
            && let Some(slot) = self.slot(column)
        {
            self.live.reduced[slot] = -rise;
        }
        if let Basic::Column(column) = entering
            && let Some(slot) = self.slot(column)
        {
            self.live.reduced[slot] = f64::INFINITY;
        }
        self.put(place, entering);
        self.inverse.exchange(place, alpha, rho);
        self.n_pivots += 1;
    }
}

#[cfg(test)]
mod tests;

//! The columns that are not barred, packed for passes over all of them.

use super::program::{Basic, Program};

/// Columns side by side with their reduced costs and reference weights.
///
/// The reduced cost of a basic column is infinite, so that it is never chosen to enter.
#[derive(Debug, Default)]
pub(super) struct Live {
    /// Whether what is packed are just the columns that are not barred.
    is_packed: bool,
    /// The slot of each column of the program.
    slots: Vec<Option<u32>>,
    /// Index of each column in the program, rising.
    pub(super) columns: Vec<usize>,
    /// Its kind.
    pub(super) kinds: Vec<u32>,
    /// Its weight in the rows of its kind.
    pub(super) weights: Vec<f64>,
    start: Vec<usize>,
    rows: Vec<u32>,
    counts: Vec<f64>,
    /// Its reduced cost.
    pub(super) reduced: Vec<f64>,
    /// Its weight in the choice of the entering variable.
    pub(super) reference: Vec<f64>,
    /// Its entry in the row of the last exchange.
    pub(super) entries: Vec<f64>,
}

impl Live {
    /// Packs the columns of `program` that are not barred, unless they are packed already.
    pub(super) fn pack(&mut self, program: &Program) {
        if self.is_packed {
            return;
        }
        self.columns.clear();
        self.kinds.clear();
        self.weights.clear();
        self.start.clear();
        self.start.push(0);
        self.rows.clear();
        self.counts.clear();
        self.reduced.clear();
        self.reference.clear();
        self.entries.clear();
        self.slots.clear();
        self.slots.resize(program.n_columns(), None);
        for column in (0..program.n_columns()).filter(|&column| !program.is_barred(column)) {
            self.push(column, program);
        }
        self.is_packed = true;
    }

    /// Makes [`Live::pack`] do its work anew.
    pub(super) fn unpack(&mut self) {
        self.is_packed = false;
    }

    /// Takes in a new column of `program`.
    pub(super) fn add(&mut self, column: usize, program: &Program) {
        if self.is_packed {
            self.slots.push(None);
            self.push(column, program);
        }
    }

    /// The slot of a column that is not barred.
    pub(super) fn slot(&self, basic: Basic) -> Option<usize> {
        match basic {
            Basic::Column(column) => self.slots[column].map(|slot| slot as usize),
            Basic::Slack(_) | Basic::Artificial(_) => None,
        }
    }

    /// Sets the reduced cost of a variable, where that is a column that is not barred.
    pub(super) fn set_reduced(&mut self, basic: Basic, reduced: f64) {
        if let Some(slot) = self.slot(basic) {
            self.reduced[slot] = reduced;
        }
    }

    /// Number of columns.
    pub(super) fn len(&self) -> usize {
        self.columns.len()
    }

    /// Number of entries of all columns.
    pub(super) fn n_entries(&self) -> usize {
        self.rows.len()
    }

    /// Takes a column in, behind all others.
    fn push(&mut self, column: usize, program: &Program) {
        self.slots[column] = u32::try_from(self.columns.len()).ok();
        let (kind, weight, entries) = program.column(column);
        self.columns.push(column);
        self.kinds.push(kind);
        self.weights.push(weight);
        for &(row, count) in entries {
            self.rows.push(row);
            self.counts.push(f64::from(count));
        }
        self.start.push(self.rows.len());
        self.reduced.push(f64::INFINITY);
        self.reference.push(1.0);
        self.entries.push(0.0);
    }

    /// `vector` times the item part of the column in `slot`.
    fn product(&self, slot: usize, vector: &[f64]) -> f64 {
        let range = self.start[slot]..self.start[slot + 1];
        self.rows[range.clone()]
            .iter()
            .zip(&self.counts[range])
            .map(|(&row, &count)| vector[row as usize] * count)
            .sum()
    }

    /// Computes all reduced costs for duals `y`, basic columns included.
    pub(super) fn reduce(&mut self, y: &[f64], kind_reduced: &[f64]) {
        for slot in 0..self.len() {
            let own = self.weights[slot] * kind_reduced[self.kinds[slot] as usize];
            self.reduced[slot] = own - self.product(slot, y);
        }
    }

    /// Computes the entries of all columns in the row `rho` of the inverse.
    pub(super) fn fill_row(&mut self, rho: &[f64], kind_rho: &[f64]) {
        for slot in 0..self.len() {
            let own = self.weights[slot] * kind_rho[self.kinds[slot] as usize];
            self.entries[slot] = own + self.product(slot, rho);
        }
    }

    /// Moves all reduced costs along the row last filled.
    pub(super) fn shift(&mut self, step: f64) {
        for (reduced, &entry) in self.reduced.iter_mut().zip(&self.entries) {
            *reduced -= step * entry;
        }
    }

    /// Raises the reference weights by the row last filled; `ratio` is the entering variable's own weight over its
    /// squared entry.
    pub(super) fn raise_references(&mut self, ratio: f64) {
        for (reference, &entry) in self.reference.iter_mut().zip(&self.entries) {
            *reference = reference.max(entry * entry * ratio);
        }
    }
}

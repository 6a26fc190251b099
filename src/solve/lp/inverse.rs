//! The inverse of the basis: written out while it is small, as a factorization when it is large.

use super::super::params::{ETA_CROWDED, ETA_LEAST, ETA_LIMIT, INVERSE_UPDATES};
use super::factor::Factor;

/// The inverse of the basis, kept up over exchanges.
///
/// Rows of the inverse belong to places of basic variables, its columns to rows of the program.
/// Bases of the master are small and their inverses half full, so up to some number of rows the inverse is kept as a
/// full table: a row of it is there at once, and an exchange is one pass over the table.
#[derive(Debug)]
pub(super) struct Inverse {
    /// Rows up to which the table is kept.
    most_explicit: usize,
    n_rows: usize,
    /// The table by places, empty when the factorization serves instead.
    table: Vec<f64>,
    factor: Factor,
    n_updates: usize,
}

impl Inverse {
    /// The inverse of nothing, to be kept as a table for up to `most_explicit` rows.
    pub(super) fn new(most_explicit: usize) -> Inverse {
        Inverse {
            most_explicit,
            n_rows: 0,
            table: Vec::new(),
            factor: Factor::default(),
            n_updates: 0,
        }
    }

    /// Exchanges since it was made anew.
    pub(super) fn n_updates(&self) -> usize {
        self.n_updates
    }

    /// Whether so much was exchanged that making it anew is due.
    pub(super) fn is_worn(&self) -> bool {
        if self.is_explicit() {
            return self.n_updates >= INVERSE_UPDATES;
        }
        self.n_updates >= ETA_LIMIT
            || (self.n_updates > ETA_LEAST
                && self.factor.n_update_entries()
                    > ETA_CROWDED.0 * self.factor.n_entries() + ETA_CROWDED.1)
    }

    fn is_explicit(&self) -> bool {
        !self.table.is_empty()
    }

    /// Steps of work that an exchange takes, about.
    pub(super) fn work_of_exchange(&self) -> usize {
        if self.is_explicit() {
            self.n_rows * self.n_rows / 4
        } else {
            2 * (self.factor.n_entries() + self.factor.n_update_entries())
        }
    }

    /// Steps of work that making it anew takes, about.
    pub(super) fn work_of_renewal(&self) -> usize {
        let solves = if self.is_explicit() { self.n_rows } else { 8 };
        solves * (self.factor.n_entries() + self.n_rows)
    }

    /// Makes it anew for the basis whose columns are given by place as `(row, value)` lists in one flat array.
    ///
    /// Returns what [`Factor::factorize`] does when the basis is singular.
    pub(super) fn renew(
        &mut self,
        n_rows: usize,
        start: &[usize],
        entries: &[(usize, f64)],
    ) -> Result<(), Vec<(usize, usize)>> {
        self.n_rows = n_rows;
        self.n_updates = 0;
        self.factor.factorize(n_rows, start, entries)?;
        self.table.clear();
        if n_rows <= self.most_explicit {
            self.table.reserve(n_rows * n_rows);
            let mut row = Vec::new();
            for place in 0..n_rows {
                unit(&mut row, n_rows, place);
                self.factor.btran(&mut row);
                self.table.extend_from_slice(&row);
            }
        }
        Ok(())
    }

    /// The row of the inverse at `place`, into `row`.
    pub(super) fn row(&mut self, place: usize, row: &mut Vec<f64>) {
        if self.is_explicit() {
            row.clear();
            row.extend_from_slice(&self.table[place * self.n_rows..(place + 1) * self.n_rows]);
        } else {
            unit(row, self.n_rows, place);
            self.factor.btran(row);
        }
    }

    /// The inverse times the column with these `(row, value)` entries, into `solved` by place.
    pub(super) fn column(&mut self, entries: &[(usize, f64)], solved: &mut Vec<f64>) {
        solved.clear();
        if self.is_explicit() {
            solved.extend(self.table.chunks_exact(self.n_rows).map(|row| {
                entries
                    .iter()
                    .map(|&(at, value)| row[at] * value)
                    .sum::<f64>()
            }));
        } else {
            solved.resize(self.n_rows, 0.0);
            for &(row, value) in entries {
                solved[row] = value;
            }
            self.factor.ftran(solved);
        }
    }

    /// Solves `B x = b`: the inverse times `b`.
    pub(super) fn times(&mut self, vector: &[f64]) -> Vec<f64> {
        if self.is_explicit() {
            return self
                .table
                .chunks_exact(self.n_rows)
                .map(|row| dot(row, vector))
                .collect();
        }
        let mut solved = vector.to_vec();
        self.factor.ftran(&mut solved);
        solved
    }

    /// Solves `y B = c`: `c` times the inverse.
    pub(super) fn by(&mut self, vector: &[f64]) -> Vec<f64> {
        if self.is_explicit() {
            let mut product = vec![0.0; self.n_rows];
            for (row, &factor) in self.table.chunks_exact(self.n_rows).zip(vector) {
                if factor != 0.0 {
                    add_multiple(&mut product, factor, row);
                }
            }
            return product;
        }
        let mut product = vector.to_vec();
        self.factor.btran(&mut product);
        product
    }

    /// Replaces the basic variable at `place` by one whose column times the inverse is `alpha`.
    ///
    /// `row` is the row of the inverse at `place` before.
    pub(super) fn exchange(&mut self, place: usize, alpha: &[f64], row: &[f64]) {
        self.n_updates += 1;
        if !self.is_explicit() {
            self.factor.update(place, alpha);
            return;
        }
        let pivot = alpha[place];
        for (at, target) in self.table.chunks_exact_mut(self.n_rows).enumerate() {
            if at == place {
                for value in target {
                    *value /= pivot;
                }
            } else if alpha[at] != 0.0 {
                add_multiple(target, -alpha[at] / pivot, row);
            }
        }
    }

    /// The squares of the lengths of the rows, by place; all one when they are not at hand.
    pub(super) fn row_norms(&self) -> Vec<f64> {
        if !self.is_explicit() {
            return vec![1.0; self.n_rows];
        }
        self.table
            .chunks_exact(self.n_rows)
            .map(|row| dot(row, row))
            .collect()
    }

    /// Brings `norms` up to date after an exchange with `alpha`.
    pub(super) fn update_norms(&self, alpha: &[f64], norms: &mut [f64]) {
        if !self.is_explicit() {
            return;
        }
        let rows = self.table.chunks_exact(self.n_rows);
        for ((row, norm), &a) in rows.zip(norms).zip(alpha) {
            if a != 0.0 {
                *norm = dot(row, row);
            }
        }
    }
}

fn unit(vector: &mut Vec<f64>, n_rows: usize, place: usize) {
    vector.clear();
    vector.resize(n_rows, 0.0);
    vector[place] = 1.0;
}

fn add_multiple(target: &mut [f64], factor: f64, source: &[f64]) {
    for (target, &source) in target.iter_mut().zip(source) {
        *target += factor * source;
    }
}

/// The inner product, summed in four strands so that it need not wait for each addition.
fn dot(first: &[f64], second: &[f64]) -> f64 {
    let mut strands = [0.0f64; 4];
    let (first_fours, second_fours) = (first.chunks_exact(4), second.chunks_exact(4));
    let rest: f64 = first_fours
        .remainder()
        .iter()
        .zip(second_fours.remainder())
        .map(|(one, other)| one * other)
        .sum();
    for (one, other) in first_fours.zip(second_fours) {
        for strand in 0..4 {
            strands[strand] += one[strand] * other[strand];
        }
    }
    (strands[0] + strands[1]) + (strands[2] + strands[3]) + rest
}

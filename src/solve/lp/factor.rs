//! A sparse triangular factorization of the basis, kept up by eta vectors in product form.

use super::super::params::{PIVOT_SHARE, SINGLETON_SHARE, SINGULAR_BELOW};

/// `B = L U` for the basis at the last factorization, times one eta matrix for each exchange since.
///
/// Rows are the rows of the program; positions are the places of basic variables.
///
/// # Source
/// G. B. Dantzig, W. Orchard-Hays, The product form for the inverse in the simplex method, Mathematics of
/// Computation 8 (1954); J. R. Gilbert, T. Peierls, Sparse partial pivoting in time proportional to arithmetic
/// operations, SIAM Journal on Scientific and Statistical Computing 9 (1988), doi 10.1137/0909058, for the
/// column-by-column order of elimination.
#[derive(Debug, Default)]
pub(super) struct Factor {
    n_rows: usize,
    /// Pivot row of each step.
    pivot_row: Vec<usize>,
    /// Position whose column was eliminated at each step.
    pivot_place: Vec<usize>,
    lower_start: Vec<usize>,
    lower: Vec<(usize, f64)>,
    upper_start: Vec<usize>,
    /// `(step, value)` above the diagonal.
    upper: Vec<(usize, f64)>,
    diagonal: Vec<f64>,
    etas: Vec<(usize, f64)>,
    eta_start: Vec<usize>,
    eta_entries: Vec<(usize, f64)>,
    work: Vec<f64>,
}

impl Factor {
    /// Nonzeros kept for the exchanges, to judge when factorizing anew pays.
    pub(super) fn n_update_entries(&self) -> usize {
        self.eta_entries.len()
    }

    /// Nonzeros of both triangles.
    pub(super) fn n_entries(&self) -> usize {
        self.lower.len() + self.upper.len() + self.n_rows
    }

    /// Factorizes the basis whose columns are given by position as `(row, value)` lists in one flat array.
    ///
    /// Returns the positions left without a pivot together with as many rows without one, when the basis is
    /// singular; the caller puts unit columns there and tries again.
    #[expect(
        clippy::too_many_lines,
        reason = "one elimination whose steps share their state"
    )]
    pub(super) fn factorize(
        &mut self,
        n_rows: usize,
        start: &[usize],
        entries: &[(usize, f64)],
    ) -> Result<(), Vec<(usize, usize)>> {
        self.n_rows = n_rows;
        self.etas.clear();
        self.eta_start.clear();
        self.eta_start.push(0);
        self.eta_entries.clear();
        self.pivot_row.clear();
        self.pivot_place.clear();
        self.lower.clear();
        self.lower_start.clear();
        self.lower_start.push(0);
        self.upper.clear();
        self.upper_start.clear();
        self.upper_start.push(0);
        self.diagonal.clear();
        self.work.clear();
        self.work.resize(n_rows, 0.0);
        let order = order_columns(n_rows, start, entries);
        let mut row_count = vec![0usize; n_rows];
        for &(row, _) in entries {
            row_count[row] += 1;
        }
        let mut step_of_row = vec![usize::MAX; n_rows];
        let mut failed = Vec::new();
        let mut touched: Vec<usize> = Vec::new();
        for &(place, wanted) in &order {
            touched.clear();
            let mut first_step = usize::MAX;
            for &(row, value) in &entries[start[place]..start[place + 1]] {
                self.work[row] = value;
                touched.push(row);
                first_step = first_step.min(step_of_row[row]);
            }
            // Apply the earlier steps that meet a nonzero.
            if first_step != usize::MAX {
                for step in first_step..self.pivot_row.len() {
                    let factor = self.work[self.pivot_row[step]];
                    if factor == 0.0 {
                        continue;
                    }
                    for &(row, value) in
                        &self.lower[self.lower_start[step]..self.lower_start[step + 1]]
                    {
                        if self.work[row] == 0.0 {
                            touched.push(row);
                        }
                        self.work[row] -= factor * value;
                    }
                }
            }
            let mut largest = 0.0f64;
            for &row in &touched {
                if step_of_row[row] == usize::MAX {
                    largest = largest.max(self.work[row].abs());
                }
            }
            if largest < SINGULAR_BELOW {
                for &row in &touched {
                    self.work[row] = 0.0;
                }
                failed.push(place);
                continue;
            }
            let mut pivot = usize::MAX;
            if wanted != usize::MAX
                && step_of_row[wanted] == usize::MAX
                && self.work[wanted].abs() >= SINGLETON_SHARE * largest
            {
                pivot = wanted;
            }
            let candidates: &[usize] = if pivot == usize::MAX { &touched } else { &[] };
            for &row in candidates {
                let size = self.work[row].abs();
                if step_of_row[row] == usize::MAX && size >= PIVOT_SHARE * largest {
                    let better = pivot == usize::MAX
                        || row_count[row] < row_count[pivot]
                        || (row_count[row] == row_count[pivot] && row < pivot);
                    if better {
                        pivot = row;
                    }
                }
            }
            let diagonal = self.work[pivot];
            let step = self.pivot_row.len();
            for &row in &touched {
                let value = self.work[row];
                self.work[row] = 0.0;
                if value == 0.0 || row == pivot {
                    continue;
                }
                if step_of_row[row] == usize::MAX {
                    self.lower.push((row, value / diagonal));
                } else {
                    self.upper.push((step_of_row[row], value));
                }
            }
            step_of_row[pivot] = step;
            self.pivot_row.push(pivot);
            self.pivot_place.push(place);
            self.diagonal.push(diagonal);
            self.lower_start.push(self.lower.len());
            self.upper_start.push(self.upper.len());
        }
        if failed.is_empty() {
            return Ok(());
        }
        let free = (0..n_rows).filter(|&row| step_of_row[row] == usize::MAX);
        Err(failed.into_iter().zip(free).collect())
    }

    /// Solves `B x = b`; `b` by row on entry, `x` by position on return.
    pub(super) fn ftran(&mut self, vector: &mut Vec<f64>) {
        let n_steps = self.pivot_row.len();
        for step in 0..n_steps {
            let factor = vector[self.pivot_row[step]];
            if factor != 0.0 {
                for &(row, value) in &self.lower[self.lower_start[step]..self.lower_start[step + 1]]
                {
                    vector[row] -= factor * value;
                }
            }
        }
        self.work.clear();
        self.work.resize(self.n_rows, 0.0);
        for step in (0..n_steps).rev() {
            let value = vector[self.pivot_row[step]];
            if value != 0.0 {
                let solved = value / self.diagonal[step];
                self.work[self.pivot_place[step]] = solved;
                for &(above, entry) in
                    &self.upper[self.upper_start[step]..self.upper_start[step + 1]]
                {
                    vector[self.pivot_row[above]] -= solved * entry;
                }
            }
        }
        std::mem::swap(vector, &mut self.work);
        for (idx, &(place, pivot)) in self.etas.iter().enumerate() {
            let value = vector[place];
            if value != 0.0 {
                let solved = value / pivot;
                vector[place] = solved;
                for &(other, entry) in
                    &self.eta_entries[self.eta_start[idx]..self.eta_start[idx + 1]]
                {
                    vector[other] -= solved * entry;
                }
            }
        }
    }

    /// Solves `y B = c`; `c` by position on entry, `y` by row on return.
    pub(super) fn btran(&mut self, vector: &mut Vec<f64>) {
        for (idx, &(place, pivot)) in self.etas.iter().enumerate().rev() {
            let mut value = vector[place];
            for &(other, entry) in &self.eta_entries[self.eta_start[idx]..self.eta_start[idx + 1]] {
                value -= entry * vector[other];
            }
            vector[place] = value / pivot;
        }
        let n_steps = self.pivot_row.len();
        self.work.clear();
        self.work.resize(self.n_rows, 0.0);
        for step in 0..n_steps {
            let mut value = vector[self.pivot_place[step]];
            for &(above, entry) in &self.upper[self.upper_start[step]..self.upper_start[step + 1]] {
                value -= entry * self.work[self.pivot_row[above]];
            }
            self.work[self.pivot_row[step]] = value / self.diagonal[step];
        }
        for step in (0..n_steps).rev() {
            let mut value = self.work[self.pivot_row[step]];
            for &(row, entry) in &self.lower[self.lower_start[step]..self.lower_start[step + 1]] {
                value -= entry * self.work[row];
            }
            self.work[self.pivot_row[step]] = value;
        }
        std::mem::swap(vector, &mut self.work);
    }

    /// Replaces the basic variable at `place` by one whose column, solved by [`Factor::ftran`], is `alpha`.
    pub(super) fn update(&mut self, place: usize, alpha: &[f64]) {
        self.etas.push((place, alpha[place]));
        for (other, &value) in alpha.iter().enumerate() {
            if other != place && value != 0.0 {
                self.eta_entries.push((other, value));
            }
        }
        self.eta_start.push(self.eta_entries.len());
    }
}

/// An order of elimination, with the row in which each column should pivot where that is known.
///
/// Column singletons of the shrinking matrix are taken out first (they need no elimination), then row singletons;
/// what remains is ordered by rising count.
fn order_columns(n_rows: usize, start: &[usize], entries: &[(usize, f64)]) -> Vec<(usize, usize)> {
    let n = start.len() - 1;
    let mut column_count: Vec<usize> = (0..n)
        .map(|place| start[place + 1] - start[place])
        .collect();
    let mut by_row_start = vec![0usize; n_rows + 1];
    for &(row, _) in entries {
        by_row_start[row + 1] += 1;
    }
    for row in 0..n_rows {
        by_row_start[row + 1] += by_row_start[row];
    }
    let mut fill = by_row_start.clone();
    let mut by_row = vec![0usize; entries.len()];
    for place in 0..n {
        for &(row, _) in &entries[start[place]..start[place + 1]] {
            by_row[fill[row]] = place;
            fill[row] += 1;
        }
    }
    let mut row_count: Vec<usize> = (0..n_rows)
        .map(|row| by_row_start[row + 1] - by_row_start[row])
        .collect();
    let mut row_done = vec![false; n_rows];
    let mut column_done = vec![false; n];
    let mut order = Vec::with_capacity(n);
    // Column singletons: the pivot row is used by no column that is still to come once it is taken.
    let mut queue: Vec<usize> = (0..n).filter(|&place| column_count[place] == 1).collect();
    let mut head = 0;
    while head < queue.len() {
        let place = queue[head];
        head += 1;
        if column_done[place] || column_count[place] != 1 {
            continue;
        }
        let Some(row) = entries[start[place]..start[place + 1]]
            .iter()
            .map(|entry| entry.0)
            .find(|&row| !row_done[row])
        else {
            continue;
        };
        column_done[place] = true;
        row_done[row] = true;
        order.push((place, row));
        for &other in &by_row[by_row_start[row]..by_row_start[row + 1]] {
            if !column_done[other] {
                column_count[other] -= 1;
                if column_count[other] == 1 {
                    queue.push(other);
                }
            }
        }
    }
    for place in 0..n {
        if column_done[place] {
            for &(row, _) in &entries[start[place]..start[place + 1]] {
                row_count[row] -= 1;
            }
        }
    }
    // Row singletons: their columns fill nothing if they are eliminated last but one after another in this order.
    let mut row_queue: Vec<usize> = (0..n_rows)
        .filter(|&row| !row_done[row] && row_count[row] == 1)
        .collect();
    let mut head = 0;
    let mut early = Vec::new();
    while head < row_queue.len() {
        let row = row_queue[head];
        head += 1;
        if row_done[row] || row_count[row] != 1 {
            continue;
        }
        let Some(&place) = by_row[by_row_start[row]..by_row_start[row + 1]]
            .iter()
            .find(|&&place| !column_done[place])
        else {
            continue;
        };
        row_done[row] = true;
        column_done[place] = true;
        early.push((place, row));
        for &(other, _) in &entries[start[place]..start[place + 1]] {
            if !row_done[other] {
                row_count[other] -= 1;
                if row_count[other] == 1 {
                    row_queue.push(other);
                }
            }
        }
    }
    order.extend(early);
    let mut rest: Vec<usize> = (0..n).filter(|&place| !column_done[place]).collect();
    rest.sort_by_key(|&place| (column_count[place], place));
    order.extend(rest.into_iter().map(|place| (place, usize::MAX)));
    order
}

//! The choice of cells for a set of sizes: exact where the sizes share a grid, near enough elsewhere.
#![expect(
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "floats only choose cells; the ratio that makes them a bound is computed in integers"
)]

use crate::cutting::common_divisor;

use super::super::params::{
    CELL_NUDGE, COARSE_CELLS, FINE_CELLS, FINER_GAIN, GOOD_SLACK, GRID_TRIES, MOST_PARTS,
    SHARED_CELLS, SHARED_GAIN,
};

/// Binary digits after the point of [`Grid::ratio`].
const RATIO_BITS: u32 = 60;

/// Cells for sizes: `cells_of(s) <= s * ratio` for every size of the set.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    /// `(size, cells)` by rising size.
    table: Vec<(i64, usize)>,
    /// Cells in a unit of length, rounded up, with [`RATIO_BITS`] binary digits after the point.
    ratio: u64,
    /// Common divisor of all sizes.
    unit: i64,
    /// Whether all sizes are whole cells, so that cells tell as much as lengths.
    is_exact: bool,
}

impl Grid {
    /// Chooses cells for `sizes` and capacities up to `longest`.
    ///
    /// Sizes with a common divisor get one cell for it when that gives no more than the fine number of cells.
    /// Otherwise the sizes are taken to be grid lengths and one common rest each (a kerf): with `g` the divisor of
    /// all differences, cell lengths `g / q` are tried until all sizes are near whole cells.
    /// Failing that, some number of cells serves, four times as many with each `level`.
    pub(super) fn choose(sizes: &[i64], longest: i64, level: u32) -> Grid {
        let unit = sizes
            .iter()
            .fold(0, |unit, &size| common_divisor(unit, size))
            .max(1);
        let longest = longest.max(1);
        let span = longest / unit;
        if span <= FINE_CELLS {
            return Grid::build(sizes, unit, unit as f64, 0.0);
        }
        let first = sizes.first().copied().unwrap_or(1);
        let step = sizes
            .iter()
            .fold(0, |step, &size| common_divisor(step, (size - first).abs()));
        let cells = (COARSE_CELLS << (2 * level)) as f64;
        let mut best = Grid::build(sizes, unit, longest as f64 / cells, 0.5);
        let mut best_slack = best.slack(sizes, longest);
        for turn in 1..GRID_TRIES {
            let cells = cells * (1.0 + f64::from(turn) / (2.0 * f64::from(GRID_TRIES)));
            let candidate = Grid::build(sizes, unit, longest as f64 / cells, 0.5);
            // A finer grid should be better by more than its fineness.
            let slack = candidate.slack(sizes, longest);
            if slack < FINER_GAIN * best_slack {
                best = candidate;
                best_slack = slack;
            }
        }
        if step > 0 {
            for parts in 1i64.. {
                let cell = step as f64 / parts as f64;
                let cells = longest as f64 / cell;
                if cells > SHARED_CELLS.1 || parts > MOST_PARTS {
                    break;
                }
                if cells < SHARED_CELLS.0 {
                    continue;
                }
                let candidate = Grid::build(sizes, unit, cell, 0.5);
                let slack = candidate.slack(sizes, longest);
                if slack < SHARED_GAIN * best_slack {
                    best = candidate;
                    best_slack = slack;
                }
                if best_slack < GOOD_SLACK {
                    break;
                }
            }
        }
        best
    }

    fn build(sizes: &[i64], unit: i64, cell: f64, nudge: f64) -> Grid {
        let mut table: Vec<(i64, usize)> = sizes
            .iter()
            .map(|&size| {
                let cells = (size as f64 / cell + nudge + CELL_NUDGE).floor().max(1.0);
                (size, cells as usize)
            })
            .collect();
        table.sort_unstable();
        table.dedup_by_key(|entry| entry.0);
        let ratio = table
            .iter()
            .map(|&(size, cells)| {
                let scaled = (cells as u128) << RATIO_BITS;
                let units = u128::try_from(size / unit).expect("sizes are positive");
                u64::try_from(scaled.div_ceil(units)).unwrap_or(u64::MAX)
            })
            .max()
            .unwrap_or(0);
        let is_whole = |&(size, cells): &(i64, usize)| i64::try_from(cells) == Ok(size / unit);
        let is_exact = table.iter().all(is_whole);
        Grid {
            table,
            ratio,
            unit,
            is_exact,
        }
    }

    /// Whether all sizes are whole cells, so that cells tell as much as lengths.
    pub(super) fn is_exact(&self) -> bool {
        self.is_exact
    }

    /// By how many cells the bound on `longest` may be too generous.
    fn slack(&self, sizes: &[i64], longest: i64) -> f64 {
        let upper = self.ratio as f64 / (1u64 << RATIO_BITS) as f64 / self.unit as f64;
        let least = sizes
            .iter()
            .map(|&size| self.cells_of(size) as f64 / size as f64)
            .fold(f64::INFINITY, f64::min);
        (upper - least) * longest as f64
    }

    /// Cells of an item of the set, or of a sum of such sizes by the ratio rounded down.
    pub(super) fn cells_of(&self, size: i64) -> usize {
        match self.table.binary_search_by_key(&size, |entry| entry.0) {
            Ok(idx) => self.table[idx].1,
            Err(_) => self.cells_within(size),
        }
    }

    /// The most cells that a pattern within `length` can take.
    pub(super) fn cells_within(&self, length: i64) -> usize {
        let units = if self.unit == 1 {
            length
        } else {
            length / self.unit
        };
        let units = u128::try_from(units).unwrap_or(0);
        usize::try_from((units * u128::from(self.ratio)) >> RATIO_BITS).unwrap_or(usize::MAX)
    }
}

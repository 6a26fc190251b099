//! The small program that mixes duals: few rows, many columns, a dense tableau.
#![expect(
    clippy::float_arithmetic,
    reason = "the mixture is only proposed; pricing proves what it bounds"
)]

use super::super::super::meter::Meter;
use super::super::super::params::{DUAL_TOLERANCE, MIXTURE_PIVOTS, MIXTURE_STEP, PIVOT_TOLERANCE};

/// `max sum_j g_j x_j` with `sum_j a_sj x_j <= c_s` in every row `s`, `x_j >= 0`; no `c_s` is negative.
pub(super) struct Program {
    sides: Vec<f64>,
    gains: Vec<f64>,
    /// Entries column after column.
    entries: Vec<f64>,
}

/// What stands for a row or a column of the tableau.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Variable {
    Column(usize),
    Slack,
}

impl Program {
    pub(super) fn new(sides: Vec<f64>) -> Program {
        Program {
            sides,
            gains: Vec::new(),
            entries: Vec::new(),
        }
    }

    /// Adds a column by its gain and its entry in each row; gives its index.
    pub(super) fn add_column(&mut self, gain: f64, entry: impl Fn(usize) -> f64) -> usize {
        self.gains.push(gain);
        self.entries.extend((0..self.sides.len()).map(entry));
        self.gains.len() - 1
    }

    /// The best values of the columns, or good ones where that takes too long.
    pub(super) fn solve(self, meter: &Meter<'_>) -> Vec<f64> {
        let Program {
            mut sides,
            mut gains,
            entries,
        } = self;
        let (n_rows, n_columns) = (sides.len(), gains.len());
        let mut columns: Vec<&mut [f64]> = Vec::with_capacity(n_columns);
        let mut entries = entries;
        columns.extend(entries.chunks_mut(n_rows.max(1)));
        let mut basic = vec![Variable::Slack; n_rows];
        let mut free: Vec<Variable> = (0..n_columns).map(Variable::Column).collect();
        let n_pivots = MIXTURE_PIVOTS * n_rows;
        for _ in 0..n_pivots {
            if !meter.spend((n_rows * n_columns) as u64) {
                break;
            }
            let Some(enters) = entering(&columns, &sides, &gains) else {
                break;
            };
            let Some(leaves) = leaving(columns[enters], &sides) else {
                break;
            };
            std::mem::swap(&mut basic[leaves], &mut free[enters]);
            let pivot = columns[enters][leaves];
            let mut own: Vec<f64> = columns[enters].to_vec();
            own[leaves] = 0.0;
            let gain = gains[enters];
            for (idx, column) in columns.iter_mut().enumerate() {
                if idx == enters {
                    continue;
                }
                let share = column[leaves] / pivot;
                column[leaves] = share;
                if share != 0.0 {
                    for (entry, &own) in column.iter_mut().zip(&own) {
                        *entry -= own * share;
                    }
                    gains[idx] -= gain * share;
                }
            }
            let share = sides[leaves] / pivot;
            for (side, &own) in sides.iter_mut().zip(&own) {
                *side = (*side - own * share).max(0.0);
            }
            sides[leaves] = share;
            for (entry, &own) in columns[enters].iter_mut().zip(&own) {
                *entry = -own / pivot;
            }
            columns[enters][leaves] = 1.0 / pivot;
            gains[enters] = -gain / pivot;
        }
        let mut values = vec![0.0; n_columns];
        for (&variable, &side) in basic.iter().zip(&sides) {
            if let Variable::Column(column) = variable {
                values[column] = side;
            }
        }
        values
    }
}

/// The column that gains most as a whole, of those that gain.
fn entering(columns: &[&mut [f64]], sides: &[f64], gains: &[f64]) -> Option<usize> {
    let mut best: Option<(f64, usize)> = None;
    for (idx, &gain) in gains.iter().enumerate() {
        if gain <= DUAL_TOLERANCE {
            continue;
        }
        let step = step_of(columns[idx], sides).map_or(0.0, |(step, _)| step);
        let score = gain * (step + MIXTURE_STEP);
        if best.is_none_or(|(known, _)| score > known) {
            best = Some((score, idx));
        }
    }
    best.map(|(_, idx)| idx)
}

fn leaving(column: &[f64], sides: &[f64]) -> Option<usize> {
    step_of(column, sides).map(|(_, row)| row)
}

/// How far a column may rise, and the row that ends it; of several the one with the largest entry.
fn step_of(column: &[f64], sides: &[f64]) -> Option<(f64, usize)> {
    let mut best: Option<(f64, usize)> = None;
    for (row, (&entry, &side)) in column.iter().zip(sides).enumerate() {
        if entry > PIVOT_TOLERANCE {
            let step = side / entry;
            let is_less = best
                .is_none_or(|(known, at)| step < known || (step <= known && entry > column[at]));
            if is_less {
                best = Some((step, row));
            }
        }
    }
    best
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use good_lp::{Expression, ProblemVariables, Solution, SolverModel, microlp, variable};
    use proptest::prelude::*;

    use super::super::super::super::meter::Share;
    use super::*;

    fn solved(program: &Program) -> (f64, Vec<f64>) {
        let meter = Meter::new(&|| false, Share::FULL);
        let copy = Program {
            sides: program.sides.clone(),
            gains: program.gains.clone(),
            entries: program.entries.clone(),
        };
        let values = copy.solve(&meter);
        let gain = values.iter().zip(&program.gains).map(|(x, g)| x * g).sum();
        (gain, values)
    }

    fn program(sides: &[f64], columns: &[(f64, Vec<f64>)]) -> Program {
        let mut program = Program::new(sides.to_vec());
        for (gain, entries) in columns {
            program.add_column(*gain, |row| entries[row]);
        }
        program
    }

    #[test]
    fn a_program_worked_by_hand() {
        // max 3 x + 5 y with x <= 4, 2 y <= 12, 3 x + 2 y <= 18: 36 at (2, 6), the corner of the last two.
        let columns = [(3.0, vec![1.0, 0.0, 3.0]), (5.0, vec![0.0, 2.0, 2.0])];
        let (gain, values) = solved(&program(&[4.0, 12.0, 18.0], &columns));
        assert!((gain - 36.0).abs() < 1e-9);
        assert!((values[0] - 2.0).abs() < 1e-9 && (values[1] - 6.0).abs() < 1e-9);
    }

    #[test]
    fn a_column_that_nothing_ends_is_left_alone() {
        let columns = [(1.0, vec![-1.0, 0.0]), (1.0, vec![1.0, 1.0])];
        let (gain, values) = solved(&program(&[2.0, 3.0], &columns));
        // Both rows hold, and what can be had without going on for ever is had.
        assert!(gain >= 2.0 && gain.is_finite());
        assert!(values[1] - values[0] <= 2.0 + 1e-9 && values[1] <= 3.0 + 1e-9);
    }

    proptest! {
        #![proptest_config(cases!(64))]

        #[test]
        fn a_general_solver_finds_the_same_value(
            sides in prop::collection::vec(0_u8..20, 1..6),
            columns in prop::collection::vec((-3_i8..9, prop::collection::vec(1_u8..9, 6)), 1..12),
        ) {
            let sides: Vec<f64> = sides.into_iter().map(f64::from).collect();
            let columns: Vec<(f64, Vec<f64>)> = columns
                .into_iter()
                .map(|(gain, entries)| (f64::from(gain), entries.into_iter().map(f64::from).collect()))
                .collect();
            let own = program(&sides, &columns);
            let mut variables = ProblemVariables::new();
            let x: Vec<_> = columns.iter().map(|_| variables.add(variable().min(0.0))).collect();
            let gain: Expression = x.iter().zip(&columns).map(|(&x, column)| x * column.0).sum();
            let mut model = variables.maximise(gain.clone()).using(microlp);
            for (row, &side) in sides.iter().enumerate() {
                let sum: Expression = x.iter().zip(&columns).map(|(&x, column)| x * column.1[row]).sum();
                model = model.with(sum.leq(side));
            }
            let other = model.solve().unwrap().eval(gain);
            let (gain, values) = solved(&own);
            prop_assert!((gain - other).abs() < 1e-6, "{gain} {other}");
            for (row, &side) in sides.iter().enumerate() {
                let sum: f64 = values.iter().zip(&columns).map(|(x, column)| x * column.1[row]).sum();
                prop_assert!(sum <= side + 1e-6);
            }
        }
    }
}

//! The linear program by itself: rows, columns, costs.
#![expect(
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    reason = "the linear program is in floats; counts are far below 2^52"
)]

use super::super::params::{DISTURBANCE, SCATTER};

/// A variable that may be basic.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Basic {
    /// The slack (of `<=`) or surplus (of `>=`) of a row.
    Slack(usize),
    /// The artificial of a `>=` row.
    Artificial(usize),
    /// A column.
    Column(usize),
}

/// The direction of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sense {
    /// At least the right-hand side.
    AtLeast,
    /// At most the right-hand side.
    AtMost,
}

impl Sense {
    /// What the row's own slack, or surplus, counts in it.
    pub(super) fn slack(self) -> f64 {
        match self {
            Sense::AtLeast => -1.0,
            Sense::AtMost => 1.0,
        }
    }
}

/// What the columns of one kind have in common.
#[derive(Clone, Debug)]
pub(super) struct ColumnKind {
    /// Cost of a unit of weight.
    pub(super) cost: f64,
    /// Rows in which each column has its weight.
    pub(super) rows: Vec<usize>,
}

/// Rows and columns, with the cost of each variable.
#[derive(Debug)]
pub(super) struct Program {
    /// Sense and right-hand side of each row.
    rows: Vec<(Sense, f64)>,
    pub(super) kinds: Vec<ColumnKind>,
    column_start: Vec<usize>,
    /// `(row, count)` of the columns, besides the rows of their kinds.
    entries: Vec<(u32, i32)>,
    column_kind: Vec<u32>,
    column_weight: Vec<f64>,
    barred: Vec<bool>,
    /// Cost of a unit of an artificial.
    pub(super) penalty: f64,
}

impl Program {
    pub(super) fn new(costs: &[f64], penalty: f64) -> Program {
        let kind = |&cost: &f64| ColumnKind {
            cost,
            rows: Vec::new(),
        };
        Program {
            rows: Vec::new(),
            kinds: costs.iter().map(kind).collect(),
            column_start: vec![0],
            entries: Vec::new(),
            column_kind: Vec::new(),
            column_weight: Vec::new(),
            barred: Vec::new(),
            penalty,
        }
    }

    pub(super) fn add_row(&mut self, sense: Sense, side: f64, kinds: &[usize]) -> usize {
        let row = self.rows.len();
        self.rows.push((sense, side));
        for &kind in kinds {
            self.kinds[kind].rows.push(row);
        }
        row
    }

    pub(super) fn add_column(
        &mut self,
        kind: usize,
        weight: u32,
        counts: &[(usize, i32)],
    ) -> usize {
        let counts = counts.iter().map(|&(row, count)| (narrow(row), count));
        self.entries.extend(counts);
        self.column_start.push(self.entries.len());
        self.column_kind.push(narrow(kind));
        self.column_weight.push(f64::from(weight));
        self.barred.push(false);
        self.barred.len() - 1
    }

    /// Gives `column` a part of one in `row`; costs a pass over all entries.
    pub(super) fn attach(&mut self, row: usize, column: usize) {
        self.entries
            .insert(self.column_start[column + 1], (narrow(row), 1));
        for start in &mut self.column_start[column + 1..] {
            *start += 1;
        }
    }

    pub(super) fn set_side(&mut self, row: usize, side: f64) {
        self.rows[row].1 = side;
    }

    /// Holds a column at zero, or lets it go; tells whether that is a change.
    pub(super) fn bar(&mut self, column: usize, barred: bool) -> bool {
        std::mem::replace(&mut self.barred[column], barred) != barred
    }

    pub(super) fn n_rows(&self) -> usize {
        self.rows.len()
    }

    pub(super) fn n_columns(&self) -> usize {
        self.barred.len()
    }

    pub(super) fn sense(&self, row: usize) -> Sense {
        self.rows[row].0
    }

    pub(super) fn is_barred(&self, column: usize) -> bool {
        self.barred[column]
    }

    /// Whether a variable is held at zero though it may be basic.
    pub(super) fn is_held(&self, basic: Basic) -> bool {
        matches!(basic, Basic::Column(column) if self.barred[column])
    }

    /// The unit variable that a row has in a basis of its own.
    pub(super) fn unit_of(&self, row: usize) -> Basic {
        match self.sense(row) {
            Sense::AtLeast => Basic::Artificial(row),
            Sense::AtMost => Basic::Slack(row),
        }
    }

    /// Kind of a column, its weight in the rows of the kind, its `(row, count)` in others.
    pub(super) fn column(&self, column: usize) -> (u32, f64, &[(u32, i32)]) {
        let range = self.column_start[column]..self.column_start[column + 1];
        (
            self.column_kind[column],
            self.column_weight[column],
            &self.entries[range],
        )
    }

    /// The weight of a column of some kinds, `is_member` by kind; nothing of all others.
    pub(super) fn weight_within(&self, basic: Basic, is_member: &[bool]) -> f64 {
        match basic {
            Basic::Column(column) if is_member[self.column_kind[column] as usize] => {
                self.column_weight[column]
            }
            _ => 0.0,
        }
    }

    pub(super) fn cost(&self, basic: Basic) -> f64 {
        match basic {
            Basic::Slack(_) => 0.0,
            Basic::Artificial(_) => self.penalty,
            Basic::Column(column) => {
                self.column_weight[column] * self.kinds[self.column_kind[column] as usize].cost
            }
        }
    }

    /// Right-hand side of a row, `disturbed` or as it is.
    pub(super) fn side(&self, row: usize, disturbed: bool) -> f64 {
        let (sense, side) = self.rows[row];
        if !disturbed || side <= 0.0 {
            return side;
        }
        // A fixed scatter in (0, 1]: the fractional parts of multiples of the golden ratio.
        let scatter = ((row as f64 + 1.0) * SCATTER[0]) % 1.0;
        // Towards the easier side, so that what can be met stays so.
        let change = DISTURBANCE * (0.5 + scatter);
        match sense {
            Sense::AtLeast => side - change,
            Sense::AtMost => side + change,
        }
    }

    /// Calls `visit` with each row in which a variable has a part, and that part.
    pub(super) fn for_each_entry(&self, basic: Basic, mut visit: impl FnMut(usize, f64)) {
        match basic {
            Basic::Slack(row) => visit(row, self.sense(row).slack()),
            Basic::Artificial(row) => visit(row, 1.0),
            Basic::Column(column) => {
                let (kind, weight, entries) = self.column(column);
                for &(row, count) in entries {
                    visit(row as usize, f64::from(count));
                }
                for &row in &self.kinds[kind as usize].rows {
                    visit(row, weight);
                }
            }
        }
    }

    /// The entry of a variable in the row `rho` of the inverse.
    pub(super) fn entry(&self, basic: Basic, rho: &[f64]) -> f64 {
        let mut entry = 0.0;
        self.for_each_entry(basic, |row, value| entry += rho[row] * value);
        entry
    }
}

fn narrow(index: usize) -> u32 {
    u32::try_from(index).expect("rows and kinds are far below 2^32")
}

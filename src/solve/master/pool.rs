//! The columns of the master: what they are cut from, and the distinct ones found so far.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use crate::cutting::add_count;

use super::super::problem::Problem;

/// What columns are cut from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in super::super) enum ColumnSource {
    /// Boards that are one strip: a column is a board with its pattern.
    Whole {
        /// The kind of board.
        kind: usize,
        /// The layout within the kind.
        layout: usize,
        /// The strip that the board is.
        strip: usize,
    },
    /// Boards that yield several strips: the one column is such a board with nothing cut yet.
    Ripped {
        /// The kind of board.
        kind: usize,
        /// The layout within the kind.
        layout: usize,
        /// `(strip, number)` that a board yields, strips rising.
        yields: Vec<(usize, u32)>,
    },
    /// Strips of one kind out of ripped boards: a column is a strip with its pattern.
    Strip {
        /// The kind of strip.
        strip: usize,
    },
    /// Items left out: a column is one item.
    Absent {
        /// The make-believe kind.
        kind: usize,
    },
}

impl ColumnSource {
    /// All sources of a problem: boards in the order of their kinds, then strips.
    pub(in super::super) fn all(problem: &Problem) -> Vec<ColumnSource> {
        let mut sources = Vec::new();
        let mut is_yielded = vec![false; problem.strips.len()];
        for (kind_idx, kind) in problem.kinds.iter().enumerate() {
            if kind.absent {
                sources.push(ColumnSource::Absent { kind: kind_idx });
            }
            for (layout_idx, layout) in kind.layouts.iter().enumerate() {
                if let [strip] = layout[..] {
                    sources.push(ColumnSource::Whole {
                        kind: kind_idx,
                        layout: layout_idx,
                        strip,
                    });
                    continue;
                }
                let mut yields: Vec<(usize, u32)> = Vec::new();
                for &strip in layout {
                    is_yielded[strip] = true;
                    add_count(&mut yields, strip, 1);
                }
                sources.push(ColumnSource::Ripped {
                    kind: kind_idx,
                    layout: layout_idx,
                    yields,
                });
            }
        }
        let strips = (0..is_yielded.len()).filter(|&strip| is_yielded[strip]);
        sources.extend(strips.map(|strip| ColumnSource::Strip { strip }));
        sources
    }

    /// Kind and layout of the boards, where a column takes one.
    pub(in super::super) fn way(&self) -> Option<(usize, usize)> {
        match *self {
            ColumnSource::Whole { kind, layout, .. }
            | ColumnSource::Ripped { kind, layout, .. } => Some((kind, layout)),
            ColumnSource::Strip { .. } | ColumnSource::Absent { .. } => None,
        }
    }

    /// Cost of a unit of weight of a column; nothing of strips, whose boards have columns of their own.
    pub(in super::super) fn cost(&self, problem: &Problem) -> i64 {
        match *self {
            ColumnSource::Whole { kind, layout, .. }
            | ColumnSource::Ripped { kind, layout, .. } => problem.kinds[kind].cost_in(layout),
            ColumnSource::Absent { kind } => problem.kinds[kind].cost,
            ColumnSource::Strip { .. } => 0,
        }
    }

    /// The kind of board that a column takes one of; `None` for strips, whose boards have columns of their own.
    pub(in super::super) fn kind(&self) -> Option<usize> {
        match *self {
            ColumnSource::Whole { kind, .. }
            | ColumnSource::Ripped { kind, .. }
            | ColumnSource::Absent { kind } => Some(kind),
            ColumnSource::Strip { .. } => None,
        }
    }
}

/// A column of the master.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(in super::super) struct MasterColumn {
    /// Index of what it is cut from.
    pub(in super::super) source: usize,
    /// `(item, count)`, items rising, counts positive; empty for a board that stays whole or is ripped only.
    pub(in super::super) counts: Vec<(usize, u32)>,
}

/// Distinct columns in the order in which they were found.
#[derive(Debug, Default)]
pub(super) struct Pool {
    columns: Vec<MasterColumn>,
    known: HashMap<MasterColumn, usize>,
    /// Columns set aside because they were dear; pricing calls them back.
    retired: Vec<bool>,
}

impl Pool {
    /// Takes `column` in and returns its index, or `Err` with the index of the same column known before.
    pub(super) fn insert(&mut self, column: &MasterColumn) -> Result<usize, usize> {
        let index = self.columns.len();
        match self.known.entry(column.clone()) {
            Entry::Occupied(known) => Err(*known.get()),
            Entry::Vacant(place) => {
                place.insert(index);
                self.columns.push(column.clone());
                self.retired.push(false);
                Ok(index)
            }
        }
    }

    /// Sets a column aside.
    pub(super) fn retire(&mut self, column: usize) {
        self.retired[column] = true;
    }

    /// Takes a column back; tells whether it was set aside.
    pub(super) fn call_back(&mut self, column: usize) -> bool {
        std::mem::replace(&mut self.retired[column], false)
    }

    pub(super) fn is_retired(&self, column: usize) -> bool {
        self.retired[column]
    }

    /// All columns.
    pub(super) fn columns(&self) -> &[MasterColumn] {
        &self.columns
    }
}

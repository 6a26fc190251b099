//! The columns of the linear program: strips with their pieces, and sheets with their strips.

use std::collections::BTreeSet;

/// A column.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Column {
    /// A strip of a class of a lane, with its pieces.
    Strip {
        lane: usize,
        class: usize,
        /// `(item, how many)`, by rising item.
        pieces: Vec<(usize, u32)>,
    },
    /// A sheet of a bed, with room for strips.
    Sheet {
        bed: usize,
        /// `(class, how many)`, by rising class.
        strips: Vec<(usize, u32)>,
    },
    /// A piece that is not cut.
    Missing { item: usize },
}

/// All columns that were found, each once.
#[derive(Debug, Default)]
pub(super) struct Pool {
    columns: Vec<Column>,
    known: BTreeSet<Column>,
}

impl Pool {
    /// Takes a column in; `true` where it is new.
    pub(super) fn add(&mut self, column: &Column) -> bool {
        let is_new = self.known.insert(column.clone());
        if is_new {
            self.columns.push(column.clone());
        }
        is_new
    }

    pub(super) fn columns(&self) -> &[Column] {
        &self.columns
    }
}

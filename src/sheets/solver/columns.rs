//! The columns of the linear program: strips with their pieces, and sheets with their strips.

use std::collections::BTreeMap;

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

/// All columns that were found, each once; some may be set aside.
#[derive(Debug, Default)]
pub(super) struct Pool {
    columns: Vec<Column>,
    known: BTreeMap<Column, usize>,
    aside: Vec<bool>,
}

/// What a column is to a pool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Entry {
    /// It was not there.
    New,
    /// It was set aside, and is back.
    Back(usize),
    /// It is there.
    Known,
}

impl Pool {
    /// Takes a column in.
    pub(super) fn add(&mut self, column: &Column) -> Entry {
        match self.known.get(column) {
            Some(&idx) if std::mem::replace(&mut self.aside[idx], false) => Entry::Back(idx),
            Some(_) => Entry::Known,
            None => {
                self.known.insert(column.clone(), self.columns.len());
                self.columns.push(column.clone());
                self.aside.push(false);
                Entry::New
            }
        }
    }

    /// Sets a column aside until it is found again.
    pub(super) fn set_aside(&mut self, column: usize) {
        self.aside[column] = true;
    }

    pub(super) fn is_aside(&self, column: usize) -> bool {
        self.aside[column]
    }

    pub(super) fn columns(&self) -> &[Column] {
        &self.columns
    }
}

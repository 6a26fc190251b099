//! Changes to a CSV table, one after the other, each on the text that the one before has left.

use super::records::Records;
use super::splice::spliced;
use crate::load::schema::{Column, Need, Schema};

/// A table on the way.
pub(super) struct Sheet {
    pub(super) body: String,
    schema: &'static Schema,
}

impl Sheet {
    /// A table with this text.
    pub(super) fn new(body: &str, schema: &'static Schema) -> Sheet {
        Sheet {
            body: body.to_owned(),
            schema,
        }
    }

    fn records(&self) -> Records<'_> {
        Records::of(&self.body, self.schema)
    }

    fn n_columns(&self) -> usize {
        self.records().headings().len()
    }

    /// Closes a quote that is open at the end, so that what comes behind it is not part of its field.
    fn close(&mut self) {
        if self.records().is_open() {
            self.body.push('"');
        }
    }

    /// Where a column stands; one that is not there is added behind the others.
    pub(super) fn column(&mut self, column: &'static Column) -> usize {
        if self.n_columns() == 0 {
            let is_needed = |other: &&Column| {
                matches!(other.need, Need::Always | Need::AsHeading)
                    || std::ptr::eq::<Column>(*other, column)
            };
            let needed = self.schema.columns.iter().filter(is_needed);
            let names: Vec<&str> = needed.map(|column| column.name).collect();
            self.body = spliced(&self.body, self.records().widen(&names));
        }
        let is_it = |known: Option<&Column>| known.is_some_and(|known| std::ptr::eq(known, column));
        let columns = self.records().columns();
        columns.iter().copied().position(is_it).unwrap_or_else(|| {
            self.close();
            self.body = spliced(&self.body, self.records().widen(&[column.name]));
            columns.len()
        })
    }

    /// How many rows there are.
    pub(super) fn n_rows(&self) -> usize {
        self.records().rows.len()
    }

    /// Writes cells of rows that are there, by row and column.
    pub(super) fn set(&mut self, cells: &[(usize, usize, &str)]) {
        let records = self.records();
        let is_beyond =
            |&(row, column, _): &(usize, usize, &str)| column >= records.rows[row].fields.len();
        if cells.iter().any(is_beyond) {
            self.close();
        }
        self.body = spliced(&self.body, self.records().set(cells));
    }

    /// Adds rows, each with texts for some columns.
    pub(super) fn add(&mut self, at: usize, rows: &[Vec<(usize, &str)>]) {
        if self.n_columns() == 0
            && let Some(first) = self.schema.columns.first()
        {
            self.column(first);
        }
        self.close();
        let n_columns = self.n_columns();
        let rows = rows.iter().map(|cells| {
            let mut row = vec![String::new(); n_columns];
            for &(column, text) in cells {
                text.clone_into(&mut row[column]);
            }
            row
        });
        let rows: Vec<Vec<String>> = rows.collect();
        self.body = spliced(&self.body, self.records().add(at, &rows));
    }

    /// Takes a row out.
    pub(super) fn remove(&mut self, row: usize) {
        self.body = spliced(&self.body, self.records().remove(&[row]));
    }

    /// Moves a row.
    pub(super) fn shift(&mut self, from: usize, to: usize) {
        self.close();
        self.body = spliced(&self.body, self.records().shift(from, to));
    }
}

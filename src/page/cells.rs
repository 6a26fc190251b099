//! Cells of a CSV table changed, all else byte for byte as it is.

use std::collections::BTreeMap;

use crate::desk::Records;
use crate::load::schema::MARKS;

/// A table: its heads, which are record 0, and its records below them.
pub(super) struct Cells<'t> {
    /// What stands before the first of them: a byte order mark, or nothing.
    before: &'t str,
    records: Records<'t>,
    heads: Vec<String>,
}

impl<'t> Cells<'t> {
    /// Finds the cells of a text.
    pub(super) fn of(text: &'t str) -> Cells<'t> {
        let body = text.strip_prefix('\u{feff}').unwrap_or(text);
        let records = Records::of(body, &MARKS);
        Cells {
            before: &text[..text.len() - body.len()],
            heads: records.headings(),
            records,
        }
    }

    /// The place of a column by its head.
    pub(super) fn column(&self, head: &str) -> Option<usize> {
        self.heads.iter().position(|of| of == head)
    }

    /// How many records there are, with the heads.
    pub(super) fn n_records(&self) -> usize {
        self.records.rows.len() + 1
    }

    /// What stands in a cell below the heads, as it is read; nothing where the record is shorter.
    pub(super) fn cell(&self, record: usize, column: usize) -> String {
        self.records.text_at(record - 1, column).unwrap_or_default()
    }

    /// The text with other words in some cells below the heads, each by its record and column; `None` where there is no such
    /// cell.
    pub(super) fn with(&self, changes: &BTreeMap<(usize, usize), String>) -> Option<String> {
        let mut cells = Vec::with_capacity(changes.len());
        for (&(record, column), words) in changes {
            let row = record.checked_sub(1)?;
            self.records.text_at(row, column)?;
            cells.push((row, column, words.as_str()));
        }
        Some(self.before.to_owned() + &self.records.with(&cells))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn changed(text: &str, changes: &[((usize, usize), &str)]) -> Option<String> {
        let changes = changes.iter();
        let changes = changes.map(|&(at, words)| (at, words.to_owned()));
        Cells::of(text).with(&changes.collect())
    }

    #[test]
    fn only_the_cells_that_change_do() {
        let text = "mark,part,state\r\nA,\"a, \"\"b\"\"\",\r\n B ,x,\"\"\r\n";
        let cells = Cells::of(text);
        assert_eq!((cells.column("state"), cells.n_records()), (Some(2), 3));
        assert_eq!((&*cells.cell(1, 1), &*cells.cell(2, 0)), ("a, \"b\"", "B"));
        assert_eq!(
            changed(text, &[((1, 2), "cut"), ((2, 2), "x,\"y")]).as_deref(),
            Some("mark,part,state\r\nA,\"a, \"\"b\"\"\",cut\r\n B ,x,\"x,\"\"y\"\r\n")
        );
        assert_eq!(changed(text, &[]).as_deref(), Some(text));
        assert_eq!(changed(text, &[((3, 0), "x")]), None);
        assert_eq!(changed(text, &[((1, 3), "x")]), None);
    }

    #[test]
    fn tables_of_other_programs_are_understood() {
        // A mark in front, semicolons, no line end at the end.
        let text = "\u{feff}mark;good\nA;1,5";
        let cells = Cells::of(text);
        assert_eq!((cells.column("mark"), &*cells.cell(1, 1)), (Some(0), "1,5"));
        assert_eq!(
            changed(text, &[((1, 1), "2;5")]).as_deref(),
            Some("\u{feff}mark;good\nA;\"2;5\"")
        );
        // Quoted line ends.
        let cells = Cells::of("a\tb\n\"x\ny\"\tz\n");
        assert_eq!((cells.n_records(), &*cells.cell(1, 0)), (2, "x\ny"));
        assert_eq!(Cells::of("").column("a"), None);
    }
}

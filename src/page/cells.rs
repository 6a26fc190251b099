//! Cells of a CSV table changed, all else byte for byte as it is.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

/// A table: its heads, and its records below them.
pub(super) struct Cells<'t> {
    text: &'t str,
    delimiter: char,
    records: Vec<Vec<Range<usize>>>,
}

impl<'t> Cells<'t> {
    /// Finds the cells of a text. What parts them is what stands most often in its first line: a comma, a semicolon or a tab.
    pub(super) fn of(text: &'t str) -> Cells<'t> {
        let body = text.strip_prefix('\u{feff}').unwrap_or(text);
        let begin = text.len() - body.len();
        let first = body.lines().next().unwrap_or("");
        let often = |sign: &char| first.matches(*sign).count();
        let delimiter = [';', '\t', ',']
            .into_iter()
            .max_by_key(often)
            .unwrap_or(',');
        let mut records = Vec::new();
        let mut record = Vec::new();
        let (mut from, mut is_quoted) = (begin, false);
        for (at, sign) in body.char_indices() {
            let at = at + begin;
            match sign {
                // Two quotes within quotes end them and begin them again, which comes to the same.
                '"' => is_quoted = !is_quoted,
                '\n' if !is_quoted => {
                    let end = at - usize::from(text[from..at].ends_with('\r'));
                    record.push(from..end);
                    records.push(std::mem::take(&mut record));
                    from = at + 1;
                }
                _ if sign == delimiter && !is_quoted => {
                    record.push(from..at);
                    from = at + sign.len_utf8();
                }
                _ => {}
            }
        }
        if from < text.len() || !record.is_empty() {
            record.push(from..text.len());
            records.push(record);
        }
        Cells {
            text,
            delimiter,
            records,
        }
    }

    /// The place of a column by its head.
    pub(super) fn column(&self, head: &str) -> Option<usize> {
        let heads = 0..self.records.first()?.len();
        heads.into_iter().find(|&at| self.cell(0, at) == head)
    }

    /// How many records there are, with the heads.
    pub(super) fn n_records(&self) -> usize {
        self.records.len()
    }

    /// What stands in a cell, without quotes and blanks round it; nothing where the record is shorter.
    pub(super) fn cell(&self, record: usize, column: usize) -> Cow<'t, str> {
        let range = self.records[record].get(column).cloned();
        let raw = range.map_or("", |range| &self.text[range]).trim();
        match raw.strip_prefix('"').and_then(|raw| raw.strip_suffix('"')) {
            Some(inner) => Cow::Owned(inner.replace("\"\"", "\"")),
            None => Cow::Borrowed(raw),
        }
    }

    /// The text with other words in some cells, each by its record and column; `None` where there is no such cell.
    pub(super) fn with(&self, changes: &BTreeMap<(usize, usize), String>) -> Option<String> {
        let mut text = String::new();
        let mut copied = 0;
        // In the order of the text.
        for (&(record, column), words) in changes {
            let range = self.records.get(record)?.get(column)?;
            text.push_str(&self.text[copied..range.start]);
            text.push_str(&self.written(words));
            copied = range.end;
        }
        text.push_str(&self.text[copied..]);
        Some(text)
    }

    fn written<'w>(&self, words: &'w str) -> Cow<'w, str> {
        if words.contains([self.delimiter, '"', '\n', '\r']) {
            Cow::Owned(format!("\"{}\"", words.replace('"', "\"\"")))
        } else {
            Cow::Borrowed(words)
        }
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

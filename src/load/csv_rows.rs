//! A CSV text parted into rows, each with the line it begins on.

use csv::{ReaderBuilder, StringRecord};

/// A row of a table.
#[derive(Debug)]
pub(super) struct Row {
    /// The line it begins on, from 1.
    pub(super) line: u64,
    /// Its fields.
    pub(super) fields: StringRecord,
}

/// A text with the rows in it that hold anything, the header first.
pub(super) struct CsvRows {
    text: String,
    delimiter: u8,
    rows: Vec<Row>,
}

impl CsvRows {
    /// Parts a text, without a mark in front, by the delimiter it has.
    pub(super) fn new(text: String) -> CsvRows {
        let (start, delimiter) = csv_delimiter(&text);
        let rows = rows(&text, start, delimiter).collect();
        CsvRows {
            text,
            delimiter,
            rows,
        }
    }

    /// The text as a whole.
    pub(super) fn text(&self) -> &str {
        &self.text
    }

    /// What parts the fields.
    pub(super) fn delimiter(&self) -> u8 {
        self.delimiter
    }

    /// All rows that hold anything.
    pub(super) fn all(&self) -> &[Row] {
        &self.rows
    }

    /// The fields of the row that begins on a line.
    pub(super) fn on_line(&self, line: u64) -> Option<&StringRecord> {
        let idx = self.rows.binary_search_by_key(&line, |row| row.line).ok()?;
        Some(&self.rows[idx].fields)
    }
}

/// Where a CSV table begins, as a byte, and what parts its fields: as a first line `sep=;` says, else what most lines have
/// equally many of. Of a text without a mark in front.
pub fn csv_delimiter(text: &str) -> (usize, u8) {
    let first_end = line_ends(text).next().unwrap_or(text.len());
    let first = text[..first_end].trim_end_matches(['\r', '\n']);
    if let Some([delimiter]) = first
        .get(..4)
        .filter(|name| name.eq_ignore_ascii_case("sep="))
        .map(|_| &first.as_bytes()[4..])
        && matches!(delimiter, b';' | b',' | b'\t')
    {
        return (first_end, *delimiter);
    }
    // Of the first lines with anything in them, as most have the same number of fields where the delimiter is the right one.
    let lines = || {
        text.split(['\n', '\r'])
            .filter(|line| !line.trim().is_empty())
            .take(LINES_SEEN)
    };
    let mut delimiter = b',';
    let mut best = (0, 0);
    for candidate in [b',', b';', b'\t'] {
        let counts: Vec<usize> = lines()
            .map(|line| unquoted_count(line, candidate))
            .collect();
        let agreeing = |count: usize| counts.iter().filter(|other| **other == count).count();
        let filled = counts.iter().filter(|count| **count > 0);
        let usual = filled.map(|count| (agreeing(*count), *count)).max();
        if usual.unwrap_or_default() > best {
            best = usual.unwrap_or_default();
            delimiter = candidate;
        }
    }
    (0, delimiter)
}

/// So many lines tell what parts their fields.
const LINES_SEEN: usize = 40;

/// How often a delimiter stands in a line outside of quotes.
fn unquoted_count(line: &str, delimiter: u8) -> usize {
    // Every other stretch between two quotation marks is quoted; a doubled one leaves an empty stretch between.
    let open = line.split('"').step_by(2);
    let count = |stretch: &str| stretch.bytes().filter(|byte| *byte == delimiter).count();
    open.map(count).sum()
}

/// All rows from byte `start` on with anything in them, the header first.
fn rows(text: &str, start: usize, delimiter: u8) -> impl Iterator<Item = Row> + '_ {
    let body = &text[start..];
    let mut line = 1 + count_lines(&text[..start]);
    let mut counted_to = 0;
    records(body, delimiter).filter_map(move |fields| {
        // The reader gives the place where it began to look, which may be an empty line before the row.
        let looked_from = fields
            .position()
            .and_then(|position| usize::try_from(position.byte()).ok())
            .unwrap_or(counted_to);
        let rest = body.get(looked_from..).unwrap_or_default();
        let begins = looked_from + (rest.len() - rest.trim_start_matches(['\r', '\n']).len());
        line += count_lines(body.get(counted_to..begins).unwrap_or_default());
        counted_to = begins;
        let is_empty = fields.iter().all(|field| field.trim().is_empty());
        (!is_empty).then_some(Row { line, fields })
    })
}

/// The rows of a text, as the reader of tables parts them.
fn records(text: &str, delimiter: u8) -> impl Iterator<Item = StringRecord> + '_ {
    ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(text.as_bytes())
        .into_records()
        // The bytes are UTF-8 and rows may differ in length, so the reader has nothing to object to.
        .filter_map(Result::ok)
}

/// Where lines end in a text: after `\n`, `\r\n`, or `\r` alone as very old programs write it.
fn line_ends(text: &str) -> impl Iterator<Item = usize> + '_ {
    let bytes = text.as_bytes();
    let is_end = |idx: usize| {
        bytes[idx] == b'\n' || (bytes[idx] == b'\r' && bytes.get(idx + 1) != Some(&b'\n'))
    };
    (0..bytes.len())
        .filter(move |idx| is_end(*idx))
        .map(|idx| idx + 1)
}

/// How many lines end in a text.
fn count_lines(text: &str) -> u64 {
    u64::try_from(line_ends(text).count()).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_delimiter_is_the_one_the_header_has_most_of() {
        for (text, found) in [
            ("a,b;c,d\n", (0, b',')),
            ("\n\na;b,c;d\n", (0, b';')),
            ("a\tb\n", (0, b'\t')),
            ("\"x;y;z\",b\n", (0, b',')),
            ("board\n", (0, b',')),
            ("", (0, b',')),
            ("sep=;\na,b\n", (6, b';')),
            ("sep=\t\r\na,b\n", (7, b'\t')),
            ("sep=|\na,b\n", (0, b',')),
            ("½½½;\n", (0, b';')),
            // Lines that end as very old programs end them.
            ("sep=;\ra,b\r", (6, b';')),
            ("a;b\r1,5;2\r1,5;3,5\r", (0, b';')),
        ] {
            assert_eq!(csv_delimiter(text), found, "{text:?}");
        }
    }
}

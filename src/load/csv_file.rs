//! Tables as spreadsheets write them.
//!
//! The reader finds the delimiter, matches the header whatever the order of its columns, and turns each row
//! that is not empty into a [`Record`].

use std::borrow::Cow;
use std::cell::OnceCell;
use std::path::{Path, PathBuf};

use csv::{ReaderBuilder, StringRecord};

use super::limits::{MOST_ERRORS, MOST_KINDS, MOST_ROWS};
use super::near::nearest_or_all;
use super::record::{Field, Mark, Origin, Record, Source};
use super::schema::{Need, Schema, Shape, kebab};
use crate::diag::{Cell, Diagnostic, Diagnostics, Place, code, quoted, unguarded};

/// So many cells on either side of one with an error are shown with it: more than fit a line.
const CELLS_ROUND: usize = 12;

/// A CSV table whose header has been read.
pub(super) struct CsvTable {
    schema: &'static Schema,
    path: PathBuf,
    text: String,
    /// Where each line begins in `text`, once that is asked for.
    line_starts: OnceCell<Vec<usize>>,
    /// Where the header begins in `text`, after a line that names the delimiter.
    start: usize,
    delimiter: u8,
    /// The line of the header, from 1; 0 where there is none.
    header_line: u64,
    /// The headers as the file has them.
    headers: Vec<String>,
    /// For each header, the column it stands for; `None` for an unknown or an empty one.
    columns: Vec<Option<&'static str>>,
    /// Whether the header could be matched without a fault.
    is_matched: bool,
    /// Whether the shop's file names it, not the job's.
    is_of_shop: bool,
    /// [`MOST_ROWS`] or [`MOST_KINDS`], but for tests.
    most_rows: usize,
}

impl CsvTable {
    /// Reads the header of a table, and reports what is wrong with it.
    pub(super) fn open(
        path: &Path,
        text: String,
        schema: &'static Schema,
        faults: &mut Diagnostics,
    ) -> CsvTable {
        let (start, delimiter) = csv_delimiter(&text);
        let mut table = CsvTable {
            schema,
            path: path.to_owned(),
            text,
            line_starts: OnceCell::new(),
            start,
            delimiter,
            header_line: 0,
            headers: Vec::new(),
            columns: Vec::new(),
            is_matched: false,
            is_of_shop: false,
            most_rows: match schema.name {
                "boards" | "tally" | "rack" | "bought" => MOST_KINDS,
                _ => MOST_ROWS,
            },
        };
        let Some((line, header)) = table.rows().next() else {
            let what = "the table is empty: its first row must name the columns";
            faults.push(
                Diagnostic::error(code::MISSING_COLUMN, table.file_place(), what)
                    .with_hint(columns_are(schema)),
            );
            return table;
        };
        table.header_line = line;
        table.headers = header.iter().map(|name| name.trim().to_owned()).collect();
        let n_before = faults.n_errors();
        table.match_columns(line, faults);
        table.is_matched = faults.n_errors() == n_before;
        table
    }

    /// Calls `each` with every row that is not empty, until the faults are too many.
    pub(super) fn each_record<'a>(
        &'a self,
        faults: &mut Diagnostics,
        mut each: impl FnMut(Record<'a>, &mut Diagnostics),
    ) {
        let n_before = faults.n_errors();
        for (n_rows, (line, row)) in self.rows().skip(1).enumerate() {
            if n_rows == self.most_rows {
                let what = format!("the table has more than {} rows", self.most_rows);
                faults.push(Diagnostic::error(
                    code::TOO_MANY_ROWS,
                    self.row_place(line),
                    what,
                ));
                return;
            }
            if faults.n_errors() - n_before >= MOST_ERRORS {
                let what = format!("reading ended here after {MOST_ERRORS} errors");
                faults.push(Diagnostic::error(
                    code::TOO_MANY_ERRORS,
                    self.row_place(line),
                    what,
                ));
                return;
            }
            if let Some(record) = self.record(line, &row, faults) {
                each(record, faults);
            }
        }
    }

    /// Whether the header has this column.
    pub(super) fn has_column(&self, name: &str) -> bool {
        self.columns.contains(&Some(name))
    }

    /// Whether every column of the header is known and every required one is there.
    pub(super) fn has_all_columns(&self) -> bool {
        self.is_matched
    }

    /// Whether decimals may be marked by a comma, as it does not part the fields.
    pub(super) fn has_decimal_comma(&self) -> bool {
        self.delimiter == b';'
    }

    /// The same table, as one that the shop's file names if `is_of_shop`.
    pub(super) fn of_shop(self, is_of_shop: bool) -> CsvTable {
        CsvTable { is_of_shop, ..self }
    }

    /// Whether the shop's file names it, not the job's.
    pub(super) fn is_of_shop(&self) -> bool {
        self.is_of_shop
    }

    /// Where its file lies.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// The name of its file without the extension.
    pub(super) fn stem(&self) -> Cow<'_, str> {
        self.path.file_stem().unwrap_or_default().to_string_lossy()
    }

    /// The table as a whole.
    pub(super) fn file_place(&self) -> Place {
        Place::File(self.path.clone())
    }

    /// A row of it.
    pub(super) fn row_place(&self, line: u64) -> Place {
        Place::Row {
            path: self.path.clone(),
            line,
            row: self.cells(line, 0).0,
        }
    }

    /// A field of it.
    pub(super) fn field_place(&self, line: u64, field_idx: usize) -> Place {
        if field_idx >= self.headers.len() {
            return self.row_place(line);
        }
        let (row, cell_idx) = self.cells(line, field_idx);
        Place::Field {
            path: self.path.clone(),
            line,
            row,
            cell_idx,
            field_idx,
        }
    }

    /// The first cell of a row and those round `field_idx`, and which of them that one is.
    fn cells(&self, line: u64, field_idx: usize) -> (Vec<Cell>, usize) {
        let line_starts = self
            .line_starts
            .get_or_init(|| line_starts(&self.text).collect());
        let start = usize::try_from(line).ok().and_then(|line| {
            let start = line_starts.get(line.checked_sub(1)?)?;
            (*start >= self.start).then_some(*start)
        });
        let row = start.and_then(|start| {
            let body = self.text[start..].trim_start_matches(['\r', '\n']);
            records(body, self.delimiter).next()
        });
        let row = row.unwrap_or_default();
        let from = field_idx.saturating_sub(CELLS_ROUND).max(1);
        let to = (field_idx + CELLS_ROUND).min(row.len());
        let shown = (0..1).chain(from..to.max(from));
        let cells = shown.filter_map(|idx| {
            let text = row.get(idx)?.trim();
            Some(if line == self.header_line {
                Cell::new(text, "")
            } else {
                let heading = self.headers.get(idx).map_or("", String::as_str);
                Cell::new(heading, text)
            })
        });
        let cell_idx = if field_idx == 0 {
            0
        } else {
            field_idx + 1 - from
        };
        (cells.collect(), cell_idx)
    }

    /// All rows with anything in them, the header first, each with its line.
    fn rows(&self) -> impl Iterator<Item = (u64, StringRecord)> + '_ {
        let body = &self.text[self.start..];
        let mut line = 1 + count_lines(&self.text[..self.start]);
        let mut counted_to = 0;
        records(body, self.delimiter).filter_map(move |row| {
            // The reader gives the place where it began to look, which may be an empty line before the row.
            let looked_from = row
                .position()
                .and_then(|position| usize::try_from(position.byte()).ok())
                .unwrap_or(counted_to);
            let rest = body.get(looked_from..).unwrap_or_default();
            let begins = looked_from + (rest.len() - rest.trim_start_matches(['\r', '\n']).len());
            line += count_lines(body.get(counted_to..begins).unwrap_or_default());
            counted_to = begins;
            let is_empty = row.iter().all(|field| field.trim().is_empty());
            (!is_empty).then_some((line, row))
        })
    }

    /// Finds for each header the column it stands for.
    fn match_columns(&mut self, line: u64, faults: &mut Diagnostics) {
        // A file that is no table of ours at all may be anything; nothing of it is shown.
        let is_ours = |header: &String| self.schema.headed(header).is_some();
        if !self.headers.iter().any(is_ours) {
            let what = "this is no such table: its first row names none of the columns";
            faults.push(
                Diagnostic::error(code::MISSING_COLUMN, self.file_place(), what)
                    .with_hint(columns_are(self.schema)),
            );
            self.columns = vec![None; self.headers.len()];
            return;
        }
        for (field_idx, header) in self.headers.clone().iter().enumerate() {
            let found = self.schema.headed(header).map(|column| column.name);
            let place = self.field_place(line, field_idx);
            let is_twice = found.is_some_and(|name| self.has_column(name));
            match found {
                Some(name) if is_twice => {
                    let what = format!("column `{name}` appears twice");
                    faults.push(Diagnostic::error(code::DUPLICATE_COLUMN, place, what));
                }
                None if !header.is_empty() && self.schema.shape != Shape::Apart => {
                    let what = format!("unknown column {}", quoted(header));
                    let names = self.schema.names();
                    let hint = nearest_or_all(&kebab(header), "columns are", &names);
                    faults
                        .push(Diagnostic::error(code::UNKNOWN_COLUMN, place, what).with_hint(hint));
                }
                _ => {}
            }
            self.columns.push(found.filter(|_| !is_twice));
        }
        for column in self.schema.columns {
            let is_needed = matches!(column.need, Need::Always | Need::AsHeading);
            if is_needed && !self.has_column(column.name) {
                let what = format!("column `{}` is missing", column.name);
                faults.push(
                    Diagnostic::error(code::MISSING_COLUMN, self.row_place(line), what)
                        .with_hint(columns_are(self.schema)),
                );
            }
        }
    }

    /// The row as a record, unless its fields cannot be told apart.
    fn record<'a>(
        &'a self,
        line: u64,
        row: &StringRecord,
        faults: &mut Diagnostics,
    ) -> Option<Record<'a>> {
        if let Some(field_idx) = row.iter().position(|field| field.contains(['\n', '\r'])) {
            let what = "a field runs over several lines";
            faults.push(
                Diagnostic::error(code::OPEN_QUOTE, self.field_place(line, field_idx), what)
                    .with_hint("is a closing quote missing?".to_owned()),
            );
            return None;
        }
        let n_extra = row
            .iter()
            .skip(self.headers.len())
            .filter(|field| !field.trim().is_empty());
        if row.len() < self.headers.len() || n_extra.count() > 0 {
            let what = format!(
                "the row has {}, the header has {}",
                counted(row.len(), "field"),
                counted(self.headers.len(), "column")
            );
            let hint = "put a field that holds the separator in double quotes; an empty field keeps its separator";
            faults.push(
                Diagnostic::error(code::FIELD_COUNT, self.row_place(line), what)
                    .with_hint(hint.to_owned()),
            );
            return None;
        }
        let fields = row
            .iter()
            .zip(&self.columns)
            .enumerate()
            .filter_map(|(field_idx, (text, column))| {
                let text = text.trim();
                let name = (*column)?;
                (!text.is_empty()).then(|| Field {
                    name,
                    text: Cow::Owned(unguarded(text).into_owned()),
                    origin: Origin {
                        source: Source::Csv(self),
                        mark: Mark::Field { line, field_idx },
                    },
                })
            })
            .collect();
        Some(Record {
            schema: self.schema,
            origin: Origin {
                source: Source::Csv(self),
                mark: Mark::Line(line),
            },
            fields,
            spoiled: Vec::new(),
            lists: Vec::new(),
        })
    }
}

/// A hint that names all columns.
fn columns_are(schema: &Schema) -> String {
    format!("columns are `{}`", schema.names().join("`, `"))
}

/// Where the header of a CSV table begins, as a byte, and what parts its fields: as a first line `sep=;` says, else what the
/// header has most of. Of a text without a mark in front.
pub fn csv_delimiter(text: &str) -> (usize, u8) {
    let first_end = text.find('\n').map_or(text.len(), |end| end + 1);
    let first = text[..first_end].trim_end_matches(['\r', '\n']);
    if let Some([delimiter]) = first
        .get(..4)
        .filter(|name| name.eq_ignore_ascii_case("sep="))
        .map(|_| &first.as_bytes()[4..])
        && matches!(delimiter, b';' | b',' | b'\t')
    {
        return (first_end, *delimiter);
    }
    let header = text
        .lines()
        .find(|line| !line.trim().is_empty())
        .unwrap_or_default();
    let mut delimiter = b',';
    let mut most = 0;
    for candidate in [b',', b';', b'\t'] {
        let mut is_quoted = false;
        let count = header
            .bytes()
            .filter(|byte| {
                if *byte == b'"' {
                    is_quoted = !is_quoted;
                }
                *byte == candidate && !is_quoted
            })
            .count();
        if count > most {
            most = count;
            delimiter = candidate;
        }
    }
    (0, delimiter)
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

/// Where lines begin in a text.
fn line_starts(text: &str) -> impl Iterator<Item = usize> + '_ {
    [0].into_iter().chain(line_ends(text))
}

/// How many lines end in a text.
fn count_lines(text: &str) -> u64 {
    u64::try_from(line_ends(text).count()).unwrap_or(u64::MAX)
}

/// `1 field`, `2 fields`.
fn counted(number: usize, noun: &str) -> String {
    let plural = if number == 1 { "" } else { "s" };
    format!("{number} {noun}{plural}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::load::schema::BOARDS;

    #[test]
    fn reading_ends_when_a_table_has_too_many_rows() {
        let text = "board,length\n\na,1\nb,1\nc,1\nd,1\n".to_owned();
        let mut faults = Diagnostics::default();
        let mut table = CsvTable::open(Path::new("boards.csv"), text, &BOARDS, &mut faults);
        assert_eq!(table.most_rows, 20_000);
        table.most_rows = 3;
        let mut n_rows = 0;
        table.each_record(&mut faults, |_, _| n_rows += 1);
        assert_eq!(n_rows, 3);
        assert_eq!(
            faults.into_sorted()[0].to_string(),
            "boards.csv, line 6: error: the table has more than 3 rows (E024)"
        );
    }

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
        ] {
            assert_eq!(csv_delimiter(text), found, "{text:?}");
        }
    }
}

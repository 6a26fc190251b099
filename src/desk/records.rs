//! The bytes of a CSV table: where each record lies, and each field in it.
//!
//! Records are parted as the reader of tables parts them (RFC 4180, and what it makes of texts that break it), but every
//! field keeps its place in the text, so that a change touches the bytes of its own record and no others.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::ops::Range;

use super::splice::{Splice, line_end, moved, permuted, spliced};
use crate::diag::{guarded, unguarded};
use crate::load::schema::{Column, Schema};
use crate::load::{Layout, csv_delimiter};

/// One record that is not an empty line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Record {
    /// Each field with its quotes, in order; one or more.
    pub(super) fields: Vec<Range<usize>>,
    /// Where what ends the record ends; the end of its last field, where nothing ends it.
    pub(super) end: usize,
    /// Its line, from 1.
    pub(super) line: u64,
}

impl Record {
    /// Its bytes without what ends it.
    pub(super) fn content(&self) -> Range<usize> {
        self.fields[0].start..self.fields[self.fields.len() - 1].end
    }

    fn is_ended(&self) -> bool {
        self.end > self.content().end
    }
}

/// A table as it lies in its text.
#[derive(Clone, Debug)]
pub(crate) struct Records<'t> {
    text: &'t str,
    delimiter: char,
    /// The headings; `None` of a text without any.
    pub(crate) header: Option<Record>,
    /// What the headings stand for.
    layout: Option<Layout>,
    /// The rows below, those that hold only separators too, and sums.
    pub(crate) rows: Vec<Record>,
}

impl<'t> Records<'t> {
    /// Parts the text of a table of this kind.
    pub(crate) fn of(text: &'t str, schema: &'static Schema) -> Records<'t> {
        let (start, delimiter) = csv_delimiter(text);
        let all = parted(text, start, delimiter);
        let is_filled = |record: &Record| {
            let mut fields = record.fields.iter();
            fields.any(|field| !field_text(&text[field.clone()]).trim().is_empty())
        };
        let texts = |record: &Record| -> Vec<Cow<'_, str>> {
            let fields = record.fields.iter();
            fields
                .map(|field| field_text(&text[field.clone()]))
                .collect()
        };
        let filled = || {
            all.iter()
                .enumerate()
                .filter(|(_, record)| is_filled(record))
        };
        let first: Vec<Vec<Cow<'_, str>>> = filled()
            .take(Layout::ROWS_SEEN)
            .map(|(_, record)| texts(record))
            .collect();
        let layout = (!first.is_empty()).then(|| Layout::of(&first, schema));
        let head = layout
            .as_ref()
            .and_then(|layout| filled().nth(layout.head_idx));
        let head = head.map_or(all.len(), |(idx, _)| idx);
        let mut all = all.into_iter().skip(head);
        let header = all.next();
        // A line of blanks is no row, but a row of separators is one that waits to be filled, as is an empty text in quotes.
        let is_row = |record: &Record| {
            record.fields.len() > 1
                || is_filled(record)
                || text[record.fields[0].clone()].starts_with('"')
        };
        Records {
            text,
            delimiter: char::from(delimiter),
            header,
            layout,
            rows: all.filter(is_row).collect(),
        }
    }

    /// Whether the last field has a quote that nothing closes, so that all behind it belongs to that field.
    pub(super) fn is_open(&self) -> bool {
        let last = self.rows.last().or(self.header.as_ref());
        let field = last.and_then(|last| last.fields.last());
        field.is_some_and(|field| unquoted(&self.text[field.clone()]).1)
    }

    /// The headings as they are read.
    pub(crate) fn headings(&self) -> Vec<String> {
        let headings = self.layout.iter().flat_map(|layout| &layout.headings);
        headings.map(|heading| heading.text.clone()).collect()
    }

    /// The column that is read below each heading.
    pub(crate) fn columns(&self) -> Vec<Option<&'static Column>> {
        self.layout
            .as_ref()
            .map(Layout::columns)
            .unwrap_or_default()
    }

    /// The rows that the reader passes over: sums, and headings that come again.
    pub(super) fn unread(&self) -> BTreeSet<usize> {
        let Some(layout) = &self.layout else {
            return BTreeSet::new();
        };
        let mut below = layout.below();
        let mut unread = BTreeSet::new();
        for (idx, row) in self.rows.iter().enumerate() {
            let fields = row.fields.iter();
            let texts = fields.map(|field| field_text(&self.text[field.clone()]));
            let texts: Vec<Cow<'_, str>> = texts.collect();
            if texts.iter().all(|text| text.trim().is_empty()) {
                continue;
            }
            if !below.is_data(&texts) {
                unread.insert(idx);
            }
        }
        unread
    }

    /// Behind the last row that is no sum at the end.
    fn rows_end(&self) -> usize {
        let unread = self.unread();
        let last = (0..self.rows.len()).rfind(|idx| !unread.contains(idx));
        last.map_or(0, |last| last + 1)
    }

    /// The texts of a row, one for each heading, and those beyond them that are filled.
    pub(super) fn cells(&self, row: &Record) -> Vec<String> {
        let n_columns = self.header.as_ref().map_or(0, |header| header.fields.len());
        let mut cells: Vec<String> = row
            .fields
            .iter()
            .map(|field| self.cell(field.clone()))
            .collect();
        while cells.len() > n_columns && cells.last().is_some_and(String::is_empty) {
            cells.pop();
        }
        cells.resize(cells.len().max(n_columns), String::new());
        cells
    }

    /// The text of a cell by its row and column; `None` where there is no such row, or it is shorter.
    pub(crate) fn text_at(&self, row: usize, column: usize) -> Option<String> {
        let field = self.rows.get(row)?.fields.get(column)?;
        Some(self.cell(field.clone()))
    }

    /// The text of the table with other texts in some cells, see [`Records::set`].
    pub(crate) fn with(&self, cells: &[(usize, usize, &str)]) -> String {
        spliced(self.text, self.set(cells))
    }

    fn cell(&self, field: Range<usize>) -> String {
        let text = field_text(&self.text[field]);
        unguarded(text.trim()).into_owned()
    }

    /// Writes texts into cells of rows that are there, given by row and column; a row that is too short is filled up with
    /// separators to reach its cell.
    pub(super) fn set(&self, cells: &[(usize, usize, &str)]) -> Vec<Splice> {
        let mut splices = Vec::new();
        let mut n_fields: Vec<usize> = self.rows.iter().map(|row| row.fields.len()).collect();
        let mut in_order = cells.to_vec();
        in_order.sort_by_key(|&(row, column, _)| (row, column));
        for (row, column, text) in in_order {
            let record = &self.rows[row];
            if let Some(field) = record.fields.get(column) {
                if self.cell(field.clone()) == text {
                    continue;
                }
                let was_quoted = self.text[field.clone()].starts_with('"');
                let is_alone = record.fields.len() == 1;
                splices.push(Splice::new(
                    field.clone(),
                    self.written(text, was_quoted, is_alone),
                ));
            } else if !text.is_empty() {
                let missing = column + 1 - n_fields[row];
                n_fields[row] = column + 1;
                let with = self.separators(missing) + &self.written(text, false, false);
                splices.push(Splice::insert(record.content().end, with));
            }
        }
        splices
    }

    /// Adds rows before the row `at`, or below all others but a sum; each has a text for every column.
    pub(super) fn add(&self, at: usize, rows: &[Vec<String>]) -> Vec<Splice> {
        let at = if at < self.rows.len() {
            at
        } else {
            self.rows_end()
        };
        let end = line_end(self.text);
        let lines: Vec<String> = rows.iter().map(|row| self.line(row)).collect();
        if let Some(next) = self.rows.get(at) {
            let lines: String = lines.iter().map(|line| format!("{line}{end}")).collect();
            return vec![Splice::insert(next.content().start, lines)];
        }
        let last = self.rows.last().or(self.header.as_ref());
        let (place, is_ended) =
            last.map_or((self.text.len(), true), |last| (last.end, last.is_ended()));
        let with = lines.iter().map(|line| {
            if is_ended {
                format!("{line}{end}")
            } else {
                format!("{end}{line}")
            }
        });
        vec![Splice::insert(place, with.collect::<String>())]
    }

    /// Takes rows out, each of them with what ends it; where the last of a text has no end, neither has the one before then.
    pub(super) fn remove(&self, rows: &[usize]) -> Vec<Splice> {
        let mut left: Option<&Record> = self.header.as_ref();
        let mut splices = Vec::new();
        for (idx, row) in self.rows.iter().enumerate() {
            if rows.contains(&idx) {
                splices.push(Splice::new(row.content().start..row.end, ""));
            } else {
                left = Some(row);
            }
        }
        let is_last_open = self.rows.last().is_some_and(|last| !last.is_ended());
        if let Some(left) = left
            && is_last_open
            && rows.contains(&(self.rows.len() - 1))
        {
            // All behind the last row that stays is taken out, but for empty lines.
            splices.push(Splice::new(left.content().end..left.end, ""));
        }
        splices
    }

    /// Moves a row to another place.
    pub(super) fn shift(&self, from: usize, to: usize) -> Vec<Splice> {
        let contents: Vec<Range<usize>> = self.rows.iter().map(Record::content).collect();
        permuted(self.text, &contents, &moved(contents.len(), from, to))
    }

    /// Adds columns behind those that are there; rows that have too few fields already are left as they are.
    pub(super) fn widen(&self, headings: &[&str]) -> Vec<Splice> {
        let Some(header) = &self.header else {
            let line = headings.join(&self.delimiter.to_string());
            return vec![Splice::insert(self.text.len(), line + line_end(self.text))];
        };
        let n_columns = header.fields.len();
        let names: String = headings
            .iter()
            .map(|heading| format!("{}{heading}", self.delimiter))
            .collect();
        let mut splices = vec![Splice::insert(header.content().end, names)];
        for row in &self.rows {
            if let Some(last) = row.fields.get(n_columns - 1) {
                splices.push(Splice::insert(last.end, self.separators(headings.len())));
            }
        }
        splices
    }

    fn separators(&self, n: usize) -> String {
        self.delimiter.to_string().repeat(n)
    }

    /// A row as a line.
    fn line(&self, row: &[String]) -> String {
        let is_alone = row.len() == 1;
        let fields: Vec<String> = row
            .iter()
            .map(|text| self.written(text, false, is_alone))
            .collect();
        fields.join(&self.delimiter.to_string())
    }

    /// A text as a field, in quotes where it must be, or where the field had them before.
    fn written(&self, text: &str, was_quoted: bool, is_alone: bool) -> String {
        let cell = guarded(text.to_owned());
        let must_be = cell.contains([self.delimiter, '"', '\n', '\r']);
        // A row that is one empty field would be an empty line, and no row.
        if must_be || was_quoted || (is_alone && cell.is_empty()) {
            format!("\"{}\"", cell.replace('"', "\"\""))
        } else {
            cell
        }
    }
}

/// The text of a field as the reader has it: without its quotes, and doubled ones single.
fn field_text(raw: &str) -> Cow<'_, str> {
    unquoted(raw).0
}

/// The text of a field, and whether its quote is still open at its end.
fn unquoted(raw: &str) -> (Cow<'_, str>, bool) {
    let Some(quoted) = raw.strip_prefix('"') else {
        return (Cow::Borrowed(raw), false);
    };
    let mut text = String::with_capacity(quoted.len());
    let mut is_open = true;
    let mut symbols = quoted.chars().peekable();
    while let Some(symbol) = symbols.next() {
        if is_open && symbol == '"' {
            if symbols.peek() == Some(&'"') {
                symbols.next();
                text.push('"');
            } else {
                is_open = false;
            }
        } else {
            text.push(symbol);
        }
    }
    (Cow::Owned(text), is_open)
}

/// All records from `start` on; empty lines are none.
fn parted(text: &str, start: usize, delimiter: u8) -> Vec<Record> {
    let bytes = text.as_bytes();
    let mut records = Vec::new();
    let mut line = 1 + n_line_ends(&bytes[..start]);
    let mut at = start;
    while at < bytes.len() {
        if matches!(bytes[at], b'\n' | b'\r') {
            let next = past_line_end(bytes, at);
            line += 1;
            at = next;
            continue;
        }
        let begins = at;
        let mut fields = Vec::new();
        loop {
            let field_end = end_of_field(bytes, at, delimiter);
            fields.push(at..field_end);
            at = field_end;
            if bytes.get(at) != Some(&delimiter) {
                break;
            }
            at += 1;
        }
        let end = past_line_end(bytes, at);
        records.push(Record { fields, end, line });
        line += n_line_ends(&bytes[begins..end]);
        at = end;
    }
    records
}

/// Where a field ends that begins at `at`: before a separator, what ends a line, or the end of the text.
fn end_of_field(bytes: &[u8], mut at: usize, delimiter: u8) -> usize {
    if bytes.get(at) == Some(&b'"') {
        at += 1;
        loop {
            match bytes.get(at) {
                None => return at,
                Some(b'"') if bytes.get(at + 1) == Some(&b'"') => at += 2,
                Some(b'"') => {
                    at += 1;
                    break;
                }
                Some(_) => at += 1,
            }
        }
    }
    while let Some(byte) = bytes.get(at) {
        if *byte == delimiter || matches!(byte, b'\n' | b'\r') {
            break;
        }
        at += 1;
    }
    at
}

/// Behind what ends a line at `at`, if anything does there.
fn past_line_end(bytes: &[u8], at: usize) -> usize {
    match (bytes.get(at), bytes.get(at + 1)) {
        (Some(b'\r'), Some(b'\n')) => at + 2,
        (Some(b'\r' | b'\n'), _) => at + 1,
        _ => at,
    }
}

/// How many lines end: after `\n`, `\r\n`, or `\r` alone.
fn n_line_ends(bytes: &[u8]) -> u64 {
    let is_end = |idx: &usize| {
        bytes[*idx] == b'\n' || (bytes[*idx] == b'\r' && bytes.get(idx + 1) != Some(&b'\n'))
    };
    let ends = (0..bytes.len()).filter(is_end).count();
    u64::try_from(ends).unwrap_or(u64::MAX)
}

//! Workbooks of spreadsheets: one sheet of `.xlsx` or `.ods` as the text of a table, its cells as the spreadsheet shows them.
//!
//! A job names the sheet behind the file, as in `list.xlsx#Pictures`; without a name there must be one sheet alone that has
//! anything in it.
//! Line 7 of the text is row 7 of the sheet and its third field column C, so that faults can name the cell.

mod marks;
mod sheet_xml;
mod shown;

use std::collections::BTreeSet;
use std::fmt;
use std::io::{Cursor, Read, Seek};
use std::path::{Path, PathBuf};

use calamine::{Data, DataRef, Ods, Reader as _, Sheet, SheetVisible, Xlsx};

use sheet_xml::{MergedCell, SheetXml, sheet_xml};

use super::limits::MOST_ROWS;
use super::near::few;

/// More columns than any list has; what stands right of them is not read, which is said.
const MOST_COLUMNS: u32 = 256;

/// Rows of a sheet that are read: title rows and totals come on top of the rows of a table.
const ROWS_READ: usize = MOST_ROWS + 1_000;

/// How much is written into the cells below those that are merged with them, in bytes: more than any list has, and no more than
/// a file may have.
const MOST_MERGED: usize = 64 * 1024 * 1024;

/// Why a workbook gives no table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum BookFault {
    /// It cannot be opened, in the words of the reader.
    Unreadable(String),
    /// It has no sheet of the name that is asked for.
    NoSuchSheet {
        /// The name.
        name: String,
        /// Those it has.
        has: Vec<String>,
    },
    /// No sheet is named, and several have something in them.
    SeveralSheets {
        /// Their names.
        has: Vec<String>,
    },
    /// A sheet has a row beyond what a table may have.
    TooManyRows,
}

impl fmt::Display for BookFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BookFault::Unreadable(why) => write!(out, "the workbook cannot be read: {why}"),
            BookFault::NoSuchSheet { name, .. } => {
                write!(out, "the workbook has no sheet `{name}`")
            }
            BookFault::SeveralSheets { has } => {
                write!(
                    out,
                    "the workbook has {} sheets with something in them",
                    has.len()
                )
            }
            BookFault::TooManyRows => write!(out, "the sheet has more than {MOST_ROWS} rows"),
        }
    }
}

/// What kind of workbook a file is by the end of its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Xlsx,
    Ods,
}

/// The file and the sheet of it that a path names; of any other file than a workbook, the path itself.
pub fn file_and_sheet(path: &Path) -> (PathBuf, Option<String>) {
    let whole = || (path.to_owned(), None);
    let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
        return whole();
    };
    let Some((file, sheet)) = name.split_once('#') else {
        return whole();
    };
    let file = path.with_file_name(file);
    match kind_of(&file) {
        Some(_) if !sheet.is_empty() => (file, Some(sheet.to_owned())),
        _ => whole(),
    }
}

/// Whether a path names a workbook, or a sheet of one.
pub(crate) fn is_of_workbook(path: &Path) -> bool {
    kind_of(&file_and_sheet(path).0).is_some()
}

fn kind_of(file: &Path) -> Option<Kind> {
    let extension = file.extension()?.to_str()?;
    if extension.eq_ignore_ascii_case("xlsx") || extension.eq_ignore_ascii_case("xlsm") {
        Some(Kind::Xlsx)
    } else if extension.eq_ignore_ascii_case("ods") {
        Some(Kind::Ods)
    } else {
        None
    }
}

/// A sheet as the text of a table, and what that text does not say.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct SheetText {
    /// Fields parted by commas; line 7 is row 7.
    pub(super) text: String,
    /// Fields that are numbers in the sheet, by line from 1 and index: their decimal marks are ours, and tell nothing of texts.
    pub(super) numbers: BTreeSet<(u64, usize)>,
    /// Fields that are one cell with those below: the first line, the last, and the index.
    pub(super) merged: Vec<(u64, u64, usize)>,
    /// What is to be said of it.
    pub(super) notes: Vec<String>,
}

/// The sheet that a path names; `None` where the bytes are of no workbook.
///
/// # Errors
/// [`BookFault`] if there is no such sheet, or no workbook that can be read.
pub(super) fn sheet_text(path: &Path, bytes: &[u8]) -> Option<Result<SheetText, BookFault>> {
    let (file, sheet) = file_and_sheet(path);
    let kind = kind_of(&file)?;
    // What a plan keeps of a workbook is the text of the sheet.
    bytes
        .starts_with(b"PK")
        .then(|| rows_of(kind, bytes, sheet.as_deref()).map(Rows::into_text))
}

fn rows_of(kind: Kind, bytes: &[u8], sheet: Option<&str>) -> Result<Rows, BookFault> {
    let packed = bytes;
    let bytes = Cursor::new(bytes);
    let unreadable = |why: &dyn fmt::Display| BookFault::Unreadable(why.to_string());
    match kind {
        Kind::Xlsx => {
            let mut book = Xlsx::new(bytes).map_err(|error| unreadable(&error))?;
            let names = visible(book.sheets_metadata());
            pick(&names, sheet, |name| {
                Ok(of_xlsx(&mut book, name)?.with(sheet_xml(kind, packed, name)))
            })
        }
        Kind::Ods => {
            let mut book = Ods::new(bytes).map_err(|error| unreadable(&error))?;
            let names = visible(book.sheets_metadata());
            pick(&names, sheet, |name| {
                Ok(of_ods(&mut book, name)?.with(sheet_xml(kind, packed, name)))
            })
        }
    }
}

/// All sheets, and whether each can be seen.
fn visible(sheets: &[Sheet]) -> Vec<(String, bool)> {
    let visible = |sheet: &Sheet| (sheet.name.clone(), sheet.visible == SheetVisible::Visible);
    sheets.iter().map(visible).collect()
}

/// The rows of the sheet of this name; without a name, of the only one that can be seen and is not empty.
fn pick(
    sheets: &[(String, bool)],
    wanted: Option<&str>,
    mut read: impl FnMut(&str) -> Result<Rows, BookFault>,
) -> Result<Rows, BookFault> {
    if let Some(wanted) = wanted {
        let is_it = |(name, _): &&(String, bool)| name.trim().eq_ignore_ascii_case(wanted.trim());
        let exact = sheets.iter().find(|(name, _)| name == wanted);
        return match exact.or_else(|| sheets.iter().find(is_it)) {
            Some((name, _)) => read(name),
            None => Err(BookFault::NoSuchSheet {
                name: wanted.to_owned(),
                has: sheets.iter().map(|(name, _)| name.clone()).collect(),
            }),
        };
    }
    let mut filled = Vec::new();
    for (name, _) in sheets.iter().filter(|(_, is_visible)| *is_visible) {
        let rows = read(name)?;
        if !rows.cells.is_empty() {
            filled.push((name.clone(), rows));
        }
    }
    if filled.len() > 1 {
        let has = filled.into_iter().map(|(name, _)| name).collect();
        return Err(BookFault::SeveralSheets { has });
    }
    Ok(filled.pop().map(|(_, rows)| rows).unwrap_or_default())
}

fn of_xlsx<S: Read + Seek>(book: &mut Xlsx<S>, name: &str) -> Result<Rows, BookFault> {
    let unreadable = |error: calamine::XlsxError| BookFault::Unreadable(error.to_string());
    let mut rows = Rows::default();
    // A formula stands in its cell until a value does, so that one that nobody has computed is seen where it matters.
    let mut formulas = book.worksheet_cells_reader(name).map_err(unreadable)?;
    while let Some(cell) = formulas.next_formula().map_err(unreadable)? {
        if !cell.get_value().is_empty() {
            rows.add(cell.get_position(), format!("={}", cell.get_value()), false)?;
        }
    }
    drop(formulas);
    let mut cells = book.worksheet_cells_reader(name).map_err(unreadable)?;
    while let Some((cell, style)) = cells.next_cell_with_style_id().map_err(unreadable)? {
        let format = || {
            let style = cells.styles().get(style)?;
            Some(style.number_format.as_ref()?.format_code.as_str())
        };
        let (text, is_number) = match cell.get_value() {
            DataRef::Float(number) => (shown::number(*number, format()), true),
            DataRef::Empty => continue,
            value => {
                let value: Data = value.clone().into();
                (text_of(&value), is_number(&value))
            }
        };
        if text.is_empty() {
            // What a formula says may be nothing.
            rows.clear(cell.get_position());
        }
        rows.add(cell.get_position(), text, is_number)?;
    }
    Ok(rows)
}

fn of_ods<S: Read + Seek>(book: &mut Ods<S>, name: &str) -> Result<Rows, BookFault> {
    let range = book
        .worksheet_range(name)
        .map_err(|error| BookFault::Unreadable(error.to_string()))?;
    let mut rows = Rows::default();
    let (top, left) = range.start().unwrap_or_default();
    for (row, column, value) in range.used_cells() {
        let at = |from: u32, by: usize| from.saturating_add(u32::try_from(by).unwrap_or(u32::MAX));
        rows.add(
            (at(top, row), at(left, column)),
            text_of(value),
            is_number(value),
        )?;
    }
    Ok(rows)
}

fn is_number(value: &Data) -> bool {
    matches!(value, Data::Int(_) | Data::Float(_))
}

/// The text of a cell; a date as year, month and day.
fn text_of(value: &Data) -> String {
    match value {
        Data::Empty => String::new(),
        Data::String(text) => text.split_whitespace().collect::<Vec<_>>().join(" "),
        Data::Int(number) => number.to_string(),
        Data::Float(number) => shown::number(*number, None),
        Data::Bool(value) => value.to_string(),
        Data::DateTime(date) => {
            let (year, month, day, ..) = date.to_ymd_hms_milli();
            format!("{year:04}-{month:02}-{day:02}")
        }
        Data::DateTimeIso(text) => text.get(..10).unwrap_or(text).to_owned(),
        Data::DurationIso(text) => text.clone(),
        Data::Error(error) => error.to_string(),
    }
}

/// A cell of a sheet.
#[derive(Clone, Debug, Default)]
struct SheetCell {
    text: String,
    is_number: bool,
}

/// The filled cells of a sheet by row and column, from 0; a row of nothing is empty.
#[derive(Debug, Default)]
struct Rows {
    cells: Vec<Vec<SheetCell>>,
    /// Whether something stands right of [`MOST_COLUMNS`].
    is_wider: bool,
    /// Fields that are one cell with those below: row, last row, column.
    merged: Vec<(usize, usize, usize)>,
    hidden: Vec<usize>,
    /// The first merged cell that is not read in the rows below, as those before it fill too much.
    merged_to: Option<(usize, usize)>,
}

fn index(number: u32) -> usize {
    usize::try_from(number).unwrap_or(usize::MAX)
}

impl Rows {
    fn add(
        &mut self,
        (row, column): (u32, u32),
        text: String,
        is_number: bool,
    ) -> Result<(), BookFault> {
        if text.is_empty() {
            return Ok(());
        }
        if column >= MOST_COLUMNS {
            self.is_wider = true;
            return Ok(());
        }
        let (row, column) = (index(row), index(column));
        if row >= ROWS_READ {
            return Err(BookFault::TooManyRows);
        }
        if self.cells.len() <= row {
            self.cells.resize(row + 1, Vec::new());
        }
        let cells = &mut self.cells[row];
        if cells.len() <= column {
            cells.resize(column + 1, SheetCell::default());
        }
        cells[column] = SheetCell { text, is_number };
        Ok(())
    }

    fn clear(&mut self, (row, column): (u32, u32)) {
        let row = self.cells.get_mut(index(row));
        if let Some(cell) = row.and_then(|row| row.get_mut(index(column))) {
            *cell = SheetCell::default();
        }
    }

    fn is_filled(&self, row: usize) -> bool {
        let cells = self.cells.get(row);
        cells.is_some_and(|cells| cells.iter().any(|cell| !cell.text.is_empty()))
    }

    /// The same with what the XML of the sheet tells: a cell that is merged with those below stands in each of its rows that has
    /// anything else.
    fn with(mut self, xml: SheetXml) -> Rows {
        let n_rows = self.cells.len();
        let filled = (0..n_rows).filter(|row| self.is_filled(*row));
        let filled: Vec<usize> = filled.collect();
        // Those of the filled rows that are in a range.
        let within = |first: usize, last: usize| {
            let from = filled.partition_point(|row| *row < first);
            let to = filled.partition_point(|row| *row <= last);
            &filled[from..to.max(from)]
        };
        let mut hidden = BTreeSet::new();
        let mut runs: Vec<(u32, u32)> = xml.hidden;
        runs.sort_unstable();
        let mut next = 0;
        for (first, last) in runs {
            hidden.extend(within(index(first).max(next), index(last)));
            next = next.max(index(last).saturating_add(1));
        }
        self.hidden = hidden.into_iter().collect();
        let mut n_bytes = 0_usize;
        for MergedCell {
            row,
            column,
            last_row,
        } in xml.merged
        {
            let (row, column) = (index(row), index(column));
            let cell = self.cells.get(row).and_then(|cells| cells.get(column));
            let Some(cell) = cell.filter(|cell| !cell.text.is_empty()).cloned() else {
                continue;
            };
            let below = within(row + 1, index(last_row));
            let Some(last) = below.last() else {
                continue;
            };
            let size = cell.text.len() + size_of::<SheetCell>();
            n_bytes = n_bytes.saturating_add(size.saturating_mul(below.len()));
            if n_bytes > MOST_MERGED {
                self.merged_to = Some((row, column));
                break;
            }
            for below in below {
                let cells = &mut self.cells[*below];
                if cells.len() <= column {
                    cells.resize(column + 1, SheetCell::default());
                }
                cells[column] = cell.clone();
            }
            self.merged.push((row, *last, column));
        }
        self
    }

    /// As a table of commas (RFC 4180), every row as long as the longest.
    ///
    /// Decimals of numbers are marked as those of the texts are, and such that the table can be read again from its text alone.
    fn into_text(self) -> SheetText {
        let n_columns = self.cells.iter().map(Vec::len).max().unwrap_or_default();
        let form = self.form();
        let line = |row: usize| u64::try_from(row + 1).unwrap_or(u64::MAX);
        let (mut text, mut numbers) = (String::new(), BTreeSet::new());
        for (row_idx, row) in self.cells.iter().enumerate() {
            for idx in 0..n_columns {
                if idx > 0 {
                    text.push(',');
                }
                let cell = row.get(idx).cloned().unwrap_or_default();
                let mut shown = cell.text;
                if cell.is_number {
                    numbers.insert((line(row_idx), idx));
                    if let Some(form) = form {
                        shown = form.figures(&shown);
                    }
                }
                if shown.contains(['"', ',', ';', '\n', '\r']) {
                    text.push_str(&format!("\"{}\"", shown.replace('"', "\"\"")));
                } else {
                    text.push_str(&shown);
                }
            }
            text.push('\n');
        }
        SheetText {
            text,
            numbers,
            notes: self.notes(),
            merged: self
                .merged
                .iter()
                .map(|&(row, last, column)| (line(row), line(last), column))
                .collect(),
        }
    }

    /// What is to be said of the sheet.
    fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        if !self.hidden.is_empty() {
            let rows = self.hidden.iter().map(|row| (row + 1).to_string());
            notes.push(format!(
                "rows that are hidden are read too: {}",
                few(rows.collect(), ", ")
            ));
        }
        if !self.merged.is_empty() {
            let cells = self.merged.iter();
            let cells = cells.map(|&(row, _, column)| format!("{}{}", letters(column), row + 1));
            notes.push(format!(
                "cells that are merged with those below are read in each row: {}",
                few(cells.collect(), ", ")
            ));
        }
        if let Some((row, column)) = self.merged_to {
            notes.push(format!(
                "not read in the rows below: cells that are merged with them, from {}{} on",
                letters(column),
                row + 1
            ));
        }
        if self.is_wider {
            let last = letters(index(MOST_COLUMNS) - 1);
            notes.push(format!("not read: what is right of column {last}"));
        }
        notes
    }
}

/// The letters of a column, counted from 0.
fn letters(column: usize) -> String {
    let mut letters = Vec::new();
    let mut rest = column + 1;
    while rest > 0 {
        rest -= 1;
        let letter = u8::try_from(rest % 26).unwrap_or_default();
        letters.push(char::from(b'A' + letter));
        rest /= 26;
    }
    letters.iter().rev().collect()
}

#[cfg(test)]
mod tests;

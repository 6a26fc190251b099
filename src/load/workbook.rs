//! Workbooks of spreadsheets: one sheet of `.xlsx` or `.ods` as the text of a table, its cells as the spreadsheet shows them.
//!
//! A job names the sheet behind the file, as in `list.xlsx#Pictures`; without a name there must be one sheet alone that has
//! anything in it.
//! Line 7 of the text is row 7 of the sheet and its third field column C, so that faults can name the cell.

mod shown;

use std::fmt;
use std::io::{Cursor, Read, Seek};
use std::path::{Path, PathBuf};

use calamine::{Data, DataRef, Ods, Reader as _, Sheet, SheetVisible, Xlsx};

use super::limits::MOST_ROWS;

/// More columns than any list has; what stands right of them is not read.
const MOST_COLUMNS: u32 = 256;

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

/// The text of the sheet that a path names, fields parted by commas; `None` where the bytes are of no workbook.
///
/// # Errors
/// [`BookFault`] if there is no such sheet, or no workbook that can be read.
pub(super) fn sheet_text(path: &Path, bytes: &[u8]) -> Option<Result<String, BookFault>> {
    let (file, sheet) = file_and_sheet(path);
    let kind = kind_of(&file)?;
    // What a plan keeps of a workbook is the text of the sheet.
    bytes
        .starts_with(b"PK")
        .then(|| rows_of(kind, bytes, sheet.as_deref()).map(|rows| rows.text()))
}

fn rows_of(kind: Kind, bytes: &[u8], sheet: Option<&str>) -> Result<Rows, BookFault> {
    let bytes = Cursor::new(bytes);
    let unreadable = |why: &dyn fmt::Display| BookFault::Unreadable(why.to_string());
    match kind {
        Kind::Xlsx => {
            let mut book = Xlsx::new(bytes).map_err(|error| unreadable(&error))?;
            let names = visible(book.sheets_metadata());
            pick(&names, sheet, |name| of_xlsx(&mut book, name))
        }
        Kind::Ods => {
            let mut book = Ods::new(bytes).map_err(|error| unreadable(&error))?;
            let names = visible(book.sheets_metadata());
            pick(&names, sheet, |name| of_ods(&mut book, name))
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
        if !rows.0.is_empty() {
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
            rows.add(cell.get_position(), format!("={}", cell.get_value()))?;
        }
    }
    drop(formulas);
    let mut cells = book.worksheet_cells_reader(name).map_err(unreadable)?;
    while let Some((cell, style)) = cells.next_cell_with_style_id().map_err(unreadable)? {
        let format = || {
            let style = cells.styles().get(style)?;
            Some(style.number_format.as_ref()?.format_code.as_str())
        };
        let text = match cell.get_value() {
            DataRef::Float(number) => shown::number(*number, format()),
            DataRef::Empty => continue,
            value => text_of(&value.clone().into()),
        };
        if text.is_empty() {
            // What a formula says may be nothing.
            rows.clear(cell.get_position());
        }
        rows.add(cell.get_position(), text)?;
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
        rows.add((at(top, row), at(left, column)), text_of(value))?;
    }
    Ok(rows)
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

/// The filled cells of a sheet by row and column, from 0; a row of nothing is empty.
#[derive(Debug, Default)]
struct Rows(Vec<Vec<String>>);

impl Rows {
    fn add(&mut self, (row, column): (u32, u32), text: String) -> Result<(), BookFault> {
        if text.is_empty() || column >= MOST_COLUMNS {
            return Ok(());
        }
        let at = |number: u32| usize::try_from(number).unwrap_or(usize::MAX);
        // Title rows and totals come on top of the rows of a table.
        if at(row) >= MOST_ROWS + 1_000 {
            return Err(BookFault::TooManyRows);
        }
        if self.0.len() <= at(row) {
            self.0.resize(at(row) + 1, Vec::new());
        }
        let cells = &mut self.0[at(row)];
        if cells.len() <= at(column) {
            cells.resize(at(column) + 1, String::new());
        }
        cells[at(column)] = text;
        Ok(())
    }

    fn clear(&mut self, (row, column): (u32, u32)) {
        let at = |number: u32| usize::try_from(number).unwrap_or(usize::MAX);
        let row = self.0.get_mut(at(row));
        if let Some(cell) = row.and_then(|row| row.get_mut(at(column))) {
            cell.clear();
        }
    }

    /// As a table of commas (RFC 4180), every row as long as the longest.
    fn text(&self) -> String {
        let n_columns = self.0.iter().map(Vec::len).max().unwrap_or_default();
        let mut text = String::new();
        for row in &self.0 {
            for idx in 0..n_columns {
                if idx > 0 {
                    text.push(',');
                }
                let cell = row.get(idx).map_or("", String::as_str);
                if cell.contains(['"', ',', ';', '\n', '\r']) {
                    text.push_str(&format!("\"{}\"", cell.replace('"', "\"\"")));
                } else {
                    text.push_str(cell);
                }
            }
            text.push('\n');
        }
        text
    }
}

#[cfg(test)]
mod tests;

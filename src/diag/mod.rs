//! Errors, warnings and notes about the input: where, what was found, what was expected and a way out.
//!
//! [`Diagnostics`] collects them while files are read, [`render()`] draws them, [`code`] lists what there is.
//! Text of others, from files, options and paths, reaches a message through [`quoted`] and its neighbors alone.

pub mod code;
mod guard;
mod render;
mod safe;
mod tied;

use std::fmt;
use std::path::{Path, PathBuf};

pub use guard::{guarded, unguarded};
pub use render::{render, set_messages, summary};
pub use safe::{disturbs, is_seen, quoted, quoted_path, safe_json, safe_text};
pub(crate) use tied::{TIED, tie_mixed_numbers, tie_to_figures};

/// The path that stands for standard input, in messages called by that name.
pub const STANDARD_INPUT: &str = "-";

/// How much a diagnostic matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Nothing can be planned.
    Error,
    /// The job can be planned, but the user should know.
    Warning,
    /// Nothing is wrong: it says how something was understood that could have been meant otherwise.
    Note,
}

impl Severity {
    fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        }
    }
}

/// Where a diagnostic belongs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// A file as a whole.
    File(PathBuf),
    /// A stretch of a text file.
    Text {
        /// The file.
        path: PathBuf,
        /// Line, from 1.
        line: usize,
        /// Column in characters, from 1.
        column: usize,
        /// Characters to mark, 1 or more.
        width: usize,
        /// The whole source line, for the picture.
        source: String,
    },
    /// A field of a CSV table.
    Field {
        /// The file.
        path: PathBuf,
        /// Line, from 1.
        line: u64,
        /// The row it belongs to, or as much of it as helps to find it.
        row: Vec<Cell>,
        /// Which of `row` it is.
        cell_idx: usize,
        /// Which field of its row in the file, from 0.
        field_idx: usize,
    },
    /// A row of a CSV table.
    Row {
        /// The file.
        path: PathBuf,
        /// Line, from 1.
        line: u64,
        /// The row, or as much of it as helps to find it.
        row: Vec<Cell>,
    },
    /// A value on the command line.
    Argument {
        /// Its option, such as `--done`.
        option: &'static str,
        /// The value.
        text: String,
    },
}

/// A cell of a table, fit to be shown: no control characters, and shortened where it is very long.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    heading: String,
    text: String,
}

impl Cell {
    /// The cell below this heading, both as the file has them; of several lines the first is shown.
    pub fn new(heading: &str, text: &str) -> Cell {
        let shown = |text: &str| match text.split_once(['\n', '\r']) {
            Some((first, _)) => safe::shortened(first) + safe::CUT,
            None => safe::shortened(text),
        };
        Cell {
            heading: shown(heading),
            text: shown(text),
        }
    }
}

impl Place {
    /// The file it stands in; of a value on the command line, its option.
    pub fn path(&self) -> &Path {
        match self {
            Place::File(path)
            | Place::Text { path, .. }
            | Place::Field { path, .. }
            | Place::Row { path, .. } => path,
            Place::Argument { option, .. } => Path::new(option),
        }
    }

    /// Line and column, from 1; zero where there is none.
    fn position(&self) -> (u64, usize) {
        match self {
            Place::File(_) | Place::Argument { .. } => (0, 0),
            Place::Text { line, column, .. } => (u64::try_from(*line).unwrap_or(u64::MAX), *column),
            Place::Field { line, .. } | Place::Row { line, .. } => (*line, 0),
        }
    }
}

/// One error or warning.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// Stable code such as `E103`; DEVELOPERS.md lists them all.
    pub code: &'static str,
    /// Error or warning.
    pub severity: Severity,
    /// Where it belongs.
    pub place: Place,
    /// What was found, and what was expected: lower case, no full stop, values in backticks.
    pub what: String,
    /// A way out.
    pub hint: Option<String>,
}

impl Diagnostic {
    /// An error without a hint.
    pub fn error(code: &'static str, place: Place, what: impl Into<String>) -> Diagnostic {
        Diagnostic {
            code,
            severity: Severity::Error,
            place,
            what: what.into(),
            hint: None,
        }
    }

    /// A warning without a hint.
    pub fn warning(code: &'static str, place: Place, what: impl Into<String>) -> Diagnostic {
        Diagnostic {
            severity: Severity::Warning,
            ..Diagnostic::error(code, place, what)
        }
    }

    /// A note without a hint.
    pub fn note(code: &'static str, place: Place, what: impl Into<String>) -> Diagnostic {
        Diagnostic {
            severity: Severity::Note,
            ..Diagnostic::error(code, place, what)
        }
    }

    /// The same with a way out.
    #[must_use]
    pub fn with_hint(mut self, hint: impl Into<Option<String>>) -> Diagnostic {
        self.hint = hint.into();
        self
    }
}

/// All that was found so far.
#[derive(Clone, Debug, Default)]
pub struct Diagnostics {
    found: Vec<Diagnostic>,
    n_errors: usize,
}

impl Diagnostics {
    /// Adds one.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        if diagnostic.severity == Severity::Error {
            self.n_errors += 1;
        }
        self.found.push(diagnostic);
    }

    /// How many of them are errors.
    pub fn n_errors(&self) -> usize {
        self.n_errors
    }

    /// All of them by file, line and column; at one place, in the order in which they were found.
    pub fn into_sorted(mut self) -> Vec<Diagnostic> {
        self.found.sort_by(|one, other| {
            let one = (one.place.path(), one.place.position());
            one.cmp(&(other.place.path(), other.place.position()))
        });
        self.found
    }
}

impl fmt::Display for Place {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Place::Argument { option, text } = self {
            return write!(out, "{option} {}", quoted(text));
        }
        let path = self.path();
        if path == Path::new(STANDARD_INPUT) {
            out.write_str("standard input")?;
        } else {
            out.write_str(&safe::safe_text(&path.display().to_string()))?;
        }
        match self {
            Place::File(_) | Place::Argument { .. } => Ok(()),
            Place::Text { line, .. } => write!(out, ", line {line}"),
            Place::Row { line, .. } if is_workbook(path) => write!(out, ", row {line}"),
            Place::Row { line, .. } => write!(out, ", line {line}"),
            Place::Field {
                line,
                row,
                cell_idx,
                field_idx,
                ..
            } => {
                if is_workbook(path) {
                    write!(out, ", cell {}", cell_name(*line, *field_idx))?;
                } else {
                    write!(out, ", line {line}")?;
                }
                match row.get(*cell_idx) {
                    Some(cell) => write!(out, ", column `{}`", cell.heading),
                    None => Ok(()),
                }
            }
        }
    }
}

/// Whether a path is that of a workbook, or of a sheet in one.
fn is_workbook(path: &Path) -> bool {
    let name = path
        .file_name()
        .map(|name| name.to_string_lossy().to_lowercase());
    name.is_some_and(|name| {
        let file = name.split_once('#').map_or(name.as_str(), |(file, _)| file);
        [".xlsx", ".xlsm", ".ods"]
            .iter()
            .any(|end| file.ends_with(end))
    })
}

/// The name of a cell of a sheet by its row, from 1, and its column, from 0: `C7`.
fn cell_name(row: u64, column: usize) -> String {
    let mut letters = Vec::new();
    let mut rest = column + 1;
    while rest > 0 {
        let letter = u8::try_from((rest - 1) % 26).unwrap_or_default();
        letters.push(char::from(b'A' + letter));
        rest = (rest - 1) / 26;
    }
    let letters: String = letters.into_iter().rev().collect();
    format!("{letters}{row}")
}

/// One line, such as `boards.csv, line 2: error: no price, write one (E201)`, for logs; [`render()`] draws more.
impl fmt::Display for Diagnostic {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = self.severity.word();
        let what = safe::safe_text(&self.what);
        write!(out, "{}: {word}: {what} ({})", self.place, self.code)?;
        match &self.hint {
            Some(hint) => write!(out, "; {}", safe::safe_text(hint)),
            None => Ok(()),
        }
    }
}

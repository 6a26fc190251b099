//! Faults of the input: what was found, where, what was expected and a way out.
//!
//! [`Diagnostics`] collects them while files are read, [`render()`] draws them, [`code`] lists what there is.

pub mod code;
mod render;
mod safe;

use std::fmt;
use std::path::{Path, PathBuf};

pub use render::{render, summary};
pub use safe::quoted;

/// How much a diagnostic matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Nothing can be planned.
    Error,
    /// The job can be planned, but the user should know.
    Warning,
}

/// Where a fault stands.
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
        /// Characters to underline, 1 or more.
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
        /// The column's header as the file has it.
        header: String,
        /// The field's text.
        text: String,
    },
    /// A row of a CSV table.
    Row {
        /// The file.
        path: PathBuf,
        /// Line, from 1.
        line: u64,
    },
    /// A value on the command line.
    Argument {
        /// Its option, such as `--done`.
        option: &'static str,
        /// The value.
        text: String,
    },
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

/// One fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// Stable code such as `E103`; DEVELOPERS.md lists them all.
    pub code: &'static str,
    /// Error or warning.
    pub severity: Severity,
    /// Where it stands.
    pub place: Place,
    /// What was found, and what was expected: lower case, no full stop, values in backticks.
    pub what: String,
    /// A way out.
    pub hint: Option<String>,
}

impl Diagnostic {
    /// A fault without a hint.
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
        match self {
            Place::File(path) => write!(out, "{}", path.display()),
            Place::Text {
                path, line, column, ..
            } => write!(out, "{}:{line}:{column}", path.display()),
            Place::Field {
                path, line, header, ..
            } => {
                write!(out, "{}:{line}, column `{header}`", path.display())
            }
            Place::Row { path, line } => write!(out, "{}:{line}", path.display()),
            Place::Argument { option, text } => write!(out, "{option} {}", quoted(text)),
        }
    }
}

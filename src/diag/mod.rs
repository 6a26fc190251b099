//! Faults of the input: what was found, where, what was expected and a way out.

use std::fmt;
use std::path::PathBuf;

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
        }
    }
}

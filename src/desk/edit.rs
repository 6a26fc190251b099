//! What may be asked of a desk, and what comes of it.

use std::fmt;
use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::Version;
use crate::diag::{quoted, quoted_path};

/// A change that is asked for, by the indices of [`super::Desk`].
///
/// Texts for cells lose blanks at their ends, and ends of lines in them become blanks, as every list is kept by lines.
/// An empty text empties a cell, and takes a key out of a job file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Edit {
    /// Writes a text into a cell.
    Cell {
        /// The table.
        table: usize,
        /// Its row.
        row: usize,
        /// Its column; one that the table lacks and its schema knows is added.
        column: Heading,
        /// What is to stand there.
        text: String,
    },
    /// Adds a row. A table that the file does not have yet begins with it.
    AddRow {
        /// The table.
        table: usize,
        /// The row before which it is to stand; else it is the last.
        #[serde(default)]
        at: Option<usize>,
        /// Its cells; all others are empty.
        #[serde(default)]
        cells: Vec<(Heading, String)>,
    },
    /// Takes a row out.
    RemoveRow {
        /// The table.
        table: usize,
        /// Its row.
        row: usize,
    },
    /// Moves a row.
    MoveRow {
        /// The table.
        table: usize,
        /// The row as it stands now.
        row: usize,
        /// Which row it is to be then.
        to: usize,
    },
    /// Writes what a spreadsheet has copied, cell by cell; rows beyond the last are added.
    Paste {
        /// The table.
        table: usize,
        /// The first row to write to; the number of rows adds all below.
        row: usize,
        /// The first column to write to, if the first row of the text does not name columns; else the first of the table.
        #[serde(default)]
        column: Option<Heading>,
        /// Cells parted by tabs, rows by ends of lines, those that hold either in double quotes.
        text: String,
    },
    /// Adds an empty column that the schema of the table knows; rows in a job file need none.
    AddColumn {
        /// The table.
        table: usize,
        /// The name of the column.
        column: String,
    },
    /// Writes a setting.
    Setting {
        /// The form.
        form: usize,
        /// Its key.
        key: String,
        /// What is to stand there.
        text: String,
    },
    /// Writes a whole file, as one that cannot be read as tables is mended.
    File {
        /// The file.
        file: usize,
        /// All of it.
        text: String,
    },
}

/// A column of a table, by its place or by its name.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Heading {
    /// By its index among [`super::Table::columns`].
    At(usize),
    /// By its name in the schema, or its heading in the file.
    Named(String),
}

impl From<&str> for Heading {
    fn from(name: &str) -> Heading {
        Heading::Named(name.to_owned())
    }
}

/// A file with another text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewText {
    /// The file.
    pub path: PathBuf,
    /// Its text before; `None` where there was no file.
    pub before: Option<String>,
    /// Its text now; `None` where there is to be no file.
    pub after: Option<String>,
}

/// What comes of an edit: only files of which a byte changes, none where nothing does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// What was changed, for whoever may want it back, such as `art-width of Net mender`.
    pub says: String,
    /// The files.
    pub texts: Vec<NewText>,
    /// Headings of what was pasted that the table cannot have; what stood below them was left out.
    pub left_out: Vec<String>,
}

/// Why an edit is not made. Nothing has changed then.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// The files are others than those it was made on.
    Older {
        /// The version that it was made on.
        made_on: Version,
        /// That of the files as they are.
        now: Version,
        /// What now stands in the cell or setting that it was to change, if it is there.
        stands: Option<String>,
    },
    /// There is no such table, row, column, form or file on the desk.
    NotThere,
    /// The file of the table cannot be read, or is not TOML.
    NotReadable(PathBuf),
    /// The file of the table is a workbook, or in another encoding than UTF-8.
    NotOurs(PathBuf),
    /// The table has no such column, and may not have it.
    UnknownColumn(String),
    /// The form has no such key, and may not have it.
    UnknownKey(String),
    /// What is pasted has more columns than the table has from the chosen one on.
    TooWide {
        /// Columns that are pasted.
        pasted: usize,
        /// Columns for which there is room.
        room: usize,
    },
    /// What is pasted has no row.
    NothingToPaste,
    /// The file is written in a way in which this change would touch something else.
    Tangled(PathBuf),
    /// The file would be larger than what is read.
    TooLarge(PathBuf),
}

impl fmt::Display for Refusal {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refusal::Older { stands: None, .. } => out
                .write_str("the files have changed meanwhile; look at them, and change them again"),
            Refusal::Older {
                stands: Some(stands),
                ..
            } => write!(
                out,
                "the files have changed meanwhile; {} stands here now",
                if stands.is_empty() {
                    "nothing".to_owned()
                } else {
                    quoted(stands)
                }
            ),
            Refusal::NotThere => out.write_str("what was to be changed is not there"),
            Refusal::NotReadable(path) => {
                write!(out, "file {} cannot be read", quoted_path(path))
            }
            Refusal::NotOurs(path) => write!(
                out,
                "{} is read and not written, as it is a workbook or not UTF-8; change it where it was made, or save it as `CSV UTF-8` and name that",
                quoted_path(path)
            ),
            Refusal::UnknownColumn(name) => {
                write!(out, "the table has no column {}", quoted(name))
            }
            Refusal::UnknownKey(name) => write!(out, "there is no setting {}", quoted(name)),
            Refusal::TooWide { pasted, room } => write!(
                out,
                "{pasted} columns are pasted where there is room for {room}; begin further left, or paste the headings too"
            ),
            Refusal::NothingToPaste => out.write_str("there is nothing to paste"),
            Refusal::Tangled(path) => write!(
                out,
                "file {} is written in a way in which only a hand can change this",
                quoted_path(path)
            ),
            Refusal::TooLarge(path) => {
                write!(out, "file {} would become too large", quoted_path(path))
            }
        }
    }
}

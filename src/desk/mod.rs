//! The desk: the files of a job as tables and forms to type into, and what is typed as changed texts of these files.
//!
//! [`Desk::open`] takes the job file, the file of its shop and the tables that they name, through [`Files`]; it gives each
//! table as columns and rows of texts as the user wrote them, each setting as a field, each fault of the reader at its
//! field ([`Spot`]), and the sizes of every frame that can be sized. [`Desk::change`] takes an [`Edit`] and gives the
//! texts that change ([`Change`]), each with what it was before; a file that is not concerned is not in it, and in one that is
//! all other bytes stay as they are: remarks, order, separators, quotes, line ends. [`begin`] writes the first files of a job
//! from a few answers.
//!
//! Nothing here touches files, clock or threads: whoever holds the desk writes the texts and opens it anew.
//!
//! The way through: `reading` opens, `keys` and `records` know where everything lies in a job file and in a table, `spots`
//! finds the field of a fault, `sizing` sizes; `edit` says what may be asked, `changing` does it by `blocks` (job file) and
//! `sheets` (tables), all in `splice`s of the text; `clipboard` reads what spreadsheets copy.

mod begin;
mod blocks;
mod changing;
mod clipboard;
mod edit;
mod keys;
mod reading;
mod records;
mod sheets;
mod sizing;
mod splice;
mod spots;
mod values;
mod version;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

pub use begin::{Answers, Begun, Measures, NewBoard, NewMoulding, NewPicture, begin, starter};
pub use edit::{Change, Edit, Heading, NewText, Refusal};
pub(crate) use records::Records;
pub use sizing::{RowSizes, Sizes};
pub use spots::{Fault, Spot};
pub use version::Version;

use crate::load::schema::{Column, Schema};
use keys::Layout;

#[cfg(doc)]
use crate::load::Files;

/// The files of a job, opened to be worked on.
#[derive(Clone, Debug)]
pub struct Desk {
    /// Which texts these are: another as soon as one byte of one file is another.
    pub version: Version,
    /// The job file first, then that of its shop, if it names one, then tables in the order in which they are named.
    pub files: Vec<DeskFile>,
    /// The keys above the first table, and every table that stands once, of the job and then of its shop; also those that
    /// the file does not have yet.
    pub forms: Vec<Form>,
    /// Every list, of the job and then of its shop, and the tables that ways of buying name; also lists of which there is
    /// nothing yet.
    pub tables: Vec<Table>,
    /// What is wrong or odd, by file and line.
    pub faults: Vec<Fault>,
    /// The frames that can be sized.
    pub sizes: Option<Sizes>,
    /// Of each file that is TOML, where everything lies in it.
    layouts: Vec<Option<Layout>>,
}

/// A file of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DeskFile {
    /// Its path as the reader asks for it.
    pub path: PathBuf,
    /// What it is for.
    pub role: Role,
    /// What is in it.
    pub content: Content,
}

/// What a file is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// The job file.
    Job,
    /// The file of its shop.
    Shop,
    /// A table that the job names, or with `of_shop` its shop.
    Table {
        /// Whether the shop names it.
        of_shop: bool,
    },
}

/// What is in a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Content {
    /// A text, with the mark that some programs put in front.
    Text(String),
    /// The text of a table in a workbook, or in another encoding than UTF-8: it is read and not changed, as the file would become
    /// another one by that.
    Converted(String),
    /// There is no such file.
    Missing,
    /// It cannot be read, or is no text; a fault says why.
    Unreadable,
}

impl DeskFile {
    /// Its text without a mark in front; `None` where there is none.
    fn body(&self) -> Option<&str> {
        match &self.content {
            Content::Text(text) | Content::Converted(text) => {
                Some(text.strip_prefix(MARK).unwrap_or(text))
            }
            Content::Missing | Content::Unreadable => None,
        }
    }

    /// Its whole text with another body.
    fn with_body(&self, body: String) -> String {
        match &self.content {
            Content::Text(text) if text.starts_with(MARK) => format!("{MARK}{body}"),
            _ => body,
        }
    }
}

/// What spreadsheets put in front of a text in UTF-8.
const MARK: char = '\u{feff}';

/// Settings: the keys above the first table, or a table that stands once, such as `[saw]`.
#[derive(Clone, Debug)]
pub struct Form {
    /// What it may hold.
    pub schema: &'static Schema,
    /// Its file, as an index into [`Desk::files`].
    pub file: usize,
    /// All that it may hold, in the order of its schema, then paths of tables, then keys that nobody knows.
    pub fields: Vec<FormField>,
}

/// One setting.
#[derive(Clone, Debug)]
pub struct FormField {
    /// Its key.
    pub key: String,
    /// What is known of it; `None` of the path of a table, and of an unknown key.
    pub column: Option<&'static Column>,
    /// Whether it names the file of a table, or several.
    pub is_path: bool,
    /// As the user wrote it, without quotes; empty where it is left out.
    pub text: String,
}

/// A table: a CSV file, or rows in the job file or in that of its shop.
#[derive(Clone, Debug)]
pub struct Table {
    /// What it may hold.
    pub schema: &'static Schema,
    /// The file in which its rows stand, as an index into [`Desk::files`].
    pub file: usize,
    /// Whether the file holds this table and nothing else.
    pub is_own_file: bool,
    /// Its columns, in their order in the file; of rows in a job file, those that any row has, and those that each must have.
    pub columns: Vec<TableColumn>,
    /// Its rows: a text for each column, as the user wrote it, without quotes and blanks round it.
    /// A row of a CSV file may have more texts than there are columns; a fault says so then.
    pub rows: Vec<Vec<String>>,
    /// Which rows are passed over, as they are sums, or the headings once more.
    pub unread: BTreeSet<usize>,
}

/// A column of a table.
#[derive(Clone, Debug)]
pub struct TableColumn {
    /// As the file has it.
    pub heading: String,
    /// What is known of it; `None` of an unknown one, and of one that was there before.
    pub column: Option<&'static Column>,
}

impl Table {
    /// The column of the schema of this name, if the table has it.
    pub fn column(&self, name: &str) -> Option<usize> {
        let is_it = |column: &TableColumn| column.column.is_some_and(|known| known.name == name);
        self.columns.iter().position(is_it)
    }

    /// The columns that the table lacks and could have.
    pub fn lacking(&self) -> impl Iterator<Item = &'static Column> {
        let all = self.schema.columns.iter();
        all.filter(|column| self.column(column.name).is_none())
    }

    /// What the row is called: the text in the column that names it, which is the first of the schema.
    pub fn row_name(&self, row: usize) -> Option<&str> {
        let column = self.column(self.schema.columns.first()?.name)?;
        let name = self.rows.get(row)?.get(column)?;
        (!name.is_empty()).then_some(name)
    }
}

impl Desk {
    /// The job file.
    pub fn job_path(&self) -> &Path {
        &self.files[0].path
    }

    /// The first table of this schema, as the job's own stand before those of its shop.
    pub fn table_of(&self, schema: &str) -> Option<usize> {
        let mut tables = self.tables.iter();
        tables.position(|table| table.schema.name == schema)
    }

    /// The faults that belong to no field, row or table of the desk.
    pub fn faults_apart(&self) -> impl Iterator<Item = &Fault> {
        let is_apart = |fault: &&Fault| matches!(fault.spot, Spot::Apart | Spot::File(_));
        self.faults.iter().filter(is_apart)
    }
}

//! Faults of the reader, each at the field of the desk where it stands.

use std::path::Path;

use super::keys::{Block, Home, Layout};
use super::records::Records;
use super::{Content, Desk};
use crate::diag::{Diagnostic, Place};

/// A fault and where it stands on the desk.
#[derive(Clone, Debug)]
pub struct Fault {
    /// The fault in the words of the command line.
    pub diagnostic: Diagnostic,
    /// Its field, or what there is nearest to one.
    pub spot: Spot,
}

/// A place on a desk, by the indices of [`Desk`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spot {
    /// The job as a whole, or a file that is not on the desk.
    Apart,
    /// A file as a whole, or a place in it that is no field.
    File(usize),
    /// A form as a whole.
    Form(usize),
    /// A field of a form.
    Setting {
        /// The form.
        form: usize,
        /// Its field.
        field: usize,
    },
    /// The headings of a table.
    Headings(usize),
    /// One heading.
    Column {
        /// The table.
        table: usize,
        /// Its column.
        column: usize,
    },
    /// A row.
    Row {
        /// The table.
        table: usize,
        /// Its row.
        row: usize,
    },
    /// A cell.
    Cell {
        /// The table.
        table: usize,
        /// Its row.
        row: usize,
        /// Its column.
        column: usize,
    },
}

impl Spot {
    /// The row that it is or lies in.
    pub fn row(self) -> Option<(usize, usize)> {
        match self {
            Spot::Row { table, row } | Spot::Cell { table, row, .. } => Some((table, row)),
            _ => None,
        }
    }
}

/// A fault at its place on the desk.
pub(super) fn located(desk: &Desk, diagnostic: Diagnostic) -> Fault {
    let spot = match &diagnostic.place {
        Place::Argument { .. } => Spot::Apart,
        // What no file can be blamed for stands at the job file.
        Place::File(path) if path == desk.job_path() && is_readable(desk) => Spot::Apart,
        Place::File(path) => whole(desk, path),
        Place::Text {
            path, line, column, ..
        } => in_keys(desk, path, *line, *column),
        Place::Row { path, line, .. } => in_table(desk, path, *line, None),
        Place::Field {
            path,
            line,
            field_idx,
            ..
        } => in_table(desk, path, *line, Some(*field_idx)),
    };
    Fault { diagnostic, spot }
}

fn is_readable(desk: &Desk) -> bool {
    desk.layout(0).is_some()
}

fn whole(desk: &Desk, path: &Path) -> Spot {
    let file = desk.files.iter().position(|file| file.path == path);
    file.map_or(Spot::Apart, Spot::File)
}

/// A place in a table, by its line and the index of its field.
fn in_table(desk: &Desk, path: &Path, line: u64, field_idx: Option<usize>) -> Spot {
    let Some(file) = desk.files.iter().position(|file| file.path == path) else {
        return Spot::Apart;
    };
    let is_it = |table: &super::Table| table.is_own_file && table.file == file;
    let Some(table) = desk.tables.iter().position(is_it) else {
        return Spot::File(file);
    };
    let schema = desk.tables[table].schema;
    let records = Records::of(desk.files[file].body().unwrap_or_default(), schema);
    let column = field_idx.filter(|idx| *idx < desk.tables[table].columns.len());
    if records
        .header
        .as_ref()
        .is_some_and(|header| header.line == line)
    {
        return match column {
            Some(column) => Spot::Column { table, column },
            None => Spot::Headings(table),
        };
    }
    let row = records.rows.iter().position(|row| row.line == line);
    match (row, column) {
        (Some(row), Some(column)) => Spot::Cell { table, row, column },
        (Some(row), None) => Spot::Row { table, row },
        (None, _) => Spot::Headings(table),
    }
}

/// A place in a job file or in that of its shop, by line and column.
fn in_keys(desk: &Desk, path: &Path, line: usize, column: usize) -> Spot {
    let Some(file) = desk.files.iter().position(|file| file.path == path) else {
        return Spot::Apart;
    };
    let found = match (&desk.files[file].content, desk.layout(file)) {
        (Content::Text(_), Some(layout)) => {
            let body = desk.files[file].body().unwrap_or_default();
            byte_of(body, line, column).and_then(|byte| in_layout(desk, file, layout, byte))
        }
        _ => None,
    };
    found.unwrap_or(Spot::File(file))
}

fn byte_of(body: &str, line: usize, column: usize) -> Option<usize> {
    let start = match line.checked_sub(2) {
        None => 0,
        Some(before) => body.match_indices('\n').nth(before)?.0 + 1,
    };
    let mut symbols = body[start..].char_indices();
    let at = symbols.nth(column.checked_sub(1)?);
    Some(at.map_or(body.len(), |(at, _)| start + at))
}

fn in_layout(desk: &Desk, file: usize, layout: &Layout, byte: usize) -> Option<Spot> {
    let form_of = |name: &str| {
        let mut forms = desk.forms.iter();
        forms.position(|form| form.file == file && form.schema.name == name)
    };
    let setting = |form: usize, block: &Block| {
        let key = key_at(block, byte)?;
        let mut fields = desk.forms[form].fields.iter();
        let field = fields.position(|field| field.key == key)?;
        Some(Spot::Setting { form, field })
    };
    for (name, list) in &layout.lists {
        let is_it = |table: &super::Table| {
            !table.is_own_file && table.file == file && table.schema.name == name
        };
        let Some(table) = desk.tables.iter().position(is_it) else {
            continue;
        };
        for (row, block) in list.rows.iter().enumerate() {
            let mut columns = desk.tables[table].columns.iter();
            let column = key_at(block, byte)
                .and_then(|key| columns.position(|column| column.heading == key));
            if let Some(column) = column {
                return Some(Spot::Cell { table, row, column });
            }
            if is_head_of(block, byte) {
                return Some(Spot::Row { table, row });
            }
        }
    }
    for (name, block) in &layout.tables {
        let Some(form) = form_of(name) else {
            continue;
        };
        if let Some(spot) = setting(form, block) {
            return Some(spot);
        }
        if is_head_of(block, byte) {
            return Some(Spot::Form(form));
        }
    }
    setting(form_of("")?, &layout.head)
}

/// The key at or in whose value a byte stands.
fn key_at(block: &Block, byte: usize) -> Option<&str> {
    let mut entries = block.entries.iter();
    let entry =
        entries.find(|entry| entry.key_at.contains(&byte) || entry.value_at.contains(&byte))?;
    Some(&entry.key)
}

fn is_head_of(block: &Block, byte: usize) -> bool {
    match &block.home {
        Home::Header(at) | Home::Braces(at) => at.contains(&byte),
        Home::Top | Home::Dotted => false,
    }
}

//! Files opened: what they hold as forms and tables.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use super::keys::{Block, Layout, List};
use super::records::Records;
use super::sizing::Sizes;
use super::spots::located;
use super::values::{Written, ends_as_a_table};
use super::version::Version;
use super::{Content, Desk, DeskFile, Form, FormField, Role, Table, TableColumn};
use crate::load::schema::{BOARDS, HEAD, JOB, Kind, Need, Schema, Shape};
use crate::load::{
    Boards, FileFault, Files, is_of_jobs, is_of_workbook, load_job, shop_path, table_text,
};

impl Desk {
    /// Opens a job file with all that it names.
    ///
    /// Whatever is wrong with the files, there is a desk; the faults say what.
    pub fn open(path: &Path, files: &dyn Files) -> Desk {
        let mut reading = Reading {
            from: files,
            files: Vec::new(),
            layouts: Vec::new(),
            forms: Vec::new(),
            tables: Vec::new(),
        };
        reading.add_file(path, Role::Job, files.read(path));
        if let Some(shop) = reading.shop() {
            let folder = shop.parent().unwrap_or(Path::new("")).to_owned();
            let bytes = files.read_of_shop(&shop, &folder);
            reading.add_file(&shop, Role::Shop, bytes);
        }
        for file in 0..reading.files.len() {
            reading.read_layout(file);
        }
        let Reading {
            files: held,
            layouts,
            forms,
            tables,
            ..
        } = reading;
        let mut desk = Desk {
            version: Version::of(&held),
            files: held,
            forms,
            tables,
            faults: Vec::new(),
            sizes: None,
            layouts,
        };
        let held = Held {
            files: &desk.files,
            under: files,
        };
        let found = match load_job(path, &held, Boards::Needed) {
            Ok((_, warnings)) => warnings,
            Err(faults) => faults,
        };
        let faults = found.into_iter().map(|fault| located(&desk, fault));
        desk.faults = faults.collect();
        desk.sizes = Sizes::of(&desk, files);
        desk
    }

    /// Where everything lies in a file.
    pub(super) fn layout(&self, file: usize) -> Option<&Layout> {
        self.layouts.get(file)?.as_ref()
    }
}

/// The files of a desk as the reader asks for them: as they were when it was opened.
pub(super) struct Held<'a> {
    pub(super) files: &'a [DeskFile],
    pub(super) under: &'a dyn Files,
}

impl Held<'_> {
    fn text(&self, path: &Path) -> Option<Vec<u8>> {
        let file = self.files.iter().find(|file| file.path == path)?;
        match &file.content {
            Content::Text(text) => Some(text.clone().into_bytes()),
            // What is converted is read anew, so that it is said of what.
            Content::Converted(_) | Content::Missing | Content::Unreadable => None,
        }
    }
}

impl Files for Held<'_> {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        self.text(path).map_or_else(|| self.under.read(path), Ok)
    }

    fn read_of_shop(&self, path: &Path, folder: &Path) -> Result<Vec<u8>, FileFault> {
        let held = self.text(path);
        held.map_or_else(|| self.under.read_of_shop(path, folder), Ok)
    }
}

/// A desk on the way.
struct Reading<'a> {
    from: &'a dyn Files,
    files: Vec<DeskFile>,
    layouts: Vec<Option<Layout>>,
    forms: Vec<Form>,
    tables: Vec<Table>,
}

impl Reading<'_> {
    fn add_file(&mut self, path: &Path, role: Role, bytes: Result<Vec<u8>, FileFault>) -> usize {
        let content = match bytes {
            Ok(bytes) => match String::from_utf8(bytes) {
                // The text of a sheet, where it is all that is left of its workbook.
                Ok(text) if is_of_workbook(path) => Content::Converted(text),
                Ok(text) if !text.contains('\0') => Content::Text(text),
                Ok(text) => converted(path, role, text.as_bytes()),
                Err(fault) => converted(path, role, fault.as_bytes()),
            },
            Err(FileFault::Missing) => Content::Missing,
            Err(_) => Content::Unreadable,
        };
        let file = DeskFile {
            path: path.to_owned(),
            role,
            content,
        };
        let layout = match role {
            Role::Job | Role::Shop => file.body().and_then(Layout::of),
            Role::Table { .. } => None,
        };
        self.files.push(file);
        self.layouts.push(layout);
        self.files.len() - 1
    }

    /// The path of the shop's file, if the job names one where it may lie.
    fn shop(&self) -> Option<PathBuf> {
        let entry = self.layouts[0].as_ref()?.head.entry("shop-file")?;
        let Written::Text(text) = &entry.value else {
            return None;
        };
        let folder = self.files[0].path.parent().unwrap_or(Path::new(""));
        shop_path(folder, text)
    }

    /// The forms and tables of a job file or of that of its shop.
    fn read_layout(&mut self, file: usize) {
        let Some(layout) = self.layouts[file].clone() else {
            return;
        };
        let of_shop = self.files[file].role == Role::Shop;
        for schema in JOB {
            if of_shop && is_of_jobs(schema.name) {
                continue;
            }
            match schema.shape {
                Shape::Head => {
                    let form = head_form(file, of_shop, &layout);
                    self.forms.push(form);
                }
                Shape::Once => self
                    .forms
                    .push(form(file, schema, layout.table(schema.name))),
                Shape::List | Shape::ListOrFiles => self.read_list(file, schema, &layout),
                Shape::Apart => {}
            }
        }
    }

    fn read_list(&mut self, file: usize, schema: &'static Schema, layout: &Layout) {
        if let Some(entry) = layout.head.entry(schema.name) {
            if schema.shape == Shape::ListOrFiles {
                for path in entry.value.texts() {
                    self.read_table(file, path, schema);
                }
            }
            return;
        }
        let list = layout.list(schema.name);
        self.tables.push(inline_table(file, schema, list));
        for row in list.iter().flat_map(|list| &list.rows) {
            let boards = schema
                .columns
                .iter()
                .find(|column| column.kind == Kind::Boards);
            let entry = boards.and_then(|column| row.entry(column.name));
            let paths = entry.map(|entry| match &entry.value {
                Written::Text(path) => vec![path.as_str()],
                value => {
                    let texts = value.texts();
                    let names_tables = texts.iter().any(|text| ends_as_a_table(text));
                    if names_tables { texts } else { Vec::new() }
                }
            });
            for path in paths.unwrap_or_default() {
                self.read_table(file, path, &BOARDS);
            }
        }
    }

    /// A table in a file of its own; one that is named twice is there once.
    fn read_table(&mut self, named_in: usize, path: &str, schema: &'static Schema) {
        let folder = self.files[named_in].path.parent().unwrap_or(Path::new(""));
        let folder = folder.to_owned();
        let path = folder.join(path.trim());
        let of_shop = self.files[named_in].role == Role::Shop;
        let known = self.files.iter().position(|file| file.path == path);
        let file = known.unwrap_or_else(|| {
            let bytes = if of_shop {
                self.from.read_of_shop(&path, &folder)
            } else {
                self.from.read(&path)
            };
            self.add_file(&path, Role::Table { of_shop }, bytes)
        });
        let is_there = |table: &Table| {
            table.is_own_file && table.file == file && table.schema.name == schema.name
        };
        let is_table = matches!(self.files[file].role, Role::Table { .. });
        if is_table && !self.tables.iter().any(is_there) {
            self.tables
                .push(own_table(file, schema, self.files[file].body()));
        }
    }
}

/// What is in a file that is no UTF-8: a table may be of an older program, or in a workbook.
fn converted(path: &Path, role: Role, bytes: &[u8]) -> Content {
    match role {
        Role::Table { .. } => {
            table_text(path, bytes).map_or(Content::Unreadable, Content::Converted)
        }
        Role::Job | Role::Shop => Content::Unreadable,
    }
}

/// The keys above the first table.
fn head_form(file: usize, of_shop: bool, layout: &Layout) -> Form {
    let mut form = form(file, &HEAD, Some(&layout.head));
    form.fields.retain(|field| {
        let is_known = field.column.is_some();
        !(is_known && of_shop && is_of_jobs(&field.key) && field.text.is_empty())
    });
    let is_path = |key: &str| {
        let mut schemas = JOB.iter();
        schemas.any(|schema| schema.name == key && schema.shape == Shape::ListOrFiles)
    };
    for field in &mut form.fields {
        field.is_path = field.column.is_none() && is_path(&field.key);
    }
    // Paths stand before keys that nobody knows.
    let rank = |field: &FormField| match (field.column, field.is_path) {
        (Some(_), _) => 0,
        (None, true) => 1,
        (None, false) => 2,
    };
    form.fields.sort_by_key(rank);
    form
}

fn form(file: usize, schema: &'static Schema, block: Option<&Block>) -> Form {
    let known = schema.columns.iter().map(|column| FormField {
        key: column.name.to_owned(),
        column: Some(column),
        is_path: false,
        text: block
            .and_then(|block| block.entry(column.name))
            .map(|entry| entry.value.cell())
            .unwrap_or_default(),
    });
    let entries = block.iter().flat_map(|block| &block.entries);
    let others = entries.filter(|entry| schema.column(&entry.key).is_none());
    let others = others.map(|entry| FormField {
        key: entry.key.clone(),
        column: None,
        is_path: false,
        text: entry.value.cell(),
    });
    Form {
        schema,
        file,
        fields: known.chain(others).collect(),
    }
}

fn inline_table(file: usize, schema: &'static Schema, list: Option<&List>) -> Table {
    let rows = list.map(|list| list.rows.as_slice()).unwrap_or_default();
    let is_used = |name: &str| rows.iter().any(|row| row.entry(name).is_some());
    let known = schema.columns.iter().filter(|column| {
        matches!(column.need, Need::Always | Need::InJobFile) || is_used(column.name)
    });
    let mut columns: Vec<TableColumn> = known
        .map(|column| TableColumn {
            heading: column.name.to_owned(),
            column: Some(column),
        })
        .collect();
    for entry in rows.iter().flat_map(|row| &row.entries) {
        if columns.iter().all(|column| column.heading != entry.key) {
            columns.push(TableColumn {
                heading: entry.key.clone(),
                column: None,
            });
        }
    }
    let cells = |row: &Block| {
        let cell = |column: &TableColumn| {
            let entry = row.entry(&column.heading);
            entry.map(|entry| entry.value.cell()).unwrap_or_default()
        };
        columns.iter().map(cell).collect()
    };
    Table {
        schema,
        file,
        is_own_file: false,
        rows: rows.iter().map(cells).collect(),
        unread: BTreeSet::new(),
        columns,
    }
}

fn own_table(file: usize, schema: &'static Schema, body: Option<&str>) -> Table {
    let records = Records::of(body.unwrap_or_default(), schema);
    let columns = records.headings().into_iter().zip(records.columns());
    let columns = columns
        .map(|(heading, column)| TableColumn { heading, column })
        .collect();
    Table {
        schema,
        file,
        is_own_file: true,
        columns,
        rows: records.rows.iter().map(|row| records.cells(row)).collect(),
        unread: records.unread(),
    }
}

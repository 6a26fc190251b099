//! The bytes of a job file, or of that of its shop: where each key and its value lie, and each table and row.
//!
//! `toml_edit` tells the places. Its tree is not printed back: that would end all lines alike, and draw keys together
//! that the file has in several places. The value or line in question is written over, and all else keeps its bytes.

use std::ops::Range;

use toml_edit::{Array, Document, InlineTable, Item, Key, Table, Value};

use super::values::Written;
use crate::load::schema::{JOB, Shape};

/// A key with its value.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub(super) key: String,
    pub(super) key_at: Range<usize>,
    /// Of a table under this key, where it begins and where the last of its values ends.
    pub(super) value_at: Range<usize>,
    pub(super) value: Written,
}

/// How a table is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Home {
    /// Above the first table of the file.
    Top,
    /// Under a line of its own, such as `[saw]` or `[[frames]]`.
    Header(Range<usize>),
    /// Between braces.
    Braces(Range<usize>),
    /// By keys such as `saw.kerf`.
    Dotted,
}

/// A table that stands once, or a row of a list.
#[derive(Clone, Debug)]
pub(super) struct Block {
    pub(super) home: Home,
    pub(super) entries: Vec<Entry>,
}

/// A list of tables.
#[derive(Clone, Debug, Default)]
pub(super) struct List {
    pub(super) rows: Vec<Block>,
    /// The brackets round them, where they stand in one value.
    pub(super) brackets: Option<Range<usize>>,
}

/// A file as it lies in its text.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    pub(super) head: Block,
    pub(super) tables: Vec<(String, Block)>,
    pub(super) lists: Vec<(String, List)>,
    /// Where the line of the first table's header begins; the end of the text where there is none.
    pub(super) top_end: usize,
    /// Where each header stands.
    pub(super) headers: Vec<Range<usize>>,
}

impl Block {
    /// The entry of this key.
    pub(super) fn entry(&self, key: &str) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.key == key)
    }

    /// From its header to the end of its last value.
    pub(super) fn extent(&self) -> Option<Range<usize>> {
        match &self.home {
            Home::Braces(at) => Some(at.clone()),
            Home::Top | Home::Header(_) | Home::Dotted => {
                let entries = self.entries.iter();
                let entries = entries.map(|entry| entry.key_at.start..entry.value_at.end);
                let header = match &self.home {
                    Home::Header(at) => Some(at.clone()),
                    _ => None,
                };
                let all = header.into_iter().chain(entries);
                all.reduce(|one, other| one.start.min(other.start)..one.end.max(other.end))
            }
        }
    }
}

impl Layout {
    /// Where everything lies in a text; `None` if it is not TOML.
    pub(super) fn of(text: &str) -> Option<Layout> {
        let document = Document::parse(text).ok()?;
        let mut headers = Vec::new();
        note_headers(document.as_table(), &mut headers);
        headers.sort_by_key(|at| at.start);
        let top_end = headers.first().map_or(text.len(), |first| {
            super::splice::line_start(text, first.start)
        });
        let mut layout = Layout {
            head: Block {
                home: Home::Top,
                entries: Vec::new(),
            },
            tables: Vec::new(),
            lists: Vec::new(),
            top_end,
            headers,
        };
        for (key, item) in pairs(document.as_table()) {
            layout.add(text, key, item);
        }
        Some(layout)
    }

    fn add(&mut self, text: &str, key: &Key, item: &Item) {
        let name = key.get().to_owned();
        let shape = JOB.iter().find(|schema| schema.name == name);
        let shape = shape.map(|schema| schema.shape);
        let is_list = matches!(shape, Some(Shape::List | Shape::ListOrFiles));
        match item {
            Item::ArrayOfTables(rows) if is_list => {
                let rows = rows.iter().map(|row| block(text, row)).collect();
                let brackets = None;
                self.lists.push((name, List { rows, brackets }));
            }
            Item::Value(Value::Array(array)) if is_list && is_of_tables(array) => {
                let rows = array.iter().filter_map(Value::as_inline_table);
                let rows = rows.map(|row| braces(text, row)).collect();
                let brackets = array.span();
                self.lists.push((name, List { rows, brackets }));
            }
            Item::Table(table) if shape == Some(Shape::Once) => {
                self.tables.push((name, block(text, table)));
            }
            Item::Value(Value::InlineTable(table)) if shape == Some(Shape::Once) => {
                self.tables.push((name, braces(text, table)));
            }
            _ => self.head.entries.extend(entry(text, key, item)),
        }
    }

    /// The table of this name.
    pub(super) fn table(&self, name: &str) -> Option<&Block> {
        let mut tables = self.tables.iter();
        tables.find(|(own, _)| own == name).map(|(_, block)| block)
    }

    /// The list of this name.
    pub(super) fn list(&self, name: &str) -> Option<&List> {
        let mut lists = self.lists.iter();
        lists.find(|(own, _)| own == name).map(|(_, list)| list)
    }
}

/// The keys of a table with their items.
fn pairs(table: &Table) -> impl Iterator<Item = (&Key, &Item)> {
    table.iter().filter_map(|(key, _)| table.get_key_value(key))
}

/// The headers of all tables below one.
fn note_headers(table: &Table, headers: &mut Vec<Range<usize>>) {
    for (_, item) in table {
        let below: Vec<&Table> = match item {
            Item::Table(table) => vec![table],
            Item::ArrayOfTables(rows) => rows.iter().collect(),
            Item::None | Item::Value(_) => Vec::new(),
        };
        for table in below {
            if !table.is_implicit() && !table.is_dotted() {
                headers.extend(table.span());
            }
            note_headers(table, headers);
        }
    }
}

fn is_of_tables(array: &Array) -> bool {
    array.iter().all(Value::is_inline_table)
}

fn block(text: &str, table: &Table) -> Block {
    let home = match table.span() {
        Some(at) if !table.is_dotted() && !table.is_implicit() => Home::Header(at),
        _ => Home::Dotted,
    };
    let entries = pairs(table).filter_map(|(key, item)| entry(text, key, item));
    Block {
        home,
        entries: entries.collect(),
    }
}

fn braces(text: &str, table: &InlineTable) -> Block {
    let entries = table.iter().filter_map(|(key, value)| {
        let (key, _) = table.get_key_value(key)?;
        Some(Entry {
            key: key.get().to_owned(),
            key_at: key.span()?,
            value_at: value.span()?,
            value: Written::of(text, value),
        })
    });
    Block {
        home: Home::Braces(table.span().unwrap_or_default()),
        entries: entries.collect(),
    }
}

fn entry(text: &str, key: &Key, item: &Item) -> Option<Entry> {
    let key_at = key.span()?;
    let (value_at, value) = match item {
        Item::None => return None,
        Item::Value(value) => (value.span()?, Written::of(text, value)),
        Item::Table(_) | Item::ArrayOfTables(_) => {
            let mut extent = key_at.clone();
            reach(item, &mut extent);
            (extent, Written::Nested)
        }
    };
    Some(Entry {
        key: key.get().to_owned(),
        key_at,
        value_at,
        value,
    })
}

/// Stretches an extent over all values of an item.
fn reach(item: &Item, extent: &mut Range<usize>) {
    if let (Item::Value(_) | Item::Table(_), Some(at)) = (item, item.span()) {
        *extent = extent.start.min(at.start)..extent.end.max(at.end);
    }
    match item {
        Item::Table(table) => table.iter().for_each(|(_, item)| reach(item, extent)),
        Item::ArrayOfTables(rows) => {
            for row in rows {
                if let Some(at) = row.span() {
                    *extent = extent.start.min(at.start)..extent.end.max(at.end);
                }
                row.iter().for_each(|(_, item)| reach(item, extent));
            }
        }
        Item::None | Item::Value(_) => {}
    }
}

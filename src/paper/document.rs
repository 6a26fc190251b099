//! The document in the middle as HTML: headings, sentences and tables. Boards have a chapter of their own.

use std::collections::BTreeMap;

use askama::Template;

use crate::report::document::{Block, Kind, Lead, Line, PanelSheet, Table, Text, Tone, say};

use super::svg::panel::panel;
use super::words::Words;

/// Blocks as they are shown.
#[derive(Template)]
#[template(path = "document.html", config = "src/paper/askama.toml")]
struct Document {
    /// How deep its headings are.
    level: u32,
    blocks: Vec<Shown>,
}

enum Shown {
    Heading { id: String, words: String },
    Lines(Vec<ShownLine>),
    Table(ShownTable),
    Panel(ShownPanel),
    Break,
}

struct ShownLine {
    is_item: bool,
    tone: &'static str,
    html: String,
}

struct ShownTable {
    /// What it is called where it is read aloud.
    label: String,
    has_heads: bool,
    columns: Vec<ShownColumn>,
    rows: Vec<ShownRow>,
}

/// A sheet of glass or board: its drawing, and its cuts.
struct ShownPanel {
    title: String,
    detail: String,
    /// What the drawing is called where it is read aloud.
    label: String,
    drawing: String,
    cuts: ShownTable,
}

struct ShownColumn {
    class: &'static str,
    head: String,
}

struct ShownRow {
    is_total: bool,
    /// Whether the next row, which has nothing in its first column, or a note is still of what this one begins.
    goes_on: bool,
    cells: Vec<ShownCell>,
    notes: Vec<ShownLine>,
}

struct ShownCell {
    class: String,
    html: String,
}

/// Blocks of a document as HTML, for a page that is no paper: in the same words and tables; boards are left out. The ids of
/// headings begin with `prefix`, and none stands twice.
///
/// # Panics
/// Never: a template that compiles renders into a string.
pub fn blocks_html(words: Words<'_>, shown: &[&Block], prefix: &str) -> String {
    blocks(words, shown, (prefix, 3)).expect("a template that compiles renders into a string")
}

/// Blocks of a document as HTML; the ids of headings begin with `prefix`, and none stands twice; they are as deep as `level`.
pub(super) fn blocks(
    words: Words<'_>,
    blocks: &[&Block],
    (prefix, level): (&str, u32),
) -> askama::Result<String> {
    let mut ids: BTreeMap<&str, u32> = BTreeMap::new();
    let mut shown = Vec::new();
    let mut label = String::new();
    let mut n_tables = 0;
    let mut n_panels = 0;
    for block in blocks {
        shown.push(match block {
            Block::Heading(id, text) => {
                let count = ids.entry(id).or_default();
                *count += 1;
                label = words.plain(text.clone());
                n_tables = 0;
                Shown::Heading {
                    id: match count {
                        1 => format!("{prefix}-{id}"),
                        _ => format!("{prefix}-{id}-{count}"),
                    },
                    words: words.html(text.clone()),
                }
            }
            Block::Lines(lines) => {
                Shown::Lines(lines.iter().map(|line| shown_line(words, line)).collect())
            }
            Block::Table(table) => {
                n_tables += 1;
                let label = match n_tables {
                    1 => label.clone(),
                    _ => format!("{label}, {n_tables}"),
                };
                Shown::Table(shown_table(words, table, &label))
            }
            Block::Break => Shown::Break,
            Block::Title(title, about) => {
                let lines = [Some(title), about.as_ref()].into_iter().flatten();
                let lines = lines.map(|text| Line {
                    lead: Lead::None,
                    tone: Tone::Plain,
                    text: text.clone(),
                });
                Shown::Lines(lines.map(|line| shown_line(words, &line)).collect())
            }
            Block::Panel(sheet) => {
                n_panels += 1;
                Shown::Panel(shown_panel(
                    words,
                    sheet,
                    &format!("{prefix}-panel-{n_panels}"),
                ))
            }
            Block::Board(_) => continue,
        });
    }
    Document {
        level,
        blocks: shown,
    }
    .render()
}

fn shown_panel(words: Words<'_>, sheet: &PanelSheet, id: &str) -> ShownPanel {
    let times = (sheet.count > 1).then(|| say!("{} × ", sheet.count));
    let title = say!("{}: {}{}", sheet.label.clone(), times, sheet.name.clone());
    let label = words.plain(title.clone());
    ShownPanel {
        title: words.html(title),
        detail: words.html(sheet.detail.clone()),
        drawing: panel(sheet, words.display(), id),
        cuts: shown_table(words, &sheet.cuts, &format!("cuts of {label}")),
        label: format!("drawing of {label}"),
    }
}

fn shown_line(words: Words<'_>, line: &Line) -> ShownLine {
    ShownLine {
        is_item: line.lead == Lead::Item,
        tone: tone_class(line.tone),
        html: words.html(line.text.clone()),
    }
}

fn shown_table(words: Words<'_>, table: &Table, label: &str) -> ShownTable {
    // A column that is empty from top to bottom is not shown.
    let is_used = |idx: usize| {
        let mut rows = table.rows.iter();
        rows.any(|row| !row.cells[idx].0.is_empty())
    };
    let used: Vec<usize> = (0..table.columns.len())
        .filter(|&idx| is_used(idx))
        .collect();
    let columns = used.iter().map(|&idx| &table.columns[idx]);
    let columns: Vec<ShownColumn> = columns
        .map(|column| ShownColumn {
            class: kind_class(column.kind),
            head: words.html(column.head.clone()),
        })
        .collect();
    let is_more = |at: usize| {
        let row = table.rows.get(at);
        row.is_some_and(|row| !row.is_total && row.cells[0].0.is_empty())
    };
    let rows = table.rows.iter().enumerate().map(|(at, row)| ShownRow {
        is_total: row.is_total,
        goes_on: is_more(at + 1) || !row.notes.is_empty(),
        cells: used
            .iter()
            .map(|&idx| {
                let column = &table.columns[idx];
                ShownCell {
                    class: format!("{} {}", kind_class(column.kind), tone_class(column.tone)),
                    html: words.html(row.cells[idx].clone()),
                }
            })
            .collect(),
        notes: row
            .notes
            .iter()
            .map(|(tone, text)| note(words, *tone, text))
            .collect(),
    });
    ShownTable {
        label: label.to_owned(),
        has_heads: columns.iter().any(|column| !column.head.is_empty()),
        rows: rows.collect(),
        columns,
    }
}

fn note(words: Words<'_>, tone: Tone, text: &Text) -> ShownLine {
    ShownLine {
        is_item: false,
        tone: tone_class(tone),
        html: words.html(text.clone()),
    }
}

fn kind_class(kind: Kind) -> &'static str {
    match kind {
        Kind::Name => "name",
        Kind::Prose => "prose",
        Kind::Words => "words",
        Kind::Length => "length",
        Kind::Number => "number",
    }
}

pub(super) fn tone_class(tone: Tone) -> &'static str {
    match tone {
        Tone::Plain => "plain",
        Tone::Strong => "strong",
        Tone::Faint => "faint",
        Tone::Good => "good",
        Tone::Watch => "watch",
        Tone::Bad => "bad",
    }
}

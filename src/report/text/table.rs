//! Tables without lines, squeezed to the page.

use crate::report::document::{Column, Kind, Table, Text, Tone};

use super::figures::Figures;
use super::ink::Ink;
use super::layout::{TIED, blanks, pad_left, pad_right, width_of, wrap};

/// A table whose words are set: a head in faint text, then rows.
#[derive(Clone, Debug)]
pub(super) struct SetTable<'a> {
    table: &'a Table,
    heads: Vec<String>,
    rows: Vec<Vec<String>>,
    figures: Figures<'a>,
    /// For each column, the widest whole part and fraction it must have room for.
    room: Vec<(usize, usize)>,
}

/// How far notes are indented under their row.
const NOTE_INDENT: usize = 3;

/// Blanks between two columns.
const GAP: usize = 2;
/// The least width to which a name or prose column is squeezed.
const SQUEEZED: usize = 6;

impl<'a> SetTable<'a> {
    pub(super) fn new(table: &'a Table, figures: Figures<'a>) -> SetTable<'a> {
        let set =
            |texts: &mut dyn Iterator<Item = &Text>| texts.map(|text| figures.set(text)).collect();
        SetTable {
            table,
            heads: set(&mut table.columns.iter().map(|column| &column.head)),
            rows: table
                .rows
                .iter()
                .map(|row| set(&mut row.cells.iter()))
                .collect(),
            figures,
            room: Vec::new(),
        }
    }

    /// Gives tables with the same columns the same widths, prose apart, so that they line up down the page.
    pub(super) fn line_up(tables: &mut [SetTable<'_>]) {
        let n_columns = tables.first().map_or(0, |table| table.heads.len());
        let room: Vec<(usize, usize)> = (0..n_columns)
            .map(|idx| {
                let cells = || {
                    tables
                        .iter()
                        .flat_map(|table| &table.rows)
                        .map(|row| fraction(&row[idx]))
                };
                (
                    cells().map(|(whole, _)| width_of(whole)).max().unwrap_or(0),
                    cells().map(|(_, tail)| width_of(tail)).max().unwrap_or(0),
                )
            })
            .collect();
        for table in tables {
            table.room.clone_from(&room);
        }
    }

    /// The table's lines, each at most `width` columns.
    ///
    /// Where even squeezed it is too wide, as with lengths of kilometers, each row is told as prose.
    pub(super) fn lines(&self, width: usize, indent: usize) -> Vec<String> {
        let alone = || SetTable {
            room: Vec::new(),
            ..self.clone()
        };
        // Rather than within a word, lines are broken where the columns of like tables do not line up.
        self.in_columns(width, indent, Break::AtBlanks)
            .or_else(|| alone().in_columns(width, indent, Break::AtBlanks))
            .or_else(|| self.in_columns(width, indent, Break::Anywhere))
            .unwrap_or_else(|| self.told(width, indent))
    }

    /// Each row as a list of heads and cells.
    fn told(&self, width: usize, indent: usize) -> Vec<String> {
        let mut lines = Vec::new();
        for (row_idx, row) in self.rows.iter().enumerate() {
            let cells: Vec<String> = self
                .heads
                .iter()
                .zip(row)
                .filter(|(_, cell)| !cell.is_empty())
                .map(|(head, cell)| format!("{head} {cell}").trim().to_owned())
                .collect();
            for (line_idx, line) in wrap(&cells.join("; "), width - indent - NOTE_INDENT)
                .iter()
                .enumerate()
            {
                let hang = if line_idx == 0 { 0 } else { NOTE_INDENT };
                lines.push(format!("{}{line}", blanks(indent + hang)));
            }
            lines.extend(self.note_lines(row_idx, width, indent));
        }
        lines
    }

    fn note_lines(&self, row_idx: usize, width: usize, indent: usize) -> Vec<String> {
        let (ink, indent) = (self.figures.ink, indent + NOTE_INDENT);
        let notes = self.table.rows[row_idx].notes.iter();
        notes
            .flat_map(|(tone, text)| {
                wrap(&self.figures.set(text), width - indent)
                    .iter()
                    .map(|line| format!("{}{}", blanks(indent), ink.paint(*tone, line)))
                    .collect::<Vec<_>>()
            })
            .collect()
    }

    /// The table's lines, each at most `width` columns, or `None` where even squeezed it does not fit.
    ///
    /// Columns that are empty from top to bottom are left out.
    fn in_columns(&self, width: usize, indent: usize, breaks: Break) -> Option<Vec<String>> {
        let ink = self.figures.ink;
        let shown: Vec<usize> = (0..self.heads.len())
            .filter(|&idx| match self.room.get(idx) {
                Some(&room) => room != (0, 0),
                None => self.rows.iter().any(|row| !row[idx].is_empty()),
            })
            .collect();
        let columns: Vec<Shown<'_>> = shown.iter().map(|&idx| self.shown(idx)).collect();
        let widths = squeeze(&columns, width.checked_sub(indent)?, breaks)?;

        let mut lines = Vec::new();
        let heads = columns.iter().map(|column| column.head);
        if heads.clone().any(|head| !head.is_empty()) {
            let cells: Vec<Vec<String>> = heads
                .zip(&widths)
                .map(|(head, &width)| wrap(head, width))
                .collect();
            for line_idx in 0..cells.iter().map(Vec::len).max().unwrap_or(0) {
                let cells = cells.iter().zip(&columns).zip(&widths);
                let cells = cells.map(|((cell, column), &width)| {
                    let head = cell.get(line_idx).map_or("", String::as_str);
                    match column.column.kind {
                        Kind::Number | Kind::Length => pad_left(head, width),
                        _ => pad_right(head, width),
                    }
                });
                let line = cells.collect::<Vec<_>>().join(&blanks(GAP));
                lines.push(format!(
                    "{}{}",
                    blanks(indent),
                    ink.paint(Tone::Faint, line.trim_end())
                ));
            }
        }
        for row_idx in 0..self.rows.len() {
            if self.table.rows[row_idx].is_total {
                let rules: Vec<String> = columns
                    .iter()
                    .zip(&widths)
                    .map(|(column, &width)| {
                        if column.cells[row_idx].is_empty() {
                            blanks(width)
                        } else {
                            ink.rule().repeat(width)
                        }
                    })
                    .collect();
                let rule = rules.join(&blanks(GAP));
                lines.push(format!(
                    "{}{}",
                    blanks(indent),
                    ink.paint(Tone::Faint, rule.trim_end())
                ));
            }
            lines.extend(row_lines(&columns, &widths, row_idx, indent, ink));
            lines.extend(self.note_lines(row_idx, width, indent));
        }
        Some(lines)
    }

    /// A column with its cells set above each other.
    fn shown(&self, column_idx: usize) -> Shown<'_> {
        let column = &self.table.columns[column_idx];
        let head = self.heads[column_idx].as_str();
        let mut cells: Vec<String> = self
            .rows
            .iter()
            .map(|row| row[column_idx].clone())
            .collect();
        let (room_whole, room_tail) = match self.room.get(column_idx) {
            Some(&room) if column.kind != Kind::Prose => room,
            _ => (0, 0),
        };
        if column.kind == Kind::Length {
            let tail = cells
                .iter()
                .map(|cell| width_of(fraction(cell).1))
                .max()
                .unwrap_or(0)
                .max(room_tail);
            for cell in &mut cells {
                let (_, own) = fraction(cell);
                let missing = tail - width_of(own);
                if !cell.is_empty() {
                    cell.push_str(&blanks(missing));
                }
            }
        }
        let natural = cells
            .iter()
            .map(|cell| width_of(cell))
            .chain([width_of(head), room_whole + room_tail])
            .max()
            .unwrap_or(0);
        Shown {
            column,
            head,
            cells,
            natural,
        }
    }
}

/// A column ready to be set.
struct Shown<'a> {
    column: &'a Column,
    head: &'a str,
    cells: Vec<String>,
    natural: usize,
}

/// A number's whole part and what follows it: ` 5/8`, `.5`, or nothing.
fn fraction(cell: &str) -> (&str, &str) {
    let at = if cell.ends_with(|last: char| last.is_ascii_digit()) {
        match cell.rfind(' ') {
            Some(at) if cell[at..].contains('/') => at,
            // A fraction alone has no whole part.
            _ if cell.contains('/') => 0,
            _ => cell.find('.').unwrap_or(cell.len()),
        }
    } else {
        cell.len()
    };
    cell.split_at(at)
}

/// Where a name or prose may be broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Break {
    AtBlanks,
    Anywhere,
}

impl Shown<'_> {
    /// The least width to which it is squeezed.
    fn least(&self, breaks: Break) -> usize {
        let is_squeezed = matches!(self.column.kind, Kind::Name | Kind::Prose);
        match breaks {
            _ if !is_squeezed => self.natural,
            Break::Anywhere => SQUEEZED,
            Break::AtBlanks => {
                let texts = self.cells.iter().map(String::as_str).chain([self.head]);
                let words = texts.flat_map(|text| text.split([' ', TIED]));
                words.map(width_of).max().unwrap_or(0).max(SQUEEZED)
            }
        }
    }
}

/// Widths of the columns that together fit `room`, taking from the widest name or prose column first.
fn squeeze(columns: &[Shown<'_>], room: usize, breaks: Break) -> Option<Vec<usize>> {
    let mut widths: Vec<usize> = columns.iter().map(|column| column.natural).collect();
    let least: Vec<usize> = columns.iter().map(|column| column.least(breaks)).collect();
    let gaps = GAP * columns.len().saturating_sub(1);
    loop {
        let total = widths.iter().sum::<usize>() + gaps;
        if total <= room {
            return Some(widths);
        }
        let (idx, &widest) = widths
            .iter()
            .enumerate()
            .filter(|&(idx, &width)| width > least[idx])
            .max_by_key(|&(_, &width)| width)?;
        // Down to the next widest at most, so that the widest are squeezed alike; a column at a time at the end.
        let next = widths
            .iter()
            .enumerate()
            .filter(|&(other, &width)| {
                other != idx
                    && width < widest
                    && matches!(columns[other].column.kind, Kind::Name | Kind::Prose)
            })
            .map(|(_, &width)| width)
            .max()
            .unwrap_or(0)
            .max(least[idx]);
        let step = (total - room).min((widest - next).max(1));
        widths[idx] = widest - step;
    }
}

/// The lines of one row: more than one where a name or prose is broken.
fn row_lines(
    columns: &[Shown<'_>],
    widths: &[usize],
    row_idx: usize,
    indent: usize,
    ink: Ink,
) -> Vec<String> {
    let cells: Vec<Vec<String>> = columns
        .iter()
        .zip(widths)
        .map(|(column, &width)| {
            let text = &column.cells[row_idx];
            match column.column.kind {
                // A name is never cut short: another may begin alike.
                Kind::Prose | Kind::Name => wrap(text, width)
                    .iter()
                    .map(|line| pad_right(line, width))
                    .collect(),
                Kind::Words => vec![pad_right(text, width)],
                Kind::Number | Kind::Length => vec![pad_left(text, width)],
            }
        })
        .collect();
    let height = cells.iter().map(Vec::len).max().unwrap_or(0);
    (0..height)
        .map(|line_idx| {
            let mut line = blanks(indent);
            let mut pending = 0;
            for (cell, (column, &width)) in cells.iter().zip(columns.iter().zip(widths)) {
                let text = cell.get(line_idx).map_or("", String::as_str);
                let start = text.len() - text.trim_start().len();
                let bare = text.trim();
                if bare.is_empty() {
                    pending += width + GAP;
                    continue;
                }
                line.push_str(&blanks(pending + start));
                line.push_str(&ink.paint(column.column.tone, bare));
                pending = width - start - width_of(bare).min(width - start) + GAP;
            }
            line
        })
        .collect()
}

#[cfg(test)]
mod tests;

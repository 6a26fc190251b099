//! Diagnostics drawn for people: the place, the line or the cells as the file has them with the stretch in question
//! marked like a dimension on a drawing, what is wrong, a way out, and the number under which the guide explains it.
//!
//! ```text
//! boards.csv, line 3, column `length`
//!     board    length       price
//!     walnut   eight feet   12.00
//!              |--------|
//! error: `eight feet` is not a length: expected a number, found `eight`
//! hint: write a length such as `14 1/8`, `14.125` or `360 mm`
//! guide: E013
//! ```

use anstyle::{AnsiColor, Style};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use super::safe::{CUT, safe_text};
use super::tied::{TIED, tie_mixed_numbers};
use super::{Cell, Diagnostic, Place, Severity};

/// Columns of a terminal that a drawn diagnostic fills at most; only a long path or a long word runs over.
const WIDTH: usize = 80;

/// How far a line of the file is set in.
const INDENT: usize = 4;

/// Widest stretch of a source line that is shown, with room for a cut on either side.
const WIDEST_SOURCE: usize = WIDTH - INDENT - 2 * CUT.len();

/// Columns kept free left of the marked stretch when a long line is cut.
const LEAD: usize = 24;

/// Blanks between two cells of a table.
const GAP: usize = 3;

/// All diagnostics, one below the other, a blank line between them; colored only if asked.
///
/// The text says the same without color, and our own part of it is plain ASCII.
pub fn render(diagnostics: &[Diagnostic], colored: bool) -> String {
    let drawn: Vec<String> = diagnostics
        .iter()
        .map(|diagnostic| draw(diagnostic, colored))
        .collect();
    drawn.join("\n")
}

/// How many errors, warnings and notes there are, such as `2 errors, 1 warning`; empty if there are none.
pub fn summary(diagnostics: &[Diagnostic]) -> String {
    [Severity::Error, Severity::Warning, Severity::Note]
        .into_iter()
        .filter_map(|severity| {
            let is_such = |diagnostic: &&Diagnostic| diagnostic.severity == severity;
            match diagnostics.iter().filter(is_such).count() {
                0 => None,
                1 => Some(format!("1 {}", severity.word())),
                number => Some(format!("{number} {}s", severity.word())),
            }
        })
        .collect::<Vec<_>>()
        .join(", ")
}

/// One diagnostic, each of its lines ended.
fn draw(diagnostic: &Diagnostic, colored: bool) -> String {
    let paint = |text: &str, style: Style| {
        if colored {
            format!("{style}{text}{style:#}")
        } else {
            text.to_owned()
        }
    };
    let tone = match diagnostic.severity {
        Severity::Error => AnsiColor::Red,
        Severity::Warning => AnsiColor::Yellow,
        Severity::Note => AnsiColor::Cyan,
    };
    let tone = tone.on_default();
    let mut lines = vec![paint(
        &diagnostic.place.to_string(),
        Style::new().underline(),
    )];
    if let Some(picture) = Picture::of(&diagnostic.place) {
        let set_in = |line: &String| format!("{:INDENT$}{line}", "");
        lines.extend(picture.lines.iter().map(set_in));
        if let Some((offset, width)) = picture.mark {
            let mark = paint(&dimension(width), tone);
            lines.push(format!("{:INDENT$}{:offset$}{mark}", "", ""));
        }
    }
    let mut say = |word: &str, text: &str, style: Style| {
        let label = format!("{word}: ");
        let mut label_or_blank = paint(word, style) + ": ";
        for line in wrapped(&safe_text(text), WIDTH - label.len()) {
            lines.push(label_or_blank + &line);
            label_or_blank = " ".repeat(label.len());
        }
    };
    say(diagnostic.severity.word(), &diagnostic.what, tone);
    if let Some(hint) = &diagnostic.hint {
        say("hint", hint, AnsiColor::Green.on_default());
    }
    say("guide", diagnostic.code, Style::new().dimmed());
    lines.push(String::new());
    lines.join("\n")
}

/// A mark of so many columns, as a length is marked on a drawing.
fn dimension(width: usize) -> String {
    match width {
        0 | 1 => "|".to_owned(),
        _ => format!("|{}|", "-".repeat(width - 2)),
    }
}

/// Messages that are no diagnostics, in lines of at most 80 columns: a line that is longer is broken as those of diagnostics are,
/// and what follows is set in below the text behind its label, such as `hint: `. Every line is ended.
pub fn set_messages(text: &str) -> String {
    let mut set = String::new();
    for line in text.lines() {
        let mut label = label_of(line).to_owned();
        if line.width() <= WIDTH {
            set += line;
            set.push('\n');
            continue;
        }
        let width = label.width();
        for part in wrapped(&line[label.len()..], WIDTH - width) {
            set += &format!("{label}{part}\n");
            label = " ".repeat(width);
        }
    }
    set
}

/// What is wider than this is no label.
const WIDEST_LABEL: usize = 20;

/// What stands before the text of a line: a word such as `hint: `, a word and a gap as in `plan   `, or the mark of a list.
fn label_of(line: &str) -> &str {
    let labels = ["error: ", "internal error: ", "hint: ", "note: "];
    if let Some(label) = labels.into_iter().find(|label| line.starts_with(label)) {
        return label;
    }
    let text = line.trim_start_matches([' ', '-']);
    let set_in = line.len() - text.len();
    let word = text.find(' ').filter(|_| set_in == 0).unwrap_or(0);
    let gap = text[word..].len() - text[word..].trim_start().len();
    let label = if gap > 1 {
        &line[..word + gap]
    } else {
        &line[..set_in]
    };
    // A path may have blanks of its own.
    if label.width() > WIDEST_LABEL {
        return "";
    }
    label
}

/// The text in lines of at most `width` columns, broken at blanks outside backticks where it can be; at least one line.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    // A name that has such a blank of its own keeps it.
    let tied = (!text.contains(TIED)).then(|| tie_mixed_numbers(text));
    let text = tied.as_deref().unwrap_or(text);
    let mut add = |word: &str| {
        if !line.is_empty() && line.width() + 1 + word.width() > width {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    };
    let mut start = 0;
    let mut is_quoted = false;
    for (at, symbol) in text.char_indices() {
        match symbol {
            '`' => is_quoted = !is_quoted,
            ' ' if !is_quoted => {
                add(&text[start..at]);
                start = at + 1;
            }
            _ => {}
        }
    }
    add(&text[start..]);
    lines.push(line);
    if tied.is_some() {
        for line in &mut lines {
            *line = line.replace(TIED, " ");
        }
    }
    lines
}

/// What the file has at a place, fit to be shown, and the marked stretch of its last line.
struct Picture {
    lines: Vec<String>,
    /// Offset and width in columns of the terminal.
    mark: Option<(usize, usize)>,
}

impl Picture {
    /// The picture of a place; a file as a whole has none.
    fn of(place: &Place) -> Option<Picture> {
        match place {
            Place::File(_) | Place::Argument { .. } => None,
            Place::Text {
                column,
                width,
                source,
                ..
            } => Some(Picture::of_text(source, *column, *width)),
            Place::Field { row, cell_idx, .. } => Some(Picture::of_row(row, Some(*cell_idx))),
            Place::Row { row, .. } => Some(Picture::of_row(row, None)),
        }
        .filter(|picture| !picture.lines.is_empty())
    }

    fn of_text(source: &str, column: usize, width: usize) -> Picture {
        let safe = safe_text(source);
        let before: String = safe.chars().take(column.saturating_sub(1)).collect();
        let marked: String = safe
            .chars()
            .skip(before.chars().count())
            .take(width)
            .collect();
        let start = before.width();
        // A place at the end of the line has nothing to mark but gets its mark.
        let end = start + marked.width().max(1);
        let total = safe.width();
        if total.max(end) <= WIDEST_SOURCE {
            return Picture {
                lines: vec![safe.trim_end().to_owned()],
                mark: Some((start, end - start)),
            };
        }
        let from = start.saturating_sub(LEAD);
        let cut = stretch(&safe, from, WIDEST_SOURCE);
        let lead = if from > 0 { CUT } else { "" };
        let tail = if from + WIDEST_SOURCE < total {
            CUT
        } else {
            ""
        };
        let room = WIDEST_SOURCE.saturating_sub(start - cut.from);
        Picture {
            lines: vec![format!("{lead}{}{tail}", cut.text.trim_end())],
            mark: Some((
                start - cut.from + lead.width(),
                (end - start).min(room).max(1),
            )),
        }
    }

    /// The headings above the row, cells below each other; of a row too wide, the first cell, which names it, and those
    /// that are filled, or if that is too wide as well, those from the marked one on.
    fn of_row(row: &[Cell], marked: Option<usize>) -> Picture {
        let width = |cell: &Cell| cell.heading.width().max(cell.text.width());
        let fits = |cells: &[(usize, &Cell)]| {
            let widths: usize = cells.iter().map(|(_, cell)| width(cell) + GAP).sum();
            widths <= WIDTH - INDENT + GAP
        };
        let mut cells: Vec<(usize, &Cell)> = row.iter().enumerate().collect();
        if let Some(marked) = marked {
            let is_header = row.iter().all(|cell| cell.text.is_empty());
            if !fits(&cells) && !is_header {
                cells.retain(|(idx, cell)| [0, marked].contains(idx) || !cell.text.is_empty());
            }
            if !fits(&cells) {
                cells.retain(|(idx, _)| *idx == 0 || *idx >= marked);
            }
        }
        let mut lines = vec![String::new(), String::new()];
        let mut offset = 0;
        let mut mark = None;
        for (idx, cell) in cells {
            let is_marked = Some(idx) == marked;
            let is_needed = idx == 0 || is_marked;
            if !is_needed && offset + width(cell) > WIDTH - INDENT {
                break;
            }
            for (line, text) in lines.iter_mut().zip([&cell.heading, &cell.text]) {
                *line += &" ".repeat(offset - line.width());
                *line += text;
            }
            if is_marked {
                mark = Some((offset, cell.text.width().max(1)));
            }
            offset += width(cell) + GAP;
        }
        for line in &mut lines {
            line.truncate(line.trim_end().len());
        }
        // A heading that is wrong itself has nothing below it.
        if let (Some((_, width)), Some(cell)) = (&mut mark, marked.and_then(|idx| row.get(idx)))
            && cell.text.is_empty()
        {
            *width = cell.heading.width().max(1);
        }
        lines.retain(|line| !line.is_empty());
        Picture { lines, mark }
    }
}

/// Part of a line, and the column at which it begins.
struct Stretch {
    text: String,
    from: usize,
}

/// The characters whose columns lie within `from .. from + width`.
fn stretch(line: &str, from: usize, width: usize) -> Stretch {
    let mut column = 0;
    let mut text = String::new();
    let mut first = None;
    for symbol in line.chars() {
        let next = column + symbol.width().unwrap_or(0);
        if column >= from && next <= from + width {
            first.get_or_insert(column);
            text.push(symbol);
        }
        column = next;
    }
    Stretch {
        text,
        from: first.unwrap_or(from),
    }
}

#[cfg(test)]
mod tests;

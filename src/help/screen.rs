//! Markdown on a terminal: the few forms in which topics are written, laid out to a width.
//!
//! Headings, paragraphs, lists, tables and fenced blocks; of marks within a line only the backtick.
//! A fenced block stands as it is, whatever the width, with the name of its file above it if it has one.

use anstyle::{AnsiColor, Style};
use unicode_width::UnicodeWidthStr as _;

/// Lines longer than this are hard to follow.
const WIDEST: usize = 100;
/// Below this no table fits.
const NARROWEST: usize = 60;
/// How far a fenced block is set in, where there is room.
const SET_IN: usize = 4;
/// Blanks between two columns of a table.
const GUTTER: usize = 2;

/// How a text is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Screen {
    /// Columns to use; less than 60 counts as 60, more than 100 as 100.
    pub width: usize,
    /// Whether to color with ANSI escapes; without them backticks stay.
    pub color: bool,
    /// Whether rules are lines, not hyphens.
    pub unicode: bool,
}

/// One block of a text.
enum Block<'t> {
    Heading {
        level: usize,
        text: &'t str,
    },
    Paragraph(Vec<&'t str>),
    /// A list, an entry of which may take several lines.
    List(Vec<Vec<&'t str>>),
    Table(Vec<Vec<&'t str>>),
    Fenced {
        file: Option<&'t str>,
        lines: Vec<&'t str>,
    },
}

/// `markdown` as it is printed.
pub fn on_screen(markdown: &str, screen: Screen) -> String {
    let pen = Pen {
        width: screen.width.clamp(NARROWEST, WIDEST),
        color: screen.color,
        rule: if screen.unicode { "─" } else { "-" },
    };
    let blocks: Vec<String> = blocks(markdown)
        .iter()
        .map(|block| pen.block(block))
        .collect();
    blocks.join("\n")
}

/// Takes a text apart.
fn blocks(markdown: &str) -> Vec<Block<'_>> {
    let mut blocks = Vec::new();
    let mut lines = markdown.lines().peekable();
    while let Some(line) = lines.next() {
        if let Some(info) = line.strip_prefix("```") {
            blocks.push(Block::Fenced {
                file: info.split_once(' ').map(|(_, file)| file),
                lines: lines.by_ref().take_while(|line| *line != "```").collect(),
            });
        } else if line.starts_with('#') {
            let text = line.trim_start_matches('#');
            blocks.push(Block::Heading {
                level: line.len() - text.len(),
                text: text.trim(),
            });
        } else if line.starts_with('|') {
            let mut rows = vec![cells(line)];
            while let Some(line) = lines.next_if(|line| line.starts_with('|')) {
                rows.push(cells(line));
            }
            // The second row only says that the first is a heading.
            rows.remove(1);
            blocks.push(Block::Table(rows));
        } else if let Some(entry) = line.strip_prefix("- ") {
            let mut entries = vec![vec![entry]];
            while let Some(line) =
                lines.next_if(|line| line.starts_with("- ") || line.starts_with("  "))
            {
                match (line.strip_prefix("- "), entries.last_mut()) {
                    (None, Some(entry)) => entry.push(line.trim()),
                    (entry, _) => entries.push(vec![entry.unwrap_or(line)]),
                }
            }
            blocks.push(Block::List(entries));
        } else if !line.is_empty() {
            let mut sentences = vec![line];
            while let Some(line) = lines.next_if(|line| !line.is_empty()) {
                sentences.push(line);
            }
            blocks.push(Block::Paragraph(sentences));
        }
    }
    blocks
}

/// The cells of a row of a table.
fn cells(line: &str) -> Vec<&str> {
    let inner = line.trim().trim_start_matches('|').trim_end_matches('|');
    inner.split('|').map(str::trim).collect()
}

/// A [`Screen`] put to work.
#[derive(Clone, Copy)]
struct Pen {
    width: usize,
    color: bool,
    rule: &'static str,
}

impl Pen {
    fn block(self, block: &Block<'_>) -> String {
        match block {
            Block::Heading { level: 1, text } => {
                let rule = self.faint(&self.rule.repeat(self.width));
                format!("{}\n{rule}\n", self.strong(text))
            }
            Block::Heading { text, .. } => {
                let left = self.width.saturating_sub(text.width() + 1);
                let rule = self.faint(&self.rule.repeat(left));
                format!("{} {rule}\n", self.strong(text))
            }
            Block::Paragraph(sentences) => self.filled(&sentences.join(" "), "", ""),
            Block::List(entries) => entries
                .iter()
                .map(|entry| self.filled(&entry.join(" "), "- ", "  "))
                .collect(),
            Block::Table(rows) => self.table(rows),
            Block::Fenced { file, lines } => self.fenced(*file, lines),
        }
    }

    /// A text in lines, the first of which begins with `first` and the others with `next`.
    fn filled(self, text: &str, first: &str, next: &str) -> String {
        let lines = self.wrap(text, self.width - next.width());
        let begun = lines
            .iter()
            .enumerate()
            .map(|(idx, line)| (if idx == 0 { first } else { next }, line));
        begun
            .map(|(begin, line)| format!("{begin}{}\n", self.marked(line)))
            .collect()
    }

    fn fenced(self, file: Option<&str>, lines: &[&str]) -> String {
        let widest = lines.iter().map(|line| line.width()).max().unwrap_or(0);
        let set_in = " ".repeat(SET_IN.min(self.width.saturating_sub(widest)));
        let mut shown = String::new();
        if let Some(file) = file {
            shown += &format!("{}\n", self.faint(&format!("  {file}:")));
        }
        for line in lines {
            let line = if line.starts_with("$ ") {
                self.strong(line)
            } else {
                (*line).to_owned()
            };
            shown += format!("{set_in}{line}").trim_end();
            shown += "\n";
        }
        shown
    }

    fn table(self, rows: &[Vec<&str>]) -> String {
        let widths = self.column_widths(rows);
        let mut shown = String::new();
        for (idx, row) in rows.iter().enumerate() {
            let columns: Vec<Vec<String>> = row
                .iter()
                .zip(&widths)
                .map(|(cell, &width)| self.wrap(cell, width))
                .collect();
            let n_lines = columns.iter().map(Vec::len).max().unwrap_or(0);
            for line_idx in 0..n_lines {
                let mut line = String::new();
                for (column, &width) in columns.iter().zip(&widths) {
                    let text = column.get(line_idx).map_or("", String::as_str);
                    let painted = if idx == 0 {
                        self.strong(text)
                    } else {
                        self.marked(text)
                    };
                    line += &painted;
                    line += &" ".repeat(width - self.seen(text).min(width) + GUTTER);
                }
                shown += line.trim_end();
                shown += "\n";
            }
            if idx == 0 {
                let rules: Vec<String> = widths
                    .iter()
                    .map(|&width| self.rule.repeat(width))
                    .collect();
                shown += &format!("{}\n", self.faint(&rules.join(&" ".repeat(GUTTER))));
            }
        }
        shown
    }

    /// A width for each column: what it would like if all fit, else the widest give way, down to their longest word.
    fn column_widths(self, rows: &[Vec<&str>]) -> Vec<usize> {
        let n_columns = rows.first().map_or(0, Vec::len);
        let widest = |idx: usize, of: &dyn Fn(&str) -> usize| {
            let cells = rows.iter().filter_map(|row| row.get(idx));
            cells.map(|cell| of(cell)).max().unwrap_or(0)
        };
        let mut widths: Vec<usize> = (0..n_columns)
            .map(|idx| widest(idx, &|cell| self.seen(cell)))
            .collect();
        let least: Vec<usize> = (0..n_columns)
            .map(|idx| {
                widest(idx, &|cell| {
                    words(cell)
                        .iter()
                        .map(|word| self.seen(word))
                        .max()
                        .unwrap_or(0)
                })
            })
            .collect();
        let room = self
            .width
            .saturating_sub(GUTTER * n_columns.saturating_sub(1));
        while widths.iter().sum::<usize>() > room {
            let widest = (0..n_columns)
                .filter(|&idx| widths[idx] > least[idx])
                .max_by_key(|&idx| widths[idx]);
            match widest {
                Some(idx) => widths[idx] -= 1,
                None => break,
            }
        }
        widths
    }

    /// `text` in lines of at most `width` columns; a word is never broken.
    fn wrap(self, text: &str, width: usize) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in words(text) {
            match lines.last_mut() {
                Some(line) if self.seen(line) + 1 + self.seen(word) <= width => {
                    line.push(' ');
                    line.push_str(word);
                }
                _ => lines.push(word.to_owned()),
            }
        }
        lines
    }

    /// The columns that a text takes.
    fn seen(self, text: &str) -> usize {
        let hidden = if self.color {
            text.matches('`').count()
        } else {
            0
        };
        text.width() - hidden
    }

    /// `text` with what stands in backticks colored, or as it is.
    fn marked(self, text: &str) -> String {
        if !self.color {
            return text.to_owned();
        }
        let parts = text.split('`').enumerate();
        parts
            .map(|(idx, part)| match idx % 2 {
                0 => part.to_owned(),
                _ => self.paint(part, AnsiColor::Cyan.on_default()),
            })
            .collect()
    }

    fn strong(self, text: &str) -> String {
        self.paint(text, Style::new().bold())
    }

    fn faint(self, text: &str) -> String {
        self.paint(text, Style::new().dimmed())
    }

    fn paint(self, text: &str, style: Style) -> String {
        if self.color && !text.is_empty() {
            format!("{style}{text}{style:#}")
        } else {
            text.to_owned()
        }
    }
}

/// The words of a text; blanks between two backticks part none.
fn words(text: &str) -> Vec<&str> {
    let mut words = Vec::new();
    let mut begin = 0;
    let mut in_mark = false;
    for (idx, symbol) in text.char_indices() {
        match symbol {
            '`' => in_mark = !in_mark,
            ' ' if !in_mark => {
                words.push(&text[begin..idx]);
                begin = idx + 1;
            }
            _ => {}
        }
    }
    words.push(&text[begin..]);
    words.retain(|word| !word.is_empty());
    words
}

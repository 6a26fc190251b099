//! A document as text for the terminal and the bench, at any width.

pub(super) mod bar;
mod figures;
pub(super) mod ink;
mod layout;
mod panel;
mod table;

use super::document::{Block, BoardSheet, Document, Lead, Line, PanelSheet, Text, Tone};
use bar::{FRAME_COLUMNS, drawing_lines};
use figures::Figures;
use ink::Ink;
use layout::{TIED, blanks, fit, width_of, wrap};
use panel::panel_lines;
use table::SetTable;

pub use ink::Look;

/// The narrowest page.
const NARROWEST: usize = 80;
/// Beyond this, rows are too long for the eye to follow.
const WIDEST: usize = 160;
/// Prose is set no wider than this.
const PROSE: usize = 96;
/// How far what stands below a heading is indented.
const INDENT: usize = 2;

/// A document as text.
///
/// No line is wider than `look.width` columns (80 at least), whatever the names and lengths.
pub fn set(document: &Document, look: Look) -> String {
    let width = look.width.clamp(NARROWEST, WIDEST);
    let mut page = Page {
        // No name in a list takes more of the line than this, so that its copy and side stay beside it.
        figures: Figures::new(&document.display, Ink::new(look), width / 4),
        width,
        indent: 0,
        text: String::new(),
    };
    let mut lists = lined_up(document, page.figures).into_iter();
    let mut is_headed = true;
    for block in &document.blocks {
        if !is_headed && !matches!(block, Block::Break) {
            page.line("");
        }
        is_headed = matches!(block, Block::Heading(..) | Block::Break);
        match block {
            Block::Title(title, about) => page.title(title, about.as_ref()),
            Block::Heading(_, words) => page.heading(words),
            Block::Lines(lines) => lines.iter().for_each(|line| page.prose(line)),
            Block::Table(table) => page.table(&SetTable::new(table, page.figures)),
            Block::Board(sheet) => page.board(sheet, lists.next()),
            Block::Panel(sheet) => page.panel(sheet),
            Block::Break => {
                page.indent = 0;
                is_headed = false;
            }
        }
    }
    page.text
}

/// The lists of cuts of all boards.
fn lined_up<'a>(document: &'a Document, figures: Figures<'a>) -> Vec<SetTable<'a>> {
    let blocks = document.blocks.iter();
    let mut lists: Vec<SetTable<'_>> = blocks
        .filter_map(|block| match block {
            Block::Board(sheet) => Some(SetTable::new(&sheet.cuts, figures)),
            _ => None,
        })
        .collect();
    SetTable::line_up(&mut lists);
    lists
}

/// Lines of text under way.
struct Page<'a> {
    figures: Figures<'a>,
    width: usize,
    indent: usize,
    text: String,
}

impl Page<'_> {
    /// A line that is already no wider than the page; what is tied has done its work.
    fn line(&mut self, line: &str) {
        self.text.push_str(line.replace(TIED, " ").trim_end());
        self.text.push('\n');
    }

    fn paint(&self, tone: Tone, text: &str) -> String {
        self.figures.ink.paint(tone, text)
    }

    fn title(&mut self, title: &Text, about: Option<&Text>) {
        let title = fit(&self.figures.set(title), self.width, self.figures.ink);
        let title = self.paint(Tone::Strong, &title);
        self.line(&title);
        if let Some(about) = about {
            self.prose(&Line::new(Tone::Faint, about.clone()));
        }
    }

    /// A heading with a rule to the right edge.
    fn heading(&mut self, words: &Text) {
        self.indent = INDENT;
        let ink = self.figures.ink;
        let words = fit(&self.figures.set(words), self.width - 2, ink);
        let rule = ink.rule().repeat(self.width - width_of(&words) - 1);
        let line = format!(
            "{} {}",
            ink.paint(Tone::Strong, &words),
            ink.paint(Tone::Faint, &rule)
        );
        self.line(&line);
    }

    /// Prose, wrapped.
    fn prose(&mut self, line: &Line) {
        let mut lead = match line.lead {
            Lead::None => blanks(self.indent),
            Lead::Item => "  - ".to_owned(),
        };
        let indent = width_of(&lead);
        let text = self.figures.set(&line.text);
        for text in wrap(&text, self.width.min(PROSE) - indent) {
            let painted = self.paint(line.tone, &text);
            self.line(&format!("{lead}{painted}"));
            lead = blanks(indent);
        }
    }

    fn table(&mut self, table: &SetTable<'_>) {
        for line in table.lines(self.width, self.indent) {
            self.line(&line);
        }
    }

    /// Title, drawing and list of a board.
    fn board(&mut self, sheet: &BoardSheet, cuts: Option<SetTable<'_>>) {
        self.titled(&sheet.label, sheet.count, &sheet.name, &sheet.detail);
        for drawing in &sheet.drawings {
            for line in drawing_lines(drawing, self.width - FRAME_COLUMNS, self.figures) {
                self.line(&line);
            }
        }
        if let Some(cuts) = cuts {
            self.table(&cuts);
        }
        if let Some(watch) = &sheet.watch {
            self.prose(&Line::new(Tone::Watch, watch.clone()));
        }
    }

    /// Title, drawing and cuts of a sheet of glass or board.
    fn panel(&mut self, sheet: &PanelSheet) {
        self.titled(&sheet.label, sheet.count, &sheet.name, &sheet.detail);
        for line in panel_lines(&sheet.drawing, self.width - FRAME_COLUMNS, self.figures) {
            self.line(&line);
        }
        self.table(&SetTable::new(&sheet.cuts, self.figures));
    }

    /// `Pattern 3  2 × walnut 8 ft  96 in · boards 1–2 · walnut cap`.
    fn titled(&mut self, label: &Text, count: u64, name: &Text, detail: &Text) {
        let ink = self.figures.ink;
        let label = self.figures.set(label);
        let count = if count > 1 {
            format!("{count} {} ", ink.signs("×"))
        } else {
            String::new()
        };
        let room = self.width - width_of(&label) - width_of(&count) - 6;
        let detail = self.figures.set(detail);
        // Half of the room, and what the detail leaves of the other half.
        let most = (room / 2).max(room.saturating_sub(width_of(&detail)));
        let name = fit(&self.figures.set(name), most, ink);
        let detail = fit(&detail, room - width_of(&name), ink);
        let line = format!(
            " {}  {}  {}",
            ink.paint(Tone::Strong, &label),
            ink.paint(Tone::Strong, &format!("{count}{name}")),
            ink.paint(Tone::Faint, &detail)
        );
        self.line(&line);
    }
}

#[cfg(test)]
mod tests;

//! A report as a document: what it says, before anyone decides how it looks.
//!
//! Sections make it from counted facts; a renderer sets it. It holds headings, sentences, tables and boards as
//! geometry, and no widths, line breaks or characters of a drawing. Figures stay what they are, lengths in nanometers
//! and money in minor units, beside what they mean ([`Show`]); a renderer prints them as its medium allows.
//!
//! Our own words may have the signs `×`, `·`, `–`, `°` and `─`, which a renderer may replace. Names from a file stand
//! apart ([`Inline::Name`]), for they are shown as they were given. A no-break space keeps words together.

use crate::frame::Miter;
use crate::job::{Display, Job, SheetTrim};
use crate::length::Length;
use crate::plan::StripMark;

mod plain;
mod words;

pub use words::{Inline, Show, Text};
pub(crate) use words::{
    amount, count_of, exact, fill, in_currency, listed, money, name, needed, needed_with_unit,
    one_line, place, place_to, round_figure, say, there, there_with_unit, together, total, worth,
    worth_amount,
};

/// A whole report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Document {
    /// Unit, step and currency of its figures.
    pub display: Display,
    /// What it says, from top to bottom.
    pub blocks: Vec<Block>,
}

/// One piece of a [`Document`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Block {
    /// The title of the sheet, and a line on what it is about.
    Title(Text, Option<Text>),
    /// The heading of a section: its kind, which a renderer may make an anchor of (several woods have a section each),
    /// and its words.
    Heading(&'static str, Text),
    /// Sentences or items of a list, each on a line of its own.
    Lines(Vec<Line>),
    /// A table.
    Table(Table),
    /// A board as it is cut.
    Board(Box<BoardSheet>),
    /// A sheet of glass or board as it is cut.
    Panel(Box<PanelSheet>),
    /// A sheet within the sheet begins.
    Break,
}

/// What a stretch of text is, which decides its color.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tone {
    /// Ordinary text.
    #[default]
    Plain,
    /// Headings and what must be found at a glance.
    Strong,
    /// Explanations, rules and scrap.
    Faint,
    /// Proved, or kept.
    Good,
    /// Not proved, or to be watched.
    Watch,
    /// Missing.
    Bad,
}

/// Sentences that stand together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What stands before it.
    pub lead: Lead,
    /// What it is.
    pub tone: Tone,
    /// Its words.
    pub text: Text,
}

/// What stands before a [`Line`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lead {
    /// Nothing.
    None,
    /// The mark of an item.
    Item,
}

/// A table.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, from top to bottom.
    pub rows: Vec<Row>,
}

/// One column of a [`Table`]; one that is empty from top to bottom need not be shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// What stands over it.
    pub head: Text,
    /// What it holds.
    pub kind: Kind,
    /// What its cells are.
    pub tone: Tone,
}

/// What a [`Column`] holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Names, which may be shortened.
    Name,
    /// Prose, which may be broken into lines.
    Prose,
    /// A few words, which may be neither.
    Words,
    /// Lengths: whole numbers stand above each other, fractions after them.
    Length,
    /// Counts, sums, shares and amounts of money: flush right.
    Number,
}

/// One row of a [`Table`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row {
    /// A cell for each column.
    pub cells: Vec<Text>,
    /// Whether the row begins the totals.
    pub is_total: bool,
    /// Prose under the row, across all columns.
    pub notes: Vec<(Tone, Text)>,
}

/// A board as it is cut: title, drawing and list of cuts. The lists of all boards have the same columns and line up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardSheet {
    /// What it is referred to by.
    pub label: Text,
    /// How many boards are cut so.
    pub count: u64,
    /// The board's name.
    pub name: Text,
    /// Its size, which of its kind it is, and what for.
    pub detail: Text,
    /// A drawing for each stick: one, or the stretches that the yard cuts it into.
    pub drawings: Vec<Drawing>,
    /// Its cuts.
    pub cuts: Table,
    /// What to look out for.
    pub watch: Option<Text>,
}

/// A board, or a stretch of one, as geometry. Places run along it from its untrimmed near end, and across from the straightened edge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drawing {
    /// Its length.
    pub length: Length,
    /// Its width, where it is known.
    pub width: Option<Length>,
    /// The length of the longest board of the document, so that all are drawn to one scale.
    pub longest: Length,
    /// What is trimmed off either end.
    pub end_trim: Length,
    /// Width of a cut across.
    pub kerf: Length,
    /// Width of the cuts that part its strips; zero where it is not ripped.
    pub rip_kerf: Length,
    /// Whether it is ripped, or a stretch: then strips have labels.
    pub is_ripped: bool,
    /// Its strips, side by side; one where it is not ripped.
    pub strips: Vec<DrawnStrip>,
    /// What is left beside them, from the straightened edge on.
    pub edges: Vec<DrawnEdge>,
    /// Its defects as they lie on it; a strip has those that reach into it.
    pub defects: Vec<DrawnDefect>,
}

/// One strip of a [`Drawing`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnStrip {
    /// What it is.
    pub label: Text,
    /// What is chalked on it, on each of the boards that are cut alike; nothing where nothing is cut from it.
    pub marks: Vec<StripMark>,
    /// Where it begins across the board.
    pub from_edge: Length,
    /// Its width, where it is known.
    pub width: Option<Length>,
    /// Its parts, from the near end on.
    pub cuts: Vec<DrawnCut>,
    /// Stretches from which nothing is cut and that are worth a label.
    pub left: Vec<DrawnRest>,
    /// Defects, from and to.
    pub defects: Vec<(Length, Length)>,
}

/// One part of a [`DrawnStrip`]: a rail is a trapezoid with its long points on the outer edge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnCut {
    /// Its number on the strip.
    pub number: u32,
    /// Its name.
    pub name: Text,
    /// Long point from.
    pub from: Length,
    /// Long point to.
    pub to: Length,
    /// What the stop is set to for it.
    pub stop: Length,
    /// Its width, where it is known.
    pub width: Option<Length>,
    /// How its ends are cut.
    pub miter: Miter,
    /// Whether they slant across its thickness, as it is sawn standing on edge: seen from above they are square.
    pub on_edge: bool,
    /// Whether it lies end for end, with its outer edge below.
    pub is_turned: bool,
    /// Whether one slanting cut parts it from the part before.
    pub shares_cut: bool,
}

/// A stretch of a [`DrawnStrip`] from which nothing is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DrawnRest {
    /// From.
    pub from: Length,
    /// To.
    pub to: Length,
    /// Whether it is kept; if not it is scrap.
    pub is_kept: bool,
}

/// A defect of a [`Drawing`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DrawnDefect {
    /// From.
    pub from: Length,
    /// To.
    pub to: Length,
    /// From and to across the board, as far as it may reach; `None` takes all of the width.
    pub across: Option<(Length, Length)>,
    /// Whether there is no wood, as it has been cut off or serves something else.
    pub is_gone: bool,
}

/// A piece left beside the strips of a [`Drawing`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnEdge {
    /// What it is.
    pub label: Text,
    /// Where it begins across the board.
    pub from_edge: Length,
    /// Its width.
    pub width: Length,
    /// Whether it is kept; if not it is scrap.
    pub is_kept: bool,
}

/// A sheet of glass or board as it is cut: title, drawing and the cuts in their order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PanelSheet {
    /// What it is referred to by.
    pub label: Text,
    /// How many are cut so.
    pub count: u64,
    /// The material.
    pub name: Text,
    /// Its size, and where it comes from.
    pub detail: Text,
    /// Its drawing.
    pub drawing: PanelDrawing,
    /// Its cuts.
    pub cuts: Table,
}

/// A sheet of glass or board as geometry; places count from its lower left corner.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PanelDrawing {
    /// Its width, from left to right.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// The longest side of a sheet of its material, so that all are drawn to one scale.
    pub longest: Length,
    /// What is lost at its edges.
    pub trim: SheetTrim,
    /// Its pieces.
    pub pieces: Vec<DrawnPanel>,
    /// What is left of it and kept.
    pub kept: Vec<DrawnPanel>,
}

/// A rectangle of a [`PanelDrawing`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DrawnPanel {
    /// Its number on the sheet, from 1; 0 of what is kept.
    pub number: u32,
    /// Where it begins from the left.
    pub left: Length,
    /// Where it begins from below.
    pub bottom: Length,
    /// Its width.
    pub width: Length,
    /// Its height.
    pub height: Length,
}

impl Document {
    /// An empty document with the figures of a job.
    pub(super) fn new(job: &Job) -> Document {
        Document {
            display: job.display.clone(),
            blocks: Vec::new(),
        }
    }

    /// Its boards, in their order.
    pub fn boards(&self) -> impl Iterator<Item = &BoardSheet> {
        self.blocks.iter().filter_map(|block| match block {
            Block::Board(sheet) => Some(&**sheet),
            _ => None,
        })
    }

    /// Without some of its sections, each named by the kind of its heading; what stands before the first heading stays.
    #[must_use]
    pub fn without(mut self, sections: &[&str]) -> Document {
        let mut is_shown = true;
        self.blocks.retain(|block| {
            if let Block::Heading(id, _) = block {
                is_shown = !sections.contains(id);
            }
            is_shown
        });
        self
    }

    pub(super) fn heading(&mut self, id: &'static str, words: impl Into<Text>) {
        self.blocks.push(Block::Heading(id, words.into()));
    }

    /// Lines that stand together; nothing where there are none.
    pub(super) fn lines(&mut self, lines: Vec<Line>) {
        if !lines.is_empty() {
            self.blocks.push(Block::Lines(lines));
        }
    }

    /// One line by itself.
    pub(super) fn line(&mut self, tone: Tone, text: impl Into<Text>) {
        self.lines(vec![Line::new(tone, text)]);
    }

    pub(super) fn table(&mut self, table: Table) {
        self.blocks.push(Block::Table(table));
    }
}

impl Line {
    pub(super) fn new(tone: Tone, text: impl Into<Text>) -> Line {
        Line {
            lead: Lead::None,
            tone,
            text: text.into(),
        }
    }

    pub(super) fn item(text: impl Into<Text>) -> Line {
        Line {
            lead: Lead::Item,
            tone: Tone::Plain,
            text: text.into(),
        }
    }
}

impl Table {
    pub(super) fn new() -> Table {
        Table::default()
    }

    /// Adds a column on the right.
    #[must_use]
    pub(super) fn column(mut self, head: impl Into<Text>, kind: Kind, tone: Tone) -> Table {
        let head = head.into();
        self.columns.push(Column { head, kind, tone });
        self
    }

    /// Adds a row with one cell for each column.
    pub(super) fn row(&mut self, cells: Vec<Text>) {
        debug_assert_eq!(cells.len(), self.columns.len(), "a cell for each column");
        self.rows.push(Row {
            cells,
            ..Row::default()
        });
    }

    /// Adds the first row of the totals.
    pub(super) fn total(&mut self, cells: Vec<Text>) {
        self.row(cells);
        if let Some(row) = self.rows.last_mut() {
            row.is_total = true;
        }
    }

    /// Adds prose under the last row.
    pub(super) fn note(&mut self, tone: Tone, text: impl Into<Text>) {
        if let Some(row) = self.rows.last_mut() {
            row.notes.push((tone, text.into()));
        }
    }
}

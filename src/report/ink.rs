//! Color and glyphs: the same report with or without either.

use std::fmt::Write;

use anstyle::{AnsiColor, Style};

/// How a text report is to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Columns to use; less than 80 counts as 80, more than 160 as 160.
    pub width: usize,
    /// Whether to color with ANSI escapes.
    pub color: bool,
    /// Whether our own signs (slants, boxes, dots) may be other than ASCII; names are shown as they were given.
    pub unicode: bool,
}

/// What a stretch of text is, which decides its color.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Tone {
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

/// A [`Look`] put to work.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ink {
    color: bool,
    unicode: bool,
}

impl Ink {
    pub(super) fn new(look: Look) -> Ink {
        Ink {
            color: look.color,
            unicode: look.unicode,
        }
    }

    /// `text` in the color of its tone; blank text gets none.
    pub(super) fn paint(self, tone: Tone, text: &str) -> String {
        let style = match tone {
            Tone::Plain => Style::new(),
            Tone::Strong => Style::new().bold(),
            Tone::Faint => Style::new().dimmed(),
            Tone::Good => AnsiColor::Green.on_default().bold(),
            Tone::Watch => AnsiColor::Yellow.on_default().bold(),
            Tone::Bad => AnsiColor::Red.on_default().bold(),
        };
        if !self.color || tone == Tone::Plain || text.trim().is_empty() {
            return text.to_owned();
        }
        let mut painted = String::new();
        write!(painted, "{style}{text}{style:#}").expect("a string takes all that is written");
        painted
    }

    fn pick(self, unicode: &'static str, ascii: &'static str) -> &'static str {
        if self.unicode { unicode } else { ascii }
    }

    /// Between the sides of a rectangle, and before a count.
    pub(super) fn times(self) -> &'static str {
        self.pick("×", "x")
    }

    /// Between the members of a list.
    pub(super) fn dot(self) -> &'static str {
        self.pick(" · ", "; ")
    }

    /// Between the ends of a range of numbers.
    pub(super) fn to(self) -> &'static str {
        self.pick("–", "-")
    }

    /// At the end of what had to be shortened.
    pub(super) fn ellipsis(self) -> &'static str {
        self.pick("…", "...")
    }

    /// After a number of degrees.
    pub(super) fn degree(self) -> &'static str {
        self.pick("°", " deg")
    }

    /// A horizontal rule, one column.
    pub(super) fn rule(self) -> &'static str {
        self.pick("─", "-")
    }

    /// A bar of so many eighths of a column.
    pub(super) fn bar(self, eighths: usize) -> String {
        if self.unicode {
            let rest = ["", "▏", "▎", "▍", "▌", "▋", "▊", "▉"][eighths % 8];
            format!("{}{rest}", "█".repeat(eighths / 8))
        } else {
            "#".repeat(eighths.div_ceil(8))
        }
    }

    /// The glyphs of a drawn board.
    pub(super) fn drawing(self) -> Drawing {
        if self.unicode {
            Drawing {
                top: ['┌', '─', '┐'],
                bottom: ['└', '─', '┘'],
                rip: ['├', '─', '┤'],
                side: '│',
                tick: '┴',
                falling: '╲',
                rising: '╱',
                tip: 'V',
                square: '│',
                scrap: '░',
                defect: '▓',
            }
        } else {
            Drawing {
                top: ['+', '-', '+'],
                bottom: ['+', '-', '+'],
                rip: ['+', '-', '+'],
                side: '|',
                tick: '+',
                falling: '\\',
                rising: '/',
                tip: 'V',
                square: '|',
                scrap: ':',
                defect: '#',
            }
        }
    }
}

/// The glyphs a board is drawn with, one column each.
#[derive(Clone, Copy, Debug)]
pub(super) struct Drawing {
    /// Left corner, edge and right corner of the outer edge.
    pub(super) top: [char; 3],
    /// The same of the sight edge.
    pub(super) bottom: [char; 3],
    /// The same of a rip kerf between two strips.
    pub(super) rip: [char; 3],
    /// The ends of the board.
    pub(super) side: char,
    /// Where a running distance is measured, on the outer edge.
    pub(super) tick: char,
    /// The left end of a mitered part.
    pub(super) falling: char,
    /// The right end of a mitered part.
    pub(super) rising: char,
    /// The sight edge of a mitered part too short to show both slants.
    pub(super) tip: char,
    /// An end cut square.
    pub(super) square: char,
    /// Wood that goes to scrap.
    pub(super) scrap: char,
    /// A defect, which no part touches.
    pub(super) defect: char,
}

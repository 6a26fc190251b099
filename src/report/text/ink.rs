//! Color and glyphs: the same report with or without either.

use std::fmt::Write;

use anstyle::{AnsiColor, Style};

use crate::report::document::Tone;

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

    /// Our own words with the signs that there are.
    pub(super) fn signs(self, words: &str) -> String {
        if self.unicode {
            return words.to_owned();
        }
        [
            (" · ", "; "),
            ("×", "x"),
            ("–", "-"),
            ("°", " deg"),
            ("─", "-"),
        ]
        .iter()
        .fold(words.to_owned(), |words, (sign, ascii)| {
            words.replace(sign, ascii)
        })
    }

    /// At the end of what had to be shortened.
    pub(super) fn ellipsis(self) -> &'static str {
        self.pick("…", "...")
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

    /// Where lines of a drawing meet that come from the left, the right, above and below.
    pub(super) fn joint(self, from: [bool; 4]) -> char {
        let [left, right, up, down] = from;
        if !self.unicode {
            return match (left || right, up || down) {
                (true, false) => '-',
                (false, _) => '|',
                (true, true) => '+',
            };
        }
        match (left, right, up, down) {
            (_, _, false, false) => '─',
            (false, false, _, _) => '│',
            (false, true, false, true) => '┌',
            (true, false, false, true) => '┐',
            (false, true, true, false) => '└',
            (true, false, true, false) => '┘',
            (false, true, true, true) => '├',
            (true, false, true, true) => '┤',
            (true, true, false, true) => '┬',
            (true, true, true, false) => '┴',
            (true, true, true, true) => '┼',
        }
    }

    /// The glyphs of a drawn board.
    pub(super) fn drawing(self) -> Glyphs {
        if self.unicode {
            Glyphs {
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
            Glyphs {
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
pub(super) struct Glyphs {
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

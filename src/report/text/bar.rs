//! A board drawn to scale: parts with their ends, kerfs between them, trims and the offcut.
//!
//! The picture has the outer edge on top, where all distances run, and the sight edge below:
//!
//! ```text
//!   0            19 5/8         35 27/32
//!  ┌┴─────────────────┴────────────────┴─────────┐
//!  │░╲       1       ╱╲       2       ╱         ░│
//!  │░ ╲   19 5/8    ╱  ╲     16      ╱   9 5/8  ░│
//!  └─────────────────────────────────────────────┘
//! ```
//!
//! Rails that lie turned end for end have their outer edge below, and share a slanting cut with their neighbors; their
//! distances stand below the board:
//!
//! ```text
//!   0            19 5/8                51 1/4
//!  ┌┴─────────────────┴─────────────────────┴────┐
//!  │░╲        1       ╱     2    ╲     3    ╱   ░│
//!  │░ ╲    19 5/8    ╱     16     ╲  19 5/8╱    ░│
//!  └──────────────────────────────┴──────────────┘
//!                             33 3/4
//! ```
//!
//! Long points are to scale. Slants are always one column each row, whatever the face width: a screen has no finer
//! pen. A part too small for a column of its own is not drawn; the cut list below has it.

mod ripped;
mod run;

use crate::frame::Miter;
use crate::length::Length;

use crate::report::document::{self, DrawnStrip, Tone};

use super::figures::Figures;
use super::ink::{Glyphs, Ink};
use super::layout::{blanks, width_of};

use ripped::ripped_lines;

/// What is to be drawn.
#[derive(Clone, Debug)]
struct Bar {
    /// Length of the board.
    board: Length,
    /// Trim at either end.
    end_trim: Length,
    /// The cuts, in order.
    cuts: Vec<BarCut>,
    /// Stretches from which nothing is cut.
    gaps: Vec<BarGap>,
    /// Defects, from and to.
    defects: Vec<(Length, Length)>,
}

/// One stretch of a [`Bar`] from which nothing is cut.
#[derive(Clone, Debug)]
struct BarGap {
    /// From and to, measured from the untrimmed end.
    at: (Length, Length),
    /// Its label.
    text: String,
    /// Whether it is kept; if not it is drawn as scrap.
    is_kept: bool,
}

/// One part of a [`Bar`].
#[derive(Clone, Debug)]
struct BarCut {
    /// Its number on the strip.
    number: u32,
    /// Long point from, measured from the untrimmed end.
    from: Length,
    /// Long point to.
    to: Length,
    /// How its ends are cut.
    miter: Miter,
    /// Its length as printed.
    length_text: String,
    /// Where it ends, as printed beside the outer edge.
    place_text: String,
    /// Whether its outer edge lies below.
    turned: bool,
    /// Whether it shares the cut with its left neighbor.
    shares: bool,
}

/// The widest board of a sheet takes this many columns less than the line: two ends and a margin on the left.
pub(super) const FRAME_COLUMNS: usize = 3;
/// A board is never drawn narrower: two trims, two slants and a number have to fit.
const NARROWEST: usize = 10;

/// One row of characters, each with its tone.
struct Row(Vec<(char, Tone)>);

impl Row {
    fn new(width: usize) -> Row {
        Row(vec![(' ', Tone::Plain); width])
    }

    fn put(&mut self, at: usize, symbol: char, tone: Tone) {
        if let Some(cell) = self.0.get_mut(at) {
            *cell = (symbol, tone);
        }
    }

    fn fill(&mut self, from: usize, to: usize, symbol: char, tone: Tone) {
        for at in from..to {
            self.put(at, symbol, tone);
        }
    }

    /// Writes ASCII `text` in the middle of a stretch, if it fits.
    fn center(&mut self, from: usize, to: usize, text: &str, tone: Tone) -> bool {
        let room = to.saturating_sub(from);
        if text.is_empty() || room < text.chars().count() {
            return false;
        }
        let start = from + (room - text.chars().count()) / 2;
        for (at, symbol) in (start..).zip(text.chars()) {
            self.put(at, symbol, tone);
        }
        true
    }

    /// The row as text, painted run by run.
    fn painted(&self, ink: Ink) -> String {
        self.0
            .chunk_by(|a, b| a.1 == b.1)
            .map(|run| {
                let text: String = run.iter().map(|&(symbol, _)| symbol).collect();
                ink.paint(run[0].1, &text)
            })
            .collect()
    }
}

/// The lines of a drawing; `columns` is what the longest board of the document takes inside its two ends.
pub(super) fn drawing_lines(
    drawing: &document::Drawing,
    columns: usize,
    figures: Figures<'_>,
) -> Vec<String> {
    match &drawing.strips[..] {
        [only] if !drawing.is_ripped => {
            Bar::new(drawing, only, figures).lines(drawing.longest, columns, figures.ink)
        }
        _ => ripped_lines(drawing, columns, figures),
    }
}

impl Bar {
    fn new(drawing: &document::Drawing, strip: &DrawnStrip, figures: Figures<'_>) -> Bar {
        let end_trim = drawing.end_trim;
        let cuts = strip.cuts.iter().map(|cut| BarCut {
            number: cut.number,
            from: cut.from,
            to: cut.to,
            // Seen from above, as boards are drawn.
            miter: if cut.on_edge {
                Miter::Square
            } else {
                cut.miter
            },
            length_text: figures.needed(cut.stop),
            place_text: figures.place_to(cut.to - end_trim),
            turned: cut.is_turned,
            shares: cut.shares_cut,
        });
        let gaps = strip.left.iter().map(|rest| BarGap {
            at: (rest.from, rest.to),
            text: figures.there(rest.to - rest.from),
            is_kept: rest.is_kept,
        });
        Bar {
            board: drawing.length,
            end_trim,
            cuts: cuts.collect(),
            gaps: gaps.collect(),
            defects: strip.defects.clone(),
        }
    }

    /// The lines of the picture: the scale, the board in four rows, and the scale of the parts that lie turned.
    ///
    /// `columns` is what the `longest` board of the sheet takes inside its two ends.
    fn lines(&self, longest: Length, columns: usize, ink: Ink) -> Vec<String> {
        let width = self.columns(longest, columns);
        let glyphs = ink.drawing();
        let (outer, sight) = self.rows(width, glyphs);
        let (scale, ticks) = self.scale(width, false);
        let (scale_below, ticks_below) = self.scale(width, true);
        let edge = |[left, middle, right]: [char; 3], ticks: &[usize]| -> String {
            let inside: String = (0..width)
                .map(|at| {
                    if ticks.contains(&at) {
                        glyphs.tick
                    } else {
                        middle
                    }
                })
                .collect();
            ink.paint(Tone::Faint, &format!("{left}{inside}{right}"))
        };
        let side = ink.paint(Tone::Faint, &glyphs.side.to_string());
        let mut lines = Vec::with_capacity(6);
        if !scale.is_empty() {
            lines.push(format!("  {scale}"));
        }
        lines.push(format!(" {}", edge(glyphs.top, &ticks)));
        lines.push(format!(" {side}{}{side}", outer.painted(ink)));
        lines.push(format!(" {side}{}{side}", sight.painted(ink)));
        lines.push(format!(" {}", edge(glyphs.bottom, &ticks_below)));
        if !scale_below.is_empty() {
            lines.push(format!("  {scale_below}"));
        }
        lines
    }

    /// Columns that the board takes inside its two ends.
    fn columns(&self, longest: Length, columns: usize) -> usize {
        scaled(self.board, longest, columns).clamp(NARROWEST.min(columns), columns)
    }

    /// Columns of the trim at either end.
    fn trim_columns(&self, width: usize) -> usize {
        if self.end_trim > Length::ZERO {
            // A trim is always seen, however thin.
            scaled(self.end_trim, self.board, width).clamp(1, (width / 2).max(1) - 1)
        } else {
            0
        }
    }

    /// The column of a place along the board.
    fn column(&self, place: Length, width: usize) -> usize {
        let trim = self.trim_columns(width);
        let usable = self.board - self.end_trim * 2;
        trim + scaled(place - self.end_trim, usable, width - 2 * trim)
    }

    /// Its two rows, the outer edge and the sight edge.
    fn rows(&self, width: usize, glyphs: Glyphs) -> (Row, Row) {
        let trim = self.trim_columns(width);
        let mut outer = Row::new(width);
        let mut sight = Row::new(width);
        for row in [&mut outer, &mut sight] {
            row.fill(0, trim, glyphs.scrap, Tone::Faint);
            row.fill(width - trim, width, glyphs.scrap, Tone::Faint);
        }
        let mut left_edge_drawn = false;
        let mut shared = None;
        for (idx, cut) in self.cuts.iter().enumerate() {
            let (from, to) = (self.column(cut.from, width), self.column(cut.to, width));
            let number = cut.number.to_string();
            let is_shared = self.cuts.get(idx + 1).is_some_and(|next| next.shares);
            if cut.shares || is_shared {
                let left = shared.filter(|_| cut.shares);
                let rows = (&mut outer, &mut sight);
                shared = Some(run::draw(rows, left, (from, to), cut, &number, glyphs));
                left_edge_drawn = false;
            } else if from < to {
                draw_cut(
                    &mut outer,
                    &mut sight,
                    (from, to),
                    cut,
                    &number,
                    left_edge_drawn,
                    glyphs,
                );
                left_edge_drawn = cut.miter == Miter::Square;
            }
        }
        for gap in &self.gaps {
            let columns = (self.column(gap.at.0, width), self.column(gap.at.1, width));
            let label = (gap.text.as_str(), gap.is_kept);
            draw_gap(&mut outer, &mut sight, columns, label, glyphs);
        }
        for &(from, to) in &self.defects {
            // Within the trims the usual scale does not hold; and a defect is always seen, however short.
            let usable = self.end_trim..=self.board - self.end_trim;
            let column = |at: Length| {
                if usable.contains(&at) {
                    self.column(at, width)
                } else {
                    scaled(at, self.board, width)
                }
            };
            let from = column(from).min(width - 1);
            let to = column(to).max(from + 1);
            for row in [&mut outer, &mut sight] {
                row.fill(from, to, glyphs.defect, Tone::Watch);
            }
        }
        (outer, sight)
    }

    /// The running distances that find room along an edge, each ending at its tick, and the ticks: of the parts that
    /// lie turned, which are below, or of the others.
    fn scale(&self, width: usize, turned: bool) -> (String, Vec<usize>) {
        if self.cuts.is_empty() {
            return (String::new(), Vec::new());
        }
        let (mut scale, mut ticks) = (String::new(), Vec::new());
        if !turned {
            let zero = self.column(self.end_trim, width);
            scale = format!("{}0", blanks(zero));
            ticks.push(zero);
        }
        for cut in self.cuts.iter().filter(|cut| cut.turned == turned) {
            let end = self.column(cut.to, width);
            let apart = if scale.is_empty() { 0 } else { 2 };
            let needed = width_of(&scale) + apart + width_of(&cut.place_text);
            if end >= needed && end <= width {
                let gap = end - width_of(&scale) - width_of(&cut.place_text);
                scale.push_str(&blanks(gap));
                scale.push_str(&cut.place_text);
                ticks.push(end - 1);
            }
        }
        (scale, ticks)
    }
}

/// Draws a stretch from which nothing is cut into the columns `from..to`; `label` is its text and whether it is kept.
fn draw_gap(
    outer: &mut Row,
    sight: &mut Row,
    (from, to): (usize, usize),
    (text, is_kept): (&str, bool),
    glyphs: Glyphs,
) {
    if !is_kept {
        outer.fill(from, to, glyphs.scrap, Tone::Faint);
        sight.fill(from, to, glyphs.scrap, Tone::Faint);
    }
    let tone = if is_kept { Tone::Good } else { Tone::Faint };
    let text = format!(" {text} ");
    if sight.center(from + 1, to, &text, tone) && is_kept {
        outer.center(from + 1, to, "keep", tone);
    }
}

/// Draws one part into the columns `from..to`, which are not empty.
fn draw_cut(
    outer: &mut Row,
    sight: &mut Row,
    (from, to): (usize, usize),
    cut: &BarCut,
    number: &str,
    left_edge_drawn: bool,
    glyphs: Glyphs,
) {
    let width = to - from;
    let (outer_inside, sight_inside) = match cut.miter {
        Miter::Square => {
            for row in [&mut *outer, &mut *sight] {
                if !left_edge_drawn && width > 1 {
                    row.put(from, glyphs.square, Tone::Plain);
                }
                row.put(to - 1, glyphs.square, Tone::Plain);
            }
            let left = from + usize::from(!left_edge_drawn);
            ((left, to - 1), (left, to - 1))
        }
        Miter::Corner { .. } => {
            if width > 1 {
                outer.put(from, glyphs.falling, Tone::Plain);
                outer.put(to - 1, glyphs.rising, Tone::Plain);
            } else {
                outer.put(from, glyphs.tip, Tone::Plain);
            }
            if width >= 4 {
                sight.put(from + 1, glyphs.falling, Tone::Plain);
                sight.put(to - 2, glyphs.rising, Tone::Plain);
            } else if width == 3 {
                sight.put(from + 1, glyphs.tip, Tone::Plain);
            }
            (
                (from + 1, to.saturating_sub(1)),
                (from + 2, to.saturating_sub(2)),
            )
        }
    };
    outer.center(outer_inside.0, outer_inside.1, number, Tone::Strong);
    sight.center(
        sight_inside.0,
        sight_inside.1,
        &cut.length_text,
        Tone::Plain,
    );
}

/// `part / whole` of `columns`, to the nearest column.
fn scaled(part: Length, whole: Length, columns: usize) -> usize {
    if whole <= Length::ZERO {
        return 0;
    }
    let whole = i128::from(whole.nm());
    let wide = i128::try_from(columns).expect("a line of text is short");
    let scaled = (i128::from(part.nm()) * wide + whole / 2) / whole;
    usize::try_from(scaled.clamp(0, wide)).expect("clamped to the columns there are")
}

#[cfg(test)]
mod tests;

//! A sheet of glass or board drawn to scale, with the numbers of its pieces.
//!
//! ```text
//!  ┌───────────┬───────────┬─────┐
//!  │     1     │     2     │░░░░░│
//!  │  11 × 14  │  11 × 14  │░░░░░│
//!  ├───────────┼───────────┼─────┤
//! ```
//!
//! A column of the terminal counts as half as wide as a line is high. What is too small for its number has none; the list
//! of cuts has it.

use crate::length::Length;
use crate::report::document::{DrawnPanel, PanelDrawing, Tone};

use super::figures::Figures;
use super::layout::width_of;

/// No drawing is higher, in lines.
const MOST_LINES: usize = 24;

/// Where lines of the drawing run: from each crossing to the right, and downwards.
struct Grid {
    columns: usize,
    lines: usize,
    right: Vec<Vec<bool>>,
    down: Vec<Vec<bool>>,
}

/// A rectangle in columns and lines: left, right, top, bottom.
#[derive(Clone, Copy)]
struct Frame {
    left: usize,
    right: usize,
    top: usize,
    bottom: usize,
}

/// The lines of the picture; `columns` is what there is for the longest side.
pub(super) fn panel_lines(
    drawing: &PanelDrawing,
    columns: usize,
    figures: Figures<'_>,
) -> Vec<String> {
    // Columns for the longest side, so that a sheet as long is not too high when it stands.
    let columns = columns.min(MOST_LINES * 2);
    let scaled = |length: Length, to: usize| -> usize {
        let to = i128::try_from(to).unwrap_or(0);
        let longest = i128::from(drawing.longest.nm()).max(1);
        let half = longest / 2;
        usize::try_from((i128::from(length.nm()) * to + half) / longest).unwrap_or(0)
    };
    let across = |length: Length| scaled(length, columns);
    let up = |length: Length| scaled(length, columns / 2);
    let (width, height) = (across(drawing.width).max(2), up(drawing.height).max(2));
    let mut grid = Grid::new(width, height);
    let frame = |panel: &DrawnPanel| Frame {
        left: across(panel.left).min(width),
        right: across(panel.left + panel.width).min(width),
        top: height - up(panel.bottom + panel.height).min(height),
        bottom: height - up(panel.bottom).min(height),
    };
    grid.outline(Frame {
        left: 0,
        right: width,
        top: 0,
        bottom: height,
    });
    for panel in drawing.pieces.iter().chain(&drawing.kept) {
        grid.outline(frame(panel));
    }
    let ink = figures.ink;
    let mut cells = vec![vec![(ink.drawing().scrap, Tone::Faint); width + 1]; height + 1];
    for (panel, is_kept) in (drawing.pieces.iter().map(|panel| (panel, false)))
        .chain(drawing.kept.iter().map(|panel| (panel, true)))
    {
        let own = frame(panel);
        for line in cells.iter_mut().take(own.bottom).skip(own.top) {
            for cell in line.iter_mut().take(own.right).skip(own.left) {
                *cell = (' ', Tone::Plain);
            }
        }
        let size = ink.signs(&format!(
            "{} × {}",
            figures.there(panel.width),
            figures.there(panel.height)
        ));
        let texts = if is_kept {
            [("keep".to_owned(), Tone::Good), (size, Tone::Good)]
        } else {
            [
                (panel.number.to_string(), Tone::Strong),
                (size, Tone::Plain),
            ]
        };
        write_inside(&mut cells, own, &texts);
    }
    for (line, row) in cells.iter_mut().enumerate() {
        for (column, cell) in row.iter_mut().enumerate() {
            if let Some(joint) = grid.joint(column, line) {
                *cell = (ink.joint(joint), Tone::Faint);
            }
        }
    }
    let painted = cells.into_iter().map(|row| {
        let runs = row.chunk_by(|one, next| one.1 == next.1);
        let runs = runs.map(|run| {
            let text: String = run.iter().map(|(symbol, _)| symbol).collect();
            ink.paint(run[0].1, &text)
        });
        format!(" {}", runs.collect::<String>())
    });
    painted.collect()
}

/// Writes what fits into a rectangle, in its middle: all lines, or the first alone.
fn write_inside(cells: &mut [Vec<(char, Tone)>], own: Frame, texts: &[(String, Tone)]) {
    let room = own.right.saturating_sub(own.left + 1);
    let lines = own.bottom.saturating_sub(own.top + 1);
    let fit = |texts: &[(String, Tone)]| {
        texts.len() <= lines && texts.iter().all(|(text, _)| width_of(text) <= room)
    };
    let texts = if fit(texts) { texts } else { &texts[..1] };
    if !fit(texts) {
        return;
    }
    let first = own.top + 1 + (lines - texts.len()) / 2;
    for (nth, (text, tone)) in texts.iter().enumerate() {
        let start = own.left + 1 + (room - width_of(text)) / 2;
        for (offset, symbol) in text.chars().enumerate() {
            cells[first + nth][start + offset] = (symbol, *tone);
        }
    }
}

impl Grid {
    fn new(columns: usize, lines: usize) -> Grid {
        Grid {
            columns,
            lines,
            right: vec![vec![false; columns + 1]; lines + 1],
            down: vec![vec![false; columns + 1]; lines + 1],
        }
    }

    fn outline(&mut self, own: Frame) {
        for line in [own.top, own.bottom] {
            for column in own.left..own.right {
                self.right[line][column] = true;
            }
        }
        for column in [own.left, own.right] {
            for line in own.top..own.bottom {
                self.down[line][column] = true;
            }
        }
    }

    /// Which lines meet at a crossing: left, right, up, down; `None` where none does.
    fn joint(&self, column: usize, line: usize) -> Option<[bool; 4]> {
        debug_assert!(column <= self.columns && line <= self.lines);
        let joint = [
            column > 0 && self.right[line][column - 1],
            self.right[line][column],
            line > 0 && self.down[line - 1][column],
            self.down[line][column],
        ];
        joint.contains(&true).then_some(joint)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Display, SheetTrim};
    use crate::report::samples;
    use crate::report::text::ink::{Ink, Look};

    fn piece(number: u32, [left, bottom, width, height]: [i64; 4]) -> DrawnPanel {
        DrawnPanel {
            number,
            left: Length::INCH * left,
            bottom: Length::INCH * bottom,
            width: Length::INCH * width,
            height: Length::INCH * height,
        }
    }

    #[test]
    fn pieces_lie_in_their_strips_and_the_rest_is_kept_or_scrap() {
        let drawing = PanelDrawing {
            width: Length::INCH * 40,
            height: Length::INCH * 32,
            longest: Length::INCH * 40,
            trim: SheetTrim::default(),
            pieces: vec![
                piece(1, [0, 0, 16, 12]),
                piece(2, [16, 0, 16, 12]),
                piece(3, [0, 12, 20, 8]),
            ],
            kept: vec![piece(0, [0, 20, 40, 12])],
        };
        let display: Display = samples::job().display.clone();
        let lines = |unicode| {
            let look = Look {
                width: 80,
                color: false,
                unicode,
            };
            panel_lines(&drawing, 40, Figures::new(&display, Ink::new(look), 20)).join("\n")
        };
        insta::assert_snapshot!(lines(true), @r#"
 ┌───────────────────────────────────────┐
 │                                       │
 │                 keep                  │
 │                40 × 12                │
 │                                       │
 │                                       │
 ├───────────────────┬───────────────────┤
 │         3         │░░░░░░░░░░░░░░░░░░░│
 │      20 × 8       │░░░░░░░░░░░░░░░░░░░│
 │                   │░░░░░░░░░░░░░░░░░░░│
 ├───────────────┬───┴───────────┐░░░░░░░│
 │               │               │░░░░░░░│
 │       1       │       2       │░░░░░░░│
 │    16 × 12    │    16 × 12    │░░░░░░░│
 │               │               │░░░░░░░│
 │               │               │░░░░░░░│
 └───────────────┴───────────────┴───────┘
"#);
        insta::assert_snapshot!(lines(false), @r#"
 +---------------------------------------+
 |                                       |
 |                 keep                  |
 |                40 x 12                |
 |                                       |
 |                                       |
 +-------------------+-------------------+
 |         3         |:::::::::::::::::::|
 |      20 x 8       |:::::::::::::::::::|
 |                   |:::::::::::::::::::|
 +---------------+---+-----------+:::::::|
 |               |               |:::::::|
 |       1       |       2       |:::::::|
 |    16 x 12    |    16 x 12    |:::::::|
 |               |               |:::::::|
 |               |               |:::::::|
 +---------------+---------------+-------+
"#);
    }
}

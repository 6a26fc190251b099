//! A ripped board seen from above: its strips as they lie side by side, each with its parts.
//!
//! ```text
//!  ┌─ strip 1: 2 1/8 wide, gallery cap ──────────┐
//!  │░╲       1       ╱╲       2       ╱         ░│
//!  │░ ╲   19 5/8    ╱  ╲     16      ╱   9 5/8  ░│
//!  ├─ strip 2: 1 3/8 wide, liner ────────────────┤
//!  │░│   1   │   2   │                          ░│
//!  │░│  10   │  10   │          25 1/2          ░│
//!  ├─ edge: ~9/16 wide, scrap ───────────────────┤
//!  │░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░│
//!  └─────────────────────────────────────────────┘
//! ```
//!
//! Lengths are to scale, widths are told by the labels.

use crate::length::Length;
use crate::report::ink::{Ink, Tone};
use crate::report::layout::{fit, width_of};

use super::{Bar, Row};

/// What is to be drawn.
#[derive(Clone, Debug)]
pub(in crate::report) struct RippedBar {
    /// Each strip with its label, from the straightened edge on; not empty.
    pub(in crate::report) strips: Vec<(String, Bar)>,
    /// What is left beside them, if anything.
    pub(in crate::report) edge: Option<EdgeBar>,
}

/// The piece left beside the strips.
#[derive(Clone, Debug)]
pub(in crate::report) struct EdgeBar {
    /// Its label.
    pub(in crate::report) label: String,
    /// Whether it is kept; if not it is drawn as scrap.
    pub(in crate::report) is_kept: bool,
}

impl RippedBar {
    /// The lines of the picture; `columns` is what the `longest` board of the sheet takes inside its two ends.
    pub(in crate::report) fn lines(
        &self,
        longest: Length,
        columns: usize,
        ink: Ink,
    ) -> Vec<String> {
        let glyphs = ink.drawing();
        let Some((_, first)) = self.strips.first() else {
            return Vec::new();
        };
        let width = first.columns(longest, columns);
        let line = |[left, middle, right]: [char; 3], label: &str| {
            let room = width.saturating_sub(4);
            let label = fit(label, room, ink);
            if label.is_empty() {
                let rule: String = std::iter::repeat_n(middle, width).collect();
                return format!(
                    " {}",
                    ink.paint(Tone::Faint, &format!("{left}{rule}{right}"))
                );
            }
            let rest = width - 3 - width_of(&label);
            let rule: String = std::iter::repeat_n(middle, rest).collect();
            format!(
                " {}{}{}",
                ink.paint(Tone::Faint, &format!("{left}{middle} ")),
                ink.paint(Tone::Plain, &label),
                ink.paint(Tone::Faint, &format!(" {rule}{right}"))
            )
        };
        let side = ink.paint(Tone::Faint, &glyphs.side.to_string());
        let inside = |row: &Row| format!(" {side}{}{side}", row.painted(ink));
        let mut lines = Vec::new();
        for (idx, (label, bar)) in self.strips.iter().enumerate() {
            let edge = if idx == 0 { glyphs.top } else { glyphs.rip };
            lines.push(line(edge, label));
            let (outer, sight) = bar.rows(width, glyphs);
            lines.push(inside(&outer));
            lines.push(inside(&sight));
        }
        if let Some(edge) = &self.edge {
            lines.push(line(glyphs.rip, &edge.label));
            let mut row = Row::new(width);
            if edge.is_kept {
                row.center(0, width, "keep", Tone::Good);
            } else {
                row.fill(0, width, glyphs.scrap, Tone::Faint);
            }
            lines.push(inside(&row));
        }
        lines.push(line(glyphs.bottom, ""));
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Miter;
    use crate::report::bar::BarCut;
    use crate::report::ink::Look;

    fn strip(lengths: &[i64], miter: Miter) -> Bar {
        let mut from = Length::INCH;
        let mut cuts = Vec::new();
        for &length in lengths {
            let to = from + Length::INCH * length;
            cuts.push(BarCut {
                number: cuts.len() + 1,
                from,
                to,
                miter,
                length_text: length.to_string(),
                place_text: String::new(),
                turned: false,
                shares: false,
            });
            from = to;
        }
        Bar {
            board: Length::INCH * 46,
            end_trim: Length::INCH,
            cuts,
            offcut: Length::INCH * 45 - from,
            offcut_text: "left".to_owned(),
            offcut_kept: true,
            gaps: Vec::new(),
            defects: Vec::new(),
        }
    }

    #[test]
    fn strips_lie_side_by_side_with_their_labels() {
        let bar = RippedBar {
            strips: vec![
                (
                    "strip 1: 2 1/8 wide".to_owned(),
                    strip(&[16, 12], Miter::RECTANGLE),
                ),
                (
                    "strip 2: 1 3/8 wide".to_owned(),
                    strip(&[8, 8], Miter::Square),
                ),
            ],
            edge: Some(EdgeBar {
                label: "edge: 9/16 wide, scrap".to_owned(),
                is_kept: false,
            }),
        };
        let lines = |unicode| {
            let look = Look {
                width: 80,
                color: false,
                unicode,
            };
            bar.lines(Length::INCH * 46, 46, Ink::new(look)).join("\n")
        };
        insta::assert_snapshot!(lines(true), @r#"
 ┌─ strip 1: 2 1/8 wide ────────────────────────┐
 │░╲      1       ╱╲    2     ╱      keep      ░│
 │░ ╲     16     ╱  ╲   12   ╱       left      ░│
 ├─ strip 2: 1 3/8 wide ────────────────────────┤
 │░│  1   │   2   │            keep            ░│
 │░│  8   │   8   │            left            ░│
 ├─ edge: 9/16 wide, scrap ─────────────────────┤
 │░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░│
 └──────────────────────────────────────────────┘
"#);
        insta::assert_snapshot!(lines(false), @r#"
 +- strip 1: 2 1/8 wide ------------------------+
 |:\      1       /\    2     /      keep      :|
 |: \     16     /  \   12   /       left      :|
 +- strip 2: 1 3/8 wide ------------------------+
 |:|  1   |   2   |            keep            :|
 |:|  8   |   8   |            left            :|
 +- edge: 9/16 wide, scrap ---------------------+
 |::::::::::::::::::::::::::::::::::::::::::::::|
 +----------------------------------------------+
"#);
    }
}

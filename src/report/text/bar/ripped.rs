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

use crate::report::document::{self, Tone};
use crate::report::text::figures::Figures;
use crate::report::text::layout::{fit, width_of};

use super::{Bar, Row};

/// The lines of the picture; `columns` is what the longest board of the document takes inside its two ends.
pub(super) fn ripped_lines(
    drawing: &document::Drawing,
    columns: usize,
    figures: Figures<'_>,
) -> Vec<String> {
    let ink = figures.ink;
    let strips: Vec<(String, Bar)> = drawing
        .strips
        .iter()
        .map(|strip| (figures.set(&strip.label), Bar::new(drawing, strip, figures)))
        .collect();
    let glyphs = ink.drawing();
    let Some((_, first)) = strips.first() else {
        return Vec::new();
    };
    let width = first.columns(drawing.longest, columns);
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
    let mut edges = drawing.edges.iter().peekable();
    let mut rule = glyphs.top;
    let edge_lines = |edge: &document::DrawnEdge, rule| {
        let mut row = Row::new(width);
        if edge.is_kept {
            row.center(0, width, "keep", Tone::Good);
        } else {
            row.fill(0, width, glyphs.scrap, Tone::Faint);
        }
        [line(rule, &figures.set(&edge.label)), inside(&row)]
    };
    for ((label, bar), strip) in strips.iter().zip(&drawing.strips) {
        while let Some(edge) = edges.next_if(|edge| edge.from_edge < strip.from_edge) {
            lines.extend(edge_lines(edge, rule));
            rule = glyphs.rip;
        }
        lines.push(line(rule, label));
        rule = glyphs.rip;
        let (outer, sight) = bar.rows(width, glyphs);
        lines.push(inside(&outer));
        lines.push(inside(&sight));
    }
    for edge in edges {
        lines.extend(edge_lines(edge, rule));
    }
    lines.push(line(glyphs.bottom, ""));
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Miter;
    use crate::job::Display;
    use crate::length::Length;
    use crate::report::document::{DrawnCut, DrawnEdge, DrawnRest, DrawnStrip, Text};
    use crate::report::samples;
    use crate::report::text::ink::{Ink, Look};

    fn strip(label: &str, lengths: &[i64], miter: Miter) -> DrawnStrip {
        let mut from = Length::INCH;
        let mut cuts = Vec::new();
        for (number, &length) in (1..).zip(lengths) {
            let to = from + Length::INCH * length;
            cuts.push(DrawnCut {
                number,
                name: Text::default(),
                from,
                to,
                stop: to - from,
                width: None,
                miter,
                on_edge: false,
                is_turned: false,
                shares_cut: false,
            });
            from = to;
        }
        DrawnStrip {
            label: label.into(),
            marks: Vec::new(),
            from_edge: Length::ZERO,
            width: None,
            cuts,
            left: vec![DrawnRest {
                from,
                to: Length::INCH * 45,
                is_kept: true,
            }],
            defects: Vec::new(),
        }
    }

    #[test]
    fn strips_lie_side_by_side_with_their_labels() {
        let drawing = document::Drawing {
            length: Length::INCH * 46,
            width: None,
            longest: Length::INCH * 46,
            end_trim: Length::INCH,
            kerf: Length::ZERO,
            rip_kerf: Length::ZERO,
            is_ripped: true,
            strips: vec![
                strip("strip 1: 2 1/8 wide", &[16, 12], Miter::RECTANGLE),
                strip("strip 2: 1 3/8 wide", &[8, 8], Miter::Square),
            ],
            edges: vec![DrawnEdge {
                label: "edge: 9/16 wide, scrap".into(),
                from_edge: Length::INCH * 40,
                width: Length::INCH,
                is_kept: false,
            }],
            defects: Vec::new(),
        };
        let display: Display = samples::job().display.clone();
        let lines = |unicode| {
            let look = Look {
                width: 80,
                color: false,
                unicode,
            };
            let figures = Figures::new(&display, Ink::new(look), 20);
            ripped_lines(&drawing, 46, figures).join("\n")
        };
        insta::assert_snapshot!(lines(true), @r#"
 ┌─ strip 1: 2 1/8 wide ────────────────────────┐
 │░╲      1       ╱╲    2     ╱      keep      ░│
 │░ ╲     16     ╱  ╲   12   ╱        16       ░│
 ├─ strip 2: 1 3/8 wide ────────────────────────┤
 │░│  1   │   2   │            keep            ░│
 │░│  8   │   8   │             28             ░│
 ├─ edge: 9/16 wide, scrap ─────────────────────┤
 │░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░│
 └──────────────────────────────────────────────┘
"#);
        insta::assert_snapshot!(lines(false), @r#"
 +- strip 1: 2 1/8 wide ------------------------+
 |:\      1       /\    2     /      keep      :|
 |: \     16     /  \   12   /        16       :|
 +- strip 2: 1 3/8 wide ------------------------+
 |:|  1   |   2   |            keep            :|
 |:|  8   |   8   |             28             :|
 +- edge: 9/16 wide, scrap ---------------------+
 |::::::::::::::::::::::::::::::::::::::::::::::|
 +----------------------------------------------+
"#);
    }
}

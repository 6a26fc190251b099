//! A drawing of a board in words, for whoever hears it.

use crate::job::Display;
use crate::length::Length;
use crate::plan::CutLabel;
use crate::report::document::{BoardSheet, Drawing, Show, Text};

use super::figure::Figure;
use super::xml::isolated;

/// What is drawn.
pub(super) fn title(sheet: &BoardSheet, drawing: &Drawing, display: &Display) -> String {
    let plain = |text: &Text| text.plain(display, isolated);
    let mut title = format!("{}: {}", plain(&sheet.label), plain(&sheet.name));
    let several = sheet.drawings.len() > 1;
    if let Some(strip) = drawing.strips.first().filter(|_| several) {
        title = format!("{title}, {}", plain(&strip.label));
    } else {
        title = format!("{title}, {}", plain(&sheet.detail));
    }
    title
}

/// A line for each cut, and one for what is left.
pub(super) fn description(drawing: &Drawing, display: &Display) -> Vec<String> {
    let figure = |length: Length, show: Show| Figure::new(display, length, show).text();
    let mut lines = Vec::new();
    for strip in &drawing.strips {
        if drawing.is_ripped {
            lines.push(strip.label.plain(display, isolated));
        }
        for cut in &strip.cuts {
            let number = cut.number;
            let (label, name) = match strip.marks[..] {
                [strip] => (
                    CutLabel { strip, cut: number }.to_string(),
                    format!(", {}", cut.name.plain(display, isolated)),
                ),
                // Boards that are cut alike have other parts at the same place.
                _ => (format!("cut {number}"), String::new()),
            };
            let turned = if cut.is_turned {
                ", outer edge below"
            } else {
                ""
            };
            let length = figure(cut.to - cut.from, Show::NeededWithUnit);
            let stop = if cut.stop == cut.to - cut.from {
                String::new()
            } else {
                format!(
                    "stop {}, long point ",
                    figure(cut.stop, Show::NeededWithUnit)
                )
            };
            lines.push(format!("{label}: {stop}{length}{name}{turned}"));
        }
        for rest in &strip.left {
            let length = figure(rest.to - rest.from, Show::ThereWithUnit);
            let fate = if rest.is_kept {
                "back to the rack"
            } else {
                "scrap"
            };
            lines.push(format!("left: {length}, {fate}"));
        }
    }
    for edge in &drawing.edges {
        lines.push(edge.label.plain(display, isolated));
    }
    for defect in &drawing.defects {
        let place = |at: Length| figure(at - drawing.end_trim, Show::Place);
        let what = if defect.is_gone { "gone" } else { "defect" };
        lines.push(format!(
            "{what} from {} to {}",
            place(defect.from),
            place(defect.to)
        ));
    }
    lines
}

//! A sheet of glass or board as it is cut, to scale both ways.
//!
//! It holds, in `<g class="geo">`, exact millimeters of the sheet to three decimals, measured from its upper left corner: a
//! `<rect class="pane">` for each piece with `data-piece`, its number on the sheet.
//! Figures and hatches stand outside of that group, in millimeters of paper.

use crate::job::Display;
use crate::length::Length;
use crate::report::document::{DrawnPanel, PanelDrawing, PanelSheet, Show, Text};

use super::figure::Figure;
use super::labelled::{FREE, plated};
use super::scale::{Area, Scale, Sheet};
use super::strokes::{self, area, half, hundredths, words};
use super::wood::Patch;
use super::xml::{Element, isolated};

/// The longest side of the sheets of a material on paper.
const LONGEST: Length = Length::from_nm(110_000_000);

/// Room for lines that are half outside.
const MARGIN: Length = Length::from_nm(600_000);

/// The largest figure on paper.
const FIGURE: Length = Length::from_nm(4_500_000);

/// The smallest that can be read.
const SMALLEST: Length = Length::from_nm(2_000_000);

/// A drawing of a sheet, of which `id` is the beginning of its ids.
///
/// Needs the patterns of [`super::defs`] and the style of [`super::CSS`] on the page.
pub fn panel(sheet: &PanelSheet, display: &Display, id: &str) -> String {
    let drawing = &sheet.drawing;
    let scale = Scale::new(LONGEST, drawing.longest);
    let on = Sheet {
        along: scale,
        across: scale,
        left: MARGIN,
        top: MARGIN,
    };
    let size = (
        scale.of(drawing.width) + MARGIN * 2,
        scale.of(drawing.height) + MARGIN * 2,
    );
    let plain = |text: &Text| text.plain(display, isolated);
    let title = format!(
        "{}: {}, {}",
        plain(&sheet.label),
        plain(&sheet.name),
        plain(&sheet.detail)
    );
    let mut svg = strokes::drawing("dw-panel", id, size, &title, &description(drawing, display));
    let whole = on.area(Patch {
        along: (Length::ZERO, drawing.width),
        across: (Length::ZERO, drawing.height),
    });
    svg.push(&area("scrap", whole));
    let mut geometry = Element::new("g")
        .set("class", "geo")
        .set("transform", on.transform());
    for piece in &drawing.pieces {
        let patch = patch(drawing, piece);
        geometry.push(
            &Element::new("rect")
                .set("class", "pane")
                .set("data-piece", piece.number)
                .mm("x", patch.along.0)
                .mm("y", patch.across.0)
                .mm("width", piece.width)
                .mm("height", piece.height),
        );
    }
    svg.push(&geometry);
    for kept in &drawing.kept {
        let room = on.area(patch(drawing, kept));
        svg.push(&area("keep", room));
        for element in plated("keep", &by(display, kept), room) {
            svg.push(&element);
        }
    }
    for piece in &drawing.pieces {
        let room = on.area(patch(drawing, piece));
        for element in labelled(piece, display, room) {
            svg.push(&element);
        }
    }
    svg.push(&area("whole", whole));
    svg.to_string()
}

/// Where a piece lies from the upper left corner.
fn patch(drawing: &PanelDrawing, piece: &DrawnPanel) -> Patch {
    let top = drawing.height - piece.bottom - piece.height;
    Patch {
        along: (piece.left, piece.left + piece.width),
        across: (top, top + piece.height),
    }
}

/// Width and height as a figure.
fn by(display: &Display, piece: &DrawnPanel) -> Figure {
    let side = |length: Length| Figure::new(display, length, Show::There);
    Figure::by(&side(piece.width), &side(piece.height))
}

/// The number of a piece and its size, as far as there is room: both, the number alone, or nothing.
fn labelled(piece: &DrawnPanel, display: &Display, room: Area) -> Vec<Element> {
    let (x, y) = room.middle();
    let figure = by(display, piece);
    let number = piece.number.to_string();
    let sizes = [100, 80, 60, 45].map(|share| hundredths(FIGURE, share));
    let fits = |&size: &Length| {
        figure.width(size) + FREE * 2 <= room.width && hundredths(size, 240) <= room.height
    };
    if let Some(size) = sizes.into_iter().find(fits) {
        let baseline = y + hundredths(size, 100);
        return vec![
            words(&number, (x, y - hundredths(size, 55)), size, "num"),
            figure.svg("fig", (x, baseline), hundredths(size, 85)),
        ];
    }
    let size = FIGURE.min(hundredths(room.width.min(room.height), 70));
    if size < SMALLEST {
        return Vec::new();
    }
    vec![words(&number, (x, y), size - half(FREE), "num")]
}

/// A line for each piece, and one for what is kept.
fn description(drawing: &PanelDrawing, display: &Display) -> Vec<String> {
    let figure = |length: Length| Figure::new(display, length, Show::There).text();
    let pieces = drawing.pieces.iter().map(|piece| {
        format!(
            "{}: {} × {}, {} from the left, {} from below",
            piece.number,
            figure(piece.width),
            figure(piece.height),
            figure(piece.left),
            figure(piece.bottom)
        )
    });
    let kept = drawing.kept.iter().map(|piece| {
        format!(
            "left: {} × {}, back to the rack",
            figure(piece.width),
            figure(piece.height)
        )
    });
    pieces.chain(kept).collect()
}

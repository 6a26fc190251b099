//! Boards at true scale and with true angles, as a file of their own: a millimeter of it is one of wood.

use crate::job::Display;
use crate::length::Length;
use crate::report::document::{BoardSheet, Drawing};

use super::board::draw;
use super::described::{description, title};
use super::scale::{Scale, Sheet};
use super::style::{hatches, style};
use super::wood::laid;
use super::xml::{Element, Mm};

/// The largest figure.
const FIGURE: Length = Length::from_nm(10_000_000);

/// Drawings as a file of their own, an SVG document at true scale and with true angles: a millimeter of it is one of wood. They
/// stand one below the other.
pub fn true_scale(drawings: &[(&BoardSheet, &Drawing)], display: &Display) -> String {
    let mut width = Length::ZERO;
    let mut height = Length::ZERO;
    let mut drawn = Vec::new();
    for (at, (sheet, drawing)) in drawings.iter().enumerate() {
        let (svg, size) = at_true_scale(sheet, drawing, display, &format!("board-{at}"));
        drawn.push(svg.mm("y", height));
        width = width.max(size.0);
        height += size.1;
    }
    let mut svg = Element::new("svg")
        .set("xmlns", "http://www.w3.org/2000/svg")
        .set("width", format!("{}mm", Mm(width)))
        .set("height", format!("{}mm", Mm(height)))
        .set("viewBox", format!("0 0 {} {}", Mm(width), Mm(height)))
        .with(&style())
        .with(&hatches());
    for drawn in &drawn {
        svg.push(drawn);
    }
    svg.to_string()
}

/// One drawing at true scale, and its size.
fn at_true_scale(
    sheet: &BoardSheet,
    drawing: &Drawing,
    display: &Display,
    id: &str,
) -> (Element, (Length, Length)) {
    let wood = laid(drawing);
    let (side, top) = (Length::MILLIMETRE * 5, Length::MILLIMETRE * 18);
    let on = Sheet {
        along: Scale::TRUE,
        across: Scale::TRUE,
        left: side,
        top,
    };
    let (width, height) = (wood.length + side * 2, wood.width + top + side);
    let title = title(sheet, drawing, display);
    let mut svg = Element::new("svg")
        .set("class", "dw")
        .mm("width", width)
        .mm("height", height)
        .set("viewBox", format!("0 0 {} {}", Mm(width), Mm(height)))
        .set("role", "img")
        .set("aria-labelledby", format!("{id}-t {id}-d"))
        .with(
            &Element::new("title")
                .set("id", format!("{id}-t"))
                .text(&title),
        )
        .with(
            &Element::new("desc")
                .set("id", format!("{id}-d"))
                .text(&description(drawing, display).join("\n")),
        );
    svg.push(
        &Element::new("rect")
            .set("class", "sheet")
            .mm("width", width)
            .mm("height", height),
    );
    svg.push(
        &Element::new("text")
            .set("class", "head")
            .mm("x", side)
            .mm("y", top - Length::MILLIMETRE * 6)
            .mm("font-size", Length::MILLIMETRE * 9)
            .text(&title),
    );
    draw(&mut svg, &wood, &on, display, FIGURE);
    (svg, (width, height))
}

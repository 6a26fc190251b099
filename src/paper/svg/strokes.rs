//! What drawings have in common: rectangles, words, dimension lines.

use crate::length::Length;

use super::figure::{Figure, wide};
use super::scale::Area;
use super::xml::{Element, Mm, points};

pub(super) fn area(class: &str, area: Area) -> Element {
    Element::new("rect")
        .set("class", class)
        .mm("x", area.x)
        .mm("y", area.y)
        .mm("width", area.width)
        .mm("height", area.height)
}

/// Half of a length.
pub(super) fn half(length: Length) -> Length {
    Length::from_nm(length.nm() / 2)
}

/// A share of a length, in hundredths.
pub(super) fn hundredths(length: Length, share: i64) -> Length {
    Length::from_nm(length.nm() * share / 100)
}

/// Words in the middle of a place.
pub(super) fn words(text: &str, (x, y): (Length, Length), size: Length, class: &str) -> Element {
    Element::new("text")
        .set("class", class)
        .mm("x", x)
        .mm("y", y + hundredths(size, 36))
        .mm("font-size", size)
        .set("text-anchor", "middle")
        .text(text)
}

/// Words that begin at a place, in the middle of the height of their figures, cut off with an ellipsis where they are
/// wider than `room`.
pub(super) fn words_from(
    text: &str,
    (x, y): (Length, Length),
    size: Length,
    class: &str,
    room: Length,
) -> Element {
    Element::new("text")
        .set("class", class)
        .mm("x", x)
        .mm("y", y + hundredths(size, 36))
        .mm("font-size", size)
        .text(&fitted(text, size, room))
}

/// As much of a text as has room, with an ellipsis where that is not all.
pub(super) fn fitted(text: &str, size: Length, room: Length) -> String {
    if wide(text, size) <= room {
        return text.to_owned();
    }
    let mut kept = String::new();
    for symbol in text.chars() {
        kept.push(symbol);
        if wide(&kept, size) + wide("…", size) > room {
            kept.pop();
            break;
        }
    }
    format!("{}…", kept.trim_end())
}

/// A straight line.
pub(super) fn line(
    class: &str,
    (x, y): (Length, Length),
    (to_x, to_y): (Length, Length),
) -> Element {
    let d = format!("M{} {}L{} {}", Mm(x), Mm(y), Mm(to_x), Mm(to_y));
    Element::new("path").set("class", class).set("d", d)
}

/// A closed outline.
pub(super) fn outline(class: &str, corners: &[(Length, Length)]) -> Element {
    Element::new("polygon")
        .set("class", class)
        .set("points", points(corners))
}

/// Half as long as the strokes that end a dimension line.
const STROKE: Length = Length::from_nm(1_200_000);

/// A dimension line across the page, with its figure below.
pub(super) fn across(
    y: Length,
    (from, to): (Length, Length),
    figure: &Figure,
    size: Length,
) -> Vec<Element> {
    let stroke = |x: Length| line("dim", (x, y - STROKE), (x, y + STROKE));
    let middle = from + half(to - from);
    let baseline = y + Length::MILLIMETRE + hundredths(size, 78);
    vec![
        line("dim", (from, y), (to, y)),
        stroke(from),
        stroke(to),
        figure.svg("fig", (middle, baseline), size),
    ]
}

/// A dimension line down the page, with its figure on its right: upright where that is asked for, else read from the right.
pub(super) fn down(
    x: Length,
    (from, to): (Length, Length),
    figure: &Figure,
    size: Length,
    is_upright: bool,
) -> Vec<Element> {
    let stroke = |y: Length| line("dim", (x - STROKE, y), (x + STROKE, y));
    let middle = from + half(to - from);
    let figure = if is_upright {
        let beside = x + Length::from_nm(1_800_000) + half(figure.width(size));
        figure.svg("fig", (beside, middle + hundredths(size, 36)), size)
    } else {
        let beside = x + Length::MILLIMETRE + hundredths(size, 78);
        let turned = format!("rotate(-90 {} {})", Mm(beside), Mm(middle));
        figure
            .svg("fig", (beside, middle), size)
            .set("transform", turned)
    };
    vec![
        line("dim", (x, from), (x, to)),
        stroke(from),
        stroke(to),
        figure,
    ]
}

/// The beginning of a drawing of its own size in millimeters, with its title and a description of a line for each thing.
pub(super) fn drawing(
    class: &str,
    id: &str,
    (width, height): (Length, Length),
    title: &str,
    description: &[String],
) -> Element {
    Element::new("svg")
        .set("class", format!("dw {class}"))
        .set("width", format!("{}mm", Mm(width)))
        .set("height", format!("{}mm", Mm(height)))
        .set("viewBox", format!("0 0 {} {}", Mm(width), Mm(height)))
        .set("role", "img")
        .set("aria-labelledby", format!("{id}-t {id}-d"))
        .with(
            &Element::new("title")
                .set("id", format!("{id}-t"))
                .text(title),
        )
        .with(
            &Element::new("desc")
                .set("id", format!("{id}-d"))
                .text(&description.join("\n")),
        )
}

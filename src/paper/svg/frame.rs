//! A frame from the front: outside, sight size, windows and artwork to one scale, with their figures.

use crate::frame::{Borders, FrameSizes, Miter, Outline, Window};
use crate::job::Display;
use crate::length::Length;
use crate::report::document::Show;

use super::figure::{Figure, wide};
use super::scale::Scale;
use super::strokes::{across, down, drawing, half, hundredths, line, outline, words};
use super::xml::{Element, Mm, isolated};

/// What is seen of a frame.
#[derive(Clone, Copy, Debug)]
pub struct Front<'a> {
    /// Its name.
    pub name: &'a str,
    /// Over everything.
    pub outside: Outline,
    /// What is seen through it.
    pub sight: Outline,
    /// What the rabbet holds, or the artwork of a tray: windows and artwork are measured from its edges.
    pub package: Outline,
    /// The sizes of the frames inside of it.
    pub inner: &'a [FrameSizes],
    /// The windows of its mats, from the innermost outwards.
    pub windows: &'a [Window],
    /// The artwork, and where it lies in the package from each edge.
    pub art: (Outline, Borders),
}

/// The largest frame on paper.
const WIDEST: Length = Length::from_nm(52_000_000);
const HIGHEST: Length = Length::from_nm(66_000_000);

/// Type of the outside's figures, of the others, and of words.
const LARGE: Length = Length::from_nm(7_000_000);
const SMALL: Length = Length::from_nm(5_000_000);
const WORDS: Length = Length::from_nm(3_400_000);

/// From one dimension line to the next.
const LINE: Length = Length::from_nm(8_500_000);

/// Its drawing, of which `id` is the beginning of its ids.
#[expect(
    clippy::too_many_lines,
    reason = "one drawing, told from the outside in"
)]
pub fn front(frame: &Front<'_>, display: &Display, id: &str) -> String {
    let needed = |length: Length| Figure::new(display, length, Show::Needed);
    let (width, height) = extent(frame.outside);
    let scale = {
        let by_width = Scale::new(WIDEST, width);
        if by_width.of(height) > HIGHEST {
            Scale::new(HIGHEST, height)
        } else {
            by_width
        }
    };
    let margin = Length::MILLIMETRE;
    let (wide_on, high_on) = (scale.of(width), scale.of(height));
    let above = corners(frame.outside).iter().map(|corner| corner.1).min();
    let center = (
        margin + half(wide_on),
        margin - scale.of(above.unwrap_or(Length::ZERO)),
    );
    let is_rectangle = matches!(frame.outside, Outline::Rectangle { .. });
    let beside = if is_rectangle {
        LINE * 2 + margin * 4
    } else {
        margin
    };
    let paper_width = margin + wide_on + beside;
    let paper_height = margin + high_on + LINE * 2 + Length::MILLIMETRE * 4;
    let mut svg = drawing(
        "dw-front",
        id,
        (paper_width.max(Length::MILLIMETRE * 40), paper_height),
        &format!("{} from the front", isolated(frame.name)),
        &description(frame, display),
    );
    let on_paper = |outline: Outline| -> Vec<(Length, Length)> {
        let corners = corners(outline).into_iter();
        corners
            .map(|(x, y)| (center.0 + scale.of(x), center.1 + scale.of(y)))
            .collect()
    };
    let (outer, inner) = (on_paper(frame.outside), on_paper(frame.sight));
    svg.push(&outline("outside", &outer));
    svg.push(&outline("sight", &inner));
    for (&from, &to) in outer.iter().zip(&inner) {
        svg.push(&line("miter", from, to));
    }
    // What lies in the package, measured from its upper left corner.
    let (package_width, package_height) = extent(frame.package);
    let corner = (-half(package_width), -half(package_height));
    let lying = |borders: Borders, width: Length, height: Length| {
        let (left, top) = (corner.0 + borders.left, corner.1 + borders.top);
        let place =
            |x: Length, y: Length| (center.0 + scale.of(left + x), center.1 + scale.of(top + y));
        let zero = Length::ZERO;
        [
            place(zero, zero),
            place(width, zero),
            place(width, height),
            place(zero, height),
        ]
    };
    for sizes in frame.inner {
        svg.push(&outline("inner", &on_paper(sizes.outside)));
        svg.push(&outline("inner", &on_paper(sizes.sight)));
    }
    for window in frame.windows {
        let opening = window.opening;
        svg.push(&match opening.size {
            Outline::Rectangle { width, height } => {
                let corners = lying(window.borders, width, height);
                if opening.is_oval {
                    oval("window", &corners)
                } else {
                    outline("window", &corners)
                }
            }
            polygon @ Outline::Regular { .. } => outline("window", &on_paper(polygon)),
        });
    }
    let is_hidden = frame.art.0 == frame.package;
    let is_oval = frame.windows.iter().any(|window| window.opening.is_oval);
    if !is_hidden {
        svg.push(&match frame.art {
            (Outline::Rectangle { width, height }, borders) => {
                let corners = lying(borders, width, height);
                if is_oval {
                    oval("art", &corners)
                } else {
                    outline("art", &corners)
                }
            }
            (polygon @ Outline::Regular { .. }, _) => outline("art", &on_paper(polygon)),
        });
    }
    for element in inside(frame, display, scale, center) {
        svg.push(&element);
    }
    let bottom = margin + high_on;
    match (frame.outside, frame.sight) {
        (
            Outline::Rectangle { width, height },
            Outline::Rectangle {
                width: sight_width,
                height: sight_height,
            },
        ) => {
            let span = |middle: Length, length: Length| {
                let length = half(scale.of(length));
                (middle - length, middle + length)
            };
            let right = margin + wide_on;
            let near = Length::MILLIMETRE * 3;
            let mut dims = across(
                bottom + near,
                span(center.0, sight_width),
                &needed(sight_width),
                SMALL,
            );
            dims.extend(across(
                bottom + near + LINE,
                span(center.0, width),
                &needed(width),
                LARGE,
            ));
            dims.extend(down(
                right + near,
                span(center.1, sight_height),
                &needed(sight_height),
                SMALL,
                false,
            ));
            dims.extend(down(
                right + near + LINE,
                span(center.1, height),
                &needed(height),
                LARGE,
                false,
            ));
            for element in dims {
                svg.push(&element);
            }
        }
        (outside, sight) => {
            let lines = [
                ("outer side", outside.side(0), LARGE),
                ("sight side", sight.side(0), SMALL),
            ];
            let mut y = bottom + Length::MILLIMETRE * 5;
            for (name, side, size) in lines {
                let figure = needed(side);
                for element in named(name, &figure, (center.0, y), size) {
                    svg.push(&element);
                }
                y += LINE;
            }
        }
    }
    svg.to_string()
}

/// A word and a figure side by side in the middle of a place.
fn named(name: &str, figure: &Figure, (x, y): (Length, Length), size: Length) -> Vec<Element> {
    let (word, number) = (wide(name, WORDS), figure.width(size));
    let gap = Length::MILLIMETRE * 2;
    let left = x - half(word + gap + number);
    vec![
        words(name, (left + half(word), y), WORDS, "word"),
        figure.svg(
            "fig",
            (left + word + gap + half(number), y + hundredths(size, 36)),
            size,
        ),
    ]
}

/// The oval that touches the sides of a rectangle in their middle.
fn oval(class: &str, corners: &[(Length, Length); 4]) -> Element {
    let (from, to) = (corners[0], corners[2]);
    let (width, height) = (to.0 - from.0, to.1 - from.1);
    Element::new("ellipse")
        .set("class", class)
        .set("cx", Mm(from.0 + half(width)))
        .set("cy", Mm(from.1 + half(height)))
        .set("rx", Mm(half(width)))
        .set("ry", Mm(half(height)))
}

/// What is written inside the frame: the innermost window and the artwork, where there is room.
fn inside(
    frame: &Front<'_>,
    display: &Display,
    scale: Scale,
    (x, y): (Length, Length),
) -> Vec<Element> {
    let there = |length: Length| Figure::new(display, length, Show::There);
    let mut lines = Vec::new();
    let room = match (frame.windows.first(), extent(frame.sight)) {
        (Some(window), _) => {
            let (what, figure) = match window.opening.size {
                Outline::Rectangle { width, height } => {
                    ("window", Figure::by(&there(width), &there(height)))
                }
                Outline::Regular {
                    flats: Some(flats), ..
                } => ("window, flats", there(flats)),
                Outline::Regular { side, .. } => ("window, side", there(side)),
            };
            lines.push((what, figure));
            extent(window.opening.size)
        }
        (None, sight) => sight,
    };
    lines.push(match frame.art.0 {
        Outline::Rectangle { width, height } => ("art", Figure::by(&there(width), &there(height))),
        Outline::Regular {
            flats: Some(flats), ..
        } => ("art, flats", there(flats)),
        Outline::Regular { side, .. } => ("art, side", there(side)),
    });
    let room = (scale.of(room.0), scale.of(room.1));
    let row = SMALL + WORDS + Length::MILLIMETRE * 2;
    let is_narrow =
        |(_, figure): &(&str, Figure)| figure.width(SMALL) + Length::MILLIMETRE * 2 > room.0;
    let high = row * i64::try_from(lines.len()).unwrap_or(2);
    // What does not fit all of it is left to the table beside.
    if high > room.1 || lines.iter().any(is_narrow) {
        return Vec::new();
    }
    let mut top = y - half(high);
    let mut elements = Vec::new();
    for (name, figure) in lines {
        elements.push(words(name, (x, top + half(WORDS)), WORDS, "word"));
        let middle = top + WORDS + half(SMALL) + half(Length::MILLIMETRE);
        elements.push(figure.svg("fig", (x, middle + hundredths(SMALL, 36)), SMALL));
        top += row;
    }
    elements
}

fn description(frame: &Front<'_>, display: &Display) -> Vec<String> {
    let text = |length: Length, show: Show| Figure::new(display, length, show).text();
    let size = |outline: Outline, show: Show| match outline {
        Outline::Rectangle { width, height } => {
            format!("{} wide, {} high", text(width, show), text(height, show))
        }
        Outline::Regular {
            sides,
            flats: Some(flats),
            ..
        } => format!("{sides} sides, {} across flats", text(flats, show)),
        Outline::Regular { sides, side, .. } => format!("{sides} sides of {}", text(side, show)),
    };
    let mut lines = vec![
        format!("outside: {}", size(frame.outside, Show::Needed)),
        format!("sight: {}", size(frame.sight, Show::Needed)),
    ];
    for window in frame.windows {
        let oval = if window.opening.is_oval { ", oval" } else { "" };
        let size = size(window.opening.size, Show::There);
        lines.push(format!("window: {size}{oval}"));
    }
    lines.push(format!("art: {}", size(frame.art.0, Show::There)));
    lines
}

/// Width and height of what an outline fits into.
fn extent(outline: Outline) -> (Length, Length) {
    let corners = corners(outline);
    let spread = |of: fn(&(Length, Length)) -> Length| {
        let (least, most) = (corners.iter().map(of).min(), corners.iter().map(of).max());
        most.unwrap_or(Length::ZERO) - least.unwrap_or(Length::ZERO)
    };
    (spread(|corner| corner.0), spread(|corner| corner.1))
}

/// The unit in which directions are reckoned: to some billionths of a turn they are exact.
const ONE: i128 = 1_000_000_000_000;

/// The corners of an outline about its center, clockwise from the upper left; the first side of a polygon lies above.
///
/// Of an odd polygon the center is that of its inner circle.
fn corners(outline: Outline) -> Vec<(Length, Length)> {
    match outline {
        Outline::Rectangle { width, height } => {
            let (x, y) = (half(width), half(height));
            vec![(-x, -y), (x, -y), (x, y), (-x, y)]
        }
        Outline::Regular { sides, side, .. } => {
            let one = Length::from_nm(1_000_000_000_000);
            let miter = Miter::Corner { sides };
            // tan and sec of half the turn at a corner give its cosine and sine, and those of the whole turn.
            let tangent = i128::from(miter.run_along(one).nm());
            let secant = i128::from(miter.kerf_along(one).nm());
            let cosine = ONE * ONE / secant;
            let sine = tangent * cosine / ONE;
            let turn = (2 * cosine * cosine / ONE - ONE, 2 * sine * cosine / ONE);
            let side = i128::from(side.nm());
            let length = |nm: i128| {
                Length::from_nm(i64::try_from(nm).expect("a frame is no longer than a length"))
            };
            let (mut x, mut y) = (-side / 2, -side * ONE / (2 * tangent));
            let mut way = (ONE, 0);
            let mut corners = Vec::new();
            for _ in 0..sides {
                corners.push((length(x), length(y)));
                x += side * way.0 / ONE;
                y += side * way.1 / ONE;
                way = (
                    (way.0 * turn.0 - way.1 * turn.1) / ONE,
                    (way.0 * turn.1 + way.1 * turn.0) / ONE,
                );
            }
            corners
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::{inches, rectangle};

    #[test]
    fn a_hexagon_closes_and_is_as_wide_as_the_table_says() {
        let hexagon = Outline::of_side(6, inches(10));
        // Derived: a hexagon of side 10 is 20 wide over its corners and 10 sqrt 3 = 17.3205081 high.
        let (width, height) = extent(hexagon);
        let near = |length: Length, nm: i64| assert!((length.nm() - nm).abs() < 100, "{length:?}");
        near(width, 508_000_000);
        near(height, 439_940_905);
        let corners = corners(hexagon);
        near(corners[5].0 - corners[0].0, -127_000_000);
        near(corners[5].1, 0);
    }

    #[test]
    fn every_polygon_closes() {
        for sides in 3..=48 {
            let side = inches(7);
            let corners = corners(Outline::of_side(sides, side));
            let (first, last) = (corners[0], corners[corners.len() - 1]);
            let squared = |length: Length| i128::from(length.nm()) * i128::from(length.nm());
            let gap = (squared(last.0 - first.0) + squared(last.1 - first.1)).isqrt();
            assert!(
                (gap - i128::from(side.nm())).abs() < 1000,
                "{sides} sides: {gap}"
            );
        }
    }

    #[test]
    fn a_rectangle_has_its_miters_at_its_corners() {
        let corners = corners(rectangle(2, 4));
        assert_eq!(corners[2], (inches(1), inches(2)));
        assert_eq!(extent(rectangle(2, 4)), (inches(2), inches(4)));
    }
}

//! Figures and numbers on a drawing of a board, each as large as there is room for.

use crate::length::Length;

use super::figure::{Figure, wide};
use super::scale::{Area, Sheet};
use super::strokes::{area, half, hundredths, words};
use super::wood::{LaidPart, Patch};
use super::xml::Element;

/// What is left free beside a figure.
pub(super) const FREE: Length = Length::from_nm(700_000);

/// The number of a part and its figure, as large as there is room: side by side; the figure with the number towards the
/// other edge, a little smaller if need be; the number alone; nothing where not even that fits, for the list of cuts has all of it.
pub(super) fn labelled(
    part: &LaidPart<'_>,
    figure: &Figure,
    on: &Sheet,
    largest: Length,
) -> Vec<Element> {
    let [(from, y), (to, _), (_, inner), _] = part.outline;
    let patch = Patch {
        along: (from, to),
        across: (y.min(inner), y.max(inner)),
    };
    let room = on.area(patch);
    let (middle, center) = room.middle();
    let slant = on.along.of(part.slant);
    // How wide the part is at a distance from its outer edge.
    let wide_at = |depth: Length| {
        let lost = i128::from(slant.nm()) * i128::from(depth.nm()) * 2;
        let lost = lost / i128::from(room.height.nm().max(1));
        room.width - FREE * 2 - Length::from_nm(i64::try_from(lost).expect("shorter than the part"))
    };
    // Towards the other edge.
    let inward = |way: Length| if part.cut.is_turned { -way } else { way };
    let number = part.cut.number.to_string();

    let size = largest.min(hundredths(room.height, 60));
    let radius = hundredths(size, 34);
    let width = figure.width(size);
    let both = radius * 2 + hundredths(size, 12) + width;
    if both <= wide_at(half(room.height) + hundredths(size, 36)) {
        let left = middle - half(both);
        let baseline = center + hundredths(size, 36);
        let figure_middle = left + both - half(width);
        return circled(&number, (left + radius, center), radius)
            .into_iter()
            .chain([figure.svg("fig", (figure_middle, baseline), size)])
            .collect();
    }

    let radius = hundredths(room.height, 14);
    // The figure lies in the wider part of the height, the number in the rest of it.
    let figure_depth = hundredths(room.height, 34);
    let number_depth = room.height - radius - hundredths(room.height, 7);
    let size = hundredths(largest, 80).min(hundredths(room.height, 47));
    let sizes = [100, 90, 80, 75].map(|share| hundredths(size, share));
    let fitting = sizes.into_iter().find(|&size| {
        figure.width(size) <= wide_at(figure_depth + hundredths(size, 38))
            && radius * 2 <= wide_at(number_depth) + FREE
    });
    if let Some(size) = fitting {
        let outer = if part.cut.is_turned {
            room.y + room.height
        } else {
            room.y
        };
        let baseline = outer + inward(figure_depth) + hundredths(size, 36);
        return circled(&number, (middle, outer + inward(number_depth)), radius)
            .into_iter()
            .chain([figure.svg("fig", (middle, baseline), size)])
            .collect();
    }

    let radius = hundredths(room.height, 22).min(hundredths(largest, 34));
    if radius * 2 <= wide_at(half(room.height) + radius) + FREE {
        return circled(&number, (middle, center), radius);
    }
    Vec::new()
}

/// A number in a circle.
fn circled(number: &str, (x, y): (Length, Length), radius: Length) -> Vec<Element> {
    let digits = i64::try_from(number.len()).unwrap_or(3).max(2);
    let size = Length::from_nm(radius.nm() * 27 / (digits * 10));
    let circle = Element::new("circle")
        .set("class", "ring")
        .mm("cx", x)
        .mm("cy", y)
        .mm("r", radius);
    vec![circle, words(number, (x, y), size, "num")]
}

/// A figure over a hatch, on a plate, with words above where there is room for them.
pub(super) fn plated(label: &str, figure: &Figure, room: Area) -> Vec<Element> {
    let size = (Length::MILLIMETRE * 5).min(hundredths(room.height, 62));
    let small = hundredths(size, 60);
    let width = figure.width(size);
    let high = hundredths(room.height, 84);
    if width + FREE * 2 > room.width || size < Length::MILLIMETRE * 2 {
        return Vec::new();
    }
    let (x, y) = room.middle();
    let label_width = wide(label, small);
    let has_words = label_width + FREE * 2 <= room.width && hundredths(size, 95) + small <= high;
    let (plate_width, plate_height) = if has_words {
        (width.max(label_width), hundredths(size, 95) + small)
    } else {
        (width, hundredths(size, 95))
    };
    let plate = Area {
        x: x - half(plate_width) - half(FREE),
        y: y - half(plate_height),
        width: plate_width + FREE,
        height: plate_height,
    };
    let mut elements = vec![area("plate", plate)];
    let middle = if has_words {
        elements.push(words(label, (x, plate.y + half(small)), small, "word"));
        plate.y + plate_height - hundredths(size, 44)
    } else {
        y
    };
    elements.push(figure.svg("fig", (x, middle + hundredths(size, 36)), size));
    elements
}

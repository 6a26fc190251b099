//! A board as it is cut, twice: stretched for paper, and at true scale as a file of its own.
//!
//! At true scale on paper a board of 10 ft is 2 mm high: no figure fits and no miter is seen. So [`stretched`] draws
//! lengths to one scale for the whole document and widths to another, which makes slants look steeper and leaves all that
//! touches touching. [`super::true_scale`] stretches nothing.
//!
//! Either holds, in `<g class="geo">`, exact millimeters of wood to three decimals: a `<polygon class="rail">` for each
//! part with `data-cut`, its labels on all boards that are cut alike (`G-3 H-3`), a `<polygon class="kerf">` for what the
//! blade takes at either end with `data-of`, the same labels, and a heavy `<path class="outer">` on the outer edge.
//! Figures and hatches stand outside of that group, in millimeters of paper.

use crate::job::Display;
use crate::length::Length;
use crate::plan::CutLabel;
use crate::report::document::{BoardSheet, Drawing, DrawnStrip, Show};

use super::figure::{Figure, wide};
use super::scale::{Area, Scale, Sheet};
use super::strokes::{self, area, half, hundredths, words};
use super::wood::{Laid, LaidPart, LaidStrip, Patch, laid};
use super::xml::{Element, Mm, isolated, points};

/// Width of the drawing on paper: both A4 and Letter have it between margins of 12 mm.
const PAPER: Length = Length::from_nm(186_000_000);

/// What stands left of the longest board, for the chalk mark.
const GUTTER: Length = Length::from_nm(10_000_000);

/// Room for lines that are half outside.
const MARGIN: Length = Length::from_nm(600_000);

/// How high a strip is where a board is one.
const STRIP: Length = Length::from_nm(12_000_000);

/// How high the narrowest strip of a board is where there are several.
const NARROWEST: Length = Length::from_nm(9_000_000);

/// How high a board is at most, if its strips have room in that.
const HIGHEST: Length = Length::from_nm(60_000_000);

/// What a strip is given of a higher board.
const LEAST: Length = Length::from_nm(7_500_000);

/// No board is higher: its list begins on the same page.
const TALLEST: Length = Length::from_nm(150_000_000);

/// The largest figure on paper, whose digits are 5 mm high.
const FIGURE: Length = Length::from_nm(7_000_000);

/// What is left free beside a figure.
const FREE: Length = Length::from_nm(700_000);

/// A drawing of a board sheet for paper, of which `id` is the beginning of its ids.
///
/// Needs the patterns of [`super::defs`] and the style of [`super::CSS`] on the page.
pub fn stretched(sheet: &BoardSheet, drawing: &Drawing, display: &Display, id: &str) -> String {
    let wood = laid(drawing);
    let on = Sheet {
        along: along(drawing),
        across: across(&wood),
        left: GUTTER,
        top: MARGIN,
    };
    let height = on.across.of(wood.width) + MARGIN * 2;
    let mut svg = strokes::drawing(
        "dw-board",
        id,
        (PAPER, height),
        &title(sheet, drawing, display),
        &description(drawing, display),
    );
    for strip in &wood.strips {
        for mark in chalked(strip, &on) {
            svg.push(&mark);
        }
    }
    draw(&mut svg, &wood, &on, display, FIGURE);
    svg.to_string()
}

/// By how many times widths are stretched against lengths in [`stretched`], in tenths, rounded to the nearest.
pub fn stretch(drawing: &Drawing) -> i64 {
    const TENTHS: i64 = 1_000_000;
    let mm = Length::METRE;
    let (along, across) = (
        along(drawing).of(mm * TENTHS),
        across(&laid(drawing)).of(mm),
    );
    let along = (along.nm() / TENTHS).max(1);
    (across.nm() * 20 + along) / (along * 2)
}

/// The scale of lengths: one for the whole document.
fn along(drawing: &Drawing) -> Scale {
    Scale::new(PAPER - GUTTER - MARGIN, drawing.longest.max(drawing.length))
}

/// The scale of widths: the narrowest strip is high enough for its figures, unless the board then is too high.
fn across(wood: &Laid<'_>) -> Scale {
    let cut = wood.strips.iter().filter(|strip| !strip.parts.is_empty());
    let narrowest = cut.map(|strip| strip.across.1 - strip.across.0).min();
    let height = if wood.strips.len() > 1 {
        NARROWEST
    } else {
        STRIP
    };
    let scale = Scale::new(height, narrowest.unwrap_or(wood.width));
    let n_strips = i64::try_from(wood.strips.len()).unwrap_or(i64::MAX);
    let highest = HIGHEST.max((LEAST * n_strips.min(1_000)).min(TALLEST));
    if scale.of(wood.width) > highest {
        Scale::new(highest, wood.width)
    } else {
        scale
    }
}

/// All of a board but its mark.
pub(super) fn draw(
    svg: &mut Element,
    wood: &Laid<'_>,
    on: &Sheet,
    display: &Display,
    largest: Length,
) {
    let whole = on.area(Patch {
        along: (Length::ZERO, wood.length),
        across: (Length::ZERO, wood.width),
    });
    svg.push(&area("scrap", whole));
    svg.push(&geometry(wood, on));
    for kept in &wood.kept {
        let on_paper = on.area(kept.patch);
        svg.push(&area("keep", on_paper));
        let (from, to) = if kept.is_edge {
            kept.patch.across
        } else {
            kept.patch.along
        };
        let words = if kept.is_edge { "keep, wide" } else { "keep" };
        let figure = Figure::new(display, to - from, Show::There);
        for element in plated(words, &figure, on_paper) {
            svg.push(&element);
        }
    }
    for &(patch, is_gone) in &wood.defects {
        let class = if is_gone { "gone" } else { "defect" };
        svg.push(&area(class, on.area(patch)));
    }
    for part in wood.strips.iter().flat_map(|strip| &strip.parts) {
        let figure = Figure::new(display, part.cut.stop, Show::Needed);
        for element in labelled(part, &figure, on, largest) {
            svg.push(&element);
        }
    }
    svg.push(&area("whole", whole));
}

/// What lies where, in millimeters of wood.
fn geometry(wood: &Laid<'_>, on: &Sheet) -> Element {
    let mut group = Element::new("g")
        .set("class", "geo")
        .set("transform", on.transform());
    let patch = |class: &str, patch: &Patch| {
        Element::new("rect")
            .set("class", class)
            .mm("x", patch.along.0)
            .mm("y", patch.across.0)
            .mm("width", patch.along.1 - patch.along.0)
            .mm("height", patch.across.1 - patch.across.0)
    };
    for trim in &wood.trims {
        group.push(&patch("trim", trim));
    }
    for rip in &wood.rips {
        group.push(&patch("rip", rip));
    }
    let parts = || {
        let strips = wood.strips.iter();
        strips.flat_map(|strip| {
            strip
                .parts
                .iter()
                .map(|part| (labels(strip.drawn, part), part))
        })
    };
    for (labels, part) in parts() {
        for kerf in &part.kerfs {
            group.push(
                &Element::new("polygon")
                    .set("class", "kerf")
                    .set("data-of", &labels)
                    .set("points", points(kerf)),
            );
        }
    }
    for (labels, part) in parts() {
        group.push(
            &Element::new("polygon")
                .set("class", "rail")
                .set("data-cut", &labels)
                .set("points", points(&part.outline)),
        );
    }
    for (_, part) in parts() {
        let [(from, y), (to, _), ..] = part.outline;
        group.push(
            &Element::new("path")
                .set("class", "outer")
                .set("d", format!("M{} {}H{}", Mm(from), Mm(y), Mm(to))),
        );
    }
    group
}

/// The labels of a cut on each of the boards that are cut alike: `G-3 H-3`.
fn labels(strip: &DrawnStrip, part: &LaidPart<'_>) -> String {
    let cut = u32::try_from(part.cut.number).expect("load caps the number of parts");
    let marks = strip.marks.iter();
    let labels: Vec<String> = marks
        .map(|&strip| CutLabel { strip, cut }.to_string())
        .collect();
    labels.join(" ")
}

/// The number of a part and its figure, as large as there is room: side by side; the figure with the number towards the
/// other edge, a little smaller if need be; the number alone; nothing where not even that fits, for the list of cuts has all of it.
fn labelled(part: &LaidPart<'_>, figure: &Figure, on: &Sheet, largest: Length) -> Vec<Element> {
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
fn plated(label: &str, figure: &Figure, room: Area) -> Vec<Element> {
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

/// The chalk mark of a strip, left of it: of boards that are cut alike each, or how many.
fn chalked(strip: &LaidStrip<'_>, on: &Sheet) -> Vec<Element> {
    let top = on.top + on.across.of(strip.across.0);
    let height = on.across.of(strip.across.1 - strip.across.0);
    let marks = &strip.drawn.marks;
    let lines: Vec<String> = match &marks[..] {
        [] => return Vec::new(),
        few if few.len() <= 2 => few.iter().map(ToString::to_string).collect(),
        [first, ..] => vec![first.to_string(), format!("+ {}", marks.len() - 1)],
    };
    let count = i64::try_from(lines.len()).unwrap_or(1);
    let each = Length::from_nm(height.nm() / count);
    let mut elements = Vec::new();
    let mut y = top;
    for line in lines {
        let room = GUTTER - FREE * 3;
        let size = Scale::new(room, wide(&line, room))
            .of(room)
            .min(hundredths(each, 80))
            .min(FIGURE);
        let middle = (half(GUTTER - FREE), y + half(each));
        elements.push(words(&line, middle, size, "mark"));
        y += each;
    }
    elements
}

pub(super) fn title(sheet: &BoardSheet, drawing: &Drawing, display: &Display) -> String {
    let plain = |text: &crate::report::document::Text| text.plain(display, isolated);
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
            let number = u32::try_from(cut.number).expect("load caps the number of parts");
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
    if let Some(edge) = &drawing.edge {
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

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use super::*;
    use crate::frame::Miter;
    use crate::report::document::{DrawnCut, Text};
    use crate::report::samples;
    use crate::samples::{in16, inches};

    /// A board of 10 ft with one rail of a face of 2 in.
    fn drawing(rail: Length, is_turned: bool) -> Drawing {
        Drawing {
            length: inches(120),
            width: Some(inches(2)),
            longest: inches(120),
            end_trim: inches(1),
            kerf: Length::ZERO,
            rip_kerf: Length::ZERO,
            is_ripped: false,
            strips: vec![DrawnStrip {
                label: Text::default(),
                marks: Vec::new(),
                from_edge: Length::ZERO,
                width: Some(inches(2)),
                cuts: vec![DrawnCut {
                    number: 7,
                    name: Text::default(),
                    from: inches(1),
                    to: inches(1) + rail,
                    stop: rail,
                    width: Some(inches(2)),
                    miter: Miter::RECTANGLE,
                    is_turned,
                    shares_cut: false,
                }],
                left: Vec::new(),
                defects: Vec::new(),
            }],
            edge: None,
            defects: Vec::new(),
        }
    }

    /// The classes of what a rail is labelled with.
    fn labels_of(rail: Length, is_turned: bool) -> Vec<String> {
        let drawing = drawing(rail, is_turned);
        let wood = laid(&drawing);
        let on = Sheet {
            along: along(&drawing),
            across: across(&wood),
            left: GUTTER,
            top: MARGIN,
        };
        let display = samples::job().display.clone();
        let figure = Figure::new(&display, rail, Show::Needed);
        let elements = labelled(&wood.strips[0].parts[0], &figure, &on, FIGURE);
        let class = |element: &Element| {
            let text = element.to_string();
            text.split('"').nth(1).unwrap().to_owned()
        };
        elements.iter().map(class).collect()
    }

    #[test]
    fn a_part_says_as_much_as_there_is_room_for() {
        for is_turned in [false, true] {
            assert_eq!(labels_of(inches(40), is_turned), ["ring", "num", "fig"]);
            assert_eq!(labels_of(inches(14), is_turned), ["ring", "num", "fig"]);
            let short = inches(7) + in16(2);
            assert_eq!(labels_of(short, is_turned), ["ring", "num"]);
            assert!(labels_of(inches(5), is_turned).is_empty());
        }
    }

    #[test]
    fn a_strip_is_high_enough_for_its_figures() {
        let drawing = drawing(inches(40), false);
        let wood = laid(&drawing);
        assert_eq!(across(&wood).of(inches(2)), STRIP);
        // Derived: 175.4 mm for 120 in is 0.0575 for each, and 12 mm for 2 in 0.2362: 4.1 times as much.
        assert_eq!(stretch(&drawing), 41);
    }
}

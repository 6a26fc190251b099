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

use super::described::{description, title};
use super::figure::{Figure, wide};
use super::labelled::{FREE, labelled, plated};
use super::scale::{Scale, Sheet};
use super::strokes::{self, area, half, hundredths, words};
use super::wood::{Laid, LaidPart, LaidStrip, Patch, laid};
use super::xml::{Element, Mm, points};

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

/// What the narrowest strip of a higher board needs, so that its figures have their size.
const LEAST: Length = Length::from_nm(8_800_000);

/// No board is higher: its list begins on the same page.
const TALLEST: Length = Length::from_nm(150_000_000);

/// The largest figure on paper, whose digits are 5 mm high.
const FIGURE: Length = Length::from_nm(7_000_000);

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

/// How high such a drawing is.
pub fn high(drawing: &Drawing) -> Length {
    let wood = laid(drawing);
    across(&wood).of(wood.width) + MARGIN * 2
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
    let narrowest = narrowest.unwrap_or(wood.width);
    let scale = Scale::new(height, narrowest);
    let needed = Scale::new(LEAST, narrowest).of(wood.width);
    let highest = HIGHEST.max(needed.min(TALLEST));
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
    let cut = part.cut.number;
    let marks = strip.marks.iter();
    let labels: Vec<String> = marks
        .map(|&strip| CutLabel { strip, cut }.to_string())
        .collect();
    labels.join(" ")
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
                    on_edge: false,
                    is_turned,
                    shares_cut: false,
                }],
                left: Vec::new(),
                defects: Vec::new(),
            }],
            edges: Vec::new(),
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
        let mut drawing = drawing(inches(40), false);
        assert_eq!(across(&laid(&drawing)).of(inches(2)), STRIP);
        // A narrow strip beside a wide one: digits are 0.72 of the size high.
        let narrow = in16(12);
        let mut beside = drawing.strips[0].clone();
        beside.from_edge = inches(2);
        beside.width = Some(narrow);
        beside.cuts[0].width = Some(narrow);
        drawing.strips[0].width = Some(inches(2));
        drawing.strips.push(beside);
        for width in [3, 9] {
            drawing.width = Some(inches(width));
            let wood = laid(&drawing);
            let on = Sheet {
                along: along(&drawing),
                across: across(&wood),
                left: GUTTER,
                top: MARGIN,
            };
            let display = samples::job().display.clone();
            let figure = Figure::new(&display, inches(40), Show::Needed);
            let elements = labelled(&wood.strips[1].parts[0], &figure, &on, FIGURE);
            let text = elements.last().unwrap().to_string();
            assert!(text.contains("font-size=\"7\""), "{width} in wide: {text}");
        }
    }
}

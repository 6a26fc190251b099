//! Drawings read back: every rail lies in its drawing where the plan has it, and names cannot break out of one.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]
#![expect(
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    reason = "what is read is a decimal number and the geometry computes in floats; both are compared within a tolerance"
)]

mod keys;

use std::collections::{BTreeMap, BTreeSet};

use geo::{Area, BooleanOps, LineString, Polygon};
use longpoint::frame::Miter;
use longpoint::length::Length;
use longpoint::paper::svg::board::stretched;
use longpoint::paper::svg::defs;
use longpoint::paper::svg::true_scale::true_scale;
use longpoint::plan::{Cut, Plan};
use longpoint::report::document::{Block, BoardSheet, Document, Inline, Text};
use longpoint::report::sections::plan_sheet;
use longpoint::tally::Summary;
use roxmltree::{Document as Xml, Node};

use crate::jobs::{demo, planned};

/// How far a corner may lie from where the plan has it, in millimeters.
const NEAR: f64 = 0.01;

/// An area that is none, in square millimeters: three decimals along the edge of a rail come to hundredths.
const NO_AREA: f64 = 0.1;

type Corners = Vec<(f64, f64)>;

fn mm(length: Length) -> f64 {
    length.nm() as f64 / 1e6
}

fn polygon(corners: &Corners) -> Polygon {
    Polygon::new(LineString::from(corners.clone()), Vec::new())
}

fn common(one: &Corners, other: &Corners) -> f64 {
    polygon(one).intersection(&polygon(other)).unsigned_area()
}

/// What a drawing shows, in millimeters of wood.
struct Seen {
    /// Parts, with their labels.
    rails: Vec<(String, Corners)>,
    /// What the blade takes, with the labels of the part.
    kerfs: Vec<(String, Corners)>,
    /// What is ripped away, and the end trims.
    waste: Vec<Corners>,
    /// Defects; only where nothing is stretched.
    defects: Vec<Corners>,
}

fn numbers(text: &str) -> Vec<f64> {
    text.split(|symbol: char| !(symbol.is_ascii_digit() || symbol == '.' || symbol == '-'))
        .filter(|number| !number.is_empty())
        .map(|number| number.parse().unwrap())
        .collect()
}

fn with_class<'a>(xml: &'a Xml<'a>, class: &'a str) -> impl Iterator<Item = Node<'a, 'a>> {
    let nodes = xml.descendants();
    nodes.filter(move |node| node.attribute("class") == Some(class))
}

fn rectangle(node: Node<'_, '_>, (left, top): (f64, f64)) -> Corners {
    let read = |name: &str| -> f64 { node.attribute(name).unwrap().parse().unwrap() };
    let (x, y) = (read("x") - left, read("y") - top);
    let (width, height) = (read("width"), read("height"));
    vec![
        (x, y),
        (x + width, y),
        (x + width, y + height),
        (x, y + height),
    ]
}

fn seen(svg: &str) -> Seen {
    let xml = Xml::parse(svg).unwrap();
    let group = with_class(&xml, "geo").next().unwrap();
    let moved = numbers(group.attribute("transform").unwrap());
    let corners = |node: Node<'_, '_>| -> Corners {
        let numbers = numbers(node.attribute("points").unwrap());
        numbers.chunks(2).map(|pair| (pair[0], pair[1])).collect()
    };
    let labelled = |class: &str, name: &str| {
        with_class(&xml, class)
            .map(|node| (node.attribute(name).unwrap().to_owned(), corners(node)))
            .collect()
    };
    let waste = ["rip", "trim"];
    let is_true = moved.len() == 2;
    Seen {
        rails: labelled("rail", "data-cut"),
        kerfs: labelled("kerf", "data-of"),
        waste: waste
            .iter()
            .flat_map(|class| with_class(&xml, class))
            .map(|node| rectangle(node, (0.0, 0.0)))
            .collect(),
        defects: with_class(&xml, "defect")
            .filter(|_| is_true)
            .map(|node| rectangle(node, (moved[0], moved[1])))
            .collect(),
    }
}

/// Where the plan has a part: its outer edge and its other one, from the sizes of its moulding.
fn expected(plan: &Plan, cut: &Cut, base: Length, strip_width: Option<Length>) -> Corners {
    let job = &plan.job;
    let width = mm(cut.part.width(job).or(strip_width).unwrap_or(Length::INCH));
    let (from, to, base) = (mm(cut.from), mm(cut.to), mm(base));
    let slant = match cut.part.miter(job) {
        Miter::Square => 0.0,
        miter @ Miter::Corner { .. } => {
            let (numerator, denominator) = miter.degrees();
            width
                * (f64::from(numerator) / f64::from(denominator))
                    .to_radians()
                    .tan()
        }
    };
    let slant = if to - from > 2.0 * slant { slant } else { 0.0 };
    let (outer, inner) = if cut.turned {
        (base + width, base)
    } else {
        (base, base + width)
    };
    vec![
        (from, outer),
        (to, outer),
        (to - slant, inner),
        (from + slant, inner),
    ]
}

fn sheets(doc: &Document) -> Vec<&BoardSheet> {
    let blocks = doc.blocks.iter();
    blocks
        .filter_map(|block| match block {
            Block::Board(sheet) => Some(&**sheet),
            _ => None,
        })
        .collect()
}

/// Checks all drawings of a plan, made by `draw`, and tells how many there are of rails, kerfs and defects.
fn check(plan: &Plan, draw: &dyn Fn(&BoardSheet, &Document) -> Vec<String>) -> [usize; 3] {
    let summary = Summary::new(plan);
    let doc = plan_sheet(&summary);
    let sheets = sheets(&doc);
    assert_eq!(sheets.len(), summary.groups.len());
    let marks = plan.marks();
    let mut counted = [0; 3];
    for (sheet, group) in sheets.into_iter().zip(&summary.groups) {
        let drawn: Vec<Seen> = draw(sheet, &doc).iter().map(|svg| seen(svg)).collect();
        let mut found: BTreeMap<&str, &Corners> = BTreeMap::new();
        for (labels, corners) in drawn.iter().flat_map(|seen| &seen.rails) {
            for label in labels.split(' ') {
                assert!(found.insert(label, corners).is_none(), "{label} twice");
            }
        }
        let mut n_cuts = 0;
        for board_idx in group.boards.clone() {
            for (strip_idx, strip) in plan.boards[board_idx].strips.iter().enumerate() {
                for (cut_idx, cut) in strip.cuts.iter().enumerate() {
                    n_cuts += 1;
                    let label = marks.cut(board_idx, strip_idx, cut_idx).to_string();
                    let corners = found[&*label];
                    let wanted = expected(plan, cut, strip.from_edge, strip.width);
                    for (seen, wanted) in corners.iter().zip(&wanted) {
                        let off = (seen.0 - wanted.0).abs().max((seen.1 - wanted.1).abs());
                        assert!(off <= NEAR, "{label}: {corners:?} is not {wanted:?}");
                    }
                    assert_eq!(corners.len(), 4);
                }
            }
        }
        assert_eq!(found.len(), n_cuts, "a drawing shows what no plan has");
        for seen in &drawn {
            apart(seen);
            counted[0] += seen.rails.len();
            counted[1] += seen.kerfs.len();
            counted[2] += seen.defects.len();
        }
    }
    counted
}

/// No rail meets another, a cut of another, a rip, a trim or a defect.
fn apart(seen: &Seen) {
    for (idx, (label, rail)) in seen.rails.iter().enumerate() {
        for (other, other_rail) in &seen.rails[idx + 1..] {
            assert!(common(rail, other_rail) < NO_AREA, "{label} meets {other}");
        }
        for (other, kerf) in &seen.kerfs {
            assert!(
                common(rail, kerf) < NO_AREA,
                "the cut of {other} takes wood of {label}"
            );
        }
        for waste in seen.waste.iter().chain(&seen.defects) {
            assert!(common(rail, waste) < NO_AREA, "{label} lies on {waste:?}");
        }
    }
}

fn on_paper(sheet: &BoardSheet, doc: &Document) -> Vec<String> {
    let drawings = sheet.drawings.iter().enumerate();
    drawings
        .map(|(idx, drawing)| stretched(sheet, drawing, &doc.display, &format!("b{idx}")))
        .collect()
}

fn in_files(sheet: &BoardSheet, doc: &Document) -> Vec<String> {
    let drawings = sheet.drawings.iter();
    drawings
        .map(|drawing| true_scale(&[(sheet, drawing)], &doc.display))
        .collect()
}

#[test]
fn every_rail_is_drawn_where_the_plan_has_it() {
    for name in [
        "show", "turned", "rough", "knots", "truck", "grain", "offcuts", "starter",
    ] {
        let plan = planned(&demo(name)).plan;
        let [n_rails, n_kerfs, _] = check(&plan, &on_paper);
        let [n_true, n_true_kerfs, n_defects] = check(&plan, &in_files);
        assert_eq!((n_rails, n_kerfs), (n_true, n_true_kerfs));
        assert!(n_rails > 10 && n_kerfs > n_rails, "{name}");
        assert_eq!(name == "knots", n_defects > 0, "{name}");
    }
}

#[test]
fn a_rail_that_is_drawn_a_hair_off_is_seen() {
    let plan = planned(&demo("starter")).plan;
    let moved = |sheet: &BoardSheet, doc: &Document| {
        let mut sheet = sheet.clone();
        let cut = &mut sheet.drawings[0].strips[0].cuts[0];
        cut.to += Length::from_nm(11_000);
        in_files(&sheet, doc)
    };
    std::panic::catch_unwind(|| check(&plan, &moved)).unwrap_err();
}

#[test]
fn what_is_on_paper_lies_within_the_page() {
    for name in ["show", "rough", "truck"] {
        let plan = planned(&demo(name)).plan;
        let doc = plan_sheet(&Summary::new(&plan));
        for svg in sheets(&doc)
            .into_iter()
            .flat_map(|sheet| on_paper(sheet, &doc))
        {
            let xml = Xml::parse(&svg).unwrap();
            let view = numbers(xml.root_element().attribute("viewBox").unwrap());
            // 60 mm and lines round it; more, up to 150 mm, where the figures of a narrow strip need it.
            assert!(view[2] <= 186.0 && view[3] <= 152.0, "{name}: {view:?}");
            let group = with_class(&xml, "geo").next().unwrap();
            let [left, top, along, across] = numbers(group.attribute("transform").unwrap())[..]
            else {
                panic!("{name}: nothing is stretched")
            };
            for (x, y) in seen(&svg)
                .rails
                .into_iter()
                .flat_map(|(_, corners)| corners)
            {
                let (x, y) = (left + x * along, top + y * across);
                assert!(
                    x >= left && x <= view[2] && y >= top && y <= view[3],
                    "{name}"
                );
            }
        }
    }
}

/// Names that would break out of an element, an attribute or their direction, or are no characters at all.
fn hostile() -> Vec<String> {
    vec![
        "\"O'Hara\" & <sons>".to_owned(),
        "</title></desc></svg><script>alert(1)</script>".to_owned(),
        "]]> <!-- <![CDATA[ &amp; &#x0;".to_owned(),
        "\u{1f5bc}\u{fe0f} \u{5e9}\u{5dc}\u{5d5}\u{5dd} \u{202e}123".to_owned(),
        "a\u{0}b\u{1}c\u{b}d\u{1b}[31m\u{85}\u{fffe}\u{ffff}\u{fdd0}".to_owned(),
        "x".repeat(200),
    ]
}

#[test]
fn names_stay_within_their_drawing() {
    let plan = planned(&demo("starter")).plan;
    let doc = plan_sheet(&Summary::new(&plan));
    let honest = sheets(&doc)[0];
    let known = BTreeSet::from([
        "svg", "title", "desc", "style", "defs", "pattern", "g", "polygon", "path", "rect",
        "circle", "text", "tspan",
    ]);
    for name in hostile() {
        let text = Text(vec![Inline::Name(name.clone())]);
        let mut sheet = honest.clone();
        sheet.label = text.clone();
        sheet.name = text.clone();
        sheet.detail = text.clone();
        for strip in &mut sheet.drawings[0].strips {
            strip.label = text.clone();
            for cut in &mut strip.cuts {
                cut.name = text.clone();
            }
        }
        let count = |svg: &str| Xml::parse(svg).unwrap().descendants().count();
        for (honest, svg) in [
            (on_paper(honest, &doc), on_paper(&sheet, &doc)),
            (in_files(honest, &doc), in_files(&sheet, &doc)),
        ] {
            assert_eq!(count(&honest[0]), count(&svg[0]), "{name:?}");
            let xml = Xml::parse(&svg[0]).unwrap();
            let elements = xml.descendants().filter(Node::is_element);
            for element in elements {
                assert!(known.contains(element.tag_name().name()));
            }
            let shown = name.replace(
                |symbol: char| {
                    symbol.is_control() || matches!(symbol, '\u{fffe}' | '\u{ffff}' | '\u{fdd0}')
                },
                " ",
            );
            let title = xml.descendants().find(|node| node.has_tag_name("title"));
            let title = title.or_else(|| {
                let mut nodes = xml.descendants();
                nodes.find(|node| node.tag_name().name() == "title")
            });
            assert!(title.unwrap().text().unwrap().contains(&shown), "{name:?}");
        }
    }
}

#[test]
fn what_is_referred_to_is_there() {
    let plan = planned(&demo("rough")).plan;
    let doc = plan_sheet(&Summary::new(&plan));
    let page: Vec<String> = sheets(&doc)
        .into_iter()
        .enumerate()
        .flat_map(|(number, sheet)| {
            let drawings = sheet.drawings.iter().enumerate();
            let drawn = drawings.map(|(idx, drawing)| {
                stretched(sheet, drawing, &doc.display, &format!("b{number}-{idx}"))
            });
            drawn.collect::<Vec<String>>()
        })
        .chain([defs()])
        .collect();
    let mut ids = BTreeSet::new();
    for svg in &page {
        let xml = Xml::parse(svg).unwrap();
        for id in xml.descendants().filter_map(|node| node.attribute("id")) {
            assert!(ids.insert(id.to_owned()), "{id} twice");
        }
        if let Some(labels) = xml.root_element().attribute("aria-labelledby") {
            assert!(labels.split(' ').all(|id| ids.contains(id)), "{labels}");
        }
    }
    for css in longpoint::paper::svg::CSS.split("url(#").skip(1) {
        let id = css.split(')').next().unwrap();
        assert!(ids.contains(id), "no hatch {id}");
    }
}

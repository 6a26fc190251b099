//! The key to a moulding, full size: the end of a rail from the front, with the points that a stop can measure to, and the
//! moulding's section.
//!
//! What is wider or higher than 80 mm is drawn to half its size, or to half of that again, and the drawing says so.

use crate::frame::Miter;
use crate::job::Display;
use crate::length::Length;
use crate::report::document::Show;
use crate::report::figures::degrees;

use super::figure::{Figure, wide};
use super::scale::{Area, Scale};
use super::strokes::{
    across, area, down, drawing, half, hundredths, line, outline, words, words_from,
};
use super::xml::{Element, isolated};

/// A moulding, and how the stop is set for it.
#[derive(Clone, Copy, Debug)]
pub struct Key<'a> {
    /// The moulding's name.
    pub name: &'a str,
    /// How its rails' ends are cut.
    pub miter: Miter,
    /// Width seen from the front, sight edge to back edge.
    pub face: Length,
    /// Width of the rabbet below the sight edge; zero where there is none.
    pub lip: Length,
    /// Thickness of the wood; without it there is no section.
    pub thickness: Option<Length>,
    /// Depth of the rabbet, where it is known.
    pub rabbet_depth: Option<Length>,
    /// What the shop's stop measures to.
    pub stop: Point,
}

/// A point at the end of a rail that a stop can measure to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Point {
    /// The end of the outer edge.
    Long,
    /// The end of the rabbet's wall.
    Rabbet,
    /// The end of the sight edge.
    Short,
}

/// What is drawn at its true size at most.
const LARGEST: Length = Length::from_nm(80_000_000);

/// How much of the rail is drawn beyond the short point.
const BEYOND: Length = Length::from_nm(34_000_000);

/// Type of figures and of words.
const FIGURE: Length = Length::from_nm(5_600_000);
const WORDS: Length = Length::from_nm(4_000_000);

/// From row to row of words.
const ROW: Length = Length::from_nm(6_400_000);

/// The key to a moulding, of which `id` is the beginning of its ids.
pub fn corner(key: &Key<'_>, display: &Display, id: &str) -> String {
    let run = key.miter.run_along(key.face);
    let (scale, scale_words) = scale_for(key.face.max(run));
    let (face, lip) = (scale.of(key.face), scale.of(key.lip));
    let (left, top) = (Length::MILLIMETRE * 3, Length::MILLIMETRE * 9);
    let end = left + scale.of(run) + BEYOND;
    let rows = rows(key, display);
    let rows_top = top + face + Length::MILLIMETRE * 2;
    let section_top =
        rows_top + ROW * i64::try_from(rows.len()).unwrap_or(3) + Length::MILLIMETRE * 9;
    let thickness = key.thickness.map(|thickness| scale.of(thickness));
    let height = match thickness {
        Some(thickness) => section_top + thickness + Length::MILLIMETRE * 9,
        None => section_top - Length::MILLIMETRE * 9,
    };
    let angle = match key.miter {
        Miter::Square => "square".to_owned(),
        miter @ Miter::Corner { .. } => format!("{}°", degrees(miter, 2)),
    };
    let head = format!("{}, {angle}: {scale_words}", isolated(key.name));
    let exact = |length: Length| Figure::new(display, length, Show::Exact);
    let (lip_figure, face_figure) = (exact(key.lip), exact(key.face));
    // Dimensions stand side by side, each behind the figure of the one before.
    let face_dim = end + Length::MILLIMETRE * 8 + lip_figure.width(FIGURE);
    let width = (face_dim + face_figure.width(FIGURE)).max(left + face + Length::MILLIMETRE * 50)
        + Length::MILLIMETRE * 3;
    let description: Vec<String> = rows.iter().map(Row::text).collect();
    let mut svg = drawing("dw-corner", id, (width, height), &head, &description);
    svg.push(&words_from(
        &head,
        (left, Length::MILLIMETRE * 3),
        WORDS,
        "word",
        width - left,
    ));

    // The end of the rail, outer edge above.
    let place =
        |along: Length, from_edge: Length| (left + scale.of(along), top + scale.of(from_edge));
    let sight = top + face;
    let rail = [place(Length::ZERO, Length::ZERO), place(run, key.face)];
    let broken = broken((end, sight), top);
    svg.push(&outline("wood", &[&rail[..], &broken].concat()));
    svg.push(&line("edge", rail[0], (end, top)));
    if key.lip > Length::ZERO {
        let wall = key.face - key.lip;
        let from = place(key.miter.run_along(wall), wall);
        svg.push(&line("lip", from, (end, from.1)));
        let dim = end + Length::MILLIMETRE * 4;
        for element in down(dim, (sight - lip, sight), &lip_figure, FIGURE, true) {
            svg.push(&element);
        }
    }
    for element in down(face_dim, (top, sight), &face_figure, FIGURE, true) {
        svg.push(&element);
    }
    let middle = (
        left + scale.of(run) + half(BEYOND) - Length::MILLIMETRE * 2,
        top + half(face),
    );
    if face > Length::MILLIMETRE * 8 {
        svg.push(&words("front", middle, WORDS, "word"));
    }

    // The points, each with a line down to its row.
    let mut y = rows_top + half(ROW);
    for row in &rows {
        let at = place(row.along, row.from_edge);
        svg.push(&line("lead", at, (at.0, y)));
        svg.push(&dot(at));
        let from = (at.0 + Length::MILLIMETRE * 2, y);
        svg.push(&line(
            "lead",
            (at.0, y),
            (from.0 - half(Length::MILLIMETRE), y),
        ));
        for element in row.elements(from, key.stop) {
            svg.push(&element);
        }
        y += ROW;
    }
    if let Some(thickness) = key.thickness {
        for element in section(key, thickness, scale, (left, section_top), display) {
            svg.push(&element);
        }
    }
    svg.to_string()
}

/// The scale at which a length is no larger than may be, and what it is called.
fn scale_for(largest: Length) -> (Scale, String) {
    let mut parts = 1;
    while Scale::new(Length::METRE, Length::METRE * parts).of(largest) > LARGEST {
        parts *= 2;
    }
    let scale = Scale::new(Length::METRE, Length::METRE * parts);
    let words = if parts == 1 {
        "corner, full size".to_owned()
    } else {
        format!("corner, scale 1:{parts}")
    };
    (scale, words)
}

/// A point and its words.
struct Row {
    point: Point,
    along: Length,
    from_edge: Length,
    name: &'static str,
    /// How much less than the long point a rail measures there.
    less: Option<Figure>,
}

impl Row {
    fn text(&self) -> String {
        match &self.less {
            Some(less) => format!(
                "{}: {} less than from long point to long point",
                self.name,
                less.text()
            ),
            None => format!("{}: the outer edge", self.name),
        }
    }

    fn elements(&self, (x, y): (Length, Length), stop: Point) -> Vec<Element> {
        let name = if self.point == stop {
            format!("stop: {}", self.name)
        } else {
            self.name.to_owned()
        };
        let width = wide(&name, WORDS);
        let mut elements = Vec::new();
        let (class, behind) = if self.point == stop {
            let plate = Area {
                x,
                y: y - half(ROW) + half(Length::MILLIMETRE),
                width: width + Length::MILLIMETRE * 2,
                height: ROW - Length::MILLIMETRE,
            };
            elements.push(area("flag", plate));
            ("flagged", x + Length::MILLIMETRE)
        } else {
            ("word", x)
        };
        elements.push(words_from(&name, (behind, y), WORDS, class, width));
        if let Some(less) = &self.less {
            let from = behind + width + Length::MILLIMETRE * 3;
            let number = less.width(FIGURE);
            let baseline = y + hundredths(FIGURE, 36);
            elements.push(less.svg("fig", (from + half(number), baseline), FIGURE));
            let behind = (from + number + Length::MILLIMETRE, y);
            elements.push(words_from("less", behind, WORDS, "word", WORDS * 4));
        }
        elements
    }
}

/// The points from the nearest to the drawing on: each of them drops its line left of those before.
fn rows(key: &Key<'_>, display: &Display) -> Vec<Row> {
    let less = |from_edge: Length| {
        let less = key.miter.run_along(from_edge) * 2;
        (less > Length::ZERO).then(|| Figure::new(display, less, Show::Place))
    };
    let row = |point, name, from_edge: Length| Row {
        point,
        along: key.miter.run_along(from_edge),
        from_edge,
        name,
        less: less(from_edge),
    };
    let wall = key.face - key.lip;
    let has_wall = key.lip > Length::ZERO && key.miter != Miter::Square;
    let long = row(Point::Long, "long point", Length::ZERO);
    let rabbet = has_wall.then(|| row(Point::Rabbet, "rabbet", wall));
    if key.miter == Miter::Square {
        return vec![long];
    }
    let short = row(Point::Short, "short point", key.face);
    [short].into_iter().chain(rabbet).chain([long]).collect()
}

fn dot((x, y): (Length, Length)) -> Element {
    Element::new("circle")
        .set("class", "point")
        .mm("cx", x)
        .mm("cy", y)
        .mm("r", Length::from_nm(900_000))
}

/// The corners at which a drawing breaks off, down or up from a place.
pub(super) fn broken((x, y): (Length, Length), to: Length) -> [(Length, Length); 6] {
    let (middle, tooth) = (y + half(to - y), Length::from_nm(1_500_000));
    let down = if to < y { -tooth } else { tooth };
    [
        (x, y),
        (x, middle - down * 2),
        (x + tooth, middle - down),
        (x - tooth, middle + down),
        (x, middle + down * 2),
        (x, to),
    ]
}

/// The corners of a section, its front below and its sight edge on the right.
pub(super) fn section_corners(
    (x, y): (Length, Length),
    face: Length,
    thickness: Length,
    lip: Length,
    depth: Length,
) -> Vec<(Length, Length)> {
    let front = y + thickness;
    if lip == Length::ZERO || depth == Length::ZERO {
        return vec![(x, y), (x + face, y), (x + face, front), (x, front)];
    }
    vec![
        (x, y),
        (x + face - lip, y),
        (x + face - lip, y + depth),
        (x + face, y + depth),
        (x + face, front),
        (x, front),
    ]
}

fn section(
    key: &Key<'_>,
    thickness: Length,
    scale: Scale,
    at: (Length, Length),
    display: &Display,
) -> Vec<Element> {
    let exact = |length: Length| Figure::new(display, length, Show::Exact);
    let (x, y) = at;
    let (face, thick, lip) = (scale.of(key.face), scale.of(thickness), scale.of(key.lip));
    let depth = key.rabbet_depth.filter(|_| key.lip > Length::ZERO);
    let deep = depth.map_or(Length::ZERO, |depth| scale.of(depth));
    let mut elements = vec![outline(
        "wood",
        &section_corners(at, face, thick, lip, deep),
    )];
    let above = (x, y - Length::MILLIMETRE * 4);
    let room = Length::MILLIMETRE * 60;
    elements.push(words_from(
        "section, front below",
        above,
        WORDS,
        "word",
        room,
    ));
    let right = x + face + Length::MILLIMETRE * 4;
    if let Some(depth) = depth {
        elements.extend(down(right, (y, y + deep), &exact(depth), FIGURE, true));
    } else if key.lip > Length::ZERO {
        let wall = x + face - lip;
        elements.push(line("lip", (wall, y), (wall, y + thick)));
    }
    let beside = depth.map_or(Length::ZERO, |depth| {
        exact(depth).width(FIGURE) + Length::MILLIMETRE * 4
    });
    let far = right + beside;
    elements.extend(down(far, (y, y + thick), &exact(thickness), FIGURE, true));
    elements.extend(across(
        y + thick + Length::MILLIMETRE * 2,
        (x, x + face),
        &exact(key.face),
        FIGURE,
    ));
    elements
}

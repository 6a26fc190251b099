//! A section through a frame and what it holds, face down as it lies on the bench: the moulding with its rabbet, the
//! layers from the front, and the room for points.

use crate::frame::Depth;
use crate::job::Display;
use crate::length::Length;
use crate::report::document::Show;
use crate::stations::{Layer, LayerKind};

use super::corner::{broken, section_corners};
use super::figure::{Figure, wide};
use super::scale::{Area, Scale};
use super::strokes::{
    area, down, drawing, fitted, half, hundredths, line, outline, words, words_from,
};
use super::xml::isolated;

/// What lies in a rabbet.
#[derive(Clone, Copy, Debug)]
pub struct Stack<'a> {
    /// The frames that it belongs to, in words.
    pub name: &'a str,
    /// Width of the moulding seen from the front.
    pub face: Length,
    /// Width of the rabbet.
    pub lip: Length,
    /// Thickness of the moulding; where it is not known, it is drawn as thick as it looks well, without a figure.
    pub thickness: Option<Length>,
    /// Depth of the rabbet; where it is not known, it is drawn as deep as is needed, without a figure.
    pub rabbet_depth: Option<Length>,
    /// What lies in it, from the front, room for points among it.
    pub layers: &'a [Layer],
}

/// How a layer is drawn, and what it is called where it has no name; `None` of room for points.
fn look(kind: LayerKind) -> Option<(&'static str, &'static str)> {
    match kind {
        LayerKind::Glazing => Some(("glazing", "glazing")),
        LayerKind::Spacer => Some(("spacer", "spacer")),
        LayerKind::Mat { .. } => Some(("mat", "mat")),
        LayerKind::Art => Some(("artwork", "artwork")),
        LayerKind::Inner => Some(("inner", "inner frame")),
        LayerKind::Backing => Some(("backing", "backing")),
        LayerKind::PointRoom => None,
    }
}

/// How thick the moulding is on paper, or the stack where it is higher.
const THICK: Length = Length::from_nm(24_000_000);

/// How much of the moulding is drawn at most, and of what it holds.
const WIDEST: Length = Length::from_nm(40_000_000);
const HELD: Length = Length::from_nm(28_000_000);

/// Type of figures and of words.
const FIGURE: Length = Length::from_nm(5_000_000);
const WORDS: Length = Length::from_nm(3_600_000);

/// From row to row of words.
const ROW: Length = Length::from_nm(6_000_000);

/// Room for a name and its thickness.
const NAMES: Length = Length::from_nm(62_000_000);

/// The section, of which `id` is the beginning of its ids.
#[expect(
    clippy::too_many_lines,
    reason = "one drawing, told from the wood to the layers"
)]
pub fn section(stack: &Stack<'_>, display: &Display, id: &str) -> String {
    let needed = stack.needed();
    let depth = stack.rabbet_depth.unwrap_or(needed);
    let excess = (needed - depth).max(Length::ZERO);
    let thickness = stack
        .thickness
        .unwrap_or(depth + Length::from_nm(depth.nm() / 3).max(Length::MILLIMETRE * 5))
        .max(depth);
    let scale = Scale::new(THICK, thickness + excess);
    let face = scale.of(stack.face);
    let (face, is_broken) = (face.min(WIDEST), face > WIDEST);
    let lip = scale.of(stack.lip).min(half(face));
    let (left, top) = (Length::MILLIMETRE * 2, Length::MILLIMETRE * 3);
    let back = top + scale.of(excess);
    let (front, shelf) = (back + scale.of(thickness), back + scale.of(depth));
    let wall = left + face - lip;
    let end = wall + HELD;
    let point_room = stack.point_room();
    let more = [point_room, excess];
    let n_more = more
        .into_iter()
        .filter(|&length| length > Length::ZERO)
        .count();
    let n_rows = i64::try_from(stack.sheets().count() + n_more).unwrap_or(1);
    let height = (front + Length::MILLIMETRE * 7).max(top + ROW * n_rows + Length::MILLIMETRE * 2);
    let names = end + Length::MILLIMETRE * 8;
    let title = format!("{}: section, face down", isolated(stack.name));
    let mut svg = drawing(
        "dw-stack",
        id,
        (names + NAMES, height),
        &title,
        &description(stack, display),
    );
    let mut corners = section_corners((left, back), face, front - back, lip, shelf - back);
    if is_broken {
        corners.extend(broken((left, front), back));
    }
    svg.push(&outline("wood", &corners));
    let middle = (left + half(face), front + Length::MILLIMETRE * 4);
    svg.push(&words("front", middle, WORDS, "word"));

    // The layers, from the shelf of the rabbet on; each with the middle of its height.
    let gap = half(Length::MILLIMETRE);
    let mut below = shelf;
    let mut rows: Vec<(Length, String, Figure)> = Vec::new();
    let thick = |length: Length| match length {
        Length::ZERO => Figure::read(""),
        _ => Figure::new(display, length, Show::Exact),
    };
    let mut at = Length::ZERO;
    let mut drawn: Vec<(&str, Area)> = Vec::new();
    for (layer, class, name) in stack.sheets() {
        at += layer.thickness;
        let above = shelf - scale.of(at);
        // Paper is seen, however thin.
        let least = Length::from_nm(500_000);
        let shown = Area {
            x: wall + gap,
            y: above.min(below - least),
            width: end - wall - gap,
            height: (below - above).max(least),
        };
        drawn.push((class, shown));
        let middle = shown.y + half(shown.height);
        rows.push((middle, name.to_owned(), thick(layer.thickness)));
        below = above;
    }
    // The artwork may be thinner than it is drawn, and lies over what is behind it.
    drawn.sort_by_key(|&(class, _)| class == "artwork");
    for (class, shown) in drawn {
        svg.push(&area(class, shown));
        if shown.y < back {
            svg.push(&area("deep", shown));
        }
    }
    if point_room > Length::ZERO {
        let above = below - scale.of(point_room);
        let room = Area {
            x: wall + gap,
            y: above,
            width: end - wall - gap,
            height: below - above,
        };
        svg.push(&area(if above < back { "deep" } else { "room" }, room));
        let figure = Figure::new(display, point_room, Show::Exact);
        rows.push((
            above + half(below - above),
            "room for points".to_owned(),
            figure,
        ));
    }
    if let Some((words, by)) = stack.depth().and_then(too_deep) {
        let figure = Figure::new(display, by, Show::Exact);
        rows.push((back, words.to_owned(), figure));
    }
    svg.push(&line(
        "lip",
        (wall, back),
        (end + Length::MILLIMETRE * 2, back),
    ));

    // The names beside, from the back to the front, each as near to its layer as the others leave it.
    rows.reverse();
    let all = ROW * i64::try_from(rows.len()).unwrap_or(1);
    let first = (half(back + shelf) - half(all))
        .max(top)
        .min((height - all).max(top));
    let mut y = first + half(ROW);
    for (layer, name, figure) in rows {
        svg.push(&line("lead", (end, layer), (names - Length::MILLIMETRE, y)));
        let number = figure.width(FIGURE);
        let room = NAMES - number - Length::MILLIMETRE * 3;
        let name = fitted(&name, WORDS, room);
        let word = wide(&name, WORDS);
        svg.push(&words_from(&name, (names, y), WORDS, "word", word));
        let from = names + word + Length::MILLIMETRE * 2;
        svg.push(&figure.svg(
            "fig",
            (from + half(number), y + hundredths(FIGURE, 36)),
            FIGURE,
        ));
        y += ROW;
    }
    if let Some(depth) = stack.rabbet_depth {
        let figure = Figure::new(display, depth, Show::Exact);
        let width = figure.width(FIGURE) + Length::MILLIMETRE * 2;
        if wall - left > width + Length::MILLIMETRE * 4 {
            let x = wall - width - Length::MILLIMETRE;
            let plate = Area {
                x: x + half(Length::MILLIMETRE),
                y: back + half(shelf - back) - half(FIGURE),
                width: width - half(Length::MILLIMETRE),
                height: FIGURE,
            };
            svg.push(&area("plate", plate));
            for element in down(x, (back, shelf), &figure, FIGURE, true) {
                svg.push(&element);
            }
        }
    }
    svg.to_string()
}

impl Stack<'_> {
    /// The depth that would do.
    fn needed(&self) -> Length {
        self.layers.iter().map(|layer| layer.thickness).sum()
    }

    /// What is left for points behind the last of its sheets.
    fn point_room(&self) -> Length {
        let rooms = self.layers.iter();
        let rooms = rooms.filter(|layer| layer.kind == LayerKind::PointRoom);
        rooms.map(|layer| layer.thickness).sum()
    }

    /// The stack against its rabbet, where its depth is known.
    fn depth(&self) -> Option<Depth> {
        Some(Depth {
            needed: self.needed(),
            point_room: self.point_room(),
            rabbet_depth: self.rabbet_depth?,
        })
    }

    /// What lies in it, how each is drawn, and what it is called.
    fn sheets(&self) -> impl Iterator<Item = (&Layer, &'static str, &str)> {
        self.layers.iter().filter_map(|layer| {
            let (class, usual) = look(layer.kind)?;
            Some((layer, class, layer.name.as_deref().unwrap_or(usual)))
        })
    }
}

/// What is wrong with a stack that is too high, and by how much: its sheets stand out of the rabbet, or only the points lack
/// room.
fn too_deep(depth: Depth) -> Option<(&'static str, Length)> {
    let excess = depth.excess()?;
    let proud = depth.proud().map(|proud| ("stands out by", proud));
    Some(proud.unwrap_or(("points lack", excess)))
}

fn description(stack: &Stack<'_>, display: &Display) -> Vec<String> {
    let exact = |length: Length| Figure::new(display, length, Show::Exact).text();
    let mut lines: Vec<String> = stack
        .sheets()
        .map(|(layer, _, name)| match layer.thickness {
            Length::ZERO => isolated(name),
            thickness => format!("{}: {}", isolated(name), exact(thickness)),
        })
        .collect();
    lines.push(format!("room for points: {}", exact(stack.point_room())));
    if let Some(depth) = stack.depth() {
        let (words, by) = too_deep(depth).map_or_else(
            || {
                (
                    "fits,".to_owned(),
                    exact(depth.rabbet_depth - depth.needed) + " to spare",
                )
            },
            |(words, by)| (words.to_owned(), exact(by)),
        );
        lines.push(format!(
            "rabbet {} deep: {words} {by}",
            exact(depth.rabbet_depth)
        ));
    }
    lines
}

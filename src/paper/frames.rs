//! The chapter frame by frame: a drawing from the front, the sizes, the section through the stack, and where each rail comes
//! from.

use askama::Template;

use crate::frame::{Borders, Outline, side_name};
use crate::job::{Display, Job};
use crate::length::Length;
use crate::plan::Plan;
use crate::report::document::{Show, Text, exact, name, needed, one_line, say};
use crate::report::sections::{
    border_words, rabbet_shown, spacer_words, tight_words, weight_words,
};
use crate::stations::{Across, FrameSheet, frame_sheets, mat_round_art, most_difference};
use crate::tally::SizedFrame;

use super::svg::frame::{Front, front};
use super::svg::section::{Stack, section};
use super::words::{Words, named};

#[derive(Template)]
#[template(path = "frames.html", config = "src/paper/askama.toml")]
struct Frames {
    /// By how much the diagonals of a glued frame may differ.
    difference: String,
    frames: Vec<Shown>,
}

struct Shown {
    name: String,
    about: String,
    front: String,
    /// The section through the stack, where it is the first of its kind.
    section: Option<String>,
    /// The frame whose section it is else.
    like: Option<String>,
    heads: Vec<&'static str>,
    sizes: Vec<(&'static str, Vec<String>)>,
    says: Vec<(&'static str, String)>,
    sides: Vec<String>,
    copies: Vec<(String, Vec<String>)>,
}

impl Shown {
    /// The same by side: of each, the rail of every copy.
    fn by_side(&self) -> Vec<(&str, Vec<&str>)> {
        let sides = self.sides.iter().enumerate();
        let rails = |at: usize| self.copies.iter().map(move |(_, rails)| rails[at].as_str());
        sides
            .map(|(at, side)| (side.as_str(), rails(at).collect()))
            .collect()
    }
}

/// The chapter; nothing where there are no frames.
pub(super) fn chapter(words: Words<'_>, plan: &Plan) -> askama::Result<String> {
    let sheets = frame_sheets(plan);
    if sheets.is_empty() {
        return Ok(String::new());
    }
    let mut first_of_stack: Vec<&str> = Vec::new();
    let frames = sheets.iter().map(|sheet| {
        let like = first_of_stack.get(sheet.stack).copied();
        if like.is_none() {
            first_of_stack.push(&sheet.sized.frame.name);
        }
        shown(words, &plan.job, sheet, like)
    });
    Frames {
        difference: words.html(exact(most_difference(plan.job.display.unit))),
        frames: frames.collect(),
    }
    .render()
}

fn shown(words: Words<'_>, job: &Job, sheet: &FrameSheet<'_>, like: Option<&str>) -> Shown {
    let display = &job.display;
    let quantity = sheet.sized.frame.quantity;
    let times = (quantity > 1).then(|| say!("× {} · ", quantity));
    let is_matted = !sheet.sized.package.windows.is_empty();
    let has_stack = sheet.sized.sizes.rabbet.is_some();
    let names = one_line(&sheet.sized.frame.name);
    Shown {
        name: named(&one_line(&sheet.sized.frame.name)),
        about: words.html(say!("{}{}", times, name(&sheet.sized.moulding.name))),
        front: frame_front(display, &sheet.sized, &format!("front-{}", sheet.frame_idx)),
        section: (like.is_none() && has_stack).then(|| stack_drawing(display, sheet, &names)),
        like: like
            .filter(|_| has_stack)
            .map(|like| named(&one_line(like))),
        heads: match sheet.sized.sizes.outside {
            Outline::Rectangle { .. } => vec!["wide", "high"],
            Outline::Regular { flats: None, .. } => vec!["each side"],
            Outline::Regular { .. } => vec!["flats", "each side"],
        },
        sizes: sizes(words, job, sheet),
        says: says(words, sheet, is_matted),
        sides: (0..sheet.sized.sizes.n_sides())
            .map(|side| side_name(sheet.sized.sizes.outside, side).into_owned())
            .collect(),
        copies: sheet
            .copies
            .iter()
            .map(|copy| {
                let rails = copy.rails.iter();
                let rails = rails.map(|rail| {
                    rail.map_or_else(|| "none".to_owned(), |rail| rail.label.to_string())
                });
                let copy = if quantity > 1 {
                    format!("#{}", copy.copy)
                } else {
                    String::new()
                };
                (copy, rails.collect())
            })
            .collect(),
    }
}

/// A frame from the front, as a drawing whose ids begin with `id`.
pub fn frame_front(display: &Display, sized: &SizedFrame<'_>, id: &str) -> String {
    let name = one_line(&sized.frame.name);
    let none = Borders {
        top: Length::ZERO,
        right: Length::ZERO,
        bottom: Length::ZERO,
        left: Length::ZERO,
    };
    // Artwork and mat lie in the middle of the package, with the frames inside round them.
    let beside = |side: u32| {
        let beside = sized.package.size.side(side) - sized.package.content.side(side);
        Length::from_nm(beside.nm() / 2)
    };
    let (across, down) = (beside(0), beside(1));
    let of_mat = mat_round_art(sized.frame).unwrap_or(none);
    let around_art = Borders {
        top: of_mat.top + down,
        right: of_mat.right + across,
        bottom: of_mat.bottom + down,
        left: of_mat.left + across,
    };
    let drawn = Front {
        name: &name,
        outside: sized.sizes.outside,
        sight: sized.sizes.sight,
        package: sized.package.size,
        inner: &sized.package.inner,
        windows: &sized.package.windows,
        art: (sized.frame.art, around_art),
    };
    front(&drawn, display, id)
}

/// The section through its stack.
fn stack_drawing(display: &Display, sheet: &FrameSheet<'_>, names: &str) -> String {
    let stack = Stack {
        name: names,
        face: sheet.sized.moulding.face_width,
        lip: sheet.sized.moulding.lip,
        thickness: sheet.sized.moulding.thickness,
        rabbet_depth: sheet.sized.moulding.rabbet_depth,
        layers: &sheet.layers,
    };
    section(&stack, display, &format!("stack-{}", sheet.stack))
}

/// From the outside in.
fn sizes(words: Words<'_>, job: &Job, sheet: &FrameSheet<'_>) -> Vec<(&'static str, Vec<String>)> {
    let outline = |outline: Outline, show: Show| match outline {
        Outline::Rectangle { width, height } => {
            vec![words.length(width, show), words.length(height, show)]
        }
        Outline::Regular { side, flats, .. } => {
            let told = flats.into_iter().chain([side]);
            told.map(|length| words.length(length, show)).collect()
        }
    };
    let mut sizes = vec![
        ("outside", outline(sheet.sized.sizes.outside, Show::Needed)),
        ("sight", outline(sheet.sized.sizes.sight, Show::Needed)),
    ];
    if let Some(rabbet) = sheet.sized.sizes.rabbet {
        sizes.push(("rabbet", outline(rabbet, rabbet_shown(job))));
        sizes.push(("package", outline(sheet.sized.package.size, Show::There)));
    }
    for window in &sheet.sized.package.windows {
        let opening = window.opening;
        let what = if opening.is_oval {
            "oval window"
        } else {
            "window"
        };
        sizes.push((what, outline(opening.size, Show::There)));
    }
    sizes.push(("art", outline(sheet.sized.frame.art, Show::There)));
    sizes
}

/// What else is to be known.
fn says(words: Words<'_>, sheet: &FrameSheet<'_>, is_matted: bool) -> Vec<(&'static str, String)> {
    let mut says: Vec<(&'static str, Text)> = Vec::new();
    if let Some(mat) = sheet.sized.frame.mat.as_ref().filter(|_| is_matted) {
        says.push(("mat", border_words(mat.borders)));
    }
    says.extend(spacer_words(&sheet.sized).map(|spacer| ("spacer", spacer)));
    says.push(match sheet.across {
        Across::Corners(length) => ("diagonal", needed(length)),
        Across::CornerToSide(length) => {
            let across = say!("{} to the middle of the side opposite", needed(length));
            ("from a corner", across)
        }
    });
    if let Some(depth) = sheet.sized.depth {
        let fits = match tight_words(depth) {
            Some(tight) if depth.proud().is_some() => say!("TOO DEEP, {}", tight),
            Some(tight) => say!("TIGHT, {}", tight),
            None => say!(
                "fits, {} to spare",
                exact(depth.rabbet_depth - depth.needed)
            ),
        };
        says.push((
            "stack",
            say!(
                "{}, rabbet {}: {}",
                exact(depth.needed),
                exact(depth.rabbet_depth),
                fits
            ),
        ));
    }
    says.extend(weight_words(&sheet.sized).map(|weight| ("weight", weight)));
    says.into_iter()
        .map(|(what, text)| (what, words.html(text)))
        .collect()
}

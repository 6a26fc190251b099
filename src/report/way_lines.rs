//! What each way of buying comes to, counted once for all formats.

use std::collections::BTreeMap;

use crate::compare::{Change, Comparison, Kind, Line, Row, Rule, Way, Wood};
use crate::job::{Buying, Job};
use crate::length::{Length, exact_text};
use crate::money::Money;
use crate::plan::Measure;

use super::figures::{per_mille_down, per_mille_of_face};
use super::layout::one_line;
use super::summary::{Kept, Lumber, Summary, Wood as WoodUse};

/// One way of buying, counted up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WayLine {
    /// What it is called.
    pub name: String,
    /// Boards by length, the longest first: length and how many.
    pub boards: Vec<(Length, u64)>,
    /// All boards end to end.
    pub length: Length,
    /// Boards in all.
    pub n_boards: u64,
    /// What they cost; `None` where no board has a price.
    pub money: Option<Money>,
    /// What becomes of their length.
    pub wood: WoodUse,
    /// All of them in board feet; `None` where one lacks a width or a thickness.
    pub lumber: Option<Lumber>,
    /// What goes into the parts, in tenths of a percent rounded down: of the length, or where boards are ripped of
    /// their faces.
    pub used: i64,
    /// Offcuts long enough to keep.
    pub n_kept: u64,
    /// Parts without wood.
    pub n_missing: u64,
    /// Cost above the best way, in what the plan's value is measured in; see [`Comparison::difference`].
    pub difference: Option<i64>,
    /// Whether nothing bought in this way is better, by proof.
    pub is_proved: bool,
    /// What the whole job costs in this way, in what the plan's value is measured in.
    pub value: i64,
    /// What no plan bought in this way can beat.
    pub bound: i64,
}

impl WayLine {
    /// Counts up a row; with a wood, only the boards of this wood.
    ///
    /// # Panics
    /// If `row` is not one of `comparison`.
    pub fn new(
        job: &Job,
        buying: &Buying,
        comparison: &Comparison,
        row: &Row,
        wood: Option<&Wood>,
    ) -> WayLine {
        let mut plan = row.plan.clone();
        if let Some(wood) = wood {
            plan.boards
                .retain(|board| wood.boards.contains(&board.board_idx));
        }
        let summary = Summary::new(&row.job, &plan);
        let mut boards: BTreeMap<Length, u64> = BTreeMap::new();
        for taken in &summary.taken {
            let board = &row.job.boards[taken.board_idx];
            *boards.entry(board.length).or_default() += taken.count;
        }
        let length = boards
            .iter()
            .map(|(&length, &count)| length * to_signed(count))
            .sum();
        WayLine {
            name: way_name(job, buying, comparison, &row.way),
            boards: boards.into_iter().rev().collect(),
            length,
            n_boards: summary.n_boards,
            money: summary
                .price
                .or((plan.measure == Measure::Price).then_some(Money::ZERO)),
            n_kept: summary.kept.iter().map(Kept::count).sum(),
            wood: summary.wood,
            lumber: summary.lumber,
            used: summary.face.as_ref().map_or_else(
                || per_mille_down(summary.wood.parts, summary.wood.boards),
                |face| per_mille_of_face(face.parts_nm2, face.boards_nm2),
            ),
            n_missing: summary.n_missing,
            difference: comparison.difference(row),
            is_proved: row.is_proved(),
            value: row.plan.value,
            bound: row.bound,
        }
    }
}

/// A wood and a length in a few columns: `walnut 13/16, 8 ft`.
pub(super) fn short_name(job: &Job, wood: &Wood, length: Length) -> String {
    let name = wood_name(job, wood);
    let name = name
        .strip_suffix(&format!(" {} thick", job.display.unit.symbol()))
        .unwrap_or(&name);
    format!("{}, {}", name.replace(',', ""), label_length(job, length))
}

fn to_signed(count: u64) -> i64 {
    i64::try_from(count).expect("a count in memory fits 63 bits")
}

/// What a way is called.
///
/// # Panics
/// If the way is not of this job.
pub fn way_name(job: &Job, buying: &Buying, comparison: &Comparison, way: &Way) -> String {
    match way {
        Way::BestMix => "best mix".to_owned(),
        Way::AtMost(most) => {
            let noun = if *most == 1 { "length" } else { "lengths" };
            if comparison.woods.len() > 1 {
                format!("{most} {noun} a wood")
            } else {
                format!("at most {most} {noun}")
            }
        }
        Way::OneLength { length, .. } => format!("{} alone", label_length(job, *length)),
        Way::Longest(length) => format!("none over {}", label_length(job, *length)),
        Way::EnoughOfAll => "no yard limits".to_owned(),
        Way::WithoutRack => "without the rack".to_owned(),
        Way::Own(idx) => one_line(&buying.ways[*idx].name),
    }
}

/// A board's length as a yard says it: whole feet as feet, whatever the job's unit.
pub(super) fn label_length(job: &Job, length: Length) -> String {
    let unit = job.display.unit;
    if unit.is_imperial() && length.nm() % Length::FOOT.nm() == 0 {
        exact_text(length, crate::length::Unit::Foot)
    } else {
        exact_text(length, unit)
    }
}

/// What a wood is called: its material and thickness where all its boards agree, else what is milled from it.
///
/// # Panics
/// If an index of the wood is out of range.
pub fn wood_name(job: &Job, wood: &Wood) -> String {
    let first = &job.boards[wood.boards[0]];
    let agree = wood.boards.iter().all(|&idx| {
        (&job.boards[idx].material, job.boards[idx].thickness) == (&first.material, first.thickness)
    });
    match (&first.material, first.thickness) {
        (Some(material), Some(thickness)) if agree => {
            format!(
                "{}, {} thick",
                one_line(material),
                exact_text(thickness, job.display.unit)
            )
        }
        (Some(material), None) if agree => one_line(material),
        _ => {
            let sections: Vec<String> = wood
                .sections
                .iter()
                .map(|section| {
                    section.map_or_else(
                        || "plain".to_owned(),
                        |idx| one_line(&job.mouldings[idx].name),
                    )
                })
                .collect();
            sections.join(", ")
        }
    }
}

/// The size across its length by which a board is sold: `4/4 × 6 in`, or as much as is known.
pub(super) fn sold_size(job: &Job, board: &crate::stock::Board, ink: super::ink::Ink) -> String {
    let unit = job.display.unit;
    let sizes = [board.sold_thickness(), board.sold_width()];
    let known: Vec<String> = sizes
        .iter()
        .flatten()
        .map(|&size| exact_text(size, unit))
        .collect();
    known.join(&format!(" {} ", ink.times()))
}

/// What a material is called.
pub(super) fn kind_name(kind: &Kind) -> String {
    match kind {
        Kind::Mat => "mat board".to_owned(),
        Kind::Glazing(name) | Kind::Backing(name) => one_line(name),
        Kind::Hangers => "hangers".to_owned(),
        Kind::Wire => "wire".to_owned(),
        Kind::Keys => "splines or keys".to_owned(),
        Kind::KeyStock => "stock for them".to_owned(),
    }
}

/// A rule in words.
pub(super) fn rule_words(rule: Rule) -> &'static str {
    match rule {
        Rule::Rows { stated: true } => "laid in rows, the tallest first; nothing for breakage",
        Rule::Rows { stated: false } => {
            "laid in rows, the tallest first; the size of the sheet is taken as common"
        }
        Rule::TwoToAFrame => "two to a frame, a third down, each rated at twice its weight",
        Rule::WidthAndAFoot => "outside width and a foot for each frame",
        Rule::OneToACorner => "one to a corner, twice the face width long",
    }
}

/// A line of the job: its name and how many alike.
pub(super) fn line_name(job: &Job, line: Line) -> (&str, u32) {
    match line {
        Line::Frame(idx) => (&job.frames[idx].name, job.frames[idx].quantity),
        Line::Piece(idx) => (&job.pieces[idx].name, job.pieces[idx].quantity),
    }
}

/// The kind of a way, for scripts.
pub(super) fn way_code(way: &Way) -> &'static str {
    match way {
        Way::BestMix => "best-mix",
        Way::AtMost(_) => "at-most",
        Way::OneLength { .. } => "one-length",
        Way::Longest(_) => "longest",
        Way::EnoughOfAll => "no-yard-limits",
        Way::WithoutRack => "without-rack",
        Way::Own(_) => "own",
    }
}

/// The kind of a change, for scripts, and what it is changed to or by.
pub(super) fn change_code(job: &Job, change: Change) -> (&'static str, Option<Length>, &str) {
    match change {
        Change::Kerf(kerf) => ("kerf", Some(kerf), ""),
        Change::EndTrim(trim) => ("end-trim", Some(trim), ""),
        Change::NarrowerFaces(less) => ("narrower-faces", Some(less), ""),
        Change::Turned => ("strips-turned", None, ""),
        Change::OneFewer(idx) => ("one-fewer", None, &job.frames[idx].name),
        Change::OneMore(idx) => ("one-more", None, &job.frames[idx].name),
    }
}

/// The wood that a way singles out.
pub(super) fn wood_of(job: &Job, comparison: &Comparison, way: &Way) -> Option<String> {
    match way {
        Way::OneLength { wood_idx, .. } => Some(wood_name(job, &comparison.woods[*wood_idx])),
        _ => None,
    }
}

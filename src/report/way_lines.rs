//! What each way of buying comes to, counted once for all formats.

use std::collections::BTreeMap;

use crate::compare::{Change, Comparison, Kind, Line, Row, Rule, Way, Wood, find_woods};
use crate::job::{Buying, Job, OwnBoards};
use crate::length::{Length, Unit, exact_text};
use crate::money::Money;
use crate::plan::Measure;
use crate::stock::{Board, NominalSize};

use super::figures::{per_mille_down, per_mille_of_face};
use super::ink::Ink;
use super::layout::one_line;
use super::summary::{Kept, Lumber, Summary, Wood as WoodUse};

/// One way of buying, counted up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WayLine {
    /// What it is called.
    pub name: String,
    /// Boards that are bought, by length, the longest first: length and how many.
    pub bought: Vec<(Length, u64)>,
    /// Pieces from the rack.
    pub n_from_rack: u64,
    /// Boards in all, the pieces from the rack among them.
    pub n_boards: u64,
    /// All of them end to end.
    pub length: Length,
    /// What they count together, the rack's pieces at their value; `None` where nothing has a price.
    pub money: Option<Money>,
    /// What is paid of it, for what is bought.
    pub to_pay: Option<Money>,
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
        let mut bought: BTreeMap<Length, u64> = BTreeMap::new();
        let (mut n_from_rack, mut length) = (0, Length::ZERO);
        for taken in &summary.taken {
            let board = &row.job.boards[taken.board_idx];
            length += board.length * to_signed(taken.count);
            if board.in_hand.is_some() {
                n_from_rack += taken.count;
            } else {
                *bought.entry(board.length).or_default() += taken.count;
            }
        }
        let priced =
            |sum: Option<Money>| sum.or((plan.measure == Measure::Price).then_some(Money::ZERO));
        WayLine {
            name: way_name(job, buying, comparison, &row.way),
            bought: bought.into_iter().rev().collect(),
            n_from_rack,
            n_boards: summary.n_boards,
            length,
            money: priced(summary.price),
            to_pay: priced(summary.bought),
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

/// A wood in a few columns: `walnut 13/16`.
pub(super) fn short_name(job: &Job, wood: &Wood) -> String {
    let name = wood_name(job, wood);
    let name = name
        .strip_suffix(&format!(" {} thick", job.display.unit.symbol()))
        .unwrap_or(&name);
    name.replace(',', "")
}

/// The woods of a row with what is bought of each, in words fit for a line of its own.
///
/// # Panics
/// If `row` is not one of `comparison`.
pub(super) fn by_wood(
    job: &Job,
    buying: &Buying,
    comparison: &Comparison,
    row: &Row,
) -> Vec<(String, WayLine)> {
    // Another yard has boards of its own, and without a limit there are boards that the comparison's woods lack.
    let woods = find_woods(&row.job);
    let line = |wood| WayLine::new(job, buying, comparison, row, Some(wood));
    woods
        .iter()
        .map(|wood| (short_name(&row.job, wood), line(wood)))
        .collect()
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
        Way::AnyLength => "no vehicle limit".to_owned(),
        Way::EnoughOfAll => "no yard limits".to_owned(),
        Way::WithoutRack => "without the rack".to_owned(),
        Way::Own(idx) => one_line(&buying.ways[*idx].name),
    }
}

/// A board's length as a yard says it: whole feet as feet, whatever the job's unit.
pub(super) fn label_length(job: &Job, length: Length) -> String {
    let unit = job.display.unit;
    if unit.is_imperial() && length.nm() % Length::FOOT.nm() == 0 {
        exact_text(length, Unit::Foot)
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

/// The size across its length by which a yard sells a board: `1 × 6` of softwood, `4/4 × 6 1/2 in` of hardwood, or what
/// is known of it.
pub(super) fn sold_size(job: &Job, board: &Board, ink: Ink) -> String {
    let times = format!(" {} ", ink.times());
    let inches = |length: Length| (length.nm() / Length::INCH.nm()).to_string();
    if let Some(NominalSize {
        thickness,
        width: Some(width),
    }) = board.nominal
    {
        return [inches(thickness), inches(width)].join(&times);
    }
    let unit = match job.display.unit {
        Unit::Foot => Unit::Inch,
        unit => unit,
    };
    let text = |length: Length| exact_text(length, unit);
    let thickness = match board.nominal {
        Some(size) => Some(format!("{}/4", size.thickness.nm() * 4 / Length::INCH.nm())),
        None => board.thickness.map(text),
    };
    let known: Vec<String> = thickness.into_iter().chain(board.width.map(text)).collect();
    match &known[..] {
        // The unit once will do.
        [thickness, width] => {
            let symbol = format!(" {}", unit.symbol());
            let thickness = thickness.strip_suffix(&symbol).unwrap_or(thickness);
            format!("{thickness}{times}{width}")
        }
        _ => known.join(""),
    }
}

/// What a material is called.
pub(super) fn kind_name(kind: &Kind) -> String {
    match kind {
        Kind::Mat(None) => "mat board".to_owned(),
        Kind::Mat(Some(name)) | Kind::Glazing(name) | Kind::Backing(name) => one_line(name),
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
            "laid in rows, the tallest first; nothing for breakage; the size is a common one"
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

/// Boards of a user's own way that the vehicle does not take, by name.
pub(super) fn left_behind<'a>(job: &'a Job, buying: &'a Buying, way: &Way) -> Vec<&'a str> {
    let (Way::Own(way_idx), Some(longest)) = (way, buying.longest) else {
        return Vec::new();
    };
    let boards: Vec<&Board> = match &buying.ways[*way_idx].boards {
        OwnBoards::Named(named) => named.iter().map(|&idx| &job.boards[idx]).collect(),
        OwnBoards::Listed(listed) => listed.iter().collect(),
    };
    let too_long = boards
        .into_iter()
        .filter(|board| board.in_hand.is_none() && board.length > longest);
    too_long.map(|board| board.name.as_str()).collect()
}

/// The kind of a way, for scripts.
pub(super) fn way_code(way: &Way) -> &'static str {
    match way {
        Way::BestMix => "best-mix",
        Way::AtMost(_) => "at-most",
        Way::OneLength { .. } => "one-length",
        Way::AnyLength => "no-vehicle-limit",
        Way::EnoughOfAll => "no-yard-limits",
        Way::WithoutRack => "without-rack",
        Way::Own(_) => "own",
    }
}

/// A change of the job, for scripts.
pub(super) struct ChangeCode<'a> {
    /// Its kind.
    pub(super) code: &'static str,
    /// The new kerf or trim, or by how much faces are narrower.
    pub(super) to: Option<Length>,
    /// What there is more or less of: its kind, which is `frame`, `piece` or `board`, and its name.
    pub(super) of: Option<(&'static str, &'a str)>,
}

impl<'a> ChangeCode<'a> {
    /// # Panics
    /// If the change is not one of `job`.
    pub(super) fn new(job: &'a Job, change: Change) -> ChangeCode<'a> {
        let line = |line| Some((line_kind(line), line_name(job, line).0));
        let (code, to, of) = match change {
            Change::Kerf(kerf) => ("kerf", Some(kerf), None),
            Change::EndTrim(trim) => ("end-trim", Some(trim), None),
            Change::NarrowerFaces(less) => ("narrower-faces", Some(less), None),
            Change::Turned => ("strips-turned", None, None),
            Change::FreeGrain => ("free-grain", None, None),
            Change::EnoughOf(idx) => ("enough-of", None, Some(("board", &*job.boards[idx].name))),
            Change::OneFewer(fewer) => ("one-fewer", None, line(fewer)),
            Change::OneMore(more) => ("one-more", None, line(more)),
        };
        ChangeCode { code, to, of }
    }
}

/// Whether a line is one of frames or of loose pieces, for scripts.
pub(super) fn line_kind(line: Line) -> &'static str {
    match line {
        Line::Frame(_) => "frame",
        Line::Piece(_) => "piece",
    }
}

/// The wood that a way singles out.
pub(super) fn wood_of(job: &Job, comparison: &Comparison, way: &Way) -> Option<String> {
    match way {
        Way::OneLength { wood_idx, .. } => Some(wood_name(job, &comparison.woods[*wood_idx])),
        _ => None,
    }
}

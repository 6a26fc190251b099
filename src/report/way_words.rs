//! What ways of buying, woods, boards, materials and changes are called.

use crate::compare::{Change, Comparison, Kind, Rule, Wood, find_woods, list_ways, woods_to_buy};
use crate::job::{Job, Line, Way};
use crate::length::{Length, Unit, exact_text};
use crate::plan::sheets::Among;
use crate::stock::{Board, NominalSize};

use super::document::one_line;

/// A wood in a few columns: `walnut 13/16`.
pub(super) fn short_name(job: &Job, wood: &Wood) -> String {
    let name = wood_name(job, wood);
    let name = name
        .strip_suffix(&format!(" {} thick", job.display.unit.symbol()))
        .unwrap_or(&name);
    name.replace(',', "")
}

/// What a way is called, unlike any other of the job: the name by which it can be planned.
///
/// # Panics
/// If the way is not of this job.
pub fn way_name(job: &Job, woods: &[Wood], way: &Way) -> String {
    match way {
        Way::BestMix if is_cut_at_yard(job) => "cut at the yard".to_owned(),
        Way::BestMix => "best mix".to_owned(),
        Way::AtMost(most) => {
            let noun = if *most == 1 { "length" } else { "lengths" };
            if woods.len() > 1 {
                format!("{most} {noun} a wood")
            } else {
                format!("at most {most} {noun}")
            }
        }
        Way::OneLength { wood_idx, length } if woods.len() > 1 => format!(
            "{}, {}",
            unique_name(job, woods, *wood_idx),
            label_length(job, *length)
        ),
        Way::OneLength { length, .. } => format!("{} alone", label_length(job, *length)),
        Way::Uncut => "best mix uncut".to_owned(),
        Way::AnyLength => "no vehicle limit".to_owned(),
        Way::EnoughOfAll => "no yard limits".to_owned(),
        Way::WithoutRack => "without the rack".to_owned(),
        Way::Own(idx) => one_line(&job.buying.ways[*idx].name),
    }
}

/// Whether the best mix may have boards cut at the yard.
fn is_cut_at_yard(job: &Job) -> bool {
    job.boards.iter().any(Board::is_to_be_cut)
}

/// What the best mix is called where another way that one can go is cheaper, such as another yard's boards.
const OWN_BOARDS: &str = "own boards";

/// What the row of a way is called beside the others of its comparison: a best mix that another one beats is not called best.
///
/// # Panics
/// If the way is not of this job.
pub fn row_name(job: &Job, comparison: &Comparison, way: &Way) -> String {
    if *way == Way::BestMix && is_beaten(comparison) {
        OWN_BOARDS.to_owned()
    } else {
        way_name(job, &comparison.woods, way)
    }
}

/// Whether a way that one can go is cheaper than the best mix of the job's own boards.
fn is_beaten(comparison: &Comparison) -> bool {
    comparison.best().way != Way::BestMix
}

/// A wood in a few columns, unlike any other.
fn unique_name(job: &Job, woods: &[Wood], wood_idx: usize) -> String {
    let own = short_name(job, &woods[wood_idx]);
    let before = woods[..wood_idx].iter();
    match before.filter(|wood| short_name(job, wood) == own).count() {
        0 => own,
        n => format!("{own} ({})", n + 1),
    }
}

/// The way of a job that is meant by a text: a name, first of the user's own ways, or a code such as `at-most-2`.
///
/// # Errors
/// All names, where there is no such way.
pub fn find_way(job: &Job, text: &str) -> Result<Way, Vec<String>> {
    let woods = woods_to_buy(job);
    let mut ways = list_ways(job);
    ways.sort_by_key(|way| !matches!(way, Way::Own(_)));
    let name = |way: &Way| way_name(job, &woods, way);
    let code = |way: &Way| match way {
        Way::AtMost(most) => format!("{}-{most}", way_code(way)),
        Way::OneLength { .. } | Way::Own(_) => String::new(),
        _ => way_code(way).to_owned(),
    };
    let is_meant = |said: &str| said.to_lowercase() == text.trim().to_lowercase();
    if is_meant(OWN_BOARDS) && !ways.iter().any(|way| is_meant(&name(way))) {
        return Ok(Way::BestMix);
    }
    let found = ways
        .iter()
        .find(|way| is_meant(&name(way)))
        .or_else(|| ways.iter().find(|way| is_meant(&code(way))));
    found
        .cloned()
        .ok_or_else(|| list_ways(job).iter().map(name).collect())
}

/// What cannot be had today of the way of buying that a job is limited to, as it lifts a limit; `None` where it lifts none.
pub fn lifted(job: &Job) -> Option<&'static str> {
    match job.buying.gone.as_ref()?.way {
        Way::EnoughOfAll => {
            Some("As if there were enough of every board: ask the yard before you rely on it")
        }
        Way::AnyLength => Some("As if the vehicle took every length"),
        _ => None,
    }
}

/// What the way is called that a job is limited to; `None` where that is the best mix.
pub fn gone_name(job: &Job) -> Option<String> {
    let gone = job.buying.gone.as_ref()?;
    // With the lengths that were left out the woods are what they were.
    let lines = || gone.woods.iter().flat_map(|wood| &wood.boards);
    let woods = find_woods(&job.with_enough_of(|idx, _| lines().any(|&line| line == idx)));
    let way = match gone.way {
        Way::OneLength { wood_idx, length } => {
            let mut at = woods.iter();
            let at = at.position(|wood| lines().any(|line| wood.boards.contains(line)));
            Way::OneLength {
                wood_idx: at.unwrap_or(wood_idx).min(woods.len().saturating_sub(1)),
                length,
            }
        }
        _ => gone.way.clone(),
    };
    Some(way_name(job, &woods, &way))
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
                        || "loose pieces".to_owned(),
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
pub(super) fn sold_size(job: &Job, board: &Board) -> String {
    let times = " × ";
    let inches = |length: Length| (length.nm() / Length::INCH.nm()).to_string();
    if let Some(NominalSize {
        thickness,
        width: Some(width),
    }) = board.nominal
    {
        return [inches(thickness), inches(width)].join(times);
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
        Kind::Mat(Some(name))
        | Kind::Glazing(name)
        | Kind::Backing(name)
        | Kind::DustCover(name) => one_line(name),
        Kind::Hangers => "hangers".to_owned(),
        Kind::Wire => "wire".to_owned(),
        Kind::Keys => "splines or keys".to_owned(),
        Kind::KeyStock => "stock for splines or keys".to_owned(),
    }
}

/// A rule in words, in units of the job's kind.
pub(super) fn rule_words(job: &Job, rule: Rule) -> &'static str {
    match rule {
        Rule::Planned {
            stated: true,
            best_among: Some(among),
        } => match among {
            Among::TwoStages => {
                "planned, and proved: in two stages of cuts none is cheaper; nothing for breakage"
            }
            Among::ThreeStages => {
                "planned, and proved: in three stages of cuts none is cheaper; nothing for breakage"
            }
            Among::AllCuts => {
                "planned, and proved: in however many stages of cuts none is cheaper; nothing for breakage"
            }
        },
        Rule::Planned {
            stated: true,
            best_among: None,
        } => "planned, but not proved to be the least; nothing for breakage",
        Rule::Planned { stated: false, .. } => {
            "planned in a common size of sheet, as the job states none; nothing for breakage"
        }
        Rule::TwoToAFrame => {
            "two to a frame, a third of the way down, each rated for twice its weight"
        }
        Rule::WidthAndAFoot if !job.display.unit.is_imperial() => {
            "for each frame its outside width and 300 mm more"
        }
        Rule::WidthAndAFoot => "for each frame its outside width and a foot more",
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
fn way_code(way: &Way) -> &'static str {
    match way {
        Way::BestMix => "best-mix",
        Way::AtMost(_) => "at-most",
        Way::OneLength { .. } => "one-length",
        Way::Uncut => "uncut",
        Way::AnyLength => "no-vehicle-limit",
        Way::EnoughOfAll => "no-yard-limits",
        Way::WithoutRack => "without-rack",
        Way::Own(_) => "own",
    }
}

/// The kind of a way beside the others of its comparison, for scripts; see [`row_name`].
pub(super) fn row_code(comparison: &Comparison, way: &Way) -> &'static str {
    match way {
        Way::BestMix if is_beaten(comparison) => "own-boards",
        _ => way_code(way),
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

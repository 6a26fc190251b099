//! One JSON object for scripts: exact, in a fixed order of fields, the same bytes every time.
//!
//! Lengths are whole nanometres (`_nm`), money whole minor units (`_minor`), angles thousandths of a degree
//! (`_millidegrees`). What does not apply is `null`, or left out where a comment below says so.

mod aside;
mod bench;
mod certificate;
mod sizes;
mod ways;

use serde::Serialize;

use crate::job::Job;
use crate::length::Length;
use crate::money::Money;
use crate::plan::certificate::Certificate;
use crate::plan::{
    Cut, Gathered, Measure, Part, Plan, PlannedBoard, Verdict, defects_on, is_edge_kept,
    is_end_kept, part_label, part_side,
};
use crate::tally::{Caution, cautions};

use super::chains::Chains;
use super::naming::part_sizes;
use crate::tally::{BothWays, Pile, Rack, Summary, price_of};
use crate::tally::{FrameSheet, alike_sheets, frame_sheets};
pub use bench::bench_json;
pub use ways::ways_json;

use aside::{ColorObject, SpareOffcutObject, WithoutObject, color, spare_offcuts};
use certificate::CertificateObject;
use sizes::{FrameObject, SheetObject, millidegrees};

/// The whole plan.
pub fn plan_json(plan: &Plan, certificate: &Certificate, summary: &Summary) -> String {
    let job = &plan.job;
    let sheets = frame_sheets(job);
    let chains = Chains::new(job);
    write(&PlanObject {
        title: &job.title,
        summary: SummaryObject::new(plan, summary),
        settings: Settings::new(job),
        boards_to_take: taken(job, summary),
        boards: plan
            .boards
            .iter()
            .map(|board| BoardObject::new(job, (&sheets, &chains), board))
            .collect(),
        spare_offcuts: spare_offcuts(plan),
        missing: plan
            .missing
            .iter()
            .map(|&part| MissingObject {
                name: PartName::new(job, part),
                length_nm: part_sizes(job, part).0.nm(),
            })
            .collect(),
        by_eye: by_eye(job, summary),
        frames: sheets.iter().map(FrameObject::new).collect(),
        sheets: alike_sheets(&sheets).iter().map(SheetObject::new).collect(),
        cautions: cautions(plan)
            .into_iter()
            .map(|caution| CautionObject::new(job, caution))
            .collect(),
        color: color(plan),
        leftover_proved_best: summary.aside.gathered.map(|known| known == Gathered::Best),
        without_grain: summary.aside.without_grain.as_ref().map(WithoutObject::new),
        without_spare_offcuts: summary
            .aside
            .without_spare_offcuts
            .as_ref()
            .map(WithoutObject::new),
        certificate: CertificateObject::new(job, certificate),
    })
}

/// Only the sizes.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn sizes_json(job: &Job) -> String {
    let sheets = frame_sheets(job);
    write(&SizesObject {
        title: &job.title,
        settings: Settings::new(job),
        frames: sheets.iter().map(FrameObject::new).collect(),
        sheets: alike_sheets(&sheets).iter().map(SheetObject::new).collect(),
    })
}

fn write(object: &impl Serialize) -> String {
    let mut text = serde_json::to_string_pretty(object)
        .expect("only strings, integers and lists are written, and no map");
    text.push('\n');
    text
}

#[derive(Serialize)]
struct PlanObject<'a> {
    title: &'a str,
    summary: SummaryObject,
    settings: Settings<'a>,
    boards_to_take: Vec<TakenObject<'a>>,
    boards: Vec<BoardObject<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    spare_offcuts: Vec<SpareOffcutObject>,
    missing: Vec<MissingObject>,
    by_eye: Vec<ByEyeObject<'a>>,
    frames: Vec<FrameObject<'a>>,
    sheets: Vec<SheetObject<'a>>,
    cautions: Vec<CautionObject>,
    /// Boards that the rails of each frame come from that asks for few.
    color: Vec<ColorObject<'a>>,
    /// Whether every plan of this cost was tried and none leaves the wood better; `null` where nothing was looked for.
    leftover_proved_best: Option<bool>,
    /// What the plan would be without any wish for the grain; `null` where there is none.
    without_grain: Option<WithoutObject>,
    #[serde(skip_serializing_if = "Option::is_none")]
    without_spare_offcuts: Option<WithoutObject>,
    certificate: CertificateObject<'a>,
}

#[derive(Serialize)]
struct SizesObject<'a> {
    title: &'a str,
    settings: Settings<'a>,
    frames: Vec<FrameObject<'a>>,
    sheets: Vec<SheetObject<'a>>,
}

/// What the plan comes to.
#[derive(Serialize)]
struct SummaryObject {
    boards: u64,
    value: i64,
    lower_bound: i64,
    unplaced: u64,
    measure: &'static str,
    proved_optimal: bool,
    unplaced_lower_bound: u64,
    ended: &'static str,
    frames: u64,
    rails: u64,
    pieces: u64,
    price_minor: Option<i64>,
    bought_minor: Option<i64>,
    boards_without_price: u64,
    /// Left out where the job has no rack.
    #[serde(skip_serializing_if = "Option::is_none")]
    rack: Option<RackObject>,
    board_length_nm: i64,
    parts_length_nm: i64,
    kept_length_nm: i64,
    short_ends_length_nm: i64,
    kerf_and_trim_length_nm: i64,
    shared_cuts: u64,
    shared_cuts_save_nm: i64,
    /// `null` where a board taken has no thickness or width.
    board_feet: Option<BoardFeetObject>,
}

/// The rack before the plan, what is taken and added, and afterwards.
#[derive(Serialize)]
struct RackObject {
    before: PileObject,
    taken: PileObject,
    added: PileObject,
    after: PileObject,
}

/// Some pieces of the rack.
#[derive(Serialize)]
struct PileObject {
    pieces: u64,
    length_nm: i64,
    value_minor: i64,
}

impl RackObject {
    fn new(rack: &Rack) -> RackObject {
        let pile = |pile: Pile| PileObject {
            pieces: pile.count,
            length_nm: pile.length.nm(),
            value_minor: pile.worth.minor(),
        };
        RackObject {
            before: pile(rack.before),
            taken: pile(rack.taken),
            added: pile(rack.added),
            after: pile(rack.after),
        }
    }
}

/// Board feet of the boards and of the parts.
#[derive(Serialize)]
struct BoardFeetObject {
    bought: BothWaysObject,
    used: BothWaysObject,
}

/// Board feet in hundredths, to the nearest.
#[derive(Serialize)]
struct BothWaysObject {
    exact_hundredths: u128,
    by_surface_measure_hundredths: u128,
}

impl BothWaysObject {
    fn new(feet: BothWays) -> BothWaysObject {
        BothWaysObject {
            exact_hundredths: feet.exact.hundredths(),
            by_surface_measure_hundredths: feet.by_surface_measure.hundredths(),
        }
    }
}

impl SummaryObject {
    fn new(plan: &Plan, summary: &Summary) -> SummaryObject {
        let wood = &summary.wood;
        SummaryObject {
            boards: summary.n_boards,
            value: plan.value,
            lower_bound: plan.lower_bound,
            unplaced: summary.n_missing,
            measure: match plan.measure {
                Measure::Price => "price",
                Measure::BoardLength => "board_length_nm",
            },
            proved_optimal: plan.verdict == Verdict::Optimal,
            unplaced_lower_bound: plan.missing_lower_bound,
            ended: match plan.verdict {
                Verdict::Optimal => "proved",
                Verdict::WorkLimit => "work_limit",
                Verdict::Stopped => "stopped",
            },
            frames: summary.n_frames,
            rails: summary.n_rails,
            pieces: summary.n_pieces,
            price_minor: summary.price.map(Money::minor),
            bought_minor: summary.bought.map(Money::minor),
            boards_without_price: summary.n_without_price,
            rack: summary.rack.as_ref().map(RackObject::new),
            board_length_nm: wood.boards.nm(),
            parts_length_nm: wood.parts.nm(),
            kept_length_nm: wood.kept.nm(),
            short_ends_length_nm: wood.short_ends.nm(),
            kerf_and_trim_length_nm: wood.kerf_and_trim.nm(),
            shared_cuts: summary.n_shared_cuts,
            shared_cuts_save_nm: summary.saved_by_sharing.nm(),
            board_feet: summary.lumber.map(|lumber| BoardFeetObject {
                bought: BothWaysObject::new(lumber.bought),
                used: BothWaysObject::new(lumber.used),
            }),
        }
    }
}

/// The settings the plan reckons with.
#[derive(Serialize)]
struct Settings<'a> {
    unit: &'static str,
    rounding_nm: i64,
    currency: &'a str,
    currency_decimals: u32,
    kerf_nm: i64,
    end_trim_nm: i64,
    fit_allowance_nm: i64,
    shortest_offcut_nm: i64,
    point_room_nm: i64,
    /// `null` where boards are not ripped.
    rip: Option<RipSettings>,
}

#[derive(Serialize)]
#[expect(clippy::struct_field_names, reason = "every length carries its unit")]
struct RipSettings {
    kerf_nm: i64,
    straightening_nm: i64,
    planing_nm: i64,
    #[serde(skip_serializing_if = "Option::is_none")]
    narrowest_offcut_nm: Option<i64>,
}

impl Settings<'_> {
    fn new(job: &Job) -> Settings<'_> {
        Settings {
            unit: job.display.unit.symbol(),
            rounding_nm: job.display.step.nm(),
            currency: &job.display.currency.code,
            currency_decimals: job.display.currency.decimals,
            kerf_nm: job.shop.kerf.nm(),
            end_trim_nm: job.shop.end_trim.nm(),
            fit_allowance_nm: job.shop.fit_allowance.nm(),
            shortest_offcut_nm: job.shop.shortest_offcut.nm(),
            point_room_nm: job.shop.point_room.nm(),
            rip: job.shop.rip.map(|rip| RipSettings {
                kerf_nm: rip.kerf.nm(),
                straightening_nm: rip.straightening.nm(),
                planing_nm: rip.planing.nm(),
                narrowest_offcut_nm: rip.narrowest_offcut.map(Length::nm),
            }),
        }
    }
}

#[derive(Serialize)]
struct TakenObject<'a> {
    name: &'a str,
    count: u64,
    material: Option<&'a str>,
    length_nm: i64,
    width_nm: Option<i64>,
    thickness_nm: Option<i64>,
    price_each_minor: Option<i64>,
    price_minor: Option<i64>,
    from_rack: bool,
}

fn taken<'a>(job: &'a Job, summary: &Summary) -> Vec<TakenObject<'a>> {
    summary
        .taken
        .iter()
        .map(|line| {
            let board = &job.boards[line.board_idx];
            TakenObject {
                name: &board.name,
                count: line.count,
                material: board.material.as_deref(),
                length_nm: board.length.nm(),
                width_nm: board.width.map(Length::nm),
                thickness_nm: board.thickness.map(Length::nm),
                price_each_minor: line.price_each.map(Money::minor),
                price_minor: line.price().map(Money::minor),
                from_rack: board.in_hand.is_some(),
            }
        })
        .collect()
}

#[derive(Serialize)]
struct BoardObject<'a> {
    name: &'a str,
    number: u32,
    pattern: u32,
    length_nm: i64,
    width_nm: Option<i64>,
    /// `null` for plain wood, and where the strips are milled to different mouldings.
    moulding: Option<&'a str>,
    price_minor: Option<i64>,
    /// `null` where there are several strips, which have one each.
    offcut_nm: Option<i64>,
    offcut_kept: Option<bool>,
    edge_left_nm: i64,
    edge_kept: bool,
    strips: Vec<StripObject<'a>>,
    cuts: Vec<CutObject>,
}

/// A strip at its place, from the straightened edge of the board; a board that is not ripped is one strip.
#[derive(Serialize)]
struct StripObject<'a> {
    width_nm: Option<i64>,
    from_edge_nm: i64,
    moulding: Option<&'a str>,
    offcut_nm: i64,
    offcut_kept: bool,
    /// From and to of each stretch along the strip that no part touches; left out where there is none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    defects_nm: Vec<[i64; 2]>,
}

impl<'a> BoardObject<'a> {
    fn new(
        job: &'a Job,
        facts: (&[FrameSheet<'_>], &Chains),
        board: &PlannedBoard,
    ) -> BoardObject<'a> {
        let name_of = |idx: usize| job.mouldings[idx].name.as_str();
        let first = board.strips.first();
        let moulding_idx = first.and_then(|strip| strip.moulding_idx).filter(|&idx| {
            board
                .strips
                .iter()
                .all(|strip| strip.moulding_idx == Some(idx))
        });
        let offcut = match &board.strips[..] {
            [only] => Some(only.offcut),
            _ => None,
        };
        let of = &job.boards[board.board_idx];
        BoardObject {
            name: &of.name,
            number: board.number,
            pattern: board.pattern,
            length_nm: of.length.nm(),
            width_nm: of.width.map(Length::nm),
            moulding: moulding_idx.map(name_of),
            price_minor: price_of(job, board.board_idx).map(Money::minor),
            offcut_nm: offcut.map(Length::nm),
            offcut_kept: offcut.map(|_| is_end_kept(job, board, 0)),
            edge_left_nm: board.edge_left.nm(),
            edge_kept: is_edge_kept(job, board),
            strips: board
                .strips
                .iter()
                .enumerate()
                .map(|(strip_idx, strip)| StripObject {
                    width_nm: strip.width.map(Length::nm),
                    from_edge_nm: strip.from_edge.nm(),
                    moulding: strip.moulding_idx.map(name_of),
                    offcut_nm: strip.offcut.nm(),
                    offcut_kept: is_end_kept(job, board, strip_idx),
                    defects_nm: defects_on(job, board, strip_idx)
                        .into_iter()
                        .map(|(from, to)| [from.nm(), to.nm()])
                        .collect(),
                })
                .collect(),
            cuts: board
                .strips
                .iter()
                .enumerate()
                .flat_map(|(strip_idx, strip)| {
                    strip
                        .cuts
                        .iter()
                        .map(move |cut| CutObject::new(job, facts, strip_idx, cut))
                })
                .collect(),
        }
    }
}

/// A part's names; `frame` and `side` are left out for loose pieces.
#[derive(Serialize)]
struct PartName {
    item: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    frame: Option<String>,
    copy: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    side: Option<String>,
}

impl PartName {
    fn new(job: &Job, part: Part) -> PartName {
        match part {
            Part::Rail {
                frame_idx, copy, ..
            } => PartName {
                item: part_label(job, part),
                frame: Some(job.frames[frame_idx].name.clone()),
                copy,
                side: part_side(job, part).map(std::borrow::Cow::into_owned),
            },
            // Copies of a loose piece share its name.
            Part::Loose { piece_idx, copy } => PartName {
                item: job.pieces[piece_idx].name.clone(),
                frame: None,
                copy,
                side: None,
            },
        }
    }
}

/// A part at its place, from the untrimmed end of the board along the outer edge.
///
/// `short_point_nm` is left out for loose pieces.
#[derive(Serialize)]
struct CutObject {
    #[serde(flatten)]
    name: PartName,
    /// Index of its strip among the board's.
    strip: usize,
    from_nm: i64,
    to_nm: i64,
    /// Whether it lies turned end for end, its outer edge along the strip's other edge.
    turned: bool,
    miter_millidegrees: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    short_point_nm: Option<i64>,
    /// Place, from 1, among rails that stand in a row for the grain, and how many they are; left out for others.
    #[serde(skip_serializing_if = "Option::is_none")]
    row_place: Option<u64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    row_rails: Option<u64>,
}

impl CutObject {
    fn new(
        job: &Job,
        (sheets, chains): (&[FrameSheet<'_>], &Chains),
        strip: usize,
        cut: &Cut,
    ) -> CutObject {
        let (row_place, row_rails) = chains.place(cut.part).unzip();
        CutObject {
            name: PartName::new(job, cut.part),
            strip,
            from_nm: cut.from.nm(),
            to_nm: cut.to.nm(),
            turned: cut.turned,
            miter_millidegrees: millidegrees(cut.part.miter(job)),
            short_point_nm: match cut.part {
                Part::Rail {
                    frame_idx, side, ..
                } => Some(sheets[frame_idx].sizes.rail(side).short_point.nm()),
                Part::Loose { .. } => None,
            },
            row_place,
            row_rails,
        }
    }
}

#[derive(Serialize)]
struct MissingObject {
    #[serde(flatten)]
    name: PartName,
    length_nm: i64,
}

#[derive(Serialize)]
struct ByEyeObject<'a> {
    moulding: &'a str,
    frames: u64,
    rails_nm: i64,
    rule_of_thumb_nm: i64,
    boards_nm: i64,
}

fn by_eye<'a>(job: &'a Job, summary: &Summary) -> Vec<ByEyeObject<'a>> {
    summary
        .by_eye
        .iter()
        .map(|line| ByEyeObject {
            moulding: &job.mouldings[line.moulding_idx].name,
            frames: line.n_frames,
            rails_nm: line.rails.nm(),
            rule_of_thumb_nm: line.estimate.nm(),
            boards_nm: line.boards.nm(),
        })
        .collect()
}

/// A caution by its kind, with the numbers that call for it; those that do not apply are left out.
#[derive(Default, Serialize)]
struct CautionObject {
    kind: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    count: Option<u64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    length_nm: Option<i64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    part: Option<String>,
}

impl CautionObject {
    fn new(job: &Job, caution: Caution) -> CautionObject {
        let (kind, count, length, part) = match caution {
            Caution::ShortParts {
                n_parts,
                shortest,
                length,
                ..
            } => (
                "short_parts",
                Some(n_parts),
                Some(length),
                Some(part_label(job, shortest)),
            ),
            Caution::ShortMilledAfterCutting { n_parts, length } => (
                "short_milled_after_cutting",
                Some(n_parts),
                Some(length),
                None,
            ),
            Caution::ShortOffcuts { n_strips, shortest } => {
                ("short_offcuts", Some(n_strips), Some(shortest), None)
            }
            Caution::Ripping {
                n_boards,
                narrowest,
            } => ("ripping", Some(n_boards), Some(narrowest), None),
            Caution::Chopper { n_cuts } => ("chopper", Some(n_cuts), None, None),
            Caution::LooseTriangles { n_triangles } => {
                ("loose_triangles", Some(n_triangles), None, None)
            }
            Caution::ThinRips {
                n_strips,
                narrowest,
            } => ("thin_rips", Some(n_strips), Some(narrowest), None),
            Caution::Glazing { n_sheets, .. } => ("glazing", Some(n_sheets), None, None),
            Caution::HeavyFrames { n_frames, .. } => ("heavy_frames", Some(n_frames), None, None),
            Caution::Shop => ("eyes_ears_dust", None, None, None),
            Caution::MeasureFirst { kerf, n_boards } => {
                ("measure_first", Some(n_boards), Some(kerf), None)
            }
            Caution::Deferral => ("not_a_manual", None, None, None),
        };
        CautionObject {
            kind,
            count,
            length_nm: length.map(Length::nm),
            part,
        }
    }
}

#[cfg(test)]
mod tests;

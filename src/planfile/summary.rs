//! Figures of a plan file: what the plan comes to, and the settings it is made with.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::parts::MeasuredIn;
use crate::job::{Job, LongChains};
use crate::length::Length;
use crate::money::Money;
use crate::plan::certificate::Certificate;
use crate::plan::{Plan, Verdict, boards_by_frame, part_label};
use crate::stock::BoardFeet;
use crate::tally;

/// What the plan comes to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Summary {
    /// Boards to take.
    pub boards: u64,
    /// Frames of the job, copies counted.
    pub frames: u64,
    /// Rails of all frames.
    pub rails: u64,
    /// Loose pieces, copies counted.
    pub pieces: u64,
    /// Parts for which there is no wood.
    pub missing: u64,
    /// No plan leaves fewer parts missing: what the search found, and mostly the certificate proves.
    pub missing_lower_bound: u64,
    /// As much of this as the certificate proves.
    pub certified_missing_lower_bound: u64,
    /// What `value` and `lower_bound` are measured in.
    pub measure: MeasuredIn,
    /// Price or length of all boards.
    pub value: i64,
    /// No plan with as few parts missing has a smaller value: what the search found, and mostly the certificate proves.
    pub lower_bound: i64,
    /// As much of this as the certificate proves.
    pub certified_lower_bound: i64,
    /// Whether both bounds are met.
    pub proved_optimal: bool,
    /// Price of all boards that have one, the rack at its value; null where none has.
    pub price_minor: Option<i64>,
    /// Of this, the price of what is to be bought; 0 where all is in hand.
    pub bought_minor: Option<i64>,
    /// Boards to buy that have no price, where others have.
    pub boards_without_price: u64,
    /// The rack, and what was bought for the job; null where there is neither.
    pub rack: Option<Rack>,
    /// All strips end to end; a board that is not ripped is one strip.
    pub board_length_nm: i64,
    /// Of this, the parts; what two of them span together, by sharing a slanting cut, counts once.
    pub parts_length_nm: i64,
    /// Offcuts that go back on the rack.
    pub kept_length_nm: i64,
    /// Offcuts too short to keep.
    pub short_ends_length_nm: i64,
    /// Kerfs, end trims, and defects that are not part of an offcut to keep.
    pub kerf_and_trim_length_nm: i64,
    /// Slanting cuts that neighbors share.
    pub shared_cuts: u64,
    /// What they save along the strips.
    pub shared_cuts_save_nm: i64,
    /// Board feet; null where a board taken has no thickness or width.
    pub board_feet: Option<BoughtAndUsed>,
}

/// The rack before the plan, what is taken and added, and afterwards.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rack {
    /// As it is now.
    pub before: Pile,
    /// What was bought for the job, at what was paid.
    pub bought: Pile,
    /// What the plan takes.
    pub taken: Pile,
    /// What it puts there.
    pub added: Pile,
    /// As it is afterwards.
    pub after: Pile,
}

/// Some pieces of the rack.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pile {
    /// How many.
    pub pieces: u64,
    /// All of them end to end.
    pub length_nm: i64,
    /// What taking all of them would count.
    pub value_minor: i64,
}

/// Board feet of the boards and of the parts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoughtAndUsed {
    /// All boards taken, by the sizes by which they are sold.
    pub bought: Feet,
    /// The parts.
    pub used: Feet,
}

/// Board feet in hundredths, to the nearest; null where they are out of all range.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Feet {
    /// Counted exactly.
    pub exact_hundredths: Option<u64>,
    /// Counted by surface measure.
    pub by_surface_measure_hundredths: Option<u64>,
}

/// The settings the plan is made with.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// The day on which the job is cut, such as `2026-11-25`; null where none was given.
    pub date: Option<String>,
    /// Unit of printed lengths: `in`, `ft`, `mm`, `cm` or `m`.
    pub unit: String,
    /// The step to which printed lengths are rounded.
    pub rounding_nm: i64,
    /// Code or sign of the currency; empty prints none.
    pub currency: String,
    /// Minor units are this power of ten of a major one.
    pub currency_decimals: u32,
    /// What the saw that cuts the rails takes, square to the blade.
    pub kerf_nm: i64,
    /// No long point comes nearer than this to an end of a board.
    pub end_trim_nm: i64,
    /// Play of the package in the rabbet, in total per dimension.
    pub fit_allowance_nm: i64,
    /// The shortest offcut that goes back on the rack.
    pub shortest_offcut_nm: i64,
    /// What long offcuts are worth beside less board, among plans of one cost, from 0 to 100.
    pub long_offcuts: u32,
    /// Room in the rabbet for points or brads.
    pub point_room_nm: i64,
    /// Whether a frame whose rails in a row fit on no board is cut in pairs.
    pub long_chains_in_pairs: bool,
    /// The longest board that is bought, as the vehicle takes no longer ones; null where any length is.
    pub longest_nm: Option<i64>,
    /// How boards are ripped; null where they are not.
    pub rip: Option<Rip>,
}

/// How boards are ripped to strips.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rip {
    /// What the saw that rips takes between two strips.
    pub kerf_nm: i64,
    /// Width lost to straightening both edges of a board, in total.
    pub straightening_nm: i64,
    /// Width added to every strip, to be planed off again.
    pub planing_nm: i64,
    /// The most that is planed off the edge of a board that is too narrow to be ripped.
    pub plane_off_nm: i64,
    /// The narrowest piece beside the strips that goes back on the rack; null keeps what is as wide as the narrowest strip.
    pub narrowest_offcut_nm: Option<i64>,
    /// How thick boards are resawn before they are ripped; null where they are not.
    pub resaw: Option<Resaw>,
}

/// How boards are resawn into thinner slices.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(clippy::struct_field_names, reason = "the unit is part of a key")]
pub struct Resaw {
    /// What the saw that resaws takes between two slices.
    pub kerf_nm: i64,
    /// Thickness added to every slice, to be planed off again.
    pub planing_nm: i64,
    /// The widest board that is resawn; null where there is no such limit.
    pub widest_nm: Option<i64>,
}

/// A caution by its kind, with the numbers that call for it; those that do not apply are null.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Caution {
    /// Which caution.
    pub kind: String,
    /// How many parts, strips, boards or sheets call for it.
    pub count: Option<u64>,
    /// The length that calls for it.
    pub length_nm: Option<i64>,
    /// The part that calls for it.
    pub part: Option<String>,
}

/// From how many boards the rails of a frame come that are to match in color.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ColorOfFrame {
    /// The frame.
    pub frame: String,
    /// Which of the alike frames, from 1.
    pub copy: u32,
    /// Boards that its rails come from.
    pub boards: usize,
}

impl Summary {
    pub(super) fn of(plan: &Plan, certificate: &Certificate, counted: &tally::Summary) -> Summary {
        let (certified_missing, certified_value) = certificate.says(plan.missing.len());
        let wood = &counted.wood;
        let bought = || counted.bought.unwrap_or(Money::ZERO);
        Summary {
            boards: counted.n_boards,
            frames: counted.n_frames,
            rails: counted.n_rails,
            pieces: counted.n_pieces,
            missing: counted.n_missing,
            missing_lower_bound: plan.missing_lower_bound,
            certified_missing_lower_bound: certified_missing,
            measure: plan.measure.into(),
            value: plan.value,
            lower_bound: plan.lower_bound,
            certified_lower_bound: certified_value,
            proved_optimal: plan.verdict == Verdict::Optimal,
            price_minor: counted.price.map(Money::minor),
            bought_minor: counted.price.map(|_| bought().minor()),
            boards_without_price: counted.n_without_price,
            rack: counted.rack.map(|rack| Rack {
                before: Pile::of(rack.before),
                bought: Pile::of(rack.bought),
                taken: Pile::of(rack.taken),
                added: Pile::of(rack.added),
                after: Pile::of(rack.after),
            }),
            board_length_nm: wood.boards.nm(),
            parts_length_nm: wood.parts.nm(),
            kept_length_nm: wood.kept.nm(),
            short_ends_length_nm: wood.short_ends.nm(),
            kerf_and_trim_length_nm: wood.kerf_and_trim.nm(),
            shared_cuts: counted.n_shared_cuts,
            shared_cuts_save_nm: counted.saved_by_sharing.nm(),
            board_feet: counted.lumber.map(|lumber| BoughtAndUsed {
                bought: Feet::of(lumber.bought),
                used: Feet::of(lumber.used),
            }),
        }
    }
}

impl Pile {
    fn of(pile: tally::Pile) -> Pile {
        Pile {
            pieces: pile.count,
            length_nm: pile.length.nm(),
            value_minor: pile.worth.minor(),
        }
    }
}

impl Feet {
    fn of(feet: tally::BothWays) -> Feet {
        let hundredths = |feet: BoardFeet| u64::try_from(feet.hundredths()).ok();
        Feet {
            exact_hundredths: hundredths(feet.exact),
            by_surface_measure_hundredths: hundredths(feet.by_surface_measure),
        }
    }
}

impl Settings {
    /// The settings of a job.
    pub fn of(job: &Job) -> Settings {
        Settings {
            date: job.date.map(|date| date.to_string()),
            unit: job.display.unit.symbol().to_owned(),
            rounding_nm: job.display.step.nm(),
            currency: job.display.currency.code.clone(),
            currency_decimals: job.display.currency.decimals,
            kerf_nm: job.shop.kerf.nm(),
            end_trim_nm: job.shop.end_trim.nm(),
            fit_allowance_nm: job.shop.fit_allowance.nm(),
            shortest_offcut_nm: job.shop.shortest_offcut.nm(),
            long_offcuts: job.shop.long_offcuts,
            point_room_nm: job.shop.point_room.nm(),
            long_chains_in_pairs: job.shop.long_chains != LongChains::Refused,
            longest_nm: job.buying.longest.map(Length::nm),
            rip: job.shop.rip.map(|rip| Rip {
                kerf_nm: rip.kerf.nm(),
                straightening_nm: rip.straightening.nm(),
                planing_nm: rip.planing.nm(),
                plane_off_nm: rip.plane_off.nm(),
                narrowest_offcut_nm: rip.narrowest_offcut.map(Length::nm),
                resaw: rip.resaw.map(|resaw| Resaw {
                    kerf_nm: resaw.kerf.nm(),
                    planing_nm: resaw.planing.nm(),
                    widest_nm: resaw.widest.map(Length::nm),
                }),
            }),
        }
    }
}

pub(super) fn cautions(plan: &Plan) -> Vec<Caution> {
    let found = tally::cautions(plan).into_iter();
    found
        .map(|caution| Caution::of(&plan.job, caution))
        .collect()
}

impl Caution {
    fn of(job: &Job, caution: tally::Caution) -> Caution {
        use tally::Caution as Of;
        let (kind, count, length, part) = match caution {
            Of::ShortParts {
                n_parts,
                shortest,
                length,
                ..
            } => ("short_parts", Some(n_parts), Some(length), Some(shortest)),
            Of::ShortMilledAfterCutting { n_parts, length } => {
                let kind = "short_milled_after_cutting";
                (kind, Some(n_parts), Some(length), None)
            }
            Of::ShortOffcuts { n_strips, shortest } => {
                ("short_offcuts", Some(n_strips), Some(shortest), None)
            }
            Of::Ripping {
                n_boards,
                narrowest,
            } => ("ripping", Some(n_boards), Some(narrowest), None),
            Of::LongBoards { n_boards, longest } => {
                ("long_boards", Some(n_boards), Some(longest), None)
            }
            Of::Chopper { n_cuts } => ("chopper", Some(n_cuts), None, None),
            Of::LooseTriangles { n_triangles } => {
                ("loose_triangles", Some(n_triangles), None, None)
            }
            Of::ThinRips {
                n_strips,
                narrowest,
            } => ("thin_rips", Some(n_strips), Some(narrowest), None),
            Of::ThickBoards {
                n_strips, given, ..
            } => ("thick_boards", Some(n_strips), Some(given), None),
            Of::Glazing { n_sheets, .. } => ("glazing", Some(n_sheets), None, None),
            Of::HeavyFrames { n_frames, .. } => ("heavy_frames", Some(n_frames), None, None),
            Of::HalfWeighed { n_frames } => ("half_weighed", Some(n_frames), None, None),
            Of::Shop => ("eyes_ears_dust", None, None, None),
            Of::MeasureFirst { kerf, n_boards } => {
                ("measure_first", Some(n_boards), Some(kerf), None)
            }
            Of::Deferral => ("not_a_manual", None, None, None),
        };
        Caution {
            kind: kind.to_owned(),
            count,
            length_nm: length.map(Length::nm),
            part: part.map(|part| part_label(job, part)),
        }
    }
}

pub(super) fn color(plan: &Plan) -> Vec<ColorOfFrame> {
    let found = boards_by_frame(plan).into_iter();
    found
        .map(|(frame_idx, copy, boards)| ColorOfFrame {
            frame: plan.job.frames[frame_idx].name.clone(),
            copy,
            boards,
        })
        .collect()
}

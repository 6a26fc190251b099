//! Boards of a plan file, with what is cut from them and what is left.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::parts::{Defect, Part};
use crate::frame::Miter;
use crate::length::Length;
use crate::money::Money;
use crate::plan::{
    self, LeftoverKind, Plan, PlannedBoard, defects_on, is_edge_kept, is_end_kept, is_kept, uncut,
};
use crate::tally::{self, Chains, planed_off, price_of, rack_added};

/// Boards of one kind to take.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TakenBoards {
    /// Their line of the list of boards.
    pub name: String,
    /// How many.
    pub count: u64,
    /// What one costs with the yard's cuts, or counts where it lies on the rack; null where no price was given.
    pub price_each_minor: Option<i64>,
    /// What all of them cost.
    pub price_minor: Option<i64>,
    /// Whether they are in hand, on the rack or bought already, and need not be bought.
    pub from_rack: bool,
}

/// One board of the plan, in the order in which one would cut.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Board {
    /// The letters to chalk on it; no two boards of a job have the same.
    pub mark: String,
    /// Its line of the list of boards.
    pub name: String,
    /// Which board of this line, from 1.
    pub number: u32,
    /// Boards that are cut alike share this number, from 1.
    pub pattern: u32,
    /// Its wood, where that was given.
    pub material: Option<String>,
    /// Length from raw end to raw end.
    pub length_nm: i64,
    /// Width as it is, where that was given.
    pub width_nm: Option<i64>,
    /// Thickness as it is, where that was given.
    pub thickness_nm: Option<i64>,
    /// What it costs with the yard's cuts, or counts where it lies on the rack; null where no price was given.
    pub price_minor: Option<i64>,
    /// Whether it is in hand, on the rack or bought already.
    pub from_rack: bool,
    /// The profile to which it is milled already; null for plain wood.
    pub milled_to: Option<String>,
    /// Its defects, from the near end of the board.
    pub defects: Vec<Defect>,
    /// How thick the slices are that it is resawn into, once they are planed; null where it is not resawn.
    pub resawn_nm: Option<i64>,
    /// What the yard cuts it into, from the near end, or of each of that the slices it is resawn into, one after the other;
    /// one, which is all of it, where neither is done.
    pub stretches: Vec<Stretch>,
    /// Its strips, stretch by stretch, of each from the straightened left edge on; a stretch that is not ripped is one
    /// strip, and one from which nothing is cut has none.
    pub strips: Vec<Strip>,
    /// Its cuts, strip by strip, each strip's from the near end.
    pub cuts: Vec<Cut>,
}

/// What the yard cuts a board into, or a slice of that: a stick of its own, with two raw ends.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stretch {
    /// Where it begins, from the near end of the board as it is sold.
    pub from_nm: i64,
    /// Where it ends.
    pub to_nm: i64,
    /// What is planed off its edge, as it is wider than what is cut from it and too narrow to be ripped for that; else 0.
    pub plane_off_nm: i64,
    /// The pieces left beside its strips, each as long as the stretch, from its straightened left edge on.
    pub beside: Vec<Beside>,
    /// Whether all of it goes back on the rack, as nothing is cut from it.
    pub kept: bool,
}

/// A piece left beside the strips of a stretch.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Beside {
    /// Where it begins, measured across the board from the straightened edge.
    pub from_edge_nm: i64,
    /// Its width.
    pub width_nm: i64,
    /// Whether it goes back on the rack.
    pub kept: bool,
}

/// A strip, as long as its stretch of the board.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Strip {
    /// Position of its stretch among the board's, from 0.
    pub stretch: usize,
    /// Width as ripped, or the board's own where it is not; null where that is not known.
    pub width_nm: Option<i64>,
    /// Where it begins, measured across the board from the straightened edge.
    pub from_edge_nm: i64,
    /// The moulding it is milled to; null for plain wood.
    pub moulding: Option<String>,
    /// What is left between the last cut's kerf and the far trim, defects and all.
    pub offcut_nm: i64,
    /// Whether that goes back on the rack.
    pub offcut_kept: bool,
    /// From and to of each stretch along the strip that no part touches.
    pub defects_nm: Vec<[i64; 2]>,
}

/// A part at its place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cut {
    /// What is cut.
    pub part: Part,
    /// Position of its strip among the board's, from 0.
    pub strip: usize,
    /// The number of the cut on its strip, from 1, or on from those of earlier sheets.
    pub number: u32,
    /// Where its outer edge begins, from the untrimmed near end of its stretch.
    pub from_nm: i64,
    /// Where its outer edge ends.
    pub to_nm: i64,
    /// Whether it lies turned end for end, its outer edge along the strip's other edge.
    pub turned: bool,
    /// Angle of both ends off square, in thousandths of a degree, to the nearest.
    pub miter_millidegrees: u32,
    /// Length of its shortest edge; null for a square part, and for a mitered piece of unknown width.
    pub short_point_nm: Option<i64>,
    /// Its place, from 1, among rails that stand in a row for the grain; null for others.
    pub row_place: Option<u64>,
    /// How many rails stand in that row.
    pub row_rails: Option<u64>,
}

/// A stretch that is left uncut on purpose, so that a rail can be cut from it again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SpareOffcut {
    /// The loose piece that asks for it.
    pub part: Part,
    /// Position of its board among the plan's, from 0.
    pub board: usize,
    /// Position of its strip among the board's, from 0.
    pub strip: usize,
    /// Where what is left begins, from the untrimmed near end of its stretch of the board.
    pub from_nm: i64,
    /// Where it ends.
    pub to_nm: i64,
}

/// A piece on the rack that stays as it lies, so that a rail can be cut from it again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KeptPiece {
    /// The loose piece that asks for it.
    pub part: Part,
    /// The piece on the rack, by its name; each part has one of its own.
    pub board: String,
}

/// A part for which there is no wood.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Missing {
    /// The part.
    pub part: Part,
    /// Length of its longest edge.
    pub length_nm: i64,
}

/// A piece that goes back on the rack.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Offcut {
    /// What the rack's table calls it: on a later sheet the name that a sheet before has given it, if one has.
    pub name: String,
    /// Position of its board among the plan's, from 0.
    pub board: usize,
    /// Position of its stretch among the board's, from 0.
    pub stretch: usize,
    /// Position of its strip among the board's, from 0; null for what is left beside the strips, and for all of a stretch.
    pub strip: Option<usize>,
    /// Where it begins, from the untrimmed near end of its stretch.
    pub from_nm: i64,
    /// Where it ends; at the far end of the stretch its trim is still on it.
    pub to_nm: i64,
    /// Its width, where that is known.
    pub width_nm: Option<i64>,
    /// The profile to which it is milled already; null for plain wood.
    pub milled_to: Option<String>,
    /// Its length without the trims of raw ends, defects and all.
    pub usable_nm: i64,
}

pub(super) fn taken(plan: &Plan, summary: &tally::Summary) -> Vec<TakenBoards> {
    let line = |line: &tally::Taken| TakenBoards {
        name: plan.job.boards[line.board_idx].name.clone(),
        count: line.count,
        price_each_minor: line.price_each.map(Money::minor),
        price_minor: line.price().map(Money::minor),
        from_rack: plan.job.boards[line.board_idx].in_hand.is_some(),
    };
    summary.taken.iter().map(line).collect()
}

/// All boards.
pub(super) fn boards(plan: &Plan) -> Vec<Board> {
    let chains = Chains::new(&plan.job);
    let marks = plan.marks();
    let boards = plan.boards.iter().enumerate();
    boards
        .map(|(position, planned)| {
            board(plan, &chains, planned, &marks.board(position).to_string())
        })
        .collect()
}

fn board(plan: &Plan, chains: &Chains, planned: &PlannedBoard, mark: &str) -> Board {
    let job = &plan.job;
    let of = &job.boards[planned.board_idx];
    let mut strips = Vec::with_capacity(planned.strips.len());
    let mut cuts = Vec::new();
    for (strip_idx, strip) in planned.strips.iter().enumerate() {
        strips.push(Strip {
            stretch: strip.stretch,
            width_nm: strip.width.map(Length::nm),
            from_edge_nm: strip.from_edge.nm(),
            moulding: strip
                .moulding_idx
                .map(|idx| job.mouldings[idx].name.clone()),
            offcut_nm: strip.offcut.nm(),
            offcut_kept: is_end_kept(job, planned, strip_idx),
            defects_nm: defects_on(job, planned, strip_idx)
                .into_iter()
                .map(|(from, to)| [from.nm(), to.nm()])
                .collect(),
        });
        for (cut_idx, cut) in strip.cuts.iter().enumerate() {
            let (row_place, row_rails) = chains.place(cut.part).unzip();
            cuts.push(Cut {
                part: Part::of(job, cut.part),
                strip: strip_idx,
                number: planned.cut_number(job, cut_idx),
                from_nm: cut.from.nm(),
                to_nm: cut.to.nm(),
                turned: cut.turned,
                miter_millidegrees: millidegrees(cut.part.miter(job)),
                short_point_nm: cut.part.short_point(job).map(Length::nm),
                row_place,
                row_rails,
            });
        }
    }
    let stretches = planned.stretches.iter().enumerate();
    let stretches = stretches.map(|(idx, stretch)| Stretch {
        from_nm: stretch.from.nm(),
        to_nm: stretch.to.nm(),
        plane_off_nm: planed_off(job, planned, idx).nm(),
        beside: stretch
            .beside
            .iter()
            .enumerate()
            .map(|(nth, edge)| Beside {
                from_edge_nm: edge.from_edge.nm(),
                width_nm: edge.width.nm(),
                kept: is_edge_kept(job, planned, idx, nth),
            })
            .collect(),
        kept: uncut(job, planned, idx).is_some_and(|uncut| is_kept(job, uncut.clear)),
    });
    Board {
        mark: mark.to_owned(),
        name: of.name.clone(),
        number: planned.number,
        pattern: planned.pattern,
        material: of.material.clone(),
        length_nm: of.length.nm(),
        width_nm: of.width.map(Length::nm),
        thickness_nm: of.thickness.map(Length::nm),
        price_minor: price_of(job, planned.board_idx).map(Money::minor),
        from_rack: of.in_hand.is_some(),
        milled_to: of.milled_to().map(str::to_owned),
        defects: of.defects.iter().map(Defect::of).collect(),
        resawn_nm: planned.resawn.map(Length::nm),
        stretches: stretches.collect(),
        strips,
        cuts,
    }
}

pub(super) fn spare_offcuts(plan: &Plan) -> Vec<SpareOffcut> {
    let spare = |left: &plan::SpareOffcut| SpareOffcut {
        part: Part::of(&plan.job, left.part),
        board: left.board,
        strip: left.strip,
        from_nm: left.from.nm(),
        to_nm: left.to.nm(),
    };
    plan.spare_offcuts.iter().map(spare).collect()
}

pub(super) fn kept_pieces(plan: &Plan) -> Vec<KeptPiece> {
    let kept = |kept: &plan::KeptPiece| KeptPiece {
        part: Part::of(&plan.job, kept.part),
        board: plan.job.boards[kept.board_idx].name.clone(),
    };
    plan.kept_pieces.iter().map(kept).collect()
}

pub(super) fn missing(plan: &Plan) -> Vec<Missing> {
    let missing = |&part: &plan::Part| Missing {
        part: Part::of(&plan.job, part),
        length_nm: part.length(&plan.job).nm(),
    };
    plan.missing.iter().map(missing).collect()
}

pub(super) fn offcuts(plan: &Plan) -> Vec<Offcut> {
    let offcut = |new: tally::NewPiece| Offcut {
        milled_to: new.board.milled_to().map(str::to_owned),
        name: new.board.name,
        board: new.left.board,
        stretch: new.left.stretch(plan),
        strip: match new.left.kind {
            LeftoverKind::End(strip_idx) => Some(strip_idx),
            LeftoverKind::Piece(_) => None,
        },
        from_nm: new.left.from.nm(),
        to_nm: new.left.to.nm(),
        width_nm: new.left.width.map(Length::nm),
        usable_nm: new.left.usable.nm(),
    };
    rack_added(plan).into_iter().map(offcut).collect()
}

/// Degrees off square in thousandths, to the nearest.
pub(super) fn millidegrees(miter: Miter) -> u32 {
    let (numerator, denominator) = miter.degrees();
    (numerator * 1000 + denominator / 2) / denominator
}

//! What a plan file calls the parts of a job.

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::job::Job;
use crate::plan::{self, Measure, part_label, part_side};
use crate::stock::Across;

/// One physical part: a rail of a frame, or a loose piece.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// The name to write on its back: that of its frame or piece, the number of the copy where there are several, the side.
    pub item: String,
    /// Its frame; null for a loose piece.
    pub frame: Option<String>,
    /// Its line of loose pieces; null for a rail.
    pub piece: Option<String>,
    /// Which of the alike frames or pieces, from 1.
    pub copy: u32,
    /// Its side: `top`, `right`, `bottom`, `left`, or `side 1` and so on round a polygon; null for a loose piece.
    pub side: Option<String>,
}

impl Part {
    pub(super) fn of(job: &Job, part: plan::Part) -> Part {
        let (frame, piece, copy) = match part {
            plan::Part::Rail {
                frame_idx, copy, ..
            } => (Some(job.frames[frame_idx].name.clone()), None, copy),
            plan::Part::Loose { piece_idx, copy } => {
                (None, Some(job.pieces[piece_idx].name.clone()), copy)
            }
        };
        Part {
            item: part_label(job, part),
            frame,
            piece,
            copy,
            side: part_side(job, part).map(Cow::into_owned),
        }
    }
}

/// What values and bounds are measured in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum MeasuredIn {
    /// Minor units of money.
    #[serde(rename = "price_minor")]
    PriceMinor,
    /// Nanometers of board, where no board has a price.
    #[serde(rename = "board_length_nm")]
    BoardLengthNm,
}

impl From<Measure> for MeasuredIn {
    fn from(measure: Measure) -> MeasuredIn {
        match measure {
            Measure::Price => MeasuredIn::PriceMinor,
            Measure::BoardLength => MeasuredIn::BoardLengthNm,
        }
    }
}

impl From<MeasuredIn> for Measure {
    fn from(measure: MeasuredIn) -> Measure {
        match measure {
            MeasuredIn::PriceMinor => Measure::Price,
            MeasuredIn::BoardLengthNm => Measure::BoardLength,
        }
    }
}

/// A stretch of a board that no part may touch.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Defect {
    /// Where it begins, from the near end of the untrimmed board.
    pub from_nm: i64,
    /// Where it ends.
    pub to_nm: i64,
    /// Which part of the width it takes.
    pub across: DefectAcross,
    /// How far it reaches from that edge; null for half the width, and where it takes all.
    pub depth_nm: Option<i64>,
}

/// Which part of a board's width a defect takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DefectAcross {
    /// All of it.
    Full,
    /// All of it: the wood is not there any more.
    Gone,
    /// From the left edge, as seen from the near end, good face up.
    Left,
    /// From the right edge.
    Right,
}

impl Defect {
    pub(super) fn of(defect: &crate::stock::Defect) -> Defect {
        let (across, depth) = match defect.across {
            Across::Full => (DefectAcross::Full, None),
            Across::Gone => (DefectAcross::Gone, None),
            Across::Left(depth) => (DefectAcross::Left, depth),
            Across::Right(depth) => (DefectAcross::Right, depth),
        };
        Defect {
            from_nm: defect.from.nm(),
            to_nm: defect.to.nm(),
            across,
            depth_nm: depth.map(crate::length::Length::nm),
        }
    }
}

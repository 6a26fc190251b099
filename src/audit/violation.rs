//! What can be wrong with a plan.

use std::fmt;

use crate::plan::{Measure, Part, Verdict};

/// A way in which a plan contradicts its job, or itself.
///
/// `board` is a position in `Plan::boards`, from 0; lengths are in nanometres.
/// Any of them is a fault of the program, never of the user.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Violation {
    /// The job has no board of this index.
    UnknownBoard {
        /// Position of the board.
        board: usize,
        /// The index.
        board_idx: usize,
    },
    /// The job has no such part.
    UnknownPart {
        /// The part.
        part: Part,
    },
    /// A part is cut, or called missing, more than once, or both.
    RepeatedPart {
        /// The part.
        part: Part,
    },
    /// A part is neither cut nor called missing.
    LostPart {
        /// The part.
        part: Part,
    },
    /// A cut has not the length of its part.
    WrongLength {
        /// The part.
        part: Part,
        /// Its length on the board.
        planned_nm: i128,
        /// The length it must have.
        wanted_nm: i128,
    },
    /// A board has no strip.
    EmptyBoard {
        /// Position of the board.
        board: usize,
    },
    /// A strip carries no cut.
    EmptyStrip {
        /// Position of the board.
        board: usize,
        /// Position of the strip on it.
        strip: usize,
    },
    /// What is to be left is cut.
    MustBeLeft {
        /// Position of the board.
        board: usize,
        /// The part.
        part: Part,
    },
    /// What is to be cut is called left, or left on a strip that is not there.
    NotLeft {
        /// Position of the board.
        board: usize,
        /// The part.
        part: Part,
    },
    /// A strip that takes its board whole has another beside it.
    SharedBoard {
        /// Position of the board.
        board: usize,
        /// Position of the strip on it.
        strip: usize,
    },
    /// A strip has not the width that its section and the planing ask for, or its board's if that is not ripped.
    WrongStripWidth {
        /// Position of the board.
        board: usize,
        /// Position of the strip on it.
        strip: usize,
        /// What the plan says.
        planned_nm: Option<i128>,
        /// The width it must have.
        wanted_nm: Option<i128>,
    },
    /// A strip does not begin one rip kerf behind the one before, or the first not at the edge.
    WrongStripPlace {
        /// Position of the board.
        board: usize,
        /// Position of the strip on it.
        strip: usize,
        /// Where the plan says it begins, from the straightened edge.
        planned_nm: i128,
        /// Where it must.
        wanted_nm: i128,
    },
    /// The strips and the kerfs between them are wider than the straightened board.
    BeyondEdge {
        /// Position of the board.
        board: usize,
        /// Where the last strip ends, from the straightened edge.
        end_nm: i128,
        /// Width of the straightened board.
        room_nm: i128,
    },
    /// The width left beside the strips is not what is left behind the last one's kerf.
    WrongEdgeLeft {
        /// Position of the board.
        board: usize,
        /// What the plan says.
        planned_nm: i128,
        /// What is left.
        wanted_nm: i128,
    },
    /// A strip carries cuts of two sections.
    MixedSections {
        /// Position of the board.
        board: usize,
        /// A part of another section than the first one's.
        part: Part,
    },
    /// A strip is said to be milled to another moulding than its parts.
    WrongMoulding {
        /// Position of the board.
        board: usize,
        /// What the plan says.
        planned: Option<usize>,
        /// What its first part needs.
        wanted: Option<usize>,
    },
    /// A board does not suit what is cut from it.
    UnsuitableBoard {
        /// Position of the board.
        board: usize,
        /// Its first part.
        part: Part,
    },
    /// A cut begins before the near trim ends.
    InNearTrim {
        /// Position of the board.
        board: usize,
        /// The part.
        part: Part,
        /// Where it begins.
        from_nm: i128,
    },
    /// A cut ends after the far trim, or the end of the board, begins.
    InFarTrim {
        /// Position of the board.
        board: usize,
        /// The part.
        part: Part,
        /// Where it ends.
        to_nm: i128,
    },
    /// A cut lies on a defect of its board.
    OnDefect {
        /// Position of the board.
        board: usize,
        /// The part.
        part: Part,
    },
    /// Two neighbors are closer than the kerf between them, or overlap.
    NarrowGap {
        /// Position of the board.
        board: usize,
        /// The part on the right.
        part: Part,
        /// The gap, negative for an overlap.
        gap_nm: i128,
        /// The least gap.
        needed_nm: i128,
    },
    /// A part lies turned end for end on a strip whose edges differ, or has no slanting ends to share.
    MayNotBeTurned {
        /// Position of the board.
        board: usize,
        /// The part.
        part: Part,
    },
    /// A rail that must follow another one of its frame on the strip, one kerf apart, or be followed by one, does not.
    BrokenChain {
        /// Position of the board.
        board: usize,
        /// The rail.
        part: Part,
    },
    /// A cut should stand before its left neighbor: larger kerfs come first, then longer cuts.
    OutOfOrder {
        /// Position of the board.
        board: usize,
        /// The part on the right.
        part: Part,
    },
    /// The offcut is not what is left behind the last cut and its kerf.
    WrongOffcut {
        /// Position of the board.
        board: usize,
        /// What the plan says.
        planned_nm: i128,
        /// What is left.
        wanted_nm: i128,
    },
    /// More boards of a kind are taken than there are.
    SupplyExceeded {
        /// Index of the job's board.
        board_idx: usize,
        /// How many are taken.
        taken: u64,
        /// How many there are.
        supply: u32,
    },
    /// Boards of a kind are not numbered 1, 2, 3 in the order of the plan.
    WrongNumber {
        /// Position of the board.
        board: usize,
        /// What the plan says.
        planned: u32,
        /// The number it must have.
        wanted: u32,
    },
    /// Boards cut alike do not stand together under one number, or others share it.
    WrongPattern {
        /// Position of the board.
        board: usize,
        /// The number the plan gives.
        planned: u32,
        /// The number it must have.
        wanted: u32,
    },
    /// The cost of a board cannot be worked out.
    UnknownCost {
        /// Index of the job's board.
        board_idx: usize,
    },
    /// The value is measured in something else than the job asks for.
    WrongMeasure {
        /// What the plan says.
        planned: Measure,
        /// What the job asks for.
        wanted: Measure,
    },
    /// The value is not the sum over the boards.
    WrongValue {
        /// What the plan says.
        planned: i64,
        /// The sum.
        wanted: i128,
    },
    /// The lower bound exceeds the value.
    BoundAboveValue {
        /// The bound.
        lower_bound: i64,
        /// The value.
        value: i64,
    },
    /// More parts are said to be missing in every plan than are missing in this one.
    MissingBoundAboveMissing {
        /// The bound.
        missing_lower_bound: u64,
        /// How many are missing.
        n_missing: u64,
    },
    /// The verdict is `Optimal` while a bound differs from the value, or is not while both meet.
    WrongVerdict {
        /// What the plan says.
        planned: Verdict,
        /// Whether both bounds meet their values.
        bounds_meet: bool,
    },
}

impl fmt::Display for Part {
    /// Counts from 1: `frame 2, copy 1, side 3`, `piece 1, copy 4`. For people there is `part_label`.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Part::Rail {
                frame_idx,
                copy,
                side,
            } => write!(
                out,
                "frame {}, copy {copy}, side {}",
                frame_idx.saturating_add(1),
                side.saturating_add(1)
            ),
            Part::Loose { piece_idx, copy } => {
                write!(out, "piece {}, copy {copy}", piece_idx.saturating_add(1))
            }
        }
    }
}

/// A width that may be unknown.
struct Nanometres(Option<i128>);

impl fmt::Display for Nanometres {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            Some(nm) => write!(out, "{nm} nm"),
            None => write!(out, "of unknown width"),
        }
    }
}

impl fmt::Display for Violation {
    #[expect(clippy::too_many_lines, reason = "one sentence for each variant")]
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(board) = self.board() {
            write!(out, "board {} of the plan: ", board.saturating_add(1))?;
        }
        match *self {
            Violation::UnknownBoard { board_idx, .. } => {
                write!(out, "the job has no board of index {board_idx}")
            }
            Violation::UnknownPart { part } => write!(out, "the job has no part `{part}`"),
            Violation::RepeatedPart { part } => {
                write!(out, "part `{part}` stands in the plan more than once")
            }
            Violation::LostPart { part } => {
                write!(out, "part `{part}` is neither cut nor called missing")
            }
            Violation::WrongLength {
                part,
                planned_nm,
                wanted_nm,
            } => write!(
                out,
                "part `{part}` is {planned_nm} nm long and must be {wanted_nm} nm"
            ),
            Violation::EmptyBoard { .. } => write!(out, "nothing is cut from it"),
            Violation::EmptyStrip { strip, .. } => {
                write!(out, "nothing is cut from strip {}", strip.saturating_add(1))
            }
            Violation::MustBeLeft { part, .. } => write!(out, "part `{part}` must be left uncut"),
            Violation::NotLeft { part, .. } => {
                write!(out, "part `{part}` is nothing to be left, or left nowhere")
            }
            Violation::SharedBoard { strip, .. } => write!(
                out,
                "strip {} takes the board whole and is not alone on it",
                strip.saturating_add(1)
            ),
            Violation::WrongStripWidth {
                strip,
                planned_nm,
                wanted_nm,
                ..
            } => write!(
                out,
                "strip {} is planned as {} across and must be {}",
                strip.saturating_add(1),
                Nanometres(planned_nm),
                Nanometres(wanted_nm)
            ),
            Violation::WrongStripPlace {
                strip,
                planned_nm,
                wanted_nm,
                ..
            } => write!(
                out,
                "strip {} begins at {planned_nm} nm from the edge and must at {wanted_nm} nm",
                strip.saturating_add(1)
            ),
            Violation::BeyondEdge {
                end_nm, room_nm, ..
            } => write!(
                out,
                "its strips end at {end_nm} nm from the edge and {room_nm} nm are there"
            ),
            Violation::WrongEdgeLeft {
                planned_nm,
                wanted_nm,
                ..
            } => write!(
                out,
                "{planned_nm} nm are said to be left beside its strips and {wanted_nm} nm are"
            ),
            Violation::MixedSections { part, .. } => {
                write!(out, "part `{part}` is of another section than the first")
            }
            Violation::WrongMoulding {
                planned, wanted, ..
            } => write!(
                out,
                "milled to moulding {planned:?}, but its parts need {wanted:?}"
            ),
            Violation::UnsuitableBoard { part, .. } => {
                write!(out, "it does not suit part `{part}`")
            }
            Violation::InNearTrim { part, from_nm, .. } => write!(
                out,
                "part `{part}` begins at {from_nm} nm, within the near trim"
            ),
            Violation::InFarTrim { part, to_nm, .. } => {
                write!(out, "part `{part}` ends at {to_nm} nm, within the far trim")
            }
            Violation::OnDefect { part, .. } => {
                write!(out, "part `{part}` lies on a defect")
            }
            Violation::NarrowGap {
                part,
                gap_nm,
                needed_nm,
                ..
            } => write!(
                out,
                "{gap_nm} nm lie before part `{part}` and the kerf takes {needed_nm} nm"
            ),
            Violation::MayNotBeTurned { part, .. } => {
                write!(out, "part `{part}` may not lie turned end for end")
            }
            Violation::BrokenChain { part, .. } => {
                write!(out, "part `{part}` is apart from the rails it must follow")
            }
            Violation::OutOfOrder { part, .. } => {
                write!(out, "part `{part}` should stand before its left neighbor")
            }
            Violation::WrongOffcut {
                planned_nm,
                wanted_nm,
                ..
            } => write!(
                out,
                "the offcut is given as {planned_nm} nm and {wanted_nm} nm are left"
            ),
            Violation::SupplyExceeded {
                board_idx,
                taken,
                supply,
            } => write!(
                out,
                "{taken} boards of index {board_idx} are taken and there are {supply}"
            ),
            Violation::WrongNumber {
                planned, wanted, ..
            } => write!(out, "numbered {planned} of its kind and must be {wanted}"),
            Violation::WrongPattern {
                planned, wanted, ..
            } => write!(out, "given pattern {planned} and must have {wanted}"),
            Violation::UnknownCost { board_idx } => {
                write!(
                    out,
                    "the cost of board index {board_idx} cannot be worked out"
                )
            }
            Violation::WrongMeasure { planned, wanted } => write!(
                out,
                "the value is measured in {planned:?} and must be in {wanted:?}"
            ),
            Violation::WrongValue { planned, wanted } => {
                write!(
                    out,
                    "the value is given as {planned} and the boards sum to {wanted}"
                )
            }
            Violation::BoundAboveValue { lower_bound, value } => {
                write!(
                    out,
                    "the lower bound {lower_bound} exceeds the value {value}"
                )
            }
            Violation::MissingBoundAboveMissing {
                missing_lower_bound,
                n_missing,
            } => write!(
                out,
                "{missing_lower_bound} parts are said to be missing in every plan, and here {n_missing} are"
            ),
            Violation::WrongVerdict {
                planned,
                bounds_meet,
            } => write!(
                out,
                "the verdict is {planned:?} and the bounds {} their values",
                if bounds_meet { "meet" } else { "do not meet" }
            ),
        }
    }
}

impl Violation {
    /// The position in `Plan::boards` it concerns, from 0; `None` if it concerns no single one.
    pub fn board(&self) -> Option<usize> {
        match *self {
            Violation::UnknownBoard { board, .. }
            | Violation::EmptyBoard { board }
            | Violation::EmptyStrip { board, .. }
            | Violation::MustBeLeft { board, .. }
            | Violation::NotLeft { board, .. }
            | Violation::SharedBoard { board, .. }
            | Violation::WrongStripWidth { board, .. }
            | Violation::WrongStripPlace { board, .. }
            | Violation::BeyondEdge { board, .. }
            | Violation::WrongEdgeLeft { board, .. }
            | Violation::MixedSections { board, .. }
            | Violation::WrongMoulding { board, .. }
            | Violation::UnsuitableBoard { board, .. }
            | Violation::InNearTrim { board, .. }
            | Violation::InFarTrim { board, .. }
            | Violation::OnDefect { board, .. }
            | Violation::NarrowGap { board, .. }
            | Violation::MayNotBeTurned { board, .. }
            | Violation::BrokenChain { board, .. }
            | Violation::OutOfOrder { board, .. }
            | Violation::WrongOffcut { board, .. }
            | Violation::WrongNumber { board, .. }
            | Violation::WrongPattern { board, .. } => Some(board),
            Violation::UnknownPart { .. }
            | Violation::RepeatedPart { .. }
            | Violation::LostPart { .. }
            | Violation::WrongLength { .. }
            | Violation::SupplyExceeded { .. }
            | Violation::UnknownCost { .. }
            | Violation::WrongMeasure { .. }
            | Violation::WrongValue { .. }
            | Violation::BoundAboveValue { .. }
            | Violation::MissingBoundAboveMissing { .. }
            | Violation::WrongVerdict { .. } => None,
        }
    }
}

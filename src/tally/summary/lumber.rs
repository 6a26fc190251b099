//! The wood of a plan by face and by board feet.

use crate::job::Job;
use crate::length::Length;
use crate::plan::{Plan, PlannedBoard, gaps, is_edge_kept, is_kept, uncut};
use crate::stock::BoardFeet;

use super::Taken;
use super::rips::is_ripped;
use crate::tally::saved_on_strip;

/// What becomes of the boards' faces, in square nanometers; the four parts sum to the whole.
///
/// Widths are those of the boards as they are, and of the strips as ripped; lengths run along the outer edge.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Face {
    /// All boards; of a resawn one, all its slices.
    pub boards_nm2: i128,
    /// Rails and pieces, long points by width of strip.
    pub parts_nm2: i128,
    /// Ends of strips, and pieces beside them, that go back on the rack.
    pub kept_nm2: i128,
    /// Ends and edges that are too small to keep.
    pub scrap_nm2: i128,
    /// Straightening, kerfs, end trims, and defects that are not part of what is kept.
    pub sawn_nm2: i128,
}

impl Face {
    /// What goes into the parts, back to the rack, and is lost.
    pub fn uses(&self) -> [i128; 3] {
        [
            self.parts_nm2,
            self.kept_nm2,
            self.scrap_nm2 + self.sawn_nm2,
        ]
    }
}

/// Board feet of a plan, counted both ways that are in use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lumber {
    /// All boards taken, by the sizes by which they are sold.
    pub bought: BothWays,
    /// The parts: the face of what is cut from each board, by the thickness by which that is sold; of a resawn one, by the
    /// share of it that a slice has.
    pub used: BothWays,
}

/// The same wood counted in two ways.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BothWays {
    /// Exactly.
    pub exact: BoardFeet,
    /// By surface measure: the face of each board in whole square feet, times its thickness.
    pub by_surface_measure: BoardFeet,
}

/// A face in square nanometers.
fn area(width: Length, length: Length) -> i128 {
    i128::from(width.nm()) * i128::from(length.nm())
}

impl Face {
    /// Counts up a plan with ripped boards; `None` where there is none, or where a width is unknown.
    pub(super) fn of(plan: &Plan) -> Option<Face> {
        let job = &plan.job;
        if !plan.boards.iter().any(|board| is_ripped(job, board)) {
            return None;
        }
        let mut face = Face::default();
        for planned in &plan.boards {
            let board = &job.boards[planned.board_idx];
            // Each slice of a resawn board has a face of its own.
            let n_slices = i128::try_from(planned.n_slices()).ok()?;
            face.boards_nm2 += area(board.width?, board.length) * n_slices;
            face.parts_nm2 += parts_face(job, planned)?;
            for (strip_idx, strip) in planned.strips.iter().enumerate() {
                for gap in gaps(job, planned, strip_idx) {
                    if is_kept(job, gap.clear) {
                        face.kept_nm2 += area(strip.width?, gap.between_trims);
                    } else {
                        face.scrap_nm2 += area(strip.width?, gap.clear);
                    }
                }
            }
            for (idx, stretch) in planned.stretches.iter().enumerate() {
                for (nth, edge) in stretch.beside.iter().enumerate() {
                    let size = area(edge.width, stretch.to - stretch.from);
                    if is_edge_kept(job, planned, idx, nth) {
                        face.kept_nm2 += size;
                    } else {
                        face.scrap_nm2 += size;
                    }
                }
                match uncut(job, planned, idx) {
                    Some(uncut) if is_kept(job, uncut.clear) => {
                        face.kept_nm2 += area(board.width?, uncut.between_trims);
                    }
                    Some(uncut) => face.scrap_nm2 += area(board.width?, uncut.clear),
                    None => {}
                }
            }
        }
        face.sawn_nm2 = face.boards_nm2 - face.parts_nm2 - face.kept_nm2 - face.scrap_nm2;
        Some(face)
    }
}

/// The face of all parts cut from a board; `None` where a strip's width is unknown.
fn parts_face(job: &Job, planned: &PlannedBoard) -> Option<i128> {
    planned
        .strips
        .iter()
        .map(|strip| {
            let length: Length = strip.cuts.iter().map(|cut| cut.to - cut.from).sum();
            Some(area(strip.width?, length - saved_on_strip(job, strip)))
        })
        .sum()
}

impl Lumber {
    /// Counts up a plan; `None` where a board taken has no thickness or width, or the sum is out of all range.
    pub(super) fn of(plan: &Plan, taken: &[Taken]) -> Option<Lumber> {
        let job = &plan.job;
        let mut bought = BothWays::ZERO;
        for line in taken {
            bought = bought.plus(line.board_feet?, 1)?;
        }
        let mut used = BothWays::ZERO;
        for planned in &plan.boards {
            let sold = job.boards[planned.board_idx].sold_thickness()?;
            // Each slice of a resawn board has its share of the thickness.
            let n_slices = i128::try_from(planned.n_slices()).ok()?;
            let face = parts_face(job, planned)?;
            let face = face / n_slices + i128::from(face % n_slices > 0);
            used = used.plus(BothWays::of_face(sold, face)?, 1)?;
        }
        Some(Lumber { bought, used })
    }
}

/// Board feet of some boards of a kind.
pub(super) fn of_boards(job: &Job, board_idx: usize, count: u64) -> Option<BothWays> {
    let board = &job.boards[board_idx];
    let face = area(board.sold_width()?, board.length);
    BothWays::ZERO.plus(BothWays::of_face(board.sold_thickness()?, face)?, count)
}

impl BothWays {
    const ZERO: BothWays = BothWays {
        exact: BoardFeet::ZERO,
        by_surface_measure: BoardFeet::ZERO,
    };

    fn of_face(thickness: Length, face_nm2: i128) -> Option<BothWays> {
        let face_nm2 = u128::try_from(face_nm2).ok()?;
        Some(BothWays {
            exact: BoardFeet::of_face(thickness, face_nm2)?,
            by_surface_measure: BoardFeet::of_face_by_surface_measure(thickness, face_nm2)?,
        })
    }

    fn plus(self, other: BothWays, count: u64) -> Option<BothWays> {
        let sum =
            |ours: BoardFeet, theirs: BoardFeet| ours.checked_add(theirs.checked_times(count)?);
        Some(BothWays {
            exact: sum(self.exact, other.exact)?,
            by_surface_measure: sum(self.by_surface_measure, other.by_surface_measure)?,
        })
    }
}

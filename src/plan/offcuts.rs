//! The numbers by which what is left of boards is named on the rack, so that a name that is written on the wood stays its name.

use crate::job::Job;
use crate::length::Length;
use crate::plan::{Leftover, LeftoverKind, Plan, is_kept, leftovers};
use crate::stock::Board;

/// What pieces left of boards are called, before their number.
const OFFCUT: &str = "offcut ";

/// What the piece of this number is called on the rack.
pub fn offcut_name(number: u64) -> String {
    format!("{OFFCUT}{number}")
}

/// Numbers that sheets before a plan have given to what is left of its boards; of a plan that is the first, none.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct GivenNumbers {
    /// Those that lie on a board of the plan.
    pub on_boards: Vec<GivenNumber>,
    /// The highest that was ever given, be its piece still there or not; 0 if none was.
    pub highest: u64,
}

/// A number that a sheet before has given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GivenNumber {
    /// Position in the boards of the plan.
    pub board: usize,
    /// What of the board had it; `None` where that is all of what is a board here.
    pub kind: Option<LeftoverKind>,
    /// Where that began along the outer edge, from the untrimmed near end of its stretch.
    pub from: Length,
    /// Where it ended.
    pub to: Length,
    /// The number.
    pub number: u64,
}

impl GivenNumber {
    /// Whether a piece is what had the number, or is left of that.
    pub fn is_of(&self, left: &Leftover) -> bool {
        self.board == left.board
            && self
                .kind
                .is_none_or(|kind| kind == left.kind && self.from < left.to && left.from < self.to)
    }
}

/// The pieces that go back on the rack, in the order of [`leftovers`], each with the number of its name.
///
/// What a sheet before has named keeps its number, be it shorter by now; where several pieces are left of it, the first has it.
/// It does not keep one that another piece in hand has by now, as another job of the shop may have given it meanwhile.
/// All others are numbered on from the highest that a board of the job has or that was ever given.
///
/// # Panics
/// If `plan` names a board that its job does not have.
pub fn numbered_leftovers(plan: &Plan) -> Vec<(u64, Leftover)> {
    let job = &plan.job;
    let given = &plan.given_numbers;
    let kept = leftovers(plan).into_iter().filter(|left| {
        let of = &job.boards[plan.boards[left.board].board_idx];
        of.given.rail.is_none() || is_kept(job, length_kept(job, of, left))
    });
    let mut free = given.on_boards.clone();
    free.retain(|given| !is_taken(job, given.number));
    let mut number = highest_number(job, OFFCUT).max(given.highest);
    kept.map(|left| {
        if let Some(at) = free.iter().position(|given| given.is_of(&left)) {
            return (free.remove(at).number, left);
        }
        number += 1;
        (number, left)
    })
    .collect()
}

/// Whether a piece on the rack of the job has the number that was given to what lies at the bench.
fn is_taken(job: &Job, number: u64) -> bool {
    let name = offcut_name(number);
    let mut in_hand = job.boards.iter().filter(|board| board.in_hand.is_some());
    in_hand.any(|board| board.name == name && !board.is_at_bench())
}

/// The length that counts of what is left of a board: all of it, but of a rail in hand without the slant of its own ends.
///
/// # Panics
/// Never, for a piece of that board.
pub fn length_kept(job: &Job, of: &Board, left: &Leftover) -> Length {
    let length = left.to - left.from;
    let Some(slant) = of.given.rail else {
        return length;
    };
    let trim = job.shop.end_trim;
    let ends = [left.from <= trim, left.to >= of.length - trim];
    length - slant * i64::from(ends.into_iter().map(u8::from).sum::<u8>())
}

/// The highest number behind a word that names pieces in hand, 0 if there is none.
pub fn highest_number(job: &Job, word: &str) -> u64 {
    job.boards
        .iter()
        .filter_map(|board| board.name.strip_prefix(word)?.parse().ok())
        .filter(|&number: &u64| number < u64::MAX / 2)
        .max()
        .unwrap_or(0)
}

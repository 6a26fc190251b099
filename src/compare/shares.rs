//! What each frame costs: the price of the boards shared out, to the last minor unit.

use std::collections::BTreeMap;

use crate::job::Line;
use crate::length::Length;
use crate::money::Money;
pub(super) use crate::money::shared;
use crate::plan::{Measure, Part, Plan};
use crate::stock::board_cost;

/// What the boards cost, by line of the job, all copies together; `None` where no board has a price.
///
/// The rule: the price of each board is shared by the parts that are cut from it, or left of it on purpose, in proportion to their lengths, of a
/// ripped board to their faces; so each part pays for the scrap of its own board. Minor units that are left over go to
/// the largest remainders, the earlier part first.
/// The shares sum to the price of all boards exactly. A line whose parts are all missing is not there.
///
/// # Panics
/// Never: the prices of a job can be worked out.
pub fn share_boards(plan: &Plan) -> Option<BTreeMap<Line, Money>> {
    let job = &plan.job;
    if plan.measure != Measure::Price {
        return None;
    }
    let mut shares: BTreeMap<Line, Money> = BTreeMap::new();
    for (position, board) in plan.boards.iter().enumerate() {
        let cost = board_cost(&job.boards[board.board_idx])
            .expect("load refuses a price that cannot be worked out")
            .unwrap_or(Money::ZERO);
        let (lines, weights): (Vec<Line>, Vec<i128>) = weigh_parts(plan, position)
            .into_iter()
            .map(|part| (part.line, part.weight))
            .unzip();
        for (line, share) in lines.into_iter().zip(shared(cost.minor(), &weights)) {
            *shares.entry(line).or_default() += Money::from_minor(share);
        }
    }
    Some(shares)
}

/// A part of a board, where prices are shared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WeighedPart {
    /// The line of the job that it is of.
    pub line: Line,
    /// Its length.
    pub length: Length,
    /// What it weighs among the parts of its board: its length, or where every strip of the board has a width its face; so
    /// weights of different boards are not alike.
    pub weight: i128,
}

/// The parts on a board, cut or left on purpose, with what they weigh where its price is shared.
///
/// # Panics
/// If the plan has no such board.
pub fn weigh_parts(plan: &Plan, position: usize) -> Vec<WeighedPart> {
    let board = &plan.boards[position];
    let has_widths = board.strips.iter().all(|strip| strip.width.is_some());
    let mut parts = Vec::new();
    for (strip_idx, strip) in board.strips.iter().enumerate() {
        let width = strip
            .width
            .filter(|_| has_widths)
            .map_or(1, |width| i128::from(width.nm()));
        let cuts = strip.cuts.iter().map(|cut| (cut.part, cut.to - cut.from));
        let left = plan.spare_offcuts.iter();
        let left = left.filter(|left| (left.board, left.strip) == (position, strip_idx));
        for (part, length) in cuts.chain(left.map(|left| (left.part, left.to - left.from))) {
            let line = match part {
                Part::Rail { frame_idx, .. } => Line::Frame(frame_idx),
                Part::Loose { piece_idx, .. } => Line::Piece(piece_idx),
            };
            parts.push(WeighedPart {
                line,
                length,
                weight: i128::from(length.nm()) * width,
            });
        }
    }
    parts
}

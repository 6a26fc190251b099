//! What each frame costs: the price of the boards shared out, to the last minor unit.

use std::collections::BTreeMap;

use crate::job::Line;
use crate::length::Length;
use crate::money::Money;
pub(super) use crate::money::shared;
use crate::plan::{Measure, Part, Plan};
use crate::stock::{Board, InHandRules, board_cost};

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
    if plan.measure != Measure::Price {
        return None;
    }
    let mut shares = BTreeMap::new();
    for (position, board) in plan.boards.iter().enumerate() {
        let cost = cost_of(&plan.job.boards[board.board_idx]).unwrap_or_default();
        share_among_parts(plan, position, cost, &mut shares);
    }
    Some(shares)
}

/// Adds what each line pays of a board.
fn share_among_parts(
    plan: &Plan,
    position: usize,
    cost: Money,
    shares: &mut BTreeMap<Line, Money>,
) {
    let (lines, weights): (Vec<Line>, Vec<i128>) = weigh_parts(plan, position)
        .into_iter()
        .map(|part| (part.line, part.weight))
        .unzip();
    for (line, share) in lines.into_iter().zip(shared(cost.minor(), &weights)) {
        *shares.entry(line).or_default() += Money::from_minor(share);
    }
}

fn cost_of(board: &Board) -> Option<Money> {
    board_cost(board).expect("load refuses a price that cannot be worked out")
}

/// Wood that a plan takes and counts nothing for, as it was paid for before: bought already, or on a rack that is used first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PaidBefore {
    /// What it is worth, shared as [`share_boards`] does; a line without such wood is not there.
    pub by_line: BTreeMap<Line, Money>,
    /// How many boards of it are taken.
    pub n_boards: u64,
    /// Of how many of these no worth is known.
    pub n_unknown: u64,
}

/// Shares what wood is worth that was paid for before and counts nothing in a plan: what was bought at what was paid, a piece of
/// the rack at its worth.
///
/// # Panics
/// Never: the prices of a job can be worked out.
pub fn share_paid_before(plan: &Plan) -> PaidBefore {
    let job = &plan.job;
    let mut paid = PaidBefore::default();
    let rules = InHandRules {
        first: false,
        ..job.shop.in_hand
    };
    for (position, planned) in plan.boards.iter().enumerate() {
        let board = &job.boards[planned.board_idx];
        let Some(own) = &board.in_hand else {
            continue;
        };
        if cost_of(board).unwrap_or_default() > Money::ZERO {
            continue;
        }
        let price = if own.is_bought {
            own.paid
        } else {
            let worth = own.price(board, &rules);
            worth.expect("load works out every price and value")
        };
        let worth = cost_of(&Board {
            price,
            ..board.clone()
        });
        paid.n_boards += 1;
        match worth {
            // Its owner may say that it is worth nothing.
            Some(Money::ZERO) => {}
            Some(worth) => share_among_parts(plan, position, worth, &mut paid.by_line),
            None => paid.n_unknown += 1,
        }
    }
    paid
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

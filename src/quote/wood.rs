//! What wood each line of a job pays for.

use std::collections::BTreeMap;

use crate::compare::{WeighedPart, weigh_parts};
use crate::frame::ChosenBoards;
use crate::job::{Job, JobSpec, Line, Piece, Purpose, Subject};
use crate::length::Length;
use crate::money::{Money, shared};
use crate::plan::{Measure, Plan};
use crate::stock::{Board, board_cost};
use crate::tally::rack_added;

/// What boards cost, shared out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WoodShares {
    /// What each frame and piece that is sold pays, all copies together.
    pub by_line: BTreeMap<Line, Money>,
    /// What the boards cost, wood in hand at its worth: the sum of the others.
    pub boards: Money,
    /// What offcuts that are kept are worth: the shop has them, and no frame pays for them.
    pub kept: Money,
}

/// Parts that pay alike by their size.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Kin {
    /// Of one moulding, from any boards or from those that were chosen for them.
    Moulding(usize, ChosenBoards),
    /// Plain wood of one section.
    Plain(Option<String>, Option<Length>, Option<Length>, ChosenBoards),
}

/// What parts of one kin have to pay, and who of them is sold, with the length of each.
#[derive(Default)]
struct Purse {
    money: i64,
    weights: BTreeMap<Line, i128>,
}

/// Shares the price of a plan's boards; `None` where no board has a price.
///
/// The rule: of the price of each board, and of wood in hand of its worth, what its kept offcuts will be worth on the rack is
/// taken off. The rest is shared by the parts cut from it, or left of it on purpose, by their lengths, of ripped boards by
/// their faces. Then all parts of one moulding, or of one section of plain wood, put their shares together and pay them alike
/// by their length, so that it does not matter from which board a part happens to come; parts of boards that were chosen for
/// their frame pay by themselves. Spare rails and offcuts are paid by the frames of their moulding, spacers by their frame.
/// Each step is by largest remainder, so the shares and what is kept sum to the price of all boards.
///
/// # Panics
/// Never: the prices of a job can be worked out.
pub fn share_wood(plan: &Plan) -> Option<WoodShares> {
    if plan.measure != Measure::Price {
        return None;
    }
    let job = &plan.job;
    let kept = worth_kept(plan);
    let sellers = sellers(job);
    let mut shares = WoodShares::default();
    let mut purses: BTreeMap<Kin, Purse> = BTreeMap::new();
    for (position, board) in plan.boards.iter().enumerate() {
        let cost = board_cost(&job.boards[board.board_idx])
            .expect("load refuses a price that cannot be worked out")
            .unwrap_or(Money::ZERO);
        let kept = kept.get(&position).copied().unwrap_or_default().min(cost);
        shares.boards += cost;
        shares.kept += kept;
        let parts = weigh_parts(plan, position);
        let weights: Vec<i128> = parts.iter().map(|part| part.weight).collect();
        for (&WeighedPart { line, length, .. }, share) in
            parts.iter().zip(shared((cost - kept).minor(), &weights))
        {
            let purse = purses.entry(kin_of(job, line)).or_default();
            purse.money += share;
            if let Some(seller) = sellers[&line] {
                // Parts of a kin are all of one width.
                *purse.weights.entry(seller).or_default() += i128::from(length.nm());
            }
        }
    }
    for (kin, share) in pay(job, purses) {
        *shares.by_line.entry(kin).or_default() += share;
    }
    Some(shares)
}

/// What each line pays of all purses; a purse of spares alone is paid by all frames of their moulding.
fn pay(job: &Job, purses: BTreeMap<Kin, Purse>) -> Vec<(Line, Money)> {
    let mut paid = Vec::new();
    for (kin, Purse { money, weights }) in purses {
        let weights = match kin {
            Kin::Moulding(moulding_idx, _) if weights.is_empty() => {
                let frames = job.frames.iter().enumerate();
                let of_it = frames.filter(|(_, frame)| frame.moulding_idx == moulding_idx);
                let weigh = |(idx, frame): (usize, &crate::frame::Frame)| {
                    (Line::Frame(idx), i128::from(frame.quantity))
                };
                of_it.map(weigh).collect()
            }
            _ => weights,
        };
        let (lines, weights): (Vec<Line>, Vec<i128>) = weights.into_iter().unzip();
        let amounts = shared(money, &weights).into_iter().map(Money::from_minor);
        paid.extend(lines.into_iter().zip(amounts));
    }
    paid
}

/// What the kept offcuts of each board will be worth on the rack, by the board's position in the plan.
fn worth_kept(plan: &Plan) -> BTreeMap<usize, Money> {
    let rules = &plan.job.shop.in_hand;
    let mut worth: BTreeMap<usize, Money> = BTreeMap::new();
    for new in rack_added(plan) {
        let in_hand = new.board.in_hand.as_ref();
        let price = in_hand.and_then(|in_hand| in_hand.price(&new.board, rules).ok().flatten());
        let piece = Board { price, ..new.board };
        let value = board_cost(&piece).ok().flatten().unwrap_or_default();
        *worth.entry(new.left.board).or_default() += value;
    }
    worth
}

fn kin_of(job: &Job, line: Line) -> Kin {
    match line {
        Line::Frame(idx) => {
            let frame = &job.frames[idx];
            Kin::Moulding(frame.moulding_idx, frame.boards.clone())
        }
        Line::Piece(idx) => {
            let Piece {
                moulding_idx,
                material,
                thickness,
                width,
                boards,
                ..
            } = &job.pieces[idx];
            match moulding_idx {
                Some(moulding_idx) => Kin::Moulding(*moulding_idx, boards.clone()),
                None => Kin::Plain(material.clone(), *thickness, *width, boards.clone()),
            }
        }
    }
}

/// The line that is sold of each line that is cut: spacers with their frame, spares with none.
fn sellers(job: &Job) -> BTreeMap<Line, Option<Line>> {
    let mut spec: JobSpec = job.spec();
    let origins = spec.derive_pieces();
    let derived = spec
        .pieces
        .iter()
        .filter(|it| it.purpose != Purpose::Wanted);
    let of_name: BTreeMap<&str, Subject> = derived
        .map(|piece| piece.name.as_str())
        .zip(origins)
        .collect();
    let frames = (0..job.frames.len()).map(|idx| (Line::Frame(idx), Some(Line::Frame(idx))));
    let pieces = job.pieces.iter().enumerate().map(|(idx, piece)| {
        let seller = match (piece.purpose, of_name.get(piece.name.as_str())) {
            (Purpose::Spacer, Some(&Subject::Frame(frame_idx))) => Some(Line::Frame(frame_idx)),
            (Purpose::Wanted | Purpose::Spacer, _) => Some(Line::Piece(idx)),
            (Purpose::SpareRail | Purpose::SpareOffcut, _) => None,
        };
        (Line::Piece(idx), seller)
    });
    frames.chain(pieces).collect()
}

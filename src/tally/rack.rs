//! The rack as it will be after a job.

use crate::frame::{Milled, Moulding};
use crate::job::Job;
use crate::length::Length;
use crate::plan::{
    ChalkMarks, Leftover, LeftoverKind, Plan, PlannedBoard, PlannedStrip, StripMark,
    highest_number, is_kept, length_kept, numbered_leftovers, offcut_name, piece_name,
};
use crate::stock::{Board, Given, InHand, LONGEST_TRACE, Price, share_of_price, title_on_rack};

/// A new piece on the rack, with what it is left of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewPiece {
    /// The piece as the rack's table has it.
    pub board: Board,
    /// Where it comes from.
    pub left: Leftover,
}

/// What boards are called that were bought and go on the rack whole, before their number.
const WHOLE: &str = "whole ";

/// The pieces in hand that the plan leaves as they are, in the order of the job; of what was bought for it, whole boards under
/// names that no board of the job has, as the next job may have boards of the same name on sale.
///
/// A rail in hand counts as long as its shorter edge, as its ends may be wanted square; one that is too short to keep is none.
pub fn rack_left(plan: &Plan) -> Vec<Board> {
    left_whole(plan).map(|(_, piece)| piece).collect()
}

/// Of [`rack_left`] what was not on the rack before: boards that were bought and stay whole, and rails in hand.
pub fn rack_left_new(plan: &Plan) -> Vec<Board> {
    let is_new = |of: &Board| !is_of_rack(of);
    let left = left_whole(plan).filter(|(of, _)| is_new(of));
    left.map(|(_, piece)| piece).collect()
}

/// The pieces of [`rack_left`], each with the board of the job that it is.
fn left_whole(plan: &Plan) -> impl Iterator<Item = (&Board, Board)> {
    let job = &plan.job;
    let mut taken = vec![0_u32; job.boards.len()];
    for board in &plan.boards {
        taken[board.board_idx] += 1;
    }
    let mut number = highest_number(job, WHOLE);
    job.boards
        .iter()
        .zip(taken)
        .filter(|(board, _)| board.in_hand.is_some())
        .flat_map(move |(board, taken)| {
            let left = board.quantity.unwrap_or(1).saturating_sub(taken);
            let left = (left > 0).then(|| Board {
                quantity: Some(left),
                ..board.clone()
            });
            let mut pieces = Vec::new();
            match left {
                Some(left) if left.is_bought() => {
                    for piece in as_cut(&left) {
                        number += 1;
                        pieces.push(on_rack(job, board, piece, number));
                    }
                }
                left => pieces.extend(left),
            }
            pieces.into_iter().map(move |piece| (board, piece))
        })
        .filter_map(|(of, piece)| {
            if piece.given.rail.is_none() {
                return Some((of, piece));
            }
            let length = piece.length_on_rack();
            let rail = Board {
                length,
                defects: Vec::new(),
                ..piece
            };
            is_kept(job, length).then_some((of, rail))
        })
}

/// What lies there of a board that was bought: itself, or what the yard has cut it into, each with its share of what was paid.
fn as_cut(board: &Board) -> Vec<Board> {
    // The rack knows no size by which a board was sold.
    if board.at_yard.is_none() && board.nominal.is_none() {
        return vec![board.clone()];
    }
    let share = |price: Price| {
        share_of_price(board, price, None, 1).expect("load works out every price and value")
    };
    let stretches = board.parted(&board.cuts_done()).into_iter();
    stretches
        .map(|stretch| Board {
            price: board.price.map(share),
            in_hand: board.in_hand.clone().map(|in_hand| InHand {
                value: in_hand.value.map(share),
                paid: in_hand.paid.map(share),
                ..in_hand
            }),
            nominal: None,
            ..board.stretch(stretch)
        })
        .collect()
}

/// The pieces that the plan adds to the rack, in the order of [`leftovers`](crate::plan::leftovers).
///
/// Each has the name that a sheet before has given it, or one that no board of the job has, numbered on from the highest; is as long as it will lie there, with the
/// raw end's trim still on it; has the defects of its board that reach into it; and carries its share of what its board cost and of the value its owner gave it, see
/// [`share_of_price`].
/// The end of a strip that is milled already has its moulding's face and thickness, and serves only that moulding.
/// Each tells this job and its date.
pub fn rack_added(plan: &Plan) -> Vec<NewPiece> {
    let marks = plan.marks();
    numbered_leftovers(plan)
        .into_iter()
        .map(|(number, left)| NewPiece {
            board: piece(plan, &marks, &left, number),
            left,
        })
        .collect()
}

/// How many pieces are taken off the rack, and put on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RackMoves {
    /// Off.
    pub taken: u64,
    /// On: what is left of boards, boards that were bought and stay whole, and rails in hand.
    pub added: u64,
}

/// Whether it was on the rack before the job, and not bought for it or cut from a board of it.
pub(super) fn is_of_rack(board: &Board) -> bool {
    board.is_from_rack() && board.given.rail.is_none() && !board.given.is_piece
}

/// What a plan moves on the rack; of a bench all sheets together.
///
/// # Panics
/// If `plan` names a board that its job does not have.
pub fn rack_moves(plan: &Plan) -> RackMoves {
    let job = &plan.job;
    let is_of_rack = |board: &&Board| is_of_rack(board);
    let count = |board: &Board| u64::from(board.quantity.unwrap_or(1));
    let of_plan = plan.boards.iter().map(|it| &job.boards[it.board_idx]);
    let taken = of_plan.filter(is_of_rack).map(|_| 1).sum::<u64>();
    let before = job.boards.iter().filter(is_of_rack).map(count).sum::<u64>();
    let left = rack_left(plan).iter().map(count).sum::<u64>();
    let new = rack_added(plan).iter().map(|_| 1).sum::<u64>();
    // What of the rack is not taken is on it before and after.
    RackMoves {
        taken,
        added: left + new + taken - before,
    }
}

/// Boards that were bought and not used, as they lie on the rack.
fn on_rack(job: &Job, of: &Board, piece: Board, number: u64) -> Board {
    let in_hand = piece.in_hand.clone().map(|in_hand| InHand {
        from: Some(of.name.clone()),
        job: Some(title_on_rack(&job.title)),
        since: job.date,
        is_bought: false,
        ..in_hand
    });
    Board {
        name: format!("{WHOLE}{number}"),
        in_hand,
        ..piece
    }
}

/// Why a piece is offered for the stove.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ForStove {
    /// It is shorter than the shop keeps pieces.
    Short,
    /// It has lain on the rack for longer.
    Old,
}

/// The pieces of the rack as it will be that the shop may burn, each with the first reason; nobody takes them off for it.
pub fn for_stove(plan: &Plan) -> Vec<(Board, ForStove)> {
    let job = &plan.job;
    let rules = &job.shop.in_hand;
    let added = rack_added(plan).into_iter().map(|new| new.board);
    let pieces = rack_left(plan).into_iter().chain(added);
    let why = |piece: &Board| {
        if rules.stove_below.is_some_and(|below| piece.length < below) {
            return Some(ForStove::Short);
        }
        let since = piece.in_hand.as_ref()?.since?;
        let is_old = since.is_past(rules.stove_after?, job.date?);
        is_old.then_some(ForStove::Old)
    };
    pieces
        .filter_map(|piece| why(&piece).map(|why| (piece, why)))
        .collect()
}

fn piece(plan: &Plan, marks: &ChalkMarks<'_>, left: &Leftover, number: u64) -> Board {
    let job = &plan.job;
    let planned = &plan.boards[left.board];
    let of = &job.boards[planned.board_idx];
    let milled = left
        .moulding_idx(plan)
        .map(|idx| &job.mouldings[idx])
        .filter(|moulding| moulding.milled == Milled::BeforeCutting);
    let (thickness, width) = match left.kind {
        LeftoverKind::End(strip_idx) => section(job, planned, &planned.strips[strip_idx], milled),
        LeftoverKind::Piece(_) => (planned.resawn.or(of.thickness), left.width),
    };
    let profile = milled.map(|moulding| moulding.profile.clone());
    let moulding = profile.or_else(|| of.milled_to().map(str::to_owned));
    // What was milled as a wood is that wood, whatever was known of its board.
    let wood = milled.and_then(|moulding| moulding.material.clone());
    // Only a piece of a ripped board has less than its width; a whole one, but for its slices, has all that was paid for.
    let n_slices = planned.n_slices();
    let share = |price: Price| {
        share_of_price(of, price, left.width, n_slices)
            .expect("load works out every price and value")
    };
    let (value, paid) = match &of.in_hand {
        Some(in_hand) => (in_hand.value.map(share), in_hand.paid.map(share)),
        None => (None, of.price.map(share)),
    };
    let mut piece = Board {
        name: offcut_name(number),
        material: of.material.clone().or(wood),
        thickness,
        width,
        nominal: None,
        length: length_kept(job, of, left),
        quantity: Some(1),
        price: None,
        in_hand: Some(InHand {
            value,
            paid,
            moulding,
            from: Some(trace(
                of,
                marks.chalked(left.board),
                &stick_of(planned, marks, left),
            )),
            job: Some(title_on_rack(&job.title)),
            since: job.date,
            is_bought: false,
        }),
        is_tallied: false,
        defects: left.defects(plan),
        at_yard: None,
        given: Given::default(),
    };
    if let Some(in_hand) = &piece.in_hand {
        let price = in_hand.price(&piece, &job.shop.in_hand);
        piece.price = price.expect("a share of a price that is worked out can be");
    }
    piece
}

/// Thickness and width of what is left of a strip, which may be milled already.
fn section(
    job: &Job,
    planned: &PlannedBoard,
    strip: &PlannedStrip,
    milled: Option<&Moulding>,
) -> (Option<Length>, Option<Length>) {
    let of = &job.boards[planned.board_idx];
    let thickness = milled
        .and_then(|moulding| moulding.thickness)
        .or(planned.resawn)
        .or(of.thickness);
    let width = match (job.shop.rip, strip.width) {
        // What planing may still take off is not counted, so that the piece is as wide as what it was ripped for.
        (Some(rip), Some(width)) if strip.width != of.width => Some(width - rip.planing),
        (_, width) => width.map(|width| milled.map_or(width, |moulding| moulding.face_width)),
    };
    (thickness, width)
}

/// What of its board a piece was left of, by its mark: `D`, `D2` for a strip, `edge of D`.
fn stick_of(planned: &PlannedBoard, marks: &ChalkMarks<'_>, left: &Leftover) -> String {
    let board = marks.chalked(left.board);
    match left.kind {
        LeftoverKind::End(strip_idx) => marks.strip(left.board, strip_idx).to_string(),
        LeftoverKind::Piece(kind) => match piece_name(planned, kind) {
            whole if whole.is_empty() => board.to_string(),
            piece => format!("{piece} of {board}"),
        },
    }
}

/// The board, what of it by its mark, and where the board came from, as far as there is room.
fn trace(of: &Board, mark: StripMark, stick: &str) -> String {
    let label = match of.given.mark {
        None => format!("{}, {stick}", of.name),
        // A board of an earlier sheet has its mark in its name.
        Some(_) => match of.name.strip_suffix(&format!(", {mark}")) {
            Some(line) => format!("{line}, {stick}"),
            None => of.name.clone(),
        },
    };
    let whole = match of
        .in_hand
        .as_ref()
        .and_then(|in_hand| in_hand.from.as_ref())
    {
        // What was left of a board at the bench has that board's name before its own: `oak, edge of A`.
        Some(before) if !label.starts_with(&format!("{before}, ")) => {
            format!("{label} of {before}")
        }
        _ => label.clone(),
    };
    [whole, label]
        .into_iter()
        .find(|text| text.chars().count() <= LONGEST_TRACE)
        .unwrap_or_else(|| of.name.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::ChalkMark;
    use crate::samples::board;

    #[test]
    fn what_was_left_of_a_board_names_it_once() {
        let mark = StripMark {
            board: ChalkMark::nth(0),
            strip: None,
        };
        let oak = board("oak", Length::FOOT, None);
        assert_eq!(trace(&oak, mark, "A"), "oak, A");
        assert_eq!(trace(&oak, mark, "edge of A"), "oak, edge of A");
        let mut at_bench = board("oak, A", Length::FOOT, None);
        at_bench.given.mark = Some(0);
        assert_eq!(trace(&at_bench, mark, "A2"), "oak, A2");
        let from = |board: Board, from: &str| Board {
            in_hand: Some(InHand {
                from: Some(from.to_owned()),
                ..InHand::default()
            }),
            ..board
        };
        let offcut = from(board("offcut 3", Length::FOOT, None), "oak, C");
        assert_eq!(trace(&offcut, mark, "A"), "offcut 3, A of oak, C");
        let mut edge = from(board("oak, edge of A", Length::FOOT, None), "oak");
        edge.given.mark = Some(1);
        assert_eq!(trace(&edge, mark, "A"), "oak, edge of A");
    }
}

//! What is left to do as a job of its own.

use std::collections::{BTreeMap, BTreeSet};

use super::{Marks, Place, Source, part_at, places};
use crate::job::{Ends, Job, Piece};
use crate::length::Length;
use crate::money::Money;
use crate::plan::{Part, Plan, PlannedBoard, PlannedStrip, defects_on, part_label};
use crate::stock::{Across, Board, Defect, InHand, Price};

/// The job of all parts that are neither done nor `kept` nor `replaced` by spares, with the boards as they now are.
///
/// Boards keep their length and their places: what is cut from them, or is to be, is gone from the board, with the
/// kerfs at its ends. So nothing is trimmed twice, and what lies behind the last cut is used from there on.
/// Rails are pieces under the names they had. A strip that is ripped already is a board of its own; of what lies beside
/// it nothing is used. With the job comes which board is which of the old plan.
pub(super) fn rest_of(
    job: &Job,
    old: &Plan,
    marks: &Marks,
    kept: &BTreeSet<Place>,
    replaced: &BTreeSet<Part>,
) -> (Job, Vec<Option<Source>>) {
    let mut names: BTreeSet<String> = job.boards.iter().map(|board| board.name.clone()).collect();
    let mut boards = Vec::new();
    let mut sources = Vec::new();
    for (position, planned) in old.boards.iter().enumerate() {
        let is_whole = !places(old)
            .filter(|place| place.board == position)
            .any(|place| marks.is_made(place) || kept.contains(&place));
        let label = job.boards[planned.board_idx].numbered(planned.number);
        if is_whole {
            let board = &job.boards[planned.board_idx];
            let whole = Board {
                name: unique(&mut names, label),
                ..bought(board)
            };
            boards.push(whole);
            sources.push(Some(Source {
                board: position,
                strip: None,
            }));
            continue;
        }
        for strip in 0..planned.strips.len() {
            let is_fixed = |cut: usize| {
                let place = Place {
                    board: position,
                    strip,
                    cut,
                };
                marks.is_made(place) || kept.contains(&place)
            };
            let board = strip_left(job, planned, strip, is_fixed);
            if board.longest_clear(job.shop.end_trim).is_some() {
                let label = match planned.strips.len() {
                    1 => label.clone(),
                    _ => format!("{label} strip {}", strip + 1),
                };
                boards.push(Board {
                    name: unique(&mut names, label),
                    ..board
                });
                sources.push(Some(Source {
                    board: position,
                    strip: Some(strip),
                }));
            }
        }
    }
    boards.extend(still_there(job, old));
    sources.resize(boards.len(), None);
    let rest = Job {
        frames: Vec::new(),
        pieces: pieces(job, old, marks, kept, replaced),
        boards,
        ..job.clone()
    };
    (rest, sources)
}

/// A name that no board has yet; the board of the job itself may keep the name if it stands for no other.
fn unique(names: &mut BTreeSet<String>, name: String) -> String {
    let mut name = name;
    while !names.insert(name.clone()) {
        name.push('*');
    }
    name
}

/// A board that is paid for, so that using it costs nothing more.
fn bought(board: &Board) -> Board {
    let before = board.in_hand.as_ref();
    Board {
        quantity: Some(1),
        nominal: None,
        price: Some(Price::Each(Money::ZERO)),
        in_hand: Some(InHand {
            value: Some(Price::Each(Money::ZERO)),
            paid: before.map_or(board.price, |in_hand| in_hand.paid),
            from: before.and_then(|in_hand| in_hand.from.clone()),
        }),
        ..board.clone()
    }
}

/// What is left of a strip when the cuts that `is_fixed` are made: a board as long as before, with defects where they are.
fn strip_left(
    job: &Job,
    planned: &PlannedBoard,
    strip_idx: usize,
    is_fixed: impl Fn(usize) -> bool,
) -> Board {
    let of = &job.boards[planned.board_idx];
    let strip = &planned.strips[strip_idx];
    let full = |across, (from, to): (Length, Length)| Defect { from, to, across };
    let mut defects: Vec<Defect> = defects_on(job, planned, strip_idx)
        .into_iter()
        .map(|stretch| full(Across::Full, stretch))
        .collect();
    let fixed = strip.cuts.iter().enumerate();
    for (_, cut) in fixed.filter(|&(cut, _)| is_fixed(cut)) {
        let kerf = cut.part.miter(job).kerf_along(job.shop.kerf);
        let from = (cut.from - kerf).max(Length::ZERO);
        let to = (cut.to + kerf).min(of.length);
        match defects
            .last_mut()
            .filter(|last| last.across == Across::Gone)
        {
            Some(last) if from <= last.to => last.to = last.to.max(to),
            _ => defects.push(full(Across::Gone, (from, to))),
        }
    }
    defects.sort_unstable();
    Board {
        width: width_left(job, of, strip),
        defects,
        ..bought(of)
    }
}

/// The width of a strip: that of what it was ripped for, so that it is taken as it is.
fn width_left(job: &Job, of: &Board, strip: &PlannedStrip) -> Option<Length> {
    match (job.shop.rip, strip.width) {
        (Some(rip), Some(width)) if strip.width != of.width => Some(width - rip.planing),
        (_, width) => width,
    }
}

/// The boards of the job that the old plan does not use.
fn still_there(job: &Job, old: &Plan) -> Vec<Board> {
    let mut used: BTreeMap<usize, u32> = BTreeMap::new();
    for planned in &old.boards {
        *used.entry(planned.board_idx).or_default() += 1;
    }
    job.boards
        .iter()
        .enumerate()
        .map(|(board_idx, board)| {
            let used = used.get(&board_idx).copied().unwrap_or(0);
            Board {
                quantity: board.quantity.map(|quantity| quantity.saturating_sub(used)),
                ..board.clone()
            }
        })
        .filter(|board| board.quantity != Some(0))
        .collect()
}

/// The parts that are still to be cut, rails under the names of their own.
fn pieces(
    job: &Job,
    old: &Plan,
    marks: &Marks,
    kept: &BTreeSet<Place>,
    replaced: &BTreeSet<Part>,
) -> Vec<Piece> {
    let open = places(old)
        .filter(|place| !marks.done.contains(place) && !kept.contains(place))
        .map(|place| part_at(old, place))
        .filter(|part| !replaced.contains(part));
    let mut open: Vec<Part> = open.chain(old.missing.iter().copied()).collect();
    open.sort_unstable();
    let mut names: BTreeSet<String> = job.pieces.iter().map(|piece| piece.name.clone()).collect();
    let mut pieces = Vec::new();
    let mut of_line: BTreeMap<usize, u32> = BTreeMap::new();
    for part in open {
        match part {
            Part::Rail {
                frame_idx, side, ..
            } => {
                let frame = &job.frames[frame_idx];
                let sizes = job.frame_sizes(frame_idx);
                pieces.push(Piece {
                    name: unique(&mut names, part_label(job, part)),
                    length: sizes.rail(side).long_point,
                    quantity: 1,
                    ends: match sizes.n_sides() {
                        4 => Ends::Miter,
                        sides => Ends::Corner { sides },
                    },
                    moulding_idx: Some(frame.moulding_idx),
                    material: None,
                    thickness: None,
                    width: None,
                    is_spare: false,
                });
            }
            Part::Loose { piece_idx, .. } => *of_line.entry(piece_idx).or_default() += 1,
        }
    }
    pieces.extend(of_line.into_iter().map(|(piece_idx, quantity)| Piece {
        quantity,
        ..job.pieces[piece_idx].clone()
    }));
    pieces
}

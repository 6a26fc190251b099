//! How the rack of a job differs from the one that a plan file has, piece by piece.

use std::collections::BTreeMap;
use std::fmt;

use crate::diag::quoted;
use crate::job::Job;
use crate::replan::Bench;
use crate::stock::Board;
use crate::tally::{rack_added, rack_left};

/// How the rack of a job has changed since its plan was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RackChange {
    /// What the plan takes is off it and what it leaves is on it, as `stow` does.
    Stowed {
        /// A piece that `stow` has put there.
        piece: Option<String>,
        /// How it differs besides from what `stow` leaves, where that is known.
        besides: Vec<OtherPiece>,
    },
    /// It differs, but not as `stow` would change it.
    Otherwise(Vec<OtherPiece>),
}

impl fmt::Display for RackChange {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (lead, pieces) = match self {
            RackChange::Stowed { piece, besides } => {
                match piece {
                    Some(piece) => write!(
                        out,
                        "the rack has changed: the job has put {} on it, as `stow` does",
                        quoted(piece)
                    )?,
                    None => write!(
                        out,
                        "the rack has changed: what the plan takes is off it, as `stow` does"
                    )?,
                }
                ("; and it was changed besides", besides)
            }
            RackChange::Otherwise(pieces) => {
                write!(
                    out,
                    "the rack has changed since: it is not what the file has under `sources`"
                )?;
                ("", pieces)
            }
        };
        if pieces.is_empty() {
            return Ok(());
        }
        write!(out, "{lead}: {}", other_words(pieces))
    }
}

/// How the rack of `now` differs from that of `carried`, of which `bench` is the plan where the file holds one.
pub(super) fn rack_change(carried: &Job, bench: Option<&Bench>, now: &Job) -> RackChange {
    let other = other_pieces(&carried.boards, &now.boards);
    let left = now.left_by_itself(carried).map(str::to_owned);
    let Some(bench) = bench else {
        return match left {
            Some(_) => RackChange::Stowed {
                piece: left,
                besides: Vec::new(),
            },
            None => RackChange::Otherwise(other),
        };
    };
    let after = rack_after(bench);
    let besides = other_pieces(&after, &now.boards);
    // What `stow` puts there has the name that it gives.
    let piece = left.filter(|left| after.iter().any(|board| board.name == *left));
    // All that the plan takes is off it.
    let is_taken = || {
        let mut there = besides.iter().filter(|one| one.how != Otherwise::Gone);
        !other.is_empty()
            && there.all(|one| carried.boards.iter().all(|board| board.name != one.name))
    };
    if piece.is_some() || is_taken() {
        RackChange::Stowed { piece, besides }
    } else {
        RackChange::Otherwise(other)
    }
}

/// A board of the rack that is not as it was.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OtherPiece {
    /// What it is called.
    pub name: String,
    /// How it is not.
    pub how: Otherwise,
}

/// How a board of the rack is not as it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Otherwise {
    /// It was not there.
    New,
    /// It is not there any more.
    Gone,
    /// It has another size, number, wood, defect, value, price or day.
    Unlike,
}

/// More pieces of a rack than this are counted, not named.
const MOST_PIECES: usize = 6;

/// The pieces with what became of them, in one line.
fn other_words(other: &[OtherPiece]) -> String {
    let told = other.iter().take(MOST_PIECES).map(|piece| {
        let how = match piece.how {
            Otherwise::New => "is new",
            Otherwise::Gone => "is gone",
            Otherwise::Unlike => "is another",
        };
        format!("{} {how}", quoted(&piece.name))
    });
    let more = other.len().saturating_sub(MOST_PIECES);
    let more = (more > 0).then(|| format!("and {more} more"));
    told.chain(more).collect::<Vec<_>>().join(", ")
}

/// The boards of the rack once all is cut that a bench tells of, as `stow` leaves them.
fn rack_after(bench: &Bench) -> Vec<Board> {
    let plan = bench.whole_plan();
    let added = rack_added(&plan).into_iter().map(|new| new.board);
    rack_left(&plan).into_iter().chain(added).collect()
}

/// How the boards of a rack differ from those that were there before, by their names.
fn other_pieces(before: &[Board], now: &[Board]) -> Vec<OtherPiece> {
    let on_rack = |boards: &[Board]| -> BTreeMap<String, Board> {
        let boards = boards.iter().filter(|board| board.is_from_rack());
        boards
            .map(|board| (board.name.clone(), board.clone()))
            .collect()
    };
    let (before, now) = (on_rack(before), on_rack(now));
    // Board and job that a piece comes from are told in words, which a table may shorten.
    let kept_of = |board: &Board| {
        let in_hand = board.in_hand.as_ref();
        in_hand.map(|in_hand| (in_hand.value, in_hand.paid, in_hand.since))
    };
    let is_like = |one: &Board, other: &Board| {
        one.length == other.length
            && one.quantity.unwrap_or(1) == other.quantity.unwrap_or(1)
            && (&one.material, one.thickness, one.width)
                == (&other.material, other.thickness, other.width)
            && one.defects == other.defects
            && one.milled_to() == other.milled_to()
            && kept_of(one) == kept_of(other)
    };
    let new = now.iter().filter_map(|(name, board)| {
        let how = match before.get(name) {
            None => Otherwise::New,
            Some(was) if is_like(was, board) => return None,
            Some(_) => Otherwise::Unlike,
        };
        Some((name, how))
    });
    let gone = before.keys().filter(|name| !now.contains_key(*name));
    let gone = gone.map(|name| (name, Otherwise::Gone));
    let other = new.chain(gone);
    other
        .map(|(name, how)| OtherPiece {
            name: name.clone(),
            how,
        })
        .collect()
}

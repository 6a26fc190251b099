//! How the rack of a job differs from the one that a plan file has, piece by piece.

use std::collections::BTreeMap;

use crate::diag::quoted;
use crate::replan::Bench;
use crate::stock::Board;
use crate::tally::{rack_added, rack_left};

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
    /// It has another size, number, wood or defect.
    Unlike,
}

/// More pieces of a rack than this are counted, not named.
const MOST_PIECES: usize = 6;

/// The pieces with what became of them, in one line.
pub(super) fn other_words(other: &[OtherPiece]) -> String {
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
pub(super) fn rack_after(bench: &Bench) -> Vec<Board> {
    let plan = bench.whole_plan();
    let added = rack_added(&plan).into_iter().map(|new| new.board);
    rack_left(&plan).into_iter().chain(added).collect()
}

/// How the boards of a rack differ from those that were there before, by their names.
pub(super) fn other_pieces(before: &[Board], now: &[Board]) -> Vec<OtherPiece> {
    let on_rack = |boards: &[Board]| -> BTreeMap<String, Board> {
        let boards = boards.iter().filter(|board| board.is_from_rack());
        boards
            .map(|board| (board.name.clone(), board.clone()))
            .collect()
    };
    let (before, now) = (on_rack(before), on_rack(now));
    let is_like = |one: &Board, other: &Board| {
        one.length == other.length
            && one.quantity.unwrap_or(1) == other.quantity.unwrap_or(1)
            && (&one.material, one.thickness, one.width)
                == (&other.material, other.thickness, other.width)
            && one.milled_to() == other.milled_to()
            && one.defects == other.defects
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

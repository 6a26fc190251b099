//! Names of what is left of boards, which go on from sheet to sheet as they are written on the wood.

use super::{Bench, Stick};
use crate::length::Length;
use crate::plan::{GivenNumber, GivenNumbers, LeftoverKind, Plan, numbered_leftovers};

/// A piece of a stick that goes back on the rack, with the number of its name.
#[derive(Clone, Copy, Debug)]
struct Named {
    stick: Stick,
    kind: LeftoverKind,
    from: Length,
    to: Length,
    number: u64,
}

/// What the sheets of a bench have named.
#[derive(Clone, Debug)]
pub(super) struct Names {
    /// What is left by the newest sheet.
    left: Vec<Named>,
    /// The highest number that any sheet has given.
    highest: u64,
}

impl Bench {
    /// What all sheets of the bench together have named.
    pub(super) fn names(&self) -> Names {
        if self.rounds.is_empty() {
            let plan = &self.sheets[0].plan;
            return Names::of(plan, 0, |board| Stick::Board { sheet: 0, board });
        }
        let (total, sticks) = self.total_on_sticks();
        let highest = total.plan.given_numbers.highest;
        Names::of(&total.plan, highest, |board| sticks[board])
    }

    /// The names as a plan must know them whose boards are these sticks, each a strip of it or all.
    pub(super) fn given_numbers(
        &self,
        names: &Names,
        sticks: impl Iterator<Item = (Stick, Option<usize>)>,
    ) -> GivenNumbers {
        let mut on_boards = Vec::new();
        for (board, (stick, strip)) in sticks.enumerate() {
            for named in names.left.iter().filter(|named| named.stick == stick) {
                let kind = match (strip, named.kind) {
                    (None, kind) => kind,
                    // A strip that is a board of its own has no other.
                    (Some(strip), LeftoverKind::End(of)) if of == strip => LeftoverKind::End(0),
                    (Some(_), _) => continue,
                };
                on_boards.push(named.on(board, Some(kind)));
            }
            let Some((from, _, piece)) = self.piece_of(stick) else {
                continue;
            };
            // What a piece of a board is called stays the name of what is left of it.
            let whole = LeftoverKind::Piece(piece);
            let of_whole = |named: &&Named| (named.stick, named.kind) == (from, whole);
            if let Some(named) = names.left.iter().find(of_whole) {
                on_boards.push(named.on(board, None));
            }
        }
        GivenNumbers {
            on_boards,
            highest: names.highest,
        }
    }
}

impl Names {
    fn of(plan: &Plan, highest: u64, stick: impl Fn(usize) -> Stick) -> Names {
        let left = numbered_leftovers(plan).into_iter();
        let left: Vec<Named> = left
            .map(|(number, left)| Named {
                stick: stick(left.board),
                kind: left.kind,
                from: left.from,
                to: left.to,
                number,
            })
            .collect();
        let highest = left
            .iter()
            .map(|named| named.number)
            .max()
            .max(Some(highest));
        Names {
            left,
            highest: highest.unwrap_or(0),
        }
    }
}

impl Named {
    fn on(&self, board: usize, kind: Option<LeftoverKind>) -> GivenNumber {
        GivenNumber {
            board,
            kind,
            from: self.from,
            to: self.to,
            number: self.number,
        }
    }
}

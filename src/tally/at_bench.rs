//! What a later sheet of a job is cut from, counted as what lies at the bench.

use std::collections::BTreeMap;

use crate::plan::Plan;

/// What a plan takes, each piece of wood counted once, however many strips of it are boards of the plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct AtBench {
    /// Boards that sheets before take.
    pub boards: u64,
    /// Strips of these, as far as they are boards of the plan by themselves.
    pub strips: u64,
    /// Rails in hand, and what was left of boards.
    pub pieces: u64,
    /// Pieces that no sheet before takes, from the rack or bought.
    pub on_rack: u64,
    /// Boards to buy.
    pub new: u64,
}

impl AtBench {
    /// Counts the boards of a plan.
    ///
    /// # Panics
    /// If the plan names a board that its job does not have.
    pub fn of(plan: &Plan) -> AtBench {
        let mut found = AtBench::default();
        let mut by_mark: BTreeMap<u32, u64> = BTreeMap::new();
        for planned in &plan.boards {
            let board = &plan.job.boards[planned.board_idx];
            let given = &board.given;
            if given.rail.is_some() || given.is_piece {
                found.pieces += 1;
            } else if let Some(mark) = given.mark {
                let strips = by_mark.entry(mark).or_default();
                *strips += u64::from(given.strip.is_some());
            } else if board.in_hand.is_some() {
                found.on_rack += 1;
            } else {
                found.new += 1;
            }
        }
        for strips in by_mark.into_values() {
            found.boards += 1;
            found.strips += strips;
        }
        found
    }

    /// Boards and pieces of wood in all.
    pub fn n_sticks(&self) -> u64 {
        self.boards + self.pieces + self.on_rack + self.new
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Length;
    use crate::report::samples::{lay, plan_of};
    use crate::samples;
    use crate::stock::{Board, Given, InHand};

    #[test]
    fn strips_of_one_board_are_one_board() {
        let board = |mark, strip, is_piece, is_in_hand: bool| Board {
            given: Given {
                mark,
                strip,
                is_piece,
                ..Given::default()
            },
            in_hand: is_in_hand.then(InHand::default),
            ..samples::board("oak", Length::FOOT * 8, None)
        };
        // Two strips of A, all of B, an edge of A with a mark of its own, one from the rack, one new.
        let boards = vec![
            board(Some(0), Some(1), false, true),
            board(Some(0), Some(2), false, true),
            board(Some(1), None, false, true),
            board(Some(2), None, true, true),
            board(None, None, false, true),
            board(None, None, false, false),
        ];
        let job = samples::empty_job().with_boards(boards);
        let taken = (0..6).map(|board_idx| lay(&job, board_idx, 1, 1, &[]));
        let plan = plan_of(&job, taken.collect(), Vec::new());
        let found = AtBench::of(&plan);
        assert_eq!(
            (
                found.boards,
                found.strips,
                found.pieces,
                found.on_rack,
                found.new
            ),
            (2, 2, 1, 1, 1)
        );
        assert_eq!(found.n_sticks(), 5);
    }
}

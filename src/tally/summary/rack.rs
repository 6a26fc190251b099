//! The rack before a job, what is taken from it and added to it, and what it is afterwards.

use crate::length::Length;
use crate::money::Money;
use crate::plan::Plan;
use crate::stock::{Board, board_cost};
use crate::tally::{NewPiece, rack_added, rack_left};

/// Pieces of the rack.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Pile {
    /// How many.
    pub count: u64,
    /// All of them end to end.
    pub length: Length,
    /// What taking all of them would count; pieces of which nothing was said count nothing.
    pub worth: Money,
}

/// The rack of a job that has one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rack {
    /// As it is before the job.
    pub before: Pile,
    /// What was bought for the job, at what was paid.
    pub bought: Pile,
    /// What the plan takes.
    pub taken: Pile,
    /// What the plan puts there: offcuts long enough to keep.
    pub added: Pile,
    /// As it is afterwards: what was there and what was bought, less what is taken, and what is added.
    pub after: Pile,
}

impl Rack {
    /// Counts up the rack of a plan; `None` where the job has no rack.
    pub(super) fn of(plan: &Plan) -> Option<Rack> {
        let job = &plan.job;
        let pieces = || job.boards.iter().filter(|board| board.in_hand.is_some());
        pieces().next()?;
        let before = Pile::of(pieces().filter(|board| !board.is_bought()));
        let bought = Pile::of(pieces().filter(|board| board.is_bought()));
        let left = rack_left(plan);
        let added: Vec<Board> = rack_added(plan)
            .into_iter()
            .map(|NewPiece { board, .. }| board)
            .collect();
        let taken = plan
            .boards
            .iter()
            .map(|planned| &job.boards[planned.board_idx])
            .filter(|board| board.in_hand.is_some())
            .map(|board| Board {
                quantity: Some(1),
                ..board.clone()
            });
        Some(Rack {
            before,
            bought,
            taken: Pile::of(&taken.collect::<Vec<_>>()),
            added: Pile::of(&added),
            after: Pile::of(left.iter().chain(&added)),
        })
    }
}

impl Pile {
    fn of<'a>(boards: impl IntoIterator<Item = &'a Board>) -> Pile {
        let mut pile = Pile::default();
        for board in boards {
            let count = board.quantity.unwrap_or(1);
            let cost = board_cost(board).expect("load works out every value");
            pile.count += u64::from(count);
            pile.length += board.length * i64::from(count);
            pile.worth += cost.unwrap_or(Money::ZERO) * i64::from(count);
        }
        pile
    }
}

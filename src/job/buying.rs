//! What one wants to know before the boards are bought, and in which way they are.

use std::collections::BTreeSet;

use super::Purchase;
use crate::length::Length;
use crate::money::Money;
use crate::stock::{AtYard, Board, YardPlaces, board_cost};

/// Limits on buying, the ways of buying that a job's file states beside the boards, and the one that is gone.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Buying {
    /// The longest board that the vehicle takes; `None` where nothing was said. What is in hand is at home already.
    pub longest: Option<Length>,
    /// The way of buying that the job's boards are limited to; `None` for the best mix of all of them.
    pub gone: Option<GoneWay>,
    /// How the yard cuts boards that the vehicle does not take; `None` where it does not.
    pub yard_cuts: Option<YardCuts>,
    /// What was bought already; with it nothing is on sale.
    pub purchase: Option<Purchase>,
    /// Ways of buying to be compared, in the order of the file; names are unique.
    pub ways: Vec<OwnWay>,
}

/// How the yard cuts boards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct YardCuts {
    /// Where.
    pub places: YardPlaces,
    /// What its saw takes.
    pub kerf: Length,
    /// What it charges for each cut.
    pub charge: Money,
}

/// Why a board cannot be cut at the yard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum YardFault {
    /// There are more ways to cut it than [`AtYard::MOST_WAYS`].
    TooManyWays,
    /// With the cuts it costs more than the limit.
    TooDear,
}

impl Buying {
    /// How the yard cuts a board of the job; `None` where the vehicle takes it, it is at home already, or no cuts make it
    /// short enough.
    ///
    /// # Errors
    /// [`YardFault`].
    pub fn at_yard(&self, board: &Board) -> Result<Option<AtYard>, YardFault> {
        let (Some(longest), Some(yard_cuts)) = (self.longest, &self.yard_cuts) else {
            return Ok(None);
        };
        if board.in_hand.is_some() || board.length <= longest {
            return Ok(None);
        }
        let at_yard = AtYard {
            longest,
            kerf: yard_cuts.kerf,
            charge: yard_cuts.charge,
            places: yard_cuts.places.clone(),
        };
        let n_ways = at_yard.ways(board.length).len();
        if n_ways > AtYard::MOST_WAYS {
            return Err(YardFault::TooManyWays);
        }
        let cut = Board {
            at_yard: Some(at_yard),
            ..board.clone()
        };
        if board_cost(board).is_ok() && board_cost(&cut).is_err() {
            return Err(YardFault::TooDear);
        }
        Ok(cut.at_yard.filter(|_| n_ways > 0))
    }
}

/// A way of buying that the user wrote down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnWay {
    /// The name used on every list.
    pub name: String,
    /// What may be bought.
    pub boards: OwnBoards,
}

/// The boards of a way of buying.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OwnBoards {
    /// Some of the job's own: indices into `Job::boards`, rising.
    Named(Vec<usize>),
    /// Another yard's list.
    Listed(Vec<Board>),
}

/// One way of buying.
///
/// Every way takes from the rack what serves, but the one without it; every way keeps to the quantities that the job
/// states and to what the vehicle takes, but the two that lift these limits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Way {
    /// Every board of the job, as many of each as the job says there are; cut at the yard, where the job allows it, what
    /// the vehicle does not take.
    BestMix,
    /// No more than so many lengths of each wood, the best ones.
    AtMost(usize),
    /// One wood in one length only; other woods as in the best mix.
    OneLength {
        /// Which of the job's woods, from 0.
        wood_idx: usize,
        /// The length.
        length: Length,
    },
    /// As the best mix, but with no board cut at the yard.
    Uncut,
    /// As if the vehicle took boards of any length.
    AnyLength,
    /// As if there were enough of every board that is bought, but of those of a tally, which have no like.
    EnoughOfAll,
    /// All boards bought, none from the rack.
    WithoutRack,
    /// One that the job's file lists: an index into [`Buying::ways`].
    Own(usize),
}

impl Way {
    /// Whether one can go it today: not where it lifts a limit.
    pub fn is_open(&self) -> bool {
        !matches!(self, Way::AnyLength | Way::EnoughOfAll)
    }
}

/// A way of buying with all that it takes to go it: [`Job::by_way`](super::Job::by_way) makes its job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GoneWay {
    /// The way.
    pub way: Way,
    /// The woods of which it takes some lengths only, in the order of the job: one for a single length, all for a few
    /// lengths, none for all other ways.
    pub woods: Vec<SomeLengths>,
}

/// A wood of which only some lengths are bought.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SomeLengths {
    /// All lines of the wood that must be bought: indices into `Job::boards`, rising.
    pub boards: Vec<usize>,
    /// The lengths that are taken.
    pub lengths: BTreeSet<Length>,
}

//! What one wants to know before the boards are bought, and in which way they are.

use std::collections::BTreeSet;

use super::Purchase;
use crate::length::Length;
use crate::money::Money;
use crate::stock::Board;

/// Limits on buying, the ways of buying that a job's file states beside the boards, and the one that is gone.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Buying {
    /// The longest board that the vehicle takes; `None` where nothing was said. What is in hand is at home already.
    pub longest: Option<Length>,
    /// The way of buying that the job's boards are limited to; `None` for the best mix of all of them.
    pub gone: Option<GoneWay>,
    /// What was bought already; with it nothing is on sale.
    pub purchase: Option<Purchase>,
    /// Ways of buying to be compared, in the order of the file; names are unique.
    pub ways: Vec<OwnWay>,
    /// Sizes and prices of sheets, of those whose size the file states, in its order.
    pub sheets: Vec<SheetStock>,
}

/// A sheet of mat board, glazing or backing as it is sold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetStock {
    /// The name frames refer to.
    pub name: String,
    /// Whether it is mat board, which is bought as one kind.
    pub is_mat: bool,
    /// One side.
    pub width: Length,
    /// The other side.
    pub height: Length,
    /// What one costs; `None` where no price was given.
    pub price: Option<Money>,
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
    /// Every board of the job, as many of each as the job says there are.
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

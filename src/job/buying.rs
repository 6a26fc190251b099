//! What one wants to know before the boards are bought.

use crate::length::Length;
use crate::money::Money;
use crate::stock::Board;

/// Limits and ways of buying that a job's file states beside the boards.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Buying {
    /// The longest board that the vehicle takes; `None` where nothing was said.
    pub longest: Option<Length>,
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

//! What one wants to know before the boards are bought.

use crate::length::Length;
use crate::stock::Board;

/// Limits and ways of buying that a job's file states beside the boards.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Buying {
    /// The longest board that the vehicle takes; `None` where nothing was said.
    pub longest: Option<Length>,
    /// Ways of buying to be compared, in the order of the file; names are unique.
    pub ways: Vec<OwnWay>,
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

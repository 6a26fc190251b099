//! Boards: what can be bought or taken from the rack, its usable length, its price and what can be cut from it.
//!
//! This module knows nothing of frames; what a moulding asks of a board is told to it as a [`Section`].

mod price;
mod suit;
mod usable;

pub use price::{BoardFeet, CostFault, board_cost, board_feet, surface_measure};
pub use suit::{Misfit, Section, folded_material, misfits, same_material, suits};
pub use usable::usable_length;

use crate::length::Length;
use crate::money::Money;

/// One line of the list of boards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Board {
    /// The name used on every list.
    pub name: String,
    /// The wood; `None` suits any moulding.
    pub material: Option<String>,
    /// Thickness; `None` suits any moulding.
    pub thickness: Option<Length>,
    /// Width; `None` suits any moulding.
    pub width: Option<Length>,
    /// Length from end to end, before trimming.
    pub length: Length,
    /// How many there are; `None` means as many as needed.
    pub quantity: Option<u32>,
    /// What one costs; `None` where no price was given.
    pub price: Option<Price>,
}

/// How a board's price was stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Price {
    /// For one board.
    Each(Money),
    /// For each `per` of its length.
    PerLength {
        /// Money for one `per`.
        money: Money,
        /// The unit of length: a foot, a metre.
        per: Length,
    },
    /// For one board foot (144 cubic inches, nominal).
    PerBoardFoot(Money),
}

//! Boards: what can be bought or taken from the rack, its usable length, its price and what can be cut from it.
//!
//! This module knows nothing of frames; what a moulding asks of a board is told to it as a [`Section`].

mod date;
mod defect;
mod nominal;
mod parting;
mod price;
mod rack;
mod resaw;
mod rip;
mod suit;
mod usable;
mod yard;

pub use date::{Age, Date};
pub use defect::{Across, Defect, Run, told_apart};
pub use nominal::{
    NominalSize, dressed_softwood, softwood_sizes, surfaced_hardwood, surfaced_quarters,
};
pub use parting::{Parting, Slices};
pub(crate) use price::greatest_common_divisor;
pub use price::{BoardFeet, CostFault, board_cost, board_feet, surface_measure};
pub use rack::{InHand, InHandRules, LONGEST_TRACE, Worth, share_of_price, title_on_rack};
pub use resaw::Resaw;
pub use rip::{Rip, Taking, taking};
pub use suit::{Misfit, Section, folded_material, misfits, same_material, suits};
pub use usable::usable_length;
pub use yard::{AtYard, YardPlaces};

use crate::length::Length;
use crate::money::Money;

/// One line of the list of boards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Board {
    /// The name used on every list.
    pub name: String,
    /// The wood; `None` suits any moulding.
    pub material: Option<String>,
    /// Thickness as it is; `None` suits any moulding.
    pub thickness: Option<Length>,
    /// Width as it is; `None` suits any moulding.
    pub width: Option<Length>,
    /// The size by which it is sold, where that is another.
    pub nominal: Option<NominalSize>,
    /// Length from end to end, before trimming.
    pub length: Length,
    /// How many there are; `None` means as many as needed.
    pub quantity: Option<u32>,
    /// What one costs, or of a piece in hand, what taking it costs the plan; `None` where nothing was said.
    pub price: Option<Price>,
    /// Set for a piece on the rack, which need not be bought.
    pub in_hand: Option<InHand>,
    /// Whether it is a board of a tally, which is told from others by its mark.
    pub is_tallied: bool,
    /// Stretches that no part may touch, in order from the near end, no two of them overlapping on one side.
    pub defects: Vec<Defect>,
    /// How the yard cuts it, so that the vehicle takes it; `None` of one that is not cut there.
    pub at_yard: Option<AtYard>,
    /// Numbers that an earlier plan of the same job has given.
    pub given: Given,
}

/// Numbers that an earlier plan has given already: what a later one numbers goes on from there, so that no number stands
/// for two things at the bench.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Given {
    /// To boards of this line.
    pub boards: u32,
    /// To cuts on this board, which the earlier plan names; 0 of a board that it does not use.
    pub cuts: u32,
    /// Chalk marks to boards of all lines.
    pub marks: u32,
    /// The chalk mark on this board, from 0; `None` of one that no earlier plan takes.
    pub mark: Option<u32>,
    /// Which strip of the board with that mark it is, from 1; `None` where that is no more than one strip.
    pub strip: Option<u32>,
    /// Set for a rail that was cut before and is in hand: its ends are cut already, so that the trims of the board stand for
    /// no wood, and are gone; by so much its other edge may be shorter at each end.
    pub rail: Option<Length>,
    /// Set for a strip of a board that an earlier sheet parts, be it the only one: it is neither ripped nor resawn again.
    pub is_strip: bool,
    /// Set for what was left of a board that an earlier sheet takes: its wood came with that.
    pub is_piece: bool,
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
        /// The unit of length: a foot, a meter.
        per: Length,
    },
    /// For one board foot (144 cubic inches, nominal).
    PerBoardFoot {
        /// Money for one board foot.
        money: Money,
        /// How the board feet are counted.
        measure: BoardMeasure,
    },
    /// For a square meter of its face.
    PerSquareMeter(Money),
    /// For a cubic meter of its wood, as sawmills sell it.
    PerCubicMeter(Money),
}

/// How the board feet of a board are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoardMeasure {
    /// Exactly.
    Exact,
    /// By its surface measure, a whole number of square feet, times its thickness; so hardwood bundles are tallied.
    Surface,
}

impl Board {
    /// Its length as it lies there: of a rail in hand without the trims that it does not have.
    pub fn lying_length(&self) -> Length {
        if self.given.rail.is_none() {
            return self.length;
        }
        let gone = |at: &dyn Fn(&Run) -> bool| {
            let found = self.gone().find(|run| at(run));
            found.map_or(Length::ZERO, |(from, to)| to - from)
        };
        let near = gone(&|&(from, _)| from == Length::ZERO);
        self.length - near - gone(&|&(_, to)| to == self.length)
    }

    /// How long it is on a rack: of a rail in hand its shorter edge, as its ends may be wanted square.
    pub fn length_on_rack(&self) -> Length {
        let slant = self.given.rail.unwrap_or(Length::ZERO);
        self.lying_length() - slant * 2
    }

    /// The stretches of it that are not there, as something was cut from them before.
    pub fn gone(&self) -> impl Iterator<Item = Run> {
        let gone = self.defects.iter();
        gone.filter(|defect| defect.across == Across::Gone)
            .map(|defect| (defect.from, defect.to))
    }

    /// Whether it comes from an earlier plan of the job, as a board or a strip with a mark, a rail that is cut again, or a piece.
    pub fn is_at_bench(&self) -> bool {
        self.given.mark.is_some() || self.given.rail.is_some() || self.given.is_piece
    }

    /// The thickness by which it is sold.
    pub fn sold_thickness(&self) -> Option<Length> {
        self.nominal.map(|size| size.thickness).or(self.thickness)
    }

    /// The profile to which it is milled already; `None` of plain wood, which may be milled to any.
    pub fn milled_to(&self) -> Option<&str> {
        self.in_hand.as_ref()?.moulding.as_deref()
    }

    /// The width by which it is sold.
    pub fn sold_width(&self) -> Option<Length> {
        self.nominal.and_then(|size| size.width).or(self.width)
    }
}

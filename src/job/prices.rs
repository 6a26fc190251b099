//! What a shop asks for its work: the rules by which costs become a price.

use crate::frame::Moulding;
use crate::length::Length;
use crate::money::{Money, Percent};

/// The rules of a price; what is left out is not charged, and not shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PriceRules {
    /// What the work costs.
    pub labor: Labor,
    /// What is spoiled, on top of what wood and sheets cost.
    pub waste: Option<Percent>,
    /// What the shop costs whether it works or not, on top of all other costs.
    pub overhead: Option<Percent>,
    /// What is added to costs.
    pub markup: Markup,
    /// To which prices a price is raised.
    pub rounding: Option<RoundPrice>,
    /// What is taken off a large order.
    pub discount: Option<Discount>,
    /// The tax on the sale.
    pub tax: Option<Tax>,
    /// What is paid before the work begins, of all that is to be paid.
    pub deposit: Option<Percent>,
}

/// What the work on one frame costs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Labor {
    /// What an hour costs; there is one where any work is told by its time.
    pub hour: Option<Money>,
    /// For a picture with its frame, whatever its size; frames inside of it are not counted again.
    pub frame: Option<Work>,
    /// For each corner that is joined, those of frames inside too.
    pub corner: Option<Work>,
    /// For each window that is cut into a mat board.
    pub window: Option<Work>,
    /// For each square foot of glazing.
    pub square_foot: Option<Work>,
    /// For each square meter of glazing.
    pub square_meter: Option<Work>,
}

/// What some work comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Work {
    /// An amount.
    Money(Money),
    /// A time in seconds, paid by the hour.
    Seconds(u32),
}

/// What a cost is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CostKind {
    /// Boards.
    Wood,
    /// Mat boards.
    Mats,
    /// Glass and acrylic.
    Glazing,
    /// What lies behind the art.
    Backing,
    /// Hangers, wire and so on.
    Hardware,
    /// Work.
    Labor,
    /// What is spoiled.
    Waste,
    /// What the shop costs anyway.
    Overhead,
}

impl CostKind {
    /// All kinds, in the order in which they are told; those up to labor may have a markup of their own.
    pub const ALL: [CostKind; 8] = [
        CostKind::Wood,
        CostKind::Mats,
        CostKind::Glazing,
        CostKind::Backing,
        CostKind::Hardware,
        CostKind::Labor,
        CostKind::Waste,
        CostKind::Overhead,
    ];

    /// How many kinds may have a markup of their own: all but waste and overhead.
    pub const N_MARKED: usize = 6;
}

/// What is added to costs, by their kind.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Markup {
    /// On all that has none of its own.
    pub usual: Option<Percent>,
    /// `own[k]`: on the kind `CostKind::ALL[k]`.
    pub own: [Option<Percent>; CostKind::N_MARKED],
}

impl Markup {
    /// What is added to costs of a kind.
    pub fn on(&self, kind: CostKind) -> Percent {
        let own = self.own.get(kind as usize).copied().flatten();
        own.or(self.usual).unwrap_or(Percent::ZERO)
    }

    /// Whether anything is said of it.
    pub fn is_said(&self) -> bool {
        self.usual.is_some() || self.own.iter().any(Option::is_some)
    }
}

/// The prices that a shop likes: `ending`, and so many `step`s more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RoundPrice {
    /// From one of them to the next, more than nothing.
    pub step: Money,
    /// The lowest of them, less than a step.
    pub ending: Money,
}

/// What is taken off where so many frames and pieces are ordered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Discount {
    /// From how many on, all lines together.
    pub from: u32,
    /// How much, up to all of it.
    pub share: Percent,
}

/// A price that somebody asks or means to ask, from a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AskedPrice {
    /// Of what.
    pub of: AskedOf,
    /// For one, as the customer reads it.
    pub price: Money,
}

/// What a row of a price list is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AskedOf {
    /// The frame or piece of this name.
    Name(String),
    /// All frames round rectangular art of a size.
    Size(AskedSize),
}

/// Frames round rectangular art of one size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AskedSize {
    /// Width of the art.
    pub width: Length,
    /// Height of the art.
    pub height: Length,
    /// The moulding, or its profile; `None` is any.
    pub moulding: Option<String>,
    /// Whether there is a mat; `None` is either.
    pub has_mat: Option<bool>,
}

impl AskedSize {
    /// Frames of any moulding, with a mat or without.
    pub const fn any(width: Length, height: Length) -> AskedSize {
        AskedSize {
            width,
            height,
            moulding: None,
            has_mat: None,
        }
    }

    /// Whether frames of a moulding, with a mat or without, are meant.
    pub fn is_of(&self, moulding: &Moulding, has_mat: bool) -> bool {
        let named = self.moulding.as_ref();
        named.is_none_or(|name| [&moulding.name, &moulding.profile].contains(&name))
            && self.has_mat.is_none_or(|own| own == has_mat)
    }
}

/// A tax on the sale.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tax {
    /// What it is called.
    pub name: String,
    /// How much, of the price without it.
    pub rate: Percent,
    /// Whether prices are told with it.
    pub is_included: bool,
}

//! What frames need besides wood and sheets, as it is sold: hangers, wire, keys, points and so on.

use super::Weight;
use crate::length::Length;
use crate::money::Money;

/// A kind of hardware that the job asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hardware {
    /// What it is called.
    pub name: String,
    /// What it is for, which says how it is counted.
    pub hardware_use: HardwareUse,
    /// How much is sold together.
    pub lot: Lot,
    /// Price of a lot; `None` where none is given.
    pub price: Option<Money>,
    /// What one of it is made to bear; `None` where nothing is said.
    pub bears: Option<Weight>,
    /// How many a frame gets, where the job says it: bumpers.
    pub each: Option<u32>,
    /// Width of the roll that a dust cover is cut from.
    pub roll_width: Option<Length>,
}

/// How much is sold together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lot {
    /// So many pieces.
    Count(u32),
    /// So long a stretch, from which pieces are cut.
    Length(Length),
}

/// What hardware is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HardwareUse {
    /// Keys across the corners.
    Keys,
    /// Splines in the corners.
    Splines,
    /// Hangers on the frame.
    Hangers,
    /// Wire between them.
    Wire,
    /// Hooks in the wall.
    Hooks,
    /// Cleats on the frame and the wall.
    Cleat,
    /// Bumpers between frame and wall.
    Bumpers,
    /// Paper behind the frame.
    DustCover,
    /// Tape on which that is glued.
    Tape,
    /// Points or brads that hold the package.
    Points,
    /// Strips of a spacer that is bought.
    Spacer,
}

impl HardwareUse {
    /// All of them.
    pub const ALL: [HardwareUse; 11] = [
        HardwareUse::Keys,
        HardwareUse::Splines,
        HardwareUse::Hangers,
        HardwareUse::Wire,
        HardwareUse::Hooks,
        HardwareUse::Cleat,
        HardwareUse::Bumpers,
        HardwareUse::DustCover,
        HardwareUse::Tape,
        HardwareUse::Points,
        HardwareUse::Spacer,
    ];

    /// The word for it in a job and in tables for scripts.
    pub const fn code(self) -> &'static str {
        match self {
            HardwareUse::Keys => "keys",
            HardwareUse::Splines => "splines",
            HardwareUse::Hangers => "hangers",
            HardwareUse::Wire => "wire",
            HardwareUse::Hooks => "hooks",
            HardwareUse::Cleat => "cleat",
            HardwareUse::Bumpers => "bumpers",
            HardwareUse::DustCover => "dust-cover",
            HardwareUse::Tape => "tape",
            HardwareUse::Points => "points",
            HardwareUse::Spacer => "spacer",
        }
    }

    /// Whether it is sold by length, and pieces are cut from it.
    pub fn is_by_length(self) -> bool {
        matches!(
            self,
            HardwareUse::Wire
                | HardwareUse::Cleat
                | HardwareUse::DustCover
                | HardwareUse::Tape
                | HardwareUse::Spacer
        )
    }

    /// Whether there may be several kinds, of which each frame takes one by what it must bear, or by name.
    pub fn is_chosen(self) -> bool {
        use HardwareUse::{Hangers, Hooks, Spacer, Wire};
        matches!(self, Hangers | Wire | Hooks | Spacer)
    }
}

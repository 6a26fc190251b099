//! Defects: stretches of a board that no part may touch, such as knots, checks and stain.

use crate::length::Length;

/// A stretch of a board that no part may touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Defect {
    /// Where it begins, measured from the near end of the untrimmed board.
    pub from: Length,
    /// Where it ends, beyond `from`.
    pub to: Length,
    /// How much of the board's width it takes.
    pub across: Across,
}

/// How much of a board's width a defect takes.
///
/// Left and right are those of someone who looks from the near end to the far one, the good face up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Across {
    /// All of it.
    Full,
    /// So much of it from the left edge; `None` takes half of it.
    Left(Option<Length>),
    /// So much of it from the right edge; `None` takes half of it.
    Right(Option<Length>),
}

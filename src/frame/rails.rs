//! Rabbet, sight and outside size of a frame, and the long and short point of each rail.
//!
//! With `P` the package, `a` the fit allowance per dimension, `F` the face width, `r` the lip and `b = F - r` the
//! width from the rabbet's wall to the back edge:
//!
//! | size | rabbet frame | tray, with gap `g` |
//! |---|---|---|
//! | rabbet | `P + a` | none |
//! | sight | `P + a - 2r` | `art + 2g` |
//! | outside = long points | `P + a + 2b` | `art + 2g + 2F` |
//! | short points | the sight size | the sight size |
//!
//! With a frame inside, `P`, or `art` of a tray, is the outside of that, and `a` its own play.
//!
//! # Source
//! The rule "opening + allowance + twice the width from rabbet wall to back edge" is published in *Fine Woodworking*
//! 275 (2019), tips.

use std::borrow::Cow;

use crate::frame::{Frame, Holding, Miter, Moulding, Outline, package};
use crate::length::Length;

impl Outline {
    /// The regular polygon with sides of a length.
    pub fn of_side(sides: u32, side: Length) -> Outline {
        let flats = None;
        Outline::Regular { sides, side, flats }
    }

    /// The regular polygon whose sides are so far from its center, twice: with an even number of them from the opposite ones.
    ///
    /// # Panics
    /// If there are fewer than 3 sides.
    pub fn of_flats(sides: u32, flats: Length) -> Outline {
        let side = Miter::Corner { sides }.run_along(flats);
        let flats = Some(flats);
        Outline::Regular { sides, side, flats }
    }

    /// Number of sides.
    pub fn n_sides(self) -> u32 {
        match self {
            Outline::Rectangle { .. } => 4,
            Outline::Regular { sides, .. } => sides,
        }
    }

    /// Length of a side, numbered from 0 as rails are: top, right, bottom, left, or running round a polygon.
    pub fn side(self, side_idx: u32) -> Length {
        match self {
            Outline::Rectangle { width, .. } if side_idx.is_multiple_of(2) => width,
            Outline::Rectangle { height, .. } => height,
            Outline::Regular { side, .. } => side,
        }
    }

    /// The miter that closes its corners.
    pub fn miter(self) -> Miter {
        Miter::Corner {
            sides: self.n_sides(),
        }
    }

    /// The outline whose opposite sides (or, of a polygon, whose sides from the center, twice) are `by` farther apart.
    ///
    /// A negative `by` shrinks it. Sides of polygons are rounded up to the nanometer.
    #[must_use]
    pub fn grown(self, by: Length) -> Outline {
        match self {
            Outline::Rectangle { width, height } => Outline::Rectangle {
                width: width + by,
                height: height + by,
            },
            // The distance from the center grows by by/2, and a side is twice that distance times the tangent.
            Outline::Regular { sides, side, flats } => match flats {
                Some(flats) => Outline::of_flats(sides, flats + by),
                None => Outline::of_side(sides, side + self.miter().run_along(by)),
            },
        }
    }
}

/// The sizes of a frame, from the inside out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FrameSizes {
    /// Wall to wall in the rabbet; `None` for a tray, which has no rabbet.
    pub rabbet: Option<Outline>,
    /// What is seen through the frame: the inside edge in front, and the rails' short points.
    pub sight: Outline,
    /// Over everything: the rails' long points.
    pub outside: Outline,
}

/// One rail's own sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rail {
    /// Length of the outer edge.
    pub long_point: Length,
    /// Length of the sight edge.
    pub short_point: Length,
}

impl FrameSizes {
    /// Number of rails.
    pub fn n_sides(&self) -> u32 {
        self.outside.n_sides()
    }

    /// The miter at every corner.
    pub fn miter(&self) -> Miter {
        self.outside.miter()
    }

    /// The rail on side `side_idx`, from 0: top, right, bottom, left, or running round a polygon.
    pub fn rail(&self, side_idx: u32) -> Rail {
        Rail {
            long_point: self.outside.side(side_idx),
            short_point: self.sight.side(side_idx),
        }
    }
}

/// Sizes `frame`, with `fit_allowance` of play of artwork and mat in their rabbet, in total per dimension.
///
/// All sides of a polygon are rounded up to the nanometer, so a package is never too large for its rabbet.
///
/// # Panics
/// If a polygon has fewer than 3 sides, or a moulding is none of `mouldings`.
pub fn frame_sizes(frame: &Frame, mouldings: &[Moulding], fit_allowance: Length) -> FrameSizes {
    let moulding = &mouldings[frame.moulding_idx];
    let package = package(frame, mouldings, fit_allowance);
    match frame.holding {
        Holding::Rabbet => sizes_round(package.size, package.play, moulding),
        Holding::Tray { gap } => FrameSizes {
            rabbet: None,
            sight: package.size.grown(gap * 2),
            outside: package.size.grown(gap * 2 + moulding.face_width * 2),
        },
    }
}

/// The sizes of a frame round a package with so much play.
pub(super) fn sizes_round(package: Outline, play: Length, moulding: &Moulding) -> FrameSizes {
    let wall_to_back = moulding.face_width - moulding.lip;
    FrameSizes {
        rabbet: Some(package.grown(play)),
        sight: package.grown(play - moulding.lip * 2),
        outside: package.grown(play + wall_to_back * 2),
    }
}

/// What side `side_idx` (from 0) of `outline` is called: `top`, `right`, `bottom`, `left`, or `side 1` and so on.
pub fn side_name(outline: Outline, side_idx: u32) -> Cow<'static, str> {
    match (outline, side_idx) {
        (Outline::Rectangle { .. }, 0) => "top".into(),
        (Outline::Rectangle { .. }, 1) => "right".into(),
        (Outline::Rectangle { .. }, 2) => "bottom".into(),
        (Outline::Rectangle { .. }, 3) => "left".into(),
        _ => format!("side {}", u64::from(side_idx) + 1).into(),
    }
}

#[cfg(test)]
mod tests;

//! Glue-up: what to measure across a frame, so that it is true, and how far off a difference tells it to be.

use crate::frame::{Outline, across_corners, across_flats};
use crate::job::Job;
use crate::length::{Length, Unit};

/// How far the diagonals of a picture frame may differ, 1/16 in or 1.5 mm: more is mended before the glue sets.
///
/// # Source
/// Common practice, no source. For a plywood panel of 4 by 8 ft it is 1/8 in: published, PS 1, as restated.
pub fn most_difference(unit: Unit) -> Length {
    if unit.is_imperial() {
        Length::from_nm(Length::INCH.nm() / 16)
    } else {
        Length::from_nm(Length::MILLIMETRE.nm() / 2 * 3)
    }
}

/// What to measure across a glued frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Across {
    /// From corner to opposite corner.
    Corners(Length),
    /// From a corner to the middle of the side opposite, of a polygon with an odd number of sides.
    CornerToSide(Length),
}

impl Across {
    /// The figure alone.
    pub fn length(self) -> Length {
        match self {
            Across::Corners(length) | Across::CornerToSide(length) => length,
        }
    }
}

/// What to measure across a frame of this outside size, to the nanometer.
///
/// Of a rectangle `sqrt(W² + H²)`; of a polygon of `n` sides `s` with `m = 180 / n` degrees `s / sin m` if `n` is even, else
/// `(s / sin m + s / tan m) / 2`, which is the circle through the corners and the one through the middles of the sides.
///
/// # Panics
/// If a size is negative or overflows, which that of a loaded job does not.
pub fn across(outside: Outline) -> Across {
    match outside {
        Outline::Rectangle { width, height } => {
            let square = |length: Length| {
                let nm = u128::from(length.nm().unsigned_abs());
                nm * nm
            };
            let root = (square(width) + square(height)).isqrt();
            let nm = i64::try_from(root).expect("lengths are capped when read");
            Across::Corners(Length::from_nm(nm))
        }
        Outline::Regular { sides, side, flats } => {
            let corners = across_corners(sides, side, flats);
            if sides.is_multiple_of(2) {
                Across::Corners(corners)
            } else {
                let both = corners + across_flats(sides, side, flats);
                Across::CornerToSide(Length::from_nm(both.nm() / 2))
            }
        }
    }
}

/// Length of the band or the tape that goes once round a frame, with what is needed to pull at it: the sum of all long points
/// and [`crate::job::Assembly::clamp_spare`].
pub fn clamp_length(job: &Job, outside: Outline) -> Length {
    let sides = (0..outside.n_sides()).map(|side| outside.side(side));
    sides.sum::<Length>() + job.assembly.clamp_spare
}

/// By how much the long side of a frame `W` by `H` leans if its diagonals differ by `q`: `q d / (2 S)` with the diagonal `d`
/// and the short side `S`, rounded up.
///
/// Derived for small `q`: the diagonals of a parallelogram that leans by an angle `a` differ by `2 W H a / d`.
///
/// # Panics
/// If a side is zero.
pub fn out_of_square(width: Length, height: Length, difference: Length) -> Length {
    let diagonal = across(Outline::Rectangle { width, height }).length();
    let short = i128::from(width.min(height).nm());
    let product = i128::from(difference.nm()) * i128::from(diagonal.nm());
    let twice = 2 * short;
    let up = product / twice + i128::from(product % twice > 0);
    Length::from_nm(i64::try_from(up).expect("a lean is small"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::{inches, millimeters, rectangle};

    /// Asserts a length in ten-thousandths of an inch, to half of the last place.
    fn assert_inches(length: Length, ten_thousandths: i64) {
        let off = (length.nm() - 2_540 * ten_thousandths).abs();
        assert!(off <= 1_270, "{length:?} is not {ten_thousandths}e-4 in");
    }

    #[test]
    fn diagonals_agree_with_the_tables() {
        // Derived: 18, 24, 30 is 3, 4, 5; 20 x 24 is 31.2410 in.
        assert_eq!(across(rectangle(18, 24)), Across::Corners(inches(30)));
        assert_inches(across(rectangle(20, 24)).length(), 312_410);
        // Published: W. Noyes, Handwork in Wood (1910), brace measure: a square of 54 has 76.37.
        assert_inches(across(rectangle(54, 54)).length(), 763_675);
    }

    #[test]
    fn polygons_are_measured_over_corners() {
        let polygon = |sides| Outline::of_side(sides, inches(10));
        // Derived: 2 s for a hexagon, s sqrt 2 for four sides, 2.6131 s for an octagon.
        assert_eq!(across(polygon(6)), Across::Corners(inches(20)));
        assert_inches(across(polygon(4)).length(), 141_421);
        assert_inches(across(polygon(8)).length(), 261_313);
        // Derived: a triangle's height is s sqrt 3 / 2; a pentagon's s sqrt(5 + 2 sqrt 5) / 2 = 1.5388 s.
        assert!(matches!(across(polygon(3)), Across::CornerToSide(_)));
        assert_inches(across(polygon(3)).length(), 86_603);
        assert_inches(across(polygon(5)).length(), 153_884);
    }

    #[test]
    fn a_band_goes_once_round_and_a_foot_beyond() {
        // Derived: 2 (20 + 24) + 12 = 100; a hexagon of 10: 60 + 12.
        let job = crate::samples::empty_job();
        assert_eq!(clamp_length(&job, rectangle(20, 24)), inches(100));
        assert_eq!(
            clamp_length(&job, Outline::of_side(6, inches(10))),
            inches(72)
        );
    }

    #[test]
    fn a_difference_of_diagonals_tells_how_far_a_frame_leans() {
        // Derived: 20 x 24 in, 1/16 in off leans 0.0488 in over 24; 500 x 700 mm, 2 mm: 0.141 degrees, 1.7205 mm over 700.
        let lean = out_of_square(inches(20), inches(24), most_difference(Unit::Inch));
        assert_inches(lean, 488);
        let lean = out_of_square(millimeters(700), millimeters(500), millimeters(2));
        assert!((lean.nm() - 1_720_465).abs() < 1_000, "{lean:?}");
    }
}

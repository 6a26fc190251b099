//! The rectangle that an outline is cut from.

use super::{Miter, Outline};
use crate::length::Length;

/// Across the sides of a regular polygon, from its center twice: from its flats where they are known, else from its side, rounded
/// up.
pub fn across_flats(sides: u32, side: Length, flats: Option<Length>) -> Length {
    flats.unwrap_or_else(|| Miter::Corner { sides }.over_tangent(side))
}

/// Across its corners, likewise.
pub fn across_corners(sides: u32, side: Length, flats: Option<Length>) -> Length {
    let corner = Miter::Corner { sides };
    match flats {
        Some(flats) => corner.kerf_along(flats),
        None => corner.over_sine(side),
    }
}

/// Width and height of the rectangle from which an outline is cut: of a polygon the one that it fills with a side along an
/// edge, rounded up.
pub fn rectangle_round(outline: Outline) -> (Length, Length) {
    let (sides, side, flats) = match outline {
        Outline::Rectangle { width, height } => return (width, height),
        Outline::Regular { sides, side, flats } => (sides, side, flats),
    };
    let corner = Miter::Corner { sides };
    // Twice the way from the center to a side, and to a corner: a side is as long as the first times the tangent.
    let flats = flats.unwrap_or_else(|| {
        least(side * i64::from(sides), |width| {
            corner.run_along(width) >= side
        })
    });
    let corners = corner.kerf_along(flats);
    match sides % 4 {
        0 => (flats, flats),
        2 => (corners, flats),
        // From a side to the corner that faces it; across, the longest diagonal is the corners' circle less a hair.
        _ => {
            let half = Miter::Corner { sides: 2 * sides };
            let widest = least(corners, |width| half.kerf_along(width) >= corners);
            let height = Length::from_nm((flats + corners).nm().div_euclid(2) + 1);
            (widest, height)
        }
    }
}

/// The least length from zero to `most` that is enough; every longer one is too, and `most` counts as enough.
fn least(most: Length, is_enough: impl Fn(Length) -> bool) -> Length {
    let (mut low, mut high) = (0, most.nm());
    while low < high {
        let middle = i64::midpoint(low, high);
        if is_enough(Length::from_nm(middle)) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    Length::from_nm(high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Derived from any table of regular polygons, per unit of side: triangle 1 x 0.866025; pentagon 1.618034 x 1.538842;
    /// hexagon 2 x 1.732051; octagon 2.414214 both ways.
    #[test]
    fn polygons_are_cut_from_the_rectangle_that_they_fill() {
        let side = Length::from_nm(1_000_000_000);
        for (sides, width, height) in [
            (3, 1_000_000_000, 866_025_404),
            (5, 1_618_033_989, 1_538_841_769),
            (6, 2_000_000_000, 1_732_050_808),
            (8, 2_414_213_562, 2_414_213_562),
        ] {
            let (own_width, own_height) = rectangle_round(Outline::of_side(sides, side));
            let is_near = |own: Length, nm: i64| (own.nm() - nm).abs() <= 4;
            assert!(
                is_near(own_width, width) && is_near(own_height, height),
                "{sides} sides: {own_width:?} x {own_height:?}"
            );
        }
        // Derived: an octagon of 21 3/4 in from side to side is as wide as it is high.
        let flats = Length::INCH * 21 + Length::from_nm(19_050_000);
        let octagon = Outline::of_flats(8, flats);
        assert_eq!(rectangle_round(octagon), (flats, flats));
        // Through mat, play and face, step by step, nothing is added but what is said: 21 3/4 + 5 - 1/4 + 1/8 + 3 = 29 5/8.
        let in8 = |eighths: i64| Length::from_nm(3_175_000 * eighths);
        let steps = [in8(40), in8(-2), in8(1), in8(24)];
        let outside = steps.into_iter().fold(octagon, Outline::grown);
        assert_eq!(rectangle_round(outside), (in8(237), in8(237)));
        assert_eq!(outside, Outline::of_flats(8, in8(237)));
    }
}

//! Sizes by which lumber is sold, and the smaller ones it really has.
//!
//! The tables are defaults only: where a user measures a board, the measured size wins.

use crate::length::Length;

/// The size by which a board is sold and its board feet are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NominalSize {
    /// Thickness.
    pub thickness: Length,
    /// Width; `None` where the board is sold by the width it has.
    pub width: Option<Length>,
}

/// A length in quarters of an inch.
const fn quarters(count: i64) -> Length {
    Length::from_nm(6_350_000 * count)
}

/// A length in sixteenths of an inch.
const fn sixteenths(count: i64) -> Length {
    Length::from_nm(1_587_500 * count)
}

/// Nominal and dressed thickness of softwood, dry.
///
/// # Source
/// American Softwood Lumber Standard PS 20, from memory.
const SOFTWOOD_THICKNESSES: [(i64, Length); 2] = [(1, quarters(3)), (2, quarters(6))];

/// Nominal and dressed width of softwood, dry.
///
/// # Source
/// As [`SOFTWOOD_THICKNESSES`].
const SOFTWOOD_WIDTHS: [(i64, Length); 7] = [
    (2, quarters(6)),
    (3, quarters(10)),
    (4, quarters(14)),
    (6, quarters(22)),
    (8, quarters(29)),
    (10, quarters(37)),
    (12, quarters(45)),
];

/// Quarters of an inch in the rough, and the thickness when both faces are surfaced, of hardwood.
///
/// # Source
/// From memory; no standard was seen.
const SURFACED: [(i64, Length); 4] = [
    (4, sixteenths(13)),
    (5, sixteenths(17)),
    (6, sixteenths(21)),
    (8, sixteenths(28)),
];

/// Nominal thicknesses and widths of softwood that are known, in whole inches.
pub fn softwood_sizes() -> (impl Iterator<Item = i64>, impl Iterator<Item = i64>) {
    (
        SOFTWOOD_THICKNESSES.iter().map(|&(inches, _)| inches),
        SOFTWOOD_WIDTHS.iter().map(|&(inches, _)| inches),
    )
}

/// Quarters of an inch for which a surfaced thickness is known.
pub fn surfaced_quarters() -> impl Iterator<Item = i64> {
    SURFACED.iter().map(|&(quarters, _)| quarters)
}

/// Dressed thickness and width of softwood of a nominal size in whole inches; `None` where that is not in the table.
pub fn dressed_softwood(thickness_inches: i64, width_inches: i64) -> Option<(Length, Length)> {
    Some((
        look_up(&SOFTWOOD_THICKNESSES, thickness_inches)?,
        look_up(&SOFTWOOD_WIDTHS, width_inches)?,
    ))
}

/// Thickness of hardwood sawn to so many quarters of an inch and surfaced on two sides; `None` where that is not in
/// the table.
pub fn surfaced_hardwood(rough_quarters: i64) -> Option<Length> {
    look_up(&SURFACED, rough_quarters)
}

fn look_up(table: &[(i64, Length)], nominal: i64) -> Option<Length> {
    table
        .iter()
        .find(|&&(of, _)| of == nominal)
        .map(|&(_, real)| real)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::{Notation, Unit, parse};

    fn inches(text: &str) -> Length {
        let notation = Notation {
            unit: Unit::Inch,
            decimal_comma: false,
        };
        parse(text, notation).expect("a length")
    }

    #[test]
    fn dressed_softwood_is_as_the_standard_has_it() {
        // American Softwood Lumber Standard PS 20, dressed dry, from memory.
        for (width, dressed) in [
            (2, "1 1/2"),
            (3, "2 1/2"),
            (4, "3 1/2"),
            (6, "5 1/2"),
            (8, "7 1/4"),
            (10, "9 1/4"),
            (12, "11 1/4"),
        ] {
            let found = dressed_softwood(1, width);
            assert_eq!(found, Some((inches("3/4"), inches(dressed))), "1x{width}");
        }
        // From memory of the same standard.
        assert_eq!(
            dressed_softwood(2, 4),
            Some((inches("1 1/2"), inches("3 1/2")))
        );
        for (thickness, width) in [(1, 7), (3, 4), (0, 2), (1, 0)] {
            assert_eq!(dressed_softwood(thickness, width), None);
        }
    }

    #[test]
    fn surfaced_hardwood_is_as_two_tables_have_it() {
        // From memory; no standard was seen.
        for (quarters, surfaced) in [(4, "13/16"), (5, "1 1/16"), (6, "1 5/16"), (8, "1 3/4")] {
            assert_eq!(surfaced_hardwood(quarters), Some(inches(surfaced)));
        }
        assert_eq!(surfaced_hardwood(7), None);
    }
}

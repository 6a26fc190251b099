//! Lengths in whole nanometers: the only measure of length in the program.
//!
//! An inch is 25.4 mm exactly (NBS Circular 572 addendum, 1960), so 1/64 in is 396 875 nm and exact;
//! 1/128 in is not, and is refused when read.
//!
//! [`parse`] reads what people write; [`format()`], [`exact_text`] and [`exact_in_unit`] print it.

mod error;
mod format;
mod parse;

use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

pub use error::{LengthError, Part};
pub use format::{Rounding, exact_in_unit, exact_text, format, format_number};
pub use parse::{Notation, parse};

/// The unit in which bare numbers are read and lengths printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Inches.
    Inch,
    /// Feet; printed as feet and inches.
    Foot,
    /// Millimeters.
    Millimeter,
    /// Centimeters.
    Centimeter,
    /// Meters.
    Meter,
}

impl Unit {
    /// The length of one of it.
    pub const fn length(self) -> Length {
        match self {
            Unit::Inch => Length::INCH,
            Unit::Foot => Length::FOOT,
            Unit::Millimeter => Length::MILLIMETRE,
            Unit::Centimeter => Length(10_000_000),
            Unit::Meter => Length::METRE,
        }
    }

    /// Its short name, as printed after a number: `in`, `ft`, `mm`, `cm` or `m`.
    pub const fn symbol(self) -> &'static str {
        match self {
            Unit::Inch => "in",
            Unit::Foot => "ft",
            Unit::Millimeter => "mm",
            Unit::Centimeter => "cm",
            Unit::Meter => "m",
        }
    }

    /// The number that a length is in this unit, as it reads in another one: 29.7 mm as `29.7 cm`.
    pub fn misread(self, length: Length, other: Unit) -> String {
        let nm = i128::from(length.nm()) * i128::from(other.length().nm());
        let nm = nm / i128::from(self.length().nm());
        let read = i64::try_from(nm).map_or(Length::LONGEST, Length::from_nm);
        exact_text(read, other)
    }

    /// Whether it is the inch or the foot, whose parts are written as halves of halves.
    pub const fn is_imperial(self) -> bool {
        matches!(self, Unit::Inch | Unit::Foot)
    }
}

/// A length or a signed difference of lengths, in whole nanometers.
///
/// Arithmetic panics on overflow in every build; what is read from a file is at most
/// [`Length::LONGEST`], and a job holds so few pieces that their sum stays in range.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

impl Length {
    /// No length at all.
    pub const ZERO: Length = Length(0);
    /// The longest length a file may state: 10 km.
    /// The most parts that a job may have, each with the widest kerf, still sum below `i64::MAX` nanometers.
    pub const LONGEST: Length = Length(10_000_000_000_000);
    /// One inch.
    pub const INCH: Length = Length(25_400_000);
    /// One foot.
    pub const FOOT: Length = Length(304_800_000);
    /// One millimeter.
    pub const MILLIMETRE: Length = Length(1_000_000);
    /// One meter.
    pub const METRE: Length = Length(1_000_000_000);

    /// The length of `nm` nanometers.
    pub const fn from_nm(nm: i64) -> Length {
        Length(nm)
    }

    /// This length in nanometers.
    pub const fn nm(self) -> i64 {
        self.0
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(
            self.0
                .checked_add(other.0)
                .expect("lengths are capped when read, so sums fit"),
        )
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        *self = *self + other;
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(
            self.0
                .checked_sub(other.0)
                .expect("lengths are capped when read, so differences fit"),
        )
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Length) {
        *self = *self - other;
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length::ZERO - self
    }
}

impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, count: i64) -> Length {
        Length(
            self.0
                .checked_mul(count)
                .expect("lengths and counts are capped when read, so products fit"),
        )
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(lengths: I) -> Length {
        lengths.fold(Length::ZERO, |total, length| total + length)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_added_taken_away_and_multiplied() {
        let mut length = Length::FOOT;
        length += Length::INCH;
        length -= Length::INCH * 3;
        assert_eq!(length, Length::INCH * 10);
        assert_eq!(-length + Length::FOOT, Length::INCH * 2);
        let sum: Length = [Length::INCH, Length::FOOT, -Length::INCH]
            .into_iter()
            .sum();
        assert_eq!(sum, Length::FOOT);
    }
}

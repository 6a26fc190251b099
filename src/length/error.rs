//! What can be wrong with the text of a length; all its wording is here.

use std::fmt;

use super::{Length, Unit, exact_text};

/// The part of a length that was being read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// The number at the front.
    Number,
    /// Digits after a decimal mark.
    Decimals,
    /// A fraction after a whole number and a hyphen.
    Fraction,
    /// The number under the stroke of a fraction.
    Denominator,
    /// Inches that follow feet.
    Inches,
    /// The inch mark after inches that follow feet.
    InchMark,
    /// The unit after a number.
    Unit,
    /// The end of the text.
    End,
}

/// Why a text is not a length that can be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LengthError {
    /// Nothing but blanks.
    Empty,
    /// Infinity, or not a number.
    NotFinite,
    /// Less than zero.
    Negative,
    /// Longer than [`Length::LONGEST`].
    TooLong,
    /// Not a whole number of nanometers.
    NotExact {
        /// The nearest value below that can be written in the same manner.
        below: Length,
        /// The nearest value above.
        above: Length,
        /// The unit it was written in.
        unit: Unit,
    },
    /// Something else stands where a part should be; `found` is empty at the end of the text.
    Expected {
        /// The part.
        part: Part,
        /// The beginning of what stands there.
        found: String,
    },
    /// A word that is not a unit of length.
    UnknownUnit {
        /// The beginning of the word.
        word: String,
    },
    /// A comma between digits where only the point marks decimals.
    Comma,
    /// A fraction over zero.
    ZeroDenominator,
    /// A whole number followed by a fraction of one or more.
    ImproperFraction {
        /// The number over the stroke.
        numerator: u64,
        /// The number under it.
        denominator: u64,
    },
    /// A fraction of one or more that would be a usual one with a whole number before it, had a blank not been left out.
    RunTogether {
        /// The number over the stroke.
        numerator: u64,
        /// The number under it.
        denominator: u64,
    },
    /// A fraction with more digits than a rule has marks.
    LongFraction,
    /// Feet with decimals or a fraction, and inches after them.
    BrokenFeet,
}

impl fmt::Display for Part {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Part::Number => "a number",
            Part::Decimals => "digits after the decimal mark",
            Part::Fraction => "a fraction after the hyphen",
            Part::Denominator => "the denominator of a fraction",
            Part::Inches => "inches after the feet",
            Part::InchMark => "an inch mark",
            Part::Unit => "a unit",
            Part::End => "the end",
        })
    }
}

impl fmt::Display for LengthError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LengthError::Empty => out.write_str("no length is given"),
            LengthError::NotFinite => out.write_str("a length must be finite"),
            LengthError::Negative => out.write_str("a length must not be negative"),
            LengthError::TooLong => out.write_str("a length must not exceed 10 km"),
            LengthError::NotExact { .. } => out.write_str("it is not a whole number of nanometers"),
            LengthError::Expected { part, found } if found.is_empty() => {
                write!(out, "expected {part}, found nothing more")
            }
            LengthError::Expected { part, found } => {
                write!(out, "expected {part}, found `{found}`")
            }
            LengthError::UnknownUnit { word } => write!(out, "`{word}` is not a unit of length"),
            LengthError::Comma => out.write_str("there is a comma between digits"),
            LengthError::ZeroDenominator => out.write_str("a fraction is divided by zero"),
            LengthError::ImproperFraction {
                numerator,
                denominator,
            } => write!(
                out,
                "`{numerator}/{denominator}` after a whole number is not less than one"
            ),
            LengthError::RunTogether {
                numerator,
                denominator,
            } => {
                let (whole, rest) = (numerator / denominator, numerator % denominator);
                let other = whole_run_together(*numerator, *denominator);
                let (first, over) = other.unwrap_or((whole, rest));
                write!(
                    out,
                    "`{numerator}/{denominator}` may mean {first} {over}/{denominator}, or {whole}"
                )?;
                if rest > 0 {
                    write!(out, " {rest}/{denominator}")?;
                }
                Ok(())
            }
            LengthError::LongFraction => out.write_str("a fraction has too many digits"),
            LengthError::BrokenFeet => {
                out.write_str("feet with inches after them must be a whole number")
            }
        }
    }
}

impl std::error::Error for LengthError {}

/// The whole number and the numerator of a proper fraction that `numerator` would be with a blank in it, the whole number
/// as long as it can be; `None` where no blank makes a proper fraction, or the fraction is a proper one as it is.
///
/// ```text
/// 141/8 -> 14, 1    35/16 -> 3, 5    16/2 -> none    9/8 -> none
/// ```
pub(super) fn whole_run_together(numerator: u64, denominator: u64) -> Option<(u64, u64)> {
    if numerator < denominator {
        return None;
    }
    let mut parted = 10;
    while parted <= numerator {
        let (whole, over) = (numerator / parted, numerator % parted);
        // A numerator does not begin with zero.
        if over >= parted / 10 && 0 < over && over < denominator {
            return Some((whole, over));
        }
        parted = parted.checked_mul(10)?;
    }
    None
}

impl LengthError {
    /// A way out, where there is one worth saying.
    pub fn hint(&self) -> Option<String> {
        match self {
            LengthError::NotExact { below, above, unit } if *below == Length::ZERO => Some(format!(
                "the nearest exact length is `{}`",
                exact_text(*above, *unit)
            )),
            LengthError::NotExact { below, above, unit } => Some(format!(
                "the nearest exact lengths are `{}` and `{}`",
                exact_text(*below, *unit),
                exact_text(*above, *unit)
            )),
            LengthError::UnknownUnit { .. } => {
                Some("units are `in`, `ft`, `yd`, `mm`, `cm` and `m`".to_owned())
            }
            LengthError::RunTogether { .. } => Some(
                "write a blank or a hyphen after the whole number, such as `14 1/8` or `14-1/8`"
                    .to_owned(),
            ),
            LengthError::Comma => Some(
                "write decimals with a point; in a table, a comma marks decimals where `;` separates the fields"
                    .to_owned(),
            ),
            LengthError::Expected {
                part: Part::Number, ..
            } => Some("write a length such as `14 1/8`, `14.125` or `360 mm`".to_owned()),
            _ => None,
        }
    }
}

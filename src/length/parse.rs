//! Reading of lengths: text to whole nanometers, exactly or not at all.
//!
//! What is read, blanks between the parts being free:
//!
//! ```text
//! length   = [+|-] ( feet [[-] quantity [inch]] | quantity [unit] )
//! quantity = whole | decimal | [whole (blank|-)] fraction
//! ```
//!
//! A bare fraction of one or more is refused where a blank in its numerator would make another usual length of it, as in
//! `141/8`.
//!
//! A reader step takes one part off the front of the rest; all arithmetic is in whole numbers.

use super::error::whole_run_together;
use super::{Length, LengthError, Part, Unit};

/// More digits than this before the decimal mark are longer than [`Length::LONGEST`] in every unit.
/// It also keeps every product below in the range of `i128`.
const MOST_WHOLE_DIGITS: usize = 11;

/// Decimals beyond these cannot be exact, as no unit has more than 10^9 nanometers.
const MOST_DECIMALS: usize = 15;

/// How to read a text that leaves something open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Notation {
    /// The unit of a bare number.
    pub unit: Unit,
    /// Whether a comma marks decimals, besides the point.
    pub decimal_comma: bool,
}

/// The length that a text states.
///
/// The result is between zero and [`Length::LONGEST`]; whether zero will do is for the caller to say.
///
/// # Errors
/// [`LengthError`] if the text is no length, or not a whole number of nanometers, or out of range.
pub fn parse(text: &str, notation: Notation) -> Result<Length, LengthError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(LengthError::Empty);
    }
    let (negative, rest) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    if is_not_finite(rest) {
        return Err(LengthError::NotFinite);
    }
    let mut reader = Reader {
        rest: rest.trim_start(),
        decimal_comma: notation.decimal_comma,
    };
    let first = reader.quantity(Part::Number)?;
    let written = reader.unit()?;
    let mut feet = Length::ZERO;
    let mut quantity = first;
    let mut unit = written.map_or(notation.unit, |written| written.unit);
    if let Some(Written { times, .. }) = written {
        quantity.numerator *= times;
    }
    if written == Some(Written::one(Unit::Foot)) && !reader.rest.is_empty() {
        let whole_feet = first.whole().ok_or(LengthError::BrokenFeet)?;
        feet = whole_feet
            .checked_mul(Length::FOOT.nm())
            .map(Length::from_nm)
            .filter(|feet| *feet <= Length::LONGEST)
            .ok_or(LengthError::TooLong)?;
        unit = Unit::Inch;
        quantity = reader.inches()?;
    }
    if !reader.rest.is_empty() {
        return Err(reader.expected(Part::End));
    }
    if negative && (quantity.numerator > 0 || feet > Length::ZERO) {
        return Err(LengthError::Negative);
    }
    quantity.length(feet, unit)
}

/// Whether spreadsheets and TOML write a number that is none in this way.
fn is_not_finite(text: &str) -> bool {
    ["inf", "infinity", "nan", "\u{221e}"]
        .iter()
        .any(|word| text.eq_ignore_ascii_case(word))
}

/// A number as it was written: a quotient of whole numbers.
#[derive(Clone, Copy)]
struct Quantity {
    numerator: i128,
    denominator: i128,
    /// Written with a stroke, so that its neighbors are sixty-fourths rather than decimals.
    is_fraction: bool,
    /// Decimals were left off at the end, which were not all zero.
    is_cut: bool,
}

impl Quantity {
    /// The number, if it is a whole one of moderate size.
    fn whole(self) -> Option<i64> {
        if self.numerator % self.denominator == 0 && !self.is_cut {
            i64::try_from(self.numerator / self.denominator).ok()
        } else {
            None
        }
    }

    /// `feet` and this number of `unit`.
    fn length(self, feet: Length, unit: Unit) -> Result<Length, LengthError> {
        let scaled = self.numerator * i128::from(unit.length().nm());
        let to_length = |nm: i128| {
            i64::try_from(nm)
                .ok()
                .and_then(|nm| nm.checked_add(feet.nm()))
                .map(Length::from_nm)
                .filter(|length| *length <= Length::LONGEST)
                .ok_or(LengthError::TooLong)
        };
        let floor = to_length(scaled / self.denominator)?;
        if scaled % self.denominator == 0 && !self.is_cut {
            return Ok(floor);
        }
        // The finest steps that are exact in the same manner of writing.
        let grid = match (unit, self.is_fraction) {
            (Unit::Inch | Unit::Foot, true) => 396_875,
            (Unit::Inch, false) => 254,
            (Unit::Foot, false) => 3_048,
            (Unit::Millimeter | Unit::Centimeter | Unit::Meter, _) => 1,
        };
        let below = Length::from_nm(floor.nm() - floor.nm() % grid);
        Err(LengthError::NotExact {
            below,
            above: below + Length::from_nm(grid),
            unit,
        })
    }
}

/// A unit as it is written.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Written {
    unit: Unit,
    /// How many of it: a yard is three feet, 0.9144 m exactly (international yard and pound agreement of 1959).
    times: i128,
}

impl Written {
    fn one(unit: Unit) -> Written {
        Written { unit, times: 1 }
    }
}

/// What is still to be read.
struct Reader<'a> {
    rest: &'a str,
    decimal_comma: bool,
}

impl<'a> Reader<'a> {
    fn expected(&self, part: Part) -> LengthError {
        LengthError::Expected {
            part,
            found: beginning(self.rest),
        }
    }

    /// Takes a character off the front if it is one of these.
    fn take(&mut self, wanted: &[char]) -> bool {
        match self.rest.strip_prefix(wanted) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    fn skip_blanks(&mut self) {
        self.rest = self.rest.trim_start();
    }

    /// Takes the digits off the front, perhaps none.
    fn digits(&mut self) -> &'a str {
        let end = self
            .rest
            .find(|symbol: char| !symbol.is_ascii_digit())
            .unwrap_or(self.rest.len());
        let (digits, rest) = self.rest.split_at(end);
        self.rest = rest;
        digits
    }

    /// Takes a number: whole, decimal, fraction, or whole with a fraction.
    fn quantity(&mut self, part: Part) -> Result<Quantity, LengthError> {
        if let Some((numerator, denominator)) = self.single_sign_fraction() {
            return Ok(fraction(0, numerator, denominator));
        }
        let before = self.expected(part);
        let whole_text = self.digits();
        if whole_text.is_empty() && !self.rest.starts_with(['.', ',']) {
            return Err(before);
        }
        if self.take(&['/', '\u{2044}']) {
            let (numerator, denominator) = self.over(whole_text)?;
            if whole_run_together(numerator, denominator).is_some() {
                return Err(LengthError::RunTogether {
                    numerator,
                    denominator,
                });
            }
            return Ok(fraction(0, numerator, denominator));
        }
        if self.rest.starts_with(',') && !self.decimal_comma {
            return Err(if whole_text.is_empty() {
                before
            } else {
                LengthError::Comma
            });
        }
        let whole = whole_number(whole_text).ok_or(LengthError::TooLong)?;
        if self.take(&['.', ',']) {
            return self.decimals(whole);
        }
        match self.fraction_after_whole()? {
            Some((numerator, denominator)) if numerator >= denominator => {
                Err(LengthError::ImproperFraction {
                    numerator,
                    denominator,
                })
            }
            Some((numerator, denominator)) => Ok(fraction(whole, numerator, denominator)),
            None => Ok(fraction(whole, 0, 1)),
        }
    }

    /// Takes the digits after a decimal mark.
    fn decimals(&mut self, whole: u64) -> Result<Quantity, LengthError> {
        let before = self.expected(Part::Decimals);
        let digits = self.digits();
        if digits.is_empty() {
            return Err(before);
        }
        let digits = digits.trim_end_matches('0');
        let kept = digits.get(..MOST_DECIMALS).unwrap_or(digits);
        let mut numerator = i128::from(whole);
        let mut denominator = 1;
        for digit in kept.bytes() {
            numerator = numerator * 10 + i128::from(digit - b'0');
            denominator *= 10;
        }
        Ok(Quantity {
            numerator,
            denominator,
            is_fraction: false,
            is_cut: kept.len() < digits.len(),
        })
    }

    /// Takes a fraction that follows a whole number, parted from it by blanks, a hyphen, or nothing.
    fn fraction_after_whole(&mut self) -> Result<Option<(u64, u64)>, LengthError> {
        let before = self.rest;
        let hyphen = self.take(&['-', '\u{2013}']);
        if !hyphen {
            self.skip_blanks();
        }
        if let Some(found) = self.single_sign_fraction() {
            return Ok(Some(found));
        }
        let missing = self.expected(Part::Fraction);
        let numerator = self.digits();
        if !numerator.is_empty() && self.take(&['/', '\u{2044}']) {
            return self.over(numerator).map(Some);
        }
        if hyphen {
            return Err(missing);
        }
        self.rest = before;
        Ok(None)
    }

    /// Takes the denominator that follows a numerator and its stroke.
    fn over(&mut self, numerator: &str) -> Result<(u64, u64), LengthError> {
        let missing = self.expected(Part::Denominator);
        let digits = self.digits();
        if digits.is_empty() {
            return Err(missing);
        }
        let numerator = whole_number(numerator).ok_or(LengthError::LongFraction)?;
        match whole_number(digits) {
            None => Err(LengthError::LongFraction),
            Some(0) => Err(LengthError::ZeroDenominator),
            Some(denominator) => Ok((numerator, denominator)),
        }
    }

    /// Takes a fraction that is one typographic sign.
    fn single_sign_fraction(&mut self) -> Option<(u64, u64)> {
        let sign = self.rest.chars().next()?;
        let found = match sign {
            '½' => (1, 2),
            '⅓' => (1, 3),
            '⅔' => (2, 3),
            '¼' => (1, 4),
            '¾' => (3, 4),
            '⅕' => (1, 5),
            '⅖' => (2, 5),
            '⅗' => (3, 5),
            '⅘' => (4, 5),
            '⅙' => (1, 6),
            '⅚' => (5, 6),
            '⅐' => (1, 7),
            '⅛' => (1, 8),
            '⅜' => (3, 8),
            '⅝' => (5, 8),
            '⅞' => (7, 8),
            '⅑' => (1, 9),
            '⅒' => (1, 10),
            _ => return None,
        };
        self.rest = &self.rest[sign.len_utf8()..];
        Some(found)
    }

    /// Takes a unit and the blanks round it; `None` at the end of the text.
    fn unit(&mut self) -> Result<Option<Written>, LengthError> {
        self.skip_blanks();
        if self.rest.is_empty() {
            return Ok(None);
        }
        let unit = if let Some(rest) = self.rest.strip_prefix("''") {
            self.rest = rest;
            Written::one(Unit::Inch)
        } else if self.take(&['"', '\u{2033}', '\u{201d}']) {
            Written::one(Unit::Inch)
        } else if self.take(&['\'', '\u{2032}', '\u{2019}']) {
            Written::one(Unit::Foot)
        } else {
            self.unit_word()?
        };
        self.skip_blanks();
        Ok(Some(unit))
    }

    /// Takes a unit that is written as a word, with or without a point after it.
    fn unit_word(&mut self) -> Result<Written, LengthError> {
        let end = self
            .rest
            .find(|symbol: char| !symbol.is_alphabetic())
            .unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        if word.is_empty() {
            return Err(self.expected(Part::Unit));
        }
        let is_one_of = |names: &[&str]| names.iter().any(|name| word.eq_ignore_ascii_case(name));
        let mut times = 1;
        let unit = if is_one_of(&["in", "inch", "inches"]) {
            Unit::Inch
        } else if is_one_of(&["ft", "foot", "feet"]) {
            Unit::Foot
        } else if is_one_of(&["yd", "yds", "yard", "yards"]) {
            times = 3;
            Unit::Foot
        } else if is_one_of(&[
            "mm",
            "millimeter",
            "millimeters",
            "millimetre",
            "millimetres",
        ]) {
            Unit::Millimeter
        } else if is_one_of(&[
            "cm",
            "centimeter",
            "centimeters",
            "centimetre",
            "centimetres",
        ]) {
            Unit::Centimeter
        } else if is_one_of(&["m", "meter", "meters", "metre", "metres"]) {
            Unit::Meter
        } else {
            return Err(LengthError::UnknownUnit {
                word: beginning(word),
            });
        };
        self.rest = rest.strip_prefix('.').unwrap_or(rest);
        Ok(Written { unit, times })
    }

    /// Takes the inches that follow feet, with or without their mark.
    fn inches(&mut self) -> Result<Quantity, LengthError> {
        if self.take(&['-', '\u{2013}']) {
            self.skip_blanks();
        }
        let quantity = self.quantity(Part::Inches)?;
        self.skip_blanks();
        let before = self.expected(Part::InchMark);
        match self.unit()? {
            None
            | Some(Written {
                unit: Unit::Inch, ..
            }) => Ok(quantity),
            Some(_) => Err(before),
        }
    }
}

/// `whole + numerator / denominator`; `numerator` is zero where no fraction was written.
fn fraction(whole: u64, numerator: u64, denominator: u64) -> Quantity {
    Quantity {
        numerator: i128::from(whole) * i128::from(denominator) + i128::from(numerator),
        denominator: i128::from(denominator),
        is_fraction: denominator > 1,
        is_cut: false,
    }
}

/// The number that digits write, an empty one being zero; `None` if it has too many.
fn whole_number(digits: &str) -> Option<u64> {
    let digits = digits.trim_start_matches('0');
    if digits.len() > MOST_WHOLE_DIGITS {
        return None;
    }
    Some(
        digits
            .bytes()
            .fold(0, |number, digit| number * 10 + u64::from(digit - b'0')),
    )
}

/// The first word of a text, shortened, for an error message.
fn beginning(text: &str) -> String {
    text.split_whitespace()
        .next()
        .unwrap_or_default()
        .chars()
        .take(16)
        .collect()
}

#[cfg(test)]
mod tests;

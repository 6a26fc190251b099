//! Printing of lengths: rounded to a step in a stated direction, or exactly.

use super::{Length, Unit};

/// A sixty-fourth of an inch, the finest mark of a rule and the finest halving that is exact.
const SIXTY_FOURTH: i64 = 396_875;

/// Which way a printed length may differ from the true one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rounding {
    /// To the nearest step; halfway goes up.
    Nearest,
    /// To the step at or below: for what there is, such as a board or an offcut.
    Down,
    /// To the step at or above: for what is needed, such as a rail.
    Up,
}

impl Length {
    /// Whether printing at this step shows the true value.
    ///
    /// # Panics
    /// If `step` is not positive.
    pub fn is_exact_at(self, step: Length) -> bool {
        assert!(step > Length::ZERO, "a step of rounding is positive");
        self.0 % step.0 == 0
    }

    /// The multiple of `step` that lies nearest, at or below, or at or above.
    ///
    /// # Panics
    /// If `step` is not positive, or the rounded length leaves the range of [`Length`].
    #[must_use]
    pub fn rounded(self, step: Length, rounding: Rounding) -> Length {
        assert!(step > Length::ZERO, "a step of rounding is positive");
        let down = Length(self.0 - self.0.rem_euclid(step.0));
        let rest = self - down;
        let goes_up = match rounding {
            Rounding::Down => false,
            Rounding::Up => rest > Length::ZERO,
            Rounding::Nearest => rest >= step - rest,
        };
        if goes_up { down + step } else { down }
    }
}

/// The length rounded to `step` and written with its unit, such as `14 1/8 in` or `360.5 mm`.
///
/// Inches are written as reduced fractions, feet as `8 ft 2 1/2 in`, metric units with as many decimals as needed.
///
/// # Panics
/// If `step` is not positive.
pub fn format(length: Length, unit: Unit, step: Length, rounding: Rounding) -> String {
    exact_text(length.rounded(step, rounding), unit)
}

/// Like [`format()`], but without the unit, for a column whose header names it.
///
/// Feet keep their units, since two of them are needed.
///
/// # Panics
/// If `step` is not positive.
pub fn format_number(length: Length, unit: Unit, step: Length, rounding: Rounding) -> String {
    let text = format(length, unit, step, rounding);
    match unit {
        Unit::Foot => text,
        _ => match text.strip_suffix(unit.symbol()) {
            // `mm` ends in `m`: the blank before the unit tells whether it is the one that was asked for.
            Some(number) if number.ends_with(' ') => number.trim_end().to_owned(),
            _ => text,
        },
    }
}

/// The length exactly, with its unit, such that [`super::parse`] reads the same value.
///
/// Multiples of 1/64 in are written as fractions; other lengths as decimals; and where an inch has no
/// finite decimal for it (3.2 mm), in millimeters, which always have one.
pub fn exact_text(length: Length, unit: Unit) -> String {
    if unit.is_imperial() && length.0 % SIXTY_FOURTH == 0 {
        let sign = if length.0 < 0 { "-" } else { "" };
        let parts = length.0.unsigned_abs() / SIXTY_FOURTH.unsigned_abs();
        return match unit {
            Unit::Foot => format!("{sign}{}", feet_and_inches(parts)),
            _ => format!("{sign}{} in", inches(parts)),
        };
    }
    let (number, ends) = decimal(length, unit);
    if ends {
        return format!("{number} {}", unit.symbol());
    }
    let (number, _) = decimal(length, Unit::Millimeter);
    format!("{number} mm")
}

/// The length as an exact decimal number of the unit, without its name; `None` where it has no finite decimal.
///
/// Millimeters, centimeters and meters always have one; inches and feet do not.
pub fn exact_in_unit(length: Length, unit: Unit) -> Option<String> {
    let (number, ends) = decimal(length, unit);
    ends.then_some(number)
}

/// The length as a decimal number of the unit to nine places, and whether that is all of it.
///
/// Every unit divides 10^9 times 3 times 127 nanometers, so what has a finite decimal has one of at most nine places.
fn decimal(length: Length, unit: Unit) -> (String, bool) {
    let one = i128::from(unit.length().nm());
    let nm = i128::from(length.nm());
    let sign = if nm < 0 { "-" } else { "" };
    let mut text = format!("{sign}{}", nm.abs() / one);
    let mut rest = nm.abs() % one;
    if rest > 0 {
        text.push('.');
    }
    for _ in 0..9 {
        if rest == 0 {
            break;
        }
        rest *= 10;
        text.push_str(&(rest / one).to_string());
        rest %= one;
    }
    (text, rest == 0)
}

/// Inches out of sixty-fourths: whole, then a reduced fraction.
fn inches(parts: u64) -> String {
    let (whole, rest) = (parts / 64, parts % 64);
    if rest == 0 {
        return whole.to_string();
    }
    let halvings = rest.trailing_zeros();
    let fraction = format!("{}/{}", rest >> halvings, 64 >> halvings);
    if whole == 0 {
        fraction
    } else {
        format!("{whole} {fraction}")
    }
}

/// Feet and inches out of sixty-fourths of an inch.
fn feet_and_inches(parts: u64) -> String {
    let (feet, rest) = (parts / (12 * 64), parts % (12 * 64));
    match (feet, rest) {
        (0, _) => format!("{} in", inches(rest)),
        (_, 0) => format!("{feet} ft"),
        _ => format!("{feet} ft {} in", inches(rest)),
    }
}

#[cfg(test)]
mod tests;

//! Lengths, faces and weights as they are printed, in a document's unit and to its step.

use crate::job::Display;
use crate::length::{self, Length, Rounding, Unit};
use crate::report::document::Show;
use crate::tally::Weight;

/// What sums of metric lengths are rounded to.
const CENTIMETER: Length = Length::from_nm(10_000_000);

/// The finest mark of a rule in inches.
const SIXTY_FOURTH: Length = Length::from_nm(396_875);

/// What a setting in inches is rounded to where it has no end.
const THOUSANDTH: Length = Length::from_nm(25_400);

/// What a setting in metric units is rounded to where it has more decimals.
const HUNDREDTH: Length = Length::from_nm(10_000);

/// What rules of thumb in inches are rounded to.
const HALF_INCH: Length = Length::from_nm(12_700_000);

/// A blank at which no line ends.
const TIED: &str = "\u{a0}";

/// A length as it is printed: `21 5/8`, `~21 5/8` where rounding has changed it, `550.5`, with its unit where `show` asks
/// for that.
pub fn length_text(display: &Display, length: Length, show: Show) -> String {
    match show {
        Show::Needed => marked(display, length, Rounding::Up),
        Show::There => marked(display, length, Rounding::Down),
        Show::NeededWithUnit => with_unit(display, &marked(display, length, Rounding::Up)),
        Show::ThereWithUnit => with_unit(display, &marked(display, length, Rounding::Down)),
        Show::Place => number(display, length, Rounding::Nearest),
        Show::PlaceTo => number(display, length, Rounding::Up),
        Show::Exact => exact(display, length),
        Show::RoundFigure => round_figure(display, length),
        Show::Total => sum_there(display, length, display.step),
        Show::RoughThere => sum_there(display, length, Length::INCH),
    }
}

/// What the numbers of a table are: `inches`, say.
pub fn unit_words(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inches",
        Unit::Foot => "feet and inches",
        Unit::Millimeter => "millimeters",
        Unit::Centimeter => "centimeters",
        Unit::Meter => "meters",
    }
}

/// A face in square feet or square meters, rounded down to the hundredth.
pub fn face(display: &Display, face_nm2: i128) -> String {
    let (unit, name) = if display.unit.is_imperial() {
        (Length::FOOT, "sq ft")
    } else {
        (Length::METRE, "sq m")
    };
    let unit_nm2 = i128::from(unit.nm()) * i128::from(unit.nm());
    let hundredths = face_nm2 * 100 / unit_nm2;
    let mark = if hundredths * unit_nm2 == face_nm2 * 100 {
        ""
    } else {
        "~"
    };
    tie(&format!(
        "{mark}{}.{:02} {name}",
        hundredths / 100,
        hundredths % 100
    ))
}

/// A weight in pounds, or in kilograms, rounded up to the tenth.
pub fn weight(display: &Display, weight: Weight) -> String {
    let (tenths, unit) = if display.unit.is_imperial() {
        (weight.tenths_of_pounds(), "lb")
    } else {
        let grams = weight.grams();
        (grams / 100 + i128::from(grams % 100 > 0), "kg")
    };
    let number = match (tenths / 10, tenths % 10) {
        (whole, 0) => whole.to_string(),
        (whole, tenth) => format!("{whole}.{tenth}"),
    };
    format!("{number}{TIED}{unit}")
}

/// Rounded to the step, with `~` in front if that changed it.
fn marked(display: &Display, length: Length, rounding: Rounding) -> String {
    let number = number(display, length, rounding);
    if length.is_exact_at(display.step) {
        number
    } else {
        format!("~{number}")
    }
}

fn number(display: &Display, length: Length, rounding: Rounding) -> String {
    let number = length::format_number(length, display.unit, display.step, rounding);
    match display.unit {
        // Columns of feet and inches would be too wide in words.
        Unit::Foot => number.replace(" ft", "'").replace(" in", "\""),
        _ => number,
    }
}

/// A printed number with its unit, tied to it, for a sentence.
fn with_unit(display: &Display, number: &str) -> String {
    match display.unit {
        // Feet carry their units already.
        Unit::Foot => number.to_owned(),
        unit => format!("{number}{TIED}{}", unit.symbol()),
    }
}

/// A setting such as the kerf, exactly as the plan assumes it; where an inch has no finite decimal for it, to the nearest
/// thousandth, and where millimeters have more than two, to the nearest hundredth, with `~` in front.
fn exact(display: &Display, length: Length) -> String {
    let unit = unit_across(display);
    let (is_short, step) = if unit.is_imperial() {
        let is_fraction = length.is_exact_at(SIXTY_FOURTH);
        let is_decimal = length::exact_in_unit(length, unit).is_some();
        (is_fraction || is_decimal, THOUSANDTH)
    } else {
        (length.is_exact_at(HUNDREDTH), HUNDREDTH)
    };
    let near = length.rounded(step, Rounding::Nearest);
    // What is next to nothing is not said to be nothing.
    if is_short || (near == Length::ZERO && !unit.is_imperial()) {
        return tie(&length::exact_text(length, unit));
    }
    tie(&format!("~{}", length::exact_text(near, unit)))
}

/// The unit of what is no longer than a hand: inches where boards are in feet.
fn unit_across(display: &Display) -> Unit {
    match display.unit {
        Unit::Foot => Unit::Inch,
        unit => unit,
    }
}

/// A rule of thumb, to the half inch or the millimeter.
fn round_figure(display: &Display, length: Length) -> String {
    let unit = unit_across(display);
    let step = if unit.is_imperial() {
        HALF_INCH
    } else {
        Length::MILLIMETRE
    };
    tie(&length::format(length, unit, step, Rounding::Nearest))
}

/// A sum of lengths in the unit one buys by, rounded down to `imperial_step` or to the centimeter.
fn sum_there(display: &Display, length: Length, imperial_step: Length) -> String {
    let step = if display.unit.is_imperial() {
        imperial_step
    } else {
        CENTIMETER
    };
    let mark = if length.is_exact_at(step) { "" } else { "~" };
    let unit = if display.unit.is_imperial() {
        Unit::Foot
    } else {
        Unit::Meter
    };
    let sum = length.rounded(step, Rounding::Down);
    format!("{mark}{}", tie(&length::exact_text(sum, unit)))
}

/// `text` with its blanks tied.
fn tie(text: &str) -> String {
    text.replace(' ', TIED)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::{empty_job, in64};

    #[test]
    fn a_setting_in_millimeters_has_two_decimals_at_most() {
        let mut display = empty_job().display.clone();
        for (unit, nm, shown) in [
            (Unit::Millimeter, 3_200_000, "3.2 mm"),
            (Unit::Millimeter, 3_175_000, "~3.18 mm"),
            (Unit::Millimeter, 6_587_500, "~6.59 mm"),
            (Unit::Millimeter, 8_412_500, "~8.41 mm"),
            (Unit::Centimeter, 3_175_000, "~0.318 cm"),
            (Unit::Millimeter, 1_000, "0.001 mm"),
            (Unit::Inch, 3_175_000, "1/8 in"),
        ] {
            display.unit = unit;
            let text = length_text(&display, Length::from_nm(nm), Show::Exact);
            assert_eq!(text.replace(TIED, " "), shown);
        }
        display.unit = Unit::Inch;
        let text = length_text(&display, in64(3), Show::Exact);
        assert_eq!(text.replace(TIED, " "), "3/64 in");
    }
}

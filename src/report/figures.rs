//! Lengths, money and shares as they are printed.
//!
//! | figure | rounded | why |
//! |---|---|---|
//! | rails, loose pieces, outside and sight sizes | up | a part must not come out short |
//! | weights | up | what holds a frame must hold it |
//! | boards, offcuts, sheets, windows, rabbets | down | there must not be less than is printed |
//! | running distances | to the nearest | they say where to look; the stop block sets the length |
//! | share used, share kept | down | the plan must not look better than it is |
//! | gap to the proved bound | up | likewise |

use crate::frame::{Miter, Outline};
use crate::job::Display;
use crate::length::{self, Length, Rounding, Unit};
use crate::money::{Currency, Money};
use crate::plan::Measure;
use crate::stock::BoardFeet;
use crate::tally::Weight;

use super::ink::Ink;
use super::layout::{TIED, tie};

/// What sums of metric lengths are rounded to.
const CENTIMETRE: Length = Length::from_nm(10_000_000);

/// Prints figures in a job's unit, step and currency.
#[derive(Clone, Copy, Debug)]
pub(super) struct Figures<'a> {
    display: &'a Display,
    ink: Ink,
}

impl<'a> Figures<'a> {
    pub(super) fn new(display: &'a Display, ink: Ink) -> Figures<'a> {
        Figures { display, ink }
    }

    /// A length that must be reached, rounded up; `~` in front if that changed it.
    pub(super) fn needed(&self, length: Length) -> String {
        self.marked(length, Rounding::Up)
    }

    /// A length that is there, rounded down; `~` in front if that changed it.
    pub(super) fn there(&self, length: Length) -> String {
        self.marked(length, Rounding::Down)
    }

    /// A running distance, to the nearest step and without a mark.
    pub(super) fn place(&self, length: Length) -> String {
        self.number(length, Rounding::Nearest)
    }

    fn marked(&self, length: Length, rounding: Rounding) -> String {
        let number = self.number(length, rounding);
        if length.is_exact_at(self.display.step) {
            number
        } else {
            format!("~{number}")
        }
    }

    fn number(&self, length: Length, rounding: Rounding) -> String {
        let step = self.display.step;
        let number = length::format_number(length, self.display.unit, step, rounding);
        match self.display.unit {
            // Columns of feet and inches would be too wide in words.
            Unit::Foot => number.replace(" ft", "'").replace(" in", "\""),
            _ => number,
        }
    }

    /// A printed number with its unit, tied to it, for a sentence.
    pub(super) fn with_unit(&self, number: &str) -> String {
        match self.display.unit {
            // Feet carry their units already.
            Unit::Foot => number.to_owned(),
            unit => format!("{number}{TIED}{}", unit.symbol()),
        }
    }

    /// The job's step, with its unit.
    pub(super) fn step(&self) -> String {
        let unit = match self.display.unit {
            Unit::Foot => Unit::Inch,
            unit => unit,
        };
        tie(&length::exact_text(self.display.step, unit))
    }

    /// A setting such as the kerf, exactly as it is reckoned with.
    pub(super) fn exact(&self, length: Length) -> String {
        let unit = match self.display.unit {
            Unit::Foot => Unit::Inch,
            unit => unit,
        };
        tie(&length::exact_text(length, unit))
    }

    /// A sum of lengths in the unit one buys by, feet for inches and metres for metric units; rounded down to the
    /// job's step or to the centimetre.
    pub(super) fn total(&self, length: Length) -> String {
        self.sum_there(length, self.display.step)
    }

    /// A face in square feet or square metres, rounded down to the hundredth.
    pub(super) fn face(&self, face_nm2: i128) -> String {
        let (unit, name) = if self.display.unit.is_imperial() {
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
    pub(super) fn weight(&self, weight: Weight) -> String {
        let (tenths, unit) = if self.display.unit.is_imperial() {
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

    /// A sum of lengths for comparing by eye, to the nearest [`Figures::rough_step`].
    pub(super) fn rough(&self, length: Length) -> String {
        let step = if self.display.unit.is_imperial() {
            Length::INCH
        } else {
            CENTIMETRE
        };
        self.in_buying_unit(length.rounded(step, Rounding::Nearest))
    }

    /// A sum of lengths that are there, for a narrow column: rounded down to the inch or the centimetre.
    pub(super) fn rough_there(&self, length: Length) -> String {
        self.sum_there(length, Length::INCH)
    }

    /// A sum of lengths in the unit one buys by, rounded down to `imperial_step` or to the centimetre.
    fn sum_there(&self, length: Length, imperial_step: Length) -> String {
        let step = if self.display.unit.is_imperial() {
            imperial_step
        } else {
            CENTIMETRE
        };
        let mark = if length.is_exact_at(step) { "" } else { "~" };
        format!(
            "{mark}{}",
            self.in_buying_unit(length.rounded(step, Rounding::Down))
        )
    }

    /// The unit to which [`Figures::rough`] rounds.
    pub(super) fn rough_step(&self) -> &'static str {
        if self.display.unit.is_imperial() {
            "inch"
        } else {
            "centimetre"
        }
    }

    fn in_buying_unit(&self, length: Length) -> String {
        let unit = if self.display.unit.is_imperial() {
            Unit::Foot
        } else {
            Unit::Metre
        };
        tie(&length::exact_text(length, unit))
    }

    /// Width by height of a rectangle, or the side of a polygon.
    pub(super) fn outline(&self, outline: Outline, print: fn(&Self, Length) -> String) -> String {
        match outline {
            Outline::Rectangle { width, height } => format!(
                "{} {} {}",
                print(self, width),
                self.ink.times(),
                print(self, height)
            ),
            Outline::Regular { sides, side } => format!("{sides} sides of {}", print(self, side)),
        }
    }

    /// What the numbers of a table are: `inches`, say.
    pub(super) fn unit_words(&self) -> &'static str {
        match self.display.unit {
            Unit::Inch => "inches",
            Unit::Foot => "feet and inches",
            Unit::Millimetre => "millimetres",
            Unit::Centimetre => "centimetres",
            Unit::Metre => "metres",
        }
    }

    /// The currency of the job.
    pub(super) fn currency(&self) -> &Currency {
        &self.display.currency
    }

    /// An amount with the currency beside it.
    pub(super) fn money(&self, money: Money) -> String {
        tie(&self.display.currency.format(money))
    }

    /// A value of a plan with its unit, whichever it is measured in.
    pub(super) fn worth(&self, measure: Measure, value: i64) -> String {
        match measure {
            Measure::Price => self.money(Money::from_minor(value)),
            Measure::BoardLength => tie(&self.total(Length::from_nm(value))),
        }
    }

    /// The same for a column whose header names the unit.
    pub(super) fn worth_amount(&self, measure: Measure, value: i64) -> String {
        match measure {
            Measure::Price => self.amount(Money::from_minor(value)),
            Measure::BoardLength => self.total(Length::from_nm(value)),
        }
    }

    /// An amount without the currency, for a column whose header names it.
    pub(super) fn amount(&self, money: Money) -> String {
        self.display.currency.format_amount(money)
    }

    /// How an end is set on the saw: `45°`, or `square`.
    pub(super) fn miter(&self, miter: Miter) -> String {
        match miter {
            Miter::Square => "square".to_owned(),
            Miter::Corner { .. } => {
                format!("{}{}", degrees(miter, 2), self.ink.degree())
            }
        }
    }
}

/// Degrees off square as a decimal, to the nearest last place, without needless zeros.
pub(super) fn degrees(miter: Miter, decimals: u32) -> String {
    let (numerator, denominator) = miter.degrees();
    let scale = 10_u64.pow(decimals);
    let (numerator, denominator) = (u64::from(numerator) * scale, u64::from(denominator));
    let scaled = (numerator + denominator / 2) / denominator;
    let places = usize::try_from(decimals).expect("a handful of decimals");
    let text = format!("{}.{:0places$}", scaled / scale, scaled % scale);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// `part / whole` in tenths of a percent, rounded down; 0 of nothing.
pub(super) fn per_mille_down(part: Length, whole: Length) -> i64 {
    if whole <= Length::ZERO {
        return 0;
    }
    let share = i128::from(part.nm()) * 1000 / i128::from(whole.nm());
    i64::try_from(share).expect("a part is no larger than its whole")
}

/// The same of two faces.
pub(super) fn per_mille_of_face(part_nm2: i128, whole_nm2: i128) -> i64 {
    if whole_nm2 <= 0 {
        return 0;
    }
    let share = part_nm2 * 1000 / whole_nm2;
    i64::try_from(share).expect("a part is no larger than its whole")
}

/// Tenths of a percent as text, such as `88.1 %`.
pub(super) fn percent(per_mille: i64) -> String {
    format!("{}.{} %", per_mille / 10, per_mille % 10)
}

/// Board feet to the nearest hundredth, such as `12.83`.
pub(super) fn board_feet(feet: BoardFeet) -> String {
    let hundredths = feet.hundredths();
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

/// How far `value` may lie above the best, in hundredths of a percent rounded up; `None` without a positive bound.
pub(super) fn gap(value: i64, lower_bound: i64) -> Option<i128> {
    if lower_bound <= 0 {
        return None;
    }
    let (value, bound) = (i128::from(value), i128::from(lower_bound));
    let above = (value - bound).max(0) * 10_000;
    Some((above + bound - 1) / bound)
}

/// Hundredths of a percent as text, such as `0.42 %`.
pub(super) fn percent_of_gap(hundredths: i128) -> String {
    format!("{}.{:02} %", hundredths / 100, hundredths % 100)
}

/// A count and its noun, such as `1 board` or `3 boards`; the plural takes an s.
pub(super) fn count_of(count: u64, noun: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{plural}")
}

#[cfg(test)]
mod tests;

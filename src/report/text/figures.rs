//! Words and figures as they are printed.
//!
//! | figure | rounded | why |
//! |---|---|---|
//! | rails, loose pieces, outside and sight sizes | up | a part must not come out short |
//! | weights | up | what holds a frame must hold it |
//! | boards, offcuts, sheets, windows, rabbets | down | there must not be less than is printed |
//! | where a part ends | up | what a part is cut to must not reach beyond it |
//! | other running distances | to the nearest | they say where to look; the stop block sets the length |
//! | shares of a whole | so that together they are 100 % | what is printed must add up |
//! | gap to the proved bound | up | the plan must not look better than it is |

use crate::frame::Miter;
use crate::job::Display;
use crate::length::{self, Length, Rounding, Unit};
use crate::report::document::{Inline, Show, Text, one_line};
use crate::report::figures::{board_feet, degrees, percent, percent_of_gap};
use crate::tally::Weight;

use super::ink::Ink;
use super::layout::{TIED, fit, tie};

/// What sums of metric lengths are rounded to.
const CENTIMETER: Length = Length::from_nm(10_000_000);

/// The finest mark of a rule in inches.
const SIXTY_FOURTH: Length = Length::from_nm(396_875);

/// What a setting in inches is rounded to where it has no end.
const THOUSANDTH: Length = Length::from_nm(25_400);

/// What rules of thumb in inches are rounded to.
const HALF_INCH: Length = Length::from_nm(12_700_000);

/// Columns of the longest bar.
const BAR: usize = 8;

/// Columns for the code of a currency.
const CODE: usize = 8;

/// Prints texts with a document's unit, step and currency.
#[derive(Clone, Copy, Debug)]
pub(super) struct Figures<'a> {
    display: &'a Display,
    pub(super) ink: Ink,
    /// Columns for a name that stands in a list of many.
    listed: usize,
}

impl<'a> Figures<'a> {
    pub(super) fn new(display: &'a Display, ink: Ink, listed: usize) -> Figures<'a> {
        Figures {
            display,
            ink,
            listed,
        }
    }

    /// A text as it is printed.
    pub(super) fn set(&self, text: &Text) -> String {
        text.0.iter().map(|inline| self.inline(inline)).collect()
    }

    fn inline(&self, inline: &Inline) -> String {
        match inline {
            Inline::Words(words) => self.ink.signs(words),
            Inline::Name(name) => name.clone(),
            Inline::Listed(name) => fit(name, self.listed, self.ink),
            Inline::Together(text) => tie(&self.set(text)),
            &Inline::Length(length, show) => self.length(length, show),
            &Inline::Face(face_nm2) => self.face(face_nm2),
            &Inline::BoardFeet(feet) => board_feet(feet),
            &Inline::Weight(weight) => self.weight(weight),
            &Inline::Money(money) => tie(&self.display.currency.format(money)),
            &Inline::Amount(money) => self.display.currency.format_amount(money),
            Inline::Currency => fit(&one_line(&self.display.currency.code), CODE, self.ink),
            Inline::Count(count) => count.to_string(),
            &Inline::PerMille(share) => percent(share),
            &Inline::Gap(gap) => percent_of_gap(gap),
            Inline::Miter(Miter::Square) => "square".to_owned(),
            Inline::Miter(miter) => format!("{}{}", degrees(*miter, 2), self.ink.signs("°")),
            Inline::UnitWords => self.unit_words().to_owned(),
            Inline::Step => self.exact(self.display.step),
            Inline::ScrapSign => self.ink.drawing().scrap.to_string(),
            Inline::DefectSign => self.ink.drawing().defect.to_string(),
            &Inline::Bar { part, whole } => self.bar(part, whole),
        }
    }

    fn length(&self, length: Length, show: Show) -> String {
        match show {
            Show::Needed => self.needed(length),
            Show::There => self.there(length),
            Show::NeededWithUnit => self.with_unit(&self.needed(length)),
            Show::ThereWithUnit => self.with_unit(&self.there(length)),
            Show::Place => self.place(length),
            Show::PlaceTo => self.place_to(length),
            Show::Exact => self.exact(length),
            Show::RoundFigure => self.round_figure(length),
            Show::Total => self.sum_there(length, self.display.step),
            Show::RoughThere => self.sum_there(length, Length::INCH),
        }
    }

    /// A bar as long as `part` is beside `whole`.
    fn bar(&self, part: i64, whole: i64) -> String {
        if part <= 0 || whole <= 0 {
            return String::new();
        }
        let longest = BAR * 8;
        let eighths = i128::from(part) * 8 * 8 / i128::from(whole);
        let eighths = usize::try_from(eighths).unwrap_or(longest);
        self.ink.bar(eighths.clamp(1, longest))
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

    /// Where a part ends, rounded up and without a mark.
    pub(super) fn place_to(&self, length: Length) -> String {
        self.number(length, Rounding::Up)
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

    /// A setting such as the kerf, exactly as the plan assumes it; where an inch has no finite decimal for it, to the
    /// nearest thousandth, with `~` in front.
    pub(super) fn exact(&self, length: Length) -> String {
        let unit = self.unit_across();
        let is_decimal = !unit.is_imperial()
            || length.is_exact_at(SIXTY_FOURTH)
            || length::exact_in_unit(length, unit).is_some();
        if is_decimal {
            return tie(&length::exact_text(length, unit));
        }
        let near = length.rounded(THOUSANDTH, Rounding::Nearest);
        tie(&format!("~{}", length::exact_text(near, unit)))
    }

    /// The unit of what is no longer than a hand: inches where boards are in feet.
    fn unit_across(&self) -> Unit {
        match self.display.unit {
            Unit::Foot => Unit::Inch,
            unit => unit,
        }
    }

    /// A rule of thumb, to the half inch or the millimeter.
    fn round_figure(&self, length: Length) -> String {
        let unit = self.unit_across();
        let step = if unit.is_imperial() {
            HALF_INCH
        } else {
            Length::MILLIMETRE
        };
        tie(&length::format(length, unit, step, Rounding::Nearest))
    }

    /// A face in square feet or square meters, rounded down to the hundredth.
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

    /// A sum of lengths in the unit one buys by, rounded down to `imperial_step` or to the centimeter.
    fn sum_there(&self, length: Length, imperial_step: Length) -> String {
        let step = if self.display.unit.is_imperial() {
            imperial_step
        } else {
            CENTIMETER
        };
        let mark = if length.is_exact_at(step) { "" } else { "~" };
        format!(
            "{mark}{}",
            self.in_buying_unit(length.rounded(step, Rounding::Down))
        )
    }

    /// A weight in pounds, or in kilograms, rounded up to the tenth.
    fn weight(&self, weight: Weight) -> String {
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

    fn in_buying_unit(&self, length: Length) -> String {
        let unit = if self.display.unit.is_imperial() {
            Unit::Foot
        } else {
            Unit::Meter
        };
        tie(&length::exact_text(length, unit))
    }

    /// What the numbers of a table are: `inches`, say.
    pub(super) fn unit_words(&self) -> &'static str {
        match self.display.unit {
            Unit::Inch => "inches",
            Unit::Foot => "feet and inches",
            Unit::Millimeter => "millimeters",
            Unit::Centimeter => "centimeters",
            Unit::Meter => "meters",
        }
    }
}

#[cfg(test)]
mod tests;

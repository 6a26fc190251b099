//! Words and figures as they are printed.
//!
//! How a figure is rounded is the same for all formats, see [`crate::report::figures`]; here it gets the signs of the
//! terminal.

use crate::frame::Miter;
use crate::job::Display;
use crate::length::Length;
use crate::report::document::{Inline, Show, Text, one_line};
use crate::report::figures::{
    board_feet, degrees, face, length_text, percent, percent_of_gap, unit_words, weight,
};

use super::ink::Ink;
use super::layout::{fit, tie, tie_units};

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
            Inline::Name(name) => tie_units(name),
            Inline::Listed(name) => tie_units(&fit(name, self.listed, self.ink)),
            Inline::Together(text) => tie(&self.set(text)),
            &Inline::Length(length, show) => self.length(length, show),
            &Inline::Face(face_nm2) => face(self.display, face_nm2),
            &Inline::BoardFeet(feet) => board_feet(feet),
            &Inline::Weight(heavy) => weight(self.display, heavy),
            &Inline::Money(money) => tie(&self.display.currency.format(money)),
            &Inline::Amount(money) => self.display.currency.format_amount(money),
            Inline::Currency => fit(&one_line(&self.display.currency.code), CODE, self.ink),
            Inline::Count(count) => count.to_string(),
            &Inline::PerMille(share) => percent(share),
            &Inline::Gap(gap) => percent_of_gap(gap),
            Inline::Miter(Miter::Square) => "square".to_owned(),
            Inline::Miter(miter) => format!("{}{}", degrees(*miter, 2), self.ink.signs("°")),
            Inline::UnitWords => unit_words(self.display.unit).to_owned(),
            Inline::Step => self.length(self.display.step, Show::Exact),
            Inline::ScrapSign => self.ink.drawing().scrap.to_string(),
            Inline::DefectSign => self.ink.drawing().defect.to_string(),
            &Inline::Bar { part, whole } => self.bar(part, whole),
        }
    }

    fn length(&self, length: Length, show: Show) -> String {
        length_text(self.display, length, show)
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

    /// See [`Show::Needed`].
    pub(super) fn needed(&self, length: Length) -> String {
        self.length(length, Show::Needed)
    }

    /// See [`Show::There`].
    pub(super) fn there(&self, length: Length) -> String {
        self.length(length, Show::There)
    }

    /// See [`Show::PlaceTo`].
    pub(super) fn place_to(&self, length: Length) -> String {
        self.length(length, Show::PlaceTo)
    }
}

#[cfg(test)]
mod tests;

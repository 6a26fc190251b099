//! A text as one plain line, for what has no room for more: descriptions of drawings, names of files.

use crate::frame::Miter;
use crate::job::Display;
use crate::report::figures::{
    board_feet, degrees, face, length_text, percent, percent_of_gap, unit_words, weight,
};

use super::words::{Inline, Show, Text, one_line};

impl Text {
    /// As plain text, each name from a file as `name` writes it; bars are left out.
    pub fn plain(&self, display: &Display, name: fn(&str) -> String) -> String {
        let inlines = self.0.iter();
        inlines.map(|inline| inline.plain(display, name)).collect()
    }
}

impl Inline {
    /// As [`Text::plain`].
    pub(crate) fn plain(&self, display: &Display, name: fn(&str) -> String) -> String {
        match self {
            Inline::Words(words) => words.clone(),
            Inline::Name(own) | Inline::Listed(own) => name(own),
            Inline::Together(text) => text.plain(display, name),
            &Inline::Length(length, show) => length_text(display, length, show),
            &Inline::Face(face_nm2) => face(display, face_nm2),
            &Inline::BoardFeet(feet) => board_feet(feet),
            &Inline::Weight(heavy) => weight(display, heavy),
            &Inline::Money(money) => display.currency.format(money),
            &Inline::Amount(money) => display.currency.format_amount(money),
            Inline::Currency => one_line(&display.currency.code),
            Inline::Count(count) => count.to_string(),
            &Inline::PerMille(share) => percent(share),
            &Inline::Gap(gap) => percent_of_gap(gap),
            Inline::Miter(Miter::Square) => "square".to_owned(),
            Inline::Miter(miter) => format!("{}°", degrees(*miter, 2)),
            Inline::UnitWords => unit_words(display.unit).to_owned(),
            Inline::Step => length_text(display, display.step, Show::Exact),
            Inline::ScrapSign => "hatched".to_owned(),
            Inline::DefectSign => "cross-hatched".to_owned(),
            Inline::Bar { .. } => String::new(),
        }
    }
}

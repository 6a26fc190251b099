//! How the numbers of a sheet are written into its text: their decimals after a comma or a point, as its texts have them.

use std::collections::BTreeSet;

use super::Rows;
use crate::job::{Separator, TableForm};
use crate::load::decimals::told_mark;
use crate::load::layout::unit_word;
use crate::money::{DecimalMark, currency_in};

impl Rows {
    /// Whether texts that begin as numbers do have their decimals after a comma, all that tell: those of columns that have
    /// numbers too, or else any that are a number with its unit alone.
    fn have_comma(&self) -> bool {
        let with_numbers: BTreeSet<usize> = self
            .cells
            .iter()
            .flat_map(|row| row.iter().enumerate())
            .filter_map(|(column, cell)| cell.is_number.then_some(column))
            .collect();
        let (mut beside_numbers, mut elsewhere) = (Vec::new(), Vec::new());
        for row in &self.cells {
            for (column, cell) in row.iter().enumerate() {
                let is_figure =
                    |symbol: char| symbol.is_ascii_digit() || "$\u{20ac}\u{a3}".contains(symbol);
                if cell.is_number || !cell.text.starts_with(is_figure) {
                    continue;
                }
                let Some(mark) = told_mark(&cell.text) else {
                    continue;
                };
                if with_numbers.contains(&column) {
                    beside_numbers.push(mark);
                } else if is_amount(&cell.text) {
                    elsewhere.push(mark);
                }
            }
        }
        let told = if beside_numbers.is_empty() {
            elsewhere
        } else {
            beside_numbers
        };
        !told.is_empty() && told.iter().all(|mark| *mark == DecimalMark::Comma)
    }

    /// How numbers are written, so that they can be read in one way only; `None` as they stand, where others of them tell that
    /// a point marks their decimals.
    pub(super) fn form(&self) -> Option<TableForm> {
        let decimal_comma = self.have_comma();
        let mut numbers = self.cells.iter().flatten().filter(|cell| cell.is_number);
        let is_told = !decimal_comma && numbers.any(|cell| told_mark(&cell.text).is_some());
        // What parts the fields has no part in it.
        (!is_told).then_some(TableForm {
            separator: Separator::Semicolon,
            decimal_comma,
            ..TableForm::default()
        })
    }
}

/// Whether a text has no word in it but those of units and currencies.
fn is_amount(text: &str) -> bool {
    let mut words = text
        .split(|symbol: char| !symbol.is_alphabetic())
        .filter(|word| !word.is_empty());
    words.all(|word| unit_word(word).is_some() || currency_in(word).is_some() || word == "per")
}

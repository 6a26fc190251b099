//! A cut list on which is marked what was cut.

use std::ops::RangeInclusive;
use std::path::Path;

use super::csv_file::CsvTable;
use super::fields::{Fields, Found, Reported, Scope};
use super::files::Files;
use super::schema::MARKS;
use super::tables::read_text;
use super::words::{STATES, State};
use crate::diag::{Diagnostics, Place};

/// Cuts that are marked, one after the other on a strip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Marked {
    /// Name of the line of boards.
    pub board: String,
    /// Which board of the line, from 1.
    pub number: u32,
    /// Which strip of the board, from 1.
    pub strip: u32,
    /// Which cuts of the strip, from 1.
    pub cuts: RangeInclusive<u32>,
    /// What became of them.
    pub state: State,
    /// Where it is marked.
    pub place: Place,
}

/// Reads the marks of a cut list: all rows whose column `state` is filled.
///
/// What is wrong with the list is added to `faults`; rows that are sound are read all the same.
pub fn read_marks(path: &Path, files: &dyn Files, faults: &mut Diagnostics) -> Vec<Marked> {
    let Ok(text) = read_text(path, files, &Place::File(path.to_owned()), faults) else {
        return Vec::new();
    };
    let table = CsvTable::open(path, text, &MARKS, faults);
    let scope = Scope::default();
    let mut marked = Vec::new();
    table.each_record(faults, |record, faults| {
        // A row that is not marked says nothing, whatever stands in it.
        if record.field("state").is_some()
            && let Ok(row) = read_row(Fields::new(&record, &scope, faults))
        {
            marked.push(row);
        }
    });
    marked
}

fn read_row(mut fields: Fields<'_, '_>) -> Found<Marked> {
    let board = fields.name("board");
    let number = fields.count("board-number");
    let strip = fields.count("strip");
    let cut = fields.count("cut");
    let state = fields.optional_word("state", &STATES);
    let cut = cut?;
    Ok(Marked {
        board: board?,
        number: number?,
        strip: strip?,
        cuts: cut..=cut,
        state: state?.ok_or(Reported)?,
        place: fields.record.origin.place(),
    })
}

#[cfg(test)]
mod tests;

//! A cut list on which is marked what was cut.

use std::ops::RangeInclusive;
use std::path::Path;

use super::csv_file::CsvTable;
use super::fields::{Fields, Found, Reported, Scope};
use super::files::Files;
use super::schema::MARKS;
use super::tables::read_table_by;
use super::words::{STATES, State};
use crate::diag::{Diagnostics, Place};
use crate::length::{Length, Unit};

/// A strip as someone names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NamedStrip {
    /// By what is chalked on it, or on its board; not yet known to be a mark.
    Mark(String),
    /// By its board.
    OfLine {
        /// Name of the line of boards.
        board: String,
        /// Which board of the line, from 1.
        number: u32,
        /// Which strip of the board, from 1.
        strip: u32,
    },
}

/// Cuts that are marked, one after the other on a strip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Marked {
    /// On which strip.
    pub strip: NamedStrip,
    /// Which cuts of the strip, from 1.
    pub cuts: RangeInclusive<u32>,
    /// What became of them.
    pub state: State,
    /// How much of each is good along its outer edge, though it is spoiled.
    pub good: Option<Length>,
    /// The line of boards that is named beside a mark, and the part: a list of another plan has others.
    pub beside: Beside,
    /// Where it is marked.
    pub place: Place,
}

/// What a list says of a cut that its name does not need.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Beside {
    /// Name of the line of boards.
    pub board: Option<String>,
    /// Name of the part.
    pub part: Option<String>,
}

/// Reads the marks of a cut list: all rows whose column `state` is filled.
///
/// What is wrong with the list is added to `faults`; rows that are sound are read all the same.
/// Bare numbers are of `unit`.
pub fn read_marks(
    path: &Path,
    files: &dyn Files,
    unit: Unit,
    faults: &mut Diagnostics,
) -> Vec<Marked> {
    let place = Place::File(path.to_owned());
    let Ok(text) = read_table_by(path, |path| files.read(path), &place, faults) else {
        return Vec::new();
    };
    let table = CsvTable::open(path, text, &MARKS, faults);
    let scope = Scope {
        unit,
        ..Scope::default()
    };
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
    let strip = read_strip(&mut fields);
    let cut = fields.count("cut");
    let state = fields.optional_word("state", &STATES);
    let good = fields.optional_length("good");
    let told = |name: &str| {
        let field = fields.record.field(name);
        field.map(|field| field.text.clone().into_owned())
    };
    let beside = Beside {
        board: told("board"),
        part: told("part"),
    };
    let cut = cut?;
    Ok(Marked {
        strip: strip?,
        cuts: cut..=cut,
        state: state?.ok_or(Reported)?,
        good: good?,
        beside,
        place: fields.record.origin.place(),
    })
}

/// The strip by its mark, or where there is none by its board.
fn read_strip(fields: &mut Fields<'_, '_>) -> Found<NamedStrip> {
    if let Some(mark) = fields.optional_name("mark")? {
        return Ok(NamedStrip::Mark(mark));
    }
    let board = fields.name("board");
    let number = fields.count("board-number");
    let strip = fields.count("strip");
    Ok(NamedStrip::OfLine {
        board: board?,
        number: number?,
        strip: strip?,
    })
}

#[cfg(test)]
mod tests;

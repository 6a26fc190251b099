//! From the files of a job to a [`Job`], or to every fault in them at once.
//!
//! [`load_job`] is the way in. The texts come through [`Files`]; `toml_file` and `csv_file` turn them into records,
//! which are read alike from there on: `fields` makes values of texts, one file for each kind of record puts them
//! together, and `records` makes the job. What a record may hold, all of them ask of [`schema`]; how much is read,
//! of `limits`. A cut list with marks comes in by [`read_marks`], through the same doors. What is left is checked as a whole by [`crate::job::check`].
//!
//! This module knows nothing of plans and the cutting model, and reads no file itself.

mod boards;
mod bought;
mod csv_file;
mod defects;
mod fields;
mod files;
mod findings;
mod frames;
mod limits;
mod lumber;
mod marks;
mod mats;
mod mouldings;
mod near;
mod pieces;
mod price;
mod record;
mod records;
pub mod schema;
mod settings;
mod sheets;
mod spare;
mod tables;
mod text;
mod toml_file;
mod ways;
mod words;

use std::path::Path;

use fields::{Found, Reported};
use records::read_records;
use tables::{Table, Tables, read_text};
use toml_file::TomlText;

use crate::diag::{Diagnostic, Diagnostics, Place};
use crate::job::Job;

pub use files::{FileFault, Files};
pub use limits::LARGEST_FILE;
pub use marks::{Beside, Marked, NamedStrip, read_marks};
pub use near::did_you_mean;
pub use words::State;

/// Whether a job is to be cut from boards, or only to be sized.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Boards {
    /// There must be boards, and every part must fit one of them.
    Needed,
    /// Boards are not read at all, so neither their lack nor a fault in them matters.
    NotNeeded,
}

/// Reads a job file and the tables it names.
///
/// With the job come warnings, sorted by file and line.
///
/// # Errors
/// All faults of all files, and the warnings with them, sorted by file and line.
/// Only a job file that is not TOML hides what else is wrong with it and its tables.
pub fn load_job(
    path: &Path,
    files: &dyn Files,
    boards: Boards,
) -> Result<(Job, Vec<Diagnostic>), Vec<Diagnostic>> {
    let mut faults = Diagnostics::default();
    let job = read_job(path, files, boards, &mut faults);
    match job {
        Ok(job) if faults.n_errors() == 0 => Ok((job, faults.into_sorted())),
        _ => Err(faults.into_sorted()),
    }
}

/// The job, if nothing is wrong with its files.
fn read_job(path: &Path, files: &dyn Files, need: Boards, faults: &mut Diagnostics) -> Found<Job> {
    let text = read_text(path, files, &Place::File(path.to_owned()), faults)?;
    let toml = TomlText::new(path, text);
    let file = toml.read(faults).ok_or(Reported)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let frames = Table::open(&toml, &file.frames, &schema::FRAMES, folder, files, faults);
    let pieces = Table::open(&toml, &file.pieces, &schema::PIECES, folder, files, faults);
    let mut of_boards = |rows, schema| match need {
        Boards::Needed => Table::open(&toml, rows, schema, folder, files, faults),
        Boards::NotNeeded => Vec::new(),
    };
    let boards = of_boards(&file.boards, &schema::BOARDS);
    let tally = of_boards(&file.tally, &schema::TALLY);
    let rack = of_boards(&file.rack, &schema::RACK);
    let bought = of_boards(&file.bought, &schema::BOUGHT);
    let yards: Vec<Vec<Table<'_>>> = match need {
        Boards::Needed => file
            .ways
            .iter()
            .map(|way| Table::open(&toml, &way.list, &schema::BOARDS, folder, files, faults))
            .collect(),
        Boards::NotNeeded => Vec::new(),
    };
    let tables = Tables {
        frames: &frames,
        pieces: &pieces,
        boards: &boards,
        tally: &tally,
        rack: &rack,
        bought: &bought,
        yards: &yards,
    };
    read_records(path, &toml, &file, &tables, need, faults)
}

#[cfg(test)]
mod rip_tests;
#[cfg(test)]
mod tests;

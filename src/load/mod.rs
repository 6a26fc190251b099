//! From the files of a job to a [`Job`], or to every fault in them at once.
//!
//! [`load_job`] is the way in. The texts come through [`Files`]; `toml_file` and `csv_file` turn them into records, the
//! latter with `csv_rows`, which parts the text, `layout`, which finds the headings, and `workbook`, which makes tables of spreadsheets.
//! Records are read alike from there on: `fields` makes values of texts, one file for each kind of record puts them
//! together, and `records` makes the job. What a record may hold, all of them ask of [`schema`]; how much is read,
//! of `limits`. A cut list with marks comes in by [`read_marks`], a price list by [`read_price_list`] and a list of sizes by [`read_size_list`], through the same doors. What is left is checked as a whole by [`crate::job::check`].
//!
//! This module knows nothing of plans and the cutting model, and reads no file itself.

mod assembly;
mod boards;
mod bought;
mod csv_file;
mod csv_rows;
mod decimals;
mod defects;
mod fields;
mod files;
mod findings;
mod frames;
mod hardware;
mod labels;
mod layout;
mod limits;
mod lumber;
mod marks;
mod mats;
mod mouldings;
mod near;
mod pieces;
mod price;
mod price_list;
mod prices;
mod record;
mod records;
pub mod schema;
mod settings;
mod sheets;
mod shop;
mod size_list;
mod spacers;
mod spare;
mod table_form;
mod tables;
mod text;
mod toml_file;
mod ways;
mod woods;
mod words;
mod workbook;

use std::path::{Path, PathBuf};

use fields::{Found, Reported};
use records::read_records;
use tables::{Table, Tables, read_text};
use toml_file::TomlText;

use crate::diag::{Diagnostic, Diagnostics, Place};
use crate::job::Job;

pub use csv_rows::csv_delimiter;
pub use files::{FileFault, Files};
pub(crate) use layout::Layout;
pub use limits::LARGEST_FILE;
pub use marks::{Beside, Marked, NamedStrip, read_marks};
pub use near::did_you_mean;
pub use price_list::read_price_list;
pub use shop::shop_path;
pub use size_list::read_size_list;
pub use tables::table_text;
pub use toml_file::is_of_jobs;
pub use words::State;
pub use workbook::file_and_sheet;
pub(crate) use workbook::is_of_workbook;

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
    let (job, _, warnings) = load_job_with_rack(path, files, boards)?;
    Ok((job, warnings))
}

/// Reads a job as [`load_job`] does, and where its rack stands.
///
/// # Errors
/// As [`load_job`].
pub fn load_job_with_rack(
    path: &Path,
    files: &dyn Files,
    boards: Boards,
) -> Result<(Job, Racks, Vec<Diagnostic>), Vec<Diagnostic>> {
    let mut faults = Diagnostics::default();
    let job = read_job(path, files, boards, &mut faults);
    match job {
        Ok((job, rack)) if faults.n_errors() == 0 => Ok((job, rack, faults.into_sorted())),
        _ => Err(faults.into_sorted()),
    }
}

/// Where the racks of a job stand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Racks {
    /// Of boards.
    pub boards: RackPlace,
    /// Of sheets.
    pub sheets: RackPlace,
}

/// Where a rack of a job stands, its own and that of its shop taken together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RackPlace {
    /// Nowhere: neither names one.
    Nowhere,
    /// In one table.
    Table(PathBuf),
    /// In the job file or that of the shop itself, or in several tables.
    Scattered,
    /// In a workbook, in a table in another encoding than UTF-8, or in one that has more in it than is read.
    NotOurs,
}

/// The job, if nothing is wrong with its files.
fn read_job(
    path: &Path,
    files: &dyn Files,
    need: Boards,
    faults: &mut Diagnostics,
) -> Found<(Job, Racks)> {
    let text = read_text(path, files, &Place::File(path.to_owned()), faults)?;
    let toml = TomlText::new(path, text);
    let mut file = toml.read(faults).ok_or(Reported)?;
    let shop_toml = shop::find(&file, &toml, files, faults)?;
    let shop_file = match &shop_toml {
        Some(shop) => Some(shop.read(faults).ok_or(Reported)?),
        None => None,
    };
    let shop_unit = shop_file
        .as_ref()
        .map(|shop| shop.head.field("unit").cloned());
    let of_shop = shop_file.map(|shop| {
        shop::check_currency(&file, &shop, faults);
        file.fall_back_on(shop)
    });
    let file = file;
    let frames = Table::open(&toml, &file.frames, &schema::FRAMES, files, faults);
    let pieces = Table::open(&toml, &file.pieces, &schema::PIECES, files, faults);
    // The job's own come first, and then those of its shop.
    let mut of_boards = |rows, of_shop: Option<_>, schema| {
        let mut tables = Vec::new();
        if need == Boards::Needed {
            tables = Table::open(&toml, rows, schema, files, faults);
            if let (Some(shop), Some(rows)) = (&shop_toml, of_shop) {
                tables.append(&mut Table::open(shop, rows, schema, files, faults));
            }
        }
        tables
    };
    let of_shop = of_shop.as_ref();
    let boards = of_boards(
        &file.boards,
        of_shop.map(|shop| &shop.boards),
        &schema::BOARDS,
    );
    let tally = of_boards(&file.tally, of_shop.map(|shop| &shop.tally), &schema::TALLY);
    let rack = of_boards(&file.rack, of_shop.map(|shop| &shop.rack), &schema::RACK);
    let bought = of_boards(&file.bought, None, &schema::BOUGHT);
    let sheet_stock = of_boards(
        &file.sheet_stock,
        of_shop.map(|shop| &shop.sheet_stock),
        &schema::SHEET_STOCK,
    );
    let sheet_rack = of_boards(
        &file.sheet_rack,
        of_shop.map(|shop| &shop.sheet_rack),
        &schema::SHEET_RACK,
    );
    let yards: Vec<Vec<Table<'_>>> = match need {
        Boards::Needed => file
            .ways
            .iter()
            .map(|way| {
                let is_of_shop = way.record.origin.source.is_of_shop();
                let named_in = shop_toml.as_ref().filter(|_| is_of_shop).unwrap_or(&toml);
                Table::open(named_in, &way.list, &schema::BOARDS, files, faults)
            })
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
        sheet_stock: &sheet_stock,
        sheet_rack: &sheet_rack,
        yards: &yards,
    };
    let job = read_records(
        path,
        &toml,
        &file,
        shop_unit.flatten(),
        &tables,
        need,
        faults,
    )?;
    let place = |tables: &[Table<'_>]| match tables {
        [] => RackPlace::Nowhere,
        [Table::Csv(table)] if table.is_ours() => RackPlace::Table(table.path().to_owned()),
        [Table::Csv(_)] => RackPlace::NotOurs,
        _ => RackPlace::Scattered,
    };
    let racks = Racks {
        boards: place(&rack),
        sheets: place(&sheet_rack),
    };
    Ok((job, racks))
}

#[cfg(test)]
mod rip_tests;
#[cfg(test)]
mod tests;

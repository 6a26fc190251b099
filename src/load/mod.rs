//! From the files of a job to a [`Job`], or to every fault in them at once.
//!
//! [`load_job`] is the way in. The texts come through [`Files`]; `toml_file` and `csv_file` turn them into records,
//! which are read alike from there on: `fields` makes values of texts, and one file for each kind of record
//! puts them together. What is left is checked as a whole by [`crate::job::check`].
//!
//! This module knows nothing of plans and the cutting model, and reads no file itself.

mod boards;
mod csv_file;
mod defects;
mod fields;
mod files;
mod findings;
mod frames;
mod lumber;
mod mats;
mod mouldings;
mod near;
mod pieces;
mod price;
mod record;
mod settings;
mod sheets;
mod spare;
mod text;
mod toml_file;
mod ways;

use std::path::Path;

use csv_file::CsvTable;
use fields::{Fields, Found, Names, Reported, Scope};
use findings::Origins;
use frames::Shelf;
use record::{Column, Field, Mark, Origin, Record, Source};
use sheets::Sheets;
use text::{TextFault, decode};
use toml_file::{JobFile, Rows, TomlText};

use crate::diag::{Diagnostic, Diagnostics, Place, code, quoted};
use crate::job::{Buying, Job, MOST_PARTS, SheetStock, check};
use crate::stock::{Board, BoardMeasure};

pub use files::{FileFault, Files, LARGEST_FILE};

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
    let (job, _, warnings) = load_whole(path, files, boards)?;
    Ok((job, warnings))
}

/// Reads a job as [`load_job`] does with boards, and what it says on ways of buying.
///
/// # Errors
/// As [`load_job`].
pub fn load_job_to_buy(
    path: &Path,
    files: &dyn Files,
) -> Result<(Job, Buying, Vec<Diagnostic>), Vec<Diagnostic>> {
    load_whole(path, files, Boards::Needed)
}

fn load_whole(
    path: &Path,
    files: &dyn Files,
    boards: Boards,
) -> Result<(Job, Buying, Vec<Diagnostic>), Vec<Diagnostic>> {
    let mut faults = Diagnostics::default();
    let job = read_job(path, files, boards, &mut faults);
    match job {
        Ok((job, buying)) if faults.n_errors() == 0 => Ok((job, buying, faults.into_sorted())),
        _ => Err(faults.into_sorted()),
    }
}

/// The job, if nothing is wrong with its files.
fn read_job(
    path: &Path,
    files: &dyn Files,
    need: Boards,
    faults: &mut Diagnostics,
) -> Found<(Job, Buying)> {
    let text = read_text(path, files, &Place::File(path.to_owned()), faults)?;
    let toml = TomlText::new(path, text);
    let file = toml.read(faults).ok_or(Reported)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let frames = Table::open(&toml, &file.frames, frames::COLUMNS, folder, files, faults);
    let pieces = Table::open(&toml, &file.pieces, pieces::COLUMNS, folder, files, faults);
    let mut of_boards = |rows, columns| match need {
        Boards::Needed => Table::open(&toml, rows, columns, folder, files, faults),
        Boards::NotNeeded => Vec::new(),
    };
    let boards = of_boards(&file.boards, boards::COLUMNS);
    let tally = of_boards(&file.tally, boards::TALLY_COLUMNS);
    let rack = of_boards(&file.rack, boards::RACK_COLUMNS);
    let yards: Vec<Vec<Table<'_>>> = match need {
        Boards::Needed => file
            .ways
            .iter()
            .map(|way| Table::open(&toml, &way.list, boards::COLUMNS, folder, files, faults))
            .collect(),
        Boards::NotNeeded => Vec::new(),
    };
    let tables = Tables {
        frames: &frames,
        pieces: &pieces,
        boards: &boards,
        tally: &tally,
        rack: &rack,
        yards: &yards,
    };
    read_records(path, &toml, &file, &tables, need, faults)
}

/// The tables that may be files of their own.
struct Tables<'a> {
    frames: &'a [Table<'a>],
    pieces: &'a [Table<'a>],
    boards: &'a [Table<'a>],
    tally: &'a [Table<'a>],
    rack: &'a [Table<'a>],
    /// One for each way of buying; empty for those that name boards of the job.
    yards: &'a [Vec<Table<'a>>],
}

/// Reads all records, and checks the job made of them.
fn read_records<'a>(
    path: &Path,
    toml: &'a TomlText,
    file: &JobFile<'a>,
    tables: &Tables<'a>,
    need: Boards,
    faults: &mut Diagnostics,
) -> Found<(Job, Buying)> {
    let scope = settings::read_scope(&file.head, faults);
    let head = settings::read_head(&file.head, &scope, faults);
    let settings =
        settings::read_settings(&file.saw, &file.shop, file.rip.as_ref(), &scope, faults);

    let (sheets, sheet_stocks) = read_sheets(&file.sheets, &scope, faults);
    let mut moulding_names = Names::default();
    let mut mouldings = Kept::default();
    let mut spares = Vec::new();
    for record in &file.mouldings {
        let unique = moulding_names.add(
            record,
            "name",
            code::DUPLICATE_MOULDING,
            "mouldings",
            faults,
        );
        spares.push(spare::read_spare(fields(record, &scope, faults)));
        let moulding = mouldings::read_moulding(fields(record, &scope, faults));
        mouldings.keep(record, unique.and(moulding));
    }
    // A faulty setting is reported already, and does not matter then.
    let measure = settings
        .as_ref()
        .map_or(BoardMeasure::Exact, |settings| settings.board_measure);
    let (boards, board_names) = read_boards(tables, measure, &scope, faults);
    let buying = ways::read_buying(
        file,
        tables.yards,
        &ways::Shelf {
            board_names: &board_names,
            boards: &boards,
            measure,
            sheets: sheet_stocks,
        },
        &scope,
        faults,
    );
    let shelf = Shelf {
        mouldings: &moulding_names,
        n_mouldings: file.mouldings.len(),
        sheets: &sheets,
        mat_overlap: settings.as_ref().ok().map(|settings| settings.mat_overlap),
    };
    let mut frame_names = Names::default();
    let frames = Table::read(tables.frames, faults, |record, faults| {
        let unique = frame_names.add(record, "frame", code::DUPLICATE_FRAME, "frames", faults);
        let frame = frames::read_frame(fields(record, &scope, faults), &shelf);
        unique.and(frame)
    });
    let mut piece_names = Names::default();
    let pieces = Table::read(tables.pieces, faults, |record, faults| {
        let unique = piece_names.add(record, "piece", code::DUPLICATE_PIECE, "pieces", faults);
        let piece = pieces::read_piece(fields(record, &scope, faults), &moulding_names);
        unique.and(piece)
    });

    let whole_file = Origin {
        source: Source::Toml(toml),
        // A line is no place in the job file, so this is the file as a whole.
        mark: Mark::Line(0),
    };
    let lacks = Lacks {
        parts: frames.is_nothing() && pieces.is_nothing(),
        boards: need == Boards::Needed && boards.is_nothing(),
    };
    report_lacks(&lacks, &whole_file, faults);
    // With a faulty board or moulding left out, parts would seem not to fit that do.
    let can_check = boards.is_sound && mouldings.is_sound;
    let (head, settings, buying) = (head?, settings?, buying?);
    let mut job = Job {
        title: head.title.unwrap_or_else(|| title_of(path)),
        display: head.display,
        shop: settings.shop,
        mouldings: mouldings.items,
        frames: frames.items,
        pieces: pieces.items,
        boards: boards.items,
    };
    let mut origins = Origins {
        mouldings: mouldings.origins,
        frames: frames.origins,
        pieces: pieces.origins,
        boards: boards.origins,
    };
    if !can_check {
        return Err(Reported);
    }
    add_spares(&spares, &mut job, &mut origins);
    for finding in check(&job) {
        findings::report(&finding, &job, &origins, &whole_file, faults);
    }
    Ok((job, buying))
}

/// What a job has none of.
struct Lacks {
    parts: bool,
    boards: bool,
}

/// Reports what the job cannot do without.
fn report_lacks(lacks: &Lacks, whole_file: &Origin<'_>, faults: &mut Diagnostics) {
    if lacks.parts {
        let what = "the job has no frames and no pieces";
        let hint = "name a table, such as `frames = \"frames.csv\"`, or write `[[frames]]` or `[[pieces]]`";
        faults.push(
            Diagnostic::error(code::NO_PARTS, whole_file.place(""), what)
                .with_hint(hint.to_owned()),
        );
    }
    if lacks.boards {
        let what = "the job has no boards";
        let hint = "name a table, such as `boards = \"boards.csv\"`, or write `[[boards]]`";
        faults.push(
            Diagnostic::error(code::NO_BOARDS, whole_file.place(""), what)
                .with_hint(hint.to_owned()),
        );
    }
}

/// Adds the spare rails that mouldings ask for; a faulty wish is reported already.
fn add_spares(spares: &[Found<Option<spare::Spare>>], job: &mut Job, origins: &mut Origins<'_>) {
    let spares: Vec<_> = spares.iter().map(|spare| spare.ok().flatten()).collect();
    let asked = spare::spare_pieces(
        &spares,
        &job.mouldings,
        &job.frames,
        job.shop.fit_allowance,
        &job.pieces,
    );
    for (moulding_idx, piece) in asked {
        origins.pieces.push(origins.mouldings[moulding_idx].clone());
        job.pieces.push(piece);
    }
}

/// Reads the sheets, and how they are sold.
fn read_sheets<'a>(
    records: &[Record<'a>],
    scope: &Scope,
    faults: &mut Diagnostics,
) -> (Sheets<'a>, Vec<Found<Option<SheetStock>>>) {
    let mut sheets = Sheets::default();
    let mut stocks = Vec::new();
    for record in records {
        let unique = sheets
            .names
            .add(record, "name", code::DUPLICATE_SHEET, "sheets", faults);
        let sheet = unique.and(sheets::read_sheet(fields(record, scope, faults)));
        stocks.push(sheets::read_stock(fields(record, scope, faults), &sheet));
        sheets.sheets.push(sheet);
    }
    (sheets, stocks)
}

/// Reads the boards, then those of the tally, then the rack, with all their names, which must differ throughout.
fn read_boards<'a>(
    tables: &Tables<'a>,
    measure: BoardMeasure,
    scope: &Scope,
    faults: &mut Diagnostics,
) -> (Kept<'a, Board>, Names<'a>) {
    let mut names = Names::default();
    let mut read_board = |record: &Record<'a>, line: boards::Line, faults: &mut Diagnostics| {
        let unique = names.add(record, "board", code::DUPLICATE_BOARD, "boards", faults);
        let board = boards::read_board(fields(record, scope, faults), line, measure);
        unique.and(board)
    };
    let mut boards = Table::read(tables.boards, faults, |record, faults| {
        read_board(record, boards::Line::Kind, faults)
    });
    boards.append(Table::read(tables.tally, faults, |record, faults| {
        read_board(&boards::named(record), boards::Line::Tally, faults)
    }));
    boards.append(Table::read(tables.rack, faults, |record, faults| {
        read_board(record, boards::Line::Rack, faults)
    }));
    (boards, names)
}

fn fields<'r, 'a>(
    record: &'r Record<'a>,
    scope: &'r Scope,
    faults: &'r mut Diagnostics,
) -> Fields<'r, 'a> {
    Fields {
        record,
        scope,
        faults,
    }
}

/// The name of a file without its extension.
fn title_of(path: &Path) -> String {
    path.file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}

/// What could be read of a table, and where each of it stands.
struct Kept<'a, T> {
    items: Vec<T>,
    origins: Vec<Origin<'a>>,
    /// Rows that were there, faulty ones included.
    n_rows: usize,
    /// Whether all of the table could be read.
    is_sound: bool,
}

impl<T> Default for Kept<'_, T> {
    fn default() -> Self {
        Kept {
            items: Vec::new(),
            origins: Vec::new(),
            n_rows: 0,
            is_sound: true,
        }
    }
}

impl<'a, T> Kept<'a, T> {
    fn keep(&mut self, record: &Record<'a>, item: Found<T>) {
        self.n_rows += 1;
        match item {
            Ok(item) => {
                self.items.push(item);
                self.origins.push(record.origin.clone());
            }
            Err(Reported) => self.is_sound = false,
        }
    }

    /// Adds what could be read of another table.
    fn append(&mut self, mut other: Kept<'a, T>) {
        self.items.append(&mut other.items);
        self.origins.append(&mut other.origins);
        self.n_rows += other.n_rows;
        self.is_sound &= other.is_sound;
    }

    /// Whether there is no row, and no fault that could have hidden one.
    fn is_nothing(&self) -> bool {
        self.n_rows == 0 && self.is_sound
    }
}

/// Rows of frames, pieces or boards, wherever they are.
enum Table<'a> {
    /// They cannot be read, which has been reported.
    Unreadable,
    /// In the job file.
    Inline(&'a [Record<'a>]),
    /// In a file of their own.
    Csv(CsvTable),
}

impl<'a> Table<'a> {
    /// The tables under one name of the job file: none, one, or several files.
    fn open(
        toml: &TomlText,
        rows: &'a Rows<'a>,
        columns: &[Column],
        folder: &Path,
        files: &dyn Files,
        faults: &mut Diagnostics,
    ) -> Vec<Table<'a>> {
        let paths = match rows {
            Rows::Absent => return Vec::new(),
            Rows::Spoiled => return vec![Table::Unreadable],
            Rows::Inline(records) => return vec![Table::Inline(records)],
            Rows::Files(paths) => paths,
        };
        let mut open = |field: &Field<'_>| {
            let path = folder.join(&*field.text);
            match read_text(&path, files, &named_at(toml, field), faults) {
                Ok(text) => Table::Csv(CsvTable::open(&path, text, columns, faults)),
                Err(Reported) => Table::Unreadable,
            }
        };
        paths.iter().map(&mut open).collect()
    }

    /// Reads every row of some tables.
    fn read<T>(
        tables: &'a [Table<'a>],
        faults: &mut Diagnostics,
        mut read_row: impl FnMut(&Record<'a>, &mut Diagnostics) -> Found<T>,
    ) -> Kept<'a, T> {
        let mut kept = Kept::default();
        for table in tables {
            kept.append(table.read_rows(faults, &mut read_row));
        }
        kept
    }

    /// Reads every row of one.
    fn read_rows<T>(
        &'a self,
        faults: &mut Diagnostics,
        read_row: &mut impl FnMut(&Record<'a>, &mut Diagnostics) -> Found<T>,
    ) -> Kept<'a, T> {
        let mut kept = Kept::default();
        let n_before = faults.n_errors();
        match self {
            Table::Unreadable => kept.is_sound = false,
            Table::Inline(records) => {
                for record in *records {
                    let item = read_row(record, faults);
                    kept.keep(record, item);
                }
            }
            Table::Csv(table) => {
                kept.is_sound = table.has_all_columns();
                table.each_record(faults, |record, faults| {
                    let item = read_row(&record, faults);
                    kept.keep(&record, item);
                });
            }
        }
        kept.is_sound &= faults.n_errors() == n_before;
        kept
    }
}

/// The place in the job file that names a table.
fn named_at(toml: &TomlText, field: &Field<'_>) -> Place {
    match &field.mark {
        Mark::Span(span) => toml.place(span),
        Mark::Line(_) | Mark::Field { .. } => toml.file_place(),
    }
}

/// The text of a file; `named_at` is where the file is asked for.
fn read_text(
    path: &Path,
    files: &dyn Files,
    named_at: &Place,
    faults: &mut Diagnostics,
) -> Found<String> {
    let shown = quoted(&path.display().to_string());
    let bytes = files.read(path).map_err(|fault| {
        let (code, what) = match fault {
            FileFault::Missing => (code::FILE_MISSING, format!("there is no file {shown}")),
            FileFault::Directory => (
                code::FILE_IS_DIRECTORY,
                format!("{shown} is a directory, not a file"),
            ),
            FileFault::NotAllowed => (
                code::FILE_UNREADABLE,
                format!("file {shown} may not be read"),
            ),
            FileFault::TooLarge { size } => (
                code::FILE_TOO_LARGE,
                format!("file {shown} has {size} bytes, the limit is {LARGEST_FILE}"),
            ),
            FileFault::Unreadable(kind) => (
                code::FILE_UNREADABLE,
                format!("file {shown} cannot be read: {kind}"),
            ),
        };
        faults.push(Diagnostic::error(code, named_at.clone(), what));
        Reported
    })?;
    decode(bytes).map_err(|fault| {
        let what = match fault {
            TextFault::Utf16 => "the file is UTF-16, not UTF-8".to_owned(),
            TextFault::Binary => "the file is not text".to_owned(),
            TextFault::NotUtf8 { byte, line } => {
                format!("byte 0x{byte:02x} on line {line} is not UTF-8 text")
            }
        };
        let hint = "save it as UTF-8; spreadsheets call it `CSV UTF-8`".to_owned();
        faults.push(
            Diagnostic::error(code::FILE_NOT_TEXT, Place::File(path.to_owned()), what)
                .with_hint(hint),
        );
        Reported
    })
}

#[cfg(test)]
mod rip_tests;
#[cfg(test)]
mod tests;

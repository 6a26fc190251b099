//! The tables of a job: where they stand, and what could be read of them.

use std::path::Path;

use super::csv_file::CsvTable;
use super::fields::{Found, Reported};
use super::files::{FileFault, Files};
use super::limits::{LARGEST_FILE, MOST_LISTED};
use super::record::{Field, Origin, Record};
use super::schema::Schema;
use super::text::{BYTE_ORDER_MARK, TableText, TextFault, decode, decode_table};
use super::toml_file::{Rows, TomlText};
use super::workbook::{BookFault, SheetText, file_and_sheet, sheet_text};
use crate::diag::{Diagnostic, Diagnostics, Place, code, quoted};

/// The tables that may be files of their own.
pub(super) struct Tables<'a> {
    pub(super) frames: &'a [Table<'a>],
    pub(super) pieces: &'a [Table<'a>],
    pub(super) boards: &'a [Table<'a>],
    pub(super) tally: &'a [Table<'a>],
    pub(super) rack: &'a [Table<'a>],
    pub(super) bought: &'a [Table<'a>],
    pub(super) sheet_stock: &'a [Table<'a>],
    pub(super) sheet_rack: &'a [Table<'a>],
    /// One for each way of buying; empty for those that name boards of the job.
    pub(super) yards: &'a [Vec<Table<'a>>],
}

impl<'a> Tables<'a> {
    /// All that are files of their own, in the order in which they tell the form of those that are written.
    pub(super) fn files(&self) -> impl Iterator<Item = &'a CsvTable> {
        let of_job = [
            self.frames,
            self.pieces,
            self.boards,
            self.tally,
            self.rack,
            self.bought,
            self.sheet_stock,
            self.sheet_rack,
        ];
        let of_yards = self.yards.iter().map(Vec::as_slice);
        of_job
            .into_iter()
            .chain(of_yards)
            .flatten()
            .filter_map(|table| match table {
                Table::Csv(table) => Some(&**table),
                Table::Unreadable | Table::Inline(_) => None,
            })
    }
}

/// What could be read of a table, and where each of it stands.
pub(super) struct Kept<'a, T> {
    pub(super) items: Vec<T>,
    pub(super) origins: Vec<Origin<'a>>,
    /// Rows that were there, faulty ones included.
    n_rows: usize,
    /// Whether all of the table could be read.
    pub(super) is_sound: bool,
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
    pub(super) fn keep(&mut self, record: &Record<'a>, item: Found<T>) {
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
    pub(super) fn append(&mut self, mut other: Kept<'a, T>) {
        self.items.append(&mut other.items);
        self.origins.append(&mut other.origins);
        self.n_rows += other.n_rows;
        self.is_sound &= other.is_sound;
    }

    /// What each row gave several of, one by one; what `check` refuses is reported by it.
    pub(super) fn flat<U>(self, mut check: impl FnMut(&U, &Origin<'a>) -> Found<()>) -> Kept<'a, U>
    where
        T: IntoIterator<Item = U>,
    {
        let mut kept = Kept {
            n_rows: self.n_rows,
            is_sound: self.is_sound,
            ..Kept::default()
        };
        for (row, origin) in self.items.into_iter().zip(self.origins) {
            for item in row {
                match check(&item, &origin) {
                    Ok(()) => {
                        kept.items.push(item);
                        kept.origins.push(origin.clone());
                    }
                    Err(Reported) => kept.is_sound = false,
                }
            }
        }
        kept
    }

    /// Whether there is no row, and no fault that could have hidden one.
    pub(super) fn is_nothing(&self) -> bool {
        self.n_rows == 0 && self.is_sound
    }
}

/// Rows of frames, pieces or boards, wherever they are.
pub(super) enum Table<'a> {
    /// They cannot be read, which has been reported.
    Unreadable,
    /// In the job file.
    Inline(&'a [Record<'a>]),
    /// In a file of their own.
    Csv(Box<CsvTable>),
}

impl<'a> Table<'a> {
    /// The tables under one name of the job file: none, one, or several files.
    pub(super) fn open(
        toml: &TomlText,
        rows: &'a Rows<'a>,
        schema: &'static Schema,
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
            let path = toml.folder().join(&*field.text);
            let of_shop = toml.is_of_shop().then(|| toml.folder());
            let read = |path: &Path| match of_shop {
                Some(folder) => files.read_of_shop(path, folder),
                None => files.read(path),
            };
            match read_table_by(&path, read, &field.origin.place(), faults) {
                Ok(text) => {
                    let table = CsvTable::open(&path, text, schema, faults);
                    Table::Csv(Box::new(table.of_shop(of_shop.is_some())))
                }
                Err(Reported) => Table::Unreadable,
            }
        };
        paths.iter().map(&mut open).collect()
    }

    /// Reads every row of some tables.
    pub(super) fn read<T>(
        tables: &'a [Table<'a>],
        faults: &mut Diagnostics,
        mut read_row: impl FnMut(&Record<'a>, &mut Diagnostics) -> Found<T>,
    ) -> Kept<'a, T> {
        Table::read_some(tables, faults, |record, faults| {
            read_row(record, faults).map(Some)
        })
    }

    /// Reads the rows of some tables, but those for which there is nothing to be read.
    pub(super) fn read_some<T>(
        tables: &'a [Table<'a>],
        faults: &mut Diagnostics,
        mut read_row: impl FnMut(&Record<'a>, &mut Diagnostics) -> Found<Option<T>>,
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
        read_row: &mut impl FnMut(&Record<'a>, &mut Diagnostics) -> Found<Option<T>>,
    ) -> Kept<'a, T> {
        let mut kept = Kept::default();
        let n_before = faults.n_errors();
        match self {
            Table::Unreadable => kept.is_sound = false,
            Table::Inline(records) => {
                for record in *records {
                    if let Some(item) = read_row(record, faults).transpose() {
                        kept.keep(record, item);
                    }
                }
            }
            Table::Csv(table) => {
                kept.is_sound = table.has_all_columns();
                table.each_record(faults, |record, faults| {
                    if let Some(item) = read_row(&record, faults).transpose() {
                        kept.keep(&record, item);
                    }
                });
            }
        }
        kept.is_sound &= faults.n_errors() == n_before;
        kept
    }
}

/// The text of a file; `named_at` is where the file is asked for.
pub(super) fn read_text(
    path: &Path,
    files: &dyn Files,
    named_at: &Place,
    faults: &mut Diagnostics,
) -> Found<String> {
    read_text_by(path, |path| files.read(path), named_at, faults)
}

/// The text of a file that is read by `read`.
pub(super) fn read_text_by(
    path: &Path,
    read: impl FnOnce(&Path) -> Result<Vec<u8>, FileFault>,
    named_at: &Place,
    faults: &mut Diagnostics,
) -> Found<String> {
    let bytes = read_bytes_by(path, read, named_at, faults)?;
    decode(bytes).map_err(|fault| not_text(path, fault, faults))
}

/// The text of a table that is read by `read`, whatever program has written it.
pub(super) fn read_table_by(
    path: &Path,
    read: impl FnOnce(&Path) -> Result<Vec<u8>, FileFault>,
    named_at: &Place,
    faults: &mut Diagnostics,
) -> Found<TableText> {
    let bytes = read_bytes_by(path, read, named_at, faults)?;
    match sheet_text(path, &bytes) {
        Some(Ok(mut sheet)) => Ok(TableText {
            sheet: Some(SheetText {
                text: String::new(),
                ..sheet.clone()
            }),
            ..TableText::plain(std::mem::take(&mut sheet.text))
        }),
        Some(Err(fault)) => {
            let hint = match &fault {
                BookFault::Unreadable(_) => {
                    "save it anew as `.xlsx`, `.ods` or CSV; a password must be taken off"
                        .to_owned()
                }
                BookFault::NoSuchSheet { has, .. } => format!("its sheets are {}", listed(has)),
                BookFault::SeveralSheets { has } => {
                    let file = file_and_sheet(path).0;
                    let file = file
                        .file_name()
                        .unwrap_or_default()
                        .to_string_lossy()
                        .into_owned();
                    let first = has.first().map_or("", String::as_str);
                    format!(
                        "name one, as in {}: {}",
                        quoted(&format!("{file}#{first}")),
                        listed(has)
                    )
                }
                BookFault::TooManyRows => "check that it is the right sheet".to_owned(),
            };
            faults.push(
                Diagnostic::error(code::NO_SHEET, named_at.clone(), fault.to_string())
                    .with_hint(hint),
            );
            Err(Reported)
        }
        None if WORKBOOKS.iter().any(|mark| bytes.starts_with(mark)) => {
            let shown = quoted(&path.display().to_string());
            let what = format!("{shown} is a workbook, and is not named as one that is read");
            let hint = "save it as `.xlsx`, `.ods` or CSV, and name that".to_owned();
            faults.push(Diagnostic::error(code::NO_SHEET, named_at.clone(), what).with_hint(hint));
            Err(Reported)
        }
        None => decode_table(&bytes).map_err(|fault| not_text(path, fault, faults)),
    }
}

/// How the bytes of workbooks begin: packed ones, and those of old programs.
const WORKBOOKS: [&[u8]; 2] = [b"PK\x03\x04", b"\xd0\xcf\x11\xe0"];

/// Names in backticks, as many as can be read.
fn listed(names: &[String]) -> String {
    let shown: Vec<String> = names
        .iter()
        .take(MOST_LISTED)
        .map(|name| quoted(name))
        .collect();
    shown.join(", ")
}

/// The text that a table has for its readers, so that it can be read again from that text alone; `None` where it has none.
pub fn table_text(path: &Path, bytes: &[u8]) -> Option<String> {
    match sheet_text(path, bytes) {
        Some(sheet) => sheet.ok().map(|sheet| sheet.text),
        None => decode_table(bytes).ok().map(|table| match table.encoding {
            // What was in another encoding is written with a mark, and so it is when it is read again.
            Some(_) => format!("{BYTE_ORDER_MARK}{}", table.text),
            None => table.text,
        }),
    }
}

/// The bytes of a file that is read by `read`.
fn read_bytes_by(
    path: &Path,
    read: impl FnOnce(&Path) -> Result<Vec<u8>, FileFault>,
    named_at: &Place,
    faults: &mut Diagnostics,
) -> Found<Vec<u8>> {
    let shown = quoted(&path.display().to_string());
    read(path).map_err(|fault| {
        let hint = match fault {
            FileFault::Special => Some("save it as a file; standard input is read by `-` alone, for a job, a plan or marks"),
            FileFault::Outside => {
                Some("put it into the folder of the job, or allow it with --tables-anywhere")
            }
            _ => None,
        };
        let (code, what) = match fault {
            FileFault::Missing => (code::FILE_MISSING, format!("there is no file {shown}")),
            FileFault::Directory => (
                code::FILE_IS_DIRECTORY,
                format!("{shown} is a directory, not a file"),
            ),
            FileFault::Special => (
                code::FILE_SPECIAL,
                format!("{shown} is a pipe or a device, not a file"),
            ),
            FileFault::Outside => (
                code::FILE_OUTSIDE,
                format!("file {shown} lies outside of the folder of the job"),
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
        let hint = hint.map(str::to_owned);
        faults.push(Diagnostic::error(code, named_at.clone(), what).with_hint(hint));
        Reported
    })
}

/// Reports that bytes are no text.
fn not_text(path: &Path, fault: TextFault, faults: &mut Diagnostics) -> Reported {
    let what = match fault {
        TextFault::Utf16 => "the file is UTF-16, not UTF-8".to_owned(),
        TextFault::Binary => "the file is not text".to_owned(),
        TextFault::NotUtf8 { byte, line } => {
            format!("byte 0x{byte:02x} on line {line} is not UTF-8 text")
        }
    };
    let hint = "save it as UTF-8; spreadsheets call it `CSV UTF-8`".to_owned();
    faults.push(
        Diagnostic::error(code::FILE_NOT_TEXT, Place::File(path.to_owned()), what).with_hint(hint),
    );
    Reported
}

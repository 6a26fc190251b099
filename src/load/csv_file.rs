//! Tables as spreadsheets write them.
//!
//! The reader finds the delimiter and the headings, matches these whatever their order, and turns each row of data into a
//! [`Record`].

use std::borrow::Cow;
use std::cell::{OnceCell, RefCell};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use csv::StringRecord;

use super::csv_rows::{CsvRows, Data, Row};
use super::decimals::told_marks;
use super::layout::{Heading, Layout};
use super::limits::{MOST_ERRORS, MOST_KINDS, MOST_ROWS};
use super::near::{did_you_mean, few};
use super::record::{Field, Mark, Origin, Record, Source};
use super::schema::{Kind, Meaning, Need, Schema, Shape, kebab};
use super::table_form::SeenForm;
use super::text::TableText;
use super::workbook::{SheetText, is_of_workbook};
use crate::diag::{Cell, Diagnostic, Diagnostics, Place, code, quoted, unguarded};
use crate::job::{LineEnd, Separator};
use crate::money::{DecimalMark, same_currency};

/// So many cells on either side of one with an error are shown with it: more than fit a line.
const CELLS_ROUND: usize = 12;

/// What the bytes of a table were.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum KeptAs {
    /// A text in UTF-8, as we write them.
    Utf8,
    /// The same with a byte order mark.
    MarkedUtf8,
    /// A text in another encoding.
    OtherText,
    /// A sheet of a workbook.
    Workbook,
}

/// A CSV table whose headings have been read.
pub(super) struct CsvTable {
    schema: &'static Schema,
    path: PathBuf,
    rows: CsvRows,
    /// The line of the headings, from 1; 0 where there are none.
    header_line: u64,
    layout: Layout,
    /// For each heading, the column it stands for; `None` for one that is not read.
    columns: Vec<Option<&'static str>>,
    /// What its bytes were.
    kept_as: KeptAs,
    /// Of a sheet of a workbook, what its text does not say.
    sheet: SheetText,
    /// Whether the headings could be matched without a fault.
    is_matched: bool,
    /// Which sign marks decimals in it, once that is asked for.
    decimal_mark: OnceCell<DecimalMark>,
    /// The sign of the currency that stands with its first price that has one.
    currency: OnceCell<&'static str>,
    /// Columns it does not have of which some row has been told that it needs them.
    lacking: RefCell<BTreeSet<&'static str>>,
    /// Whether the shop's file names it, not the job's.
    is_of_shop: bool,
    /// [`MOST_ROWS`] or [`MOST_KINDS`], but for tests.
    most_rows: usize,
}

impl CsvTable {
    /// Reads the headings of a table, and reports what is wrong with them.
    pub(super) fn open(
        path: &Path,
        text: TableText,
        schema: &'static Schema,
        faults: &mut Diagnostics,
    ) -> CsvTable {
        let TableText {
            text,
            encoding,
            is_marked,
            sheet,
        } = text;
        let mut table = CsvTable {
            schema,
            path: path.to_owned(),
            rows: CsvRows::new(text),
            header_line: 0,
            layout: Layout {
                head_idx: 0,
                headings: Vec::new(),
            },
            columns: Vec::new(),
            kept_as: match encoding {
                _ if is_of_workbook(path) => KeptAs::Workbook,
                Some(_) => KeptAs::OtherText,
                None if is_marked => KeptAs::MarkedUtf8,
                None => KeptAs::Utf8,
            },
            sheet: sheet.unwrap_or_default(),
            is_matched: false,
            decimal_mark: OnceCell::new(),
            currency: OnceCell::new(),
            lacking: RefCell::default(),
            is_of_shop: false,
            most_rows: match schema.name {
                "boards" | "tally" | "rack" | "bought" | "sheet-stock" | "sheet-rack" => MOST_KINDS,
                _ => MOST_ROWS,
            },
        };
        let first = table.rows.all().iter().take(Layout::ROWS_SEEN);
        let first: Vec<Vec<&str>> = first.map(|row| row.fields.iter().collect()).collect();
        if first.is_empty() {
            let what = "the table is empty: its first row must name the columns";
            faults.push(
                Diagnostic::error(code::MISSING_COLUMN, table.file_place(), what)
                    .with_hint(columns_are(schema)),
            );
            return table;
        }
        table.layout = Layout::of(&first, schema);
        let line = table.rows.all()[table.layout.head_idx].line;
        table.header_line = line;
        let n_before = faults.n_errors();
        table.match_columns(line, faults);
        table.report_merged_counts(faults);
        table.is_matched = faults.n_errors() == n_before;
        if table.is_matched {
            table.say_what_was_made_of_it(encoding, faults);
        }
        table
    }

    /// Notes what is not read, and what was understood in another way than it stands there; nothing of a table in our form.
    fn say_what_was_made_of_it(&self, encoding: Option<&'static str>, faults: &mut Diagnostics) {
        let mut said = Vec::new();
        if let Some(encoding) = encoding {
            let letter = self
                .rows
                .text()
                .split_whitespace()
                .find(|word| !word.is_ascii());
            let such_as = letter.map(|word| format!(", such as {}", quoted(word)));
            said.push(format!("read as {encoding}{}", such_as.unwrap_or_default()));
        }
        let titles = self.rows.all()[..self.layout.head_idx].iter();
        let titles = titles.map(|row| row.line);
        if self.layout.head_idx > 0 {
            said.push(format!(
                "the headings are in {}",
                Self::lines([self.header_line])
            ));
        }
        let understood = self.layout.headings.iter().zip(&self.columns);
        let understood = understood.filter_map(|(heading, name)| {
            let unit = heading.unit.map(|unit| format!(" in {}", unit.symbol()));
            let per = heading.per.as_ref().map(|per| format!(" per {per}"));
            let name = (*name)?;
            (!heading.is_plain() || heading.unit_of.is_some()).then(|| {
                let measure = unit.or(per).unwrap_or_default();
                let of = heading.unit_of.as_deref().map(quoted);
                let of = of.map_or_else(String::new, |of| format!(", the unit of {of}"));
                format!("{} is read as `{name}`{measure}{of}", quoted(&heading.text))
            })
        });
        said.extend(understood);
        if self.schema.shape != Shape::Apart {
            let others = self.layout.headings.iter().zip(&self.columns);
            let others =
                others.filter(|(heading, name)| name.is_none() && !heading.text.is_empty());
            let others: Vec<String> = others.map(|(heading, _)| quoted(&heading.text)).collect();
            if !others.is_empty() {
                said.push(format!("not read: {}", few(others, ", ")));
            }
        }
        said.extend(self.sheet.notes.iter().cloned());
        let passed_over: Vec<u64> = titles.chain(self.data().others.iter().copied()).collect();
        if !passed_over.is_empty() {
            said.push(format!("no data in {}", Self::lines(passed_over)));
        }
        if !said.is_empty() {
            faults.push(Diagnostic::note(
                code::LIST_AS_READ,
                self.file_place(),
                said.join("; "),
            ));
        }
    }

    /// Reports counts in cells that are merged over several rows: whether each row has as many is not told.
    fn report_merged_counts(&self, faults: &mut Diagnostics) {
        for &(first, last, field_idx) in &self.sheet.merged {
            let column = self.columns.get(field_idx).copied().flatten();
            let column = column.and_then(|name| self.schema.column(name));
            let is_count = column.is_some_and(|column| matches!(column.kind, Kind::Count(_)));
            if first <= self.header_line || !is_count {
                continue;
            }
            let what =
                format!("one number stands in a cell that is merged over lines {first} to {last}");
            let hint = "take the cell apart, and write how many are meant into each row";
            faults.push(
                Diagnostic::error(
                    code::NOT_A_QUANTITY,
                    self.field_place(first, field_idx),
                    what,
                )
                .with_hint(hint.to_owned()),
            );
        }
    }

    /// Lines by their numbers, as `lines 1 to 3, 27`.
    fn lines(lines: impl IntoIterator<Item = u64>) -> String {
        let mut runs: Vec<(u64, u64)> = Vec::new();
        for line in lines {
            match runs.last_mut() {
                Some((_, last)) if *last + 1 == line => *last = line,
                _ => runs.push((line, line)),
            }
        }
        let is_one = matches!(runs[..], [(from, to)] if from == to);
        let runs = runs.into_iter().map(|(from, to)| match to - from {
            0 => from.to_string(),
            1 => format!("{from}, {to}"),
            _ => format!("{from} to {to}"),
        });
        let noun = if is_one { "line" } else { "lines" };
        format!("{noun} {}", few(runs.collect(), ", "))
    }

    /// Which rows are data.
    fn data(&self) -> &Data {
        self.rows.data(|| {
            let mut data = Data::default();
            let mut below = self.layout.below();
            let rows = self.rows.all().iter().enumerate();
            for (idx, row) in rows.skip(self.layout.head_idx + 1) {
                let cells: Vec<&str> = row.fields.iter().collect();
                if below.is_data(&cells) {
                    data.rows.push(idx);
                } else {
                    data.others.push(row.line);
                }
            }
            data
        })
    }

    /// The rows of data.
    fn data_rows(&self) -> impl Iterator<Item = &Row> {
        self.data().rows.iter().map(|idx| &self.rows.all()[*idx])
    }

    /// Calls `each` with every row that is not empty, until the faults are too many.
    pub(super) fn each_record<'a>(
        &'a self,
        faults: &mut Diagnostics,
        mut each: impl FnMut(Record<'a>, &mut Diagnostics),
    ) {
        let n_before = faults.n_errors();
        for (n_rows, Row { line, fields }) in self.data_rows().enumerate() {
            let line = *line;
            if n_rows == self.most_rows {
                let what = format!("the table has more than {} rows", self.most_rows);
                faults.push(Diagnostic::error(
                    code::TOO_MANY_ROWS,
                    self.row_place(line),
                    what,
                ));
                return;
            }
            if faults.n_errors() - n_before >= MOST_ERRORS {
                let what = format!("reading ended here after {MOST_ERRORS} errors");
                faults.push(Diagnostic::error(
                    code::TOO_MANY_ERRORS,
                    self.row_place(line),
                    what,
                ));
                return;
            }
            if let Some(record) = self.record(line, fields, faults) {
                each(record, faults);
            }
        }
    }

    /// Whether the header has this column.
    pub(super) fn has_column(&self, name: &str) -> bool {
        self.columns.contains(&Some(name))
    }

    /// Whether every column of the header is known and every required one is there.
    pub(super) fn has_all_columns(&self) -> bool {
        self.is_matched
    }

    /// Which sign marks decimals: what all numbers that can be read in one way only agree on.
    pub(super) fn decimal_mark(&self) -> DecimalMark {
        *self.decimal_mark.get_or_init(|| {
            let is_number = |name: &&str| {
                let column = self.schema.column(name);
                column.is_some_and(|column| {
                    matches!(
                        column.kind,
                        Kind::Length(_)
                            | Kind::Thickness
                            | Kind::Price
                            | Kind::Amount
                            | Kind::Defects
                    )
                })
            };
            let numbers = self
                .columns
                .iter()
                .map(|name| name.is_some_and(|name| is_number(&name)));
            let numbers: Vec<bool> = numbers.collect();
            let mut seen = [false; 2];
            for Row { line, fields } in self.data_rows() {
                let cells = fields.iter().zip(&numbers).enumerate();
                let cells = cells.filter(|(idx, (_, is_number))| {
                    **is_number && !self.is_sheet_number(*line, *idx)
                });
                for mark in cells.flat_map(|(_, (cell, _))| told_marks(cell)) {
                    seen[usize::from(mark == DecimalMark::Comma)] = true;
                }
            }
            match seen {
                [true, false] => DecimalMark::Point,
                [false, true] => DecimalMark::Comma,
                _ => DecimalMark::Either,
            }
        })
    }

    /// Whether a field is a number in the sheet of a workbook, so that its decimal mark is ours.
    pub(super) fn is_sheet_number(&self, line: u64, field_idx: usize) -> bool {
        self.sheet.numbers.contains(&(line, field_idx))
    }

    /// Whether lengths may have their decimals after a comma: where it does not part the fields, or numbers say so.
    pub(super) fn has_decimal_comma(&self) -> bool {
        match self.decimal_mark() {
            DecimalMark::Comma => true,
            DecimalMark::Point => false,
            DecimalMark::Either => self.rows.delimiter() == b';',
        }
    }

    /// The form it has, as far as it tells; `None` of a sheet of a workbook, and of a table of one column.
    pub(super) fn form(&self) -> Option<SeenForm> {
        if self.kept_as == KeptAs::Workbook || self.layout.headings.len() < 2 {
            return None;
        }
        let text = self.rows.text();
        let first_end = text.find('\n').unwrap_or_default();
        Some(SeenForm {
            separator: Separator::ALL
                .into_iter()
                .find(|separator| separator.byte() == self.rows.delimiter())?,
            decimal_comma: match self.decimal_mark() {
                DecimalMark::Point => Some(false),
                DecimalMark::Comma => Some(true),
                DecimalMark::Either => None,
            },
            byte_order_mark: self.kept_as != KeptAs::Utf8,
            line_end: if text[..first_end].ends_with('\r') {
                LineEnd::Crlf
            } else {
                LineEnd::Lf
            },
        })
    }

    /// The sign of the currency that the table has its prices in, if that is another one than `sign`.
    pub(super) fn other_currency(&self, sign: &'static str) -> Option<&'static str> {
        let first = *self.currency.get_or_init(|| sign);
        (!same_currency(first, sign)).then_some(first)
    }

    /// Whether it is a text file in UTF-8 with nothing in it but what is read, as we write them.
    pub(super) fn is_ours(&self) -> bool {
        let are_read = self.layout.headings.iter().zip(&self.columns);
        let mut are_read =
            are_read.map(|(heading, column)| column.is_some() || heading.text.is_empty());
        matches!(self.kept_as, KeptAs::Utf8 | KeptAs::MarkedUtf8)
            && self.layout.head_idx == 0
            && are_read.all(|is_read| is_read)
            && self.data().others.is_empty()
    }

    /// Whether a row is the first that is told to lack something, or the table has a column for it.
    pub(super) fn is_first_to_lack(&self, name: &'static str) -> bool {
        self.has_column(name) || self.lacking.borrow_mut().insert(name)
    }

    /// What the heading above a field says of it.
    pub(super) fn heading(&self, field_idx: usize) -> Option<&Heading> {
        self.layout.headings.get(field_idx)
    }

    /// The same table, as one that the shop's file names if `is_of_shop`.
    pub(super) fn of_shop(self, is_of_shop: bool) -> CsvTable {
        CsvTable { is_of_shop, ..self }
    }

    /// Whether the shop's file names it, not the job's.
    pub(super) fn is_of_shop(&self) -> bool {
        self.is_of_shop
    }

    /// Where its file lies.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// The name of its file without the extension.
    pub(super) fn stem(&self) -> Cow<'_, str> {
        self.path.file_stem().unwrap_or_default().to_string_lossy()
    }

    /// The table as a whole.
    pub(super) fn file_place(&self) -> Place {
        Place::File(self.path.clone())
    }

    /// A row of it.
    pub(super) fn row_place(&self, line: u64) -> Place {
        Place::Row {
            path: self.path.clone(),
            line,
            row: self.cells(line, 0).0,
        }
    }

    /// A field of it.
    pub(super) fn field_place(&self, line: u64, field_idx: usize) -> Place {
        if field_idx >= self.layout.headings.len() {
            return self.row_place(line);
        }
        let (row, cell_idx) = self.cells(line, field_idx);
        Place::Field {
            path: self.path.clone(),
            line,
            row,
            cell_idx,
            field_idx,
        }
    }

    /// The first cell of a row and those round `field_idx`, and which of them that one is.
    fn cells(&self, line: u64, field_idx: usize) -> (Vec<Cell>, usize) {
        let row = self.rows.on_line(line);
        let n_cells = row.map_or(0, StringRecord::len);
        let from = field_idx.saturating_sub(CELLS_ROUND).max(1);
        let to = (field_idx + CELLS_ROUND).min(n_cells);
        let shown = (0..1).chain(from..to.max(from));
        let cells = shown.filter_map(|idx| {
            let text = row?.get(idx)?.trim();
            Some(if line == self.header_line {
                Cell::new(text, "")
            } else {
                let heading = self
                    .heading(idx)
                    .map_or("", |heading| heading.text.as_str());
                Cell::new(heading, text)
            })
        });
        let cell_idx = if field_idx == 0 {
            0
        } else {
            field_idx + 1 - from
        };
        (cells.collect(), cell_idx)
    }

    /// Finds for each heading the column it stands for.
    fn match_columns(&mut self, line: u64, faults: &mut Diagnostics) {
        let headings = self.layout.headings.clone();
        self.columns = vec![None; headings.len()];
        // A file that is no table of ours at all may be anything; nothing of it is shown.
        if !self.layout.is_known() {
            let what = "this is no such table: its first row names none of the columns";
            faults.push(
                Diagnostic::error(code::MISSING_COLUMN, self.file_place(), what)
                    .with_hint(columns_are(self.schema)),
            );
            return;
        }
        let columns = self.layout.columns();
        self.columns = columns
            .iter()
            .map(|column| column.map(|column| column.name))
            .collect();
        for (field_idx, heading) in headings.iter().enumerate() {
            if let Some(column) = heading.column()
                && columns[field_idx].is_none()
                && !self.layout.is_superseded(heading)
            {
                let what = format!("column `{}` appears twice", column.name);
                let place = self.field_place(line, field_idx);
                faults.push(Diagnostic::error(code::DUPLICATE_COLUMN, place, what));
            }
        }
        // Pictures may have titles, and frames be something else.
        let first = self.schema.columns.first().map(|column| column.name);
        let of_name = headings.iter().enumerate();
        let of_name =
            of_name.filter(|(_, heading)| heading.column().map(|column| column.name) == first);
        if let [(one_idx, one), (_, other)] = of_name.collect::<Vec<_>>()[..]
            && (self.layout.is_superseded(one) || self.layout.is_superseded(other))
        {
            let what = format!(
                "{} and {} may both be what a row is called",
                quoted(&one.text),
                quoted(&other.text)
            );
            let hint =
                "rename the one that is something else; what frames are made of is `moulding`";
            faults.push(
                Diagnostic::error(code::HEADING_OPEN, self.field_place(line, one_idx), what)
                    .with_hint(hint.to_owned()),
            );
        }
        let lacking = |table: &CsvTable| {
            let mut names = table.schema.names();
            names.retain(|name| !table.has_column(name));
            names
        };
        let mut meant: Vec<String> = Vec::new();
        for (field_idx, heading) in headings.iter().enumerate() {
            let place = || self.field_place(line, field_idx);
            let lacking = lacking(self);
            match &heading.meaning {
                Meaning::OneOf(names) if names.iter().any(|name| lacking.contains(name)) => {
                    let what = format!(
                        "{} may mean `{}`",
                        quoted(&heading.text),
                        names.join("` or `")
                    );
                    let hint = "rename it: take the one that is meant, or a word of your own for a column that is not to be read";
                    faults.push(
                        Diagnostic::error(code::HEADING_OPEN, place(), what)
                            .with_hint(hint.to_owned()),
                    );
                }
                Meaning::Unknown if self.schema.shape != Shape::Apart => {
                    if let Some(hint) = did_you_mean(&kebab(&heading.text), lacking) {
                        let what = format!("unknown column {}", quoted(&heading.text));
                        meant.push(hint.clone());
                        faults.push(
                            Diagnostic::error(code::UNKNOWN_COLUMN, place(), what).with_hint(hint),
                        );
                    }
                }
                _ => {}
            }
        }
        // What is missing may be what another heading was meant for.
        let is_open = |name: &str| {
            let mut all = headings.iter();
            all.any(|heading| matches!(&heading.meaning, Meaning::OneOf(names) if names.contains(&name)))
        };
        for column in self.schema.columns {
            let is_needed = matches!(column.need, Need::Always | Need::AsHeading);
            let is_misspelled = meant.iter().any(|hint| hint.contains(&quoted(column.name)));
            let is_told = is_misspelled || is_open(column.name);
            if is_needed && !self.has_column(column.name) && !is_told {
                let what = format!("column `{}` is missing", column.name);
                faults.push(
                    Diagnostic::error(code::MISSING_COLUMN, self.row_place(line), what)
                        .with_hint(columns_are(self.schema)),
                );
            }
        }
    }

    /// The row as a record, unless its fields cannot be told apart.
    fn record<'a>(
        &'a self,
        line: u64,
        row: &StringRecord,
        faults: &mut Diagnostics,
    ) -> Option<Record<'a>> {
        if let Some(field_idx) = row.iter().position(|field| field.contains(['\n', '\r'])) {
            let what = "a field runs over several lines";
            faults.push(
                Diagnostic::error(code::OPEN_QUOTE, self.field_place(line, field_idx), what)
                    .with_hint("is a closing quote missing?".to_owned()),
            );
            return None;
        }
        let n_extra = row
            .iter()
            .skip(self.layout.headings.len())
            .filter(|field| !field.trim().is_empty());
        if row.len() < self.layout.headings.len() || n_extra.count() > 0 {
            let what = format!(
                "the row has {}, the header has {}",
                counted(row.len(), "field"),
                counted(self.layout.headings.len(), "column")
            );
            let hint = "put a field that holds the separator in double quotes; an empty field keeps its separator";
            faults.push(
                Diagnostic::error(code::FIELD_COUNT, self.row_place(line), what)
                    .with_hint(hint.to_owned()),
            );
            return None;
        }
        let fields = row
            .iter()
            .zip(&self.columns)
            .enumerate()
            .filter_map(|(field_idx, (text, column))| {
                let text = text.trim();
                let name = (*column)?;
                (!text.is_empty()).then(|| Field {
                    name,
                    text: Cow::Owned(unguarded(text).into_owned()),
                    origin: Origin {
                        source: Source::Csv(self),
                        mark: Mark::Field { line, field_idx },
                    },
                })
            })
            .collect();
        Some(Record {
            schema: self.schema,
            origin: Origin {
                source: Source::Csv(self),
                mark: Mark::Line(line),
            },
            fields,
            spoiled: Vec::new(),
            lists: Vec::new(),
        })
    }
}

/// A hint that names all columns.
fn columns_are(schema: &Schema) -> String {
    format!("columns are `{}`", schema.names().join("`, `"))
}

/// `1 field`, `2 fields`.
fn counted(number: usize, noun: &str) -> String {
    let plural = if number == 1 { "" } else { "s" };
    format!("{number} {noun}{plural}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::load::schema::BOARDS;

    #[test]
    fn reading_ends_when_a_table_has_too_many_rows() {
        let text = "board,length\n\na,1\nb,1\nc,1\nd,1\n".to_owned();
        let mut faults = Diagnostics::default();
        let text = TableText::plain(text);
        let mut table = CsvTable::open(Path::new("boards.csv"), text, &BOARDS, &mut faults);
        assert_eq!(table.most_rows, 20_000);
        table.most_rows = 3;
        let mut n_rows = 0;
        table.each_record(&mut faults, |_, _| n_rows += 1);
        assert_eq!(n_rows, 3);
        assert_eq!(
            faults.into_sorted()[0].to_string(),
            "boards.csv, line 6: error: the table has more than 3 rows (E024)"
        );
    }
}

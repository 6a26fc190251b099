//! Rows of a table in the form that the job asks for: texts, numbers, and lengths in two units.

use csv::{Terminator, Writer, WriterBuilder};

use crate::diag::guarded;
use crate::job::{Display, LineEnd, TableForm};
use crate::length::{Length, Unit, exact_in_unit};

/// A table under way: records of texts.
pub(super) struct Records {
    form: TableForm,
    writer: Writer<Vec<u8>>,
}

impl Records {
    /// Begins a table with its header.
    pub(super) fn new(form: TableForm, header: &[String]) -> Records {
        let writer = WriterBuilder::new()
            .delimiter(form.separator.byte())
            .terminator(match form.line_end {
                LineEnd::Lf => Terminator::Any(b'\n'),
                LineEnd::Crlf => Terminator::CRLF,
            })
            .from_writer(Vec::new());
        let mut records = Records { form, writer };
        records.record(header);
        records
    }

    /// Adds a record, whose texts are guarded already.
    pub(super) fn record(&mut self, record: &[String]) {
        self.writer
            .write_record(record)
            .expect("memory takes all rows, and all are equally long");
    }

    pub(super) fn into_text(self) -> String {
        let bytes = self
            .writer
            .into_inner()
            .unwrap_or_else(|_| unreachable!("memory takes all that is buffered"));
        let text = String::from_utf8(bytes).expect("made of strings only");
        if self.form.byte_order_mark {
            format!("\u{feff}{text}")
        } else {
            text
        }
    }
}

/// A table under way: rows of texts, numbers and lengths.
pub(super) struct Rows {
    unit: Unit,
    columns: Vec<Kind>,
    records: Records,
}

/// What a column of a table holds.
#[derive(Clone, Copy)]
enum Kind {
    Text,
    Length,
}

/// A cell of a table.
pub(super) enum Cell {
    Text(String),
    /// A number with a decimal point, or nothing.
    Decimal(String),
    /// Words with figures that have a decimal point.
    Figures(String),
    Length(Option<Length>),
}

impl<T: Into<String>> From<T> for Cell {
    fn from(text: T) -> Cell {
        Cell::Text(text.into())
    }
}

/// A count.
pub(super) fn number(count: impl Into<u64>) -> Cell {
    Cell::Text(count.into().to_string())
}

/// A number with a decimal point, such as an amount or an angle; or nothing.
pub(super) fn decimal(number: impl Into<String>) -> Cell {
    Cell::Decimal(number.into())
}

/// Words with figures that have a decimal point, and no names.
pub(super) fn figures(words: impl Into<String>) -> Cell {
    Cell::Figures(words.into())
}

/// A length, or nothing.
pub(super) fn length(length: impl Into<Option<Length>>) -> Cell {
    Cell::Length(length.into())
}

impl Rows {
    /// Begins a table in the form and with the unit of a job.
    ///
    /// Columns whose name ends in `@` hold lengths: such a column is written in the job's unit where it stands, and
    /// again in nanometers at the end of the row.
    pub(super) fn new(display: &Display, heads: &[&str]) -> Rows {
        let unit = display.unit;
        let columns: Vec<Kind> = heads
            .iter()
            .map(|head| {
                if head.ends_with('@') {
                    Kind::Length
                } else {
                    Kind::Text
                }
            })
            .collect();
        let in_unit = heads.iter().map(|head| match head.strip_suffix('@') {
            Some(name) => format!("{name}-{}", unit.symbol()),
            None => (*head).to_owned(),
        });
        let in_nm = heads
            .iter()
            .filter_map(|head| head.strip_suffix('@').map(|name| format!("{name}-nm")));
        let header: Vec<String> = in_unit.chain(in_nm).collect();
        Rows {
            unit,
            columns,
            records: Records::new(display.tables, &header),
        }
    }

    /// Adds a row with a cell for each head.
    pub(super) fn row(&mut self, cells: Vec<Cell>) {
        debug_assert_eq!(cells.len(), self.columns.len(), "a cell for each column");
        let mut record = Vec::with_capacity(cells.len() * 2);
        let mut in_nm = Vec::new();
        let form = self.records.form;
        for (cell, kind) in cells.into_iter().zip(&self.columns) {
            debug_assert_eq!(
                matches!(cell, Cell::Length(_)),
                matches!(kind, Kind::Length),
                "lengths stand in columns of lengths"
            );
            match cell {
                Cell::Text(text) => record.push(guarded(text)),
                Cell::Decimal(number) => record.push(form.decimal(&number)),
                Cell::Figures(words) => record.push(guarded(form.figures(&words))),
                Cell::Length(None) => {
                    record.push(String::new());
                    in_nm.push(String::new());
                }
                Cell::Length(Some(length)) => {
                    record.push(form.decimal(&in_unit(length, self.unit)));
                    in_nm.push(length.nm().to_string());
                }
            }
        }
        record.append(&mut in_nm);
        self.records.record(&record);
    }

    pub(super) fn into_text(self) -> String {
        self.records.into_text()
    }
}

/// A length as a decimal number of `unit`: exact, or to nine places where it has no finite decimal.
fn in_unit(length: Length, unit: Unit) -> String {
    exact_in_unit(length, unit).unwrap_or_else(|| {
        let one = i128::from(unit.length().nm());
        let sign = if length < Length::ZERO { "-" } else { "" };
        let nm = i128::from(length.nm()).abs();
        let billionths = (nm * 1_000_000_000 + one / 2) / one;
        let text = format!(
            "{sign}{}.{:09}",
            billionths / 1_000_000_000,
            billionths % 1_000_000_000
        );
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    })
}

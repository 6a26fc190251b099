//! A row of named texts with their places: what a table of the job file and a row of a CSV file have in common.
//!
//! Everything above this file reads records and does not know which of the two it has before it.

use std::borrow::Cow;
use std::ops::Range;

use super::csv_file::CsvTable;
use super::decimals::told_mark;
use super::layout::Heading;
use super::schema::Schema;
use super::toml_file::TomlText;
use crate::diag::Place;
use crate::money::DecimalMark;

/// The file a record stands in.
#[derive(Clone, Copy)]
pub(super) enum Source<'a> {
    /// The job file, or that of its shop.
    Toml(&'a TomlText),
    /// A table.
    Csv(&'a CsvTable),
}

impl Source<'_> {
    /// Whether it is the shop's file, or a table that this one names.
    pub(super) fn is_of_shop(self) -> bool {
        match self {
            Source::Toml(toml) => toml.is_of_shop(),
            Source::Csv(table) => table.is_of_shop(),
        }
    }
}

/// Where in its file something stands.
#[derive(Clone, Debug)]
pub(super) enum Mark {
    /// Bytes of the job file.
    Span(Range<usize>),
    /// A line of a table, from 1.
    Line(u64),
    /// A field of a table.
    Field {
        /// Line, from 1.
        line: u64,
        /// Index of the field in its row.
        field_idx: usize,
    },
}

/// Something in a file, kept until it is known whether it is at fault.
#[derive(Clone)]
pub(super) struct Origin<'a> {
    pub(super) source: Source<'a>,
    pub(super) mark: Mark,
}

impl Field<'_> {
    /// Whether a length in it may have its decimals after a comma.
    ///
    /// In the job file one stands for decimals where it can stand for nothing else.
    pub(super) fn has_decimal_comma(&self) -> bool {
        if let Some(mark) = self.sheet_mark() {
            return mark == DecimalMark::Comma;
        }
        match self.origin.source {
            Source::Toml(_) => told_mark(&self.text) == Some(DecimalMark::Comma),
            Source::Csv(table) => table.has_decimal_comma(),
        }
    }

    /// Which sign marks decimals of an amount of money in it.
    ///
    /// A number of TOML has a point.
    pub(super) fn decimal_mark(&self) -> DecimalMark {
        if let Some(mark) = self.sheet_mark() {
            return mark;
        }
        match self.origin.source {
            Source::Toml(_) if self.text.contains(',') => DecimalMark::Either,
            Source::Toml(_) => DecimalMark::Point,
            Source::Csv(table) => table.decimal_mark(),
        }
    }

    /// Which sign marks its decimals where it is a number in the sheet of a workbook; texts there have theirs.
    fn sheet_mark(&self) -> Option<DecimalMark> {
        match (self.origin.source, &self.origin.mark) {
            (Source::Csv(table), Mark::Field { line, field_idx })
                if table.is_sheet_number(*line, *field_idx) =>
            {
                let has_comma = self.text.contains(',');
                Some(if has_comma {
                    DecimalMark::Comma
                } else {
                    DecimalMark::Point
                })
            }
            _ => None,
        }
    }

    /// The heading above it, in a table.
    pub(super) fn heading(&self) -> Option<&Heading> {
        match (self.origin.source, &self.origin.mark) {
            (Source::Csv(table), Mark::Field { field_idx, .. }) => table.heading(*field_idx),
            _ => None,
        }
    }
}

impl Origin<'_> {
    /// Its place.
    pub(super) fn place(&self) -> Place {
        match (self.source, &self.mark) {
            (Source::Toml(toml), Mark::Span(span)) => toml.place(span),
            (Source::Csv(table), Mark::Line(line)) => table.row_place(*line),
            (Source::Csv(table), Mark::Field { line, field_idx }) => {
                table.field_place(*line, *field_idx)
            }
            (Source::Toml(toml), Mark::Line(_) | Mark::Field { .. }) => toml.file_place(),
            (Source::Csv(table), Mark::Span(_)) => table.file_place(),
        }
    }
}

/// A text under its name.
#[derive(Clone)]
pub(super) struct Field<'a> {
    pub(super) name: &'static str,
    /// Trimmed; of a number in the job file, the digits as they were written.
    pub(super) text: Cow<'a, str>,
    pub(super) origin: Origin<'a>,
}

/// A row of named texts.
#[derive(Clone)]
pub(super) struct Record<'a> {
    /// What it may hold.
    pub(super) schema: &'static Schema,
    pub(super) origin: Origin<'a>,
    /// Only what was filled; each name once, but of a list each of its items.
    pub(super) fields: Vec<Field<'a>>,
    /// Names that were filled with something that is no text or number, which has been reported.
    pub(super) spoiled: Vec<&'static str>,
    /// Names that were filled with a list.
    pub(super) lists: Vec<&'static str>,
}

impl<'a> Record<'a> {
    /// The field of this name, if it is filled.
    pub(super) fn field(&self, name: &str) -> Option<&Field<'a>> {
        self.fields.iter().find(|field| field.name == name)
    }

    /// The items of a list under this name; `None` where there is none.
    pub(super) fn list(&self, name: &str) -> Option<impl Iterator<Item = &Field<'a>>> {
        let is_list = self.lists.contains(&name);
        is_list.then(|| self.fields.iter().filter(move |field| field.name == name))
    }

    /// Whether it is known already that this name has no usable text.
    pub(super) fn is_spoiled(&self, name: &str) -> bool {
        let without_column = match self.origin.source {
            Source::Toml(_) => false,
            Source::Csv(table) => !table.has_column(name),
        };
        without_column || self.spoiled.contains(&name)
    }

    /// All texts of a list of this name.
    pub(super) fn all<'r>(&'r self, name: &'static str) -> impl Iterator<Item = &'r Field<'a>> {
        self.fields.iter().filter(move |field| field.name == name)
    }

    /// Takes from another record what this one does not say itself.
    pub(super) fn fall_back_on(&mut self, other: Record<'a>) {
        let is_said = |name: &str| {
            self.fields.iter().any(|field| field.name == name) || self.spoiled.contains(&name)
        };
        let fields = other
            .fields
            .into_iter()
            .filter(|field| !is_said(field.name));
        let fields: Vec<Field<'a>> = fields.collect();
        let spoiled = other.spoiled.into_iter().filter(|name| !is_said(name));
        let spoiled: Vec<&'static str> = spoiled.collect();
        self.fields.extend(fields);
        self.spoiled.extend(spoiled);
    }
}

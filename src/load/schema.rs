//! What a job file and the tables beside it may hold: one list of tables and columns, from which all readers work.
//!
//! A reader asks for a value by the name of its column; whether it is needed, what kind of value it is, its limits and
//! its default stand here, and so do the headings that are accepted and the hints for those that are not.

mod guide;
// Words stand beside their columns.
#[rustfmt::skip]
mod headings;
mod json;
// Tables are read by rows.
#[rustfmt::skip]
mod list;

use std::ops::RangeInclusive;

pub use guide::columns_guide;
pub use json::job_schema;
pub use list::{
    ASSEMBLY, BOARDS, BOUGHT, BUYING, FRAMES, HANGING, HARDWARE, HEAD, IN_HAND, JOB, LABELS, MARKS,
    MOULDINGS, PIECES, PRICE, PRICE_LIST, RACK, RIP, SAW, SHEET_RACK, SHEET_STOCK, SHEETS, SHOP,
    SIZE_LIST, SPACERS, TABLES, TALLY, WAYS,
};

/// A table of the job file, or one that is a file of its own.
#[derive(Debug)]
pub struct Schema {
    /// Its key in the job file; empty for the keys above the first table.
    pub name: &'static str,
    /// How it is written.
    pub shape: Shape,
    /// Its keys or columns, in the order in which they are listed.
    pub columns: &'static [Column],
    /// What one of its rows is, or what the table as a whole is for.
    pub meaning: &'static str,
}

/// How a table is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// The keys above the first table of the job file.
    Head,
    /// A table that stands once in the job file, such as `[saw]`.
    Once,
    /// A list of tables in the job file, such as `[[mouldings]]`.
    List,
    /// A list of tables in the job file, or one or more CSV files named there.
    ListOrFiles,
    /// A CSV file that the job file does not name; columns that are not listed are passed over.
    Apart,
}

/// A key of the job file, or a column of a table.
#[derive(Debug)]
pub struct Column {
    /// In kebab case, as key and as heading.
    pub name: &'static str,
    /// Other headings of a table that mean the same.
    pub aliases: &'static [&'static str],
    /// Whether it must be there.
    pub need: Need,
    /// What its values are.
    pub kind: Kind,
    /// What an empty or absent value means, written as a user would write it; `None` where that is no single value.
    pub default: Option<&'static str>,
    /// What it says, in a few words.
    pub meaning: &'static str,
}

/// What a heading stands for.
#[derive(Clone, Debug)]
pub(crate) enum Meaning {
    /// A column.
    Column(&'static Column),
    /// One of several, whose names these are.
    OneOf(Vec<&'static str>),
    /// None that is known.
    Unknown,
}

/// Whether a value must be there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// In every row.
    Always,
    /// In every row that stands in the job file; a table has another way to know it.
    InJobFile,
    /// A table must have the column, though its fields may be empty.
    AsHeading,
    /// It may be empty or absent.
    Never,
}

/// What the values of a column are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A text fit for a list.
    Name,
    /// A list of such texts.
    Names,
    /// The code or sign of a currency.
    Currency,
    /// A length, bare numbers in the unit of the job.
    Length(Least),
    /// A length, or quarters of an inch such as `5/4`.
    Thickness,
    /// A step of rounding, one of a few for inches and of others for metric units.
    Rounding,
    /// A whole number in a range.
    Count(RangeInclusive<u32>),
    /// One of a few words, in any case.
    Word(&'static [&'static str]),
    /// `true` or `false`.
    Flag,
    /// What wood in hand counts: `cost`, `nothing`, or a share such as `1/2` or `50 %`.
    Worth,
    /// An age such as `2 years` or `18 months`.
    Age,
    /// A day of the calendar, such as `2026-11-25`.
    Date,
    /// A price each, by length, face or volume, such as `1.20/ft` or `1250/m3`.
    Price,
    /// An amount of money.
    Amount,
    /// A weight with its unit, such as `20 lb`.
    Weight,
    /// What work comes to: an amount, or a time such as `20 min`.
    Work,
    /// A percentage such as `8.25 %`.
    Percent,
    /// Stretches of a board that are not to be used.
    Defects,
    /// A nominal size of softwood, such as `1x6`.
    Nominal,
    /// A count of spare rails, a share such as `10 %`, or `offcut`.
    Spare,
    /// Names of boards, or one or more CSV files.
    Boards,
    /// A length, or a list of lengths.
    Places,
}

/// The least length that will do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Least {
    /// Zero is legal.
    Zero,
    /// It must be more than zero.
    Positive,
}

impl Schema {
    /// The column of this name.
    pub fn column(&self, name: &str) -> Option<&'static Column> {
        self.columns.iter().find(|column| column.name == name)
    }

    /// The column that a heading of a table stands for: its name in any case and with blanks or underscores for hyphens, or
    /// another word that means nothing else there.
    pub fn headed(&self, heading: &str) -> Option<&'static Column> {
        match self.meaning_of(heading) {
            Meaning::Column(column) => Some(column),
            Meaning::OneOf(_) | Meaning::Unknown => None,
        }
    }

    /// What a heading of a table may stand for.
    pub(super) fn meaning_of(&self, heading: &str) -> Meaning {
        let heading = kebab(heading).replace('.', "");
        let named = self
            .columns
            .iter()
            .find(|column| column.name == heading || column.aliases.contains(&heading.as_str()));
        if let Some(column) = named {
            return Meaning::Column(column);
        }
        let mut meant = headings::columns_of(self.name, &heading);
        meant.retain(|name| self.column(name).is_some());
        match meant[..] {
            [] => Meaning::Unknown,
            [name] => self.column(name).map_or(Meaning::Unknown, Meaning::Column),
            _ => Meaning::OneOf(meant),
        }
    }

    /// The names of all columns.
    pub fn names(&self) -> Vec<&'static str> {
        self.columns.iter().map(|column| column.name).collect()
    }

    /// How the job file begins it, such as `[saw]` or `[[frames]]`; empty for the head.
    pub(super) fn header(&self) -> String {
        match self.shape {
            Shape::Head | Shape::Apart => String::new(),
            Shape::Once => format!("[{}]", self.name),
            Shape::List | Shape::ListOrFiles => format!("[[{}]]", self.name),
        }
    }
}

/// A heading as names are written.
pub(super) fn kebab(heading: &str) -> String {
    let hyphened = |symbol: char| {
        if symbol == '_' || symbol.is_whitespace() {
            '-'
        } else {
            symbol
        }
    };
    let lower = heading.chars().flat_map(char::to_lowercase);
    lower.map(hyphened).collect()
}

/// An optional column.
const fn column(name: &'static str, kind: Kind, meaning: &'static str) -> Column {
    Column {
        name,
        aliases: &[],
        need: Need::Never,
        kind,
        default: None,
        meaning,
    }
}

impl Column {
    /// The same, needed in every row.
    const fn needed(mut self) -> Column {
        self.need = Need::Always;
        self
    }

    /// The same, needed in the job file.
    const fn needed_in_job_file(mut self) -> Column {
        self.need = Need::InJobFile;
        self
    }

    /// The same, which a table must have though its fields may be empty.
    const fn needed_as_heading(mut self) -> Column {
        self.need = Need::AsHeading;
        self
    }

    /// The same with a value that is meant where none is given.
    const fn or(mut self, default: &'static str) -> Column {
        self.default = Some(default);
        self
    }

    /// The same under other headings as well.
    const fn also(mut self, aliases: &'static [&'static str]) -> Column {
        self.aliases = aliases;
        self
    }
}

/// The words of a list that says what each stands for.
const fn words<T, const N: usize>(list: &[(&'static str, T); N]) -> [&'static str; N] {
    let mut words = [""; N];
    let mut idx = 0;
    while idx < N {
        words[idx] = list[idx].0;
        idx += 1;
    }
    words
}

#[cfg(test)]
mod tests;

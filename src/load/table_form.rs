//! `[tables]`: the form of the tables that are written; what it does not say is as in those that are read.

use super::csv_file::CsvTable;
use super::fields::{Fields, Found};
use super::tables::Tables;
use super::words::{DECIMAL_MARKS, FLAGS, LINE_ENDS, SEPARATORS};
use crate::job::{LineEnd, Separator, TableForm};

/// The form that a table has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct SeenForm {
    /// What parts its fields.
    pub(super) separator: Separator,
    /// Whether its decimals stand after a comma; `None` where no number of it tells.
    pub(super) decimal_comma: Option<bool>,
    /// Whether it has a byte order mark, or another encoding than UTF-8.
    pub(super) byte_order_mark: bool,
    /// How its first line ends.
    pub(super) line_end: LineEnd,
}

/// Reads the form of tables.
///
/// What is not said is as in the first table that the job is read from with a number that tells where its decimals stand, so
/// that all is of one program; where none tells, as in the first table, with decimals after a comma if semicolons part the
/// fields.
pub(super) fn read_form(mut fields: Fields<'_, '_>, tables: &Tables<'_>) -> Found<TableForm> {
    let separator = fields.optional_word("separator", &SEPARATORS);
    let decimal_comma = fields.optional_word("decimal-mark", &DECIMAL_MARKS);
    let byte_order_mark = fields.optional_word("byte-order-mark", &FLAGS);
    let line_end = fields.optional_word("line-ends", &LINE_ENDS);
    let seen: Vec<SeenForm> = tables.files().filter_map(CsvTable::form).collect();
    let tells = seen.iter().find(|form| form.decimal_comma.is_some());
    let first = tells.or(seen.first());
    let told = first.and_then(|form| form.decimal_comma);
    let separator =
        separator?.unwrap_or_else(|| first.map_or(Separator::default(), |form| form.separator));
    Ok(TableForm {
        separator,
        decimal_comma: decimal_comma?
            .or(told)
            .unwrap_or(separator == Separator::Semicolon),
        byte_order_mark: byte_order_mark?
            .unwrap_or_else(|| first.is_some_and(|form| form.byte_order_mark)),
        line_end: line_end?
            .unwrap_or_else(|| first.map_or(LineEnd::default(), |form| form.line_end)),
    })
}

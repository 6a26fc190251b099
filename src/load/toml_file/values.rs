//! Tables of a job file as records, and lists of them; what is wrong with a key or with the type of a value.

use std::borrow::Cow;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use super::{Rows, TomlText, is_of_jobs};
use crate::diag::{Diagnostic, Diagnostics, code, quoted};
use crate::load::near::nearest_or_all;
use crate::load::record::{Field, Record};
use crate::load::schema::{self, Column, JOB, Kind, Schema, Shape};

impl TomlText {
    /// A table that stands once, such as `[saw]`; an absent one is an empty record.
    pub(super) fn table<'a>(
        &'a self,
        root: &DeTable<'a>,
        schema: &'static Schema,
        faults: &mut Diagnostics,
    ) -> Record<'a> {
        let name = schema.name;
        let Some(value) = root.get(name) else {
            return self.empty_record(schema);
        };
        if let DeValue::Table(table) = value.get_ref() {
            return self.record(table, value.span(), schema, faults);
        }
        let hint = format!("write `[{name}]` on a line of its own, and its keys below");
        faults.push(self.wrong_type(name, value, "a table").with_hint(hint));
        let mut record = self.empty_record(schema);
        record.spoiled = schema.names();
        record
    }

    /// A list of tables, or the path of a CSV file.
    pub(super) fn rows<'a>(
        &'a self,
        root: &DeTable<'a>,
        schema: &'static Schema,
        faults: &mut Diagnostics,
    ) -> Rows<'a> {
        let name = schema.name;
        let Some(value) = root.get(name) else {
            return Rows::Absent;
        };
        let may_be_file = schema.shape == Shape::ListOrFiles;
        let (expected, hint) = if may_be_file {
            let expected = "the path of a CSV file or a list of tables";
            (
                expected,
                format!(
                    "write `{name} = \"{name}.csv\"` above the first table, or `[[{name}]]` for each row"
                ),
            )
        } else {
            (
                "a list of tables",
                format!("write `[[{name}]]` for each of them"),
            )
        };
        match value.get_ref() {
            DeValue::String(path) if may_be_file => Rows::Files(vec![Field {
                name,
                text: path.clone(),
                origin: self.origin(value.span()),
            }]),
            DeValue::Array(items)
                if may_be_file
                    && items
                        .iter()
                        .any(|item| matches!(item.get_ref(), DeValue::String(_))) =>
            {
                self.paths(name, items, faults)
            }
            DeValue::Array(items) => {
                let mut records = Vec::new();
                for item in items {
                    if let DeValue::Table(table) = item.get_ref() {
                        records.push(self.record(table, item.span(), schema, faults));
                    } else {
                        faults.push(
                            self.wrong_type(name, item, expected)
                                .with_hint(hint.clone()),
                        );
                    }
                }
                Rows::Inline(records)
            }
            _ => {
                faults.push(self.wrong_type(name, value, expected).with_hint(hint));
                Rows::Spoiled
            }
        }
    }

    /// The paths of several CSV files.
    fn paths<'a>(
        &'a self,
        name: &'static str,
        items: &DeArray<'a>,
        faults: &mut Diagnostics,
    ) -> Rows<'a> {
        let mut paths = Vec::with_capacity(items.len());
        for item in items {
            if let DeValue::String(path) = item.get_ref() {
                paths.push(Field {
                    name,
                    text: path.clone(),
                    origin: self.origin(item.span()),
                });
            } else {
                faults.push(self.wrong_type(name, item, "the path of a CSV file"));
            }
        }
        if paths.len() == items.len() {
            Rows::Files(paths)
        } else {
            Rows::Spoiled
        }
    }

    /// One table as a record.
    fn record<'a>(
        &'a self,
        table: &DeTable<'a>,
        span: Range<usize>,
        schema: &'static Schema,
        faults: &mut Diagnostics,
    ) -> Record<'a> {
        let mut record = self.empty_record(schema);
        record.origin = self.origin(span);
        for (key, value) in table {
            match schema.column(key.get_ref()) {
                Some(column) => self.add_field(&mut record, column, value, faults),
                None => faults.push(self.unknown_key(key, schema)),
            }
        }
        record
    }

    /// Adds a value to a record if it is a text or a decimal number, or for a flag true or false; or a list of them, where
    /// it may be one.
    pub(in crate::load) fn add_field<'a>(
        &'a self,
        record: &mut Record<'a>,
        column: &Column,
        value: &Spanned<DeValue<'a>>,
        faults: &mut Diagnostics,
    ) {
        let name = column.name;
        if column.kind == Kind::Names {
            return self.add_names(record, name, value, faults);
        }
        if let (Kind::Places, DeValue::Array(items)) = (&column.kind, value.get_ref()) {
            record.lists.push(name);
            for item in items {
                if let DeValue::Array(_) = item.get_ref() {
                    faults.push(self.wrong_type(name, item, "a text or a number"));
                    record.spoiled.push(name);
                } else {
                    self.add_field(record, column, item, faults);
                }
            }
            return;
        }
        let is_flag = column.kind == Kind::Flag;
        let span = value.span();
        let digits = || {
            // TOML may group digits by underscores.
            let written = self.text.get(span.clone()).unwrap_or_default();
            if written.contains('_') {
                Cow::Owned(written.replace('_', ""))
            } else {
                Cow::Borrowed(written)
            }
        };
        let text = match value.get_ref() {
            DeValue::Boolean(value) if is_flag => Cow::Owned(value.to_string()),
            _ if is_flag => {
                faults.push(self.wrong_type(name, value, "true or false"));
                record.spoiled.push(name);
                return;
            }
            DeValue::String(text) => trimmed(text),
            DeValue::Integer(number) if number.radix() == 10 => digits(),
            DeValue::Float(_) => digits(),
            DeValue::Datetime(_) if column.kind == Kind::Date => digits(),
            DeValue::Integer(_) => {
                let what = format!("`{name}` must be a decimal number");
                let place = self.place(&span);
                faults.push(Diagnostic::error(code::WRONG_TYPE, place, what));
                record.spoiled.push(name);
                return;
            }
            _ => {
                faults.push(self.wrong_type(name, value, "a text or a number"));
                record.spoiled.push(name);
                return;
            }
        };
        record.fields.push(Field {
            name,
            text,
            origin: self.origin(span),
        });
    }

    /// Adds each text of a list.
    fn add_names<'a>(
        &'a self,
        record: &mut Record<'a>,
        name: &'static str,
        value: &Spanned<DeValue<'a>>,
        faults: &mut Diagnostics,
    ) {
        const EXPECTED: &str = "a list of texts";
        let DeValue::Array(items) = value.get_ref() else {
            faults.push(self.wrong_type(name, value, EXPECTED));
            record.spoiled.push(name);
            return;
        };
        for item in items {
            if let DeValue::String(text) = item.get_ref() {
                record.fields.push(Field {
                    name,
                    text: trimmed(text),
                    origin: self.origin(item.span()),
                });
            } else {
                faults.push(self.wrong_type(name, item, EXPECTED));
                record.spoiled.push(name);
            }
        }
    }

    pub(in crate::load) fn wrong_type(
        &self,
        name: &str,
        value: &Spanned<DeValue<'_>>,
        expected: &str,
    ) -> Diagnostic {
        let found = match value.get_ref() {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date or time",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let what = format!("`{name}` must be {expected}, not {found}");
        Diagnostic::error(code::WRONG_TYPE, self.place(&value.span()), what)
    }

    /// A key that stands in the file of a shop and belongs into that of a job.
    pub(super) fn not_of_shop(&self, key: &Spanned<Cow<'_, str>>) -> Diagnostic {
        let what = format!("`{}` belongs into a job, not into a shop", key.get_ref());
        let hint = "write it into the job file; a shop holds what all its jobs share".to_owned();
        Diagnostic::error(code::NOT_OF_A_SHOP, self.place(&key.span()), what).with_hint(hint)
    }

    pub(in crate::load) fn unknown_key(
        &self,
        key: &Spanned<Cow<'_, str>>,
        schema: &Schema,
    ) -> Diagnostic {
        let name = key.get_ref();
        let is_head = schema.shape == Shape::Head;
        let (within, hint) = if is_head {
            let mut keys = top_keys();
            keys.retain(|key| !(self.is_of_shop && is_of_jobs(key)));
            (String::new(), nearest_or_all(name, "keys are", &keys))
        } else if is_at_top(name) {
            // In TOML every key below a table's header belongs to that table.
            let hint = format!("`{name}` belongs at the top of the file, above the first table");
            (format!(" in `{}`", schema.header()), Some(hint))
        } else {
            let hint = nearest_or_all(name, "keys are", &schema.names());
            (format!(" in `{}`", schema.header()), hint)
        };
        let what = format!("unknown key {}{within}", quoted(name));
        Diagnostic::error(code::UNKNOWN_KEY, self.place(&key.span()), what).with_hint(hint)
    }
}

/// The text without blanks at its ends.
pub(in crate::load) fn trimmed<'a>(text: &Cow<'a, str>) -> Cow<'a, str> {
    match text {
        Cow::Borrowed(text) => Cow::Borrowed(text.trim()),
        Cow::Owned(text) => Cow::Owned(text.trim().to_owned()),
    }
}

/// The keys at the top of a job file, those of the head and then the tables.
fn top_keys() -> Vec<&'static str> {
    let tables = JOB.iter().filter(|schema| schema.shape != Shape::Head);
    let tables = tables.map(|schema| schema.name);
    schema::HEAD.names().into_iter().chain(tables).collect()
}

pub(super) fn is_at_top(key: &str) -> bool {
    top_keys().contains(&key)
}

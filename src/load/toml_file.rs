//! The job file: its syntax, its tables, and where each of its values stands.
//!
//! The file is walked by hand rather than deserialized, so that all its unknown keys and wrong types are found
//! at once, and so that numbers keep the digits with which they were written.

use std::borrow::Cow;
use std::ops::Range;
use std::path::{Path, PathBuf};

use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use super::near::nearest_or_all;
use super::record::{Field, Mark, Origin, Record, Source};
use super::schema::{self, Column, JOB, Kind, Schema, Shape};
use super::ways::WayRecord;
use crate::diag::{Diagnostic, Diagnostics, Place, code, quoted};

/// What a job alone may hold, and no shop.
const OF_JOBS: [&str; 6] = ["title", "date", "shop-file", "frames", "pieces", "bought"];

/// Whether a key of the job file, or a table of it, has no place in the file of a shop.
pub fn is_of_jobs(key: &str) -> bool {
    OF_JOBS.contains(&key)
}

/// The text of a job file, or of the file of its shop.
pub(super) struct TomlText {
    path: PathBuf,
    text: String,
    /// Whether it is the shop's.
    is_of_shop: bool,
    /// Byte at which each line begins.
    line_starts: Vec<usize>,
}

/// What a job file holds, as records.
pub(super) struct JobFile<'a> {
    /// The keys above the first table.
    pub(super) head: Record<'a>,
    pub(super) saw: Record<'a>,
    pub(super) shop: Record<'a>,
    /// `None` where the file has no such table, so that boards are not ripped.
    pub(super) rip: Option<Record<'a>>,
    pub(super) assembly: Record<'a>,
    pub(super) hanging: Record<'a>,
    pub(super) mouldings: Vec<Record<'a>>,
    pub(super) sheets: Vec<Record<'a>>,
    pub(super) spacers: Vec<Record<'a>>,
    pub(super) hardware: Vec<Record<'a>>,
    pub(super) sheet_stock: Rows<'a>,
    pub(super) sheet_rack: Rows<'a>,
    pub(super) frames: Rows<'a>,
    pub(super) pieces: Rows<'a>,
    pub(super) boards: Rows<'a>,
    pub(super) tally: Rows<'a>,
    pub(super) rack: Rows<'a>,
    pub(super) bought: Rows<'a>,
    pub(super) in_hand: Record<'a>,
    pub(super) labels: Record<'a>,
    pub(super) tables: Record<'a>,
    pub(super) prices: Record<'a>,
    pub(super) buying: Record<'a>,
    pub(super) ways: Vec<WayRecord<'a>>,
}

impl<'a> JobFile<'a> {
    /// The unit that the file states, if it does.
    pub(super) fn states_unit(&self) -> bool {
        self.head.field("unit").is_some()
    }

    /// Takes from the file of its shop what the job does not say itself: settings key by key, mouldings, sheets, spacers,
    /// hardware and ways by their names. Boards, tally and rack of the shop stand in files of their own or here, and are read beside the
    /// job's.
    pub(super) fn fall_back_on(&mut self, shop: JobFile<'a>) -> ShopRows<'a> {
        let mut head = shop.head;
        // A step of rounding belongs to its unit.
        if self.states_unit() {
            head.fields.retain(|field| field.name != "rounding");
        }
        self.head.fall_back_on(head);
        self.saw.fall_back_on(shop.saw);
        self.shop.fall_back_on(shop.shop);
        self.assembly.fall_back_on(shop.assembly);
        self.hanging.fall_back_on(shop.hanging);
        self.in_hand.fall_back_on(shop.in_hand);
        self.labels.fall_back_on(shop.labels);
        self.tables.fall_back_on(shop.tables);
        self.prices.fall_back_on(shop.prices);
        self.buying.fall_back_on(shop.buying);
        match (&mut self.rip, shop.rip) {
            (Some(own), Some(rip)) => own.fall_back_on(rip),
            (own @ None, rip) => *own = rip,
            (Some(_), None) => {}
        }
        add_others(&mut self.mouldings, shop.mouldings, |record| record);
        add_others(&mut self.sheets, shop.sheets, |record| record);
        add_others(&mut self.spacers, shop.spacers, |record| record);
        add_others(&mut self.hardware, shop.hardware, |record| record);
        add_others(&mut self.ways, shop.ways, |way| &way.record);
        ShopRows {
            boards: shop.boards,
            tally: shop.tally,
            rack: shop.rack,
            sheet_stock: shop.sheet_stock,
            sheet_rack: shop.sheet_rack,
        }
    }
}

/// Adds those of the shop of which the job has none of the same name.
fn add_others<'a, T>(own: &mut Vec<T>, shop: Vec<T>, record: impl Fn(&T) -> &Record<'a>) {
    let name = |item: &T| {
        let field = record(item).field("name");
        field.map(|field| field.text.clone().into_owned())
    };
    let names: Vec<Option<String>> = own.iter().map(&name).collect();
    let others = shop.into_iter().filter(|item| {
        let name = name(item);
        name.is_none() || !names.contains(&name)
    });
    own.extend(others);
}

/// Where the boards and sheets of a shop are.
pub(super) struct ShopRows<'a> {
    pub(super) boards: Rows<'a>,
    pub(super) tally: Rows<'a>,
    pub(super) rack: Rows<'a>,
    pub(super) sheet_stock: Rows<'a>,
    pub(super) sheet_rack: Rows<'a>,
}

/// Where the rows of frames, pieces or boards are.
pub(super) enum Rows<'a> {
    /// There are none.
    Absent,
    /// A value of the wrong type, which has been reported.
    Spoiled,
    /// In the job file.
    Inline(Vec<Record<'a>>),
    /// In CSV files whose paths the fields hold, one or more.
    Files(Vec<Field<'a>>),
}

impl TomlText {
    /// Keeps a text and notes where its lines begin.
    pub(super) fn new(path: &Path, text: String) -> TomlText {
        let line_starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(end, _)| end + 1))
            .collect();
        TomlText {
            path: path.to_owned(),
            text,
            is_of_shop: false,
            line_starts,
        }
    }

    /// The same, as the file of a shop.
    pub(super) fn of_shop(self) -> TomlText {
        TomlText {
            is_of_shop: true,
            ..self
        }
    }

    /// Whether it is the file of a shop.
    pub(super) fn is_of_shop(&self) -> bool {
        self.is_of_shop
    }

    /// The folder it lies in.
    pub(super) fn folder(&self) -> &Path {
        self.path.parent().unwrap_or(Path::new(""))
    }

    /// The file as a whole.
    pub(super) fn file_place(&self) -> Place {
        Place::File(self.path.clone())
    }

    /// The place of a stretch of bytes; of several lines, its part of the first.
    pub(super) fn place(&self, span: &Range<usize>) -> Place {
        let start = char_start(&self.text, span.start);
        let line = self.line_starts.partition_point(|line| *line <= start);
        let line_start = self.line_starts[line - 1];
        let source = self.text[line_start..].lines().next().unwrap_or_default();
        let line_end = line_start + source.len();
        let end = char_start(&self.text, span.end.clamp(start, line_end.max(start)));
        Place::Text {
            path: self.path.clone(),
            line,
            column: self.text[line_start..start].chars().count() + 1,
            width: self.text[start..end].chars().count().max(1),
            source: source.to_owned(),
        }
    }

    /// The whole file as records; `None` if it is not TOML, which is reported.
    pub(super) fn read(&self, faults: &mut Diagnostics) -> Option<JobFile<'_>> {
        let (root, errors) = DeTable::parse_recoverable(&self.text);
        let mut told_line = 0;
        for error in &errors {
            let place = error
                .span()
                .map_or_else(|| self.file_place(), |span| self.place(&span));
            let what = format!("not valid TOML: {}", error.message());
            let mut hint = None;
            if let Place::Text { line, source, .. } = &place
                && let Some(quoted_line) = with_quotes(source)
            {
                // What else is wrong in such a line comes of its missing quotes.
                if std::mem::replace(&mut told_line, *line) == *line {
                    continue;
                }
                hint = Some(format!(
                    "texts, fractions and units stand in quotes: write the line as {}",
                    quoted(&quoted_line)
                ));
            }
            faults.push(Diagnostic::error(code::TOML_SYNTAX, place, what).with_hint(hint));
        }
        errors
            .is_empty()
            .then(|| self.job_file(root.get_ref(), faults))
    }

    fn job_file<'a>(&'a self, root: &DeTable<'a>, faults: &mut Diagnostics) -> JobFile<'a> {
        let mut head = self.empty_record(&schema::HEAD);
        for (key, value) in root {
            match schema::HEAD.column(key.get_ref()) {
                _ if self.is_of_shop && is_of_jobs(key.get_ref()) => {
                    faults.push(self.not_of_shop(key));
                }
                Some(column) => self.add_field(&mut head, column, value, faults),
                None if is_at_top(key.get_ref()) => {}
                None => faults.push(self.unknown_key(key, &schema::HEAD)),
            }
        }
        let mut table = |schema| self.table(root, schema, faults);
        let saw = table(&schema::SAW);
        let shop = table(&schema::SHOP);
        let rip = root
            .contains_key(schema::RIP.name)
            .then(|| table(&schema::RIP));
        let assembly = table(&schema::ASSEMBLY);
        let hanging = table(&schema::HANGING);
        let in_hand = table(&schema::IN_HAND);
        let labels = table(&schema::LABELS);
        let tables = table(&schema::TABLES);
        let prices = table(&schema::PRICE);
        let buying = table(&schema::BUYING);
        let ways = self.ways(root, faults);
        let mut rows = |schema: &'static Schema| {
            if self.is_of_shop && is_of_jobs(schema.name) {
                return Rows::Absent;
            }
            self.rows(root, schema, faults)
        };
        let listed = |rows: Rows<'a>| match rows {
            Rows::Inline(records) => records,
            Rows::Absent | Rows::Spoiled | Rows::Files(_) => Vec::new(),
        };
        JobFile {
            head,
            saw,
            shop,
            rip,
            assembly,
            hanging,
            mouldings: listed(rows(&schema::MOULDINGS)),
            sheets: listed(rows(&schema::SHEETS)),
            spacers: listed(rows(&schema::SPACERS)),
            hardware: listed(rows(&schema::HARDWARE)),
            sheet_stock: rows(&schema::SHEET_STOCK),
            sheet_rack: rows(&schema::SHEET_RACK),
            frames: rows(&schema::FRAMES),
            pieces: rows(&schema::PIECES),
            boards: rows(&schema::BOARDS),
            tally: rows(&schema::TALLY),
            rack: rows(&schema::RACK),
            bought: rows(&schema::BOUGHT),
            in_hand,
            labels,
            tables,
            prices,
            buying,
            ways,
        }
    }

    pub(super) fn empty_record(&self, schema: &'static Schema) -> Record<'_> {
        Record {
            schema,
            origin: self.origin(0..0),
            fields: Vec::new(),
            spoiled: Vec::new(),
            lists: Vec::new(),
        }
    }

    pub(super) fn origin(&self, span: Range<usize>) -> Origin<'_> {
        Origin {
            source: Source::Toml(self),
            mark: Mark::Span(span),
        }
    }

    /// A table that stands once, such as `[saw]`; an absent one is an empty record.
    fn table<'a>(
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
    fn rows<'a>(
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
    pub(super) fn add_field<'a>(
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

    pub(super) fn wrong_type(
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
    fn not_of_shop(&self, key: &Spanned<Cow<'_, str>>) -> Diagnostic {
        let what = format!("`{}` belongs into a job, not into a shop", key.get_ref());
        let hint = "write it into the job file; a shop holds what all its jobs share".to_owned();
        Diagnostic::error(code::NOT_OF_A_SHOP, self.place(&key.span()), what).with_hint(hint)
    }

    pub(super) fn unknown_key(&self, key: &Spanned<Cow<'_, str>>, schema: &Schema) -> Diagnostic {
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

/// The keys at the top of a job file, those of the head and then the tables.
fn top_keys() -> Vec<&'static str> {
    let tables = JOB.iter().filter(|schema| schema.shape != Shape::Head);
    let tables = tables.map(|schema| schema.name);
    schema::HEAD.names().into_iter().chain(tables).collect()
}

fn is_at_top(key: &str) -> bool {
    top_keys().contains(&key)
}

/// A line `key = value` that is no TOML, with its value in quotes, if it is TOML then.
fn with_quotes(line: &str) -> Option<String> {
    let is_toml = |line: &str| DeTable::parse(line).is_ok();
    if is_toml(line) {
        return None;
    }
    let (key, value) = line.split_once('=')?;
    let value = value.trim();
    // A quote that was opened and not closed, or one of the slanted kind; behind a number it is a mark of feet or inches.
    let is_slanted = |symbol: char| ('\u{2018}'..='\u{201e}').contains(&symbol);
    let is_quote = |symbol: char| matches!(symbol, '"' | '\'') || is_slanted(symbol);
    let value = match value.strip_prefix(is_quote) {
        Some(opened) => opened.strip_suffix(is_slanted).unwrap_or(opened),
        None => value,
    };
    let line = if value.contains('"') && !value.contains('\'') {
        format!("{} = '{value}'", key.trim())
    } else {
        let escaped = value.replace('\\', "\\\\").replace('"', "\\\"");
        format!("{} = \"{escaped}\"", key.trim())
    };
    (!value.is_empty() && is_toml(&line)).then_some(line)
}

/// The byte at or before `byte` at which a character begins.
fn char_start(text: &str, byte: usize) -> usize {
    let mut start = byte.min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    start
}

/// The text without blanks at its ends.
pub(super) fn trimmed<'a>(text: &Cow<'a, str>) -> Cow<'a, str> {
    match text {
        Cow::Borrowed(text) => Cow::Borrowed(text.trim()),
        Cow::Owned(text) => Cow::Owned(text.trim().to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::with_quotes;

    #[test]
    fn a_line_that_lacks_its_quotes_is_shown_with_them() {
        for (line, quoted) in [
            ("kerf = 1/8", "kerf = \"1/8\""),
            ("kerf=3,2", "kerf = \"3,2\""),
            ("  length = 8 ft", "length = \"8 ft\""),
            ("length = \"8 ft", "length = \"8 ft\""),
            ("width = 14 1/8\"", "width = '14 1/8\"'"),
            ("length = 8'", "length = \"8'\""),
            ("length = 8' 2 1/2\"", "length = \"8' 2 1/2\\\"\""),
            ("name = \u{201c}oak\u{201d}", "name = \"oak\""),
            ("price = $18.90", "price = \"$18.90\""),
            ("unit = mm", "unit = \"mm\""),
        ] {
            assert_eq!(with_quotes(line).as_deref(), Some(quoted), "{line}");
        }
        for line in [
            "kerf = \"1/8\"",
            "kerf = 3",
            "[saw",
            "kerf",
            "kerf =",
            "a b = 1/8",
        ] {
            assert_eq!(with_quotes(line), None, "{line}");
        }
    }
}

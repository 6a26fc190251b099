//! Texts of a record turned into values.
//!
//! What a value may be, and what it is where it is absent, stands in the schema of its record. It is `Ok(None)` where
//! the text is absent and the schema has no default, and [`Reported`] where it is faulty. A record is read to its end
//! before any [`Reported`] is passed on, so that all its faults come out together.

use std::collections::BTreeMap;

use super::limits::{LONGEST_IN_A_SHOP, LONGEST_NAME};
use super::near::nearest_or_all;
use super::record::{Field, Origin, Record, Source};
use super::schema::{Column, Kind, Least};
use super::words::FLAGS;
use crate::diag::{Diagnostic, Diagnostics, code, is_seen, quoted};
use crate::length::{Length, LengthError, Notation, Unit, parse};
use crate::money::{Currency, DecimalMark, currency_in};
use crate::stock::Date;

/// Something is wrong, and has been reported.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Reported;

/// A value, or a fault that has been reported.
pub(super) type Found<T> = Result<T, Reported>;

/// What the head of the job file says on how to read numbers.
#[derive(Clone, Debug)]
pub(super) struct Scope {
    /// The unit of bare numbers in the job's files.
    pub(super) unit: Unit,
    /// That in the files of its shop.
    pub(super) shop_unit: Unit,
    /// The currency of prices.
    pub(super) currency: Currency,
}

impl Default for Scope {
    /// Inches, and a currency of two decimals without a sign.
    fn default() -> Scope {
        Scope {
            unit: Unit::Inch,
            shop_unit: Unit::Inch,
            currency: Currency {
                code: String::new(),
                decimals: 2,
            },
        }
    }
}

/// A record being read.
pub(super) struct Fields<'r, 'a> {
    pub(super) record: &'r Record<'a>,
    pub(super) scope: &'r Scope,
    pub(super) faults: &'r mut Diagnostics,
}

impl<'r, 'a> Fields<'r, 'a> {
    /// Begins to read a record.
    pub(super) fn new(
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

    /// The field of this name, if it is filled.
    pub(super) fn field(&self, name: &str) -> Option<&'r Field<'a>> {
        self.record.field(name)
    }

    /// Whether there is a text under this name.
    pub(super) fn is_filled(&self, name: &str) -> bool {
        self.field(name).is_some()
    }

    /// Reports a fault of a field.
    pub(super) fn fault(
        &mut self,
        field: &Field<'_>,
        code: &'static str,
        what: impl Into<String>,
        hint: impl Into<Option<String>>,
    ) -> Reported {
        let place = field.origin.place();
        self.faults
            .push(Diagnostic::error(code, place, what).with_hint(hint));
        Reported
    }

    /// Reports a fault of the record as a whole.
    pub(super) fn record_fault(
        &mut self,
        code: &'static str,
        what: impl Into<String>,
        hint: impl Into<Option<String>>,
    ) -> Reported {
        let place = self.record.origin.place();
        self.faults
            .push(Diagnostic::error(code, place, what).with_hint(hint));
        Reported
    }

    /// Reports that a record lacks what another column would say; once for a table that lacks the column.
    pub(super) fn lacks(
        &mut self,
        name: &'static str,
        code: &'static str,
        what: impl Into<String>,
        hint: impl Into<Option<String>>,
    ) -> Reported {
        match self.record.origin.source {
            Source::Csv(table) if !table.is_first_to_lack(name) => Reported,
            _ => self.record_fault(code, what, hint),
        }
    }

    /// Warns of a field that changes nothing.
    pub(super) fn warn_no_effect(&mut self, name: &str, why: &str) {
        if let Some(field) = self.field(name) {
            let place = field.origin.place();
            let what = format!("`{name}` has no effect {why}");
            self.faults
                .push(Diagnostic::warning(code::NO_EFFECT, place, what));
        }
    }

    /// Reports a field that may not stand beside another one.
    pub(super) fn check_excluded(&mut self, name: &str, by: &str) -> Found<()> {
        self.check_excluded_but(name, by, None)
    }

    /// The same with a way out.
    pub(super) fn check_excluded_but(
        &mut self,
        name: &str,
        by: &str,
        hint: impl Into<Option<String>>,
    ) -> Found<()> {
        match self.field(name) {
            Some(field) => {
                let what = format!("`{name}` and {by} exclude each other");
                Err(self.fault(field, code::EXCLUDES, what, hint))
            }
            None => Ok(()),
        }
    }

    /// The value, which must be there.
    pub(super) fn required<T>(&mut self, name: &str, value: Found<Option<T>>) -> Found<T> {
        value?.ok_or_else(|| self.missing(name))
    }

    /// A text fit to be a name on a list, which must be there.
    pub(super) fn name(&mut self, name: &str) -> Found<String> {
        let value = self.optional_name(name);
        self.required(name, value)
    }

    /// A length, which must be there or have a default.
    pub(super) fn length(&mut self, name: &str) -> Found<Length> {
        let value = self.optional_length(name);
        self.required(name, value)
    }

    /// A whole number, which must be there or have a default.
    pub(super) fn count(&mut self, name: &str) -> Found<u32> {
        let value = self.optional_count(name);
        self.required(name, value)
    }

    /// One of a few words, which must be there or have a default.
    pub(super) fn word<T: Copy>(&mut self, name: &str, allowed: &[(&str, T)]) -> Found<T> {
        let value = self.optional_word(name, allowed);
        self.required(name, value)
    }

    /// True or false, which must be there or have a default.
    pub(super) fn flag(&mut self, name: &str) -> Found<bool> {
        self.word(name, &FLAGS)
    }

    /// Reports that there is no value under a name that needs one, unless that is known.
    pub(super) fn missing(&mut self, name: &str) -> Reported {
        if self.record.is_spoiled(name) {
            return Reported;
        }
        match self.record.origin.source {
            Source::Toml(_) => {
                let what = format!("key `{name}` is missing");
                self.record_fault(code::MISSING_KEY, what, None)
            }
            Source::Csv(_) => {
                let what = format!("column `{name}` is empty in this row");
                self.record_fault(code::EMPTY_FIELD, what, None)
            }
        }
    }

    /// A text fit to be a name on a list.
    pub(super) fn optional_name(&mut self, name: &str) -> Found<Option<String>> {
        match self.present(name)? {
            Some(field) => self.checked_name(field, name).map(Some),
            None => Ok(None),
        }
    }

    /// The text of a field, which must be fit to be a name on a list.
    pub(super) fn checked_name(&mut self, field: &Field<'_>, name: &str) -> Found<String> {
        let text = &field.text;
        if text.is_empty() {
            let what = format!("`{name}` is empty");
            Err(self.fault(field, code::EMPTY_FIELD, what, None))
        } else if text.chars().nth(LONGEST_NAME).is_some() {
            let what = format!("`{name}` is longer than {LONGEST_NAME} characters");
            Err(self.fault(field, code::BAD_NAME, what, None))
        } else if text.chars().any(char::is_control) {
            let what = format!("`{name}` has a control character");
            Err(self.fault(field, code::BAD_NAME, what, None))
        } else if !text.chars().any(is_seen) {
            let what = format!("`{name}` has nothing that can be seen");
            Err(self.fault(field, code::EMPTY_FIELD, what, None))
        } else {
            Ok(text.clone().into_owned())
        }
    }

    /// A length.
    pub(super) fn optional_length(&mut self, name: &str) -> Found<Option<Length>> {
        let Some(field) = self.present(name)? else {
            return Ok(self.default(name).map(default_length));
        };
        self.length_of(name, field).map(Some)
    }

    /// The length that is meant where none is given; one must be.
    pub(super) fn length_by_default(&self, name: &str) -> Found<Length> {
        self.default(name).map(default_length).ok_or(Reported)
    }

    /// The length that a field under this name is.
    pub(super) fn length_of(&mut self, name: &str, field: &Field<'_>) -> Found<Length> {
        let text = quoted(&field.text);
        if let Some(readings) = two_readings(field, self.notation_of(field)) {
            let what = format!("{text} is not a length: {readings}");
            let hint = "write it without a sign between its digits, or with the sign for decimals that the list has elsewhere";
            return Err(self.fault(field, code::NOT_A_LENGTH, what, hint.to_owned()));
        }
        match parse(&field.text, self.notation_of(field)) {
            Ok(Length::ZERO) if self.is_positive(name) => {
                let what = format!("{text} is out of range: `{name}` must be more than zero");
                Err(self.fault(field, code::LENGTH_RANGE, what, None))
            }
            Ok(length) => Ok(length),
            Err(_) if is_date(&field.text) => {
                let what = format!(
                    "{text} is a date, not a length: a spreadsheet takes a fraction such as 5/8 for one"
                );
                let hint = "format the column as text, and type the fraction anew, best with its whole number: `0 5/8`";
                Err(self.fault(field, code::DATE_FOR_LENGTH, what, hint.to_owned()))
            }
            Err(error) => {
                let (code, verdict) = match error {
                    LengthError::Negative | LengthError::TooLong => {
                        (code::LENGTH_RANGE, "is out of range")
                    }
                    LengthError::NotExact { .. } => (code::LENGTH_NOT_EXACT, "is not exact"),
                    _ => (code::NOT_A_LENGTH, "is not a length"),
                };
                let what = format!("{text} {verdict}: {error}");
                Err(self.fault(field, code, what, error.hint()))
            }
        }
    }

    /// How lengths are written in a field: the shop's file has its own unit, and so may a heading.
    pub(super) fn notation_of(&self, field: &Field<'_>) -> Notation {
        let of_file = if field.origin.source.is_of_shop() {
            self.scope.shop_unit
        } else {
            self.scope.unit
        };
        let of_heading = field.heading().and_then(|heading| heading.unit);
        Notation {
            unit: of_heading.unwrap_or(of_file),
            decimal_comma: field.has_decimal_comma(),
        }
    }

    /// A price with the currency that its heading names, where it names none itself.
    pub(super) fn price_text(field: &Field<'_>) -> String {
        let sign = field.heading().and_then(|heading| heading.currency);
        let (amount, per) = match field.text.split_once('/') {
            Some((amount, per)) => (amount, format!("/{per}")),
            None => (&*field.text, String::new()),
        };
        match sign.filter(|_| currency_in(amount).is_none()) {
            Some(sign) => format!("{sign} {}{per}", amount.trim()),
            None => field.text.clone().into_owned(),
        }
    }

    /// Reports a price in another currency than the others of its table, where the job names none.
    pub(super) fn check_currency(&mut self, field: &Field<'_>) -> Found<()> {
        let Source::Csv(table) = field.origin.source else {
            return Ok(());
        };
        let text = Self::price_text(field);
        let amount = text.split('/').next().unwrap_or_default();
        match currency_in(amount).and_then(|sign| Some((sign, table.other_currency(sign)?))) {
            Some((sign, first)) if self.scope.currency.code.is_empty() => {
                let what = format!(
                    "{} is not a price: `{sign}` is another currency than `{first}` above it",
                    quoted(&field.text)
                );
                let hint = "write all prices in one currency".to_owned();
                Err(self.fault(field, code::NOT_A_PRICE, what, hint))
            }
            _ => Ok(()),
        }
    }

    /// A day of the calendar.
    pub(super) fn optional_date(&mut self, name: &str) -> Found<Option<Date>> {
        let Some(field) = self.present(name)? else {
            return Ok(None);
        };
        if let Some(date) = Date::parse(&field.text) {
            return Ok(Some(date));
        }
        let what = format!("{} is not a date", quoted(&field.text));
        let hint = "write year, month and day, as in `2026-11-25`".to_owned();
        Err(self.fault(field, code::NOT_A_DATE, what, hint))
    }

    /// A whole number.
    pub(super) fn optional_count(&mut self, name: &str) -> Found<Option<u32>> {
        let Some(field) = self.present(name)? else {
            return Ok(self.default(name).and_then(|number| number.parse().ok()));
        };
        let code = match name {
            "sides" => code::SIDES,
            _ => code::NOT_A_QUANTITY,
        };
        let text = quoted(&field.text);
        let digits = field.text.strip_prefix('+').unwrap_or(&field.text);
        if digits.is_empty() || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
            let what = if digits
                .strip_prefix('-')
                .is_some_and(|rest| rest.parse::<u64>().is_ok())
            {
                format!("{text} is out of range: `{name}` must not be negative")
            } else {
                format!("{text} is not a whole number")
            };
            return Err(self.fault(field, code, what, None));
        }
        let Some(Kind::Count(range)) = self.column(name).map(|column| &column.kind) else {
            unreachable!("only columns of counts are read as counts");
        };
        // Digits alone fail to parse only if they are too many, which is out of range as well.
        match digits.parse::<u32>() {
            Ok(number) if range.contains(&number) => Ok(Some(number)),
            _ => {
                let (least, most) = (range.start(), range.end());
                let what =
                    format!("{text} is out of range: `{name}` must be from {least} to {most}");
                Err(self.fault(field, code, what, None))
            }
        }
    }

    /// One of a few words, in any case.
    pub(super) fn optional_word<T: Copy>(
        &mut self,
        name: &str,
        allowed: &[(&str, T)],
    ) -> Found<Option<T>> {
        let find = |text: &str| {
            let mut pairs = allowed.iter();
            let found = pairs.find(|(word, _)| text.eq_ignore_ascii_case(word));
            found.map(|(_, value)| *value)
        };
        let Some(field) = self.present(name)? else {
            return Ok(self.default(name).and_then(find));
        };
        if let Some(value) = find(&field.text) {
            return Ok(Some(value));
        }
        let words: Vec<&str> = allowed.iter().map(|(word, _)| *word).collect();
        let what = format!("{} is not a value of `{name}`", quoted(&field.text));
        let hint = nearest_or_all(&field.text, "values are", &words);
        Err(self.fault(field, code::NOT_ALLOWED, what, hint))
    }

    /// The column of this name; `None` for one that records of this kind do not have.
    fn column(&self, name: &str) -> Option<&'static Column> {
        self.record.schema.column(name)
    }

    /// What an absent value means.
    fn default(&self, name: &str) -> Option<&'static str> {
        self.column(name)?.default
    }

    /// Whether a length must be more than zero.
    fn is_positive(&self, name: &str) -> bool {
        self.column(name).is_some_and(|column| {
            matches!(
                column.kind,
                Kind::Length(Least::Positive) | Kind::Thickness | Kind::Places
            )
        })
    }

    /// The index of the thing that a field names; `kind` is what is named.
    pub(super) fn reference(
        &mut self,
        name: &str,
        names: &Names<'_>,
        code: &'static str,
        kind: &str,
    ) -> Found<Option<usize>> {
        let Some(field) = self.present(name)? else {
            return Ok(None);
        };
        if let Some(idx) = names.find(&field.text) {
            return Ok(Some(idx));
        }
        let what = format!("unknown {kind} {}", quoted(&field.text));
        let all: Vec<&str> = names.all().collect();
        let hint = nearest_or_all(&field.text, "the job has", &all);
        Err(self.fault(field, code, what, hint))
    }

    /// The field, unless its value has been reported already, or is an empty text in the job file.
    pub(super) fn present(&mut self, name: &str) -> Found<Option<&'r Field<'a>>> {
        match self.field(name) {
            Some(field) if field.text.is_empty() => {
                let what = format!("`{name}` is empty");
                Err(self.fault(field, code::EMPTY_FIELD, what, None))
            }
            Some(field) => Ok(Some(field)),
            None if self.record.spoiled.contains(&name) => Err(Reported),
            None => Ok(None),
        }
    }
}

/// What a length may be whose sign between digits is of decimals, or parts a group of three: with another sign than the
/// decimals of its list have, or where the list does not tell, and with an apostrophe, which is no mark of feet there.
///
/// Nothing is in doubt where the grouped number is longer than anything in a shop: three decimals are eighths of an inch.
fn two_readings(field: &Field<'_>, notation: Notation) -> Option<String> {
    let end = field.text.find(|symbol: char| {
        !symbol.is_ascii_digit() && !matches!(symbol, '.' | ',' | '\'' | '\u{2019}')
    });
    let (number, unit) = field.text.split_at(end.unwrap_or(field.text.len()));
    let sign = number.chars().find(|symbol| !symbol.is_ascii_digit())?;
    let is_of_list = matches!(field.origin.source, Source::Csv(_));
    let is_in_doubt = match (sign, field.decimal_mark()) {
        ('\'' | '\u{2019}', _) | ('.', DecimalMark::Comma) => true,
        ('.' | ',', DecimalMark::Either) => is_of_list && field.has_decimal_comma(),
        _ => false,
    };
    let (before, behind) = number.split_once(sign)?;
    let are_digits =
        |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let is_group = are_digits(before)
        && before.len() <= 3
        && !before.starts_with('0')
        && are_digits(behind)
        && behind.len() == 3;
    if !is_in_doubt || !is_group {
        return None;
    }
    let grouped = parse(&format!("{before}{behind}{unit}"), notation).ok()?;
    (grouped <= LONGEST_IN_A_SHOP).then(|| match sign {
        '.' | ',' => format!("it may be {before}{behind} or {before}.{behind}"),
        _ => format!("it may be {before}{behind}, or {before} ft and {behind} in"),
    })
}

/// Whether a text is a date as spreadsheets write them: `2026-05-08`, `8. May`, `08.05.2026`, `May-08`, `5/8/2026`.
fn is_date(text: &str) -> bool {
    const MONTHS: [&str; 17] = [
        "jan", "feb", "mar", "m\u{e4}r", "apr", "may", "mai", "jun", "jul", "aug", "sep", "oct",
        "okt", "nov", "dec", "dez", "d\u{e9}c",
    ];
    let lower = text.to_lowercase();
    let parts = lower
        .split(['.', '-', '/', ' '])
        .filter(|part| !part.is_empty());
    let parts: Vec<&str> = parts.collect();
    let is_number = |part: &&&str| part.bytes().all(|byte| byte.is_ascii_digit());
    let n_numbers = parts.iter().filter(is_number).count();
    let is_month = |part: &&&str| {
        MONTHS.iter().any(|month| part.starts_with(month)) && part.chars().all(char::is_alphabetic)
    };
    let n_months = parts.iter().filter(is_month).count();
    match (n_numbers, n_months, parts.len()) {
        (3, 0, 3) => !lower.contains(' '),
        (1 | 2, 1, total) => total == n_numbers + 1,
        _ => false,
    }
}

/// A length of the schema, which states its unit.
fn default_length(text: &str) -> Length {
    let notation = Notation {
        unit: Unit::Inch,
        decimal_comma: false,
    };
    parse(text, notation).expect("the defaults of the schema are lengths")
}

/// The names of all records of a kind, faulty ones included, so that what refers to them is not at fault too.
#[derive(Default)]
pub(super) struct Names<'a> {
    seen: BTreeMap<String, (usize, Origin<'a>)>,
    count: usize,
}

impl<'a> Names<'a> {
    /// Notes the name of the next record, and reports it if it stands twice.
    pub(super) fn add(
        &mut self,
        record: &Record<'a>,
        name: &str,
        code: &'static str,
        kind: &str,
        faults: &mut Diagnostics,
    ) -> Found<()> {
        let idx = self.count;
        self.count += 1;
        let Some(field) = record.field(name) else {
            return Ok(());
        };
        let origin = field.origin.clone();
        if let Some((_, first)) = self.seen.get(&*field.text) {
            let what = format!("two {kind} are named {}", quoted(&field.text));
            let hint = format!("the first is at {}", first.place());
            faults.push(Diagnostic::error(code, origin.place(), what).with_hint(hint));
            return Err(Reported);
        }
        self.seen
            .insert(field.text.clone().into_owned(), (idx, origin));
        Ok(())
    }

    /// The position of the record of this name.
    pub(super) fn find(&self, name: &str) -> Option<usize> {
        self.seen.get(name).map(|(idx, _)| *idx)
    }

    /// All names, sorted.
    pub(super) fn all(&self) -> impl Iterator<Item = &str> {
        self.seen.keys().map(String::as_str)
    }
}

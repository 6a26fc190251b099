//! Values of a job file as the text of a cell, and texts of cells as values.

use toml_edit::{Document, Value};

use crate::load::schema::{Column, Kind};

/// A value as it stands in the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Written {
    /// A text, without its quotes.
    Text(String),
    /// A number, a date, `true` or `false`, as it is written.
    Bare(String),
    /// A list of such.
    List(Vec<Written>),
    /// A table, or a list of something else.
    Nested,
}

impl Written {
    pub(super) fn of(text: &str, value: &Value) -> Written {
        match value {
            Value::String(text) => Written::Text(text.value().trim().to_owned()),
            Value::Integer(_) | Value::Float(_) | Value::Boolean(_) | Value::Datetime(_) => {
                let at = value.span().unwrap_or_default();
                Written::Bare(text[at].to_owned())
            }
            Value::Array(array) => {
                let items: Vec<Written> =
                    array.iter().map(|item| Written::of(text, item)).collect();
                if items.iter().any(|item| !item.is_plain()) {
                    Written::Nested
                } else {
                    Written::List(items)
                }
            }
            Value::InlineTable(_) => Written::Nested,
        }
    }

    fn is_plain(&self) -> bool {
        matches!(self, Written::Text(_) | Written::Bare(_))
    }

    /// Whether it can be shown and changed in one cell.
    pub(super) fn fits_a_cell(&self) -> bool {
        *self != Written::Nested
    }

    /// As the text of a cell; of a list, its items between commas.
    pub(super) fn cell(&self) -> String {
        match self {
            Written::Text(text) | Written::Bare(text) => text.clone(),
            Written::List(items) => {
                let items: Vec<String> = items.iter().map(|item| listed(&item.cell())).collect();
                items.join(", ")
            }
            Written::Nested => String::new(),
        }
    }

    /// The texts of which it is a list, or the one that it is.
    pub(super) fn texts(&self) -> Vec<&str> {
        match self {
            Written::Text(text) | Written::Bare(text) => vec![text],
            Written::List(items) => items.iter().flat_map(Written::texts).collect(),
            Written::Nested => Vec::new(),
        }
    }
}

/// What a key may hold.
#[derive(Clone, Copy, Debug)]
pub(super) enum Takes {
    /// What its column says.
    Column(&'static Column),
    /// The path of a table, or several.
    Paths,
    /// Nobody knows.
    Unknown,
}

/// A text as a value; in the manner of the value that stands there now, if there is one.
pub(super) fn value(text: &str, takes: Takes, now: Option<(&Written, &str)>) -> String {
    let (written, raw) = now.unzip();
    let is_list = matches!(written, Some(Written::List(_)));
    let was_bare = matches!(written, Some(Written::Bare(_)));
    let kind = match takes {
        Takes::Column(column) => Some(&column.kind),
        Takes::Paths | Takes::Unknown => None,
    };
    match (takes, kind) {
        (_, Some(Kind::Names)) => list(&items(text), raw),
        (_, Some(Kind::Boards)) | (Takes::Paths, _) => match &items(text)[..] {
            [one] if matches!(takes, Takes::Paths) && !is_list => quoted(one, raw),
            [one] if ends_as_a_table(one) && !is_list => quoted(one, raw),
            several => list(several, raw),
        },
        (_, Some(Kind::Places)) => match &items(text)[..] {
            [_] if !is_list => plain(text, was_bare, raw),
            several => {
                let values = several.iter().map(|item| plain(item, false, None));
                format!("[{}]", values.collect::<Vec<_>>().join(", "))
            }
        },
        (_, Some(Kind::Flag)) => bare_or_quoted(text, matches!(text, "true" | "false"), raw),
        (_, Some(Kind::Date)) => bare_or_quoted(text, is_date(text), raw),
        (_, Some(Kind::Count(_))) => {
            let is_fresh = written.is_none();
            bare_or_quoted(text, (is_fresh || was_bare) && is_number(text), raw)
        }
        (Takes::Unknown, _) if is_list => list(&items(text), raw),
        (Takes::Unknown, _) if was_bare => bare_or_quoted(
            text,
            matches!(text, "true" | "false") || is_number(text),
            raw,
        ),
        _ => plain(text, was_bare, raw),
    }
}

/// Whether a text names a table rather than a board.
pub(super) fn ends_as_a_table(text: &str) -> bool {
    let ending = text.len().checked_sub(4).and_then(|at| text.get(at..));
    ending.is_some_and(|ending| ending.eq_ignore_ascii_case(".csv"))
}

fn plain(text: &str, was_bare: bool, raw: Option<&str>) -> String {
    bare_or_quoted(text, was_bare && is_number(text), raw)
}

fn bare_or_quoted(text: &str, is_bare: bool, raw: Option<&str>) -> String {
    if is_bare {
        text.to_owned()
    } else {
        quoted(text, raw)
    }
}

fn list(items: &[String], raw: Option<&str>) -> String {
    // A list takes the quotes of its first text.
    let raw = raw.map(|raw| raw.trim_start_matches(['[', ' ']));
    let items: Vec<String> = items.iter().map(|item| quoted(item, raw)).collect();
    format!("[{}]", items.join(", "))
}

/// Whether a text can stand as a number without quotes.
fn is_number(text: &str) -> bool {
    let is_digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let (whole, rest) = text.split_once('.').map_or((text, "0"), |parts| parts);
    is_digits(whole)
        && is_digits(rest)
        && (whole == "0" || !whole.starts_with('0'))
        && whole.len() <= 18
}

/// Whether a text can stand as a day without quotes.
fn is_date(text: &str) -> bool {
    let is_so_written = text.len() == 10
        && text.bytes().enumerate().all(|(idx, byte)| match idx {
            4 | 7 => byte == b'-',
            _ => byte.is_ascii_digit(),
        });
    is_so_written && Document::parse(format!("day = {text}")).is_ok()
}

/// A text in quotes: in those that `raw` has, where they will do; in single ones where the text has double ones itself.
fn quoted(text: &str, raw: Option<&str>) -> String {
    let may_be_single = !text.contains('\'') && !text.chars().any(char::is_control);
    let is_single = raw.is_some_and(|raw| raw.starts_with('\'') && !raw.starts_with("'''"));
    if may_be_single && (is_single || text.contains(['"', '\\'])) {
        return format!("'{text}'");
    }
    let mut quoted = String::with_capacity(text.len() + 2);
    quoted.push('"');
    for symbol in text.chars() {
        match symbol {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            '\t' => quoted.push_str("\\t"),
            _ if symbol.is_control() => quoted.push_str(&format!("\\u{:04X}", u32::from(symbol))),
            _ => quoted.push(symbol),
        }
    }
    quoted.push('"');
    quoted
}

/// An item of a list in the text of a cell.
fn listed(item: &str) -> String {
    if item.contains([',', '"']) || item.is_empty() {
        format!("\"{}\"", item.replace('"', "\"\""))
    } else {
        item.to_owned()
    }
}

/// The items of a list, from the text of a cell; one in quotes may hold a comma.
fn items(text: &str) -> Vec<String> {
    let mut items = Vec::new();
    let mut item = String::new();
    let mut is_open = false;
    let mut was_quoted = false;
    let mut symbols = text.chars().peekable();
    let mut push = |item: &mut String, was_quoted: &mut bool| {
        let whole = std::mem::take(item);
        let trimmed = whole.trim();
        if !trimmed.is_empty() || *was_quoted {
            items.push(trimmed.to_owned());
        }
        *was_quoted = false;
    };
    while let Some(symbol) = symbols.next() {
        match symbol {
            '"' if is_open && symbols.peek() == Some(&'"') => {
                symbols.next();
                item.push('"');
            }
            '"' if is_open => is_open = false,
            // Inches end in the same sign, so quotes open at the beginning of an item only.
            '"' if item.trim().is_empty() && !was_quoted => {
                is_open = true;
                was_quoted = true;
            }
            ',' if !is_open => push(&mut item, &mut was_quoted),
            _ => item.push(symbol),
        }
    }
    push(&mut item, &mut was_quoted);
    items
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::load::schema::{BUYING, FRAMES, HEAD, MOULDINGS, SAW, WAYS};

    #[test]
    fn a_text_becomes_the_value_that_a_hand_would_write() {
        let column = |schema: &'static crate::load::schema::Schema, name| {
            Takes::Column(schema.column(name).expect("the column is there"))
        };
        for (text, takes, made) in [
            ("1/8", column(&SAW, "kerf"), "\"1/8\""),
            ("3", column(&SAW, "kerf"), "\"3\""),
            ("8' 2 1/2\"", column(&SAW, "kerf"), "\"8' 2 1/2\\\"\""),
            ("12\"", column(&SAW, "kerf"), "'12\"'"),
            ("3", column(&FRAMES, "quantity"), "3"),
            ("03", column(&FRAMES, "quantity"), "\"03\""),
            ("many", column(&FRAMES, "quantity"), "\"many\""),
            ("true", column(&FRAMES, "match-color"), "true"),
            ("yes", column(&FRAMES, "match-color"), "\"yes\""),
            ("2026-11-25", column(&HEAD, "date"), "2026-11-25"),
            ("2026-13-25", column(&HEAD, "date"), "\"2026-13-25\""),
            (
                "walnut, ash",
                column(&MOULDINGS, "woods"),
                "[\"walnut\", \"ash\"]",
            ),
            (
                "\"a, b\", c",
                column(&MOULDINGS, "woods"),
                "[\"a, b\", \"c\"]",
            ),
            ("48", column(&BUYING, "yard-cuts"), "\"48\""),
            (
                "48, 8 ft",
                column(&BUYING, "yard-cuts"),
                "[\"48\", \"8 ft\"]",
            ),
            ("ferry.csv", column(&WAYS, "boards"), "\"ferry.csv\""),
            ("lath", column(&WAYS, "boards"), "[\"lath\"]"),
            ("frames.csv", Takes::Paths, "\"frames.csv\""),
            ("a.csv, b.csv", Takes::Paths, "[\"a.csv\", \"b.csv\"]"),
            ("a\tb\u{1}", Takes::Unknown, "\"a\\tb\\u0001\""),
        ] {
            assert_eq!(value(text, takes, None), made, "{text}");
        }
    }

    #[test]
    fn a_value_keeps_the_manner_of_the_one_before() {
        let kerf = Takes::Column(SAW.column("kerf").expect("the column is there"));
        let bare = Written::Bare("3.2".to_owned());
        assert_eq!(value("2.8", kerf, Some((&bare, "3.2"))), "2.8");
        assert_eq!(value("1/8", kerf, Some((&bare, "3.2"))), "\"1/8\"");
        let text = Written::Text("3.2".to_owned());
        assert_eq!(value("2.8", kerf, Some((&text, "'3.2'"))), "'2.8'");
        assert_eq!(value("2'", kerf, Some((&text, "'3.2'"))), "\"2'\"");
        let yes = Written::Bare("true".to_owned());
        assert_eq!(
            value("false", Takes::Unknown, Some((&yes, "true"))),
            "false"
        );
        let one = Written::List(vec![Written::Text("a.csv".to_owned())]);
        assert_eq!(
            value("b.csv", Takes::Paths, Some((&one, "['a.csv']"))),
            "['b.csv']"
        );
    }

    #[test]
    fn lists_come_back() {
        for texts in [
            vec!["a"],
            vec!["a, b", "c"],
            vec!["8' 2\"", "x"],
            vec!["", "b"],
        ] {
            let list = texts.iter().map(|text| Written::Text((*text).to_owned()));
            let cell = Written::List(list.collect()).cell();
            assert_eq!(items(&cell), texts, "{cell}");
        }
        assert_eq!(items(" a ,, b , "), ["a", "b"]);
        assert_eq!(items("12\", 8\""), ["12\"", "8\""]);
    }
}

//! Text of others in tables, where a spreadsheet would run it as a formula or a screen would show it in another order.
//!
//! Two rules, which reading a table undoes, so that a name comes back as it was:
//! - a text that begins with `=`, `+`, `-`, `@` or `'` and is no number gets a `'` before it, as one types it in a
//!   spreadsheet;
//! - a control character or one that is not seen is written as `[U+202E]`, its number between brackets; where a text has
//!   `[U+` itself, its bracket is written as `[U+5B]`.

use std::borrow::Cow;
use std::fmt::Write as _;

use super::disturbs;

/// What a character that is written by its number begins with.
const OPEN: &str = "[U+";

/// The bracket of [`OPEN`], by its number.
const BRACKET: &str = "[U+5B]";

/// A text as a cell of a table.
pub fn guarded(text: String) -> String {
    let text = if text.contains(OPEN) || text.chars().any(disturbs) {
        by_numbers(&text)
    } else {
        text
    };
    if is_run(&text) && !is_number(&text) {
        format!("'{text}")
    } else {
        text
    }
}

/// The text of a cell that [`guarded`] gave, or that somebody typed; others stay as they are.
pub fn unguarded(cell: &str) -> Cow<'_, str> {
    let text = match cell.strip_prefix('\'') {
        Some(text) if is_run(text) => text,
        _ => cell,
    };
    if text.contains(OPEN) {
        Cow::Owned(from_numbers(text))
    } else {
        Cow::Borrowed(text)
    }
}

/// Whether a spreadsheet may take a text for a formula, or its first character for a guard.
fn is_run(text: &str) -> bool {
    text.starts_with(['=', '+', '-', '@', '\'', '＝', '＋', '－', '＠'])
}

fn is_number(text: &str) -> bool {
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    digits.starts_with(|symbol: char| symbol.is_ascii_digit())
        && digits
            .bytes()
            .all(|byte| byte.is_ascii_digit() || byte == b'.')
}

fn by_numbers(text: &str) -> String {
    let mut cell = String::with_capacity(text.len() + 8);
    for (idx, symbol) in text.char_indices() {
        if text[idx..].starts_with(OPEN) {
            cell.push_str(BRACKET);
        } else if disturbs(symbol) {
            let _ = write!(cell, "{OPEN}{:X}]", u32::from(symbol));
        } else {
            cell.push(symbol);
        }
    }
    cell
}

fn from_numbers(cell: &str) -> String {
    let mut text = String::with_capacity(cell.len());
    let mut rest = cell;
    while let Some(at) = rest.find(OPEN) {
        let (before, from) = rest.split_at(at);
        text.push_str(before);
        let digits = from[OPEN.len()..].split_once(']');
        let known = digits.and_then(|(digits, after)| {
            let symbol = char::from_u32(u32::from_str_radix(digits, 16).ok()?)?;
            (symbol == '[' || disturbs(symbol)).then_some((symbol, after))
        });
        let (symbol, after) = known.unwrap_or_else(|| ('[', &from[1..]));
        text.push(symbol);
        rest = after;
    }
    text + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_would_run_is_marked_as_text() {
        for (text, cell) in [
            ("=HYPERLINK(1)", "'=HYPERLINK(1)"),
            ("-2+3", "'-2+3"),
            ("@sum", "'@sum"),
            ("'tis", "''tis"),
            ("-15.24", "-15.24"),
            ("8' 1/2\"", "8' 1/2\""),
            ("", ""),
            ("a\u{202e}b", "a[U+202E]b"),
            ("\t=1", "[U+9]=1"),
            ("a[U+202E]b", "a[U+5B]U+202E]b"),
        ] {
            assert_eq!(guarded(text.to_owned()), cell, "{text:?}");
        }
    }

    #[test]
    fn every_text_comes_back() {
        let signs = [
            '=', '\'', '-', '[', 'U', '+', '5', 'B', ']', '\u{202e}', '\t', 'ß',
        ];
        // All texts of five of these signs.
        let count = signs.len().pow(5);
        for number in 0..count {
            let text: String = (0..5)
                .map(|place| signs[number / signs.len().pow(place) % signs.len()])
                .collect();
            let cell = guarded(text.clone());
            assert!(!cell.chars().any(disturbs), "{cell:?}");
            assert_eq!(unguarded(&cell), text);
        }
    }

    #[test]
    fn what_was_typed_otherwise_stays() {
        for cell in ["'a", "[U+]", "[U+zz]", "[U+41]", "[U+202E", "[U+110000]"] {
            assert_eq!(unguarded(cell), cell);
        }
    }
}

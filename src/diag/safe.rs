//! Text from outside made fit for a terminal: nothing that steers it, nothing unseen, and no longer than helps.

use std::borrow::Cow;
use std::fmt::Write as _;
use std::path::Path;

/// Texts longer than this are cut where they are quoted, so that a message stays readable.
const LONGEST_QUOTE: usize = 60;

/// Stands for what was cut off.
pub(super) const CUT: &str = "...";

/// The text in backticks, without control characters, and shortened if it is very long.
///
/// Names and values from a file are put into messages by this function alone.
pub fn quoted(text: &str) -> String {
    format!("`{}`", shortened(text))
}

/// A path in backticks, whole, without control characters.
pub fn quoted_path(path: &Path) -> String {
    format!("`{}`", safe_text(&path.display().to_string()))
}

/// The text without control characters, and shortened if it is very long.
pub(super) fn shortened(text: &str) -> String {
    let mut shown: String = text.chars().take(LONGEST_QUOTE).map(safe_char).collect();
    if text.chars().nth(LONGEST_QUOTE).is_some() {
        shown.push_str(CUT);
    }
    shown
}

/// The text with every character that would steer a terminal replaced; as many characters as before, and one line.
pub fn safe_text(text: &str) -> Cow<'_, str> {
    if text.chars().all(|symbol| safe_char(symbol) == symbol) {
        Cow::Borrowed(text)
    } else {
        Cow::Owned(text.chars().map(safe_char).collect())
    }
}

/// Text of JSON with the same meaning, and without a character that steers a terminal: such stand in strings only, where
/// they are written by their numbers.
pub fn safe_json(text: String) -> String {
    let is_plain = |byte: u8| byte == b'\n' || (b' '..0x7f).contains(&byte);
    if text.bytes().all(is_plain) || !text.chars().any(is_escaped) {
        return text;
    }
    let mut safe = String::with_capacity(text.len() + 64);
    for symbol in text.chars() {
        if is_escaped(symbol) {
            for unit in symbol.encode_utf16(&mut [0; 2]) {
                let _ = write!(safe, "\\u{unit:04x}");
            }
        } else {
            safe.push(symbol);
        }
    }
    safe
}

/// The ends of lines in JSON are its own; a control character in one of its strings is escaped already but for the upper ones.
fn is_escaped(symbol: char) -> bool {
    symbol != '\n' && disturbs(symbol)
}

/// A blank for a tab, the replacement character for other controls and for what is not seen.
fn safe_char(symbol: char) -> char {
    match symbol {
        '\t' => ' ',
        _ if disturbs(symbol) => char::REPLACEMENT_CHARACTER,
        _ => symbol,
    }
}

/// Whether a character would move the cursor, break the line, turn the direction of what follows, or not be seen.
pub fn disturbs(symbol: char) -> bool {
    symbol.is_control() || is_unseen(symbol)
}

/// Whether a character turns the direction of writing, breaks a line, or has neither ink nor width.
fn is_unseen(symbol: char) -> bool {
    matches!(
        symbol,
        '\u{ad}'
            | '\u{34f}'
            | '\u{61c}'
            | '\u{115f}'..='\u{1160}'
            | '\u{17b4}'..='\u{17b5}'
            | '\u{180b}'..='\u{180f}'
            | '\u{200b}'..='\u{200f}'
            | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{3164}'
            | '\u{feff}'
            | '\u{ffa0}'
            | '\u{fff0}'..='\u{fffb}'
            | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0000}'..='\u{e0fff}'
    )
}

/// Whether a character by itself shows anything: no blank, nothing that only changes what stands beside it.
pub fn is_seen(symbol: char) -> bool {
    let is_blank = symbol.is_whitespace() || symbol == '\u{2800}';
    let only_varies = matches!(symbol, '\u{fe00}'..='\u{fe0f}');
    !is_blank && !only_varies && !disturbs(symbol)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_shows_nothing_by_itself_is_not_seen() {
        for symbol in "\u{200b}\u{2060}\u{ad}\u{3164}\u{2800}\u{fe0f}\u{a0} \u{e0041}".chars() {
            assert!(!is_seen(symbol), "{symbol:?}");
        }
        assert!("a½é木\u{5d0}🖼.".chars().all(is_seen));
    }

    #[test]
    fn nothing_of_a_text_steers_a_terminal() {
        let nasty = "a\u{1b}[2Jb\u{7}\u{9b}c\u{202e}d\u{200b}\ne\tf";
        assert_eq!(
            safe_text(nasty),
            "a\u{fffd}[2Jb\u{fffd}\u{fffd}c\u{fffd}d\u{fffd}\u{fffd}e f"
        );
        assert!(matches!(safe_text("ash, 8 ft ½"), Cow::Borrowed(_)));
        assert_eq!(quoted_path(Path::new("a\u{1b}b")), "`a\u{fffd}b`");
    }

    #[test]
    fn json_keeps_its_meaning() {
        let value = serde_json::json!({ "name": "a\u{202e}b\u{9b}\u{e0041}\u{1b}\n½" });
        let text = safe_json(format!("{value:#}"));
        assert!(!text.chars().any(is_unseen));
        assert!(!text.contains('\u{9b}'));
        let read: serde_json::Value = serde_json::from_str(&text).expect("it is JSON");
        assert_eq!(read, value);
    }
}

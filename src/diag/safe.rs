//! Text from outside made fit for a terminal: no control characters, and no longer than helps.

use std::borrow::Cow;

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

/// The text without control characters, and shortened if it is very long.
pub(super) fn shortened(text: &str) -> String {
    let mut shown: String = text.chars().take(LONGEST_QUOTE).map(safe_char).collect();
    if text.chars().nth(LONGEST_QUOTE).is_some() {
        shown.push_str(CUT);
    }
    shown
}

/// The text with every character that would steer a terminal replaced; as many characters as before.
pub(super) fn safe_text(text: &str) -> Cow<'_, str> {
    if text.chars().all(|symbol| safe_char(symbol) == symbol) {
        Cow::Borrowed(text)
    } else {
        Cow::Owned(text.chars().map(safe_char).collect())
    }
}

/// A blank for a tab, the replacement character for other controls and for what turns the direction of writing.
fn safe_char(symbol: char) -> char {
    match symbol {
        '\t' => ' ',
        '\u{200b}'..='\u{200f}'
        | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{feff}' => char::REPLACEMENT_CHARACTER,
        _ if symbol.is_control() => char::REPLACEMENT_CHARACTER,
        _ => symbol,
    }
}

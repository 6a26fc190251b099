//! Text from a file made fit for a terminal.

use std::borrow::Cow;

/// Quoted texts longer than this are cut, so that a message stays a line.
const LONGEST_QUOTE: usize = 60;

/// The text in backticks, without control characters, and shortened if it is very long.
pub fn quoted(text: &str) -> String {
    let mut shown: String = text.chars().take(LONGEST_QUOTE).map(safe_char).collect();
    if text.chars().nth(LONGEST_QUOTE).is_some() {
        shown.push('…');
    }
    format!("`{shown}`")
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
pub(super) fn safe_char(symbol: char) -> char {
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

//! Text measured in columns: display width, shortening and wrapping.

use unicode_width::UnicodeWidthStr;

use crate::diag::{tie_mixed_numbers, tie_to_figures};

pub(super) use crate::diag::TIED;

use super::ink::Ink;

/// Columns that `text` takes on a terminal.
pub(super) fn width_of(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

/// `text`, shortened to at most `width` columns with an ellipsis at its end.
pub(super) fn fit(text: &str, width: usize, ink: Ink) -> String {
    if width_of(text) <= width {
        return text.to_owned();
    }
    let ellipsis = ink.ellipsis();
    let Some(room) = width.checked_sub(width_of(ellipsis)) else {
        return prefix(text, width).to_owned();
    };
    format!("{}{ellipsis}", prefix(text, room).trim_end())
}

/// The longest beginning of `text` that takes at most `width` columns.
fn prefix(text: &str, width: usize) -> &str {
    let mut end = 0;
    // A name of thousands of marks without width would make this slow; it is cut off long before.
    for (idx, symbol) in text.char_indices().take(width * 4 + 4) {
        let next = idx + symbol.len_utf8();
        if width_of(&text[..next]) > width {
            break;
        }
        end = next;
    }
    &text[..end]
}

/// `text` with its blanks tied, so that [`wrap`] keeps it on one line where it can.
pub(super) fn tie(text: &str) -> String {
    text.replace(' ', &TIED.to_string())
}

/// Units whose figure is not to stand on another line.
const UNITS: [&str; 10] = ["mm", "cm", "m", "in", "ft", "yd", "g", "kg", "oz", "lb"];

/// `name` with every unit tied to the figure before it.
pub(super) fn tie_units(name: &str) -> String {
    tie_to_figures(name, |word| {
        UNITS.contains(&word.trim_end_matches([',', ';', '.', ')']))
    })
}

/// `text` in lines of at most `width` columns, broken at blanks.
///
/// What is tied, as mixed numbers always are, is broken only if it is wider than a line, and a word only if it is wider still.
pub(super) fn wrap(text: &str, width: usize) -> Vec<String> {
    let width = width.max(2);
    let text = tie_mixed_numbers(text);
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    let words = text.split(' ').flat_map(|group| {
        if width_of(group) <= width {
            vec![group.replace(TIED, " ")]
        } else {
            group.split(TIED).map(str::to_owned).collect()
        }
    });
    for word in words.filter(|word| !word.is_empty()) {
        let longer = if line.is_empty() {
            word.clone()
        } else {
            format!("{line} {word}")
        };
        if width_of(&longer) <= width {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        let mut rest = word.as_str();
        while width_of(rest) > width {
            let head = prefix(rest, width);
            // Marks without width can fill a prefix; then one character goes alone.
            let cut = match (head.len(), rest.chars().next()) {
                (0, Some(first)) => first.len_utf8(),
                (len, _) => len,
            };
            lines.push(rest[..cut].to_owned());
            rest = &rest[cut..];
        }
        rest.clone_into(&mut line);
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// `text` with blanks on its right up to `width` columns.
pub(super) fn pad_right(text: &str, width: usize) -> String {
    format!("{text}{}", blanks(width.saturating_sub(width_of(text))))
}

/// `text` with blanks on its left up to `width` columns.
pub(super) fn pad_left(text: &str, width: usize) -> String {
    format!("{}{text}", blanks(width.saturating_sub(width_of(text))))
}

/// A number of blanks.
pub(super) fn blanks(count: usize) -> String {
    " ".repeat(count)
}

#[cfg(test)]
mod tests;

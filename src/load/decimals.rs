//! Which sign marks decimals, as far as a number tells it by itself.

use crate::money::DecimalMark;

/// Which signs mark decimals in the numbers of a text that can be read in one way only.
pub(super) fn told_marks(text: &str) -> impl Iterator<Item = DecimalMark> {
    let is_between = |symbol: char| !symbol.is_ascii_digit() && !matches!(symbol, '.' | ',');
    text.split(is_between).filter_map(told_mark)
}

/// Which sign marks decimals, where the first number in a text can be read in one way only.
pub(super) fn told_mark(text: &str) -> Option<DecimalMark> {
    let is_of_number = |symbol: char| symbol.is_ascii_digit() || matches!(symbol, '.' | ',');
    let start = text.find(|symbol: char| symbol.is_ascii_digit())?;
    let len = text[start..]
        .find(|symbol| !is_of_number(symbol))
        .unwrap_or(text.len() - start);
    let number = text[start..start + len].trim_end_matches(['.', ',']);
    let (point, comma) = (number.rfind('.'), number.rfind(','));
    let told = |sign: char| {
        if sign == '.' {
            DecimalMark::Point
        } else {
            DecimalMark::Comma
        }
    };
    match (point, comma) {
        (None, None) => None,
        (Some(point), Some(comma)) => Some(told(if point > comma { '.' } else { ',' })),
        (Some(at), None) | (None, Some(at)) => {
            let sign = if point.is_some() { '.' } else { ',' };
            let other = if point.is_some() { ',' } else { '.' };
            if number.matches(sign).count() > 1 {
                // Groups of digits; decimals would stand behind the other sign.
                return Some(told(other));
            }
            let n_behind = number.len() - at - 1;
            let could_be_group = n_behind == 3 && (1..=3).contains(&at) && !number.starts_with('0');
            (!could_be_group).then(|| told(sign))
        }
    }
}

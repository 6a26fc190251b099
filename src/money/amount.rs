//! Reading of amounts as people write them: `12.50`, `$1,234.50`, `1.450,00 €`, `1 234,50`, `1'234.50`, `12.–`.
//!
//! Which of point and comma marks decimals is told by the text itself where that is possible: the mark that comes last of
//! the two, one that other than three digits follow, one behind groups that are parted otherwise.
//! Only a single mark with three digits behind it can be read in two ways.

use super::{Currency, Money, MoneyError};

/// Which sign parts whole units from decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DecimalMark {
    /// The point; commas part groups of three digits.
    Point,
    /// The comma; points part groups of three digits.
    Comma,
    /// Nothing is known but the text itself.
    Either,
}

/// Signs that mean a currency of this code, besides the code itself; several countries share the dollar and the crown.
const SIGNS: [(&str, &[&str]); 13] = [
    ("USD", &["US$", "$"]),
    ("CAD", &["CA$", "C$", "$"]),
    ("AUD", &["A$", "$"]),
    ("NZD", &["NZ$", "$"]),
    ("EUR", &["€"]),
    ("GBP", &["£"]),
    ("CHF", &["SFr.", "sFr.", "Fr."]),
    ("JPY", &["¥"]),
    ("SEK", &["kr"]),
    ("NOK", &["kr"]),
    ("DKK", &["kr"]),
    ("PLN", &["zł"]),
    ("CZK", &["Kč"]),
];

impl Currency {
    /// The amount that a text states.
    ///
    /// Decimals follow a point or a comma, and groups of three digits may be parted by the other of the two, by blanks or by
    /// apostrophes; `mark` decides where a text can be read in two ways, and where it is known nothing else will do.
    /// The currency's own code, or a sign that means the same, may stand before or after the number; where the currency has no
    /// code, any known one may.
    ///
    /// # Errors
    /// [`MoneyError`] if the text is no amount, or has more decimals than the currency, or is out of range, or can be read in
    /// two ways.
    pub fn parse_amount(&self, text: &str, mark: DecimalMark) -> Result<Money, MoneyError> {
        let text = self.without_code(text.trim())?;
        if text.is_empty() {
            return Err(MoneyError::Empty);
        }
        let (negative, text) = match text.strip_prefix(['-', '\u{2212}']) {
            Some(rest) => (true, self.without_code(rest.trim_start())?),
            None => (false, text),
        };
        if ["inf", "+inf", "infinity", "nan", "\u{221e}"]
            .iter()
            .any(|word| text.eq_ignore_ascii_case(word))
        {
            return Err(MoneyError::NotFinite);
        }
        let (text, mark) = without_dash(text).unwrap_or((text, mark));
        let (whole, decimals) = split(text, mark)?;
        let given = u32::try_from(decimals.len()).unwrap_or(u32::MAX);
        let Some(missing) = self.decimals.checked_sub(given) else {
            return Err(MoneyError::TooManyDecimals {
                decimals: self.decimals,
            });
        };
        let minor = whole
            .bytes()
            .chain(decimals.bytes())
            .chain((0..missing).map(|_| b'0'))
            .try_fold(0_i64, |minor, digit| {
                minor.checked_mul(10)?.checked_add(i64::from(digit - b'0'))
            })
            .map(Money)
            .filter(|money| *money <= Money::LARGEST)
            .ok_or(MoneyError::TooLarge)?;
        if negative && minor > Money::ZERO {
            return Err(MoneyError::Negative);
        }
        Ok(minor)
    }

    /// The text without this currency's code or sign at its front or end.
    fn without_code<'t>(&self, text: &'t str) -> Result<&'t str, MoneyError> {
        if !self.code.is_empty()
            && let Some(rest) = text
                .strip_prefix(&self.code)
                .or_else(|| text.strip_suffix(&self.code))
        {
            return Ok(rest.trim());
        }
        match known_sign(text) {
            Some((_, rest)) if self.code.is_empty() => Ok(rest),
            Some((sign, rest)) if means(sign, &self.code) => Ok(rest),
            Some((sign, _)) => Err(MoneyError::OtherCurrency {
                found: sign.to_owned(),
                wanted: self.code.clone(),
            }),
            None => Ok(text),
        }
    }
}

/// The code or sign of a currency in a text, as it is listed.
pub fn currency_in(text: &str) -> Option<&'static str> {
    let text = text.trim();
    let text = text.strip_prefix(['-', '\u{2212}']).unwrap_or(text);
    known_sign(text).map(|(sign, _)| sign)
}

/// A known code or sign at the front or the end of a text, and the text without it.
fn known_sign(text: &str) -> Option<(&'static str, &str)> {
    let codes = SIGNS.iter().map(|(code, _)| *code);
    let signs = SIGNS.iter().flat_map(|(_, signs)| signs.iter().copied());
    codes.chain(signs).find_map(|sign| {
        let front = text.get(..sign.len());
        if let Some(front) = front.filter(|front| front.eq_ignore_ascii_case(sign)) {
            let rest = &text[front.len()..];
            return is_apart(rest.chars().next()).then(|| (sign, rest.trim()));
        }
        let at = text.len().checked_sub(sign.len())?;
        let end = text.get(at..)?;
        let rest = &text[..at];
        (end.eq_ignore_ascii_case(sign) && is_apart(rest.chars().next_back()))
            .then(|| (sign, rest.trim()))
    })
}

/// Whether what stands beside a code is no letter, so that the code is a word of its own.
fn is_apart(beside: Option<char>) -> bool {
    beside.is_none_or(|symbol| !symbol.is_alphabetic())
}

/// Whether two codes or signs can mean one currency, as `$` and `USD` do.
pub fn same_currency(one: &str, other: &str) -> bool {
    one == other || means(one, other)
}

/// Whether a listed code or sign can mean the currency of this code.
fn means(sign: &str, code: &str) -> bool {
    SIGNS.iter().any(|(listed, signs)| {
        let has = |text: &str| {
            listed.eq_ignore_ascii_case(text)
                || signs.iter().any(|sign| sign.eq_ignore_ascii_case(text))
        };
        has(sign) && has(code)
    })
}

/// The text without the dash that stands for no decimals, as in `12.–` or `12,-`, and the mark before it.
fn without_dash(text: &str) -> Option<(&str, DecimalMark)> {
    let before = text.trim_end_matches(['-', '\u{2013}', '\u{2014}']);
    let whole = before.strip_suffix(['.', ','])?;
    let mark = if before.ends_with('.') {
        DecimalMark::Point
    } else {
        DecimalMark::Comma
    };
    (before.len() < text.len()).then_some((whole, mark))
}

/// Whether a sign may part groups of digits and never decimals.
fn parts_groups(symbol: char) -> bool {
    matches!(
        symbol,
        '\'' | '\u{2019}' | ' ' | '\u{a0}' | '\u{2009}' | '\u{202f}'
    )
}

/// The digits before the decimal mark without what parts them, and those after it.
fn split(text: &str, mark: DecimalMark) -> Result<(String, &str), MoneyError> {
    let is_number = |symbol: char| {
        symbol.is_ascii_digit() || matches!(symbol, '.' | ',') || parts_groups(symbol)
    };
    let end = text.find(|symbol| !is_number(symbol)).unwrap_or(text.len());
    let number = text[..end].trim_end_matches(parts_groups);
    if number.len() < text.len() {
        return Err(expected_digits(&text[number.len()..]));
    }
    let decimal_at = decimal_mark(number, mark)?;
    let (whole, decimals) = match decimal_at {
        Some(at) => (&number[..at], &number[at + 1..]),
        None => (number, ""),
    };
    if let Some(at) = decimals.find(|symbol: char| !symbol.is_ascii_digit()) {
        return Err(expected_digits(&decimals[at..]));
    }
    if decimals.is_empty() && (decimal_at.is_some() || whole.is_empty()) {
        return Err(expected_digits(""));
    }
    Ok((without_groups(whole)?, decimals))
}

/// Where the sign stands that parts whole units from decimals; `None` where there are only whole ones.
fn decimal_mark(number: &str, mark: DecimalMark) -> Result<Option<usize>, MoneyError> {
    let (point, comma) = (number.rfind('.'), number.rfind(','));
    let is_single = |sign: char| number.matches(sign).count() == 1;
    let (at, sign) = match (point, comma) {
        (None, None) => return Ok(None),
        (Some(point), Some(comma)) if point > comma => (point, '.'),
        (Some(_) | None, Some(comma)) => (comma, ','),
        (Some(point), None) => (point, '.'),
    };
    let is_alone = point.is_none() || comma.is_none();
    if !is_single(sign) {
        // Groups of digits, if nothing else; what is none is refused with the groups.
        return Ok(None);
    }
    let (before, behind) = (&number[..at], &number[at + 1..]);
    let n_before = before.chars().filter(char::is_ascii_digit).count();
    let could_be_group = is_alone
        && behind.len() == 3
        && (1..=3).contains(&n_before)
        && before.len() == n_before
        && !before.starts_with('0');
    let is_known = match mark {
        DecimalMark::Point => Some('.'),
        DecimalMark::Comma => Some(','),
        DecimalMark::Either => None,
    };
    match is_known {
        Some(known) if known == sign => Ok(Some(at)),
        Some(_) if could_be_group => Ok(None),
        Some(_) => Err(expected_digits(&number[at..])),
        None if could_be_group => Err(MoneyError::TwoReadings {
            grouped: format!("{before}{behind}"),
            decimal: format!("{before}.{behind}"),
        }),
        None => Ok(Some(at)),
    }
}

/// Whole digits without what parts their groups: one to three digits, then three each, parted by one sign throughout.
fn without_groups(whole: &str) -> Result<String, MoneyError> {
    let Some(at) = whole.find(|symbol: char| !symbol.is_ascii_digit()) else {
        return Ok(whole.to_owned());
    };
    let parting = whole[at..].chars().next().unwrap_or_default();
    let mut groups = whole.split(parting);
    let first = groups.next().unwrap_or_default();
    let is_of_digits = |group: &str| group.bytes().all(|byte| byte.is_ascii_digit());
    let are_groups = (1..=3).contains(&first.len())
        && groups.all(|group| group.len() == 3 && is_of_digits(group));
    if are_groups {
        Ok(whole.replace(parting, ""))
    } else {
        Err(expected_digits(&whole[at..]))
    }
}

fn expected_digits(rest: &str) -> MoneyError {
    let found = rest.split_whitespace().next().unwrap_or_default();
    MoneyError::ExpectedDigits {
        found: found.chars().take(16).collect(),
    }
}

//! Lengths and money: what is read is in range, and is read again as the same value from every way of printing it.

use longpoint::length::{
    Length, Notation, Rounding, Unit, exact_in_unit, exact_text, format, format_number, parse,
};
use longpoint::money::{Currency, DecimalMark, Money};

const UNITS: [Unit; 5] = [
    Unit::Inch,
    Unit::Foot,
    Unit::Millimeter,
    Unit::Centimeter,
    Unit::Meter,
];

/// The first byte says how to read, the rest is the text.
fn split(bytes: &[u8]) -> Option<(usize, &str)> {
    let (&how, text) = bytes.split_first()?;
    Some((usize::from(how), std::str::from_utf8(text).ok()?))
}

pub fn length(bytes: &[u8]) {
    let Some((how, text)) = split(bytes) else {
        return;
    };
    let unit = UNITS[how % 5];
    let notation = Notation {
        unit,
        decimal_comma: how & 128 != 0,
    };
    let read = match parse(text, notation) {
        Ok(read) => read,
        Err(error) => {
            assert!(!error.to_string().is_empty());
            assert!(error.hint().is_none_or(|hint| !hint.is_empty()));
            return;
        }
    };
    assert!((Length::ZERO..=Length::LONGEST).contains(&read));
    for printed_in in UNITS {
        let text = exact_text(read, printed_in);
        assert_eq!(parse(&text, notation), Ok(read), "{text}");
        if let Some(number) = exact_in_unit(read, printed_in) {
            let bare = Notation {
                unit: printed_in,
                decimal_comma: false,
            };
            assert_eq!(parse(&number, bare), Ok(read), "{number}");
        }
        let step = Length::from_nm(396_875 << (how % 7));
        for rounding in [Rounding::Down, Rounding::Nearest, Rounding::Up] {
            let rounded = read.rounded(step, rounding);
            assert!((rounded.nm() - read.nm()).abs() < step.nm());
            assert!(rounded <= read || rounding != Rounding::Down);
            assert!(rounded >= read || rounding != Rounding::Up);
            let text = format(read, printed_in, step, rounding);
            if rounded <= Length::LONGEST {
                assert_eq!(parse(&text, notation), Ok(rounded), "{text}");
            }
            let number = format_number(read, printed_in, step, rounding);
            assert!(text.starts_with(&number), "{number} of {text}");
        }
    }
}

pub fn money(bytes: &[u8]) {
    let Some((how, text)) = split(bytes) else {
        return;
    };
    // The code of the currency stands before a line feed.
    let (code, text) = text.split_once('\n').unwrap_or(("USD", text));
    let currency = Currency {
        code: code.chars().take(8).collect(),
        decimals: u32::try_from(how % 5).expect("small"),
    };
    match currency.parse_amount(text, [DecimalMark::Point, DecimalMark::Comma, DecimalMark::Either][usize::from(how >> 6).min(2)]) {
        Ok(read) => {
            assert!((Money::ZERO..=Money::LARGEST).contains(&read));
            let amount = currency.format_amount(read);
            let plain = Currency {
                code: String::new(),
                ..currency.clone()
            };
            assert_eq!(plain.parse_amount(&amount, DecimalMark::Point), Ok(read), "{amount}");
            let whole = currency.format(read);
            // No job may name a currency that has blanks around it, or that looks like part of an amount.
            let is_code = !code.is_empty()
                && code.trim() == currency.code
                && !code.contains(|symbol: char| {
                    symbol.is_numeric() || "+-.,\u{2212}".contains(symbol)
                });
            if is_code {
                assert_eq!(currency.parse_amount(&whole, DecimalMark::Point), Ok(read), "{whole}");
            }
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
}

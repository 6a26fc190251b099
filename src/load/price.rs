//! Prices of boards, as price lists state them.

use std::fmt;

use super::fields::{Fields, Found};
use crate::diag::{code, quoted};
use crate::length::{Length, Notation, Unit, parse};
use crate::money::{Currency, DecimalMark, Money, MoneyError};
use crate::stock::{BoardMeasure, Price};

/// Why a text is not a price.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum PriceError {
    /// The amount is at fault.
    Amount(MoneyError),
    /// The word after the stroke is no measure.
    UnknownMeasure(String),
}

impl fmt::Display for PriceError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PriceError::Amount(error) => error.fmt(out),
            PriceError::UnknownMeasure(word) => write!(out, "`{word}` is not a measure of boards"),
        }
    }
}

/// Reads `12.50`, `12.50 each`, `1.20/ft`, `4.10/m`, `0.10/in`, `16.80/72 in`, `7.80/bf`, `38.50/m2` or `1250/m3`, with or without the currency.
/// An exact share of what was paid, as the rack is written, `274.50/7844 in (0.42/ft)`, has behind it for the eye what that
/// comes to.
///
/// Board feet are to be counted by `measure`; decimals of the amount are marked by `mark`.
pub(super) fn parse_price(
    text: &str,
    currency: &Currency,
    notation: Notation,
    mark: DecimalMark,
    measure: BoardMeasure,
) -> Result<Price, PriceError> {
    let amount = |text: &str| {
        currency
            .parse_amount(text, mark)
            .map_err(PriceError::Amount)
    };
    let Some((money, per)) = text.split_once('/') else {
        return amount(without_each(text.trim())).map(Price::Each);
    };
    let money = amount(money)?;
    let per = per.trim().to_lowercase();
    if let Some(per) = exact_share(&per, amount, notation) {
        return Ok(Price::PerLength { money, per });
    }
    let per = match per.as_str() {
        "bf" => return Ok(Price::PerBoardFoot { money, measure }),
        "m2" | "m\u{b2}" | "sqm" | "qm" => return Ok(Price::PerSquareMeter(money)),
        "m3" | "m\u{b3}" | "cbm" => return Ok(Price::PerCubicMeter(money)),
        "in" => Unit::Inch.length(),
        "ft" => Unit::Foot.length(),
        "cm" => Unit::Centimeter.length(),
        "m" => Unit::Meter.length(),
        _ => some_length(&per, notation)
            .ok_or_else(|| PriceError::UnknownMeasure(per.chars().take(16).collect()))?,
    };
    Ok(Price::PerLength { money, per })
}

/// The length of an exact share, where what stands behind it is an amount for a foot or a meter.
fn exact_share(
    per: &str,
    amount: impl Fn(&str) -> Result<Money, PriceError>,
    notation: Notation,
) -> Option<Length> {
    let (exact, told) = per.strip_suffix(')')?.split_once('(')?;
    let told = told.strip_suffix("/ft").or(told.strip_suffix("/m"))?;
    amount(told).ok()?;
    some_length(exact.trim(), notation)
}

/// A length that is written out, as `72 in` is.
fn some_length(text: &str, notation: Notation) -> Option<Length> {
    parse(text, notation)
        .ok()
        .filter(|&length| length > Length::ZERO)
}

/// The text without the word `each` at its end.
pub(super) fn without_each(text: &str) -> &str {
    let start = text.len().saturating_sub(4);
    match text.get(start..) {
        Some(word) if word.eq_ignore_ascii_case("each") => text[..start].trim_end(),
        _ => text,
    }
}

/// An amount of money under a name; `hint` says how it is written.
pub(super) fn read_amount(
    fields: &mut Fields<'_, '_>,
    name: &str,
    hint: &str,
) -> Found<Option<Money>> {
    let Some(field) = fields.present(name)? else {
        return Ok(None);
    };
    fields.check_currency(field)?;
    match fields
        .scope
        .currency
        .parse_amount(&Fields::price_text(field), field.decimal_mark())
    {
        Ok(amount) => Ok(Some(amount)),
        Err(error) => {
            let what = format!("{} is not a price: {error}", quoted(&field.text));
            Err(fields.fault(field, code::NOT_A_PRICE, what, hint.to_owned()))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::money::Money;

    fn read(text: &str) -> Result<Price, String> {
        let currency = Currency {
            code: "$".to_owned(),
            decimals: 2,
        };
        let notation = Notation {
            unit: Unit::Inch,
            decimal_comma: false,
        };
        parse_price(
            text,
            &currency,
            notation,
            DecimalMark::Point,
            BoardMeasure::Surface,
        )
        .map_err(|error| error.to_string())
    }

    #[test]
    fn prices_are_read_each_by_length_and_by_board_foot() {
        let each = Ok(Price::Each(Money::from_minor(1250)));
        for text in [
            "12.50",
            "12.5 each",
            "$12.50",
            "$12.50 Each",
            "12.50 $ each",
            "12.50each",
        ] {
            assert_eq!(read(text), each, "{text}");
        }
        for (text, per) in [
            ("1.20/ft", Length::FOOT),
            ("$1.20 / FT", Length::FOOT),
            ("1.20/in", Length::INCH),
            ("1.20/m", Length::METRE),
            ("1.20 $/cm", Length::MILLIMETRE * 10),
            ("1.20/72", Length::INCH * 72),
            ("$1.20/6 FT", Length::FOOT * 6),
            ("1.20/70 1/2 in", Length::from_nm(1_790_700_000)),
            ("1.20/7844 in (0.42/ft)", Length::INCH * 7_844),
            ("1.20/2000 mm (0.60/m)", Length::METRE * 2),
        ] {
            let money = Money::from_minor(120);
            assert_eq!(read(text), Ok(Price::PerLength { money, per }), "{text}");
        }
        // What is told must be an amount for a foot or a meter, behind a length.
        for text in [
            "1.20/m(2)",
            "1.20/m (2)",
            "1.20/ft (sale 3/ft)",
            "1.20/72 in (a remark)",
            "1.20/72 in (0.20/in)",
            "1.20/72 in (0.20/ft) (0.20/ft)",
        ] {
            assert!(read(text).is_err(), "{text}");
        }
        assert_eq!(
            read("7.80/bf"),
            Ok(Price::PerBoardFoot {
                money: Money::from_minor(780),
                measure: BoardMeasure::Surface,
            })
        );
        for text in ["38.50/m2", "38.50 / m\u{b2}", "$38.50/qm"] {
            assert_eq!(
                read(text),
                Ok(Price::PerSquareMeter(Money::from_minor(3_850)))
            );
        }
        for text in ["1250/m3", "$1,250.00/m\u{b3}", "1250 / CBM"] {
            assert_eq!(
                read(text),
                Ok(Price::PerCubicMeter(Money::from_minor(125_000)))
            );
        }
    }

    #[test]
    fn every_fault_of_a_price_is_told() {
        for (text, message) in [
            ("each", "no amount is given"),
            ("/ft", "no amount is given"),
            ("1.20/yard", "`yard` is not a measure of boards"),
            ("1.20/", "`` is not a measure of boards"),
            (
                "1.20/72 in 0.42)",
                "`72 in 0.42)` is not a measure of boards",
            ),
            ("1.20/ft/ft", "`ft/ft` is not a measure of boards"),
            ("1.20/0 ft", "`0 ft` is not a measure of boards"),
            ("EUR 1.20", "`EUR` is another currency than `$`"),
        ] {
            assert_eq!(read(text), Err(message.to_owned()), "{text}");
        }
    }
}

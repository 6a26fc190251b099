use super::*;
use proptest::prelude::*;

const MARKS: [DecimalMark; 3] = [DecimalMark::Point, DecimalMark::Comma, DecimalMark::Either];

/// A number with a sign between groups of three digits.
fn grouped(number: i64, group: &str) -> String {
    let digits = number.to_string();
    let groups = digits.as_bytes().rchunks(3).rev();
    let groups: Vec<&str> = groups
        .map(|group| str::from_utf8(group).unwrap_or_default())
        .collect();
    groups.join(group)
}

fn dollars() -> Currency {
    Currency {
        code: "USD".to_owned(),
        decimals: 2,
    }
}

fn read(text: &str) -> Result<i64, String> {
    dollars()
        .parse_amount(text, DecimalMark::Point)
        .map(Money::minor)
        .map_err(|error| error.to_string())
}

#[test]
fn amounts_are_read_in_minor_units() {
    for (text, minor) in [
        ("12", 1200),
        ("12.5", 1250),
        ("12.50", 1250),
        (".50", 50),
        (" 12.50 USD ", 1250),
        ("USD 12.50", 1250),
        ("0", 0),
        ("-0.00", 0),
    ] {
        assert_eq!(read(text), Ok(minor), "{text}");
    }
    let yen = Currency {
        code: "¥".to_owned(),
        decimals: 0,
    };
    assert_eq!(
        yen.parse_amount("¥1200", DecimalMark::Point),
        Ok(Money::from_minor(1200))
    );
    assert_eq!(
        dollars().parse_amount("12,50", DecimalMark::Comma),
        Ok(Money::from_minor(1250))
    );
}

#[test]
fn every_fault_is_told_apart() {
    for (text, message) in [
        ("", "no amount is given"),
        ("USD", "no amount is given"),
        ("inf", "an amount must be finite"),
        ("-nan", "an amount must be finite"),
        ("-1.50", "an amount must not be negative"),
        ("1000000000.01", "the amount is too large"),
        ("99999999999999999999999", "the amount is too large"),
        ("12.505", "the currency has 2 decimal places"),
        ("12.", "expected digits, found nothing more"),
        ("-", "expected digits, found nothing more"),
        ("12,50", "expected digits, found `,50`"),
        ("EUR 12", "`EUR` is another currency than `USD`"),
        ("1e3", "expected digits, found `e3`"),
    ] {
        assert_eq!(read(text), Err(message.to_owned()), "{text}");
    }
}

#[test]
fn amounts_are_read_as_people_write_them() {
    let cents = |minor| Ok(Money::from_minor(minor));
    for (text, read) in [
        ("$18.90", 1890),
        ("18.90 $", 1890),
        ("US$ 18.90", 1890),
        ("18,90 USD", 1890),
        ("1,234.50", 123_450),
        ("1.450,00", 145_000),
        ("1 234,50", 123_450),
        ("1\u{a0}234,50", 123_450),
        ("1\u{202f}234", 123_400),
        ("1'234.50", 123_450),
        ("1\u{2019}234.50", 123_450),
        ("1,234,567", 123_456_700),
        ("1.234.567,8", 123_456_780),
        ("12.\u{2013}", 1200),
        ("12,-", 1200),
        ("1.450,--", 145_000),
        ("0.125", 12),
        ("1234.500", 123_450),
    ] {
        let found = dollars().parse_amount(text, DecimalMark::Either);
        let wanted = match text {
            "0.125" | "1234.500" => Err(MoneyError::TooManyDecimals { decimals: 2 }),
            _ => cents(read),
        };
        assert_eq!(found, wanted, "{text}");
    }
    let two = |text| {
        dollars()
            .parse_amount(text, DecimalMark::Either)
            .map_err(|error| error.to_string())
    };
    assert_eq!(two("1,234"), Err("it may be 1234 or 1.234".to_owned()));
    assert_eq!(two("12.500"), Err("it may be 12500 or 12.500".to_owned()));
    assert_eq!(
        dollars().parse_amount("1,234", DecimalMark::Point),
        cents(123_400)
    );
    assert_eq!(
        dollars().parse_amount("1.234", DecimalMark::Comma),
        cents(123_400)
    );
    for text in [
        "1,23,456",
        "12,345,67.00",
        "1 23",
        "1,234 567",
        "1.2.3",
        "1,2,3",
        ",",
        "1 .50",
        "1.50 .",
        "1..50",
    ] {
        assert!(
            dollars().parse_amount(text, DecimalMark::Either).is_err(),
            "{text}"
        );
    }
}

#[test]
fn the_sign_of_another_currency_is_refused() {
    let of = |code: &str| Currency {
        code: code.to_owned(),
        decimals: 2,
    };
    let read = |code: &str, text: &str| of(code).parse_amount(text, DecimalMark::Either).is_ok();
    for (code, text) in [
        ("EUR", "18,90 €"),
        ("€", "EUR 18,90"),
        ("€", "18,90 eur"),
        ("CHF", "Fr. 18.90"),
        ("Fr.", "CHF 18.90"),
        ("GBP", "£18.90"),
        ("", "£18.90"),
        ("", "18.90 kr"),
        ("Taler", "18.90 Taler"),
    ] {
        assert!(read(code, text), "{code} {text}");
    }
    for (code, text) in [
        ("EUR", "$18.90"),
        ("$", "£18.90"),
        ("Taler", "18.90 €"),
        ("", "18.90 Taler"),
        ("", "EUROS 18.90"),
    ] {
        assert!(!read(code, text), "{code} {text}");
    }
    assert_eq!(currency_in("-$18.90"), Some("$"));
    assert_eq!(currency_in("18,90 eur"), Some("EUR"));
    assert_eq!(currency_in("18.90"), None);
}

#[test]
fn amounts_are_added_taken_away_and_multiplied() {
    let cents = Money::from_minor;
    let mut money = cents(1250) + cents(50);
    money += cents(5);
    assert_eq!(money - cents(300), cents(1005));
    assert_eq!(money * 3, cents(3915));
    let sum: Money = [cents(7), cents(20), cents(300)].into_iter().sum();
    assert_eq!(sum, cents(327));
}

#[test]
fn amounts_are_printed_with_all_decimals() {
    assert_eq!(dollars().format_amount(Money::from_minor(1250)), "12.50");
    assert_eq!(dollars().format_amount(Money::from_minor(5)), "0.05");
    assert_eq!(dollars().format(Money::from_minor(-1250)), "-12.50 USD");
    let mut sign = dollars();
    sign.code = "$".to_owned();
    assert_eq!(sign.format(Money::from_minor(1250)), "$12.50");
    assert_eq!(sign.format(Money::from_minor(-1250)), "-$12.50");
    sign.code.clear();
    sign.decimals = 0;
    assert_eq!(sign.format(Money::from_minor(1250)), "1250");
}

proptest! {
    #![proptest_config(cases!())]

    #[test]
    fn no_text_makes_the_reader_panic(text in any::<String>()) {
        for mark in MARKS {
            let _ = dollars().parse_amount(&text, mark);
        }
    }

    /// Written with groups and either mark, an amount reads back the same; where it cannot, it is refused, never another.
    #[test]
    fn an_amount_in_groups_reads_back_the_same(minor in 0..=Money::LARGEST.minor(), which in 0..5_usize) {
        let (group, decimal) = [(",", '.'), (".", ','), (" ", ','), ("'", '.'), ("\u{202f}", ',')][which];
        let text = grouped(minor / 100, group) + &format!("{decimal}{:02}", minor % 100);
        let mark = if decimal == '.' { DecimalMark::Point } else { DecimalMark::Comma };
        for mark in [mark, DecimalMark::Either] {
            prop_assert_eq!(dollars().parse_amount(&text, mark), Ok(Money::from_minor(minor)), "{}", &text);
        }
        let whole = grouped(minor / 100, group);
        let read = dollars().parse_amount(&whole, DecimalMark::Either);
        match read {
            Ok(money) => prop_assert_eq!(money, Money::from_minor(minor / 100 * 100), "{}", &whole),
            Err(error) => prop_assert!(matches!(error, MoneyError::TwoReadings { .. }), "{} {}", &whole, error),
        }
    }

    #[test]
    fn a_printed_amount_reads_back_the_same(minor in 0..=Money::LARGEST.minor(), decimals in 0..=4_u32) {
        let currency = Currency { code: "$".to_owned(), decimals };
        let money = Money::from_minor(minor);
        prop_assert_eq!(currency.parse_amount(&currency.format(money), DecimalMark::Point), Ok(money));
    }
}

#[test]
fn shares_are_whole_and_sum_to_the_amount() {
    // Derived: 100 in three equal shares is 33 and a third each; the first takes the one that is left.
    assert_eq!(shared(100, &[1, 1, 1]), [34, 33, 33]);
    // Derived: 10 by 1 : 2 : 4 is 1.43, 2.86, 5.71; the two left over go to the largest fractions.
    assert_eq!(shared(10, &[1, 2, 4]), [1, 3, 6]);
    assert_eq!(shared(0, &[3, 4]), [0, 0]);
    assert_eq!(shared(5, &[]), Vec::<i64>::new());
}

use super::*;
use proptest::prelude::*;

fn dollars() -> Currency {
    Currency {
        code: "USD".to_owned(),
        decimals: 2,
    }
}

fn read(text: &str) -> Result<i64, String> {
    dollars()
        .parse_amount(text, false)
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
        yen.parse_amount("¥1200", false),
        Ok(Money::from_minor(1200))
    );
    assert_eq!(
        dollars().parse_amount("12,50", true),
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
        ("EUR 12", "expected digits, found `EUR`"),
        ("1e3", "expected digits, found `e3`"),
    ] {
        assert_eq!(read(text), Err(message.to_owned()), "{text}");
    }
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
    fn no_text_makes_the_reader_panic(text in any::<String>(), comma in any::<bool>()) {
        let _ = dollars().parse_amount(&text, comma);
    }

    #[test]
    fn a_printed_amount_reads_back_the_same(minor in 0..=Money::LARGEST.minor(), decimals in 0..=4_u32) {
        let currency = Currency { code: "$".to_owned(), decimals };
        let money = Money::from_minor(minor);
        prop_assert_eq!(currency.parse_amount(&currency.format(money), false), Ok(money));
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

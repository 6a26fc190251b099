use super::*;
use crate::length::exact_text;
use proptest::prelude::*;

const INCHES: Notation = Notation {
    unit: Unit::Inch,
    decimal_comma: false,
};

fn read(text: &str) -> Result<i64, LengthError> {
    parse(text, INCHES).map(Length::nm)
}

/// The message and, after a bar, the hint.
fn fault(text: &str) -> String {
    let error = parse(text, INCHES).expect_err("the text is faulty");
    match error.hint() {
        Some(hint) => format!("{error} | {hint}"),
        None => error.to_string(),
    }
}

#[test]
fn one_inch_is_25_4_millimeters() {
    // NBS Circular 572 addendum (1960): 1 in = 25.4 mm exactly.
    assert_eq!(read("1 in"), Ok(25_400_000));
    assert_eq!(read("1 in"), read("25.4 mm"));
}

#[test]
fn inches_are_read_in_every_manner_of_writing() {
    // Derived: 14 1/8 in = 14.125 x 25 400 000 nm = 358 775 000 nm.
    for text in [
        "14 1/8",
        "14-1/8",
        "14.125",
        "14.1250",
        "14 1/8\"",
        "14 1/8 in",
        "14 1/8in",
        "14-1/8 in.",
        "14 1/8 inches",
        "14 1/8\u{2033}",
        "14 1/8\u{201d}",
        "14 1/8''",
        "14⅛",
        "14 ⅛″",
        "14\u{a0}1/8",
        "14 1\u{2044}8",
        "14\u{2013}1/8",
        "  14 1/8  ",
        "+14 1/8",
        "014 1/8 IN",
        "1' 2 1/8\"",
    ] {
        assert_eq!(read(text), Ok(358_775_000), "{text}");
    }
    assert_eq!(read(".5"), Ok(12_700_000));
    assert_eq!(read("½"), Ok(12_700_000));
    assert_eq!(read("14"), Ok(355_600_000));
}

#[test]
fn a_fraction_of_one_sign_is_the_same_as_one_with_a_stroke() {
    // The vulgar fractions of Unicode 1.1 and 5.2: U+00BC to U+00BE, U+2150 to U+215E.
    for (sign, text) in [
        ("½", "1/2"),
        ("⅓", "1/3"),
        ("⅔", "2/3"),
        ("¼", "1/4"),
        ("¾", "3/4"),
        ("⅕", "1/5"),
        ("⅖", "2/5"),
        ("⅗", "3/5"),
        ("⅘", "4/5"),
        ("⅙", "1/6"),
        ("⅚", "5/6"),
        ("⅐", "1/7"),
        ("⅛", "1/8"),
        ("⅜", "3/8"),
        ("⅝", "5/8"),
        ("⅞", "7/8"),
        ("⅑", "1/9"),
        ("⅒", "1/10"),
    ] {
        // Those that are no exact length are refused with the same neighbors.
        for unit in ["in", "ft", "mm"] {
            let one_sign = read(&format!("{sign} {unit}"));
            assert_eq!(one_sign, read(&format!("{text} {unit}")), "{sign}");
            let after_whole = read(&format!("14{sign} {unit}"));
            assert_eq!(after_whole, read(&format!("14 {text} {unit}")), "{sign}");
        }
    }
}

#[test]
fn feet_are_read_with_and_without_inches() {
    // Derived: 8 ft = 96 in = 2 438 400 000 nm; 2 1/2 in = 63 500 000 nm.
    for text in [
        "8'", "8 ft", "8ft.", "8 feet", "8′", "8’", "8.0 ft", "16/2 ft", "96",
    ] {
        assert_eq!(read(text), Ok(2_438_400_000), "{text}");
    }
    for text in [
        "8' 2 1/2\"",
        "8'2-1/2\"",
        "8'-2 1/2\"",
        "8' - 2 1/2\"",
        "8 ft 2 1/2 in",
        "8ft 2.5in",
        "8 ft 2½",
        "98.5",
    ] {
        assert_eq!(read(text), Ok(2_501_900_000), "{text}");
    }
    assert_eq!(read("8 1/2 ft"), Ok(2_590_800_000));
    // A third of a foot is four inches.
    assert_eq!(read("1/3 ft"), read("4 in"));
}

/// International yard and pound agreement, 1959: a yard is 0.9144 m.
#[test]
fn yards_are_three_feet() {
    for (text, nm) in [
        ("1 yd", 914_400_000),
        ("60 Yards", 54_864_000_000),
        ("1 1/2 yd.", 1_371_600_000),
        ("0.25yds", 228_600_000),
    ] {
        assert_eq!(read(text), Ok(nm), "{text}");
    }
    // Feet behind yards are no length here, and a bare number is never one of yards.
    assert!(read("2 yd 1 ft").is_err() && read("2 yd 6").is_err());
}

#[test]
fn metric_units_are_read() {
    assert_eq!(read("360 mm"), Ok(360_000_000));
    assert_eq!(read("36cm"), Ok(360_000_000));
    assert_eq!(read("0.36 m"), Ok(360_000_000));
    // Both spellings of English.
    for word in ["meter", "meters", "metre", "metres"] {
        assert_eq!(read(&format!("0.36 {word}")), Ok(360_000_000));
        assert_eq!(read(&format!("36 centi{word}")), Ok(360_000_000));
        assert_eq!(read(&format!("360 milli{word}")), Ok(360_000_000));
    }
    assert_eq!(read("1/2 mm"), Ok(500_000));
    assert_eq!(read("0.000001 mm"), Ok(1));
}

#[test]
fn a_bare_number_takes_the_unit_of_the_job() {
    for (unit, nm) in [
        (Unit::Inch, 50_800_000),
        (Unit::Foot, 609_600_000),
        (Unit::Millimeter, 2_000_000),
        (Unit::Centimeter, 20_000_000),
        (Unit::Meter, 2_000_000_000),
    ] {
        let notation = Notation {
            unit,
            decimal_comma: false,
        };
        assert_eq!(parse("2", notation), Ok(Length::from_nm(nm)));
    }
}

#[test]
fn a_comma_marks_decimals_only_where_it_may() {
    let comma = Notation {
        unit: Unit::Centimeter,
        decimal_comma: true,
    };
    assert_eq!(parse("14,5", comma), Ok(Length::from_nm(145_000_000)));
    assert_eq!(parse("14.5", comma), Ok(Length::from_nm(145_000_000)));
    assert_eq!(parse(",5", comma), Ok(Length::from_nm(5_000_000)));
    assert_eq!(
        fault("14,5"),
        "there is a comma between digits | write decimals with a point; in a table, a comma marks decimals where `;` separates the fields"
    );
    assert_eq!(
        parse("1.200,5", comma).map_err(|error| error.to_string()),
        Err("expected a unit, found `,5`".to_owned())
    );
}

#[test]
fn a_sixty_fourth_is_exact_and_a_hundred_and_twenty_eighth_is_not() {
    assert_eq!(read("1/64"), Ok(396_875));
    assert_eq!(read("0.015625"), Ok(396_875));
    assert_eq!(
        fault("1/128"),
        "it is not a whole number of nanometers | the nearest exact length is `1/64 in`"
    );
    assert_eq!(
        fault("14 3/128 in"),
        "it is not a whole number of nanometers | the nearest exact lengths are `14 1/64 in` and `14 1/32 in`"
    );
}

#[test]
fn what_is_not_exact_is_refused_with_its_neighbors() {
    for (text, hint) in [
        ("14.123456", "lengths are `14.12345 in` and `14.12346 in`"),
        (
            "0.3333333333333333333333333333",
            "lengths are `0.33333 in` and `0.33334 in`",
        ),
        ("1/3", "lengths are `21/64 in` and `11/32 in`"),
        ("1/7 ft", "lengths are `1 45/64 in` and `1 23/32 in`"),
        ("8' 1/3\"", "lengths are `96 21/64 in` and `96 11/32 in`"),
        ("1.0000001 mm", "lengths are `1 mm` and `1.000001 mm`"),
        ("1/3 m", "lengths are `0.333333333 m` and `0.333333334 m`"),
        (
            "1.0000000000000000000000000000000000001",
            "lengths are `1 in` and `1.00001 in`",
        ),
    ] {
        assert_eq!(
            fault(text),
            format!("it is not a whole number of nanometers | the nearest exact {hint}"),
            "{text}"
        );
    }
}

#[test]
fn every_fault_says_what_was_expected() {
    let unit_hint = "units are `in`, `ft`, `yd`, `mm`, `cm` and `m`";
    let number_hint = "write a length such as `14 1/8`, `14.125` or `360 mm`";
    for (text, message) in [
        ("", "no length is given".to_owned()),
        (" \t ", "no length is given".to_owned()),
        ("inf", "a length must be finite".to_owned()),
        ("-Infinity", "a length must be finite".to_owned()),
        ("NaN", "a length must be finite".to_owned()),
        ("+inf", "a length must be finite".to_owned()),
        ("-1", "a length must not be negative".to_owned()),
        ("\u{2212}1/8", "a length must not be negative".to_owned()),
        ("-8' 2\"", "a length must not be negative".to_owned()),
        ("10001 m", "a length must not exceed 10 km".to_owned()),
        (
            "10000.000000001 m",
            "a length must not exceed 10 km".to_owned(),
        ),
        (
            "99999999999999999999999999999999999999",
            "a length must not exceed 10 km".to_owned(),
        ),
        (
            "99999999999 ft 1 in",
            "a length must not exceed 10 km".to_owned(),
        ),
        (
            "abc",
            format!("expected a number, found `abc` | {number_hint}"),
        ),
        (
            "-",
            format!("expected a number, found nothing more | {number_hint}"),
        ),
        ("1e3", format!("`e` is not a unit of length | {unit_hint}")),
        ("0x10", format!("`x` is not a unit of length | {unit_hint}")),
        (
            "12 parsecs",
            format!("`parsecs` is not a unit of length | {unit_hint}"),
        ),
        (
            "14.",
            "expected digits after the decimal mark, found nothing more".to_owned(),
        ),
        (
            "14.x",
            "expected digits after the decimal mark, found `x`".to_owned(),
        ),
        (
            "14 1/",
            "expected the denominator of a fraction, found nothing more".to_owned(),
        ),
        (
            "14 1/x",
            "expected the denominator of a fraction, found `x`".to_owned(),
        ),
        (
            "14-5",
            "expected a fraction after the hyphen, found `5`".to_owned(),
        ),
        ("14 5", "expected a unit, found `5`".to_owned()),
        ("14 in 5", "expected the end, found `5`".to_owned()),
        ("14.5 1/8", "expected a unit, found `1/8`".to_owned()),
        (
            "8' x",
            "expected inches after the feet, found `x`".to_owned(),
        ),
        ("8' 2 mm", "expected an inch mark, found `mm`".to_owned()),
        (
            "8.5' 2\"",
            "feet with inches after them must be a whole number".to_owned(),
        ),
        ("1/0", "a fraction is divided by zero".to_owned()),
        (
            "14 9/8",
            "`9/8` after a whole number is not less than one".to_owned(),
        ),
        (
            "1/999999999999",
            "a fraction has too many digits".to_owned(),
        ),
        (
            "#REF!",
            format!("expected a number, found `#REF!` | {number_hint}"),
        ),
    ] {
        assert_eq!(fault(text), message, "{text:?}");
    }
}

#[test]
fn zero_and_the_longest_length_are_read() {
    assert_eq!(read("0"), Ok(0));
    assert_eq!(read("-0"), Ok(0));
    assert_eq!(read("10000 m"), Ok(Length::LONGEST.nm()));
}

proptest! {
    #![proptest_config(cases!())]

    #[test]
    fn no_text_makes_the_reader_panic(text in any::<String>(), decimal_comma in any::<bool>()) {
        let _ = parse(&text, Notation { unit: Unit::Foot, decimal_comma });
    }

    #[test]
    fn no_text_of_likely_signs_makes_the_reader_panic(text in "[0-9 ./,'\"½ftinmc–-]{0,40}") {
        if let Ok(length) = parse(&text, INCHES) {
            prop_assert!(length >= Length::ZERO && length <= Length::LONGEST);
        }
    }

    #[test]
    fn an_exactly_printed_length_reads_back_the_same(
        nm in prop_oneof![0..=Length::LONGEST.nm(), (0..25_000_000_i64).prop_map(|n| n * 396_875), (0..30_000_000_i64).prop_map(|n| n * 254)],
        unit in prop_oneof![
            Just(Unit::Inch), Just(Unit::Foot), Just(Unit::Millimeter), Just(Unit::Centimeter), Just(Unit::Meter)
        ],
    ) {
        let length = Length::from_nm(nm);
        let text = exact_text(length, unit);
        prop_assert_eq!(parse(&text, INCHES), Ok(length), "{}", text);
    }

    #[test]
    fn the_neighbors_of_what_is_not_exact_are_exact(text in "[0-9]{1,3}\\.[0-9]{6,30}|[0-9]{1,2}/[1-9][0-9]{0,4}", metric in any::<bool>()) {
        let unit = if metric { Unit::Millimeter } else { Unit::Inch };
        let notation = Notation { unit, decimal_comma: false };
        if let Err(LengthError::NotExact { below, above, unit }) = parse(&text, notation) {
            prop_assert!(below < above);
            for length in [below, above] {
                prop_assert_eq!(parse(&exact_text(length, unit), notation), Ok(length));
            }
        }
    }
}

#[test]
fn a_fraction_with_a_blank_left_out_is_refused_with_both_readings() {
    for (text, readings) in [
        ("141/8", "14 1/8, or 17 5/8"),
        ("113/8", "11 3/8, or 14 1/8"),
        ("33/16", "3 3/16, or 2 1/16"),
        ("5' 115/16", "11 5/16, or 7 3/16"),
        ("111/3", "11 1/3, or 37"),
        // Ten sixteenths are written with two digits.
        ("1410/16", "14 10/16, or 88 2/16"),
    ] {
        let error = read(text).map_or_else(|error| error.to_string(), |nm| nm.to_string());
        assert!(error.ends_with(readings), "{text}: {error}");
    }
    // One digit over the stroke cannot be parted, and no blank makes a proper fraction of the others.
    for (text, nm) in [
        ("9/8", 28_575_000),
        ("15/16", 23_812_500),
        ("16/2", 203_200_000),
        ("20/4", 127_000_000),
        ("14 1/8", 358_775_000),
    ] {
        assert_eq!(read(text), Ok(nm), "{text}");
    }
}

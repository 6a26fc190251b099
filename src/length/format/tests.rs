use super::*;

const SIXTEENTH: Length = Length::from_nm(4 * SIXTY_FOURTH);

fn sixty_fourths(count: i64) -> Length {
    Length::from_nm(count * SIXTY_FOURTH)
}

#[test]
fn inches_are_printed_as_reduced_fractions() {
    for (parts, text) in [
        (0, "0 in"),
        (64, "1 in"),
        (8, "1/8 in"),
        (14 * 64 + 8, "14 1/8 in"),
        (14 * 64 + 48, "14 3/4 in"),
        (14 * 64 + 63, "14 63/64 in"),
        (-(64 + 8), "-1 1/8 in"),
    ] {
        assert_eq!(exact_text(sixty_fourths(parts), Unit::Inch), text);
    }
}

#[test]
fn feet_are_printed_with_inches() {
    for (parts, text) in [
        (0, "0 in"),
        (96 * 64, "8 ft"),
        (98 * 64 + 32, "8 ft 2 1/2 in"),
        (11 * 64, "11 in"),
    ] {
        assert_eq!(exact_text(sixty_fourths(parts), Unit::Foot), text);
    }
}

#[test]
fn metric_lengths_are_printed_with_the_decimals_they_need() {
    let length = Length::from_nm(360_500_000);
    assert_eq!(exact_text(length, Unit::Millimeter), "360.5 mm");
    assert_eq!(exact_text(length, Unit::Centimeter), "36.05 cm");
    let least = Length::from_nm(1);
    assert_eq!(exact_text(least, Unit::Millimeter), "0.000001 mm");
    assert_eq!(exact_text(length, Unit::Meter), "0.3605 m");
    assert_eq!(exact_text(Length::METRE * 2, Unit::Meter), "2 m");
}

#[test]
fn the_direction_of_rounding_is_kept() {
    // Kerf of 1/8 in along the strip at 45 degrees: 3 175 000 nm x sqrt 2 = 4 490 127.9 nm, derived.
    let kerf = Length::from_nm(4_490_128);
    // In sixteenths (1 587 500 nm): 2.83, so 1/8 below and 3/16 above and nearest.
    let text = |rounding| format(kerf, Unit::Inch, SIXTEENTH, rounding);
    assert_eq!(text(Rounding::Down), "1/8 in");
    assert_eq!(text(Rounding::Up), "3/16 in");
    assert_eq!(text(Rounding::Nearest), "3/16 in");
    assert!(!kerf.is_exact_at(SIXTEENTH));
    assert!(SIXTEENTH.is_exact_at(SIXTEENTH));
}

#[test]
fn rounding_of_halves_and_of_negative_lengths_is_told() {
    let step = Length::MILLIMETRE;
    let half = Length::from_nm(500_000);
    assert_eq!(half.rounded(step, Rounding::Nearest), step);
    assert_eq!((-half).rounded(step, Rounding::Nearest), Length::ZERO);
    assert_eq!((-half).rounded(step, Rounding::Down), -step);
    assert_eq!((-half).rounded(step, Rounding::Up), Length::ZERO);
    assert_eq!(step.rounded(step, Rounding::Up), step);
}

#[test]
fn a_number_is_printed_without_its_unit() {
    let step = Length::from_nm(500_000);
    let length = Length::from_nm(360_700_000);
    let number = |unit| format_number(length, unit, step, Rounding::Down);
    assert_eq!(number(Unit::Millimeter), "360.5");
    assert_eq!(number(Unit::Meter), "0.3605");
    assert_eq!(
        format_number(sixty_fourths(72), Unit::Inch, SIXTEENTH, Rounding::Down),
        "1 1/8"
    );
    assert_eq!(
        format_number(sixty_fourths(72), Unit::Foot, SIXTEENTH, Rounding::Down),
        "1 1/8 in"
    );
}

#[test]
fn exact_decimals_are_given_only_where_they_end() {
    assert_eq!(
        exact_in_unit(sixty_fourths(1), Unit::Inch).as_deref(),
        Some("0.015625")
    );
    assert_eq!(
        exact_in_unit(Length::INCH * -3, Unit::Foot).as_deref(),
        Some("-0.25")
    );
    // 3.2 mm is 16/127 in, which has no finite decimal.
    let kerf = Length::from_nm(3_200_000);
    assert_eq!(exact_in_unit(kerf, Unit::Inch), None);
    assert_eq!(exact_text(kerf, Unit::Inch), "3.2 mm");
    assert_eq!(
        exact_in_unit(Length::from_nm(1), Unit::Meter).as_deref(),
        Some("0.000000001")
    );
    // One inch is a twelfth of a foot.
    assert_eq!(exact_in_unit(Length::INCH, Unit::Foot), None);
}

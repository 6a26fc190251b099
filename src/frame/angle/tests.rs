use super::*;
use proptest::prelude::*;

fn inches(numerator: i64, denominator: i64) -> Length {
    Length::from_nm(25_400_000 * numerator / denominator)
}

/// Asserts that `length` is `decimal` hundred-thousandths of an inch, to half of the last place.
fn assert_inches(length: Length, hundred_thousandths: i64) {
    // 1e-5 in = 254 nm.
    let off = (length.nm() - 254 * hundred_thousandths).abs();
    assert!(off <= 127, "{length:?} is not {hundred_thousandths}e-5 in");
}

#[test]
fn kerf_along_the_strip_agrees_with_the_table() {
    // Derived: k / cos m to five decimals, and in millimeters to three.
    let corner = |sides| Miter::Corner { sides };
    assert_inches(Miter::RECTANGLE.kerf_along(inches(1, 8)), 17_678);
    assert_inches(Miter::RECTANGLE.kerf_along(inches(3, 32)), 13_258);
    assert_inches(corner(6).kerf_along(inches(1, 8)), 14_434);
    assert_inches(corner(8).kerf_along(inches(1, 8)), 13_530);
    assert_inches(corner(5).kerf_along(inches(1, 8)), 15_451);
    // 3.2 mm at 45 degrees is 4.525 mm.
    let metric = Miter::RECTANGLE.kerf_along(Length::from_nm(3_200_000));
    assert!((metric.nm() - 4_525_000).abs() <= 500);
    // A square cut takes the kerf itself, and a guillotine chopper none.
    assert_eq!(Miter::Square.kerf_along(inches(1, 8)), inches(1, 8));
    for sides in 3..=48 {
        assert_eq!(corner(sides).kerf_along(Length::ZERO), Length::ZERO);
    }
}

#[test]
fn long_point_less_short_point_agrees_with_the_table() {
    // Derived: 2 F tan(180/n) for F = 2 in, to four decimals (1e-4 in = 2540 nm).
    for (sides, ten_thousandths) in [
        (3, 69_282),
        (4, 40_000),
        (5, 29_062),
        (6, 23_094),
        (8, 16_569),
        (12, 10_718),
    ] {
        let run = Miter::Corner { sides }.run_along(inches(4, 1));
        let off = (run.nm() - 2_540 * ten_thousandths).abs();
        assert!(off <= 1_270, "{sides} sides: {run:?}");
    }
}

#[test]
fn keys_across_a_corner_agree_with_the_table() {
    // Derived: a slot c deep along the line that halves a corner shows c / sin m on each edge and asks for a strip
    // 2 c / tan m wide; c = 1 1/4 in: four sides 1.76777 and 2 1/2, six 2.5 and 4.33013, eight 3.26641 and 6.03553,
    // three 1.44338 and 1.44338, five 2.12663 and 3.44095.
    let depth = inches(5, 4);
    for (sides, edge, strip) in [
        (3, 144_338, 144_338),
        (4, 176_777, 250_000),
        (5, 212_663, 344_095),
        (6, 250_000, 433_013),
        (8, 326_641, 603_553),
    ] {
        let miter = Miter::Corner { sides };
        assert_inches(miter.over_sine(depth), edge);
        assert_inches(miter.over_tangent(depth) * 2, strip);
    }
    // Rounded up where it is no whole number: 3 sqrt 2 = 4.24, and for a hexagon 3 sqrt 3 = 5.2.
    let three = Length::from_nm(3);
    assert_eq!(Miter::RECTANGLE.over_sine(three).nm(), 5);
    assert_eq!(Miter::RECTANGLE.over_tangent(three).nm(), 3);
    assert_eq!(Miter::Corner { sides: 6 }.over_tangent(three).nm(), 6);
}

#[test]
fn degrees_off_square_agree_with_the_table() {
    // Derived: 180 / n.
    for (sides, tenths) in [(3, 600), (4, 450), (5, 360), (6, 300), (8, 225), (12, 150)] {
        let (numerator, denominator) = Miter::Corner { sides }.degrees();
        assert_eq!(numerator * 10, tenths * denominator);
    }
    assert_eq!(Miter::Square.degrees(), (0, 1));
}

#[test]
fn results_are_exact_ceilings() {
    // Derived: 1/8 in = 3175000 nm; 3175000 sqrt 2 = 4490128.06... because 4490128^2 = 20161249456384 is below
    // 2 * 3175000^2 = 20161250000000, and 4490129^2 = 20161258436641 is not.
    let kerf = Length::from_nm(3_175_000);
    assert_eq!(
        Miter::RECTANGLE.kerf_along(kerf),
        Length::from_nm(4_490_129)
    );
    // Derived: 1 / cos 60 degrees = 2.
    assert_eq!(
        Miter::Corner { sides: 3 }.kerf_along(kerf),
        Length::from_nm(6_350_000)
    );
}

#[test]
fn negative_widths_are_rounded_towards_more() {
    // Derived: 10 tan 60 = 17.32..., 10 tan 22.5 = 4.14....
    let minus_ten = Length::from_nm(-10);
    let run = |sides| Miter::Corner { sides }.run_along(minus_ten).nm();
    assert_eq!(run(3), -17);
    assert_eq!(run(4), -10);
    assert_eq!(run(8), -4);
}

#[test]
fn the_series_agree_with_the_roots_where_both_are_known() {
    // sin 30 = 1/2 exactly; cos 60 stands outside the series' range, so the hexagon is the check.
    let (sin, cos) = sin_cos(6);
    assert!(sin.abs_diff(ONE / 2) < SERIES_MARGIN);
    // cos^2 = 3/4.
    assert!(fixed_product(cos, cos).abs_diff(ONE / 4 * 3) < 4 * SERIES_MARGIN);
}

#[test]
fn the_pythagorean_identity_holds_within_the_margin() {
    for n in 5..=200 {
        let (sin, cos) = sin_cos(n);
        let one = fixed_product(sin, sin) + fixed_product(cos, cos);
        assert!(one.abs_diff(ONE) < 2 * SERIES_MARGIN, "{n} sides");
    }
}

proptest! {
    #![proptest_config(cases!())]

    /// Closed forms from any table of trigonometric values, evaluated by integer square roots alone:
    /// tan 22.5 = sqrt 2 - 1, tan 15 = 2 - sqrt 3, 1 / cos 36 = sqrt 5 - 1.
    #[test]
    fn series_give_the_ceilings_of_the_closed_forms(f in 1_u64..10_000_000_000_000) {
        let wide = u128::from(f);
        prop_assert_eq!(ceil_tan(f, 8), ceil_sqrt(2 * wide * wide) - wide);
        prop_assert_eq!(ceil_tan(f, 12), 2 * wide - (3 * wide * wide).isqrt());
        prop_assert_eq!(ceil_sec(f, 5), ceil_sqrt(5 * wide * wide) - wide);
    }

    #[test]
    fn least_multiple_is_the_least(factor in 1_u128..ONE, whole in 0_u64..1 << 40) {
        let target = product(whole, factor);
        prop_assert_eq!(least_multiple(factor, target), u128::from(whole));
        if whole > 0 {
            let above = (target.0, target.1 + 1);
            prop_assert_eq!(least_multiple(factor, above), u128::from(whole) + 1);
        }
    }
}

#[test]
fn a_product_carries_from_its_lower_half_to_its_upper() {
    // Derived: (2^64 - 1)^2 = 2^128 - 2^65 + 1, which is 2^64 - 2 in the upper half and 1 in the lower.
    let most = u128::from(u64::MAX);
    assert_eq!(product(u64::MAX, most), (most - 1, 1));
    // Derived: with 2^64 added to the second factor, 2^64 - 1 is added to the upper half.
    assert_eq!(product(u64::MAX, most + (1 << 64)), (2 * most - 1, 1));
}

#[test]
fn a_polygon_is_sized_across_its_corners() {
    // Derived: 10 in across the corners, side 10 sin m: four sides 7.07107, six 5, eight 3.82683, twelve 2.58819.
    let ten = inches(10, 1);
    for (sides, side) in [(4, 707_107), (6, 500_000), (8, 382_683), (12, 258_819)] {
        let miter = Miter::Corner { sides };
        assert_inches(miter.times_sine(ten), side);
        // It is no shorter than it must be, by less than a nanometer in the distance.
        let back = miter.over_sine(miter.times_sine(ten));
        assert!(
            back >= ten && back.nm() - ten.nm() <= 6,
            "{sides}: {back:?}"
        );
    }
    assert_eq!(
        Miter::Corner { sides: 6 }
            .times_sine(Length::from_nm(3))
            .nm(),
        2
    );
    assert_eq!(Miter::RECTANGLE.times_sine(Length::from_nm(3)).nm(), 3);
}

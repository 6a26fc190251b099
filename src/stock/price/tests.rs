use super::*;
use crate::samples;
use proptest::prelude::*;

fn half_inches(count: i64) -> Length {
    Length::from_nm(12_700_000 * count)
}

/// Board feet of `thickness` by `width` inches by `length` feet, as a fraction in lowest terms.
fn measure(thickness: i64, width: i64, length: i64) -> (u128, u128) {
    let feet = board_feet(
        Length::INCH * thickness,
        Length::INCH * width,
        Length::FOOT * length,
    )
    .unwrap();
    (feet.numerator, feet.denominator)
}

fn board(length: Length, price: Option<Price>) -> Board {
    Board {
        price,
        ..samples::board("board", length, None)
    }
}

#[test]
fn board_feet_agree_with_noyes() {
    // Published: William Noyes, Handwork in Wood (1910), ch. IV, board measure on the steel square.
    assert_eq!(measure(1, 11, 14), (77, 6));
    assert_eq!(measure(1, 9, 5), (15, 4));
    assert_eq!(measure(1, 13, 23), (299, 12));
    // Published: the same, ch. III, wood measurements: 6 bf even if dressed to 7/8.
    assert_eq!(measure(1, 6, 12), (6, 1));
    let dressed = board_feet(
        Length::from_nm(22_225_000),
        Length::INCH * 6,
        Length::FOOT * 12,
    );
    assert_eq!(
        dressed,
        Some(BoardFeet {
            numerator: 6,
            denominator: 1,
        })
    );
}

#[test]
fn board_feet_keep_their_fractions() {
    // Published: US Army engineer course EN5155, p. 1-28: 1 x 8 in x 14 ft is 9-1/3, four of them 37-1/3.
    assert_eq!(measure(1, 8, 14), (28, 3));
    let (numerator, denominator) = measure(1, 8, 14);
    assert_eq!(numerator * 4 * 3, 112 * denominator);
    // Published: US Navy NAVEDTRA 14044 (Builder), board-foot section: 8-1/3 bf, five times that when 5 in thick;
    // 1 x 7 in x 33 ft is 19.25 (also printed as 19.26, from a figure rounded too early).
    assert_eq!(measure(1, 10, 10), (25, 3));
    assert_eq!(measure(5, 10, 10), (125, 3));
    assert_eq!(measure(1, 7, 33), (77, 4));
}

#[test]
fn thin_stock_counts_as_one_inch() {
    // Published: US Navy Engineering Aid Basic, ch. 6, sec. 3.
    let thin = board_feet(Length::from_nm(6_350_000), Length::FOOT, Length::FOOT);
    assert_eq!(
        thin,
        Some(BoardFeet {
            numerator: 1,
            denominator: 1,
        })
    );
}

#[test]
fn surface_measure_is_a_whole_number() {
    // NHLA grading rules, from memory.
    assert_eq!(surface_measure(half_inches(13), Length::FOOT * 8), 4);
    assert_eq!(surface_measure(Length::INCH * 8, Length::FOOT * 12), 8);
    assert_eq!(surface_measure(Length::INCH * 10, Length::FOOT * 13), 11);
    // Derived: 5/4 of 4 square feet is 5 bf by surface measure; exactly it is 5/4 * 6-1/2 / 12 * 8 = 65/12.
    let five_quarters = Length::from_nm(31_750_000);
    let tallied = BoardFeet::by_surface_measure(five_quarters, half_inches(13), Length::FOOT * 8);
    assert_eq!((tallied.numerator, tallied.denominator), (5, 1));
    let exact = board_feet(five_quarters, half_inches(13), Length::FOOT * 8).unwrap();
    assert_eq!((exact.numerator, exact.denominator), (65, 12));
}

#[test]
fn a_board_without_a_price_has_no_cost() {
    assert_eq!(board_cost(&board(Length::FOOT, None)), Ok(None));
}

#[test]
fn a_price_each_is_the_cost() {
    let price = Some(Price::Each(Money::from_minor(1_250)));
    assert_eq!(
        board_cost(&board(Length::FOOT, price)),
        Ok(Some(Money::from_minor(1_250)))
    );
}

#[test]
fn a_price_per_length_is_rounded_once_and_half_up() {
    let per_foot = |minor| {
        Some(Price::PerLength {
            money: Money::from_minor(minor),
            per: Length::FOOT,
        })
    };
    let cost = |length, price| board_cost(&board(length, price)).unwrap().unwrap().minor();
    // Derived: 8 ft at 1.20 is 9.60; 6 in at 1.25 is 0.625, up; 6 in at 1.24 is 0.62; 5 in at 1.25 is 0.5208....
    assert_eq!(cost(Length::FOOT * 8, per_foot(120)), 960);
    assert_eq!(cost(Length::INCH * 6, per_foot(125)), 63);
    assert_eq!(cost(Length::INCH * 6, per_foot(124)), 62);
    assert_eq!(cost(Length::INCH * 5, per_foot(125)), 52);
}

#[test]
fn a_price_per_board_foot_needs_width_and_thickness() {
    let mut board = board(
        Length::FOOT * 14,
        Some(per_board_foot(Money::from_minor(780))),
    );
    assert_eq!(board_cost(&board), Err(CostFault::NoThickness));
    board.thickness = Some(Length::INCH);
    assert_eq!(board_cost(&board), Err(CostFault::NoWidth));
    board.width = Some(Length::INCH * 8);
    // Derived: 28/3 bf at 7.80 is 72.80; rounding the measure to 9.33 first would give 72.77.
    assert_eq!(board_cost(&board), Ok(Some(Money::from_minor(7_280))));
}

#[test]
fn a_cost_beyond_the_largest_is_refused_not_wrapped() {
    let dear = Some(Price::PerLength {
        money: Money::LARGEST,
        per: Length::from_nm(1),
    });
    assert_eq!(
        board_cost(&board(Length::LONGEST, dear)),
        Err(CostFault::TooLarge)
    );
    let mut thick = board(Length::LONGEST, Some(per_board_foot(Money::LARGEST)));
    thick.thickness = Some(Length::LONGEST - Length::from_nm(1));
    thick.width = Some(Length::LONGEST - Length::from_nm(3));
    assert_eq!(board_cost(&thick), Err(CostFault::TooLarge));
}

proptest! {
    #![proptest_config(cases!())]

    #[test]
    fn half_up_is_the_nearest_whole(money in 0_i64..1_000_000, n in 0_u128..1_000_000, d in 1_u128..1_000_000) {
        let rounded = multiply_half_up(Money::from_minor(money), n, d).unwrap().minor();
        let exact_times_two_d = 2 * i128::from(money) * i128::try_from(n).unwrap();
        let d = i128::try_from(d).unwrap();
        let error = 2 * d * i128::from(rounded) - exact_times_two_d;
        prop_assert!(-d < error && error <= d);
    }
}

fn per_board_foot(money: Money) -> Price {
    Price::PerBoardFoot {
        money,
        measure: BoardMeasure::Exact,
    }
}

#[test]
fn a_price_per_board_foot_is_by_the_size_the_board_is_sold_by() {
    let price = |measure| {
        Some(Price::PerBoardFoot {
            money: Money::from_minor(600),
            measure,
        })
    };
    // Published: William Noyes, Handwork in Wood (1910), ch. III: 1 x 6 in x 12 ft is 6 bf even if dressed to less.
    let mut dressed = board(Length::FOOT * 12, price(BoardMeasure::Exact));
    dressed.thickness = Some(Length::from_nm(19_050_000));
    dressed.width = Some(half_inches(11));
    dressed.nominal = Some(crate::stock::NominalSize {
        thickness: Length::INCH,
        width: Some(Length::INCH * 6),
    });
    assert_eq!(board_cost(&dressed), Ok(Some(Money::from_minor(3_600))));
    // NHLA grading rules, from memory: 6-1/2 in x 8 ft has a surface measure of 4, exactly 13/3.
    let mut rough = board(Length::FOOT * 8, price(BoardMeasure::Surface));
    rough.thickness = Some(Length::INCH);
    rough.width = Some(half_inches(13));
    assert_eq!(board_cost(&rough), Ok(Some(Money::from_minor(2_400))));
    rough.price = price(BoardMeasure::Exact);
    assert_eq!(board_cost(&rough), Ok(Some(Money::from_minor(2_600))));
}

#[test]
fn prices_by_the_square_and_cubic_meter_are_multiplied_out_once() {
    // Derived: 3 m x 200 mm are 0.6 square meters, at 37.45 they are 22.47; 52 mm thick they are 0.0312 cubic meters, at
    // 1 234.50 they are 38.5164. Wood thinner than an inch counts as thick as it is: 12 mm x 200 mm x 3 m, 0.0072 cubic
    // meters, are 8.8884.
    let mm = |count: i64| Length::MILLIMETRE * count;
    let mut plank = board(
        mm(3_000),
        Some(Price::PerSquareMeter(Money::from_minor(3_745))),
    );
    plank.width = None;
    assert_eq!(board_cost(&plank), Err(CostFault::NoWidth));
    plank.width = Some(mm(200));
    plank.thickness = None;
    assert_eq!(board_cost(&plank), Ok(Some(Money::from_minor(2_247))));
    plank.price = Some(Price::PerCubicMeter(Money::from_minor(123_450)));
    assert_eq!(board_cost(&plank), Err(CostFault::NoThickness));
    for (thickness, cost) in [(52, 3_852), (12, 889)] {
        plank.thickness = Some(mm(thickness));
        assert_eq!(board_cost(&plank), Ok(Some(Money::from_minor(cost))));
    }
    // A half of a minor unit goes up: 1 m x 125 mm are 0.125 square meters, at 0.60 they are 0.075.
    plank.length = mm(1_000);
    plank.width = Some(mm(125));
    plank.price = Some(Price::PerSquareMeter(Money::from_minor(60)));
    assert_eq!(board_cost(&plank), Ok(Some(Money::from_minor(8))));
    plank.price = Some(Price::PerCubicMeter(Money::LARGEST));
    for size in [&mut plank.length, plank.width.get_or_insert_default()] {
        *size = Length::LONGEST;
    }
    plank.thickness = Some(Length::LONGEST);
    assert_eq!(board_cost(&plank), Err(CostFault::TooLarge));
}

#[test]
fn board_feet_of_faces_are_added_up_without_rounding() {
    // Published: US Army engineer course EN5155, p. 1-28: four of 9-1/3 bf are 37-1/3.
    let inch = |count: u128| count * 25_400_000;
    let one = BoardFeet::of_face(Length::INCH, inch(8) * inch(14 * 12)).unwrap();
    assert_eq!((one.numerator, one.denominator), (28, 3));
    let four = one.checked_times(4).unwrap();
    assert_eq!((four.numerator, four.denominator), (112, 3));
    assert_eq!(four.hundredths(), 3733);
    let sum = (0..4).try_fold(BoardFeet::ZERO, |sum, _| sum.checked_add(one));
    assert_eq!(sum, Some(four));
    // NHLA grading rules, from memory: 10 in x 13 ft measures 11.
    let face = inch(10) * inch(13 * 12);
    let tallied = BoardFeet::of_face_by_surface_measure(Length::INCH, face).unwrap();
    assert_eq!((tallied.numerator, tallied.denominator), (11, 1));
    // Derived: 65/12 = 5.41666...; half up.
    let exact = BoardFeet {
        numerator: 65,
        denominator: 12,
    };
    assert_eq!(exact.hundredths(), 542);
    assert_eq!(BoardFeet::of_face(Length::LONGEST, u128::MAX), None);
}

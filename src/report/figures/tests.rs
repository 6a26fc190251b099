use super::*;
use crate::money::Currency;
use crate::report::ink::Look;

fn display(unit: Unit, step_nm: i64) -> Display {
    Display {
        unit,
        step: Length::from_nm(step_nm),
        currency: Currency {
            code: "$".to_owned(),
            decimals: 2,
        },
    }
}

fn ink() -> Ink {
    Ink::new(Look {
        width: 80,
        color: false,
        unicode: true,
    })
}

#[test]
fn what_is_needed_goes_up_and_what_is_there_goes_down() {
    let display = display(Unit::Inch, 1_587_500);
    let figures = Figures::new(&display, ink());
    let exact = Length::from_nm(25_400_000 + 1_587_500);
    assert_eq!(figures.needed(exact), "1 1/16");
    assert_eq!(figures.there(exact), "1 1/16");
    let more = exact + Length::from_nm(1);
    assert_eq!(figures.needed(more), "~1 1/8");
    assert_eq!(figures.there(more), "~1 1/16");
    assert_eq!(figures.place(more), "1 1/16");
}

#[test]
fn feet_are_written_short() {
    let display = display(Unit::Foot, 1_587_500);
    let figures = Figures::new(&display, ink());
    assert_eq!(figures.there(Length::FOOT * 8), "8'");
    assert_eq!(figures.there(Length::FOOT * 8 + Length::INCH), "8' 1\"");
    assert_eq!(figures.there(Length::INCH), "1\"");
}

#[test]
fn sums_are_given_in_the_unit_one_buys_by() {
    let plain = |text: String| text.replace(TIED, " ");
    let inch = display(Unit::Inch, 1_587_500);
    let figures = Figures::new(&inch, ink());
    assert_eq!(plain(figures.total(Length::INCH * 100)), "8 ft 4 in");
    assert_eq!(
        plain(figures.total(Length::INCH * 100 + Length::from_nm(1))),
        "~8 ft 4 in"
    );
    assert_eq!(
        plain(figures.rough(Length::INCH * 100 + Length::from_nm(12_700_000))),
        "8 ft 5 in"
    );
    let metric = display(Unit::Millimetre, 500_000);
    let figures = Figures::new(&metric, ink());
    assert_eq!(plain(figures.total(Length::MILLIMETRE * 2345)), "~2.34 m");
    assert_eq!(plain(figures.rough(Length::MILLIMETRE * 2345)), "2.35 m");
}

#[test]
fn a_gap_is_never_printed_smaller_than_it_is() {
    assert_eq!(gap(100, 100).map(percent_of_gap).as_deref(), Some("0.00 %"));
    // One part in a million is not nothing.
    assert_eq!(
        gap(1_000_001, 1_000_000).map(percent_of_gap).as_deref(),
        Some("0.01 %")
    );
    assert_eq!(gap(105, 100).map(percent_of_gap).as_deref(), Some("5.00 %"));
    assert!(gap(i64::MAX, 1).is_some());
    assert_eq!(gap(5, 0), None);
}

#[test]
fn a_share_is_never_printed_larger_than_it_is() {
    let nm = Length::from_nm;
    assert_eq!(percent(per_mille_down(nm(9999), nm(10_000))), "99.9 %");
    assert_eq!(percent(per_mille_down(nm(10_000), nm(10_000))), "100.0 %");
    assert_eq!(per_mille_down(nm(0), nm(0)), 0);
}

#[test]
fn angles_are_those_of_the_regular_polygons() {
    // Derived: 180 / n degrees off square.
    let angle = |sides| degrees(Miter::Corner { sides }, 3);
    assert_eq!(
        [angle(3), angle(4), angle(5), angle(8)],
        ["60", "45", "36", "22.5"]
    );
    assert_eq!(angle(7), "25.714");
    assert_eq!(degrees(Miter::Square, 3), "0");
}

use super::*;
use crate::job::TableForm;
use crate::length::Unit;
use crate::money::Currency;
use crate::report::text::ink::Look;
use crate::report::text::layout::TIED;

fn display(unit: Unit, step_nm: i64) -> Display {
    Display {
        unit,
        step: Length::from_nm(step_nm),
        currency: Currency {
            code: "$".to_owned(),
            decimals: 2,
        },
        tables: TableForm::default(),
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
    let figures = Figures::new(&display, ink(), 20);
    let exact = Length::from_nm(25_400_000 + 1_587_500);
    assert_eq!(figures.needed(exact), "1 1/16");
    assert_eq!(figures.there(exact), "1 1/16");
    let more = exact + Length::from_nm(1);
    assert_eq!(figures.needed(more), "~1 1/8");
    assert_eq!(figures.there(more), "~1 1/16");
    assert_eq!(figures.length(more, Show::Place), "1 1/16");
    // Where a part ends is never printed below what its stop block is set to.
    assert_eq!(figures.place_to(more), "1 1/8");
}

#[test]
fn feet_are_written_short() {
    let display = display(Unit::Foot, 1_587_500);
    let figures = Figures::new(&display, ink(), 20);
    assert_eq!(figures.there(Length::FOOT * 8), "8'");
    assert_eq!(figures.there(Length::FOOT * 8 + Length::INCH), "8' 1\"");
    assert_eq!(figures.there(Length::INCH), "1\"");
}

fn total(figures: &Figures<'_>, length: Length) -> String {
    figures.length(length, Show::Total)
}

#[test]
fn sums_are_given_in_the_unit_one_buys_by() {
    let plain = |text: String| text.replace(TIED, " ");
    let inch = display(Unit::Inch, 1_587_500);
    let figures = Figures::new(&inch, ink(), 20);
    assert_eq!(plain(total(&figures, Length::INCH * 100)), "8 ft 4 in");
    assert_eq!(
        plain(total(&figures, Length::INCH * 100 + Length::from_nm(1))),
        "~8 ft 4 in"
    );
    let metric = display(Unit::Millimeter, 500_000);
    let figures = Figures::new(&metric, ink(), 20);
    assert_eq!(plain(total(&figures, Length::MILLIMETRE * 2345)), "~2.34 m");
}

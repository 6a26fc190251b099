use proptest::prelude::*;

use super::*;
use crate::report::document::one_line;
use crate::report::text::ink::Look;

fn ink() -> Ink {
    Ink::new(Look {
        width: 80,
        color: false,
        unicode: true,
    })
}

#[test]
fn a_unit_stays_with_its_figure() {
    let lines = |name: &str, width| wrap(&tie_units(name), width);
    assert_eq!(lines("Hartfaser 3 mm", 11), ["Hartfaser", "3 mm"]);
    assert_eq!(lines("Glas 2 mm, klar", 6), ["Glas", "2 mm,", "klar"]);
    // Neither a word that is no unit nor one behind no figure.
    assert_eq!(tie_units("put in 3 boxes"), "put in 3 boxes");
}

#[test]
fn names_are_shortened_by_display_width() {
    assert_eq!(fit("Harbor", 6, ink()), "Harbor");
    assert_eq!(fit("Harbor at dawn", 8, ink()), "Harbor…");
    assert_eq!(fit("港の朝の光", 7, ink()), "港の朝…");
    assert_eq!(fit("Harbor", 0, ink()), "");
}

#[test]
fn lines_break_at_blanks_and_tied_words_stay_together() {
    assert_eq!(wrap("a piece of wood", 8), ["a piece", "of wood"]);
    assert_eq!(
        wrap(&format!("cut it at {} now", tie("23 5/8 in")), 12),
        ["cut it at", "23 5/8 in", "now"]
    );
    // Too wide for any line, what is tied breaks after all; and so does a word.
    assert_eq!(wrap(&tie("23 5/8 in"), 6), ["23 5/8", "in"]);
    assert_eq!(wrap("overlong", 5), ["overl", "ong"]);
    assert_eq!(wrap("", 5), [""]);
}

#[test]
fn names_are_put_on_one_line() {
    assert_eq!(one_line("  a\tb\r\nc\u{1b}[0m "), "a b c [0m");
    assert_eq!(one_line("a\u{202e}b\u{a0}c"), "a b c");
}

proptest! {
    #![proptest_config(cases!())]

    #[test]
    fn wrapping_loses_nothing_but_blanks(text in "\\PC{0,80}", width in 2..40_usize) {
        let lines = wrap(&text, width);
        for line in &lines {
            prop_assert!(width_of(line) <= width, "{line:?}");
        }
        let without_blanks = |text: &str| text.replace([' ', TIED], "");
        prop_assert_eq!(without_blanks(&lines.concat()), without_blanks(&text));
    }

    #[test]
    fn what_is_shortened_fits(text in any::<String>(), width in 0..40_usize) {
        prop_assert!(width_of(&fit(&one_line(&text), width, ink())) <= width);
    }
}

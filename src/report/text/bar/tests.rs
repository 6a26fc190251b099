use super::*;
use crate::report::text::ink::Look;

fn ink() -> Ink {
    Ink::new(Look {
        width: 80,
        color: false,
        unicode: true,
    })
}

fn rest_from(from: Length) -> BarGap {
    BarGap {
        at: (from, Length::INCH * 59),
        text: "rest".to_owned(),
        is_kept: false,
    }
}

/// A board of 60 in with trims of 1 in, and cuts of these lengths with nothing between them.
fn bar(lengths: &[i64], miter: Miter) -> Bar {
    let mut from = Length::INCH;
    let cuts: Vec<BarCut> = lengths
        .iter()
        .zip(1..)
        .map(|(&inches, number)| {
            let to = from + Length::INCH * inches;
            let cut = BarCut {
                number,
                from,
                to,
                miter,
                length_text: inches.to_string(),
                place_text: ((to - Length::INCH).nm() / Length::INCH.nm()).to_string(),
                turned: false,
                shares: false,
            };
            from = to;
            cut
        })
        .collect();
    Bar {
        board: Length::INCH * 60,
        end_trim: Length::INCH,
        cuts,
        gaps: vec![rest_from(from)],
        defects: Vec::new(),
    }
}

fn draw(bar: &Bar, columns: usize) -> String {
    bar.lines(Length::INCH * 60, columns, ink()).join("\n")
}

#[test]
fn at_a_column_for_each_inch_the_drawing_is_exact() {
    // Derived: 60 columns; the parts take 20, 12, 4 and 2 of them, the rest of 20 and the trims one each.
    insta::assert_snapshot!(draw(&bar(&[20, 12, 4, 2], Miter::RECTANGLE), 60), @r#"
  0                 20          32  36
┌─┴──────────────────┴───────────┴───┴───────────────────────┐
│░╲        1         ╱╲    2     ╱╲3 ╱╲╱░░░░░░░░░░░░░░░░░░░░░│
│░ ╲       20       ╱  ╲   12   ╱  ╲╱   ░░░░░░░ rest ░░░░░░░░│
└────────────────────────────────────────────────────────────┘
"#);
}

#[test]
fn square_ends_stand_upright_and_neighbors_share_a_line() {
    insta::assert_snapshot!(draw(&bar(&[20, 20, 18], Miter::Square), 60), @r#"
  0                 20                  40                58
┌─┴──────────────────┴───────────────────┴─────────────────┴─┐
│░│        1         │         2         │        3        │░│
│░│        20        │        20         │       18        │░│
└────────────────────────────────────────────────────────────┘
"#);
}

#[test]
fn parts_of_a_run_share_their_slants_and_have_their_distances_on_their_own_edge() {
    // Derived: 60 columns; each begins two inches before its neighbor ends, as faces of 2 in without a kerf let them.
    let mut run = bar(&[20, 14, 20, 8], Miter::RECTANGLE);
    let backs = (0..).map(|idx| Length::INCH * 2 * idx);
    for ((idx, cut), back) in run.cuts.iter_mut().enumerate().zip(backs) {
        cut.from -= back;
        cut.to -= back;
        cut.place_text = ((cut.to - Length::INCH).nm() / Length::INCH.nm()).to_string();
        cut.turned = idx % 2 == 1;
        cut.shares = idx > 0;
    }
    run.gaps = vec![rest_from(run.cuts[3].to)];
    insta::assert_snapshot!(draw(&run, 60), @r#"
  0                 20                            50
┌─┴──────────────────┴─────────────────────────────┴─────────┐
│░╲        1         ╱    2     ╲        3         ╱ 4  ╲ ░░░│
│░ ╲       20       ╱     14     ╲       20       ╱  8   ╲░░░│
└────────────────────────────────┴───────────────────────┴───┘
                                32                      56
"#);
}

#[test]
fn parts_too_small_to_see_leave_the_rest_in_its_place() {
    // A column for every two inches: parts of 1 in share columns, and the numbers that fit are right.
    insta::assert_snapshot!(draw(&bar(&[20, 1, 1, 1, 1, 20], Miter::RECTANGLE), 30), @r#"
  0       20         44
┌─┴────────┴──────────┴────────┐
│░╲   1    ╱VV╲   6   ╱░░░░░░░░│
│░ ╲  20  ╱    ╲ 20  ╱ ░ rest ░│
└──────────────────────────────┘
"#);
}

#[test]
fn an_empty_board_and_a_trim_that_takes_all_are_drawn() {
    insta::assert_snapshot!(draw(&bar(&[], Miter::Square), 60), @r#"
┌────────────────────────────────────────────────────────────┐
│░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░░│
│░░░░░░░░░░░░░░░░░░░░░░░░░░░ rest ░░░░░░░░░░░░░░░░░░░░░░░░░░░│
└────────────────────────────────────────────────────────────┘
"#);
    let mut all_trim = bar(&[], Miter::Square);
    all_trim.end_trim = Length::INCH * 30;
    all_trim.gaps.clear();
    insta::assert_snapshot!(draw(&all_trim, 20), @r#"
┌────────────────────┐
│░░░░░░░░░  ░░░░░░░░░│
│░░░░░░░░░  ░░░░░░░░░│
└────────────────────┘
"#);
}

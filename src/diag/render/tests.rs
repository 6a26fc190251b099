use super::*;
use proptest::prelude::*;
use std::path::PathBuf;

fn text_place(source: &str, column: usize, width: usize) -> Place {
    Place::Text {
        path: PathBuf::from("show.toml"),
        line: 12,
        column,
        width,
        source: source.to_owned(),
    }
}

#[test]
fn a_stretch_of_toml_is_drawn_with_carets() {
    let fault = Diagnostic::error(
        "E006",
        text_place("kerff = \"1/8\"", 1, 5),
        "unknown key `kerff`",
    )
    .with_hint("did you mean `kerf`?".to_owned());
    assert_eq!(
        render(&[fault], false),
        "\
error[E006]: unknown key `kerff`
  --> show.toml:12:1
   |
12 | kerff = \"1/8\"
   | ^^^^^
hint: did you mean `kerf`?
"
    );
}

#[test]
fn a_csv_field_is_shown_with_its_header_and_text() {
    let place = Place::Field {
        path: PathBuf::from("boards.csv"),
        line: 3,
        header: "Length".to_owned(),
        text: "tw\u{1b}elve".to_owned(),
    };
    let row = Place::Row {
        path: PathBuf::from("boards.csv"),
        line: 4,
    };
    let faults = [
        Diagnostic::error("E013", place, "`twelve` is not a length"),
        Diagnostic::warning("W201", row, "no price"),
    ];
    assert_eq!(
        render(&faults, false),
        "\
error[E013]: `twelve` is not a length
 --> boards.csv:3, column `Length`: `tw\u{fffd}elve`

warning[W201]: no price
 --> boards.csv:4
"
    );
    assert_eq!(summary(&faults), "1 error, 1 warning");
    assert_eq!(summary(&[]), "");
}

#[test]
fn tabs_and_wide_characters_keep_the_caret_in_place() {
    let fault = Diagnostic::error("E013", text_place("\tname = \"木\" x", 13, 1), "w");
    assert_eq!(
        render(&[fault], false),
        "\
error[E013]: w
  --> show.toml:12:13
   |
12 |  name = \"木\" x
   |              ^
"
    );
}

#[test]
fn a_long_line_is_cut_round_the_place() {
    let source = format!("{}HERE{}", "a".repeat(500), "b".repeat(500));
    let fault = Diagnostic::error("E013", text_place(&source, 501, 4), "w");
    let drawn = render(&[fault], false);
    let lines: Vec<&str> = drawn.lines().collect();
    assert_eq!(
        lines[3],
        format!("12 | …{}HERE{}…", "a".repeat(24), "b".repeat(44))
    );
    assert_eq!(lines[4], format!("   | {}^^^^", " ".repeat(25)));
}

#[test]
fn color_only_adds_to_the_text() {
    let fault = Diagnostic::error("E006", text_place("kerff = 1", 1, 5), "unknown key `kerff`")
        .with_hint("did you mean `kerf`?".to_owned());
    let colored = render(std::slice::from_ref(&fault), true);
    assert!(colored.starts_with("\u{1b}[1m\u{1b}[31merror[E006]\u{1b}[0m: unknown"));
    let mut plain = String::new();
    let mut in_escape = false;
    for symbol in colored.chars() {
        match symbol {
            '\u{1b}' => in_escape = true,
            'm' if in_escape => in_escape = false,
            _ if in_escape => {}
            _ => plain.push(symbol),
        }
    }
    assert_eq!(plain, render(&[fault], false));
}

proptest! {
    #[test]
    fn any_place_is_drawn_without_control_characters(
        source in ".{0,200}", column in 0..300_usize, width in 0..300_usize, what in any::<String>()
    ) {
        let drawn = render(&[Diagnostic::error("E013", text_place(&source, column, width), what)], false);
        prop_assert!(drawn.chars().all(|symbol| symbol == '\n' || !symbol.is_control()));
        prop_assert_eq!(drawn.lines().count(), 5);
    }
}

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

fn row(cells: &[(&str, &str)]) -> Vec<Cell> {
    let cell = |(heading, text): &(&str, &str)| Cell::new(heading, text);
    cells.iter().map(cell).collect()
}

fn field_place(row: Vec<Cell>, cell_idx: usize) -> Place {
    Place::Field {
        path: PathBuf::from("boards.csv"),
        line: 3,
        row,
        cell_idx,
        field_idx: cell_idx,
    }
}

#[test]
fn a_stretch_of_toml_is_marked_like_a_dimension() {
    let fault = Diagnostic::error(
        "E006",
        text_place("kerff = \"1/8\"", 1, 5),
        "unknown key `kerff`",
    )
    .with_hint("did you mean `kerf`?".to_owned());
    assert_eq!(
        fault.to_string(),
        "show.toml, line 12: error: unknown key `kerff` (E006); did you mean `kerf`?"
    );
    assert_eq!(
        render(&[fault], false),
        "\
show.toml, line 12
    kerff = \"1/8\"
    |---|
error: unknown key `kerff`
hint: did you mean `kerf`?
guide: E006
"
    );
}

#[test]
fn a_csv_field_is_shown_in_its_row_below_the_headings() {
    let cells = [("board", "oak"), ("Length", "tw\u{1b}elve"), ("price", "4")];
    let place = field_place(row(&cells), 1);
    let whole_row = Place::Row {
        path: PathBuf::from("boards.csv"),
        line: 4,
        row: row(&[("board", "ash"), ("Length", ""), ("price", "")]),
    };
    let faults = [
        Diagnostic::error("E013", place, "`twelve` is not a length"),
        Diagnostic::warning("W201", whole_row, "no price"),
    ];
    assert_eq!(
        render(&faults, false),
        "\
boards.csv, line 3, column `Length`
    board   Length    price
    oak     tw\u{fffd}elve   4
            |-----|
error: `twelve` is not a length
guide: E013

boards.csv, line 4
    board   Length   price
    ash
warning: no price
guide: W201
"
    );
    assert_eq!(summary(&faults), "1 error, 1 warning");
    assert_eq!(summary(&[]), "");
}

#[test]
fn a_heading_that_is_wrong_is_marked_itself() {
    let place = field_place(row(&[("board", ""), ("Lenght", "")]), 1);
    assert_eq!(
        render(&[Diagnostic::error("E009", place, "w")], false),
        "\
boards.csv, line 3, column `Lenght`
    board   Lenght
            |----|
error: w
guide: E009
"
    );
}

#[test]
fn of_a_wide_row_the_name_and_the_marked_cell_are_shown() {
    let long = "x".repeat(30);
    let cells: Vec<(&str, &str)> = vec![
        ("board", "oak"),
        ("one", &long),
        ("two", &long),
        ("empty", ""),
        ("three", "3"),
        ("four", &long),
        ("five", &long),
    ];
    let place = field_place(row(&cells), 4);
    assert_eq!(
        render(&[Diagnostic::error("E013", place, "w")], false),
        format!(
            "\
boards.csv, line 3, column `three`
    board   three   four
    oak     3       {long}
            |
error: w
guide: E013
"
        )
    );
}

#[test]
fn of_a_row_just_too_wide_the_empty_cells_are_left_out() {
    let heading = "x".repeat(60);
    let cells = [
        ("frame", "mill"),
        (heading.as_str(), ""),
        ("sides", "6"),
        ("mat", "2"),
    ];
    let place = field_place(row(&cells), 3);
    let drawn = render(&[Diagnostic::error("E108", place, "w")], false);
    assert!(
        drawn.contains("\n    frame   sides   mat\n    mill    6       2\n"),
        "{drawn}"
    );
}

#[test]
fn a_cell_of_several_lines_shows_its_first() {
    let place = field_place(row(&[("board", "oak\nash,96\n")]), 0);
    let drawn = render(&[Diagnostic::error("E020", place, "w")], false);
    assert!(drawn.contains("\n    oak...\n    |----|\n"), "{drawn}");
}

#[test]
fn a_file_as_a_whole_has_no_picture_and_standard_input_is_called_so() {
    let said = |path: &str| {
        let place = Place::File(PathBuf::from(path));
        render(&[Diagnostic::error("E301", place, "w")], false)
    };
    assert_eq!(said("job.toml"), "job.toml\nerror: w\nguide: E301\n");
    assert_eq!(said("-"), "standard input\nerror: w\nguide: E301\n");
}

#[test]
fn tabs_and_wide_characters_keep_the_mark_in_place() {
    let fault = Diagnostic::error("E013", text_place("\tname = \"木\" x", 13, 1), "w");
    let drawn = render(&[fault], false);
    let lines: Vec<&str> = drawn.lines().collect();
    assert_eq!(lines[1], "     name = \"木\" x");
    assert_eq!(lines[2], format!("    {:13}|", ""));
}

#[test]
fn a_long_line_is_cut_round_the_place() {
    let source = format!("{}HERE{}", "a".repeat(500), "b".repeat(500));
    let fault = Diagnostic::error("E013", text_place(&source, 501, 4), "w");
    let drawn = render(&[fault], false);
    let lines: Vec<&str> = drawn.lines().collect();
    assert_eq!(
        lines[1],
        format!("    ...{}HERE{}...", "a".repeat(24), "b".repeat(42))
    );
    assert_eq!(lines[1].len(), 80);
    assert_eq!(lines[2], format!("{}|--|", " ".repeat(31)));
}

#[test]
fn long_messages_are_wrapped_at_80_columns_but_never_within_quotes() {
    let what = "sizes are `1 by 2 3` or other words ".repeat(5);
    let fault = Diagnostic::error("E013", text_place("x", 1, 1), what.trim_end());
    let drawn = render(&[fault], false);
    assert_eq!(
        drawn.lines().skip(3).collect::<Vec<_>>(),
        [
            "error: sizes are `1 by 2 3` or other words sizes are `1 by 2 3` or other words",
            "       sizes are `1 by 2 3` or other words sizes are `1 by 2 3` or other words",
            "       sizes are `1 by 2 3` or other words",
            "guide: E013"
        ]
    );
}

#[test]
fn color_only_adds_to_the_text() {
    let fault = Diagnostic::error("E006", text_place("kerff = 1", 1, 5), "unknown key `kerff`")
        .with_hint("did you mean `kerf`?".to_owned());
    let colored = render(std::slice::from_ref(&fault), true);
    assert!(colored.contains("\u{1b}[31merror\u{1b}[0m: unknown"));
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
    #![proptest_config(cases!())]

    #[test]
    fn any_place_is_drawn_without_control_characters(
        source in ".{0,200}", column in 0..300_usize, width in 0..300_usize, what in any::<String>()
    ) {
        let drawn = render(&[Diagnostic::error("E013", text_place(&source, column, width), what)], false);
        prop_assert!(drawn.chars().all(|symbol| symbol == '\n' || !symbol.is_control()));
        prop_assert!(drawn.starts_with("show.toml, line 12\n"));
        prop_assert!(drawn.ends_with("\nguide: E013\n"));
    }

    #[test]
    fn any_row_is_drawn_within_80_columns_but_for_its_marked_cell(
        cells in proptest::collection::vec((".{0,20}", ".{0,20}"), 1..12), at in 0..12_usize
    ) {
        let row: Vec<Cell> = cells.iter().map(|(heading, text)| Cell::new(heading, text)).collect();
        let picture = Picture::of_row(&row, Some(at));
        prop_assert!(picture.lines.iter().all(|line| line.width() <= WIDTH - INDENT));
        prop_assert_eq!(picture.mark.is_some(), at < row.len());
    }
}

#[test]
fn messages_are_set_in_80_columns_below_their_labels() {
    let names = (0..20)
        .map(|idx| format!("`way {idx}`"))
        .collect::<Vec<_>>();
    let text = format!("error: none\nhint: its ways are {}", names.join(", "));
    let set = super::set_messages(&text);
    assert!(
        set.starts_with("error: none\nhint: its ways are `way 0`, "),
        "{set}"
    );
    assert!(set.lines().count() > 3, "{set}");
    for line in set.lines().skip(2) {
        assert!(line.starts_with("      `way "), "{set}");
    }
    assert!(set.lines().all(|line| line.len() <= 80), "{set}");
    // Nothing is lost, and what fits stays as it is.
    let joined = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(joined(&set), joined(&text));
    assert_eq!(super::set_messages("a\n  b\n"), "a\n  b\n");
    // A path with blanks is no label, however wide it is.
    let path = format!("{}  x/job.toml: no errors", "long".repeat(25));
    assert_eq!(joined(&super::set_messages(&path)), joined(&path));
    let labeled = format!("ma\u{df}e   {}", "word ".repeat(20));
    let set = super::set_messages(&labeled);
    assert!(
        set.lines()
            .skip(1)
            .all(|line| line.starts_with("       word")),
        "{set}"
    );
}

use super::*;
use crate::report::ink::Look;

fn ink() -> Ink {
    Ink::new(Look {
        width: 80,
        color: false,
        unicode: true,
    })
}

fn table() -> Table {
    let mut table = Table::new()
        .column("name", Align::Name, Tone::Plain)
        .column("length", Align::Figure, Tone::Plain)
        .column("empty", Align::Left, Tone::Plain)
        .column("where", Align::Prose, Tone::Plain);
    let mut row = |cells: [&str; 4]| table.row(cells.map(str::to_owned).to_vec());
    row(["rail", "23 5/8", "", "on the first board"]);
    row(["spacer", "~3/32", "", "anywhere"]);
    row(["long liner", "100", "", ""]);
    table.note(Tone::Faint, "a note under the row above".to_owned());
    table.total(vec![
        "all".to_owned(),
        "123.5".to_owned(),
        String::new(),
        String::new(),
    ]);
    table
}

#[test]
fn figures_stand_with_their_whole_parts_above_each_other() {
    insta::assert_snapshot!(table().lines(60, 2, ink()).join("\n"), @r#"
name          length  where
rail         23 5/8   on the first board
spacer         ~3/32  anywhere
long liner  100
   a note under the row above
──────────  ────────
all         123.5
"#);
}

#[test]
fn a_narrow_table_breaks_prose_and_shortens_names() {
    insta::assert_snapshot!(table().lines(30, 0, ink()).join("\n"), @r#"
name          length  where
rail         23 5/8   on the
                      first
                      board
spacer         ~3/32  anywhere
long liner  100
   a note under the row above
──────────  ────────
all         123.5
"#);
}

#[test]
fn a_table_too_wide_for_the_page_is_told_as_prose() {
    let mut table = Table::new()
        .column("length", Align::Figure, Tone::Plain)
        .column("other", Align::Figure, Tone::Plain);
    table.row(vec!["393700 25/32".to_owned(), "393700 25/64".to_owned()]);
    insta::assert_snapshot!(table.lines(20, 0, ink()).join("\n"), @r#"
length 393700
   25/32; other
   393700 25/64
"#);
}

#[test]
fn tables_that_are_lined_up_share_their_columns() {
    let one = |length: &str| {
        let mut table = Table::new().column("", Align::Figure, Tone::Plain).column(
            "",
            Align::Left,
            Tone::Plain,
        );
        table.row(vec![length.to_owned(), "|".to_owned()]);
        table
    };
    let mut tables = [one("1"), one("100 1/2")];
    Table::line_up(&mut tables);
    let lines = tables.map(|table| table.lines(80, 0, ink()).join("\n"));
    assert_eq!(lines, ["  1      |", "100 1/2  |"]);
}

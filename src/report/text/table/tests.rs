use super::*;
use crate::report::samples;
use crate::report::text::ink::Look;

fn ink() -> Ink {
    Ink::new(Look {
        width: 80,
        color: false,
        unicode: true,
    })
}

fn lines(table: &Table, width: usize, indent: usize) -> String {
    let display = samples::job().display.clone();
    let figures = Figures::new(&display, ink(), 20);
    SetTable::new(table, figures)
        .lines(width, indent)
        .join("\n")
}

fn table() -> Table {
    let mut table = Table::new()
        .column("name", Kind::Name, Tone::Plain)
        .column("length", Kind::Length, Tone::Plain)
        .column("empty", Kind::Words, Tone::Plain)
        .column("where", Kind::Prose, Tone::Plain);
    let mut row = |cells: [&str; 4]| table.row(cells.map(Text::from).to_vec());
    row(["rail", "23 5/8", "", "on the first board"]);
    row(["spacer", "~3/32", "", "anywhere"]);
    row(["long liner", "100", "", ""]);
    table.note(Tone::Faint, "a note under the row above");
    table.total(vec![
        "all".into(),
        "123.5".into(),
        Text::default(),
        Text::default(),
    ]);
    table
}

#[test]
fn figures_stand_with_their_whole_parts_above_each_other() {
    insta::assert_snapshot!(lines(&table(), 60, 2), @r#"
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
    insta::assert_snapshot!(lines(&table(), 30, 0), @r#"
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
        .column("length", Kind::Length, Tone::Plain)
        .column("other", Kind::Length, Tone::Plain);
    table.row(vec!["393700 25/32".into(), "393700 25/64".into()]);
    insta::assert_snapshot!(lines(&table, 20, 0), @r#"
length
   393700 25/32;
   other
   393700 25/64
"#);
}

#[test]
fn tables_that_are_lined_up_share_their_columns() {
    let one = |length: &str| {
        let mut table =
            Table::new()
                .column("", Kind::Length, Tone::Plain)
                .column("", Kind::Words, Tone::Plain);
        table.row(vec![length.into(), "|".into()]);
        table
    };
    let tables = [one("1"), one("100 1/2")];
    let display = samples::job().display.clone();
    let figures = Figures::new(&display, ink(), 20);
    let mut tables = tables.each_ref().map(|table| SetTable::new(table, figures));
    SetTable::line_up(&mut tables);
    let lines = tables.map(|table| table.lines(80, 0).join("\n"));
    assert_eq!(lines, ["  1      |", "100 1/2  |"]);
}

/// Six columns of which one is empty, and a long name.
fn long_name(last: &str) -> Table {
    let mut table = Table::new()
        .column("frame or piece", Kind::Name, Tone::Plain)
        .column("materials", Kind::Number, Tone::Plain)
        .column("hardware and so on", Kind::Number, Tone::Plain);
    table.row(vec!["Donaudampfschiff".into(), "12.50".into(), last.into()]);
    table
}

#[test]
fn a_name_is_not_broken_within_a_word_where_another_column_is_empty() {
    let display = samples::job().display.clone();
    let figures = Figures::new(&display, ink(), 20);
    let tables = [long_name("4.25"), long_name("")];
    let mut set: Vec<SetTable<'_>> = tables
        .iter()
        .map(|table| SetTable::new(table, figures))
        .collect();
    SetTable::line_up(&mut set);
    // Derived: with the empty column 9 + 18 + 2 gaps leave 9 of 40 columns for a name of 16; without it 29.
    assert_eq!(set[1].lines(40, 0)[1], "Donaudampfschiff      12.50");
    // A column that is empty in all of them takes no room.
    let tables = [long_name(""), long_name("")];
    let mut set: Vec<SetTable<'_>> = tables
        .iter()
        .map(|table| SetTable::new(table, figures))
        .collect();
    SetTable::line_up(&mut set);
    assert_eq!(
        set[0].lines(60, 0)[0].split_whitespace().last(),
        Some("materials")
    );
}

#[test]
fn prose_gives_way_before_a_word_is_broken() {
    let mut table = Table::new()
        .column("frame", Kind::Name, Tone::Plain)
        .column("why", Kind::Prose, Tone::Plain);
    table.row(vec!["Donaudampfschiff".into(), "as it is a ship".into()]);
    insta::assert_snapshot!(lines(&table, 24, 0), @r#"
frame             why
Donaudampfschiff  as it
                  is a
                  ship
"#);
}

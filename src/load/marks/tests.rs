use super::*;
use crate::load::tests::Memory;

/// The marks of a list as `BOARD NUMBER STRIP CUT STATE`, and what is wrong with it as `CODE PLACE`.
fn read(list: &str) -> (Vec<String>, Vec<String>) {
    let mut faults = Diagnostics::default();
    let files = Memory::new(&[("list.csv", list)]);
    let marked = read_marks(Path::new("list.csv"), &files, Unit::Inch, &mut faults);
    let marked = marked
        .into_iter()
        .map(|row| {
            let strip = match row.strip {
                NamedStrip::Mark(mark) => mark,
                NamedStrip::OfLine {
                    board,
                    number,
                    strip,
                } => format!("{board} {number} {strip}"),
            };
            format!("{strip} {} {:?}", row.cuts.start(), row.state)
        })
        .collect();
    let faults = faults
        .into_sorted()
        .into_iter()
        .map(|fault| format!("{} {}", fault.code, fault.place))
        .collect();
    (marked, faults)
}

#[test]
fn marks_are_read_from_whatever_a_spreadsheet_makes_of_a_cut_list() {
    let rows = [
        "board|board-number|pattern|strip|cut|state",
        "ash 8 ft|2|1|1|3|cut",
        "ash 8 ft|2|1|1|4|",
        "ash 8 ft|2|1|2|1|Spoiled",
        "|||||",
        "ash 8 ft|1|1|2|2|done",
    ];
    let expected = [
        "ash 8 ft 2 1 3 Done",
        "ash 8 ft 2 2 1 Spoiled",
        "ash 8 ft 1 2 2 Done",
    ];
    for (delimiter, end, first) in [
        (",", "\n", ""),
        (";", "\r\n", ""),
        ("\t", "\r\n", ""),
        (";", "\r\n", "sep=;\r\n"),
        ("\t", "\n", "\u{feff}"),
    ] {
        let list = first.to_owned() + &rows.join(end).replace('|', delimiter);
        let (marked, faults) = read(&list);
        assert_eq!(marked, expected, "{list:?}");
        assert_eq!(faults, [""; 0], "{list:?}");
    }
}

#[test]
fn all_that_is_wrong_with_a_list_comes_out_at_once_with_its_lines() {
    let list = "board,board-number,strip,cut,state,note\r\n\
                ash,1,1,1,cut,\r\n\
                ash,1,1\r\n\
                ash,x,1,0,sawn,\r\n\
                ,1,1,2,cut,\r\n\
                ,,,,,a row without a mark may hold anything\r\n\
                ash,1,1,3,spoiled,\r\n";
    let (marked, faults) = read(list);
    assert_eq!(marked, ["ash 1 1 1 Done", "ash 1 1 3 Spoiled"]);
    assert_eq!(
        faults,
        [
            "E012 list.csv, line 3",
            "E016 list.csv, line 4, column `board-number`",
            "E016 list.csv, line 4, column `cut`",
            "E018 list.csv, line 4, column `state`",
            "E021 list.csv, line 5",
        ]
    );
}

#[test]
fn a_list_without_its_columns_and_one_that_has_them_twice_are_told() {
    let (_, faults) = read("board,strip,State,state\nash,1,cut,spoiled\n");
    assert_eq!(
        faults,
        [
            "E011 list.csv, line 1, column `state`",
            "E010 list.csv, line 1"
        ]
    );
    let (_, faults) = read("");
    assert_eq!(faults, ["E010 list.csv"]);
    let mut faults = Diagnostics::default();
    read_marks(
        Path::new("list.csv"),
        &Memory::default(),
        Unit::Inch,
        &mut faults,
    );
    assert_eq!(faults.into_sorted()[0].code, "E001");
}

#[test]
fn a_chalk_mark_names_a_strip_and_stands_before_its_board() {
    let list = "mark,board,board-number,strip,cut,state\n\
                G,ash,1,1,3,cut\n\
                b4,,,,1,spoiled\n\
                ,ash,2,1,1,cut\n";
    let (marked, faults) = read(list);
    assert_eq!(marked, ["G 3 Done", "b4 1 Spoiled", "ash 2 1 1 Done"]);
    assert_eq!(faults, [""; 0]);
}

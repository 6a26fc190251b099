use super::*;

#[test]
fn a_sheet_is_named_behind_its_file() {
    for (path, file, sheet) in [
        ("a/list.xlsx#Pictures", "a/list.xlsx", Some("Pictures")),
        ("list.ODS#a#b", "list.ODS", Some("a#b")),
        ("list.xlsx", "list.xlsx", None),
        ("list.xlsx#", "list.xlsx#", None),
        ("no#1.csv", "no#1.csv", None),
        ("a#b/list.xlsx", "a#b/list.xlsx", None),
    ] {
        let sheet = sheet.map(str::to_owned);
        assert_eq!(
            file_and_sheet(Path::new(path)),
            (PathBuf::from(file), sheet),
            "{path}"
        );
    }
}

#[test]
fn rows_keep_their_numbers_and_cells_their_columns() {
    let mut rows = Rows::default();
    for (at, text) in [
        ((1, 2), "a,b"),
        ((3, 0), "say \"so\""),
        ((3, 1), ""),
        ((3, 300), "far"),
    ] {
        assert_eq!(rows.add(at, text.to_owned(), false), Ok(()));
    }
    assert_eq!(
        rows.add((1_048_575, 0), "x".to_owned(), false),
        Err(BookFault::TooManyRows)
    );
    let sheet = rows.into_text();
    assert_eq!(sheet.text, ",,\n,,\"a,b\"\n,,\n\"say \"\"so\"\"\",,\n");
    assert_eq!(sheet.notes, ["not read: what is right of column IV"]);
}

/// The text of a sheet of these rows; what begins with `=` is a number.
fn text_of_rows(table: &[&[&str]]) -> String {
    let mut rows = Rows::default();
    for (row, cells) in (0..).zip(table) {
        for (column, text) in (0..).zip(*cells) {
            let number = text.strip_prefix('=');
            let text = number.unwrap_or(text).to_owned();
            assert_eq!(rows.add((row, column), text, number.is_some()), Ok(()));
        }
    }
    rows.into_text().text
}

#[test]
fn numbers_are_written_so_that_they_read_in_one_way_only() {
    let head: &[&str] = &["width", "note"];
    // A note tells nothing of numbers; 304.125 alone could be a group of three digits in other hands.
    assert_eq!(
        text_of_rows(&[head, &["=304.125", "3,5 mm Glas"]]),
        "width,note\n304.1250,\"3,5 mm Glas\"\n"
    );
    // Another number tells it.
    assert_eq!(
        text_of_rows(&[head, &["=304.125"], &["=20.5"]]),
        "width,note\n304.125,\n20.5,\n"
    );
    // Texts of the same column say that it is a comma, whatever a note says.
    assert_eq!(
        text_of_rows(&[head, &["=304.125", "3.5 mm"], &["20,5"], &["=1234.5 $"]]),
        "width,note\n\"304,1250\",3.5 mm\n\"20,5\",\n\"1234,5 $\",\n"
    );
    // Texts of another column do where none of the same does.
    assert_eq!(
        text_of_rows(&[&["width", "price"], &["=304.125", "18,90 EUR"]]),
        "width,price\n\"304,1250\",\"18,90 EUR\"\n"
    );
}

#[test]
fn runs_of_hidden_rows_and_merged_cells_have_an_end() {
    let rows = |n_rows: u32, text: &str| {
        let mut rows = Rows::default();
        for row in 0..n_rows {
            assert_eq!(rows.add((row, 0), text.to_owned(), false), Ok(()));
        }
        rows
    };
    let cell = |row| MergedCell {
        row,
        column: 0,
        last_row: u32::MAX,
    };
    let xml = SheetXml {
        hidden: vec![(2, u32::MAX), (0, 0), (1, u32::MAX)],
        merged: vec![cell(1), cell(u32::MAX)],
    };
    let read = rows(4, "a").with(xml);
    assert_eq!(read.hidden, [0, 1, 2, 3]);
    assert_eq!(read.merged, [(1, 3, 0)]);
    assert_eq!(read.merged_to, None);
    let xml = SheetXml {
        hidden: vec![(0, u32::MAX); 100_000],
        merged: (0..100_000).map(cell).collect(),
    };
    let read = rows(100_000, "many words").with(xml);
    assert_eq!(read.hidden.len(), 100_000);
    assert!(read.merged_to.is_some());
    let notes = read.into_text().notes;
    assert!(
        notes
            .iter()
            .any(|note| note.starts_with("not read in the rows below: ")),
        "{notes:?}"
    );
}

#[test]
fn what_is_no_workbook_is_told() {
    let of = |name: &str, bytes: &[u8]| sheet_text(Path::new(name), bytes);
    assert_eq!(of("list.csv", b"PK"), None);
    assert_eq!(of("list.xlsx", b"board,length\n"), None);
    for name in ["list.xlsx", "list.ods"] {
        assert!(matches!(
            of(name, b"PK\x03\x04 and so on"),
            Some(Err(BookFault::Unreadable(_)))
        ));
    }
}

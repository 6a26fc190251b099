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

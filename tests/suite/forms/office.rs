//! Tables opened by a spreadsheet program as a double click does, in a country of decimal commas and in one of points.
//!
//! `LibreOffice` reads them with the language of the country (its import filter for texts, with language 1031, German, and
//! 1033, American English; Microsoft's [MS-LCID]) and writes what it has read as flat `OpenDocument`, in which each cell has its
//! kind and value.

use std::env;
use std::fs;
use std::process::Command;

use super::{forms, records, written};
use crate::command::text;

/// Tables of all commands, with numbers, texts and lengths that have their unit.
const TABLES: [&str; 8] = [
    "out-plan/cut-list.csv",
    "out-plan/rack.csv",
    "out-plan/buying-list.csv",
    "out-plan/frame-sizes.csv",
    "out-plan/labels.csv",
    "out-plan/rest-cut-list.csv",
    "out-buy/ways.csv",
    "out-quote/quote-costs.csv",
];

/// The cells of a sheet in flat `OpenDocument`: the number that a cell is, or its text.
fn cells(sheet: &str) -> Vec<Vec<Result<f64, String>>> {
    let sheet = roxmltree::Document::parse(sheet).unwrap();
    let named =
        |name: &'static str| move |node: &roxmltree::Node<'_, '_>| node.tag_name().name() == name;
    let rows = sheet.descendants().filter(named("table-row"));
    let told = |cell: &roxmltree::Node<'_, '_>, name: &str| {
        let mut all = cell.attributes();
        all.find(|one| one.name() == name)
            .map(|one| one.value().to_owned())
    };
    let row = |row: roxmltree::Node<'_, '_>| {
        let cells = row.children().filter(named("table-cell"));
        let cells = cells.flat_map(|cell| {
            let times =
                told(&cell, "number-columns-repeated").map_or(1, |times| times.parse().unwrap());
            let found = match told(&cell, "value-type").as_deref() {
                Some("float") => Ok(told(&cell, "value").unwrap().parse().unwrap()),
                Some("string") | None => {
                    let texts = cell.descendants().filter(roxmltree::Node::is_text);
                    let texts = texts.filter_map(|node| node.text());
                    Err(texts.map(str::trim).collect::<String>())
                }
                Some(other) => Err(format!("a cell of {other}")),
            };
            vec![found; times]
        });
        cells.collect()
    };
    rows.map(row).collect()
}

#[test]
#[expect(clippy::print_stderr, reason = "it says that it has not looked")]
fn a_spreadsheet_of_the_country_has_each_number_in_its_column() {
    let Some(office) = env::var_os("LONGPOINT_OFFICE") else {
        eprintln!("NOT CHECKED by a spreadsheet program: LONGPOINT_OFFICE names none");
        return;
    };
    let german = |(form, separator, is_comma, is_marked, end): &(String, u8, bool, bool, &str)| {
        let _ = form;
        *separator == b';' && *is_comma && *is_marked && *end == "\r\n"
    };
    let german = forms().into_iter().find(german).unwrap().0;
    for (form, separator, language) in [(german.as_str(), b';', 1031), ("", b',', 1033)] {
        let (folder, tables) = written(form);
        let ran = Command::new(&office)
            .current_dir(folder.path())
            .arg(format!(
                "-env:UserInstallation=file://{}",
                folder.path().join("profile").display()
            ))
            .arg("--headless")
            .arg(format!(
                "--infilter=Text - txt - csv (StarCalc):{separator},34,76,1,,{language},false,true"
            ))
            .args(["--convert-to", "fods", "--outdir", "opened"])
            .args(TABLES)
            .output()
            .unwrap();
        assert!(ran.status.success(), "{}", text(&ran.stderr));
        let mut n_numbers = 0;
        for name in TABLES {
            let written = &tables[name];
            let written = records(
                written.strip_prefix('\u{feff}').unwrap_or(written),
                separator,
            );
            let stem = name.rsplit('/').next().unwrap().replace(".csv", ".fods");
            let opened = fs::read_to_string(folder.path().join("opened").join(stem)).unwrap();
            let opened = cells(&opened);
            for (row, written) in written.iter().enumerate() {
                for (column, cell) in written.iter().enumerate() {
                    let found = opened[row]
                        .get(column)
                        .cloned()
                        .unwrap_or(Err(String::new()));
                    let number = if separator == b';' {
                        cell.replace(',', ".")
                    } else {
                        cell.clone()
                    };
                    let is_figure =
                        number.starts_with(|symbol: char| symbol.is_ascii_digit() || symbol == '-');
                    let wanted = number.parse::<f64>().ok().filter(|_| is_figure);
                    let wanted = wanted.ok_or_else(|| cell.clone());
                    n_numbers += usize::from(wanted.is_ok());
                    assert_eq!(
                        found, wanted,
                        "{name}, row {row}, column {}",
                        written[column]
                    );
                }
            }
        }
        assert!(n_numbers > 400, "{n_numbers}");
    }
}

//! Tables in the forms of several countries: what is written is read back, and one job gives one plan.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]

mod countries;
mod office;
mod units;

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use longpoint::job::Job;
use longpoint::load::{Boards, load_job};

use crate::command::{longpoint, text};
use crate::disk::Disk;

/// A job with all that tables are written of, in millimeters with lengths to a thousandth.
const JOB: &str = "\
title = \"Quay\"
unit = \"mm\"
currency = \"KWD\"
currency-decimals = 3
rack = \"rack.csv\"
sheet-rack = \"sheet-rack.csv\"

[saw]
kerf = 3.125

[rip]
kerf = 3

[shop]
shortest-offcut = 200

[[mouldings]]
name = \"cap\"
face-width = 31.75
material = \"oak\"

[[sheets]]
name = \"glass\"
use = \"glazing\"
thickness = 2

[[sheet-stock]]
sheet = \"glass\"
width = 914.4
height = 1219.2
price = 24.50

[[frames]]
frame = \"M\u{f6}we; am Kai, \\\"Nord\\\"\"
quantity = 2
art-width = 234.567
art-height = 300.5
moulding = \"cap\"
glazing = \"glass\"

[[pieces]]
piece = \"strip\"
moulding = \"cap\"
length = 731.25

[[boards]]
board = \"oak 2.4 m\"
material = \"oak\"
length = 2400
width = 68.5
price = \"7.45/m\"
defects = \"900.125 to 931.5; 2380 to 2391.25 left 8.5\"

[price]
hour = 42.50
per-frame = \"20 min\"
markup = \"33.25 %\"
";

const RACK: &str = "board,length,quantity,material,width,value,defects\n\
    rest 1,812.375 mm,1,oak,31.75 mm,1.450/m,\n\
    rest 2,150.625 mm,3,oak,31.75 mm,0.95,20.125 mm to 21.5 mm\n";

const SHEET_RACK: &str =
    "label,sheet,width,height,value,trim\nG1,glass,300.125,210.5,2.25,1.5\nG2,glass,250,250,,0\n";

/// All forms that can be asked for, as `[tables]` says them.
fn forms() -> Vec<(String, u8, bool, bool, &'static str)> {
    let mut forms = Vec::new();
    for (separator, byte) in [("comma", b','), ("semicolon", b';'), ("tab", b'\t')] {
        for (mark, is_comma) in [("point", false), ("comma", true)] {
            for is_marked in [false, true] {
                for (ends, end) in [("lf", "\n"), ("crlf", "\r\n")] {
                    let table = format!(
                        "\n[tables]\nseparator = \"{separator}\"\ndecimal-mark = \"{mark}\"\n\
                         byte-order-mark = {is_marked}\nline-ends = \"{ends}\"\n"
                    );
                    forms.push((table, byte, is_comma, is_marked, end));
                }
            }
        }
    }
    forms
}

/// A folder with the job, and all tables that the commands write, by name.
fn written(more: &str) -> (tempfile::TempDir, BTreeMap<String, String>) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    fs::write(path.join("job.toml"), format!("{JOB}{more}")).unwrap();
    fs::write(path.join("rack.csv"), RACK).unwrap();
    fs::write(path.join("sheet-rack.csv"), SHEET_RACK).unwrap();
    let mut tables = BTreeMap::new();
    for command in ["plan", "buy", "quote", "sizes"] {
        let out = format!("out-{command}");
        let output = longpoint(path, &[command, "job.toml", "--out", &out]);
        assert!(output.status.success(), "{}", text(&output.stderr));
        for file in fs::read_dir(path.join(&out)).unwrap() {
            let file = file.unwrap().path();
            if file.extension().is_some_and(|extension| extension == "csv") {
                let name = format!("{out}/{}", file.file_name().unwrap().to_string_lossy());
                tables.insert(name, fs::read_to_string(file).unwrap());
            }
        }
    }
    let output = longpoint(
        path,
        &[
            "replan",
            "job.toml",
            "out-plan/plan.json",
            "--spoiled",
            "A1:1",
            "--out",
            "out-plan",
        ],
    );
    assert!(output.status.success(), "{}", text(&output.stderr));
    for name in [
        "rest-cut-list",
        "rest-rack",
        "rest-buying-list",
        "rest-offcuts",
        "rest-sheets",
    ] {
        let name = format!("out-plan/{name}.csv");
        let table = fs::read_to_string(path.join(&name)).unwrap();
        tables.insert(name, table);
    }
    (folder, tables)
}

/// The records of a table.
fn records(text: &str, separator: u8) -> Vec<Vec<String>> {
    let reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .from_reader(text.as_bytes())
        .into_records();
    let record = |record: Result<csv::StringRecord, csv::Error>| {
        record.unwrap().iter().map(str::to_owned).collect()
    };
    reader.map(record).collect()
}

/// Whether a text is a decimal number with a point.
fn is_decimal(cell: &str) -> bool {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let cell = cell.strip_prefix('-').unwrap_or(cell);
    cell.split_once('.')
        .is_some_and(|(whole, behind)| digits(whole) && digits(behind))
}

/// The figures of a cell, whatever marks their decimals, without the zeros that say that three decimals are no group.
fn plain(cell: &str, is_comma: bool) -> String {
    let text = if is_comma {
        cell.replace(',', ".")
    } else {
        cell.to_owned()
    };
    let words = text.split(' ').map(|word| {
        if is_decimal(word) {
            word.trim_end_matches('0')
                .trim_start_matches('0')
                .to_owned()
        } else {
            word.to_owned()
        }
    });
    words.collect::<Vec<String>>().join(" ")
}

#[test]
fn every_table_is_written_in_the_form_that_is_asked_for() {
    let (_folder, usual) = written("\n[tables]\nseparator = \"comma\"\n");
    assert!(usual.len() > 25, "{:?}", usual.keys());
    // Figures that are told in words stand in some columns of these tables.
    let n_decimals = usual
        .values()
        .flat_map(|text| records(text, b','))
        .flatten();
    assert!(n_decimals.filter(|cell| is_decimal(cell)).count() > 200);
    for (form, separator, is_comma, is_marked, end) in forms().into_iter().step_by(5) {
        let (_folder, tables) = written(&form);
        assert!(tables.keys().eq(usual.keys()), "{form}");
        for (name, table) in &tables {
            let shown = format!("{name} {form}{table}");
            let body = table.strip_prefix('\u{feff}');
            assert_eq!(body.is_some(), is_marked, "{shown}");
            let body = body.unwrap_or(table);
            let lines = body.matches('\n').count();
            assert_eq!(
                body.matches("\r\n").count(),
                if end == "\n" { 0 } else { lines },
                "{shown}"
            );
            let expected = records(&usual[name], b',');
            let found = records(body, separator);
            assert_eq!(found.len(), expected.len(), "{shown}");
            for (found, expected) in found.iter().zip(&expected) {
                assert_eq!(found.len(), expected.len(), "{shown}");
                for (cell, usual) in found.iter().zip(expected) {
                    if is_decimal(usual) {
                        assert_eq!(cell.contains(','), is_comma, "{cell} {shown}");
                        assert_eq!(cell.contains('.'), !is_comma, "{cell} {shown}");
                    }
                    if cell != usual {
                        assert_eq!(plain(cell, is_comma), plain(usual, false), "{shown}");
                    }
                }
            }
        }
    }
}

fn load(folder: &Path) -> Job {
    let loaded = load_job(&folder.join("next.toml"), &Disk, Boards::Needed);
    loaded.unwrap_or_else(|faults| panic!("{faults:#?}")).0
}

/// The job with the tables that the one before has written: the racks, and the list to buy by with its boards bought.
fn next_job(folder: &Path, tables: &BTreeMap<String, String>, separator: u8) -> Job {
    let bought = &tables["out-plan/buying-list.csv"];
    let separator = char::from(separator);
    let head = format!("take{separator}bought");
    assert!(bought.contains(&head));
    // What is in the first column, how many to take, is bought.
    let lines = bought.split_inclusive('\n').enumerate().map(|(idx, line)| {
        let (take, rest) = line.split_once(separator).unwrap();
        if idx == 0 {
            line.to_owned()
        } else {
            format!("{take}{separator}{take}{rest}")
        }
    });
    fs::write(folder.join("bought.csv"), lines.collect::<String>()).unwrap();
    for (of, name) in [("rack", "rack-2.csv"), ("sheet-rack", "sheet-rack-2.csv")] {
        fs::write(folder.join(name), &tables[&format!("out-plan/{of}.csv")]).unwrap();
    }
    let job = JOB
        .replace("\"rack.csv\"", "\"rack-2.csv\"\nbought = \"bought.csv\"")
        .replace("\"sheet-rack.csv\"", "\"sheet-rack-2.csv\"");
    fs::write(folder.join("next.toml"), job).unwrap();
    load(folder)
}

#[test]
fn tables_are_read_back_in_every_form() {
    let (folder, tables) = written("\n[tables]\nseparator = \"comma\"\n");
    let usual = next_job(folder.path(), &tables, b',');
    assert!(
        usual
            .boards
            .iter()
            .any(longpoint::stock::Board::is_from_rack)
    );
    assert!(usual.buying.purchase.is_some());
    let sheets = |job: &Job| format!("{:?}", job.materials);
    for (form, separator, ..) in forms() {
        let (folder, tables) = written(&form);
        let path = folder.path();
        let next = next_job(path, &tables, separator);
        assert_eq!(next.boards, usual.boards, "{form}");
        assert_eq!(sheets(&next), sheets(&usual), "{form}");
        // Marks of the cut list, of the first plan and of the rest.
        for (list, plan) in [("cut-list", "plan.json"), ("rest-cut-list", "rest.json")] {
            let name = format!("out-plan/{list}.csv");
            let list = &tables[&name];
            let body = list.strip_prefix('\u{feff}').unwrap_or(list);
            let mut rows = records(body, separator);
            let state = rows[0].iter().position(|head| head == "state").unwrap();
            "done".clone_into(&mut rows[1][state]);
            let mut marked = csv::WriterBuilder::new()
                .delimiter(separator)
                .from_writer(Vec::new());
            for row in rows {
                marked.write_record(row).unwrap();
            }
            fs::write(path.join("marked.csv"), marked.into_inner().unwrap()).unwrap();
            let plan = format!("out-plan/{plan}");
            let args = ["replan", "job.toml", &plan, "--marks", "marked.csv"];
            let output = longpoint(path, &args);
            assert!(output.status.success(), "{form}{}", text(&output.stderr));
        }
    }
}

#[test]
fn the_form_is_that_of_the_first_table_with_a_number_that_tells() {
    let frames = |text: &str| format!("\n{text}").replace('\n', "").replace('|', "\r\n");
    let cases = [
        // Nothing tells: commas and points.
        (None, "", None, "board,length\noak,2400\n"),
        // Semicolons: decimal commas, unless some number has a point, as in Switzerland.
        (
            Some("frame;art-width;art-height|A;10;12|"),
            "",
            Some((';', ',', true)),
            "board,length\noak,2400\n",
        ),
        (
            Some("frame;art-width;art-height|A;10.5;12|"),
            "",
            Some((';', '.', true)),
            "board,length\noak,2400\n",
        ),
        (
            Some("frame;art-width;art-height|A;10;12|"),
            "",
            Some((',', '.', false)),
            "board,length\noak,2400.5\n",
        ),
        (
            Some("frame\tart-width\tart-height|A\t10,5\t12|"),
            "",
            Some(('\t', ',', true)),
            "board,length\noak,2400\n",
        ),
        // The boards come after the frames.
        (
            None,
            "",
            Some((';', ',', false)),
            "board;length\noak;2400,5\n",
        ),
        // What the job says goes before.
        (
            Some("frame;art-width;art-height|A;10;12|"),
            "[tables]\nseparator = \"tab\"\ndecimal-mark = \"point\"\nline-ends = \"lf\"\n",
            Some(('\t', '.', false)),
            "board,length\noak,2400\n",
        ),
        (
            None,
            "[tables]\nseparator = \"semicolon\"\n",
            Some((';', '.', false)),
            "board,length\noak,2400.5\n",
        ),
        (
            None,
            "[tables]\nseparator = \"semicolon\"\n",
            Some((';', ',', false)),
            "board,length\noak,2400\n",
        ),
    ];
    for (list, more, found, boards) in cases {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path();
        let named = match list {
            Some(list) => {
                fs::write(path.join("frames.csv"), frames(list)).unwrap();
                "frames = \"frames.csv\"\n"
            }
            None => "",
        };
        fs::write(path.join("boards.csv"), boards).unwrap();
        let job = format!(
            "unit = \"mm\"\nboards = \"boards.csv\"\n{named}{more}[[mouldings]]\nname = \"cap\"\nface-width = 20.5\n\
             [[pieces]]\npiece = \"p\"\nlength = 150.5\n"
        );
        fs::write(path.join("job.toml"), &job).unwrap();
        let output = longpoint(path, &["plan", "job.toml", "--out", "out"]);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let table = fs::read_to_string(path.join("out/cut-list.csv")).unwrap();
        let (separator, mark, is_crlf) = found.unwrap_or((',', '.', false));
        assert!(
            table.starts_with(&format!("mark{separator}board")),
            "{job}{table}"
        );
        assert!(
            table.contains(&format!("{separator}150{mark}5{separator}")),
            "{job}{table}"
        );
        assert_eq!(table.contains("\r\n"), is_crlf, "{job}{table}");
    }
}

//! A metric job tells nothing in inches, feet, board feet or pounds, and one in inches nothing in metric units: not in what is
//! printed, written or shown on the page.
//!
//! The metric jobs are the demos with every size in whole millimeters, prices by the meter and weights in kilograms.

use std::fs;
use std::path::{Path, PathBuf};

use longpoint::length::{Length, Notation, Unit, parse};
use longpoint::load::schema::{JOB, Kind, Schema};

use crate::command::{longpoint, text};
use crate::page::Served;

fn data(demo: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("data")
        .join(demo)
}

/// A length in whole millimeters, or what else there is.
fn in_millimeters(text: &str) -> String {
    let notation = Notation {
        unit: Unit::Inch,
        decimal_comma: false,
    };
    let found = parse(text, notation);
    found.map_or_else(
        |_| text.to_owned(),
        |length| ((length.nm() + 500_000) / Length::MILLIMETRE.nm()).to_string(),
    )
}

/// A value of a column with sizes in millimeters, prices by the meter, weights in kilograms and names without feet.
fn metric(kind: &Kind, value: &str) -> String {
    match kind {
        Kind::Length(_) | Kind::Thickness | Kind::Places => in_millimeters(value),
        Kind::Defects => {
            let words = value.split_inclusive("; ").map(|stretch| {
                let (stretch, end) = stretch
                    .strip_suffix("; ")
                    .map_or((stretch, ""), |stretch| (stretch, "; "));
                let (from, to) = stretch.split_once(" to ").unwrap_or((stretch, ""));
                let at = to.find(" left").or(to.find(" right")).unwrap_or(to.len());
                let (to, side) = to.split_at(at);
                let (word, depth) = side.trim().split_once(' ').unwrap_or((side.trim(), ""));
                let depth = in_millimeters(depth);
                format!(
                    "{} to {} {word} {depth}{end}",
                    in_millimeters(from),
                    in_millimeters(to)
                )
            });
            words.collect()
        }
        Kind::Price => match value.split_once('/') {
            Some((amount, _)) => format!("{amount}/m"),
            None => value.to_owned(),
        },
        Kind::Weight => value.replace(" lb", " kg"),
        _ => value.replace(" ft", " units"),
    }
}

/// A table with its fields in metric units.
fn metric_table(schema: &Schema, table: &str) -> String {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let heads = reader.headers().unwrap().clone();
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(&heads).unwrap();
    for row in reader.records() {
        let row = row.unwrap();
        let cells = row.iter().zip(&heads).map(|(cell, head)| {
            let column = schema.columns.iter().find(|column| column.name == head);
            column.map_or_else(|| cell.to_owned(), |column| metric(&column.kind, cell))
        });
        writer.write_record(cells).unwrap();
    }
    String::from_utf8(writer.into_inner().unwrap()).unwrap()
}

/// A job file, or that of a shop, in metric units; `told` gets the tables that it names.
fn metric_job(job: &str, told: &mut Vec<(&'static Schema, String)>) -> String {
    let mut schema = JOB[0];
    let mut lines = Vec::new();
    for line in job.lines() {
        let line = line.split(" #").next().unwrap().trim();
        let header = line.trim_matches(['[', ']']);
        if line.starts_with('[') {
            schema = JOB
                .into_iter()
                .find(|schema| schema.name == header)
                .unwrap();
            lines.push(line.to_owned());
            continue;
        }
        let Some((key, value)) = line.split_once(" = ") else {
            continue;
        };
        let bare = value.trim_matches('"');
        let column = schema.columns.iter().find(|column| column.name == key);
        match (key, column) {
            ("unit", _) => lines.push("unit = \"mm\"".to_owned()),
            ("rounding", _) => {}
            ("glass-square-foot", _) => lines.push(format!("glass-square-meter = {value}")),
            (_, Some(column)) if value.starts_with('"') || bare.parse::<f64>().is_ok() => {
                let found = metric(&column.kind, bare);
                let is_number = found.parse::<f64>().is_ok() && !matches!(column.kind, Kind::Name);
                lines.push(if is_number {
                    format!("{key} = {found}")
                } else {
                    format!("{key} = \"{found}\"")
                });
            }
            _ => lines.push(line.to_owned()),
        }
        for file in value
            .split('"')
            .filter(|file| file.strip_suffix(".csv").is_some())
        {
            let name = if key == "boards" { "boards" } else { key };
            let of = JOB.into_iter().find(|schema| schema.name == name).unwrap();
            told.push((of, file.to_owned()));
        }
    }
    lines.join("\n")
}

/// A folder with a demo, in its own units or in metric ones.
fn folder(demo: &str, is_metric: bool) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let mut tables = Vec::new();
    for file in fs::read_dir(data(demo)).unwrap() {
        let from = file.unwrap().path();
        let to = folder.path().join(from.file_name().unwrap());
        let text = fs::read_to_string(&from).unwrap();
        let is_toml = to.extension().is_some_and(|extension| extension == "toml");
        let text = match (is_metric, is_toml) {
            (true, true) => metric_job(&text, &mut tables),
            _ => text,
        };
        fs::write(to, text).unwrap();
    }
    for (schema, name) in tables {
        let text = fs::read_to_string(data(demo).join(&name)).unwrap();
        fs::write(folder.path().join(name), metric_table(schema, &text)).unwrap();
    }
    folder
}

/// What is read of a page: its texts, without styles, scripts and drawings' numbers, and the words in its attributes.
fn shown(page: &str) -> String {
    let mut text = String::new();
    let mut rest = page;
    while let Some(at) = rest.find('<') {
        text.push_str(&rest[..at]);
        rest = &rest[at..];
        for name in ["style", "script"] {
            if rest.starts_with(&format!("<{name}")) {
                let end = rest.find(&format!("</{name}>")).unwrap();
                rest = &rest[end..];
            }
        }
        let end = rest.find('>').unwrap();
        for name in [
            " aria-label=\"",
            " title=\"",
            " placeholder=\"",
            " value=\"",
        ] {
            if let Some((_, words)) = rest[..end].split_once(name) {
                text.push(' ');
                text.push_str(words.split('"').next().unwrap());
                text.push(' ');
            }
        }
        rest = &rest[end + 1..];
        text.push(' ');
    }
    text + rest
}

/// Words that begin with a number and one of some units behind it, and other words of these units.
fn found(text: &str, units: &[&str], words: &[&str]) -> Vec<String> {
    let words_of = |line: &str| {
        let line = line.replace(
            ['\u{a0}', '\u{202f}', '(', ')', ';', ':', '|', '\u{2502}'],
            " ",
        );
        // What stands in another field, or behind a comma, belongs to nothing before it.
        let line = line.replace(',', " , ");
        line.split_whitespace()
            .map(str::to_owned)
            .collect::<Vec<String>>()
    };
    let mut hits = Vec::new();
    for line in text.lines() {
        let tokens = words_of(line);
        for (idx, token) in tokens.iter().enumerate() {
            let before = idx
                .checked_sub(1)
                .map_or("", |before| tokens[before].as_str());
            let token = token.trim_end_matches(['.', '!', '?']);
            let is_figure = before.ends_with(|symbol: char| symbol.is_ascii_digit());
            // `3 in all` counts, and `2 in place` is where.
            let behind = tokens.get(idx + 1).map_or("", String::as_str);
            let is_word =
                token == "in" && ["all", "hand", "place", "a", "one", "the"].contains(&behind);
            let joined = units.iter().any(|unit| {
                token.strip_suffix(unit).is_some_and(|number| {
                    number.ends_with(|symbol: char| symbol.is_ascii_digit())
                        && number
                            .starts_with(|symbol: char| symbol.is_ascii_digit() || symbol == '~')
                })
            });
            if (is_figure && units.contains(&token) && !is_word)
                || joined
                || words.contains(&token.to_lowercase().as_str())
            {
                hits.push(line.trim().chars().take(160).collect());
                break;
            }
        }
    }
    hits
}

const IMPERIAL: [&str; 9] = ["in", "ft", "\"", "'", "lb", "oz", "bf", "/ft", "/bf"];
const IMPERIAL_WORDS: [&str; 12] = [
    "inch",
    "inches",
    "foot",
    "feet",
    "board-feet",
    "surface-feet",
    "pound",
    "pounds",
    "bf",
    "length-in",
    "/ft",
    "/bf",
];
const METRIC: [&str; 8] = ["mm", "cm", "m", "kg", "g", "m\u{b2}", "m\u{b3}", "/m"];
const METRIC_WORDS: [&str; 10] = [
    "millimeter",
    "millimeters",
    "centimeter",
    "centimeters",
    "meter",
    "meters",
    "kilogram",
    "kilograms",
    "mm",
    "kg",
];

/// All that is printed and written of a job that is to be read by people, by name.
fn told(folder: &Path, job: &str) -> Vec<(String, String)> {
    let mut told = Vec::new();
    for command in ["plan", "buy", "quote", "sizes"] {
        let out = format!("out-{command}");
        let output = longpoint(folder, &[command, job, "--out", &out]);
        if command == "quote" && output.status.code() == Some(2) {
            continue;
        }
        let code = output.status.code();
        assert!(
            code.is_some_and(|code| code < 2),
            "{job}: {}",
            text(&output.stderr)
        );
        told.push((command.to_owned(), text(&output.stdout)));
        told.push((format!("{command}, warnings"), text(&output.stderr)));
        for file in fs::read_dir(folder.join(&out)).unwrap() {
            let file = file.unwrap().path();
            let name = file.file_name().unwrap().to_string_lossy().into_owned();
            let extension = file
                .extension()
                .map(|extension| extension.to_string_lossy().into_owned());
            let Some(extension) = extension.filter(|_| !name.starts_with('.')) else {
                continue;
            };
            let read = fs::read_to_string(&file).unwrap();
            match extension.as_str() {
                "html" | "svg" => told.push((name, shown(&read))),
                "txt" | "csv" => told.push((name, read)),
                _ => {}
            }
        }
    }
    for format in ["stops", "stations", "pocket"] {
        let output = longpoint(folder, &["plan", job, "--format", format]);
        told.push((format.to_owned(), text(&output.stdout)));
    }
    for args in [["buy", job, "--lists"], ["quote", job, "--for=shop"]] {
        let output = longpoint(folder, &args);
        told.push((args.join(" "), text(&output.stdout)));
    }
    told
}

/// Wood with sheets, hardware and a price; ripped boards with defects; loose pieces and a rack; what lies on the rack.
const DEMOS: [(&str, &str); 4] = [
    ("quote", "quote.toml"),
    ("knots", "knots.toml"),
    ("starter", "job.toml"),
    ("rack", "rack.toml"),
];

/// The heads of a table; of a text that is none, nothing that ends as one.
fn heads_of<'t>(name: &str, read: &'t str) -> impl Iterator<Item = &'t str> {
    let is_table = name.strip_suffix(".csv").is_some();
    let first = is_table.then(|| read.lines().next()).flatten();
    first.unwrap_or_default().split(',')
}

#[test]
fn a_metric_job_tells_nothing_in_inches_and_feet() {
    let mut hits = Vec::new();
    for (demo, job) in DEMOS {
        let folder = folder(demo, true);
        for (name, read) in told(folder.path(), job) {
            // Nanometers stand beside the lengths of tables; their columns end so.
            let heads = heads_of(&name, &read).filter(|head| {
                head.ends_with("-in") || head.ends_with("-ft") || head.contains("feet")
            });
            hits.extend(heads.map(|head| format!("{demo} {name}: {head}")));
            let lines = found(&read, &IMPERIAL, &IMPERIAL_WORDS);
            hits.extend(lines.iter().map(|line| format!("{demo} {name}: {line}")));
        }
    }
    assert!(hits.is_empty(), "{hits:#?}");
}

#[test]
fn a_job_in_inches_tells_nothing_in_metric_units() {
    let mut hits = Vec::new();
    for (demo, job) in DEMOS {
        let folder = folder(demo, false);
        for (name, read) in told(folder.path(), job) {
            let heads =
                heads_of(&name, &read).filter(|head| head.ends_with("-mm") || head.ends_with("-m"));
            hits.extend(heads.map(|head| format!("{demo} {name}: {head}")));
            let mut lines = found(&read, &METRIC, &METRIC_WORDS);
            // The rack is exact, and what a miter leaves has no finite decimal in inches; it has one in millimeters.
            if name == "rack.csv" {
                lines.retain(|line| !line.starts_with("offcut "));
            }
            hits.extend(lines.iter().map(|line| format!("{demo} {name}: {line}")));
        }
    }
    assert!(hits.is_empty(), "{hits:#?}");
}

#[test]
fn the_page_of_a_job_is_in_its_units() {
    let mut hits = Vec::new();
    for (is_metric, units, words) in [
        (true, &IMPERIAL[..], &IMPERIAL_WORDS[..]),
        (false, &METRIC[..], &METRIC_WORDS[..]),
    ] {
        let folder = folder("quote", is_metric);
        let served = Served::start(folder.path(), "quote.toml");
        served.file("papers.html");
        served.wait_for("/yard", "way-1");
        // The desk tells what each setting is, and what it is in either unit if it is left out.
        for view in ["/", "/yard", "/bench?by=stop", "/bench?by=board", "/papers"] {
            let page = shown(&served.get(view).body);
            let lines = found(&page, units, words);
            hits.extend(lines.iter().map(|line| format!("{view}: {line}")));
        }
    }
    assert!(hits.is_empty(), "{hits:#?}");
}

#[test]
fn units_are_found_where_they_stand() {
    for (text, is_hit) in [
        ("a rail of 14 1/8 in", true),
        ("14 1/8\u{a0}in long", true),
        ("8' and more", true),
        ("12\" wide", true),
        ("3 in all", false),
        ("2.50/ft", true),
        ("lengths in inches", true),
        ("12.83 board feet", true),
        ("cut 3 in order", true),
        ("lengths in mm", false),
    ] {
        assert_eq!(
            !found(text, &IMPERIAL, &IMPERIAL_WORDS).is_empty(),
            is_hit,
            "{text}"
        );
    }
    for (text, is_hit) in [
        ("360.5 mm", true),
        ("3.2\u{a0}kg", true),
        ("4.10/m", true),
        ("14 1/8 in", false),
        ("m 4", false),
    ] {
        assert_eq!(
            !found(text, &METRIC, &METRIC_WORDS).is_empty(),
            is_hit,
            "{text}"
        );
    }
    let page = "<p title=\"2 in\">a<style>3 mm</style><b>b</b></p>";
    assert_eq!(
        shown(page).split_whitespace().collect::<Vec<_>>(),
        ["2", "in", "a", "b"]
    );
}

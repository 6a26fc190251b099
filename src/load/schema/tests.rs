use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use serde_json::Value;

use super::*;
use crate::diag::{Diagnostic, Place};
use crate::load::tests::Memory;
use crate::load::{Boards, load_job};

/// A job that has every table, in which one key may have another value.
fn job(schema: &Schema, key: &str, value: &str) -> String {
    let rows: [(&Schema, &[(&str, &str)]); 24] = [
        (&HEAD, &[]),
        (&SAW, &[]),
        (&SHOP, &[]),
        (&RIP, &[("resaw-kerf", "0")]),
        (&ASSEMBLY, &[("keys", "1"), ("key-depth", "1")]),
        (&HANGING, &[("by", "\"two-hooks\""), ("wall", "144")]),
        (
            &MOULDINGS,
            &[("name", "\"cap\""), ("face-width", "2"), ("thickness", "1")],
        ),
        (
            &SHEETS,
            &[
                ("name", "\"glass\""),
                ("use", "\"glazing\""),
                ("thickness", "\"3/32\""),
            ],
        ),
        (
            &HARDWARE,
            &[
                ("name", "\"wire\""),
                ("use", "\"wire\""),
                ("lot-length", "100"),
            ],
        ),
        (
            &SPACERS,
            &[("name", "\"strip\""), ("width", "1"), ("depth", "2")],
        ),
        (
            &SHEET_STOCK,
            &[("sheet", "\"glass\""), ("width", "32"), ("height", "40")],
        ),
        (
            &SHEET_RACK,
            &[
                ("label", "\"A4\""),
                ("sheet", "\"glass\""),
                ("width", "12"),
                ("height", "20"),
            ],
        ),
        (
            &FRAMES,
            &[
                ("frame", "\"Wren\""),
                ("art-width", "9"),
                ("art-height", "13"),
                ("mat-border", "3"),
                ("mat-layers", "2"),
            ],
        ),
        (&PIECES, &[("piece", "\"spacer\""), ("length", "10")]),
        (&BOARDS, &[("board", "\"ash\""), ("length", "96")]),
        (&TALLY, &[("board", "\"oak\""), ("length", "96")]),
        (&RACK, &[("board", "\"rest\""), ("length", "40")]),
        (
            &BOUGHT,
            &[("board", "\"ash\""), ("length", "96"), ("bought", "1")],
        ),
        (&IN_HAND, &[]),
        (&LABELS, &[]),
        (&TABLES, &[]),
        (
            &PRICE,
            &[
                ("hour", "30"),
                ("per-frame", "\"20 min\""),
                ("discount", "10"),
                ("tax", "19"),
            ],
        ),
        (&BUYING, &[("longest", "120"), ("yard-cuts", "12")]),
        (&WAYS, &[("name", "\"ash alone\""), ("boards", "[\"ash\"]")]),
    ];
    let mut text = String::new();
    for (table, values) in rows {
        text += &table.header();
        text.push('\n');
        let is_asked = table.name == schema.name;
        for (name, value) in values {
            if !(is_asked && *name == key) {
                text += &format!("{name} = {value}\n");
            }
        }
        if is_asked && !value.is_empty() {
            text += &format!("{key} = {value}\n");
        }
    }
    text
}

/// What is said of a job at the line of a key.
fn said_of(text: &str, key: &str) -> Vec<Diagnostic> {
    let memory = Memory::new(&[("job.toml", text)]);
    let found = match load_job(Path::new("job.toml"), &memory, Boards::Needed) {
        Ok((_, warnings)) => warnings,
        Err(errors) => errors,
    };
    let is_there = |diagnostic: &Diagnostic| matches!(&diagnostic.place, Place::Text { source, .. } if source.starts_with(&format!("{key} = ")));
    found.into_iter().filter(is_there).collect()
}

#[test]
fn a_job_of_what_is_needed_alone_is_sound_and_nothing_of_that_may_lack() {
    let whole = job(&HEAD, "", "");
    let memory = Memory::new(&[("job.toml", &whole)]);
    assert!(load_job(Path::new("job.toml"), &memory, Boards::Needed).is_ok());
    for schema in JOB {
        for column in schema
            .columns
            .iter()
            .filter(|column| column.need != Need::Never)
        {
            let text = job(schema, column.name, "");
            let memory = Memory::new(&[("job.toml", &text)]);
            let errors = load_job(Path::new("job.toml"), &memory, Boards::Needed).map(|_| ());
            let what = format!("key `{}` is missing", column.name);
            assert!(
                errors.is_err_and(|errors| errors.iter().any(|error| error.what == what)),
                "{what}"
            );
        }
    }
}

#[test]
fn every_key_is_read_as_the_list_says() {
    for schema in JOB {
        for column in schema.columns {
            let broken = match column.kind {
                // Texts that are empty in the job file are refused where they are read.
                Kind::Name => "\"\"",
                Kind::Currency => "\"1\"",
                // Of the wrong type already.
                Kind::Flag => "7",
                Kind::Boards => "5",
                _ => "\"no such value\"",
            };
            let text = job(schema, column.name, broken);
            let said = said_of(&text, column.name);
            let is_known = |one: &Diagnostic| !one.what.starts_with("unknown key");
            assert!(
                said.iter().any(is_known),
                "`{}` of {:?} is not read",
                column.name,
                schema.header()
            );
        }
        let text = job(schema, "no-such-key", "1");
        let said = said_of(&text, "no-such-key");
        assert!(said[0].what.starts_with("unknown key `no-such-key`"));
    }
}

#[test]
fn every_default_is_a_value_of_its_column() {
    let mut n_defaults = 0;
    for schema in JOB {
        for column in schema.columns {
            let Some(default) = column.default else {
                continue;
            };
            n_defaults += 1;
            let written = match column.kind {
                Kind::Flag => default.to_owned(),
                _ => format!("\"{default}\""),
            };
            let text = job(schema, column.name, &written);
            // `reveal` has no effect on a single mat, which is the default of `mat-layers`; nothing else is said.
            assert_eq!(said_of(&text, column.name), [], "{}", column.name);
            let given = Memory::new(&[("job.toml", &text)]);
            let absent = job(schema, column.name, "");
            let absent = Memory::new(&[("job.toml", &absent)]);
            let load = |memory| load_job(Path::new("job.toml"), memory, Boards::Needed);
            let (given, absent) = (load(&given), load(&absent));
            assert_eq!(
                given.map(|(job, ..)| job),
                absent.map(|(job, ..)| job),
                "{}",
                column.name
            );
        }
    }
    assert!(n_defaults > 20, "{n_defaults}");
}

#[test]
fn headings_are_found_in_any_case_and_by_their_other_names() {
    let found = |heading| FRAMES.headed(heading).map(|column| column.name);
    assert_eq!(found("Art Width"), Some("art-width"));
    assert_eq!(found("ART_HEIGHT"), Some("art-height"));
    assert_eq!(found("Qty"), Some("quantity"));
    assert_eq!(found("name"), Some("frame"));
    assert_eq!(found("art"), None);
    for schema in JOB.into_iter().chain([&MARKS, &PRICE_LIST, &SIZE_LIST]) {
        let headings: Vec<&str> = schema
            .columns
            .iter()
            .flat_map(|column| std::iter::once(column.name).chain(column.aliases.iter().copied()))
            .collect();
        let different: BTreeSet<&str> = headings.iter().copied().collect();
        assert_eq!(different.len(), headings.len(), "{}", schema.name);
    }
}

/// The keys that a schema in JSON allows.
fn keys(schema: &Value) -> BTreeSet<&str> {
    let properties = schema["properties"].as_object();
    properties
        .into_iter()
        .flatten()
        .map(|(key, _)| key.as_str())
        .collect()
}

/// The schema in JSON of one row of a table.
fn row<'s>(whole: &'s Value, schema: &Schema) -> &'s Value {
    let of_table = &whole["properties"][schema.name];
    match schema.shape {
        Shape::Head | Shape::Apart => whole,
        Shape::Once => of_table,
        Shape::List => &of_table["items"],
        Shape::ListOrFiles => &of_table["anyOf"][1]["items"],
    }
}

#[test]
fn the_schema_in_json_names_the_keys_that_are_read_and_no_others() {
    let whole = job_schema();
    let mut at_top: BTreeSet<&str> = HEAD.names().into_iter().collect();
    for schema in &JOB[1..] {
        assert!(at_top.insert(schema.name));
        let row = row(&whole, schema);
        assert_eq!(
            keys(row),
            schema.names().into_iter().collect(),
            "{}",
            schema.name
        );
        assert_eq!(row["additionalProperties"], false);
    }
    assert_eq!(keys(&whole), at_top);
    assert_eq!(whole["additionalProperties"], false);
    let needed = |schema| row(&whole, schema)["required"].clone();
    assert_eq!(needed(&TALLY), serde_json::json!(["board", "length"]));
    assert_eq!(needed(&SHOP), serde_json::json!([]));
    let of_frame = |key: &str| row(&whole, &FRAMES)["properties"][key].clone();
    assert_eq!(of_frame("sides")["maximum"], 48);
    assert_eq!(
        of_frame("mount")["enum"],
        serde_json::json!(["overlap", "float"])
    );
    assert_eq!(of_frame("quantity")["default"], 1);
}

#[test]
fn the_schema_in_json_knows_all_keys_of_the_demos() {
    let whole = job_schema();
    let mut n_keys = 0;
    for folder in fs::read_dir("data").expect("the demos are part of the project") {
        let folder = folder.expect("a folder of a demo").path();
        for file in fs::read_dir(&folder).expect("a folder of a demo") {
            let path = file.expect("a file of a demo").path();
            if path.extension().is_none_or(|ending| ending != "toml") {
                continue;
            }
            let text = fs::read_to_string(&path).expect("a job of a demo");
            let file: toml::Table = text.parse().expect("a job of a demo");
            for (key, value) in &file {
                assert!(
                    keys(&whole).contains(key.as_str()),
                    "{}: {key}",
                    path.display()
                );
                let Some(schema) = JOB.iter().find(|schema| schema.name == key) else {
                    continue;
                };
                let tables = match value {
                    toml::Value::Table(table) => vec![table],
                    toml::Value::Array(items) => {
                        items.iter().filter_map(toml::Value::as_table).collect()
                    }
                    _ => Vec::new(),
                };
                for key in tables.into_iter().flat_map(toml::Table::keys) {
                    n_keys += 1;
                    let known = keys(row(&whole, schema));
                    assert!(known.contains(key.as_str()), "{}: {key}", path.display());
                }
            }
        }
    }
    assert!(n_keys > 50, "{n_keys}");
}

#[test]
fn the_guide_to_a_table_has_a_row_for_each_column() {
    for schema in JOB.into_iter().chain([&MARKS, &PRICE_LIST, &SIZE_LIST]) {
        let guide = columns_guide(schema);
        assert_eq!(guide.lines().count(), 2 + schema.columns.len());
        assert!(
            guide.lines().all(|line| line.matches(" | ").count() == 3),
            "{guide}"
        );
    }
    assert!(columns_guide(&PIECES).contains(
        "\n| `quantity` or `qty` | whole number, 1 to 200000 | `1` | how many are wanted |\n"
    ));
}

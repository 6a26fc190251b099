//! Plan files as they are written, and with every single field changed: `verify` must find each change.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::OnceLock;

use longpoint::job::Job;
use longpoint::length::Length;
use longpoint::load::{Boards, load_job};
use longpoint::pipeline::plan;
use longpoint::plan::ChalkMark;
use longpoint::planfile::{PlanFile, bench_schema, bench_text, plan_schema, read_bench, verify};
use longpoint::replan::{Marks, replan};
use longpoint::solve::Control;
use serde_json::{Map, Value, json};

use crate::disk::Disk;

const CONTROL: Control<'static> = Control {
    stop: &|| false,
    progress: &|_| {},
};

/// Demos of all kinds: a rack, a knot, spares, rows, turned rails, ripped boards, color.
const DEMOS: [&str; 13] = [
    "color", "figured", "grain", "knots", "miscut", "offcuts", "quote", "rack", "reserve", "rough",
    "show", "spare", "turned",
];

fn demo(name: &str) -> Job {
    let path = format!("data/{name}/{name}.toml");
    load_job(Path::new(&path), &Disk, Boards::Needed).unwrap().0
}

/// The plan file of each demo, and the rest of a job of which a cut was spoiled.
fn files() -> &'static [(&'static str, Job, String)] {
    static FILES: OnceLock<Vec<(&str, Job, String)>> = OnceLock::new();
    FILES.get_or_init(planned_files)
}

fn planned_files() -> Vec<(&'static str, Job, String)> {
    let mut files = Vec::new();
    for name in DEMOS {
        let job = demo(name);
        let text = PlanFile::of(&plan(&job, &CONTROL).unwrap()).text();
        if name == "miscut" {
            let (bench, _) = read_bench(&job, &text).unwrap().unwrap();
            let mut marks = Marks::default();
            let mut places = bench.places();
            marks.done.extend(places.next());
            marks
                .spoiled
                .extend(places.next().map(|place| (place, Length::INCH)));
            let rest = replan(&bench, &marks.into(), &CONTROL).unwrap();
            files.push(("miscut, the rest", job.clone(), bench_text(&rest)));
        }
        files.push((name, job, text));
    }
    files
}

/// Fields that may say something else, as nothing in the file depends on them.
fn is_exempt(path: &str) -> bool {
    path.ends_with("/written_by")
        // What somebody has measured at the bench.
        || path.ends_with("/good_nm")
        || [
            "leftover_proved_best",
            "in_rows",
            "without_grain",
            "without_spare_offcuts",
            "without_vehicle_limit",
            "beyond_bought",
            "without_rack_first",
        ]
        .iter()
        .any(|told| path.contains(&format!("/not_verified/{told}")))
}

/// Every field below `value` by its path, objects and lists too.
fn paths(value: &Value, path: &str, found: &mut Vec<String>) {
    let below: Vec<(String, &Value)> = match value {
        Value::Object(fields) => fields.iter().map(|(key, of)| (key.clone(), of)).collect(),
        Value::Array(items) => (0..)
            .zip(items)
            .map(|(at, of): (usize, _)| (at.to_string(), of))
            .collect(),
        _ => Vec::new(),
    };
    for (key, of) in below {
        let path = format!("{path}/{key}");
        paths(of, &path, found);
        found.push(path);
    }
}

/// What a field may be changed to, each with a word for the kind of change.
fn changes(value: &Value) -> Vec<(&'static str, Value)> {
    match value {
        Value::Null => vec![("null to 0", json!(0)), ("null to a text", json!("x"))],
        Value::Bool(truth) => vec![("flipped", json!(!truth)), ("to null", Value::Null)],
        Value::Number(number) => {
            let number = number.as_i64().unwrap();
            vec![
                ("one more", json!(number + 1)),
                ("one less", json!(number - 1)),
                ("to null", Value::Null),
            ]
        }
        Value::String(text) => vec![
            ("a letter more", json!(format!("{text}x"))),
            ("to null", Value::Null),
        ],
        Value::Array(items) if items.is_empty() => vec![("to null", Value::Null)],
        Value::Array(items) => {
            let doubled = items.iter().chain(items.last()).cloned().collect();
            vec![
                ("last item twice", Value::Array(doubled)),
                ("emptied", json!([])),
            ]
        }
        Value::Object(_) => vec![("emptied", json!({})), ("to null", Value::Null)],
    }
}

/// The file without one field or item.
fn without(file: &Value, path: &str) -> Value {
    let mut less = file.clone();
    let (above, key) = path.rsplit_once('/').unwrap();
    match less.pointer_mut(above).unwrap() {
        Value::Object(fields) => {
            fields.remove(key);
        }
        Value::Array(items) => {
            items.remove(key.parse().unwrap());
        }
        _ => unreachable!("only these have fields"),
    }
    less
}

/// The file with one key of an object written twice, as text.
fn doubled(file: &Value, path: &str) -> Option<String> {
    const MARK: &str = "the same key again";
    let (above, key) = path.rsplit_once('/').unwrap();
    let mut more = file.clone();
    let object = more.pointer_mut(above)?.as_object_mut()?;
    let value = object[key].to_string();
    object.insert(MARK.to_owned(), Value::Null);
    let text = more.to_string();
    Some(text.replacen(
        &format!("\"{MARK}\":null"),
        &format!("\"{key}\":{value}"),
        1,
    ))
}

/// With the certificate's own fields changed, what is still proved must be no less than what is said; and a strip of a sheet
/// may lie elsewhere where there is room, as all that is said of what is left is reckoned from where it lies.
fn is_another_sound_plan(path: &str) -> bool {
    let is_strip =
        path.contains("/materials/") && path.ends_with("/from_nm") && !path.contains("/cuts/");
    path.contains("/certificate/") || is_strip
}

#[test]
fn every_change_of_a_single_field_of_any_demo_is_found() {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let mut sound_proofs = 0;
    let mut missed = Vec::new();
    for (name, job, text) in files() {
        let is_found =
            |text: &str| verify(job, text).map_or(true, |found| !found.findings.is_empty());
        let sound = verify(job, text).unwrap();
        assert_eq!(sound.findings, [], "{name}");
        let file: Value = serde_json::from_str(text).unwrap();
        let mut found = Vec::new();
        paths(&file, "", &mut found);
        // Of long files a part is drawn, another for each kind of change; of all kinds of field some are in it.
        let step = found.len() / 48 + 1;
        for (number, path) in found.iter().enumerate() {
            let is_drawn = |at: usize| (number + at).is_multiple_of(step);
            let mut tried: Vec<(&str, String)> = Vec::new();
            let changes = changes(file.pointer(path).unwrap());
            let n_changes = changes.len();
            for (at, (kind, to)) in changes.into_iter().enumerate() {
                if is_drawn(at) {
                    let mut changed = file.clone();
                    *changed.pointer_mut(path).unwrap() = to;
                    tried.push((kind, changed.to_string()));
                }
            }
            if is_drawn(n_changes) {
                tried.push(("left out", without(&file, path).to_string()));
            }
            if is_drawn(n_changes + 1) {
                tried.extend(doubled(&file, path).map(|text| ("key twice", text)));
            }
            for (kind, text) in tried {
                *counts.entry(kind).or_default() += 1;
                if is_found(&text) || is_exempt(path) {
                    continue;
                }
                if is_another_sound_plan(path) {
                    sound_proofs += 1;
                } else {
                    missed.push(format!("{name}: {path} {kind}"));
                }
            }
        }
    }
    assert!(
        missed.is_empty(),
        "{} not found:\n{}",
        missed.len(),
        missed.join("\n")
    );
    let n_changes: usize = counts.values().sum();
    assert!(n_changes > 2_000, "only {n_changes} changes: {counts:?}");
    assert!(
        sound_proofs < n_changes / 10,
        "{sound_proofs} of {n_changes}"
    );
}

#[test]
fn an_unknown_key_is_refused_wherever_it_stands() {
    let job = demo("reserve");
    let file: Value =
        serde_json::from_str(&PlanFile::of(&plan(&job, &CONTROL).unwrap()).text()).unwrap();
    let mut found = vec![String::new()];
    paths(&file, "", &mut found);
    let mut n_objects = 0;
    for path in found {
        let mut more = file.clone();
        if let Some(object) = more.pointer_mut(&path).and_then(Value::as_object_mut) {
            object.insert("x".to_owned(), Value::Null);
            n_objects += 1;
            assert!(verify(&job, &more.to_string()).is_err(), "{path}");
        }
    }
    assert!(n_objects > 50, "{n_objects}");
}

#[test]
fn a_bogus_sheet_beside_sound_ones_is_found() {
    let (_, job, text) = files().iter().find(|file| file.0.contains("rest")).unwrap();
    let sound: Value = serde_json::from_str(text).unwrap();
    let n_sheets = sound["sheets"].as_array().unwrap().len();
    assert_eq!(n_sheets, 2);
    for sheet in 0..n_sheets {
        let mut bogus = sound.clone();
        let cut = bogus["sheets"][sheet]["boards"][0]["cuts"]
            .as_array_mut()
            .unwrap();
        cut.pop();
        let found = verify(job, &bogus.to_string()).unwrap().findings;
        let said = found[0].to_string();
        assert!(
            said.starts_with(&format!("sheet {}: ", sheet + 1)),
            "{said}"
        );
    }
    // A later plan in the place of the first, and a sheet more or less than there are rounds.
    let mut swapped = sound.clone();
    swapped["sheets"].as_array_mut().unwrap().swap(0, 1);
    assert!(
        !verify(job, &swapped.to_string())
            .unwrap()
            .findings
            .is_empty()
    );
    let mut fewer = sound.clone();
    fewer["sheets"].as_array_mut().unwrap().pop();
    assert!(!verify(job, &fewer.to_string()).unwrap().findings.is_empty());
}

/// Whether `value` is as `schema` says, by the few words that the schemas use; where not.
fn breaks(root: &Value, schema: &Value, value: &Value, path: &str) -> Option<String> {
    if let Some(reference) = schema.get("$ref") {
        let pointer = reference.as_str().unwrap().trim_start_matches('#');
        return breaks(root, root.pointer(pointer).unwrap(), value, path);
    }
    for choice in ["anyOf", "oneOf"] {
        if let Some(choices) = schema.get(choice).and_then(Value::as_array) {
            let fits = choices
                .iter()
                .any(|one| breaks(root, one, value, path).is_none());
            return (!fits).then(|| format!("{path}: none of {choice}"));
        }
    }
    if let Some(only) = schema.get("const") {
        return (only != value).then(|| format!("{path}: not {only}"));
    }
    if let Some(words) = schema.get("enum").and_then(Value::as_array) {
        return (!words.contains(value)).then(|| format!("{path}: not one of the words"));
    }
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(_) => "integer",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    };
    let allowed = match schema.get("type") {
        Some(Value::String(one)) => vec![one.as_str()],
        Some(Value::Array(several)) => several.iter().filter_map(Value::as_str).collect(),
        _ => return Some(format!("{path}: a schema without type")),
    };
    if !allowed.contains(&kind) {
        return Some(format!("{path}: {kind}, not {allowed:?}"));
    }
    if let (Some(least), Some(number)) = (schema.get("minimum"), value.as_i64())
        && number < least.as_i64().unwrap()
    {
        return Some(format!("{path}: below {least}"));
    }
    let none = Map::new();
    let properties = schema
        .get("properties")
        .and_then(Value::as_object)
        .unwrap_or(&none);
    if let Value::Object(fields) = value {
        let needed = schema["required"].as_array().unwrap();
        let lost = needed
            .iter()
            .find(|key| !fields.contains_key(key.as_str().unwrap()));
        if let Some(lost) = lost {
            return Some(format!("{path}: without {lost}"));
        }
        assert_eq!(schema["additionalProperties"], false, "{path}");
        return fields.iter().find_map(|(key, of)| {
            let path = format!("{path}/{key}");
            match properties.get(key) {
                Some(schema) => breaks(root, schema, of, &path),
                None => Some(format!("{path}: unknown")),
            }
        });
    }
    let items = value.as_array().into_iter().flatten().enumerate();
    items.into_iter().find_map(|(at, item)| {
        let of_place = schema.get("prefixItems").and_then(|list| list.get(at));
        let schema = of_place.or_else(|| schema.get("items"))?;
        breaks(root, schema, item, &format!("{path}/{at}"))
    })
}

#[test]
fn the_schema_holds_of_every_demo_and_of_nothing_else() {
    let schemas =
        [plan_schema(), bench_schema()].map(|text| serde_json::from_str::<Value>(&text).unwrap());
    for schema in &schemas {
        assert_eq!(
            schema["$schema"],
            "https://json-schema.org/draft/2020-12/schema"
        );
    }
    for (name, _, text) in files() {
        let file: Value = serde_json::from_str(text).unwrap();
        let schema = &schemas[usize::from(name.contains("rest"))];
        assert_eq!(breaks(schema, schema, &file, ""), None, "{name}");
        let mut found = Vec::new();
        paths(&file, "", &mut found);
        for path in found.iter().step_by(7) {
            let (above, _) = path.rsplit_once('/').unwrap();
            if file.pointer(above).unwrap().is_object() {
                let less = without(&file, path);
                assert!(
                    breaks(schema, schema, &less, "").is_some(),
                    "{name} without {path}"
                );
            }
        }
    }
}

#[test]
fn no_two_boards_have_one_chalk_mark_and_none_has_a_letter_like_a_figure() {
    let marks: Vec<String> = (0..2_000)
        .map(|position| ChalkMark::nth(position).to_string())
        .collect();
    let mut distinct = marks.clone();
    distinct.sort();
    distinct.dedup();
    assert_eq!(distinct.len(), marks.len());
    assert!(!marks.concat().contains(['I', 'O', 'Q']));
    let lengths: Vec<usize> = marks.iter().map(String::len).collect();
    assert!(lengths.is_sorted());
    let (_, job, text) = files().iter().find(|file| file.0.contains("rest")).unwrap();
    let rest: Value = serde_json::from_str(text).unwrap();
    let (bench, _) = read_bench(job, text).unwrap().unwrap();
    for (sheet, plan) in rest["sheets"].as_array().unwrap().iter().enumerate() {
        for (at, board) in plan["boards"].as_array().unwrap().iter().enumerate() {
            let stick = bench.stick(sheet, at);
            for (other, _) in rest["sheets"][0]["boards"]
                .as_array()
                .unwrap()
                .iter()
                .enumerate()
            {
                let same = bench.stick(0, other) == stick;
                assert_eq!(
                    same,
                    rest["sheets"][0]["boards"][other]["mark"] == board["mark"]
                );
            }
        }
    }
}

//! Every demo opened on the page, one cell changed, and the answer beside that of the command.

use std::fs;
use std::path::Path;

use serde_json::json;

use super::{Served, texts};
use crate::command::{longpoint, text};

/// Each with the column of its first picture that is changed, and what is typed there.
const DEMOS: [(&str, &str, &str, &str); 19] = [
    ("badday", "badday.toml", "art-width", "17 1/4"),
    ("color", "color.toml", "art-height", "11 1/8"),
    ("figured", "figured.toml", "art-width", "9 1/2"),
    ("grain", "grain.toml", "art-width", "10 1/4"),
    ("knots", "knots.toml", "art-width", "12 1/8"),
    ("miscut", "miscut.toml", "art-height", "13 7/8"),
    ("offcuts", "offcuts.toml", "art-width", "7 3/4"),
    ("quote", "quote.toml", "art-width", "8 1/4"),
    ("rack", "rack.toml", "art-width", "8 1/8"),
    ("reserve", "reserve.toml", "art-width", "9 1/4"),
    ("rough", "rough.toml", "art-width", "11 1/4"),
    ("shop", "week-1/job.toml", "art-width", "12 1/4"),
    ("shop", "week-2/job.toml", "art-height", "10 1/4"),
    ("show", "show.toml", "art-width", "11 1/4"),
    ("spare", "spare.toml", "art-width", "9 1/8"),
    ("starter", "job.toml", "art-width", "8 1/4"),
    ("truck", "home.toml", "art-width", "16 1/4"),
    ("truck", "truck.toml", "art-height", "20 1/4"),
    ("turned", "turned.toml", "art-width", "8 1/4"),
];

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let place = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &place);
        } else {
            fs::copy(&path, place).unwrap();
        }
    }
}

/// What does the change of the first cell of this column, as the page has it: the deed, without the text.
fn deed_of(page: &str, column: &str) -> Option<serde_json::Value> {
    let head = column.replace('-', " ");
    let (_, rest) = page.split_once(&format!("data-head=\"{head}\""))?;
    let (_, rest) = rest.split_once("data-do=\"")?;
    let (deed, _) = rest.split_once('"')?;
    serde_json::from_str(&deed.replace("&#34;", "\"")).ok()
}

#[test]
fn all_demos_are_opened_and_changed_and_give_the_answer_of_the_command() {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
    let folder = tempfile::tempdir().unwrap();
    for (demo, job, column, typed) in DEMOS {
        let place = folder.path().join(demo);
        if !place.exists() {
            copy(&data.join(demo), &place);
        }
        let served = Served::start(folder.path(), demo);
        let is_only = served.get("/desk").body.contains("data-head");
        if !is_only {
            served.act_well(&json!({ "open": { "job": job } }));
        }
        let before = texts(&place);
        let page = served.get("/desk?part=pictures").body;
        let mut deed = deed_of(&page, column).unwrap();
        deed["desk"]["text"] = json!(typed);
        served.act_well(&deed);
        // One line of one file is another.
        let after = texts(&place);
        let changed: Vec<&String> = after
            .keys()
            .filter(|name| before.get(*name) != after.get(*name))
            .collect();
        assert_eq!(changed.len(), 1, "{demo}/{job}: {changed:?}");
        let lines = |all: &std::collections::BTreeMap<String, String>| -> Vec<String> {
            all[changed[0]].lines().map(str::to_owned).collect()
        };
        let (one, other) = (lines(&before), lines(&after));
        let n_other = one
            .iter()
            .zip(&other)
            .filter(|(one, other)| one != other)
            .count();
        assert_eq!((n_other, one.len()), (1, other.len()), "{demo}/{job}");
        // The command is run where the page was opened, so it names files alike.
        let ran = longpoint(&place, &["plan", job, "--format", "json"]);
        assert!(
            matches!(ran.status.code(), Some(0 | 1)),
            "{demo}/{job}: {}",
            text(&ran.stderr)
        );
        assert!(
            served.file("plan.json") == text(&ran.stdout),
            "{demo}/{job}: another plan"
        );
        let ran = longpoint(&place, &["sizes", job, "--format", "json"]);
        assert_eq!(served.file("sizes.json"), text(&ran.stdout), "{demo}/{job}");
    }
}

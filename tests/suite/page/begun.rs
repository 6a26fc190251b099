//! Jobs begun on the page.

use std::fs;

use serde_json::{Value, json};

use longpoint::desk::{Answers, begin};

use super::{Served, texts};
use crate::command::longpoint;

fn answers() -> Value {
    json!({
        "title": "Weber, \"two\"", "measures": "inches", "currency": "EUR", "kerf": "3/32",
        "moulding": { "name": "oak cap", "face-width": "1 3/4", "lip": "3/8", "material": "oak", "thickness": "13/16" },
        "pictures": [
            { "name": "Pier", "quantity": "2", "wide": "8 1/2", "high": "11", "mat": "2", "glazed": true },
            { "name": "Wren", "wide": "16", "high": "20", "glazed": false },
            { "name": "", "quantity": "", "wide": "", "high": "", "mat": "", "glazed": false },
        ],
        "boards": [{ "length": "8'", "price": "21.50" }, { "length": "", "price": "" }],
    })
}

#[test]
fn an_empty_folder_begins_with_the_example_and_the_page_ends_when_asked() {
    let folder = tempfile::tempdir().unwrap();
    let mut served = Served::start(folder.path(), ".");
    assert!(served.get("/").body.contains("What is to be framed?"));
    served.act_well(&json!({ "starter": {} }));
    served.wait_for("/desk", "Proved");
    let begun = texts(folder.path());
    longpoint(folder.path(), &["starter", "by-command"]);
    assert_eq!(texts(&folder.path().join("by-command")), begun);
    assert!(served.act(&json!({ "starter": {} }))["fault"].is_string());
    let told = served.act(&json!({ "close": {} }));
    assert_eq!(told["closed"], true);
    assert_eq!(served.ended(), Some(0));
}

#[test]
fn a_job_begins_from_answers_in_the_folder_or_in_a_new_one_below() {
    let folder = tempfile::tempdir().unwrap();
    let served = Served::start(folder.path(), ".");
    served.act_well(&json!({ "begin": { "answers": answers() } }));
    served.wait_for("/desk", "Proved");
    let written: Answers = serde_json::from_value(answers()).unwrap();
    for (path, text) in begin(&written).unwrap().files {
        assert_eq!(fs::read_to_string(folder.path().join(path)).unwrap(), text);
    }
    // Lines of which nothing is said are none, and a board is called by its wood and its length.
    assert_eq!(
        fs::read_to_string(folder.path().join("boards.csv")).unwrap(),
        "board,material,thickness,length,quantity,price\noak 8',oak,13/16,8',,21.50\n"
    );
    let frames = fs::read_to_string(folder.path().join("frames.csv")).unwrap();
    assert_eq!(frames.lines().count(), 3, "{frames}");

    // Another one, in a folder of its own, which then is on the desk; the first is found again.
    let before = texts(folder.path());
    for wrong in ["", "../out", "/tmp/out", ".hidden", "a/b"] {
        let told = served.act(&json!({ "begin": { "folder": wrong, "answers": answers() } }));
        assert!(told["fault"].is_string(), "{wrong}");
    }
    assert_eq!(texts(folder.path()), before);
    served.act_well(&json!({ "starter": { "folder": "Weber, later" } }));
    assert!(served.get("/desk").body.contains("My first show"));
    assert!(folder.path().join("Weber, later/job.toml").exists());
    let told = served.act(&json!({ "begin": { "folder": "Weber, later", "answers": answers() } }));
    assert!(told["fault"].is_string(), "{told}");
    let jobs = served.get("/jobs").body;
    assert!(
        jobs.contains("<bdi>Weber, later</bdi>") && jobs.contains("job.toml"),
        "{jobs}"
    );
    served.act_well(&json!({ "open": { "job": "job.toml" } }));
    assert!(served.get("/desk").body.contains("oak cap"));
    // A job that was begun by a command meanwhile is there, too.
    longpoint(folder.path(), &["starter", "by-command"]);
    assert!(served.get("/jobs").body.contains("by-command/job.toml"));
}

#[test]
#[cfg(unix)]
fn no_job_begins_through_a_link_out_of_the_folder() {
    let above = tempfile::tempdir().unwrap();
    let (jobs, elsewhere) = (above.path().join("jobs"), above.path().join("elsewhere"));
    fs::create_dir(&jobs).unwrap();
    fs::create_dir(&elsewhere).unwrap();
    std::os::unix::fs::symlink(&elsewhere, jobs.join("out")).unwrap();
    let served = Served::start(above.path(), "jobs");
    let told = served.act(&json!({ "starter": { "folder": "out" } }));
    assert!(
        told["fault"].as_str().unwrap().contains("outside"),
        "{told}"
    );
    assert_eq!(fs::read_dir(&elsewhere).unwrap().count(), 0);
}

#[test]
fn a_wrong_answer_is_a_fault_beside_its_field() {
    let folder = tempfile::tempdir().unwrap();
    let served = Served::start(folder.path(), ".");
    let mut wrong = answers();
    wrong["pictures"][1]["wide"] = json!("sixteen");
    served.act_well(&json!({ "begin": { "answers": wrong } }));
    let page = served.get("/desk?part=pictures").body;
    assert!(
        page.contains("aria-invalid=\"true\"") && page.contains(">E013<"),
        "{page}"
    );
    let told = served
        .post(&json!({ "version": 1, "deed": { "begin": { "answers": { "color": "red" } } } }));
    assert_eq!(told.status, 400);
}

//! What is left put on the rack from the page.

use std::fs;
use std::path::Path;

use serde_json::json;

use super::{Served, texts};
use crate::command::{longpoint, text};

const JOB: &str = "\
title = \"Two bars\"
pieces = \"pieces.csv\"
boards = \"boards.csv\"
rack = \"rack.csv\"

[saw]
kerf = \"1/8\"

[shop]
shortest-offcut = 4
";

fn write(folder: &Path) {
    fs::create_dir_all(folder).unwrap();
    for (name, text) in [
        ("job.toml", JOB),
        ("pieces.csv", "piece,length,quantity\nbar,20,2\nstop,9,1\n"),
        ("boards.csv", "board,length,price\nlath,5',4.00\n"),
        (
            "rack.csv",
            "board,length,value\nshort end,10,0.20\nlong end,22,0.90\n",
        ),
    ] {
        fs::write(folder.join(name), text).unwrap();
    }
}

#[test]
fn what_is_left_is_put_on_the_rack_as_the_command_does_and_only_once() {
    let folder = tempfile::tempdir().unwrap();
    let (page, command) = (folder.path().join("page"), folder.path().join("command"));
    write(&page);
    write(&command);
    let served = Served::start(&page, ".");
    assert!(!served.get("/papers").body.contains("id=\"stow\""));
    assert!(served.act(&json!({ "stow": {} }))["fault"].is_string());
    served.file("papers.html");
    served.act_well(&json!({ "lay": {} }));
    served.wait_for("/papers", "id=\"stow\"");
    served.act_well(&json!({ "stow": {} }));
    served.wait_for("/papers", "the rack before is kept as");
    let run = |args: &[&str]| {
        let ran = longpoint(&command, args);
        assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
    };
    run(&["plan", "job.toml", "--out", "job-plan"]);
    run(&["stow", "job.toml", "job-plan/plan.json"]);
    assert_eq!(texts(&page), texts(&command));
    assert_ne!(
        fs::read_to_string(page.join("rack.csv")).unwrap(),
        "board,length,value\nshort end,10,0.20\nlong end,22,0.90\n"
    );
    // A second time nothing is put there, and what was cut is not planned anew from what it left itself.
    let before = texts(&page);
    assert!(served.act(&json!({ "stow": {} }))["fault"].is_string());
    served.act_well(&json!({ "replan": {} }));
    let told = served.wait_for("/bench", "The rest is not planned anew");
    assert!(told.contains("this very job has left"), "{told}");
    assert_eq!(texts(&page), before);
}

#[test]
fn a_rack_outside_of_the_folder_is_left_alone() {
    let above = tempfile::tempdir().unwrap();
    let week = above.path().join("week");
    write(&week);
    fs::rename(week.join("rack.csv"), above.path().join("rack.csv")).unwrap();
    fs::write(above.path().join("shop.toml"), "rack = \"rack.csv\"\n").unwrap();
    let job = JOB.replace("rack = \"rack.csv\"\n", "shop-file = \"../shop.toml\"\n");
    fs::write(week.join("job.toml"), job).unwrap();
    let before = fs::read_to_string(above.path().join("rack.csv")).unwrap();
    // Opened alone, its shop is not read; opened from above, it is, and the rack is kept there.
    let served = Served::start(above.path(), "week");
    let page = served.wait_for("/desk", "The files have errors");
    assert!(!page.contains("long end"), "{page}");
    drop(served);
    let served = Served::start(above.path(), ".");
    served.act_well(&json!({ "open": { "job": "week/job.toml" } }));
    served.file("papers.html");
    served.act_well(&json!({ "lay": {} }));
    served.act_well(&json!({ "stow": {} }));
    assert_ne!(
        fs::read_to_string(above.path().join("rack.csv")).unwrap(),
        before
    );
    let kept = fs::read_to_string(above.path().join("kept-1-rack.csv")).unwrap();
    assert_eq!(kept, before);
}

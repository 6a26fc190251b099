//! The bad day of the demo: what happens in it by commands, and the same done on the page.

use std::fs;
use std::path::Path;

use longpoint::length::Length;
use longpoint::plan::{CutLabel, Part};
use longpoint::planfile::read_bench;
use longpoint::replan::{Bench, Place, Stick};
use serde_json::{Value, json};

use super::Served;
use crate::command::{longpoint, text};
use crate::jobs;

/// Something that happens at the bench.
#[derive(Clone, Debug)]
pub(crate) enum Happens {
    /// A cut is made.
    Cut(String),
    /// The kerf is measured.
    Kerf(&'static str),
    /// A cut is spoiled, with so much of it good.
    Spoiled(String, &'static str),
    /// A knot is found on a board, from here to there.
    Knot(String, String, String),
    /// Nobody wants the frame of this name any more.
    Dropped(&'static str),
}

/// What happens before the rest is planned anew, and the bench as the command then writes it.
pub(crate) struct Sheet {
    pub(crate) happens: Vec<Happens>,
    pub(crate) bench: String,
}

/// Copies the demo into a folder.
pub(crate) fn copy(to: &Path) {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/badday");
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(data).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, to.join(path.file_name().unwrap())).unwrap();
    }
}

/// The day by commands, in a folder of its own.
pub(crate) fn by_command() -> Vec<Sheet> {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    copy(at);
    let run = |args: &[&str]| {
        let ran = longpoint(at, args);
        assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
    };
    let change = |file: &str, from: &str, to: &str| {
        let before = fs::read_to_string(at.join(file)).unwrap();
        assert!(before.contains(from));
        fs::write(at.join(file), before.replace(from, to)).unwrap();
    };
    let bench = || {
        let path = at.join("badday.toml");
        let job = jobs::load_from(path.to_str().unwrap(), &crate::disk::Disk);
        let text = fs::read_to_string(at.join("day/rest.json")).unwrap();
        read_bench(&job, &text).unwrap().unwrap().0
    };
    let sheet = |plan: &str, more: &[&str], happens: Vec<Happens>| {
        run(&[&["replan", "badday.toml", plan, "--out", "day"], more].concat());
        Sheet {
            happens,
            bench: fs::read_to_string(at.join("day/rest.json")).unwrap(),
        }
    };
    run(&["plan", "badday.toml", "--out", "day"]);
    change("badday.toml", "kerf = \"1/8\"", "kerf = \"5/32\"");
    let mut sheets = vec![sheet(
        "day/plan.json",
        &["--done", "A:1-2"],
        vec![
            Happens::Cut("A-1".to_owned()),
            Happens::Cut("A-2".to_owned()),
            Happens::Kerf("5/32"),
        ],
    )];
    sheets.push(sheet(
        "day/rest.json",
        &["--spoiled", "B:1=15"],
        vec![Happens::Spoiled("B-1".to_owned(), "15")],
    ));
    let now = bench();
    let on_board = |place: &&Place| matches!(now.stick_at(**place), Stick::Board { .. });
    let open = now.open();
    let hit = *open.iter().rfind(on_board).unwrap();
    let board = label(&now, hit).strip.board.to_string();
    let from = (now.cut(hit).from + Length::INCH).nm() / Length::INCH.nm();
    let (from, to) = (from.to_string(), (from + 1).to_string());
    sheets.push(sheet(
        "day/rest.json",
        &["--knot", &format!("{board}={from} to {to}")],
        vec![Happens::Knot(board, from, to)],
    ));
    let now = bench();
    let open = now.open();
    let of_pier = now.serving().into_iter().find(|(place, part)| {
        let frames = &now.job().frames;
        open.contains(place)
            && matches!(part, Part::Rail { frame_idx, .. } if frames[*frame_idx].name == "Pier")
    });
    let of_pier = label(&now, of_pier.unwrap().0);
    change("frames.csv", "Pier,20,16,1\n", "");
    sheets.push(sheet(
        "day/rest.json",
        &["--done", &format!("{}:{}", of_pier.strip, of_pier.cut)],
        vec![Happens::Cut(of_pier.to_string()), Happens::Dropped("Pier")],
    ));
    sheets
}

fn label(bench: &Bench, at: Place) -> CutLabel {
    let labels = bench.labels().into_iter();
    let mut found = labels.filter(|(_, place)| *place == at);
    found.next().unwrap().0
}

/// The deed of a page in which all these words stand, with these fields besides.
fn deed(page: &str, words: &[&str], more: &[(&str, &str)]) -> Value {
    let deeds = page.split("data-do=\"").skip(1);
    let deeds = deeds.map(|rest| rest.split('"').next().unwrap().replace("&#34;", "\""));
    let mut deeds = deeds.filter(|deed| words.iter().all(|word| deed.contains(word)));
    let mut deed: Value = serde_json::from_str(&deeds.next().unwrap()).unwrap();
    for (name, text) in more {
        deed["desk"][name] = json!(text);
    }
    deed
}

/// Does on the page what happens.
fn happen(served: &Served, happens: &Happens) {
    match happens {
        Happens::Cut(label) => served.act_well(&json!({ "cut": { "cuts": label, "made": true } })),
        Happens::Spoiled(label, good) => {
            served.act_well(&json!({ "spoil": { "cut": label, "good": good } }));
        }
        Happens::Kerf(kerf) => {
            let page = served.get("/desk?part=settings").body;
            served.act_well(&deed(&page, &["setting", "\"kerf\""], &[("text", kerf)]));
        }
        Happens::Knot(board, from, to) => {
            served.act_well(&json!({ "measure": { "board": board, "from": from, "to": to } }));
        }
        Happens::Dropped(name) => {
            let page = served.get("/desk?part=pictures").body;
            let (before, _) = page.split_once(&format!("<bdi>{name}</bdi>")).unwrap();
            let address = before.rsplit("data-at=\"").next().unwrap();
            let address = address.split('"').next().unwrap().replace("&#38;", "&");
            let page = served.get(&address.replace("&amp;", "&")).body;
            served.act_well(&deed(&page, &["remove-row"], &[]));
        }
    }
}

#[test]
fn the_bad_day_on_the_page_is_that_of_the_commands_to_the_byte() {
    let sheets = by_command();
    assert_eq!(sheets.len(), 4);
    let folder = tempfile::tempdir().unwrap();
    copy(folder.path());
    let mut served = Served::start(folder.path(), ".");
    served.file("papers.html");
    served.act_well(&json!({ "lay": {} }));
    let bench = || fs::read_to_string(folder.path().join("badday-plan/rest.json")).ok();
    for (number, sheet) in sheets.iter().enumerate() {
        let before = bench();
        for happens in &sheet.happens {
            happen(&served, happens);
        }
        // Spoiled cuts and knots have the rest planned anew by themselves.
        let is_by_itself =
            |happens: &Happens| matches!(happens, Happens::Spoiled(..) | Happens::Knot(..));
        if !sheet.happens.iter().any(is_by_itself) {
            served.wait_for("/bench", "Plan the rest anew");
            served.act_well(&json!({ "replan": {} }));
        }
        served.wait_for("/bench", &format!("Plan {}: ", number + 2));
        assert!(
            bench().as_ref() == Some(&sheet.bench),
            "sheet {}",
            number + 2
        );
        let verified = served.file("rest-verified.txt");
        assert!(verified.contains("each of them checked"), "{verified}");
        if number == 2 {
            // The knot was another board's: taken back, and said once more after a restart.
            served.act_well(&json!({ "undo": {} }));
            assert_eq!(bench(), before);
            drop(served);
            served = Served::start(folder.path(), "badday.toml");
            happen(&served, &sheet.happens[0]);
            served.wait_for("/bench", &format!("Plan {}: ", number + 2));
            assert!(
                bench().as_ref() == Some(&sheet.bench),
                "sheet {} again",
                number + 2
            );
        }
    }
}

#[test]
fn what_cannot_have_been_measured_is_told_and_nothing_is_planned() {
    let folder = tempfile::tempdir().unwrap();
    copy(folder.path());
    let served = Served::start(folder.path(), ".");
    let measure = |board: &str, length: &str, from: &str, to: &str| {
        let fields = json!({ "board": board, "length": length, "from": from, "to": to });
        let told = served.act(&json!({ "measure": fields }));
        told["fault"].as_str().map(str::to_owned)
    };
    assert_eq!(
        measure("A", "70", "", "").as_deref(),
        Some("nothing is at the bench yet")
    );
    served.file("papers.html");
    served.act_well(&json!({ "lay": {} }));
    served.act_well(&json!({ "cut": { "cuts": "A-1", "made": true } }));
    for (wrong, says) in [
        (
            ["A", "", "", ""],
            "say how long the board is, or where the knot lies",
        ),
        (
            ["A", "", "3", ""],
            "say where the knot begins and where it ends",
        ),
        (["A", "long", "", ""], "`long` is not a length"),
        (["A", "0", "", ""], "must be more than zero"),
        (["A", "5", "", ""], "it has been cut as far as"),
        (["Z", "70", "", ""], "no plan takes a board `Z`"),
        (["A=1", "70", "", ""], "is not a length"),
        (["A", "", "31", "30"], "it ends before it begins"),
        (["A", "", "30", "3000"], "it ends beyond the board"),
    ] {
        let [board, length, from, to] = wrong;
        let told = measure(board, length, from, to).unwrap();
        assert!(told.contains(says), "{wrong:?}: {told}");
    }
    assert!(!folder.path().join("badday-plan/rest.json").exists());
    // Length and knot at once, as the command has it with both options.
    let list = folder.path().join("badday-plan/cut-list.csv");
    fs::create_dir(folder.path().join("again")).unwrap();
    for name in ["plan.json", "cut-list.csv"] {
        let from = list.with_file_name(name);
        fs::copy(from, folder.path().join("again").join(name)).unwrap();
    }
    assert_eq!(measure("B", "90 1/2", "40", "41"), None);
    served.wait_for("/bench", "Plan 2: ");
    let args = [
        "replan",
        "badday.toml",
        "again/plan.json",
        "--marks",
        "again/cut-list.csv",
        "--board",
        "B=90 1/2",
        "--knot",
        "B=40 to 41",
        "--out",
        "again",
    ];
    let ran = longpoint(folder.path(), &args);
    assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
    let bench = |of: &str| fs::read_to_string(folder.path().join(of).join("rest.json")).unwrap();
    assert!(bench("badday-plan") == bench("again"));
}

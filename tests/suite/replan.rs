//! After a miscut: at any moment of any demo what is cut stays, no wood is used twice, and all parts are accounted for.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};

use crate::jobs;
use longpoint::job::Job;
use longpoint::pipeline::plan;
use longpoint::plan::certificate::Certificate;
use longpoint::plan::{Cut, Part, Plan, PlannedBoard};
use longpoint::replan::{Bench, Change, Marks, Place, Replanned, Stick, replan};
use longpoint::solve::Control;
use proptest::prelude::*;

const DEMOS: [&str; 10] = [
    "rack", "knots", "spare", "show", "grain", "figured", "turned", "miscut", "rough", "reserve",
];

/// The demo jobs with their plans, each planned once.
fn demo(idx: usize) -> &'static (Job, Plan) {
    static PLANNED: [OnceLock<(Job, Plan)>; DEMOS.len()] = [const { OnceLock::new() }; DEMOS.len()];
    PLANNED[idx].get_or_init(|| {
        let job = jobs::demo(DEMOS[idx]);
        let plan = stopped_after(300, |control| plan(&job, control).unwrap().plan);
        (job, plan)
    })
}

/// Plans with a search that is stopped when it has asked so many times whether it should go on: the same everywhere.
/// A plan that is stopped is whole and checked too, only not proved.
fn stopped_after<T>(n_steps: u32, search: impl FnOnce(&Control<'_>) -> T) -> T {
    let asked = AtomicU32::new(0);
    search(&Control {
        stop: &|| asked.fetch_add(1, Ordering::Relaxed) >= n_steps,
        progress: &|_| {},
    })
}

/// The first of the open cuts are made, and of these some are spoiled.
fn marks(bench: &Bench, share: usize, spoiled: &[bool]) -> Marks {
    let open: Vec<Place> = bench.open().into_iter().collect();
    let n_made = open.len() * share / 100;
    let mut marks = Marks::default();
    for (idx, &place) in open[..n_made].iter().enumerate() {
        if spoiled[idx % spoiled.len()] {
            marks.spoiled.insert(place);
        } else {
            marks.done.insert(place);
        }
    }
    marks
}

fn cut_at(bench: &Bench, place: Place) -> &Cut {
    let board = &bench.sheets()[place.sheet].plan.boards[place.board];
    &board.strips[place.strip].cuts[place.cut]
}

/// Every part is done, cut from a spare, to be cut, or named as missing, and only one of these.
fn every_part_is_accounted_for(job: &Job, old: &Plan, bench: &Bench) -> Result<(), TestCaseError> {
    let cut = old.boards.iter().flat_map(PlannedBoard::cuts);
    let mut all: Vec<Part> = cut.map(|cut| cut.part).collect();
    all.extend(&old.missing);
    let mut now: Vec<Part> = bench.missing().collect();
    now.extend(bench.made().done.iter().map(|&place| bench.part(place)));
    now.extend(bench.open().iter().map(|&place| bench.part(place)));
    for (rail, spare) in bench.replaced() {
        now.push(rail);
        let (
            Part::Rail {
                frame_idx, side, ..
            },
            Part::Loose { piece_idx, .. },
        ) = (rail, spare)
        else {
            return Err(TestCaseError::fail("only rails are cut from spares"));
        };
        prop_assert!(
            job.frame_sizes(frame_idx).rail(side).long_point <= job.pieces[piece_idx].length
        );
    }
    all.sort_unstable();
    now.sort_unstable();
    prop_assert_eq!(all, now);
    Ok(())
}

/// On each strip what was made on any sheet, and what is to be made, lie apart by a kerf; a board is ripped by one sheet.
fn no_wood_is_used_twice(job: &Job, bench: &Bench) -> Result<(), TestCaseError> {
    let mut on_strip: BTreeMap<(Stick, usize), Vec<Place>> = BTreeMap::new();
    let mut whole: BTreeMap<Stick, BTreeSet<usize>> = BTreeMap::new();
    for place in bench.made().made().chain(bench.open()) {
        let stick = bench.stick(place.sheet, place.board);
        on_strip
            .entry((stick, bench.strip(place)))
            .or_default()
            .push(place);
        let sheet = &bench.sheets()[place.sheet];
        let planned = &sheet.plan.boards[place.board];
        if sheet.plan.job.boards[planned.board_idx].width == job.boards[stick.board_idx].width
            && planned.strips.len() > 1
        {
            whole.entry(stick).or_default().insert(place.sheet);
        }
    }
    prop_assert!(whole.values().all(|sheets| sheets.len() == 1));
    for places in on_strip.values() {
        for (idx, &one) in places.iter().enumerate() {
            for &other in &places[..idx] {
                // Within a board of one sheet the plan was checked, and rails may share a slanting cut.
                if (one.sheet, one.board) == (other.sheet, other.board) {
                    continue;
                }
                let (first, second) = (cut_at(bench, one), cut_at(bench, other));
                let apart = (first.from - second.to).max(second.from - first.to);
                prop_assert!(apart >= job.shop.kerf, "{first:?} {second:?}");
            }
        }
    }
    Ok(())
}

/// No name stands for two things on any two sheets, and no board is taken that is not there.
fn names_are_unambiguous(job: &Job, bench: &Bench) -> Result<(), TestCaseError> {
    prop_assert_eq!(bench.labels().len(), bench.places().count());
    let mut sticks = BTreeMap::new();
    for (label, place) in bench.labels() {
        let stick = bench.stick(place.sheet, place.board);
        let known = *sticks.entry(label.strip.board).or_insert(stick);
        prop_assert_eq!(known, stick, "{} stands for two boards", label.strip.board);
    }
    let boards: BTreeSet<Stick> = sticks.values().copied().collect();
    prop_assert_eq!(boards.len(), sticks.len(), "a board has two marks");
    let mut cuts = BTreeSet::new();
    let mut numbers: BTreeMap<usize, BTreeSet<u32>> = BTreeMap::new();
    for place in bench.places() {
        let stick = bench.stick(place.sheet, place.board);
        let named = (stick, bench.strip(place), bench.cut_number(place));
        prop_assert!(cuts.insert(named), "{named:?} twice");
        numbers
            .entry(stick.board_idx)
            .or_default()
            .insert(stick.number);
    }
    for (board_idx, numbers) in numbers {
        let n_taken = u32::try_from(numbers.len()).unwrap();
        prop_assert_eq!(numbers.last(), Some(&n_taken));
        prop_assert!(
            job.boards[board_idx]
                .quantity
                .is_none_or(|most| n_taken <= most)
        );
    }
    let rest = &bench.last().plan.job;
    let boards: BTreeSet<&str> = rest
        .boards
        .iter()
        .map(|board| board.name.as_str())
        .collect();
    prop_assert_eq!(boards.len(), rest.boards.len());
    let pieces: BTreeSet<&str> = rest
        .pieces
        .iter()
        .map(|piece| piece.name.as_str())
        .collect();
    prop_assert_eq!(pieces.len(), rest.pieces.len());
    Ok(())
}

fn holds(
    job: &Job,
    old: &Plan,
    before: &Bench,
    marks: &Marks,
    rest: &Replanned,
) -> Result<(), TestCaseError> {
    let bench = &rest.bench;
    every_part_is_accounted_for(job, old, bench)?;
    no_wood_is_used_twice(job, bench)?;
    names_are_unambiguous(job, bench)?;
    // What is cut stays cut.
    prop_assert!(bench.made().done.is_superset(&before.made().done));
    prop_assert!(bench.made().done.is_superset(&marks.done));
    let round = rest.round();
    prop_assert!(round.kept.iter().all(|place| !bench.made().is_made(*place)));
    if rest.change == Change::Nothing {
        let n_open = before
            .open()
            .iter()
            .filter(|place| !marks.is_made(**place))
            .count();
        prop_assert_eq!(round.kept.len(), n_open);
    }
    // A row of the bench is derived from marks and plans alone, so it can be read again.
    let draft = before
        .draft(round.marks.clone(), round.kept.clone())
        .unwrap();
    prop_assert_eq!(&draft.job, &bench.last().plan.job);
    Ok(())
}

proptest! {
    #![proptest_config(cases!(200))]

    #[test]
    fn after_any_miscuts_of_any_demo_the_rest_can_be_planned(
        demo_idx in 0..DEMOS.len(),
        rounds in prop::collection::vec(
            (0_usize..=100, prop::collection::vec(prop::bool::weighted(0.12), 7..30)),
            1..=3,
        ),
    ) {
        let (job, old) = demo(demo_idx);
        let mut bench = Bench::new(old.clone(), Certificate::default());
        for (share, spoiled) in rounds {
            let marks = marks(&bench, share, &spoiled);
            let rest = stopped_after(10, |control| replan(&bench, &marks, control)).unwrap();
            holds(job, old, &bench, &marks, &rest)?;
            if marks.spoiled.is_empty() && bench.missing().next().is_none() {
                prop_assert!(rest.planned.plan.boards.is_empty());
                prop_assert!(rest.planned.plan.missing.is_empty());
                prop_assert_eq!(rest.change, Change::Nothing);
            }
            bench = rest.bench;
        }
    }
}

#[test]
fn what_is_not_open_can_not_be_marked() {
    let (_job, old) = demo(2);
    let bench = Bench::new(old.clone(), Certificate::default());
    let first = *bench.open().first().unwrap();
    let twice = Marks {
        done: BTreeSet::from([first]),
        spoiled: BTreeSet::from([first]),
    };
    assert_eq!(bench.draft(twice, BTreeSet::new()), Err(first));
    let nowhere = Place { sheet: 1, ..first };
    assert_eq!(
        bench.draft(Marks::default(), BTreeSet::from([nowhere])),
        Err(nowhere)
    );
}

fn longpoint(folder: &Path, args: &[&str]) -> (Option<i32>, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .current_dir(folder)
        .args(args)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (
        output.status.code(),
        text(output.stdout),
        text(output.stderr),
    )
}

#[test]
fn a_marked_cut_list_and_cuts_named_on_the_command_line_say_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/spare/spare.toml");
    let job = job.to_str().unwrap();
    longpoint(folder.path(), &["plan", job, "--out", "made"]);
    let list = fs::read_to_string(folder.path().join("made/cut-list.csv")).unwrap();
    let mut lines = list.lines();
    let header = lines.next().unwrap();
    let state = header.split(',').position(|name| name == "state").unwrap();
    let mut marked = vec![header.to_owned()];
    let mut named: Vec<String> = Vec::new();
    for (idx, line) in lines.enumerate() {
        let mut fields: Vec<&str> = line.split(',').collect();
        let word = ["cut", "spoiled", "", ""][idx.min(3)];
        fields[state] = word;
        marked.push(fields.join(","));
        if !word.is_empty() {
            let option = if word == "cut" { "--done" } else { "--spoiled" };
            named.push(option.to_owned());
            named.push(format!(
                "{}#{}/{}:{}",
                fields[1], fields[2], fields[4], fields[5]
            ));
        }
    }
    fs::write(folder.path().join("marked.csv"), marked.join("\n")).unwrap();
    let plan = "made/plan.json";
    let (code, listed, errors) = longpoint(
        folder.path(),
        &[
            "replan",
            job,
            plan,
            "--marks",
            "marked.csv",
            "--out",
            "rest",
        ],
    );
    assert_eq!((code, errors.as_str()), (Some(0), ""));
    let mut args = vec!["replan", job, plan];
    args.extend(named.iter().map(String::as_str));
    let (_, typed, _) = longpoint(folder.path(), &args);
    assert_eq!(listed, typed);
    assert!(
        listed.contains("1 part cut and kept, 1 part spoiled"),
        "{listed}"
    );
    assert_eq!(
        fs::read_to_string(folder.path().join("rest/rest.txt")).unwrap(),
        listed
    );
    for line in listed.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    // A cut that is not there, and one that is marked twice.
    let (code, _, errors) = longpoint(
        folder.path(),
        &["replan", job, plan, "--spoiled", "cherry 6 ft#9:1"],
    );
    assert_eq!(code, Some(2));
    assert!(
        errors.contains("the plan has no cut 1 on strip 1 of `cherry 6 ft` #9\n"),
        "{errors}"
    );
    let (code, _, errors) = longpoint(
        folder.path(),
        &[
            "replan",
            job,
            plan,
            "--done",
            "maple 5 ft#1:1",
            "--spoiled",
            "maple 5 ft#1:1",
        ],
    );
    assert_eq!(code, Some(2));
    assert!(
        errors.contains("marked both as cut and as spoiled"),
        "{errors}"
    );
}

#[test]
fn the_demo_still_plans_to_what_it_is_replanned_from() {
    let folder = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/miscut");
    let job = demo.join("miscut.toml");
    longpoint(
        folder.path(),
        &["plan", job.to_str().unwrap(), "--out", "made"],
    );
    let read = |path: &Path| fs::read_to_string(path).unwrap();
    assert!(
        read(&folder.path().join("made/plan.json")) == read(&demo.join("plan.json")),
        "data/miscut/plan.json is not what the job plans to any more"
    );
    let made = read(&folder.path().join("made/cut-list.csv"));
    let state = made
        .lines()
        .next()
        .unwrap()
        .split(',')
        .position(|name| name == "state")
        .unwrap();
    for (made, marked) in made
        .lines()
        .zip(read(&demo.join("marked.csv")).lines())
        .skip(1)
    {
        let mut fields: Vec<&str> = marked.split(',').collect();
        fields[state] = "";
        assert_eq!(made, fields.join(","));
    }
}

#[test]
fn a_sheet_is_replanned_from_its_own_files_and_numbers_go_on() {
    let folder = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/miscut");
    let [job, plan, marks] = ["miscut.toml", "plan.json", "marked.csv"].map(|file| demo.join(file));
    let job = job.to_str().unwrap();
    let replan = |plan: &str, more: &[&str]| {
        let (code, text, errors) =
            longpoint(folder.path(), &[&["replan", job, plan], more].concat());
        assert_eq!((code, errors.as_str()), (Some(0), ""), "{text}");
        text
    };
    let marks = marks.to_str().unwrap();
    replan(plan.to_str().unwrap(), &["--marks", marks, "--out", "rest"]);
    // The same marks once more say nothing new, and no cut is left out or doubled.
    let text = replan("rest/rest.json", &["--marks", marks]);
    assert!(
        text.contains(
            "Sheet 3: 6 parts cut and kept, 2 parts spoiled; 18 cuts still to be made as"
        ),
        "{text}"
    );
    let (code, text, _) = longpoint(folder.path(), &["verify", job, "rest/rest.json"]);
    assert_eq!(code, Some(0), "{text}");
    assert!(
        text.contains("plan   1 board for 0.00 USD; 2 parts cut, 0 missing"),
        "{text}"
    );
    let list = fs::read_to_string(folder.path().join("rest/rest-cut-list.csv")).unwrap();
    assert_eq!(list.lines().count(), 1 + 18);
    // Derived: three cuts of the first sheet on that board, so the two of the second are the fourth and the fifth.
    assert!(
        list.contains("\nE,oak 8 ft,2,1,1,5,Fern #1 bottom,rail,"),
        "{list}"
    );
    let spoiled = [
        "--spoiled",
        "oak 8 ft#2:4",
        "--spoiled",
        "oak 7 ft#3:1-4",
        "--out",
        "again",
    ];
    let text = replan("rest/rest.json", &spoiled);
    // Derived: five boards were taken before, so one that is bought now is F.
    assert!(
        text.contains("Board F  oak 8 ft  96 in · oak cap"),
        "{text}"
    );
    let (code, _, errors) = longpoint(
        folder.path(),
        &["replan", job, "again/rest.json", "--done", "oak 8 ft#1:2"],
    );
    assert_eq!(code, Some(2));
    assert!(
        errors.contains("cut 2 on strip 1 of `oak 8 ft` #1 was marked otherwise before\n"),
        "{errors}"
    );
    // A file that somebody has tampered with is refused.
    let path = folder.path().join("again/rest.json");
    let file = fs::read_to_string(&path).unwrap();
    let at = file.rfind("\"spoiled\": [").unwrap();
    fs::write(
        &path,
        format!(
            "{}\"spoiled\": [[0, 99, 0, 0],{}",
            &file[..at],
            &file[at + 12..]
        ),
    )
    .unwrap();
    let (code, _, errors) = longpoint(folder.path(), &["replan", job, "again/rest.json"]);
    assert_eq!(code, Some(2));
    assert!(
        errors.contains("cut [0, 99, 0, 0] of a round was not to be made then"),
        "{errors}"
    );
}

#[test]
fn a_plan_with_sheets_of_glass_is_a_plan() {
    let folder = tempfile::tempdir().unwrap();
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/show/show.toml");
    let job = job.to_str().unwrap();
    longpoint(folder.path(), &["plan", job, "--out", "made"]);
    let (code, text, errors) = longpoint(
        folder.path(),
        &["replan", job, "made/plan.json", "--done", "ash 8 ft#1:1-2"],
    );
    assert_eq!((code, errors.as_str()), (Some(0), ""));
    assert!(
        text.contains("Sheet 2: 2 parts cut and kept, 0 parts spoiled;"),
        "{text}"
    );
    assert!(
        text.ends_with("There is nothing to plan: go on with the sheets before.\n"),
        "{text}"
    );
}

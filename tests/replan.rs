//! After a miscut: at any moment of any demo what is cut stays, no wood is used twice, and all parts are accounted for.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod disk;

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::OnceLock;
use std::time::{Duration, Instant};

use disk::Disk;
use longpoint::job::Job;
use longpoint::load::{Boards, load_job};
use longpoint::pipeline::plan;
use longpoint::plan::{Cut, Part, Plan, PlannedBoard, part_label};
use longpoint::replan::{Change, Marks, Place, Replanned, part_at, places, replan};
use longpoint::solve::Control;
use proptest::prelude::*;

const CONTROL: Control<'static> = Control {
    stop: &|| false,
    progress: &|_| {},
};

const DEMOS: [&str; 6] = ["rack", "knots", "spare", "show", "grain", "turned"];

/// The demo jobs with their plans, each planned once.
fn demo(idx: usize) -> &'static (Job, Plan) {
    static PLANNED: [OnceLock<(Job, Plan)>; DEMOS.len()] = [const { OnceLock::new() }; DEMOS.len()];
    PLANNED[idx].get_or_init(|| {
        let path = format!("data/{0}/{0}.toml", DEMOS[idx]);
        let (job, _) = load_job(Path::new(&path), &Disk, Boards::Needed).unwrap();
        let plan = plan(&job, &CONTROL).unwrap().plan;
        (job, plan)
    })
}

/// The first cuts of a plan are made, and of these some are spoiled.
fn marks(plan: &Plan, share: u32, spoiled: &[bool]) -> Marks {
    let all: Vec<Place> = places(plan).collect();
    let n_made = all.len() * usize::try_from(share).unwrap() / 100;
    let mut marks = Marks::default();
    for (idx, &place) in all[..n_made].iter().enumerate() {
        if spoiled[idx % spoiled.len()] {
            marks.spoiled.insert(place);
        } else {
            marks.done.insert(place);
        }
    }
    marks
}

/// What a part is called in the rest: rails have names of their own, pieces that of their line.
fn name(job: &Job, part: Part) -> String {
    match part {
        Part::Rail { .. } => part_label(job, part),
        Part::Loose { piece_idx, .. } => job.pieces[piece_idx].name.clone(),
    }
}

/// How often each name stands among all parts of a plan.
fn counted(names: impl Iterator<Item = String>) -> BTreeMap<String, usize> {
    let mut counts = BTreeMap::new();
    for name in names {
        *counts.entry(name).or_default() += 1;
    }
    counts
}

/// The kerf at 45 degrees or square, whichever the saw takes less of: two cuts are never nearer, but where rails share a
/// slanting cut.
fn least_kerf(job: &Job) -> i64 {
    job.shop.kerf.nm()
}

fn hold(job: &Job, old: &Plan, marks: &Marks, rest: &Replanned) -> Result<(), TestCaseError> {
    let new = &rest.planned.plan;
    // Every part is done, stays, is cut anew or named as missing.
    let all = counted(
        places(old)
            .map(|place| name(job, part_at(old, place)))
            .chain(old.missing.iter().map(|&part| name(job, part))),
    );
    let now = counted(
        rest.done
            .iter()
            .map(|&part| name(job, part))
            .chain(rest.from_spares.iter().map(|&(part, _)| name(job, part)))
            .chain(
                rest.kept
                    .iter()
                    .map(|&place| name(job, part_at(old, place))),
            )
            .chain(
                new.boards
                    .iter()
                    .flat_map(PlannedBoard::cuts)
                    .map(|cut| name(&rest.job, cut.part)),
            )
            .chain(new.missing.iter().map(|&part| name(&rest.job, part))),
    );
    prop_assert_eq!(all, now);
    prop_assert_eq!(rest.done.len(), marks.done.len());
    for place in &rest.kept {
        prop_assert!(!marks.is_made(*place));
    }
    // No wood is used twice: on each strip what was made, what stays and what is new lie apart.
    for (board, planned) in new.boards.iter().map(|board| (board.board_idx, board)) {
        let Some(source) = rest.sources[board] else {
            continue;
        };
        let is_taken = |place: &Place| marks.is_made(*place) || rest.kept.contains(place);
        let Some(strip) = source.strip else {
            prop_assert!(
                places(old)
                    .filter(|place| place.board == source.board)
                    .all(|place| !is_taken(&place))
            );
            continue;
        };
        let taken: Vec<&Cut> = places(old)
            .filter(|place| (place.board, place.strip) == (source.board, strip))
            .filter(is_taken)
            .map(|place| &old.boards[place.board].strips[place.strip].cuts[place.cut])
            .collect();
        for cut in planned.cuts() {
            for other in &taken {
                let apart = (cut.from - other.to).nm().max((other.from - cut.to).nm());
                prop_assert!(apart >= least_kerf(job), "{cut:?} {other:?}");
            }
        }
    }
    // No board is used twice, and no more are bought than there are.
    let mut used: BTreeMap<&str, u32> = BTreeMap::new();
    for board in &old.boards {
        *used.entry(&job.boards[board.board_idx].name).or_default() += 1;
    }
    for board in &new.boards {
        if rest.sources[board.board_idx].is_none() {
            *used
                .entry(&rest.job.boards[board.board_idx].name)
                .or_default() += 1;
        } else {
            prop_assert_eq!(board.number, 1);
        }
    }
    for board in &job.boards {
        if let Some(quantity) = board.quantity {
            prop_assert!(
                used.get(board.name.as_str())
                    .is_none_or(|&used| used <= quantity)
            );
        }
    }
    if rest.change == Change::Nothing {
        let n_open = places(old).filter(|place| !marks.is_made(*place)).count();
        prop_assert_eq!(rest.kept.len(), n_open);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(30))]

    #[test]
    fn at_any_moment_of_any_demo_the_rest_can_be_planned(
        demo_idx in 0..DEMOS.len(),
        share in 0_u32..=100,
        spoiled in prop::collection::vec(prop::bool::weighted(0.12), 7..30),
    ) {
        let (job, old) = demo(demo_idx);
        let marks = marks(old, share, &spoiled);
        // A plan that is stopped keeps to all of this too.
        let start = Instant::now();
        let control = Control {
            stop: &|| start.elapsed() > Duration::from_millis(150),
            progress: &|_| {},
        };
        let rest = replan(job, old, &marks, &control).unwrap();
        hold(job, old, &marks, &rest)?;
        // Boards of the demos that can be bought are never too few but where the job says so.
        if marks.spoiled.is_empty() {
            prop_assert!(rest.planned.plan.missing.is_empty());
            prop_assert_eq!(rest.planned.plan.value, 0);
            prop_assert_eq!(rest.change, Change::Nothing);
        }
    }
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
                fields[0], fields[1], fields[3], fields[4]
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
        listed.contains("1 part cut and kept, 1 rail spoiled"),
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
    assert_eq!(
        errors,
        "error: the plan has no cut 1 on strip 1 of `cherry 6 ft` #9\n"
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

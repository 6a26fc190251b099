//! A shop with its jobs: what it lends them, and its rack from one job to the next.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::command::{longpoint, text};
use crate::disk::Disk;
use crate::texts::Texts;
use longpoint::job::Job;
use longpoint::length::{Length, Unit};
use longpoint::load::{Boards, load_job};

/// What the command prints; it must end well and have no word of warning.
fn run(folder: &Path, args: &[&str]) -> String {
    let output = longpoint(folder, args);
    assert_eq!(text(&output.stderr), "", "{args:?}");
    assert_eq!(output.status.code(), Some(0), "{args:?}");
    text(&output.stdout)
}

/// What the command complains of, with exit code 2.
fn refused(folder: &Path, args: &[&str]) -> String {
    let output = longpoint(folder, args);
    assert_eq!(output.status.code(), Some(2), "{args:?}");
    assert_eq!(text(&output.stdout), "", "{args:?}");
    text(&output.stderr)
}

/// A copy of the demo of a shop.
fn shop() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/shop");
    for name in [
        "shop.toml",
        "yard.csv",
        "rack.csv",
        "week-1/job.toml",
        "week-2/job.toml",
    ] {
        let to = folder.path().join(name);
        fs::create_dir_all(to.parent().unwrap()).unwrap();
        fs::copy(from.join(name), to).unwrap();
    }
    let path = folder.path().to_owned();
    (folder, path)
}

/// All pieces on the rack end to end, in nanometers, and their names.
fn on_rack(folder: &Path) -> (i64, Vec<String>) {
    let job = folder.join("week-1/job.toml");
    let (job, _) = load_job(&job, &Disk, Boards::Needed).unwrap();
    let pieces: Vec<_> = job
        .boards
        .iter()
        .filter(|board| board.in_hand.is_some())
        .collect();
    let total = pieces
        .iter()
        .map(|board| board.length.nm() * i64::from(board.quantity.unwrap()));
    let names = pieces.iter().map(|board| board.name.clone());
    (total.sum(), names.collect())
}

fn nm(value: &Value) -> i64 {
    value.as_i64().unwrap()
}

/// What a plan buys, what its parts take, and what is lost: trims, kerfs, and ends that are not kept.
fn bought_used_lost(plan: &Value) -> (i64, i64, i64) {
    let trim = nm(&plan["settings"]["end_trim_nm"]);
    let (mut bought, mut used, mut lost) = (0, 0, 0);
    for (position, board) in plan["boards"].as_array().unwrap().iter().enumerate() {
        let length = nm(&board["length_nm"]);
        if board["from_rack"] == false {
            bought += length;
        }
        let mut at = 0;
        for cut in board["cuts"].as_array().unwrap() {
            lost += nm(&cut["from_nm"]) - at;
            used += nm(&cut["to_nm"]) - nm(&cut["from_nm"]);
            at = nm(&cut["to_nm"]);
        }
        let strip = &board["strips"][0];
        if strip["offcut_kept"] == true {
            // The kerf of the last cut is lost; the raw end's trim stays on what is kept.
            lost += length - trim - nm(&strip["offcut_nm"]) - at;
        } else {
            lost += length - at;
        }
        let kept = plan["offcuts"].as_array().unwrap().iter();
        let kept = kept.filter(|offcut| offcut["board"] == position).count();
        assert_eq!(kept == 1, strip["offcut_kept"] == true);
    }
    (bought, used, lost)
}

#[test]
fn over_two_weeks_each_job_begins_from_the_rack_that_the_one_before_has_left() {
    let (_kept, shop) = shop();
    let first_rack = fs::read_to_string(shop.join("rack.csv")).unwrap();
    let mut left_by_week_1 = Vec::new();
    for (week, taken, added) in [("week-1", 0, 1), ("week-2", 3, 2)] {
        let job = format!("{week}/job.toml");
        let (before, names) = on_rack(&shop);
        let out = format!("{week}/done");
        let printed = run(&shop, &["plan", &job, "--out", &out]);
        assert!(printed.contains("PROVED BEST"), "{printed}");
        for line in printed.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        let file = format!("{out}/plan.json");
        run(&shop, &["verify", &job, &file]);
        let plan: Value = serde_json::from_slice(&fs::read(shop.join(&file)).unwrap()).unwrap();
        // The rack is as it was until the job is cut.
        assert_eq!(on_rack(&shop), (before, names.clone()));
        let kept = if week == "week-1" { 1 } else { 2 };
        assert_eq!(
            run(&shop, &["stow", &job, &file]),
            format!(
                "rack.csv: {taken} taken off, {added} put on\nthe rack before is kept as `./kept-{kept}-rack.csv`\n"
            )
        );
        let (after, names_after) = on_rack(&shop);
        // To the nanometer.
        let (bought, used, lost) = bought_used_lost(&plan);
        assert_eq!(before + bought, used + lost + after);
        if week == "week-1" {
            left_by_week_1 = names_after
                .iter()
                .filter(|name| !names.contains(name))
                .cloned()
                .collect();
            let kept = fs::read_to_string(shop.join("kept-1-rack.csv")).unwrap();
            assert_eq!(kept, first_rack);
        } else {
            let from_rack = plan["boards"].as_array().unwrap().iter();
            let from_rack = from_rack.filter(|board| board["from_rack"] == true);
            let from_rack: Vec<&str> = from_rack
                .map(|board| board["name"].as_str().unwrap())
                .collect();
            // The second week cuts what the first has left, and says so.
            assert!(!left_by_week_1.is_empty());
            for name in &left_by_week_1 {
                assert!(from_rack.contains(&&**name), "{from_rack:?}");
            }
            assert!(printed.contains("left by Week 1"), "{printed}");
        }
        // Nothing is put there twice.
        let twice = refused(&shop, &["stow", &job, &file]);
        assert!(
            twice.contains("it was not planned from what lies in rack.csv now"),
            "{twice}"
        );
        assert_eq!(on_rack(&shop), (after, names_after));
        // What is on the rack already is not put there by the bench as well.
        let again = refused(&shop, &["replan", &job, &file]);
        assert!(again.contains("this very job has left"), "{again}");
    }
}

#[test]
fn a_rack_that_was_changed_since_the_plan_is_left_alone() {
    let (_kept, shop) = shop();
    run(&shop, &["plan", "week-2/job.toml", "--out", "done"]);
    let rack = fs::read_to_string(shop.join("rack.csv")).unwrap();
    let fewer: String = rack
        .lines()
        .filter(|line| !line.starts_with("offcut 6"))
        .fold(String::new(), |text, line| text + line + "\n");
    fs::write(shop.join("rack.csv"), &fewer).unwrap();
    refused(&shop, &["stow", "week-2/job.toml", "done/plan.json"]);
    assert_eq!(fs::read_to_string(shop.join("rack.csv")).unwrap(), fewer);
    assert!(!shop.join("kept-1-rack.csv").exists());
    fs::write(shop.join("rack.csv"), &rack).unwrap();
    run(&shop, &["stow", "week-2/job.toml", "done/plan.json"]);
}

#[test]
fn a_rack_that_is_no_table_of_its_own_cannot_be_put_in_order() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let parts =
        "[[pieces]]\npiece = \"bar\"\nlength = 10\n[[boards]]\nboard = \"lath\"\nlength = 40\n";
    let write = |rack: &str| fs::write(at.join("job.toml"), format!("{rack}{parts}")).unwrap();
    write("");
    run(at, &["plan", "job.toml", "--out", "done"]);
    let said = refused(at, &["stow", "job.toml", "done/plan.json"]);
    assert_eq!(
        said,
        "error: neither the job nor its shop names a rack\nhint: write `rack = \"rack.csv\"` into the shop, or the job,\n\
         and all pieces into that table;\nits first row names the columns, such as `board,length`\n"
    );
    write("[[rack]]\nboard = \"end\"\nlength = 3\n");
    let said = refused(at, &["stow", "job.toml", "done/plan.json"]);
    assert!(said.starts_with("error: the rack does not stand in one table of its own\n"));
    // An empty table is a rack.
    fs::write(at.join("rack.csv"), "board,length\n").unwrap();
    write("rack = \"rack.csv\"\n");
    run(at, &["plan", "job.toml", "--out", "done"]);
    run(at, &["stow", "job.toml", "done/plan.json"]);
    let rack = fs::read_to_string(at.join("rack.csv")).unwrap();
    assert!(rack.contains("\noffcut 1,29 3/8 in,1,"), "{rack}");
}

#[test]
fn what_is_put_on_the_rack_by_a_bench_is_counted_in_full() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let job = "rack = \"rack.csv\"\n[saw]\nend-trim = 0\n\
               [rip]\nkerf = \"1/8\"\nnarrowest-offcut = 1\n\
               [[pieces]]\npiece = \"bar\"\nlength = 40\nwidth = 2\nquantity = 2\n\
               [[boards]]\nboard = \"oak\"\nlength = 60\nwidth = 8\nprice = 30\n";
    fs::write(at.join("job.toml"), job).unwrap();
    fs::write(
        at.join("rack.csv"),
        "board,length,width,quantity,value\nslip,30,2,1,1\nstub,14,2,3,1\n",
    )
    .unwrap();
    run(at, &["plan", "job.toml", "--out", "done"]);
    // A bar is spoiled but for 15 in of it, which go on the rack, and is cut again from the edge of the board.
    let made = ["--spoiled", "A1:1=15"];
    let plan = ["replan", "job.toml", "done/plan.json", "--out", "rest"];
    run(at, &[&plan[..], &made[..]].concat());
    let pieces = |rack: &str| -> u32 {
        let rows = rack.lines().skip(1);
        let quantity = |row: &str| row.split(',').nth(3).unwrap().parse::<u32>().unwrap();
        rows.map(quantity).sum()
    };
    let said = run(at, &["stow", "job.toml", "rest/rest.json"]);
    let after = fs::read_to_string(at.join("rack.csv")).unwrap();
    let named = after
        .lines()
        .next()
        .unwrap()
        .split(',')
        .position(|name| name == "quantity");
    let quantity = |row: &str| {
        row.split(',')
            .nth(named.unwrap())
            .unwrap()
            .parse::<u32>()
            .unwrap()
    };
    let n_after: u32 = after.lines().skip(1).map(quantity).sum();
    let words: Vec<&str> = said.split_whitespace().collect();
    let (taken, added): (u32, u32) = (words[1].parse().unwrap(), words[4].parse().unwrap());
    let before = pieces("board,length,width,quantity,value\nslip,30,2,1,1\nstub,14,2,3,1\n");
    assert_eq!(n_after, before - taken + added, "{said}{after}");
    assert!(
        after.contains(",15,") || after.contains(",15 in,"),
        "{after}"
    );
}

/// The job of a folder below a shop.
fn job_in(shop: &str, job: &str, more: &[(&'static str, &str)]) -> Result<Job, String> {
    let mut texts = Texts::from([
        ("jobs/shop.toml", shop.to_owned()),
        (
            "jobs/one/job.toml",
            format!("shop-file = \"../shop.toml\"\n{job}"),
        ),
    ]);
    for (path, text) in more {
        texts.0.insert(path, (*text).to_owned());
    }
    load_job(Path::new("jobs/one/job.toml"), &texts, Boards::Needed)
        .map(|(job, _)| job)
        .map_err(|faults| faults.iter().map(|fault| format!("{fault}\n")).collect())
}

#[test]
fn what_the_job_says_goes_before_what_its_shop_says() {
    let shop = "unit = \"in\"\nrounding = \"1/16\"\ncurrency = \"USD\"\nboards = \"yard.csv\"\nrack = \"rack.csv\"\n\
                [saw]\nkerf = \"1/4\"\nend-trim = 1\n[rip]\nkerf = \"3/16\"\n\
                [[mouldings]]\nname = \"cap\"\nface-width = 2\nlip = 0\n[[mouldings]]\nname = \"cove\"\nface-width = 3\n";
    let job = "unit = \"mm\"\nrounding = \"0.1 mm\"\nrack = \"rack.csv\"\n\
               [saw]\nkerf = 3\n[rip]\nplaning = 2\n\
               [[mouldings]]\nname = \"cap\"\nface-width = 40\nlip = 5\n\
               [[boards]]\nboard = \"long\"\nlength = 3000\nwidth = 90\n\
               [[frames]]\nframe = \"A\"\nmoulding = \"cove\"\nart-width = 200\nart-height = 300\n";
    let tables = [
        (
            "jobs/yard.csv",
            "board,length,price\nlong,96,10\nshort,48,4/96\n",
        ),
        ("jobs/rack.csv", "board,length\nof the shop,50\n"),
        ("jobs/one/rack.csv", "board,length\nof the job,500\n"),
    ];
    let job = job_in(shop, job, &tables).unwrap();
    assert_eq!(job.display.unit, Unit::Millimeter);
    assert_eq!(job.display.currency.code, "USD");
    let mm = |length: i64| Length::MILLIMETRE * length;
    assert_eq!((job.shop.kerf, job.shop.end_trim), (mm(3), Length::INCH));
    let rip = job.shop.rip.unwrap();
    assert_eq!(
        (rip.kerf.nm(), rip.planing),
        (Length::INCH.nm() / 16 * 3, mm(2))
    );
    let mouldings: Vec<_> = job
        .mouldings
        .iter()
        .map(|moulding| (&*moulding.name, moulding.face_width))
        .collect();
    assert_eq!(mouldings, [("cap", mm(40)), ("cove", Length::INCH * 3)]);
    // Bare numbers are in the unit of their own file, also behind a stroke.
    let boards: Vec<_> = job
        .boards
        .iter()
        .map(|board| (&*board.name, board.length))
        .collect();
    assert_eq!(
        boards,
        [
            ("long", mm(3000)),
            ("short", Length::INCH * 48),
            ("of the job", mm(500)),
            ("of the shop", Length::INCH * 50),
        ]
    );
    assert_eq!(
        longpoint::stock::board_cost(&job.boards[1])
            .unwrap()
            .unwrap()
            .minor(),
        200
    );
}

#[test]
fn faults_of_a_shop_are_told_at_their_place_in_its_files() {
    let parts = "[[pieces]]\npiece = \"bar\"\nlength = 10\n";
    let said = job_in(
        "boards = \"yard.csv\"\n[saw]\nkerf = \"wide\"\n",
        parts,
        &[("jobs/yard.csv", "board,length\nlath,long\n")],
    );
    let said = said.unwrap_err();
    assert!(said.contains("jobs/shop.toml, line 3"), "{said}");
    assert!(said.contains("jobs/yard.csv"), "{said}");
    let job = format!("currency = \"EUR\"\ncurrency-decimals = 2\n{parts}");
    let said = job_in(
        "currency = \"USD\"\nboards = \"yard.csv\"\n",
        &job,
        &[("jobs/yard.csv", "board,length\nlath,40\n")],
    );
    let said = said.unwrap_err();
    assert!(
        said.contains("`currency` is `EUR` here and `USD` in the shop"),
        "{said}"
    );
    // A rounding of inches does not go with millimeters.
    let job = format!("unit = \"mm\"\n{parts}");
    let shop = "rounding = \"1/16\"\n[[boards]]\nboard = \"lath\"\nlength = 40\n";
    assert_eq!(
        job_in(shop, &job, &[]).unwrap().display.step,
        Length::from_nm(500_000)
    );
}

#[test]
fn one_profile_in_several_woods_is_a_moulding_for_each() {
    let shop = "[[mouldings]]\nname = \"cap\"\nface-width = 2\nwoods = [\"walnut\", \"ash\"]\n\
                [[mouldings]]\nname = \"sole\"\nface-width = 2\nwoods = [\"oak\"]\n\
                [[boards]]\nboard = \"lath\"\nlength = 96\n";
    let frame = |name: &str, rest: &str| {
        format!("[[frames]]\nframe = \"{name}\"\nart-width = 9\nart-height = 9\n{rest}\n")
    };
    let job = frame("A", "moulding = \"cap\"\nwood = \"ash\"")
        + &frame("B", "moulding = \"cap\"\nwood = \"Walnut\"")
        + &frame("C", "moulding = \"sole\"")
        + "[[pieces]]\npiece = \"p\"\nlength = 9\nmoulding = \"cap\"\nwood = \"ash\"\n";
    let job = job_in(shop, &job, &[]).unwrap();
    let mouldings: Vec<_> = job
        .mouldings
        .iter()
        .map(|one| (&*one.name, &*one.profile, one.material.as_deref()))
        .collect();
    assert_eq!(
        mouldings,
        [
            ("walnut cap", "cap", Some("walnut")),
            ("ash cap", "cap", Some("ash")),
            ("oak sole", "sole", Some("oak")),
        ]
    );
    let of_frames: Vec<usize> = job.frames.iter().map(|frame| frame.moulding_idx).collect();
    assert_eq!(of_frames, [1, 0, 2]);
    assert_eq!(job.pieces[0].moulding_idx, Some(1));
    // A moulding by itself may not have the name that a profile gets with a wood.
    let twice = "[[mouldings]]\nname = \"ash cap\"\nface-width = 2\n";
    let said = job_in(shop, &(frame("A", "moulding = \"sole\"") + twice), &[]).unwrap_err();
    assert!(said.contains("two mouldings are named `ash cap`"), "{said}");
}

#[test]
fn a_job_reads_of_its_shop_just_that_and_its_tables() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let write = |name: &str, text: &str| {
        let path = at.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    };
    let parts = "[[pieces]]\npiece = \"bar\"\nlength = 10\n";
    write("outside.csv", "board,length\nsecret,40\n");
    write("shop/yard/list.csv", "board,length\nlath,40\n");
    write("shop/shop.toml", "boards = \"yard/list.csv\"\n");
    let job = format!("shop-file = \"../shop.toml\"\n{parts}");
    write("shop/one/job.toml", &job);
    run(at, &["check", "shop/one/job.toml"]);
    run(&at.join("shop/one"), &["check", "job.toml"]);
    // The job's own tables are still below its own folder.
    write(
        "shop/one/job.toml",
        &format!("boards = \"../yard/list.csv\"\n{job}"),
    );
    let said = refused(at, &["check", "shop/one/job.toml"]);
    assert!(said.contains("guide: E025"), "{said}");
    // And the shop's below that of the shop.
    write("shop/one/job.toml", &job);
    write("shop/shop.toml", "boards = \"../outside.csv\"\n");
    let said = refused(at, &["check", "shop/one/job.toml"]);
    assert!(
        said.contains("guide: E025") && !said.contains("secret"),
        "{said}"
    );
    run(at, &["check", "shop/one/job.toml", "--tables-anywhere"]);
    // A file of the shop is never written over.
    write("shop/shop.toml", "boards = \"yard/cut-list.csv\"\n");
    write("shop/yard/cut-list.csv", "board,length\nlath,40\n");
    let said = refused(at, &["plan", "shop/one/job.toml", "--out", "shop/yard"]);
    assert!(said.contains("is read by this job"), "{said}");
    // A link does not lead out.
    #[cfg(unix)]
    {
        write(
            "elsewhere/shop.toml",
            "[[boards]]\nboard = \"secret\"\nlength = 40\n",
        );
        fs::remove_file(at.join("shop/shop.toml")).unwrap();
        std::os::unix::fs::symlink("../elsewhere/shop.toml", at.join("shop/shop.toml")).unwrap();
        let said = refused(at, &["check", "shop/one/job.toml"]);
        assert!(
            said.contains("guide: E025") && !said.contains("secret"),
            "{said}"
        );
    }
}

#[test]
fn the_rack_of_sheets_is_put_in_order_with_that_of_boards_or_alone() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let rest = "currency = \"USD\"\n[[mouldings]]\nname = \"flat\"\nface-width = 1\n\
                [[frames]]\nframe = \"Heron\"\nart-width = 20\nart-height = 16\nglazing = \"glass\"\n\
                [[frames]]\nframe = \"Tern\"\nart-width = 10\nart-height = 8\nglazing = \"glass\"\n\
                [[boards]]\nboard = \"slat\"\nlength = 120\nprice = 9\n\
                [[sheets]]\nname = \"glass\"\nuse = \"glazing\"\nthickness = \"3/32\"\nwidth = 32\nheight = 40\nprice = 18\n";
    let write = |head: &str| fs::write(at.join("job.toml"), format!("{head}{rest}")).unwrap();
    let sheets = "label,sheet,width,height\nG7,glass,12,10\n";
    fs::write(at.join("sheets.csv"), sheets).unwrap();
    fs::write(at.join("rack.csv"), "board,length\n").unwrap();
    write("rack = \"rack.csv\"\nsheet-rack = \"sheets.csv\"\n");
    run(at, &["plan", "job.toml", "--out", "done"]);
    let said = run(at, &["stow", "job.toml", "done/plan.json"]);
    // Derived: of 120 in 4 rails of 22 and 18, and 4 of 12 and 10, leave nothing that is long enough but an end.
    let mut lines = said.lines();
    assert!(lines.next().unwrap().starts_with("rack.csv: 0 taken off, "));
    assert!(
        lines
            .next()
            .unwrap()
            .starts_with("sheets.csv: 1 taken off, 2 put on"),
        "{said}"
    );
    assert_eq!(
        lines.next(),
        Some("the racks before are kept as `./kept-1-rack.csv`, `./kept-1-sheets.csv`")
    );
    let kept = fs::read_to_string(at.join("kept-1-sheets.csv")).unwrap();
    assert_eq!(kept, sheets);
    let after = fs::read_to_string(at.join("sheets.csv")).unwrap();
    // What was cut is gone; 20 x 16 of 32 x 40 leaves 32 x 24 and 12 x 16, or 12 x 40 and 20 x 24.
    assert!(
        !after.contains("G7") && after.lines().count() == 3,
        "{after}"
    );
    // It is there now, and is not put there twice.
    let twice = refused(at, &["stow", "job.toml", "done/plan.json"]);
    let words = twice.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("it was not planned from what lies in rack.csv and sheets.csv now"),
        "{twice}"
    );
    // A shop without boards on a rack has its sheets put in order.
    fs::write(at.join("sheets.csv"), sheets).unwrap();
    write("sheet-rack = \"sheets.csv\"\n");
    run(at, &["plan", "job.toml", "--out", "alone"]);
    let said = run(at, &["stow", "job.toml", "alone/plan.json"]);
    assert!(
        said.starts_with("sheets.csv: 1 taken off, 2 put on\nthe rack before is kept as"),
        "{said}"
    );
    // One whose sheets lie nowhere is told what is left to it.
    write("title = \"Second\"\nrack = \"rack.csv\"\n");
    run(at, &["plan", "job.toml", "--out", "boards"]);
    let said = run(at, &["stow", "job.toml", "boards/plan.json"]);
    assert!(
        said.contains("of sheet goods 0 to take off and ")
            && said.contains("names a rack of sheets"),
        "{said}"
    );
    // Of two racks none is written where one has changed.
    fs::write(at.join("sheets.csv"), sheets).unwrap();
    write("title = \"Third\"\nrack = \"rack.csv\"\nsheet-rack = \"sheets.csv\"\n");
    run(at, &["plan", "job.toml", "--out", "both"]);
    let before = fs::read_to_string(at.join("rack.csv")).unwrap();
    fs::write(at.join("sheets.csv"), sheets.replace("12,10", "13,10")).unwrap();
    refused(at, &["stow", "job.toml", "both/plan.json"]);
    assert_eq!(fs::read_to_string(at.join("rack.csv")).unwrap(), before);
}

/// A plan that was cut comes to the rack, and is taken back, whatever boards cost since; another job than it was planned for is
/// named as that.
#[test]
fn what_is_on_sale_may_change_until_a_plan_is_on_the_rack() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let write = |name: &str, text: &str| fs::write(at.join(name), text).unwrap();
    let job = |kerf: &str| {
        let job = format!(
            "rack = \"rack.csv\"\npieces = \"pieces.csv\"\nboards = \"boards.csv\"\n[saw]\nkerf = \"{kerf}\"\n"
        );
        write("job.toml", &job);
    };
    let rack = "board,length,value\nend,12,1\n";
    let (boards, dearer) = (
        "board,length,price\nlath,40,9\n",
        "board,length,price\nlath,40,11\npole,80,20\n",
    );
    let (pieces, more) = (
        "piece,length,quantity\nbar,10,2\n",
        "piece,length,quantity\nbar,10,3\n",
    );
    job("1/8");
    write("rack.csv", rack);
    write("boards.csv", boards);
    write("pieces.csv", pieces);
    run(at, &["plan", "job.toml", "--out", "done"]);
    let stow = ["stow", "job.toml", "done/plan.json"];
    let undo = ["stow", "job.toml", "done/plan.json", "--undo"];
    let changed = |args: &[&str]| {
        write("pieces.csv", more);
        let of_parts = refused(at, args);
        assert!(
            of_parts.contains("frames, pieces or mouldings of the job were changed since"),
            "{of_parts}"
        );
        write("pieces.csv", pieces);
        job("1/4");
        let of_settings = refused(at, args);
        assert!(
            of_settings.contains("settings of the job or of its shop were changed since"),
            "{of_settings}"
        );
        job("1/8");
        for line in of_parts.lines().chain(of_settings.lines()) {
            assert!(line.chars().count() <= 80, "{line}");
        }
    };
    changed(&stow);
    write("boards.csv", dearer);
    run(at, &stow);
    assert_ne!(fs::read_to_string(at.join("rack.csv")).unwrap(), rack);
    changed(&undo);
    run(at, &undo);
    assert_eq!(fs::read_to_string(at.join("rack.csv")).unwrap(), rack);
}

/// What was put on the rack is taken back to the byte, once, and can be put there again; not where the rack has changed since.
#[test]
fn what_was_put_on_the_rack_by_mistake_is_taken_back() {
    let (_kept, shop) = shop();
    let rack = || fs::read_to_string(shop.join("rack.csv")).unwrap();
    let before = rack();
    let (job, plan) = ("week-2/job.toml", "done/plan.json");
    run(&shop, &["plan", job, "--out", "done"]);
    let not_there = "is not what this plan has left there";
    assert!(refused(&shop, &["stow", job, plan, "--undo"]).contains(not_there));
    run(&shop, &["stow", job, plan]);
    let after = rack();
    assert_ne!(before, after);
    // Two at once: one takes it back, the other finds nothing to take back.
    let both: Vec<_> = std::thread::scope(|scope| {
        let one = || longpoint(&shop, &["stow", job, plan, "--undo"]);
        let all = [scope.spawn(one), scope.spawn(one)];
        all.map(|one| one.join().unwrap()).into_iter().collect()
    });
    let well = both.iter().filter(|told| told.status.code() == Some(0));
    assert_eq!(well.count(), 1);
    assert_eq!(rack(), before);
    // Nothing is lost: what lay there is kept.
    let names = fs::read_dir(&shop).unwrap();
    let kept = names.filter_map(|entry| fs::read_to_string(entry.unwrap().path()).ok());
    assert_eq!(kept.filter(|text| *text == after).count(), 1);
    run(&shop, &["stow", job, plan]);
    assert_eq!(rack(), after);
    // A rack that was changed since is left alone.
    let rows: Vec<&str> = after.lines().collect();
    let changed = rows[..rows.len() - 1].join("\n") + "\n";
    fs::write(shop.join("rack.csv"), &changed).unwrap();
    assert!(refused(&shop, &["stow", job, plan, "--undo"]).contains(not_there));
    assert_eq!(rack(), changed);
    // So is one whose job has changed.
    fs::write(shop.join("rack.csv"), &after).unwrap();
    let text = fs::read_to_string(shop.join(job)).unwrap();
    fs::write(shop.join(job), format!("{text}[saw]\nkerf = \"3/32\"\n")).unwrap();
    let told = refused(&shop, &["stow", job, plan, "--undo"]);
    assert!(
        told.contains("settings of the job or of its shop were changed since"),
        "{told}"
    );
    assert_eq!(rack(), after);
}

/// Boards and sheets go back together; and a job whose only wood was on the rack can be taken back as well.
#[test]
fn both_racks_are_taken_back_together() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let job = "rack = \"rack.csv\"\nsheet-rack = \"sheets.csv\"\n[[mouldings]]\nname = \"flat\"\nface-width = 1\n\
               [[frames]]\nframe = \"Tern\"\nart-width = 10\nart-height = 8\nglazing = \"glass\"\n\
               [[sheets]]\nname = \"glass\"\nuse = \"glazing\"\nthickness = \"3/32\"\nwidth = 32\nheight = 40\nprice = 18\n";
    let (rack, sheets) = (
        "board,length\nlong,46\n",
        "label,sheet,width,height\nG7,glass,12,10\n",
    );
    fs::write(at.join("job.toml"), job).unwrap();
    fs::write(at.join("rack.csv"), rack).unwrap();
    fs::write(at.join("sheets.csv"), sheets).unwrap();
    run(at, &["plan", "job.toml", "--out", "done"]);
    run(at, &["stow", "job.toml", "done/plan.json"]);
    // Now there is no board any more that is long enough.
    refused(at, &["check", "job.toml"]);
    let said = run(at, &["stow", "job.toml", "done/plan.json", "--undo"]);
    assert_eq!(
        said,
        "rack.csv: as it was before\nsheets.csv: as it was before\n\
         what lay there is kept as `./kept-2-rack.csv`, `./kept-2-sheets.csv`\n"
    );
    let read = |name: &str| fs::read_to_string(at.join(name)).unwrap();
    assert_eq!(
        (read("rack.csv").as_str(), read("sheets.csv").as_str()),
        (rack, sheets)
    );
}

/// Once a plan is on the rack, that is not what it was planned from, and nothing else is another.
#[test]
fn a_plan_that_was_stowed_is_verified_by_the_rack_as_it_was() {
    let (_kept, shop) = shop();
    let (job, out, file) = ("week-1/job.toml", "week-1/done", "week-1/done/plan.json");
    run(&shop, &["plan", job, "--out", out]);
    run(&shop, &["stow", job, file]);
    let verify = || {
        let output = longpoint(&shop, &["verify", job, file]);
        (output.status.code(), text(&output.stdout))
    };
    let (code, said) = verify();
    assert_eq!(code, Some(1), "{said}");
    let head = "THE PLAN ITSELF HOLDS, BUT THE RACK HAS CHANGED SINCE\n";
    assert!(said.starts_with(head), "{said}");
    assert!(
        said.contains("the job has put `offcut 7` on it, as `stow` does"),
        "{said}"
    );
    let end = "so     for the rack as it was then the plan is proved best\n";
    assert!(said.ends_with(end), "{said}");
    assert!(!said.contains("besides"), "{said}");
    // Nothing is planned here, so that the job's own pieces lie there is as it should be.
    let quiet = longpoint(&shop, &["verify", job, file]);
    assert_eq!(text(&quiet.stderr), "");
    let refused = longpoint(&shop, &["stow", job, file]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        !text(&refused.stderr).contains("W212"),
        "{}",
        text(&refused.stderr)
    );
    // What was changed by hand is told apart from what was stowed.
    let stowed = fs::read_to_string(shop.join("rack.csv")).unwrap();
    let head: Vec<&str> = stowed.lines().next().unwrap().split(',').collect();
    let cells = head.iter().map(|column| match *column {
        "board" => "found one",
        "length" => "20",
        _ => "",
    });
    let row = cells.collect::<Vec<_>>().join(",");
    let mut lines: Vec<&str> = stowed.lines().collect();
    let gone = lines.remove(1).split(',').next().unwrap();
    let edited = format!("{}\n{row}\n", lines.join("\n"));
    fs::write(shop.join("rack.csv"), edited).unwrap();
    let (_, by_hand) = verify();
    let words = by_hand.split_whitespace().collect::<Vec<_>>().join(" ");
    let told = format!("it was changed besides: `found one` is new, `{gone}` is gone");
    assert!(words.contains(&told), "{by_hand}");
    fs::write(shop.join("rack.csv"), &stowed).unwrap();
    assert!(
        said.lines().all(|line| line.chars().count() <= 80),
        "{said}"
    );
    // All else is checked: a cut that lies elsewhere, and a job that is another as well.
    let sound = fs::read_to_string(shop.join(file)).unwrap();
    let mut forged: Value = serde_json::from_str(&sound).unwrap();
    let from = &mut forged["boards"][0]["cuts"][1]["from_nm"];
    *from = (nm(from) + 1).into();
    fs::write(shop.join(file), forged.to_string()).unwrap();
    let (code, said) = verify();
    assert_eq!(code, Some(1), "{said}");
    assert!(said.starts_with("NOT ALL OF IT HOLDS\n"), "{said}");
    assert!(said.contains("the rack has changed"), "{said}");
    fs::write(shop.join(file), &sound).unwrap();
    let settings = fs::read_to_string(shop.join("shop.toml")).unwrap();
    let wider = settings.replace("kerf = \"1/8\"", "kerf = \"3/16\"");
    assert_ne!(wider, settings);
    fs::write(shop.join("shop.toml"), wider).unwrap();
    let (code, said) = verify();
    assert_eq!(code, Some(1), "{said}");
    assert!(said.starts_with("NOT ALL OF IT HOLDS\n"), "{said}");
    assert!(!said.contains("the rack has changed"), "{said}");
    // Taken back, all is as it was.
    fs::write(shop.join("shop.toml"), settings).unwrap();
    run(&shop, &["stow", job, file, "--undo"]);
    assert!(run(&shop, &["verify", job, file]).starts_with("ALL OF IT HOLDS\n"));
}

/// Two jobs are planned from one rack: both give the same name, and the one that is stowed first has it.
#[test]
fn a_name_that_another_job_has_put_on_the_rack_is_given_to_no_other_piece() {
    let (_kept, shop) = shop();
    let (first, second) = ("week-1/job.toml", "week-2/job.toml");
    run(&shop, &["plan", first, "--out", "week-1/done"]);
    run(&shop, &["plan", second, "--out", "week-2/done"]);
    run(&shop, &["stow", first, "week-1/done/plan.json"]);
    let cut = ["A:1-2", "B:1-6", "C:1-4", "D:1-4"].map(|cuts| ["--done", cuts]);
    let marks = ["replan", second, "week-2/done/plan.json"];
    let args = [&marks[..], cut.as_flattened(), &["--out", "week-2/done"]].concat();
    let said = run(&shop, &args);
    assert!(
        said.contains("new: write it on; offcut 7 is another"),
        "{said}"
    );
    assert!(!said.contains("Not there any more: offcut 7"), "{said}");
    run(&shop, &["verify", second, "week-2/done/rest.json"]);
    run(&shop, &["stow", second, "week-2/done/rest.json"]);
    let (_, names) = on_rack(&shop);
    let known: BTreeSet<&String> = names.iter().collect();
    assert_eq!(known.len(), names.len(), "{names:?}");
    assert!(names.iter().any(|name| name == "offcut 7"), "{names:?}");
}

/// What customers are asked changes no cut: sheets are as they were, and are verified, papered, replanned and put on the rack.
#[test]
fn prices_for_customers_change_no_sheet() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let job = "rack = \"rack.csv\"\n[[mouldings]]\nname = \"flat\"\nface-width = 1\n\
               [[frames]]\nframe = \"Tern\"\nart-width = 10\nart-height = 8\n\
               [[boards]]\nboard = \"slat\"\nlength = 72\nprice = 9\n";
    fs::write(at.join("rack.csv"), "board,length\n").unwrap();
    let write = |price: &str| fs::write(at.join("job.toml"), format!("{job}{price}")).unwrap();
    write("[price]\nmarkup = 50\n");
    run(at, &["plan", "job.toml", "--out", "done"]);
    write("[price]\nmarkup = 80\nround-to = 5\n");
    run(at, &["verify", "job.toml", "done/plan.json"]);
    run(at, &["papers", "job.toml", "done/plan.json"]);
    let rest = [
        "replan",
        "job.toml",
        "done/plan.json",
        "--spoiled",
        "A:1",
        "--out",
        "rest",
    ];
    let said = run(at, &rest);
    assert!(!said.contains("job has changed"), "{said}");
    run(at, &["verify", "job.toml", "rest/rest.json"]);
    write("[price]\nmarkup = 10\n");
    run(at, &["verify", "job.toml", "rest/rest.json"]);
    run(at, &["stow", "job.toml", "rest/rest.json"]);
    // A kerf is another job.
    write("[saw]\nkerf = \"3/32\"\n");
    let said = longpoint(at, &["verify", "job.toml", "done/plan.json"]);
    assert_eq!(said.status.code(), Some(1));
}

/// A plan that was cut otherwise than it says has what really came of it beside it.
#[test]
fn a_plan_is_not_put_on_the_rack_where_its_bench_has_gone_on() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let job = "title = \"Bars\"\nrack = \"rack.csv\"\n[saw]\nend-trim = 0\n\
               [[pieces]]\npiece = \"bar\"\nlength = 40\nquantity = 2\n\
               [[boards]]\nboard = \"oak\"\nlength = 60\nprice = 30\n";
    fs::write(at.join("job.toml"), job).unwrap();
    let before = "board,length,value\nstub,14,1\n";
    fs::write(at.join("rack.csv"), before).unwrap();
    run(at, &["plan", "job.toml", "--out", "made"]);
    let spoiled = [
        "replan",
        "job.toml",
        "made/plan.json",
        "--spoiled",
        "A:1",
        "--out",
        "made",
    ];
    run(at, &spoiled);
    let refused = longpoint(at, &["stow", "job.toml", "made/plan.json"]);
    assert_eq!(refused.status.code(), Some(2));
    let said = text(&refused.stderr);
    assert!(said.contains("rest.json lies beside it"), "{said}");
    assert_eq!(fs::read_to_string(at.join("rack.csv")).unwrap(), before);
    run(at, &["stow", "job.toml", "made/rest.json"]);
    // The job is cut, and its pieces are on the rack: a plan made now is for as much again.
    let again = longpoint(at, &["plan", "job.toml"]);
    let said = text(&again.stderr);
    assert!(said.contains("which this very job has left"), "{said}");
    assert!(said.contains("guide: W212"), "{said}");
}

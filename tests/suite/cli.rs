//! The command itself, run in an empty folder as a user would run it.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;

use crate::command::{longpoint, text};

/// A folder with the files of a job of loose pieces.
fn job(toml: &str, pieces: &str, boards: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("job.toml"), toml).unwrap();
    fs::write(folder.path().join("pieces.csv"), pieces).unwrap();
    fs::write(folder.path().join("boards.csv"), boards).unwrap();
    folder
}

const SMALLEST: &str =
    "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n\n[saw]\nkerf = 0\nend-trim = 0\n";

fn summary(folder: &Path) -> Value {
    let output = longpoint(folder, &["plan", "job.toml", "--format", "json"]);
    assert_eq!(text(&output.stderr), "");
    serde_json::from_slice::<Value>(&output.stdout).unwrap()["summary"].take()
}

#[test]
fn without_a_command_the_help_teaches_and_the_exit_code_is_2() {
    let folder = tempfile::tempdir().unwrap();
    let output = longpoint(folder.path(), &[]);
    assert_eq!(output.status.code(), Some(2));
    let help = text(&output.stderr);
    assert!(help.contains("longpoint starter my-show"), "{help}");
    assert!(help.contains("Exit codes"), "{help}");
}

#[test]
fn the_starter_job_plans_as_it_stands_and_is_never_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let output = longpoint(folder.path(), &["starter", "my-show"]);
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(
        text(&output.stdout),
        "wrote a starter job into my-show\nnext: longpoint plan my-show/job.toml\n"
    );
    let output = longpoint(folder.path(), &["check", "my-show/job.toml"]);
    assert_eq!(text(&output.stderr), "");
    assert_eq!(output.status.code(), Some(0));
    let output = longpoint(folder.path(), &["plan", "my-show/job.toml"]);
    assert_eq!(text(&output.stderr), "");
    assert_eq!(output.status.code(), Some(0));
    assert!(text(&output.stdout).contains("PROVED BEST"));

    fs::write(folder.path().join("my-show/job.toml"), "mine").unwrap();
    let output = longpoint(folder.path(), &["starter", "my-show"]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(
        text(&output.stderr),
        "error: `my-show/job.toml` is there already\nhint: choose a new folder, or move the file away first\n"
    );
    assert_eq!(
        fs::read_to_string(folder.path().join("my-show/job.toml")).unwrap(),
        "mine"
    );
}

#[test]
fn a_plan_names_boards_and_pieces_as_the_tables_do() {
    // Derived: 16 + 16 + 8 and 16 + 16 + 8 leave nothing of two 40 in boards.
    let folder = job(
        SMALLEST,
        "piece,length,quantity,ends\nlong,16,4,square\nshort,8,2,square\n",
        "board,length,quantity,price\nlath,40,,\n",
    );
    let output = longpoint(folder.path(), &["plan", "job.toml", "--format", "json"]);
    assert_eq!(output.status.code(), Some(0));
    let plan: Value = serde_json::from_slice(&output.stdout).unwrap();
    let summary = &plan["summary"];
    assert_eq!(summary["measure"], "board_length_nm");
    assert_eq!(summary["boards"], 2);
    assert_eq!(summary["value"], 2_i64 * 40 * 25_400_000);
    assert_eq!(summary["lower_bound"], summary["value"]);
    assert_eq!(summary["missing"], 0);
    assert_eq!(summary["proved_optimal"], true);
    for board in plan["boards"].as_array().unwrap() {
        assert_eq!(board["name"], "lath");
        assert_eq!(board["length_nm"], 40_i64 * 25_400_000);
        let items: Vec<&str> = board["cuts"]
            .as_array()
            .unwrap()
            .iter()
            .map(|cut| cut["part"]["piece"].as_str().unwrap())
            .collect();
        // What is too short to hold does not come last.
        assert_eq!(items[2], "long");
        assert_eq!(items.iter().filter(|&&item| item == "short").count(), 1);
        let last = board["cuts"].as_array().unwrap().last().unwrap();
        assert_eq!(last["to_nm"], 40_i64 * 25_400_000);
    }
}

#[test]
fn when_wood_runs_short_the_rest_is_planned_and_the_exit_code_is_1() {
    let folder = job(
        SMALLEST,
        "piece,length,quantity,ends\nbar,16,5,square\n",
        "board,length,quantity,price\nlath,40,2,3.50\n",
    );
    let output = longpoint(folder.path(), &["plan", "job.toml", "--format", "json"]);
    assert_eq!(output.status.code(), Some(1));
    let plan: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(plan["summary"]["missing"], 1);
    assert_eq!(plan["summary"]["boards"], 2);
    assert_eq!(plan["summary"]["value"], 700);
    let output = longpoint(folder.path(), &["plan", "job.toml"]);
    assert!(
        text(&output.stdout).contains("bar"),
        "the missing piece is named"
    );
}

#[test]
fn no_line_is_wider_than_80_columns_when_piped_and_none_is_colored() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/show/show.toml");
    let folder = tempfile::tempdir().unwrap();
    for command in ["plan", "sizes"] {
        let output = longpoint(folder.path(), &[command, demo.to_str().unwrap()]);
        assert_eq!(output.status.code(), Some(0));
        let printed = text(&output.stdout);
        assert!(!printed.contains('\u{1b}'));
        for line in printed.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
    }
}

#[test]
fn the_demo_is_proved_best_and_comes_out_the_same_each_time() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/show/show.toml");
    let folder = tempfile::tempdir().unwrap();
    let first = longpoint(
        folder.path(),
        &["plan", demo.to_str().unwrap(), "--format", "json"],
    );
    let second = longpoint(
        folder.path(),
        &["plan", demo.to_str().unwrap(), "--format", "json"],
    );
    assert_eq!(first.stdout, second.stdout);
    let plan: Value = serde_json::from_slice(&first.stdout).unwrap();
    assert_eq!(plan["summary"]["proved_optimal"], true);
    assert_eq!(plan["summary"]["missing"], 0);
    assert_eq!(plan["summary"]["frames"], 24);
}

#[test]
fn faults_write_nothing_and_end_with_exit_code_2() {
    let folder = job(
        SMALLEST,
        "piece,length,quantity,ends\nbar,-3,1,square\n",
        "board,length\nlath,40\n",
    );
    let output = longpoint(folder.path(), &["plan", "job.toml", "--out", "made"]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(text(&output.stdout), "");
    assert!(
        text(&output.stderr).contains("pieces.csv, line 2"),
        "{}",
        text(&output.stderr)
    );
    assert!(!folder.path().join("made").exists());
}

#[test]
fn files_the_job_is_read_from_are_never_written_over() {
    let folder = job(
        &SMALLEST.replace("boards.csv", "cut-list.csv"),
        "piece,length\nbar,16\n",
        "",
    );
    let boards = "board,length\nlath,40\n";
    fs::write(folder.path().join("cut-list.csv"), boards).unwrap();
    let output = longpoint(folder.path(), &["plan", "job.toml", "--out", "."]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(
        text(&output.stderr),
        "error: `./cut-list.csv` is read by this job and would be written over\nhint: choose another folder with --out\n"
    );
    assert_eq!(
        fs::read_to_string(folder.path().join("cut-list.csv")).unwrap(),
        boards
    );
    assert!(!folder.path().join("plan.txt").exists());
}

#[test]
fn the_files_of_a_plan_are_all_written() {
    let folder = job(
        SMALLEST,
        "piece,length\nbar,16\n",
        "board,length\nlath,40\n",
    );
    let output = longpoint(folder.path(), &["plan", "job.toml", "--out", "made"]);
    assert_eq!(output.status.code(), Some(0));
    let mut names: Vec<String> = fs::read_dir(folder.path().join("made"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(
        names,
        [
            ".longpoint",
            "boards.svg",
            "buying-list.csv",
            "cut-list.csv",
            "frame-labels.csv",
            "frame-sizes.csv",
            "hardware-cuts.csv",
            "labels.csv",
            "missing.csv",
            "not-used.csv",
            "offcuts.csv",
            "papers.html",
            "plan.json",
            "plan.txt",
            "pocket.txt",
            "rack.csv",
            "rails.csv",
            "resaw-list.csv",
            "rip-list.csv",
            "saw-order.csv",
            "sheet-cuts.csv",
            "sheet-rack.csv",
            "sheets-to-buy.csv",
            "sheets.csv",
            "wood-balance.csv"
        ]
    );
    assert_eq!(
        fs::read(folder.path().join("made/plan.txt")).unwrap(),
        output.stdout
    );
}

#[test]
fn a_reader_that_closes_the_pipe_is_no_fault() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/show/show.toml");
    let mut child = Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .args(["plan", demo.to_str().unwrap()])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(text(&output.stderr), "");
}

/// Worked examples whose figures are facts; each is one stock length, and the answer a number of boards.
#[test]
fn worked_examples_of_one_stock_length_come_out_as_published() {
    struct Example {
        source: &'static str,
        board: u32,
        pieces: &'static [(u32, u32)],
        boards: u32,
    }
    let examples = [
        Example {
            source: "W. L. Winston, Operations Research: Applications and Algorithms, column generation, Woodco (from memory)",
            board: 17,
            pieces: &[(3, 25), (5, 20), (9, 15)],
            boards: 19,
        },
        Example {
            source: "V. Chvatal, Linear Programming, Freeman 1983, ch. 13, p. 195",
            board: 100,
            pieces: &[(45, 97), (36, 610), (31, 395), (14, 211)],
            boards: 453,
        },
        Example {
            source: "Wikipedia, Cutting stock problem; the answer 73 as in a notebook to Hands-On Mathematical Optimization with Python",
            board: 5600,
            pieces: &[
                (2200, 20),
                (2150, 18),
                (2140, 16),
                (2100, 14),
                (2050, 12),
                (2000, 10),
                (1930, 20),
                (1880, 18),
                (1820, 18),
                (1710, 14),
                (1560, 12),
                (1520, 25),
                (1380, 22),
            ],
            boards: 73,
        },
        Example {
            source: "M. Kubo, J. P. Pedroso and others, SCIP book, bin packing chapter",
            board: 9,
            pieces: &[(8, 2), (7, 2), (6, 2), (5, 6), (4, 6), (3, 2), (2, 4)],
            boards: 13,
        },
    ];
    for example in &examples {
        let mut pieces = String::from("piece,length,quantity,ends\n");
        for (length, quantity) in example.pieces {
            writeln!(pieces, "p{length},{length},{quantity},square").unwrap();
        }
        let folder = job(
            &format!("unit = \"mm\"\n{SMALLEST}"),
            &pieces,
            &format!("board,length,quantity,price\nstock,{},,\n", example.board),
        );
        let summary = summary(folder.path());
        assert_eq!(summary["boards"], example.boards, "{}", example.source);
        assert_eq!(summary["proved_optimal"], true, "{}", example.source);
    }
}

#[test]
fn gilmore_and_gomorys_example_of_three_stock_lengths_costs_170() {
    // P. C. Gilmore, R. E. Gomory, A linear programming approach to the cutting-stock problem, Operations Research 9(6),
    // 1961, 849-859, the example on pp. 856-858 (as quoted; the paper itself was not seen).
    let folder = job(
        SMALLEST,
        "piece,length,quantity,ends\ntwo,2,20,square\nthree,3,10,square\nfour,4,20,square\n",
        "board,length,quantity,price\nA,5,,6\nB,6,,7\nC,9,,10\n",
    );
    let summary = summary(folder.path());
    assert_eq!(summary["value"], 17_000);
    assert_eq!(summary["lower_bound"], 17_000);
    assert_eq!(summary["measure"], "price_minor");
    assert_eq!(summary["proved_optimal"], true);
}

#[test]
fn the_demos_are_proved_best_and_verify() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = tempfile::tempdir().unwrap();
    for demo in [
        "color", "figured", "grain", "knots", "miscut", "offcuts", "rack", "reserve", "spare",
        "turned",
    ] {
        let job = root.join(format!("data/{demo}/{demo}.toml"));
        let job = job.to_str().unwrap();
        let output = longpoint(folder.path(), &["plan", job, "--out", "out"]);
        assert_eq!(text(&output.stderr), "");
        assert_eq!(output.status.code(), Some(0));
        assert!(text(&output.stdout).contains("PROVED BEST"), "{demo}");
        let output = longpoint(folder.path(), &["verify", job, "out/plan.json"]);
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stdout));
    }
}

#[test]
fn buying_compares_ways_and_writes_its_lists() {
    let folder = job(
        SMALLEST,
        "piece,length,quantity,ends\nlong,16,4,square\nshort,8,2,square\n",
        "board,length,quantity,price\nlath,40,,4\nslat,3',,3.50\nbatten,10',1,13\n",
    );
    // Derived: 16 + 16 + 8 fill a lath, so two do for 8.00; a slat of 36 holds 16 + 16, or 8 + 8 + 16: three for 10.50.
    let output = longpoint(
        folder.path(),
        &["buy", "job.toml", "--longest", "4'", "--format", "json"],
    );
    assert_eq!(text(&output.stderr), "");
    assert_eq!(output.status.code(), Some(0));
    let found: Value = serde_json::from_slice(&output.stdout).unwrap();
    let value = |kind: &str, name: &str| {
        let ways = found["ways"].as_array().unwrap().iter();
        let way = ways
            .clone()
            .find(|way| way["kind"] == kind && (name.is_empty() || way["name"] == name));
        way.unwrap()["value"].as_i64().unwrap()
    };
    assert_eq!(value("best-mix", ""), 800);
    assert_eq!(value("no-vehicle-limit", ""), 800);
    assert_eq!(value("one-length", "3 ft alone"), 1050);
    // The vehicle does not take it.
    let mut ways = found["ways"].as_array().unwrap().iter();
    assert!(ways.all(|way| way["name"] != "10 ft alone"));

    let output = longpoint(folder.path(), &["buy", "job.toml", "--out", "lists"]);
    assert_eq!(output.status.code(), Some(0));
    let list = fs::read_to_string(folder.path().join("lists/buying-list.csv")).unwrap();
    assert!(list.contains("\n2,,,lath,40 in,"), "{list}");
    for name in [
        "ways.txt",
        "ways.json",
        "ways.csv",
        "what-if.csv",
        "materials.csv",
        "cost-by-frame.csv",
    ] {
        assert!(folder.path().join("lists").join(name).exists(), "{name}");
    }

    let output = longpoint(folder.path(), &["buy", "job.toml", "--longest", "far"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).starts_with("error: `far` is not a length for --longest"));
}

#[test]
fn a_way_is_planned_by_its_name_and_what_was_bought_instead_is_cut() {
    let folder = job(
        SMALLEST,
        "piece,length,quantity,ends\nlong,16,4,square\nshort,8,2,square\n",
        "board,length,quantity,price\nlath,40,,4\nslat,3',,3.50\nbatten,10',1,13\n",
    );
    let run = |args: &[&str], code: i32| {
        let output = longpoint(folder.path(), args);
        assert_eq!(output.status.code(), Some(code), "{}", text(&output.stderr));
        (text(&output.stdout), text(&output.stderr))
    };
    // Derived: three slats for 10.50, see above.
    let way = ["plan", "job.toml", "--way", "3 ft alone"];
    let (said, _) = run(&[&way[..], &["--out", "plan"]].concat(), 0);
    assert!(
        said.contains("Way of buying: 3 ft alone.") && said.contains("3 boards for 10.50"),
        "{said}"
    );
    let (said, _) = run(&["verify", "job.toml", "plan/plan.json"], 0);
    assert!(said.contains("way    3 ft alone"), "{said}");
    run(
        &[
            "replan",
            "job.toml",
            "plan/plan.json",
            "--done",
            "A:1",
            "--spoiled",
            "A:2",
        ],
        0,
    );
    let (_, said) = run(&["plan", "job.toml", "--way", "3 ft alon"], 2);
    assert!(said.contains("hint: did you mean `3 ft alone`?"), "{said}");
    assert!(said.contains("`best mix`, "), "{said}");

    // Of the three slats that the list asks for there were two, and a lath instead of the third.
    let list = fs::read_to_string(folder.path().join("plan/buying-list.csv")).unwrap();
    let list = list.replace("\n3,,,slat", "\n3,2,,slat");
    let head: Vec<&str> = list.lines().next().unwrap().split(',').collect();
    assert_eq!(head[..5], ["take", "bought", "measured", "board", "length"]);
    let other = format!(",1,,lath,40{}\n", ",".repeat(head.len() - 5));
    fs::write(folder.path().join("bought.csv"), list + &other).unwrap();
    let toml = format!("bought = \"bought.csv\"\n{SMALLEST}");
    fs::write(folder.path().join("job.toml"), toml).unwrap();
    let (said, warned) = run(&["plan", "job.toml", "--out", "cut"], 0);
    assert!(said.contains("Bought: 3 boards"), "{said}");
    assert!(warned.contains("guide: W201"), "{warned}");
    assert!(!folder.path().join("cut/buying-list.csv").exists());
    run(&["verify", "job.toml", "cut/plan.json"], 0);
    let (said, _) = run(&["buy", "job.toml", "--out", "more"], 0);
    assert!(said.contains("Nothing more is to be bought"), "{said}");
    assert!(folder.path().join("more/buy-more.csv").exists());
}

//! Nothing lost and nothing harmed: what lies in a folder, what a job may read, names that steer, and limits.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::thread;
use std::time::Instant;

use crate::command::in_one_line;
use serde_json::Value;

const HEAD: &str =
    "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n\n[saw]\nkerf = 0\nend-trim = 0\n";
const PIECES: &str = "piece,length,quantity,ends\nbar,16,4,square\n";
const BOARDS: &str = "board,length\nlath,40\n";

fn command(folder: &Path, args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_longpoint"));
    command
        .current_dir(folder)
        .args(args)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

fn longpoint(folder: &Path, args: &[&str]) -> Output {
    command(folder, args).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// A folder with a job of loose pieces.
fn job(head: &str, pieces: &str, boards: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("job.toml"), head).unwrap();
    fs::write(folder.path().join("pieces.csv"), pieces).unwrap();
    fs::write(folder.path().join("boards.csv"), boards).unwrap();
    folder
}

/// Names in a folder, sorted.
fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// A cut list whose first cut is marked as made.
fn with_a_mark(list: &str) -> String {
    let mut rows: Vec<Vec<String>> = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(list.as_bytes())
        .records()
        .map(|row| row.unwrap().iter().map(str::to_owned).collect())
        .collect();
    let state = rows[0].iter().position(|head| head == "state").unwrap();
    rows[1][state] = "cut".into();
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).unwrap();
    }
    String::from_utf8(writer.into_inner().unwrap()).unwrap()
}

/// The error of a command that must fail for its input.
fn refused(output: &Output) -> String {
    let error = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{error}");
    error
}

#[test]
fn a_file_that_the_program_has_not_written_stays() {
    let folder = job(HEAD, PIECES, BOARDS);
    let at = folder.path();
    fs::write(at.join("rack.csv"), "mine").unwrap();
    let before = names(at);
    let error = refused(&longpoint(at, &["plan", "job.toml", "--out", "."]));
    assert_eq!(
        in_one_line(&error),
        "error: `./rack.csv` is not as longpoint wrote it, or was never written by it; nothing was written \
         hint: choose another folder with --out; with --replace, what is there gets another name"
    );
    assert_eq!(names(at), before);
    assert_eq!(fs::read_to_string(at.join("rack.csv")).unwrap(), "mine");
    let output = longpoint(at, &["plan", "job.toml", "--out", ".", "--replace"]);
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(
        text(&output.stderr),
        "note: kept what lay there as `./kept-1-rack.csv`\n"
    );
    let kept = || fs::read_to_string(at.join("kept-1-rack.csv")).unwrap();
    assert_eq!(kept(), "mine");
    // What is kept makes room for no other.
    fs::write(at.join("rack.csv"), "mine too").unwrap();
    longpoint(at, &["plan", "job.toml", "--out", ".", "--replace"]);
    assert_eq!(kept(), "mine");
    let second = fs::read_to_string(at.join("kept-2-rack.csv")).unwrap();
    assert_eq!(second, "mine too");
    // From now on it is the program's own.
    let output = longpoint(at, &["plan", "job.toml", "--out", "."]);
    assert_eq!(
        (output.status.code(), text(&output.stderr)),
        (Some(0), String::new())
    );
}

#[test]
fn marks_in_a_cut_list_stay() {
    let folder = job(HEAD, PIECES, BOARDS);
    let at = folder.path();
    for _ in 0..2 {
        let output = longpoint(at, &["plan", "job.toml", "--out", "made"]);
        assert_eq!(
            (output.status.code(), text(&output.stderr)),
            (Some(0), String::new())
        );
    }
    let list = at.join("made/cut-list.csv");
    let marked = with_a_mark(&fs::read_to_string(&list).unwrap());
    fs::write(&list, &marked).unwrap();
    fs::write(at.join("pieces.csv"), PIECES.replace("16", "15")).unwrap();
    let plan = fs::read(at.join("made/plan.json")).unwrap();
    let error = refused(&longpoint(at, &["plan", "job.toml", "--out", "made"]));
    assert!(error.contains("`made/cut-list.csv`"), "{error}");
    assert_eq!(fs::read_to_string(&list).unwrap(), marked);
    assert_eq!(fs::read(at.join("made/plan.json")).unwrap(), plan);
    // A list that cannot be read makes no file the program's own.
    fs::write(at.join("made/.longpoint"), [0xff, 0xfe, 0]).unwrap();
    refused(&longpoint(at, &["plan", "job.toml", "--out", "made"]));
}

#[test]
fn a_folder_at_the_place_of_a_file_leaves_all_as_it_was() {
    let folder = job(HEAD, PIECES, BOARDS);
    let at = folder.path();
    longpoint(at, &["plan", "job.toml", "--out", "made"]);
    fs::write(at.join("pieces.csv"), PIECES.replace("16", "15")).unwrap();
    fs::remove_file(at.join("made/sheets.csv")).unwrap();
    fs::create_dir(at.join("made/sheets.csv")).unwrap();
    let before = names(&at.join("made"));
    let plan = fs::read(at.join("made/plan.json")).unwrap();
    let error = refused(&longpoint(
        at,
        &["plan", "job.toml", "--out", "made", "--replace"],
    ));
    assert!(error.contains("sheets.csv"), "{error}");
    assert_eq!(names(&at.join("made")), before);
    assert_eq!(fs::read(at.join("made/plan.json")).unwrap(), plan);
    // A file where the folder is to be.
    let error = refused(&longpoint(
        at,
        &["plan", "job.toml", "--out", "boards.csv/made"],
    ));
    assert!(error.starts_with("error: cannot write"), "{error}");
}

/// The set of files of a plan must be that of one of `plans`, whole, with nothing beside it.
fn assert_one_of(made: &Path, plans: &[&Path]) {
    let found = plans.iter().find(|plan| {
        fs::read(plan.join("plan.json")).unwrap() == fs::read(made.join("plan.json")).unwrap()
    });
    let plan = found.expect("one of the plans");
    assert_eq!(names(made), names(plan));
    for name in names(plan) {
        assert_eq!(
            fs::read(made.join(&name)).unwrap(),
            fs::read(plan.join(&name)).unwrap(),
            "{name}"
        );
    }
}

/// A folder with two jobs, `one.toml` and `other.toml`, and what is written of each alone in `one` and `other`.
fn two_jobs() -> tempfile::TempDir {
    let folder = job(HEAD, PIECES, BOARDS);
    let at = folder.path();
    fs::write(at.join("other.csv"), PIECES.replace("16", "15")).unwrap();
    fs::write(at.join("one.toml"), HEAD).unwrap();
    fs::write(
        at.join("other.toml"),
        HEAD.replace("pieces.csv", "other.csv"),
    )
    .unwrap();
    for name in ["one", "other"] {
        let output = longpoint(at, &["plan", &format!("{name}.toml"), "--out", name]);
        assert_eq!(output.status.code(), Some(0));
    }
    folder
}

fn start(folder: &Path, job: &str) -> Child {
    command(folder, &["plan", job, "--out", "made"])
        .spawn()
        .unwrap()
}

#[test]
fn two_writers_leave_the_files_of_one() {
    let folder = two_jobs();
    let at = folder.path();
    for _ in 0..10 {
        let children = [start(at, "one.toml"), start(at, "other.toml")];
        for child in children {
            let output = child.wait_with_output().unwrap();
            assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        }
        assert_one_of(&at.join("made"), &[&at.join("one"), &at.join("other")]);
    }
}

#[test]
fn whoever_is_killed_leaves_whole_files() {
    let folder = two_jobs();
    let at = folder.path();
    longpoint(at, &["plan", "one.toml", "--out", "made"]);
    let took = {
        let started = Instant::now();
        longpoint(at, &["plan", "one.toml", "--out", "aside"]);
        started.elapsed()
    };
    for number in 0..20_u32 {
        let job = ["other.toml", "one.toml"][number as usize % 2];
        let mut child = start(at, job);
        // Spread evenly over the time that it takes, irregular against what it does.
        thread::sleep(took * (number * 7 % 20) / 18);
        child.kill().unwrap();
        child.wait().unwrap();
        for name in names(&at.join("one")) {
            if name == ".longpoint" {
                continue;
            }
            let lies = fs::read(at.join("made").join(&name)).unwrap();
            let is_whole =
                ["one", "other"].map(|plan| fs::read(at.join(plan).join(&name)).unwrap() == lies);
            assert!(is_whole.contains(&true), "{name} after kill {number}");
        }
    }
    let output = longpoint(at, &["plan", "one.toml", "--out", "made"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_one_of(&at.join("made"), &[&at.join("one")]);
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_and_a_closed_pipe_end_quietly_or_with_words() {
    let folder = job(HEAD, PIECES, BOARDS);
    let full = fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .unwrap();
    let output = command(folder.path(), &["plan", "job.toml"])
        .stdout(full)
        .output()
        .unwrap();
    assert!(refused(&output).starts_with("error: cannot print the report"));
    let mut child = command(folder.path(), &["plan", "job.toml"])
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(
        (output.status.code(), text(&output.stderr)),
        (Some(0), String::new())
    );
}

#[cfg(unix)]
#[test]
fn links_are_not_followed_and_pipes_not_read() {
    use std::os::unix::fs::symlink;

    let folder = job(HEAD, PIECES, BOARDS);
    let at = folder.path();
    let outside = tempfile::tempdir().unwrap();
    let target = outside.path().join("target");
    fs::write(&target, "mine").unwrap();
    fs::create_dir(at.join("made")).unwrap();
    symlink(&target, at.join("made/plan.txt")).unwrap();
    refused(&longpoint(at, &["plan", "job.toml", "--out", "made"]));
    longpoint(at, &["plan", "job.toml", "--out", "made", "--replace"]);
    assert_eq!(fs::read_to_string(&target).unwrap(), "mine");
    assert!(
        fs::read_to_string(at.join("made/plan.txt"))
            .unwrap()
            .contains("PROVED BEST")
    );

    let made = Command::new("mkfifo")
        .arg(at.join("pipe"))
        .status()
        .unwrap();
    assert!(made.success());
    fs::write(at.join("piped.toml"), HEAD.replace("pieces.csv", "pipe")).unwrap();
    let error = refused(&longpoint(at, &["plan", "piped.toml"]));
    assert!(error.contains("E026"), "{error}");
    refused(&longpoint(at, &["plan", "pipe"]));
    let error = refused(&longpoint(at, &["verify", "job.toml", "/dev/zero"]));
    assert!(error.contains("a pipe or a device"), "{error}");
}

#[cfg(unix)]
#[test]
fn a_job_reads_below_its_own_folder() {
    use std::os::unix::fs::symlink;

    let secret = "root:hidden\n";
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    fs::write(at.join("secret"), secret).unwrap();
    fs::write(at.join("pieces.csv"), PIECES).unwrap();
    let jobs = at.join("jobs");
    fs::create_dir_all(jobs.join("tables")).unwrap();
    fs::write(jobs.join("tables/pieces.csv"), PIECES).unwrap();
    fs::write(jobs.join("boards.csv"), BOARDS).unwrap();
    fs::write(jobs.join("notes"), secret).unwrap();
    symlink("../secret", jobs.join("link")).unwrap();
    let absolute = at.join("secret");
    for (path, code) in [
        ("../secret", "E025"),
        ("tables/../../secret", "E025"),
        (absolute.to_str().unwrap(), "E025"),
        ("link", "E025"),
        ("../nothing", "E025"),
        // Its own folder is its own business, but what is no table is not shown.
        ("notes", "E010"),
    ] {
        fs::write(jobs.join("job.toml"), HEAD.replace("pieces.csv", path)).unwrap();
        for (folder, job) in [(at, "jobs/job.toml"), (&*jobs, "job.toml")] {
            let error = refused(&longpoint(folder, &["plan", job]));
            assert!(error.contains(code), "{path}: {error}");
            assert!(!error.contains("hidden"), "{path}: {error}");
        }
    }
    fs::write(
        jobs.join("job.toml"),
        HEAD.replace("pieces.csv", "tables/pieces.csv"),
    )
    .unwrap();
    assert_eq!(
        longpoint(at, &["plan", "jobs/job.toml"]).status.code(),
        Some(0)
    );
    fs::write(
        jobs.join("job.toml"),
        HEAD.replace("pieces.csv", "../pieces.csv"),
    )
    .unwrap();
    let args = ["plan", "jobs/job.toml", "--tables-anywhere"];
    assert_eq!(longpoint(at, &args).status.code(), Some(0));
}

/// Whether a text could steer a terminal or hide something.
fn steers(text: &str) -> bool {
    text.chars().any(|symbol| {
        (symbol.is_control() && symbol != '\n')
            || matches!(symbol, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}')
    })
}

#[test]
fn names_that_steer_are_harmless_and_come_back() {
    let nasty = [
        "=1+2",
        "-3+4",
        "@sum",
        "'tis",
        "a\u{202e}b",
        "[U+202E]",
        "z\u{200b}",
    ];
    let mut pieces = String::from("piece,length,quantity,ends\n");
    for name in nasty {
        // As somebody types it, guards not known.
        let typed = if name.starts_with('\'') {
            format!("'{name}")
        } else {
            name.to_owned()
        };
        let typed = typed.replace("[U+", "[U+5B]U+");
        pieces.push_str(&format!("{typed},16,1,square\n"));
    }
    let folder = job(HEAD, &pieces, "board,length\n=2+5\u{202e},40\n");
    let at = folder.path();
    let output = longpoint(at, &["plan", "job.toml", "--out", "made"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(!steers(&text(&output.stdout)));
    for name in names(&at.join("made")) {
        let lies = fs::read_to_string(at.join("made").join(&name)).unwrap();
        // Drawings keep the direction of each name to itself, by a pair of signs of their own.
        let is_drawn = ["papers.html", "boards.svg"].contains(&&*name);
        let lies = if is_drawn {
            lies.replace(['\u{2068}', '\u{2069}'], "")
        } else {
            lies
        };
        assert!(!steers(&lies), "{name}");
        if Path::new(&name)
            .extension()
            .is_some_and(|ending| ending == "csv")
        {
            for cell in lies.lines().flat_map(|line| line.split(',')) {
                let is_number = cell.parse::<f64>().is_ok();
                assert!(
                    is_number || !cell.starts_with(['=', '+', '-', '@']),
                    "{name}: {cell}"
                );
            }
        }
    }
    let plan: Value =
        serde_json::from_slice(&fs::read(at.join("made/plan.json")).unwrap()).unwrap();
    let mut found: Vec<&str> = plan["boards"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|board| board["cuts"].as_array().unwrap())
        .map(|cut| cut["part"]["piece"].as_str().unwrap())
        .collect();
    found.sort_unstable();
    let mut all = nasty.to_vec();
    all.sort_unstable();
    assert_eq!(found, all);
    // The marked cut list names its boards as the plan does.
    let list = fs::read_to_string(at.join("made/cut-list.csv")).unwrap();
    fs::write(at.join("marks.csv"), with_a_mark(&list)).unwrap();
    let args = [
        "replan",
        "job.toml",
        "made/plan.json",
        "--marks",
        "marks.csv",
    ];
    let output = longpoint(at, &args);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(!steers(&text(&output.stdout)));
}

#[test]
fn text_of_others_does_not_reach_the_terminal_raw() {
    let folder = job(HEAD, PIECES, BOARDS);
    let at = folder.path();
    let nasty = "\u{1b}]0;x\u{7}\u{1b}[2J\u{202e}";
    for args in [
        &["plan", "job.toml", &format!("--no{nasty}")][..],
        &["plan", "job.toml", "--format", nasty],
        &[nasty],
        &["plan", nasty],
        &["buy", "job.toml", "--longest", nasty],
        &["replan", "job.toml", nasty],
        &["plan", "job.toml", "--out", &format!("boards.csv/{nasty}")],
    ] {
        let error = refused(&longpoint(at, args));
        assert!(!steers(&error), "{args:?}: {error:?}");
    }
    longpoint(at, &["plan", "job.toml", "--out", "made"]);
    let plan = fs::read_to_string(at.join("made/plan.json")).unwrap();
    let escaped = "\\u001b[2K\\nALL OF IT HOLDS\\u202e\\u009b";
    let forged = plan
        .replace("\"lath\"", &format!("\"{escaped}\""))
        .replace("\"bar\"", &format!("\"bar{escaped}\""));
    assert_ne!(forged, plan);
    for text_of_plan in [
        forged,
        plan.replacen("\"boards\"", &format!("\"{escaped}\""), 1),
    ] {
        fs::write(at.join("forged.json"), text_of_plan).unwrap();
        for args in [
            ["verify", "job.toml", "forged.json"],
            ["replan", "job.toml", "forged.json"],
        ] {
            let output = longpoint(at, &args);
            assert_ne!(output.status.code(), Some(0));
            let said = text(&output.stdout) + &text(&output.stderr);
            assert!(!steers(&said), "{said:?}");
            assert!(
                !said.lines().any(|line| line == "ALL OF IT HOLDS"),
                "{said}"
            );
        }
    }
}

#[test]
fn counts_make_no_deep_calls() {
    // One piece to a board, 14,000 times.
    let head = format!("unit = \"mm\"\n{HEAD}");
    let folder = job(
        &head,
        "piece,length,quantity,ends\nbar,900,14000,square\n",
        "board,length\nlath,1000\n",
    );
    let output = longpoint(folder.path(), &["plan", "job.toml"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(text(&output.stdout).contains("14000 boards"));
}

#[test]
fn what_is_too_much_is_refused_early() {
    let head = format!("unit = \"mm\"\n{HEAD}");
    let folder = job(
        &head,
        "piece,length,quantity,ends\ndust,0.000001,200000,square\n",
        "board,length\nlath,1000\n",
    );
    let error = refused(&longpoint(folder.path(), &["plan", "job.toml"]));
    assert!(error.contains("E015"), "{error}");
    let rows: String = (0..1_000_000)
        .map(|number| format!("b{number},1000\n"))
        .collect();
    let folder = job(&head, PIECES, &format!("board,length\n{rows}"));
    let error = refused(&longpoint(folder.path(), &["plan", "job.toml"]));
    assert!(error.contains("E024"), "{error}");
}

#[test]
fn what_the_time_does_not_reach_is_named() {
    let pieces: String = (0..10)
        .map(|number| format!("p{number},{},3,square\n", 7 + number % 13))
        .collect();
    let boards = "board,length,price\nlath,40,3\nbatten,63,5\nbeam,97,8\n";
    let folder = job(
        HEAD,
        &format!("piece,length,quantity,ends\n{pieces}"),
        boards,
    );
    let args = ["buy", "job.toml", "--why", "--time", "0.001"];
    let output = longpoint(folder.path(), &args);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let said = text(&output.stdout);
    assert!(
        said.contains("Not tried, as the time was over: 20 changes"),
        "{said}"
    );
    let said = text(&longpoint(folder.path(), &args[..3]).stdout);
    assert!(!said.contains("Not tried"), "{said}");
}

//! Habits of the command that every command shares: color, signs, standard input, completions and manual pages.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// Runs the command in a folder, with this text on its standard input.
fn longpoint(folder: &Path, args: &[&str], input: &str, variables: &[(&str, &str)]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .current_dir(folder)
        .env_remove("NO_COLOR")
        .env_remove("CLICOLOR_FORCE")
        .envs(variables.iter().copied())
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A command that reads nothing may end before it is written to.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

const JOB: &str =
    "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n\n[saw]\nkerf = 0\nend-trim = 0\n";

/// A folder with a small job that has miters to be drawn.
fn job() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    write("job.toml", JOB);
    write(
        "pieces.csv",
        "piece,length,width,ends\nbar,16,1,miter\nlath,9,,square\n",
    );
    write("boards.csv", "board,length,width,price\nplank,40,1,3.50\n");
    folder
}

#[test]
fn color_is_given_as_asked_and_never_unasked_to_a_pipe() {
    let folder = job();
    let bad = JOB.replace("kerf = 0", "kerff = 0");
    fs::write(folder.path().join("bad.toml"), &bad).unwrap();
    for (args, variables, colored) in [
        (&["plan"][..], &[][..], false),
        (&["plan", "--color", "auto"], &[], false),
        (&["plan", "--color", "never"], &[], false),
        (&["plan", "--color", "always"], &[], true),
        (&["--color", "always", "plan"], &[], true),
        // What is typed goes before what is set.
        (&["plan", "--color", "always"], &[("NO_COLOR", "1")], true),
        (&["plan"], &[("CLICOLOR_FORCE", "1")], true),
        (
            &["plan"],
            &[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "1")],
            false,
        ),
    ] {
        let run = |file: &str| longpoint(folder.path(), &[args, &[file]].concat(), "", variables);
        let planned = run("job.toml");
        assert_eq!(planned.status.code(), Some(0), "{args:?}");
        let is_colored = |bytes: &[u8]| text(bytes).contains('\u{1b}');
        assert_eq!(is_colored(&planned.stdout), colored, "{args:?}");
        let refused = run("bad.toml");
        assert_eq!(refused.status.code(), Some(2));
        assert_eq!(is_colored(&refused.stderr), colored, "{args:?}");
    }
}

#[test]
fn the_signs_of_a_drawing_are_lines_unless_ascii_is_asked_for() {
    let folder = job();
    let run = |args: &[&str]| {
        let output = longpoint(
            folder.path(),
            args,
            "",
            &[("TERM", "dumb"), ("LC_ALL", "C")],
        );
        assert_eq!(output.status.code(), Some(0), "{args:?}");
        text(&output.stdout)
    };
    let lines = run(&["plan", "job.toml"]);
    assert!(lines.contains('┌') && lines.contains('╲'), "{lines}");
    assert_eq!(lines, run(&["plan", "job.toml", "--drawing", "lines"]));
    let ascii = run(&["plan", "job.toml", "--drawing", "ascii", "--out", "made"]);
    assert!(ascii.is_ascii() && ascii.contains('+'), "{ascii}");
    let written = fs::read_to_string(folder.path().join("made/plan.txt")).unwrap();
    assert_eq!(written, ascii);
    for command in ["sizes", "buy"] {
        assert!(run(&[command, "job.toml", "--drawing", "ascii"]).is_ascii());
    }
}

#[test]
fn a_job_from_standard_input_finds_its_tables_in_the_current_folder() {
    let folder = job();
    let from_file = longpoint(folder.path(), &["plan", "job.toml"], "", &[]);
    for command in ["plan", "sizes", "buy", "check"] {
        let output = longpoint(folder.path(), &[command, "-"], JOB, &[]);
        assert_eq!(text(&output.stderr), "", "{command}");
        assert_eq!(output.status.code(), Some(0), "{command}");
        if command == "plan" {
            assert_eq!(text(&output.stdout), text(&from_file.stdout));
        }
    }
    let bad = JOB.replace("kerf = 0", "kerff = 0");
    let output = longpoint(folder.path(), &["check", "-"], &bad, &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        text(&output.stderr)
            .starts_with("standard input, line 5\n    kerff = 0\n    |---|\nerror: unknown key"),
        "{}",
        text(&output.stderr)
    );
}

#[test]
fn a_table_of_a_job_is_never_standard_input() {
    let folder = job();
    let odd = JOB.replace("boards.csv", "-");
    let boards = "board,length\nplank,40\n";
    fs::write(folder.path().join("odd.toml"), &odd).unwrap();
    let from_file = longpoint(folder.path(), &["check", "odd.toml"], boards, &[]);
    let from_input = longpoint(folder.path(), &["check", "-"], &odd, &[]);
    for output in [from_file, from_input] {
        assert_eq!(output.status.code(), Some(2));
        assert!(text(&output.stderr).contains("error: there is no file `-`\n"));
    }
}

#[test]
fn a_plan_from_standard_input_is_verified_and_replanned_but_not_together_with_the_job() {
    let folder = job();
    let plan = longpoint(
        folder.path(),
        &["plan", "job.toml", "--format", "json"],
        "",
        &[],
    );
    let plan = text(&plan.stdout);
    for command in ["verify", "replan"] {
        let output = longpoint(folder.path(), &[command, "job.toml", "-"], &plan, &[]);
        assert_eq!(text(&output.stderr), "", "{command}");
        assert_eq!(output.status.code(), Some(0), "{command}");
        let output = longpoint(folder.path(), &[command, "job.toml", "-"], "nothing", &[]);
        assert_eq!(output.status.code(), Some(2), "{command}");
        assert!(
            text(&output.stderr).starts_with("error: standard input: "),
            "{}",
            text(&output.stderr)
        );
        let output = longpoint(folder.path(), &[command, "-", "-"], JOB, &[]);
        assert_eq!(output.status.code(), Some(2), "{command}");
        assert_eq!(
            text(&output.stderr),
            "error: only one file can be read from standard input: give `-` once\n"
        );
    }
    let output = longpoint(folder.path(), &["plan", "job.toml", "--out", "-"], "", &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("expected a folder"));
    assert!(!folder.path().join("-").exists());
}

#[test]
fn every_shell_has_a_script_that_knows_all_commands() {
    let folder = tempfile::tempdir().unwrap();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let output = longpoint(folder.path(), &["completions", shell], "", &[]);
        assert_eq!(output.status.code(), Some(0));
        let script = text(&output.stdout);
        for word in ["longpoint", "replan", "drawing"] {
            assert!(script.contains(word), "{shell} lacks {word}");
        }
    }
}

#[test]
fn the_manual_has_a_page_for_the_program_and_for_each_command() {
    let folder = tempfile::tempdir().unwrap();
    let output = longpoint(folder.path(), &["man", "pages"], "", &[]);
    assert_eq!(text(&output.stderr), "");
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(text(&output.stdout), "wrote 18 manual pages into pages\n");
    let page = |name: &str| fs::read_to_string(folder.path().join("pages").join(name)).unwrap();
    let mut all = page("longpoint.1");
    for command in [
        "plan",
        "papers",
        "buy",
        "quote",
        "estimate",
        "program",
        "sizes",
        "check",
        "verify",
        "replan",
        "page",
        "starter",
        "stow",
        "help",
        "completions",
        "man",
        "schema",
    ] {
        let own = page(&format!("longpoint-{command}.1"));
        assert!(own.contains(".SH SYNOPSIS"), "{command}");
        all.push_str(&own);
    }
    assert!(
        all.contains("Exit codes"),
        "the page of the program says how it ends"
    );
    let printed = longpoint(folder.path(), &["man", "-"], "", &[]);
    assert_eq!(text(&printed.stdout).len(), all.len());
}

#[test]
fn the_help_says_error_and_warning_and_no_other_word_for_them() {
    let folder = tempfile::tempdir().unwrap();
    let pages = text(&longpoint(folder.path(), &["man", "-"], "", &[]).stdout);
    assert!(pages.contains("report every error"));
    assert!(pages.contains("2 invalid input or usage; 3 internal error"));
    assert!(
        !pages
            .to_lowercase()
            .replace("default", "")
            .contains("fault"),
        "another word for an error"
    );
}

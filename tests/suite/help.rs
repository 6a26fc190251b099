//! `longpoint help`, and every example in its topics and in the README, run as it stands.
//!
//! A fenced block says in its first line what it is:
//! - `console`: commands after `$`, run one after the other in a folder with the files of the same text, each with what
//!   it prints; a line `...` stands for any lines. `LONGPOINT_WRITE_REPORTS=1` writes anew what is shown.
//! - `toml FILE`, `csv FILE`: a file of that folder.
//! - `toml`: a part of a job, which must load once the least that it lacks is added.
//! - `sh`: commands of the README that are run, without what they print.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::env;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use crate::command::{longpoint, text};
use longpoint::help::TOPICS;

/// Stands for lines that are not shown.
const LEFT_OUT: &str = "...";

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A fenced block: what its first line says, and its lines.
struct Block {
    language: String,
    file: Option<String>,
    text: String,
}

fn blocks(markdown: &str) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut lines = markdown.lines();
    while let Some(line) = lines.next() {
        let Some(info) = line.strip_prefix("```") else {
            continue;
        };
        let (language, file) = match info.split_once(' ') {
            Some((language, file)) => (language, Some(file.to_owned())),
            None => (info, None),
        };
        let inner: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
        blocks.push(Block {
            language: language.to_owned(),
            file,
            text: inner.join("\n") + "\n",
        });
    }
    blocks
}

/// The tables that a part of a job may lack, each as little as will do.
const LACKING: [(&[&str], &str); 4] = [
    (
        &["frames", "pieces"],
        "[[pieces]]\npiece = \"bar\"\nlength = \"10 in\"\n",
    ),
    (
        &["boards", "tally", "rack"],
        "[[boards]]\nboard = \"stick\"\nlength = \"8 ft\"\nprice = 10\n",
    ),
    (
        &["mouldings"],
        "[[mouldings]]\nname = \"walnut cap\"\nface-width = \"1 1/2 in\"\n\
         [[mouldings]]\nname = \"ash tray\"\nface-width = \"3/4 in\"\nlip = 0\n",
    ),
    (
        &["sheets"],
        "[[sheets]]\nname = \"glass\"\nuse = \"glazing\"\nthickness = \"3/32 in\"\n\
         [[sheets]]\nname = \"4-ply\"\nuse = \"mat\"\nthickness = \"1/16 in\"\n\
         [[sheets]]\nname = \"foam board\"\nuse = \"backing\"\nthickness = \"3/16 in\"\n",
    ),
];

/// A part of a job with what it lacks.
fn completed(part: &str) -> String {
    let tables: toml::Table = part.parse().unwrap();
    let mut job = part.to_owned();
    for (any_of, lacking) in LACKING {
        if !any_of.iter().any(|table| tables.contains_key(*table)) {
            job.push_str(lacking);
        }
    }
    job
}

/// Whether the job loads, planned for or not; warnings are no hindrance.
fn assert_loads(folder: &Path, job: &str, of: &str) {
    fs::write(folder.join("part.toml"), job).unwrap();
    let output = longpoint(folder, &["check", "part.toml"]);
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{of}:\n{job}\n{said}");
}

/// The arguments of a command line, of which those in quotation marks may have blanks.
fn arguments(line: &str) -> Vec<String> {
    let quoted = line.split('"').enumerate();
    quoted
        .flat_map(|(idx, part)| match idx % 2 {
            0 => part.split_whitespace().map(str::to_owned).collect(),
            _ => vec![part.to_owned()],
        })
        .collect()
}

fn run(folder: &Path, line: &str) -> String {
    let words = arguments(line);
    let args: Vec<&str> = words.iter().map(String::as_str).collect();
    let ["longpoint", args @ ..] = &args[..] else {
        unreachable!("not a command of ours: {line}");
    };
    let output = longpoint(folder, args);
    assert_eq!(
        output.status.code(),
        Some(0),
        "{line}\n{}",
        text(&output.stderr)
    );
    text(&output.stdout)
}

/// The stretches that `shown` shows of `printed`, found there by the first line of each, with the lines left out.
///
/// The first one begins where the output begins, unless lines are left out before it.
fn shown_anew(shown: &str, printed: &str) -> Option<String> {
    let printed: Vec<&str> = printed.lines().collect();
    let mut anew = String::new();
    let mut at = 0;
    let mut find = false;
    let lines: Vec<&str> = shown.lines().collect();
    for (idx, part) in lines.split(|line| *line == LEFT_OUT).enumerate() {
        if idx > 0 {
            anew.push_str("...\n");
            find = true;
        }
        let Some(first) = part.first() else { continue };
        if find {
            // Where its words or figures have changed, the line that begins with the same word.
            let begins =
                |line: &&str| line.split_whitespace().next() == first.split_whitespace().next();
            let rest = &printed[at..];
            let same = rest.iter().position(|line| line == first);
            at += same.or_else(|| rest.iter().position(begins))?;
        }
        for line in printed.get(at..(at + part.len()).min(printed.len()))? {
            let _ = writeln!(anew, "{line}");
        }
        at += part.len();
    }
    // Nothing was left out at the end.
    if lines.last() != Some(&LEFT_OUT) {
        for line in printed.get(at..).unwrap_or_default() {
            let _ = writeln!(anew, "{line}");
        }
    }
    Some(anew)
}

/// Runs the commands of a block, and returns it with what they print.
fn replayed(folder: &Path, block: &str) -> String {
    let mut anew = String::new();
    for call in block.split("$ ").skip(1) {
        let (line, shown) = call.split_once('\n').unwrap();
        let printed = run(folder, line);
        let shown = shown_anew(shown, &printed);
        assert!(
            shown.is_some(),
            "{line} prints no such line any more:\n{call}"
        );
        let _ = write!(anew, "$ {line}\n{}", shown.unwrap_or_default());
    }
    anew
}

/// Checks all examples of a text that stands in a file.
fn assert_examples(path: &Path) {
    let markdown = fs::read_to_string(path).unwrap();
    let name = path.display().to_string();
    let mut rewritten = markdown.clone();
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    copy_demos(folder);
    let blocks = blocks(&markdown);
    // A file may be shown in several versions; what is run has the first, and each must be read.
    for block in blocks.iter().rev() {
        if let Some(file) = &block.file {
            fs::write(folder.join(file), &block.text).unwrap();
        }
    }
    for block in &blocks {
        match (block.language.as_str(), &block.file) {
            ("toml", _) => assert_loads(folder, &completed(&block.text), &name),
            ("csv", Some(file)) => {
                // Where a job of the text names it, it is read with that.
                let named = format!("\"{file}\"");
                let is_read =
                    |block: &Block| block.language == "toml" && block.text.contains(&named);
                let table = file.trim_end_matches(".csv");
                // Or a command does, which is run below.
                let is_given = |line: &str| line.starts_with("$ ") && line.contains(file.as_str());
                let is_typed =
                    |block: &Block| block.language == "console" && block.text.lines().any(is_given);
                if blocks.iter().any(|block| is_read(block) || is_typed(block)) {
                    continue;
                }
                if ["frames", "pieces", "boards", "tally", "rack"].contains(&table) {
                    let before = fs::read_to_string(folder.join(file)).unwrap();
                    fs::write(folder.join(file), &block.text).unwrap();
                    let part = format!("{table} = \"{file}\"\n");
                    let part = if table == "tally" {
                        part + "[rip]\nkerf = 0\n"
                    } else {
                        part
                    };
                    assert_loads(folder, &completed(&part), &name);
                    fs::write(folder.join(file), before).unwrap();
                } else {
                    unreachable!("{name}: no job reads {file}");
                }
            }
            ("console", None) => {
                let anew = replayed(folder, &block.text);
                rewritten = rewritten.replace(&block.text, &anew);
            }
            ("sh", None) => {
                for line in block
                    .text
                    .lines()
                    .filter(|line| !line.starts_with("cargo test"))
                {
                    run(folder, &line.replace("cargo run --release --", "longpoint"));
                }
            }
            (other, _) => unreachable!("{name}: a block of the kind `{other}`"),
        }
    }
    // For a change of words; every example is to be read then, and a check of what is there never writes.
    if env::var_os("LONGPOINT_WRITE_REPORTS").is_some() && env::var_os("CI").is_none() {
        fs::write(path, &rewritten).unwrap();
    } else {
        assert_eq!(rewritten, markdown, "{name}");
    }
}

/// The demos that examples may name.
fn copy_demos(folder: &Path) {
    let from = root().join("data/show");
    let to = folder.join("data/show");
    fs::create_dir_all(&to).unwrap();
    for file in fs::read_dir(from).unwrap() {
        let file = file.unwrap();
        fs::copy(file.path(), to.join(file.file_name())).unwrap();
    }
}

#[test]
fn the_examples_of_all_topics_run() {
    let mut n_blocks = 0;
    for topic in TOPICS {
        let path = root().join(format!("src/help/topics/{}.md", topic.name));
        assert_examples(&path);
        n_blocks += blocks(&fs::read_to_string(path).unwrap()).len();
    }
    assert!(n_blocks > 30, "{n_blocks}");
}

#[test]
fn the_examples_of_the_readme_run() {
    let path = root().join("README.md");
    assert_examples(&path);
    let readme = fs::read_to_string(path).unwrap();
    assert!(readme.contains("\ncargo run --release -- plan data/show/show.toml\n"));
    assert!(readme.contains("\ncargo test --locked\n"));
    for topic in readme.split("`longpoint help ").skip(1) {
        let topic = topic.split('`').next().unwrap();
        assert!(longpoint::help::topic(topic).is_some(), "no topic {topic}");
    }
    let n_lines = readme.lines().count();
    assert!(n_lines < 200, "{n_lines} lines are more than five minutes");
}

#[test]
fn every_file_of_a_topic_is_in_the_list() {
    let mut files: Vec<String> = fs::read_dir(root().join("src/help/topics"))
        .unwrap()
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    files.sort();
    let mut listed: Vec<String> = TOPICS
        .iter()
        .map(|topic| format!("{}.md", topic.name))
        .collect();
    listed.sort();
    assert_eq!(files, listed);
}

#[test]
fn help_lists_and_shows_topics_and_commands() {
    let folder = tempfile::tempdir().unwrap();
    let help = |args: &[&str]| {
        let output = longpoint(folder.path(), &[&["help"], args].concat());
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        let printed = text(&output.stdout);
        assert!(!printed.contains('\u{1b}'));
        printed
    };
    let list = help(&[]);
    for word in ["plan", "replan", "completions", "boards", "errors"] {
        assert!(list.contains(&format!("`{word}`")), "{list}");
    }
    assert!(help(&["plan"]).contains("Usage: longpoint plan [OPTIONS] <JOB.toml>"));
    assert!(help(&["boards"]).contains("Boards, and what they cost"));
    // A command and a topic of one name come together.
    let both = help(&["replan"]);
    assert!(both.contains("Usage: longpoint replan") && both.contains("At the bench"));
    let of_word = help(&["kerf"]);
    assert!(of_word.contains("what it says of it first"), "{of_word}");
    let colored = longpoint(folder.path(), &["help", "mats", "--color", "always"]);
    assert!(text(&colored.stdout).contains("\u{1b}["));
}

#[test]
fn an_unknown_subject_is_named_with_the_nearest() {
    let folder = tempfile::tempdir().unwrap();
    let said = |subject| {
        let output = longpoint(folder.path(), &["help", subject]);
        assert_eq!(output.status.code(), Some(2));
        text(&output.stderr)
    };
    assert_eq!(
        said("bords"),
        "error: there is no command or topic `bords`\nhint: did you mean `longpoint help boards`?\n"
    );
    assert_eq!(
        said("xyzzyx"),
        "error: there is no command or topic `xyzzyx`\nhint: `longpoint help` lists them all\n"
    );
}

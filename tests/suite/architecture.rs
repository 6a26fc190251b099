//! The shape of the code, held: which module may import which, and what may stand only in its own place.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// A module and the modules it may name. The same table, with its reasons, is in DEVELOPERS.md.
const MAY_USE: [(&str, &[&str]); 31] = [
    // How property tests run.
    ("cases", &[]),
    ("length", &[]),
    ("money", &[]),
    ("diag", &[]),
    ("cutting", &[]),
    ("frame", &["length"]),
    ("stock", &["length", "money"]),
    ("job", &["length", "money", "frame", "stock"]),
    ("solve", &["length", "money", "cutting"]),
    ("sheets", &["cutting", "solve"]),
    (
        "load",
        &["length", "money", "diag", "frame", "stock", "job"],
    ),
    (
        "plan",
        &["length", "money", "frame", "stock", "job", "sheets"],
    ),
    (
        "bridge",
        &[
            "length", "money", "frame", "stock", "job", "cutting", "plan", "sheets",
        ],
    ),
    (
        "audit",
        &["length", "money", "frame", "stock", "job", "plan", "sheets"],
    ),
    (
        "pipeline",
        &[
            "length", "money", "frame", "stock", "job", "cutting", "solve", "sheets", "plan",
            "bridge", "audit",
        ],
    ),
    (
        "program",
        &["length", "money", "job", "cutting", "plan", "bridge"],
    ),
    (
        "compare",
        &[
            "length", "money", "frame", "stock", "job", "solve", "plan", "audit", "pipeline",
        ],
    ),
    (
        "replan",
        &[
            "length", "money", "frame", "stock", "job", "solve", "plan", "audit", "pipeline",
        ],
    ),
    (
        "tally",
        &["length", "money", "frame", "stock", "job", "plan", "sheets"],
    ),
    (
        "stations",
        &["length", "money", "frame", "stock", "job", "plan", "tally"],
    ),
    (
        "planfile",
        &[
            "length", "money", "diag", "frame", "stock", "job", "load", "sheets", "plan", "audit",
            "pipeline", "replan", "tally",
        ],
    ),
    (
        "quote",
        &[
            "length", "money", "frame", "stock", "job", "plan", "tally", "stations", "compare",
        ],
    ),
    (
        "report",
        &[
            "length", "money", "diag", "frame", "stock", "job", "sheets", "plan", "tally",
            "stations", "compare", "quote", "replan", "planfile",
        ],
    ),
    (
        "paper",
        &[
            "length", "money", "frame", "stock", "job", "plan", "tally", "stations", "compare",
            "replan", "report",
        ],
    ),
    (
        "desk",
        &[
            "length", "money", "diag", "frame", "stock", "job", "load", "tally", "report",
        ],
    ),
    (
        "page",
        &[
            "length", "money", "diag", "frame", "stock", "job", "load", "plan", "pipeline",
            "compare", "replan", "tally", "stations", "planfile", "report", "paper", "desk",
            "help",
        ],
    ),
    (
        "cli",
        &[
            "length", "money", "diag", "job", "load", "plan", "audit", "pipeline", "compare",
            "tally", "stations", "quote", "planfile", "report", "paper", "solve", "replan", "help",
            "page", "desk", "program",
        ],
    ),
    // The guide: what readers know of tables and codes, and nothing of jobs.
    ("help", &["diag", "load"]),
    ("main", &["cli"]),
    ("lib", &[]),
    (
        "samples",
        &["length", "money", "frame", "stock", "job", "cutting"],
    ),
];

/// All Rust files below `src`, as paths relative to it.
fn sources() -> Vec<PathBuf> {
    fn walk(dir: &Path, found: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, found);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                found.push(path);
            }
        }
    }
    let root = src();
    let mut found = Vec::new();
    walk(&root, &mut found);
    let mut found: Vec<PathBuf> = found
        .iter()
        .map(|path| path.strip_prefix(&root).unwrap().to_path_buf())
        .collect();
    found.sort();
    assert!(
        found.len() > 30,
        "the walk found only {} files",
        found.len()
    );
    found
}

fn src() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// The top-level module a file belongs to.
fn module(path: &Path) -> String {
    let first = path
        .components()
        .next()
        .unwrap()
        .as_os_str()
        .to_string_lossy()
        .into_owned();
    first.trim_end_matches(".rs").to_owned()
}

/// Whether a file holds tests only.
fn is_test(path: &Path) -> bool {
    path.file_name()
        .is_some_and(|name| name.to_string_lossy().ends_with("tests.rs"))
        || path.starts_with("samples")
        || path.ends_with("samples.rs")
        || path.components().any(|part| part.as_os_str() == "tests")
}

/// A file's code: no comments, and nothing from `#[cfg(test)]` on.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(src().join(path)).unwrap();
    let text = text.split("#[cfg(test)]").next().unwrap().to_owned();
    text.lines()
        .map(|line| line.split("//").next().unwrap())
        .collect::<Vec<&str>>()
        .join("\n")
}

/// The words that follow `before` in `text`.
fn words_after<'a>(text: &'a str, before: &str) -> Vec<&'a str> {
    text.match_indices(before)
        .map(|(at, _)| {
            let rest = &text[at + before.len()..];
            let end = rest
                .find(|c: char| !c.is_alphanumeric() && c != '_')
                .unwrap_or(rest.len());
            &rest[..end]
        })
        .collect()
}

#[test]
fn modules_import_only_from_lower_levels() {
    let known: BTreeSet<&str> = MAY_USE.iter().map(|(name, _)| *name).collect();
    let mut broken = Vec::new();
    for path in sources().iter().filter(|path| !is_test(path)) {
        let own = module(path);
        let (_, allowed) = MAY_USE
            .iter()
            .find(|(name, _)| *name == own)
            .unwrap_or_else(|| panic_on(path, "no row"));
        for prefix in ["crate::", "longpoint::"] {
            for used in words_after(&code(path), prefix) {
                if known.contains(used) && used != own && !allowed.contains(&used) {
                    broken.push(format!("{} uses {used}", path.display()));
                }
            }
        }
    }
    assert!(
        broken.is_empty(),
        "imports against the table:\n{}",
        broken.join("\n")
    );
}

#[expect(clippy::panic, reason = "a test stops at the first surprise")]
fn panic_on(path: &Path, what: &str) -> ! {
    panic!("{}: {what}", path.display())
}

/// Besides what the table of modules says of it: what of the domain the audit could take over is worked out by it again.
#[test]
fn the_audit_shares_nothing_with_the_way_a_plan_was_made() {
    let files = sources();
    let audit: Vec<&PathBuf> = files
        .iter()
        .filter(|path| path.starts_with("audit"))
        .collect();
    assert!(audit.len() > 10);
    for path in audit.into_iter().filter(|path| !is_test(path)) {
        let code = code(path);
        for word in [
            "suits(",
            "taking(",
            "Grains",
            "clear_runs",
            "kerf_along",
            "overlap(",
        ] {
            assert!(!code.contains(word), "{} uses {word}", path.display());
        }
    }
}

/// Within `sheets` as well: what makes plans and what judges them know nothing of each other, but that no plan is given out
/// before it was judged.
#[test]
fn the_check_of_sheets_shares_nothing_with_their_solver() {
    let files = sources();
    let within = |folder: &str| {
        let own = files.iter().filter(|path| path.starts_with(folder));
        own.filter(|path| !is_test(path)).collect::<Vec<_>>()
    };
    let (check, solver) = (within("sheets/check"), within("sheets/solver"));
    assert!(check.len() > 3 && solver.len() > 10);
    for path in check {
        let code = code(path);
        for word in ["solver", "crate::solve", "cutting"] {
            assert!(!code.contains(word), "{} uses {word}", path.display());
        }
    }
    for path in solver.into_iter().filter(|path| !path.ends_with("mod.rs")) {
        assert!(!code(path).contains("check::"), "{}", path.display());
    }
}

/// Files in which `words` may stand, each with `places` as the beginning of its path.
fn only_in(words: &[&str], places: &[&str]) {
    let mut broken = Vec::new();
    for path in sources().iter().filter(|path| !is_test(path)) {
        if places.iter().any(|place| path.starts_with(place)) {
            continue;
        }
        for word in words {
            if code(path).contains(word) {
                broken.push(format!("{} holds `{word}`", path.display()));
            }
        }
    }
    assert!(broken.is_empty(), "out of place:\n{}", broken.join("\n"));
}

#[test]
fn files_clock_and_terminal_belong_to_the_command_line() {
    only_in(
        &[
            "std::fs",
            "std::time",
            "Instant::now",
            "SystemTime",
            "std::env",
            "stdout()",
            "stderr()",
            "std::process",
        ],
        // How often property tests run may be said by a variable.
        &["cli", "main.rs", "cases.rs"],
    );
}

#[test]
fn floats_belong_to_the_linear_program_and_to_printed_shares() {
    only_in(
        &["f64", "f32"],
        // A workbook has all its numbers as floats; they become decimal digits at once.
        &[
            "solve",
            "sheets/solver",
            "load/workbook",
            // What the general solver answers is counted anew in whole numbers.
            "bridge/color/program.rs",
            "report/summary.rs",
            "cli/args/values.rs",
        ],
    );
}

#[test]
fn the_lp_crates_serve_the_tests_and_the_program_of_colors() {
    only_in(&["good_lp", "microlp"], &["bridge/color/program.rs"]);
}

#[test]
fn hash_maps_decide_nothing() {
    // Their order differs from run to run; where one is kept for look-ups only, its file is named here.
    only_in(&["HashMap", "HashSet"], &["solve/master/pool.rs"]);
}

#[test]
fn every_diagnostic_code_is_explained_and_exercised() {
    let mut codes = BTreeSet::new();
    for path in sources().iter().filter(|path| !is_test(path)) {
        let code = code(path);
        for (at, _) in code.match_indices('"') {
            let rest = &code[at + 1..];
            let Some(word) = rest.split('"').next() else {
                continue;
            };
            let is_code = word.len() == 4
                && word.starts_with(['E', 'N', 'W'])
                && word[1..].chars().all(|c| c.is_ascii_digit());
            if is_code {
                codes.insert(word.to_owned());
            }
        }
    }
    assert!(codes.len() > 20, "only {} codes found", codes.len());
    let guide: BTreeSet<&str> = longpoint::diag::code::ALL
        .iter()
        .map(|entry| entry.code)
        .collect();
    let mut tests = String::new();
    for path in sources() {
        let text = fs::read_to_string(src().join(&path)).unwrap();
        if is_test(&path) {
            tests.push_str(&text);
        } else if let Some((_, test)) = text.split_once("#[cfg(test)]") {
            tests.push_str(test);
        }
    }
    for entry in fs::read_dir(src().join("../tests/suite")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "rs")
            && !path.ends_with("architecture.rs")
        {
            tests.push_str(&fs::read_to_string(path).unwrap());
        }
    }
    let unexplained: Vec<&String> = codes
        .iter()
        .filter(|code| !guide.contains(code.as_str()))
        .collect();
    let untested: Vec<&String> = codes
        .iter()
        .filter(|code| !tests.contains(code.as_str()))
        .collect();
    assert!(
        unexplained.is_empty(),
        "not in the list of codes: {unexplained:?}"
    );
    assert!(untested.is_empty(), "in no test: {untested:?}");
}

#[test]
fn property_tests_keep_their_finds_below_tests() {
    let root = src().join("..");
    let mut files: Vec<PathBuf> = sources().iter().map(|path| src().join(path)).collect();
    let mut folders = vec![root.join("tests")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                files.push(path);
            }
        }
    }
    // Put together, so that this file has no such block itself.
    let block = ["proptest!", " {\n"].concat();
    let mut n_blocks = 0;
    for path in files {
        let text = fs::read_to_string(&path).unwrap();
        for (at, _) in text.match_indices(&block) {
            let first = text[at + block.len()..].trim_start();
            let wanted = "#![proptest_config(cases!(";
            assert!(first.starts_with(wanted), "{}", path.display());
            n_blocks += 1;
        }
    }
    assert!(n_blocks > 20, "only {n_blocks} blocks found");
    assert!(!root.join("proptest-regressions").exists());
}

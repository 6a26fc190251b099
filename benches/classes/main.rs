//! Whole-process runs over classes of instances: how many are proved, and in what time.
//!
//! `cargo bench --bench classes -- [--limit SECONDS] [--list FILE.csv] [--every N] [CLASS …]`; without a class, all.
//! Of drawn classes `CLASS:FROM-TO` takes the jobs of these numbers, so that there are always some that nothing was tuned on.
//! `--write DIR` runs nothing and writes the jobs into `DIR/CLASS/INSTANCE/`, for other programs to solve.
//! It times nothing that is not the command itself: files are written before, answers are read after.
//! Of every plan that is proved best the proof is checked by `verify`, which takes no part in the time.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    unreachable_pub,
    reason = "a bench program: it prints, it may stop at the first surprise, and its figures are times and shares"
)]

mod job_files;
#[path = "../drawn/lehmer.rs"]
mod lehmer;
mod library;
mod process;
mod rip;
mod shop;

use std::fmt::Write as _;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use job_files::JobFiles;
use shop::Kind;

/// One instance of a class.
struct Case {
    name: String,
    job: JobFiles,
    /// The value the answer must have if it is proved, in the answer's own measure; `None` where it is not known.
    optimum: Option<i64>,
    /// How the answer counts: boards or value.
    counts_boards: bool,
}

/// What one run came to.
struct Outcome {
    name: String,
    seconds: f64,
    megabytes: f64,
    proved: bool,
    /// Whether the proof was checked, and holds.
    verified: bool,
    value: i64,
    bound: i64,
    wrong: Option<String>,
}

fn published(file: &str) -> Vec<Case> {
    let Some(folder) = library::folder() else {
        return Vec::new();
    };
    library::read(&folder.join(file))
        .into_iter()
        .map(|instance| Case {
            name: instance.name,
            job: instance.job,
            optimum: Some(if instance.priced {
                instance.optimum * 100
            } else {
                instance.optimum
            }),
            counts_boards: !instance.priced,
        })
        .collect()
}

fn shop(kind: Kind, numbers: RangeInclusive<u64>) -> Vec<Case> {
    numbers
        .map(|number| Case {
            name: format!("job {number}"),
            job: shop::shop_job(kind, number),
            optimum: None,
            counts_boards: false,
        })
        .collect()
}

/// Rip jobs, each with the name it is given.
fn ripped(draw: fn(u64) -> (String, JobFiles), numbers: RangeInclusive<u64>) -> Vec<Case> {
    numbers
        .map(|number| {
            let (name, job) = draw(number);
            Case {
                name,
                job,
                optimum: None,
                counts_boards: false,
            }
        })
        .collect()
}

/// A class by its name; `NAME:FROM-TO` are those numbers of a class that is drawn.
fn class(name: &str) -> Option<Vec<Case>> {
    let (name, numbers) = match name.split_once(':') {
        Some((name, numbers)) => {
            let (first, last) = numbers.split_once('-')?;
            (name, Some(first.parse().ok()?..=last.parse().ok()?))
        }
        None => (name, None),
    };
    let is_drawn = name.starts_with("shop-") || name.starts_with("rip-");
    if numbers
        .as_ref()
        .is_some_and(|numbers| !is_drawn || numbers.is_empty())
    {
        return None;
    }
    let numbers_or = |count| numbers.clone().unwrap_or(1..=count);
    Some(match name {
        "falkenauer-u" => published("falkenauer_u.csv"),
        "falkenauer-t" => published("falkenauer_t.csv"),
        "scholl-1" => published("scholl_1.csv"),
        "scholl-2" => published("scholl_2.csv"),
        "scholl-3" => published("scholl_3.csv"),
        "schwerin-1" => published("schwerin_1.csv"),
        "schwerin-2" => published("schwerin_2.csv"),
        "waescher" => published("waescher.csv"),
        "hard28" => published("hard28.csv"),
        "ai" => published("ai.csv"),
        "ani" => published("ani.csv"),
        "cutgen1" => published("cutgen1.csv"),
        "non-irup" => published("non_irup_small.csv"),
        "textbook" => published("textbook.csv"),
        "vsbpp-monaci" => published("vsbpp_monaci.csv"),
        "vsbpp-haouari-serairi" => published("vsbpp_haouari_serairi.csv"),
        "shop-proportional" => shop(Kind::Proportional, numbers_or(200)),
        "shop-irregular" => shop(Kind::Irregular, numbers_or(200)),
        "shop-offcuts" => shop(Kind::Offcuts, numbers_or(200)),
        "rip-shop" => ripped(rip::shop_job, numbers_or(200)),
        "rip-small" => ripped(rip::small_job, numbers_or(200)),
        "rip-large" => ripped(rip::large_job, numbers_or(20)),
        _ => return None,
    })
}

const CLASSES: [&str; 22] = [
    "falkenauer-u",
    "falkenauer-t",
    "scholl-1",
    "scholl-2",
    "scholl-3",
    "schwerin-1",
    "schwerin-2",
    "waescher",
    "hard28",
    "ai",
    "ani",
    "cutgen1",
    "non-irup",
    "textbook",
    "vsbpp-monaci",
    "vsbpp-haouari-serairi",
    "shop-proportional",
    "shop-irregular",
    "shop-offcuts",
    "rip-shop",
    "rip-small",
    "rip-large",
];

fn run(case: &Case, limit: &str) -> Outcome {
    let dir = tempfile::tempdir().unwrap();
    let job = case.job.write(dir.path());
    let planned = process::plan(&job, limit);
    let mut outcome = Outcome {
        name: case.name.clone(),
        seconds: planned.seconds,
        megabytes: planned.megabytes,
        proved: false,
        verified: false,
        value: 0,
        bound: 0,
        wrong: None,
    };
    let answer = match planned.answer {
        Ok(answer) => answer,
        Err(said) => {
            outcome.wrong = Some(said);
            return outcome;
        }
    };
    let summary = &answer["summary"];
    outcome.proved = summary["proved_optimal"].as_bool().unwrap();
    outcome.verified = outcome.proved && is_verified(&job);
    outcome.value = summary["value"].as_i64().unwrap();
    outcome.bound = summary["lower_bound"].as_i64().unwrap();
    if summary["missing"].as_i64().unwrap() != 0 {
        outcome.wrong = Some(format!("{} missing", summary["missing"]));
    } else if let Some(optimum) = case.optimum {
        let value = if case.counts_boards {
            summary["boards"].as_i64().unwrap()
        } else {
            outcome.value
        };
        if value < optimum || (outcome.proved && value != optimum) {
            outcome.wrong = Some(format!("value {value}, but the optimum is {optimum}"));
        }
    }
    outcome
}

/// Whether `verify` finds the plan beside a job to hold, its proof included.
fn is_verified(job: &Path) -> bool {
    let status = Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .arg("verify")
        .arg(job)
        .arg(job.with_file_name("answer.json"))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    status.unwrap().success()
}

/// The value at `share` of a rising list.
fn at(sorted: &[f64], share: f64) -> f64 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "an index within the list"
    )]
    let idx = ((sorted.len() - 1) as f64 * share).round() as usize;
    sorted[idx]
}

fn main() {
    let mut limit = "60".to_owned();
    let mut list = None;
    let mut every = 1;
    let mut write = None;
    let mut names: Vec<String> = Vec::new();
    let mut args = std::env::args().skip(1);
    while let Some(arg) = args.next() {
        match arg.as_str() {
            "--limit" => limit = args.next().unwrap(),
            "--every" => every = args.next().unwrap().parse().unwrap(),
            "--write" => write = Some(PathBuf::from(args.next().unwrap())),
            "--list" => list = Some(args.next().unwrap()),
            "--bench" => {}
            _ => names.push(arg),
        }
    }
    if names.is_empty() {
        names = CLASSES.iter().map(|&name| name.to_owned()).collect();
    }
    if let Some(dir) = write {
        for name in &names {
            for case in class(name).unwrap().iter().step_by(every) {
                let dir = dir.join(name).join(case.name.replace(' ', "-"));
                std::fs::create_dir_all(&dir).unwrap();
                case.job.write(&dir);
            }
        }
        return;
    }
    let mut rows = String::from("class,instance,seconds,megabytes,proved,verified,value,bound\n");
    println!("| class | proved | verified | median s | 95 % s | worst s | worst gap | most MB |");
    println!("|---|--:|--:|--:|--:|--:|--:|--:|");
    for name in &names {
        let Some(cases) = class(name) else {
            println!("| {name} | no such class | | | | | | |");
            continue;
        };
        if cases.is_empty() {
            println!("| {name} | no instances here | | | | | | |");
            continue;
        }
        let outcomes: Vec<Outcome> = cases
            .iter()
            .step_by(every)
            .map(|case| run(case, &limit))
            .collect();
        let mut seconds: Vec<f64> = outcomes.iter().map(|outcome| outcome.seconds).collect();
        seconds.sort_by(f64::total_cmp);
        let proved = outcomes.iter().filter(|outcome| outcome.proved).count();
        let gap = outcomes
            .iter()
            .map(|outcome| (outcome.value - outcome.bound) as f64 / outcome.value.max(1) as f64)
            .fold(0.0, f64::max);
        let verified = outcomes.iter().filter(|outcome| outcome.verified).count();
        let megabytes = outcomes.iter().map(|outcome| outcome.megabytes);
        let megabytes = megabytes.fold(0.0, f64::max);
        println!(
            "| {name} | {proved}/{} | {verified} | {:.3} | {:.3} | {:.3} | {:.3} % | {megabytes:.0} |",
            outcomes.len(),
            at(&seconds, 0.5),
            at(&seconds, 0.95),
            at(&seconds, 1.0),
            100.0 * gap
        );
        for outcome in &outcomes {
            writeln!(
                rows,
                "{name},{},{:.4},{:.1},{},{},{},{}",
                outcome.name,
                outcome.seconds,
                outcome.megabytes,
                outcome.proved,
                outcome.verified,
                outcome.value,
                outcome.bound
            )
            .unwrap();
            if let Some(wrong) = &outcome.wrong {
                println!("    WRONG {}: {wrong}", outcome.name);
            } else if outcome.proved && !outcome.verified {
                println!("    UNVERIFIED {}", outcome.name);
            } else if !outcome.proved {
                println!(
                    "    open  {}: value {}, bound {}",
                    outcome.name, outcome.value, outcome.bound
                );
            }
        }
    }
    if let Some(path) = list {
        std::fs::write(path, rows).unwrap();
    }
}

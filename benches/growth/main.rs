//! How time and memory of the whole process grow with the size of a job: rails, lengths, sizes of board, frames.
//!
//! `cargo bench --bench growth -- [--limit SECONDS] [--plot FILE.svg]` prints a table, and draws it where a file is named.
//! The most memory that was in use is read from `/proc`, so elsewhere than on Linux it is told as 0.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    unreachable_pub,
    reason = "a bench program: it prints, it may stop at the first surprise, and its figures are times and sizes"
)]

#[path = "../drawn/frames.rs"]
mod drawn_frames;
#[path = "../classes/job_files.rs"]
mod job_files;
mod jobs;
#[path = "../drawn/lehmer.rs"]
mod lehmer;
mod plot;
#[path = "../classes/process.rs"]
mod process;
#[path = "../../tests/suite/texts.rs"]
mod texts;

use std::path::{Path, PathBuf};

use jobs::Count;

/// Jobs of each size.
const N_JOBS: u64 = 3;

/// What one run came to.
pub struct Run {
    /// How many of what is counted the job has.
    pub count: u64,
    /// Seconds of the whole process.
    pub seconds: f64,
    /// The most memory in use, in megabytes.
    pub megabytes: f64,
    /// Whether the plan is proved best.
    pub is_proved: bool,
    /// How far the bound may be below the value, as a share of it.
    pub gap: f64,
}

fn run(job: &Path, count: u64, limit: &str) -> Run {
    let planned = process::plan(job, limit);
    let answer = planned.answer.unwrap();
    let summary = &answer["summary"];
    let value = summary["value"].as_f64().unwrap();
    Run {
        count,
        seconds: planned.seconds,
        megabytes: planned.megabytes,
        is_proved: summary["proved_optimal"].as_bool().unwrap(),
        gap: (value - summary["lower_bound"].as_f64().unwrap()) / value.max(1.0),
    }
}

/// The value in the middle.
pub fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn main() {
    let mut limit = "20".to_owned();
    let mut plot = None;
    let mut args = std::env::args().skip(1);
    while let Some(arg) = args.next() {
        match arg.as_str() {
            "--limit" => limit = args.next().unwrap(),
            "--plot" => plot = Some(PathBuf::from(args.next().unwrap())),
            _ => {}
        }
    }
    println!("| counted | how many | proved | median s | worst s | worst gap | most MB |");
    println!("|---|--:|--:|--:|--:|--:|--:|");
    let mut all = Vec::new();
    for count in Count::ALL {
        let mut runs = Vec::new();
        for &step in count.steps() {
            let of_step: Vec<Run> = (1..=N_JOBS)
                .map(|number| {
                    let dir = tempfile::tempdir().unwrap();
                    let job = count.write(step, number, dir.path());
                    run(&job, step, &limit)
                })
                .collect();
            let most = |value: fn(&Run) -> f64| of_step.iter().map(value).fold(0.0, f64::max);
            println!(
                "| {} | {step} | {}/{N_JOBS} | {:.3} | {:.3} | {:.3} % | {:.0} |",
                count.name(),
                of_step.iter().filter(|run| run.is_proved).count(),
                median(of_step.iter().map(|run| run.seconds)),
                most(|run| run.seconds),
                100.0 * most(|run| run.gap),
                most(|run| run.megabytes),
            );
            runs.extend(of_step);
        }
        all.push((count.name(), runs));
    }
    if let Some(file) = plot {
        plot::draw(&file, &all);
    }
}

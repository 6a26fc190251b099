//! Papers: how long a page for 24, 70 and 500 frames takes beside its plan, and how large it is.
//!
//! `cargo bench --bench papers -- [JOB.toml …]`. The jobs, where none is named, are drawn by a fixed rule.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a bench program: it prints, and it may stop at the first surprise"
)]

#[path = "../tests/suite/disk.rs"]
mod disk;
#[path = "drawn/frames.rs"]
mod drawn_frames;
#[path = "drawn/lehmer.rs"]
mod lehmer;
#[path = "../tests/suite/texts.rs"]
mod texts;

use std::path::Path;
use std::time::Instant;

use disk::Disk;
use drawn_frames::drawn_frames;
use longpoint::job::Job;
use longpoint::load::{Boards, load_job};
use longpoint::paper::Papers;
use longpoint::pipeline::plan;
use longpoint::solve::Control;
use longpoint::tally::Summary;

/// The drawn job of so many frames.
fn frames(n_frames: u64) -> Job {
    let texts = drawn_frames(n_frames, 20_261);
    load_job(Path::new("job.toml"), &texts, Boards::Needed)
        .unwrap()
        .0
}

fn main() {
    let paths: Vec<String> = std::env::args()
        .skip(1)
        .filter(|argument| !argument.starts_with("--"))
        .collect();
    let jobs: Vec<(String, Job)> = if paths.is_empty() {
        let sizes = [24, 70, 500];
        sizes
            .map(|size| (format!("{size} frames"), frames(size)))
            .into()
    } else {
        let read = |path: String| {
            let job = load_job(Path::new(&path), &Disk, Boards::Needed).unwrap().0;
            (path, job)
        };
        paths.into_iter().map(read).collect()
    };
    println!(
        "{:24} {:>7} {:>8} {:>8} {:>9} {:>9}",
        "job", "boards", "plan s", "page s", "page KiB", "svg KiB"
    );
    for (name, job) in jobs {
        let started = Instant::now();
        let control = Control {
            stop: &|| false,
            progress: &|_| {},
        };
        let planned = plan(&job, &control).unwrap();
        let to_plan = started.elapsed().as_secs_f64();
        let summary = Summary::new(&planned.plan);
        let started = Instant::now();
        let papers = Papers::new(&summary, &[]);
        let page = papers.page();
        let to_page = started.elapsed().as_secs_f64();
        let drawings = papers.boards_svg();
        println!(
            "{name:24} {:7} {to_plan:8.3} {to_page:8.3} {:9} {:9}",
            planned.plan.boards.len(),
            page.len() / 1024,
            drawings.len() / 1024
        );
    }
}

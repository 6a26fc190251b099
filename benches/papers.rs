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
#[path = "../tests/suite/texts.rs"]
mod texts;

use std::fmt::Write as _;
use std::path::Path;
use std::time::Instant;

use disk::Disk;
use longpoint::job::Job;
use longpoint::load::{Boards, load_job};
use longpoint::paper::Papers;
use longpoint::pipeline::plan;
use longpoint::solve::Control;
use longpoint::tally::Summary;
use texts::Texts;

/// The Lehmer generator `x <- 16807 x mod (2^31 - 1)` (Park and Miller, 1988, CACM 31(10)).
struct Lehmer(u64);

impl Lehmer {
    fn between(&mut self, low: u64, high: u64) -> u64 {
        self.0 = self.0 * 16_807 % 2_147_483_647;
        low + self.0 * (high - low + 1) / 2_147_483_647
    }
}

/// So many frames of three mouldings, one to four copies to a line, most of them with a mat.
fn frames(n_frames: u64) -> Job {
    let mut draw = Lehmer(20_261);
    let mut job =
        String::from("frames = \"frames.csv\"\n[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n");
    for (wood, cents) in [("oak", 290), ("maple", 250), ("ash", 190)] {
        writeln!(
            job,
            "[[mouldings]]\nname = \"{wood} flat\"\nface-width = \"1 1/2\"\nlip = \"1/4\"\nrabbet-depth = \"5/8\"\n\
             material = \"{wood}\""
        )
        .unwrap();
        for feet in [6, 8, 10] {
            let cents = cents * feet;
            writeln!(
                job,
                "[[boards]]\nboard = \"{wood} {feet} ft\"\nmaterial = \"{wood}\"\nlength = \"{feet}'\"\nprice = {}.{:02}",
                cents / 100,
                cents % 100
            )
            .unwrap();
        }
    }
    let mut list = String::from("frame,quantity,moulding,art-width,art-height,mat-border\n");
    let (mut number, mut left) = (0, n_frames);
    while left > 0 {
        number += 1;
        let copies = draw.between(1, 4).min(left);
        left -= copies;
        let wood = ["oak", "maple", "ash"][usize::try_from(draw.between(0, 2)).unwrap()];
        // Halves of an inch, 6 to 24 in.
        let (width, height) = (draw.between(12, 48), draw.between(12, 48));
        let mat = ["", "2", "2 1/2"][usize::try_from(draw.between(0, 2)).unwrap()];
        writeln!(
            list,
            "picture {number},{copies},{wood} flat,{}.{},{}.{},{mat}",
            width / 2,
            width % 2 * 5,
            height / 2,
            height % 2 * 5
        )
        .unwrap();
    }
    let texts = Texts::from([("job.toml", job), ("frames.csv", list)]);
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
        let papers = Papers::new(&summary, &[], 1);
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

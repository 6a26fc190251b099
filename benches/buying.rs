//! Ways of buying: the comparison's own time beside the sum of its rows, each planned alone from nothing.
//!
//! `cargo bench --bench buying -- [--rows] [JOB.toml …]`; with `--rows` also the time of each row.
//! The jobs, where none is named: the demo, one of 40 frames and 12 kinds of board in three woods, and the same frames
//! from one wood in 12 lengths, one of which the vehicle does not take; the latter two are drawn by a fixed rule.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::float_arithmetic,
    reason = "a bench program: it prints, it may stop at the first surprise, and its figures are times"
)]

#[path = "../tests/suite/disk.rs"]
mod disk;
#[path = "drawn/lehmer.rs"]
mod lehmer;
#[path = "../tests/suite/texts.rs"]
mod texts;

use std::fmt::Write as _;
use std::path::Path;
use std::time::Instant;

use disk::Disk;
use lehmer::Lehmer;
use longpoint::compare::{Row, Steer, alone, compare};
use longpoint::job::Job;
use longpoint::load::{Boards, load_job};
use texts::Texts;

/// 40 frames from some woods, each in some lengths of whole feet; every third kind in short supply, one rack piece.
fn frames(woods: &[(&str, u64)], feet: &[u64], ways: &str) -> Job {
    let mut draw = Lehmer::new(20_261);
    let mut job = String::from(
        "frames = \"frames.csv\"\nboards = \"boards.csv\"\nrack = \"rack.csv\"\n\
         [saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n[buying]\nlongest = \"14'\"\n",
    );
    for (wood, _) in woods {
        writeln!(
            job,
            "[[mouldings]]\nname = \"{wood} flat\"\nface-width = \"1 1/2\"\nlip = \"1/4\"\nmaterial = \"{wood}\""
        )
        .unwrap();
    }
    job.push_str(ways);
    let mut frames = String::from("frame,moulding,art-width,art-height\n");
    for number in 1..=40_u64 {
        let wood = woods[usize::try_from(number).unwrap() % woods.len()].0;
        // Quarters of an inch, 6 to 28 in.
        let (width, height) = (draw.between(24, 112), draw.between(24, 112));
        writeln!(frames, "frame {number},{wood} flat,{width}/4,{height}/4").unwrap();
    }
    let mut boards = String::from("board,material,length,quantity,price\n");
    for (wood, cents_per_foot) in woods {
        for &feet in feet {
            let cents = feet * cents_per_foot * draw.between(930, 1_080) / 1_000 / 5 * 5;
            let quantity = if feet % 3 == 1 {
                draw.between(2, 5).to_string()
            } else {
                String::new()
            };
            writeln!(
                boards,
                "{wood} {feet},{wood},{feet}',{quantity},{}.{:02}",
                cents / 100,
                cents % 100
            )
            .unwrap();
        }
    }
    let rack = format!(
        "board,material,length,quantity,value\nrack,{},50,2,0\n",
        woods[0].0
    );
    let texts = Texts::from([
        ("job.toml", job),
        ("frames.csv", frames),
        ("boards.csv", boards),
        ("rack.csv", rack),
    ]);
    load_job(Path::new("job.toml"), &texts, Boards::Needed)
        .unwrap()
        .0
}

/// The jobs that stand in the table of results.
fn standard_jobs() -> Vec<(String, Job)> {
    let three = frames(
        &[("oak", 290), ("maple", 250), ("ash", 190)],
        &[6, 8, 10, 12],
        "[[ways]]\nname = \"short ones\"\nboards = [\"oak 6\", \"oak 8\", \"maple 6\", \"maple 8\", \"ash 6\", \"ash 8\"]\n",
    );
    let one = frames(
        &[("oak", 290)],
        &[4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 16],
        "[[ways]]\nname = \"short ones\"\nboards = [\"oak 4\", \"oak 5\", \"oak 6\", \"oak 7\"]\n\
         [[ways]]\nname = \"even ones\"\nboards = [\"oak 6\", \"oak 8\", \"oak 10\", \"oak 12\"]\n",
    );
    vec![
        ("demo".to_owned(), read("data/show/show.toml")),
        ("40 frames, 3 woods".to_owned(), three),
        ("40 frames, 1 wood".to_owned(), one),
    ]
}

fn read(path: &str) -> Job {
    load_job(Path::new(path), &Disk, Boards::Needed).unwrap().0
}

fn main() {
    let (options, paths): (Vec<String>, Vec<String>) = std::env::args()
        .skip(1)
        .partition(|arg| arg.starts_with("--"));
    let with_rows = options.iter().any(|option| option == "--rows");
    let jobs = if paths.is_empty() {
        standard_jobs()
    } else {
        paths
            .iter()
            .map(|path| (path.clone(), read(path)))
            .collect()
    };
    println!("| job | ways | proved | comparison s | rows alone s | ratio |");
    println!("|---|--:|--:|--:|--:|--:|");
    for (name, job) in jobs {
        let steer = Steer {
            stop: &|| false,
            progress: &|_, _| {},
        };
        let start = Instant::now();
        let comparison = compare(&job, &steer).unwrap();
        let seconds = start.elapsed().as_secs_f64();
        let proved = comparison
            .rows
            .iter()
            .filter(|row| Row::is_proved(row))
            .count();
        let mut sum = 0.0;
        let mut lines = String::new();
        for row in &comparison.rows {
            let start = Instant::now();
            let own = alone(&job, &row.way, &steer).unwrap().unwrap();
            let own_seconds = start.elapsed().as_secs_f64();
            if own.is_proved() && row.is_proved() {
                assert_eq!(own.plan.value, row.plan.value, "{:?}", row.way);
            }
            sum += own_seconds;
            writeln!(
                lines,
                "    {own_seconds:.3}  {:?} {} {}",
                row.way, row.plan.value, row.bound
            )
            .unwrap();
        }
        println!(
            "| {name} | {} | {proved} | {seconds:.3} | {sum:.3} | {:.1} |",
            comparison.rows.len(),
            sum / seconds
        );
        if with_rows {
            print!("{lines}");
        }
    }
}

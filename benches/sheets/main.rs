//! Sheets of rectangles, in memory: how many instances of each set are proved, in what time, and beside known optima.
//!
//! `cargo bench --bench sheets -- [--limit SECONDS] [SET …]`; without a set, all.
//! Five sets are drawn by the rules of the tests: `drawn`, 200 jobs of mats, glass and plywood in turn; `offcuts`, 30 with
//! single offcuts; `fallout`, 100 of mats with what drops out of their windows; `stages`, 60 of the mats in three stages of cuts
//! beside two; and `general`, 60 tiny jobs, each solved by a
//! general-purpose solver over all strips and sheets as well.
//! The others are CSV files in the folder `sheets` of the instances (see the README of this folder), with known figures by
//! set, instance and variant in `index.csv`; where they are not there, nothing is done.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    reason = "a bench program: it prints, it may stop at the first surprise, and its figures are times"
)]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Instant;

use longpoint::sheets::check::check_certificate;
use longpoint::sheets::job::{Along, Cutter, Item, Kind, SheetJob, Stages, Trim};
use longpoint::sheets::plan::SheetPlan;
use longpoint::sheets::{self, plan_sheets};
use longpoint::solve::Control;

#[path = "../../src/sheets/tests/drawn.rs"]
mod drawn;
mod general;

use drawn::{Draw, glass, mats, mats_with_fallout, offcuts, plywood, tiny};

/// The folder of instances, where there is one.
fn folder() -> Option<PathBuf> {
    let named = std::env::var_os("LONGPOINT_INSTANCES").map(PathBuf::from);
    let beside = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data");
    let folders = named.into_iter().chain([beside]);
    folders
        .map(|path| path.join("sheets"))
        .find(|path| path.is_dir())
}

/// What is known of an instance: no plan costs less than the first, some plan costs the second.
type Known = (i64, i64);

/// By set and variant, and there by instance.
fn known(folder: &Path) -> BTreeMap<(String, String), BTreeMap<String, Known>> {
    let mut known: BTreeMap<(String, String), BTreeMap<String, Known>> = BTreeMap::new();
    for row in csv::Reader::from_path(folder.join("index.csv"))
        .unwrap()
        .records()
    {
        let row = row.unwrap();
        if let (Ok(lower), Ok(upper)) = (row[6].parse(), row[7].parse()) {
            let set = known
                .entry((row[0].to_owned(), row[5].to_owned()))
                .or_default();
            set.insert(row[1].to_owned(), (lower, upper));
        }
    }
    known
}

/// `WIDTHxHEIGHT`.
fn size(text: &str) -> (i64, i64) {
    let (width, height) = text.split_once('x').unwrap();
    (width.parse().unwrap(), height.parse().unwrap())
}

/// One instance in a variant: turning as the items say, all or none; strips one way or both; fallout of windows or not.
fn job(row: &csv::StringRecord, columns: &csv::StringRecord, variant: &str) -> SheetJob {
    let field = |name: &str| {
        columns
            .iter()
            .position(|own| own == name)
            .map_or("0", |at| &row[at])
    };
    let trim: i64 = field("trim").parse().unwrap();
    let mut kinds: Vec<Kind> = (field("sheets").split(' '))
        .map(|part| {
            let parts: Vec<&str> = part.split(':').collect();
            let (width, height) = size(parts[0]);
            Kind {
                width,
                height,
                price: parts[1].parse().unwrap(),
                supply: parts[2].parse().ok(),
                trim: Trim::all(trim),
            }
        })
        .collect();
    let items: Vec<Item> = (field("items").split(' '))
        .map(|part| {
            let parts: Vec<&str> = part.split(':').collect();
            let (width, height) = size(parts[0]);
            Item {
                width,
                height,
                demand: parts[1].parse().unwrap(),
                turnable: variant == "turn" || variant.starts_with("as_given") && parts[2] == "1",
            }
        })
        .collect();
    if variant == "as_given_fallout" {
        // What drops out of a window is board again, less one unit at each side.
        for (window, item) in field("windows").split(' ').zip(&items) {
            let (width, height) = size(window);
            kinds.push(Kind {
                width: width - 2,
                height: height - 2,
                price: 0,
                supply: Some(item.demand),
                trim: Trim::default(),
            });
        }
    }
    let strips = match variant {
        "fixed_w" => Some(Along::Width),
        "fixed_h" => Some(Along::Height),
        _ => None,
    };
    let cutter = Cutter {
        kerf: field("kerf").parse().unwrap(),
        strips,
        stages: if variant == "as_given_three_stage" {
            Stages::Three
        } else {
            Stages::Two
        },
        ..Cutter::default()
    };
    SheetJob::new(items, kinds, cutter).unwrap()
}

/// The same job where third cuts may be made.
fn in_three(job: &SheetJob) -> SheetJob {
    let cutter = Cutter {
        stages: Stages::Three,
        ..job.cutter()
    };
    SheetJob::new(job.items().to_vec(), job.kinds().to_vec(), cutter).unwrap()
}

/// Plans of a set, counted up to a line of the table.
#[derive(Default)]
struct Line {
    seconds: Vec<f64>,
    n_proved: u32,
    longest_check: f64,
    open: Vec<String>,
    wrong: Vec<String>,
    dearer: usize,
}

impl Line {
    /// Plans a job and looks at its proof; what is known of it, where anything is, must not be contradicted.
    fn plan(&mut self, name: &str, job: &SheetJob, known: Option<Known>, limit: f64) -> SheetPlan {
        let start = Instant::now();
        let stop = || start.elapsed().as_secs_f64() > limit;
        let control = Control {
            stop: &stop,
            progress: &|_| {},
        };
        let plan = plan_sheets(job, &control);
        self.seconds.push(start.elapsed().as_secs_f64());
        let start = Instant::now();
        let is_certified = check_certificate(job, &plan.certificate).is_ok();
        self.longest_check = self.longest_check.max(start.elapsed().as_secs_f64());
        let proved_in = |stages: Stages| match stages {
            Stages::Two => plan.bound.cost,
            Stages::Three => plan.certificate.cost_in_three(),
        };
        let bound = proved_in(plan.stages());
        let is_proved = plan.n_missing() == 0 && plan.cost == bound;
        self.n_proved += u32::from(is_proved);
        if !is_proved {
            let open = format!("{name} {bound}-{}", plan.cost);
            self.open.push(open);
        }
        let (lower, upper) = known.unwrap_or((plan.cost, plan.cost));
        // What is known is of as many stages as are allowed.
        let is_too_high = proved_in(job.cutter().stages) > upper;
        if !is_certified || plan.n_missing() > 0 || plan.cost < lower || is_too_high {
            self.wrong.push(name.to_owned());
        } else if plan.cost > upper {
            self.dearer += 1;
        }
        plan
    }

    fn print(mut self, set: &str, variant: &str) {
        if self.seconds.is_empty() {
            return;
        }
        let n_jobs = self.seconds.len();
        self.seconds.sort_by(f64::total_cmp);
        let at = |percent: usize| self.seconds[(n_jobs * percent / 100).min(n_jobs - 1)];
        println!(
            "| {set} | {variant} | {}/{n_jobs} | {:.3} | {:.3} | {:.3} | {:.3} | {} | {} | {} |",
            self.n_proved,
            at(50),
            at(95),
            at(100),
            self.longest_check,
            self.dearer,
            self.wrong.join(" "),
            self.open.join(", "),
        );
    }
}

/// A rule by which jobs are drawn.
type Rule = fn(&mut Draw) -> SheetJob;

/// Jobs of one rule: what they are called, the rule, and how many.
type Drawn = (&'static str, Rule, u64);

/// One drawn set: a line of the table for each rule.
fn run_drawn(set: &str, rules: &[Drawn], limit: f64) {
    for &(variant, rule, n_jobs) in rules {
        let mut line = Line::default();
        for seed in 0..n_jobs {
            let job = rule(&mut Draw::new(1_000 + seed));
            line.plan(&format!("{variant}_{seed}"), &job, None, limit);
        }
        line.print(set, variant);
    }
}

/// One set in one variant: a line of the table.
fn run(folder: &Path, set: &str, variant: &str, known: &BTreeMap<String, Known>, limit: f64) {
    let mut rows = csv::Reader::from_path(folder.join(format!("{set}.csv"))).unwrap();
    let columns = rows.headers().unwrap().clone();
    let mut line = Line::default();
    for row in rows.records() {
        let row = row.unwrap();
        if let Some(&known) = known.get(&row[0]) {
            line.plan(&row[0], &job(&row, &columns, variant), Some(known), limit);
        }
    }
    line.print(set, variant);
}

fn main() {
    let mut limit = 5.0;
    let mut sets = Vec::new();
    let mut words = std::env::args().skip(1).filter(|word| word != "--bench");
    while let Some(word) = words.next() {
        if word == "--limit" {
            limit = words.next().unwrap().parse().unwrap();
        } else {
            sets.push(word);
        }
    }
    let is_wanted = |set: &str| sets.is_empty() || sets.iter().any(|own| own == set);
    println!(
        "| set | variant | proved | median s | 95 % s | worst s | check s | dearer | wrong | open |"
    );
    println!("|---|---|--:|--:|--:|--:|--:|--:|---|---|");
    let drawn: [(&str, &[Drawn]); 3] = [
        (
            "drawn",
            &[
                ("mats", mats, 67),
                ("glass", glass, 67),
                ("plywood", plywood, 66),
            ],
        ),
        ("offcuts", &[("glass", offcuts, 30)]),
        ("fallout", &[("mats", mats_with_fallout, 100)]),
    ];
    for (set, rules) in drawn {
        if is_wanted(set) {
            run_drawn(set, rules, limit);
        }
    }
    if let Some(folder) = folder() {
        for ((set, variant), known) in known(&folder) {
            if is_wanted(&set) {
                run(&folder, &set, &variant, &known, limit);
            }
        }
    }
    if is_wanted("stages") {
        beside_two_stages();
    }
    if is_wanted("general") {
        beside_general();
    }
}

/// Drawn mats in two stages of cuts, and in three: what the third stage saves, and what the search for it takes.
fn beside_two_stages() {
    let control = Control {
        stop: &|| false,
        progress: &|_| {},
    };
    let (mut two, mut three) = (Vec::new(), Vec::new());
    let (mut savings, mut cheaper) = (Vec::new(), Vec::new());
    let (mut n_proved, mut n_wrong) = (0, 0);
    for seed in 0..60 {
        let job = mats(&mut Draw::new(1_000 + seed));
        let start = Instant::now();
        let in_two = plan_sheets(&job, &control);
        two.push(start.elapsed().as_secs_f64());
        let start = Instant::now();
        let plan = plan_sheets(&in_three(&job), &control);
        three.push(start.elapsed().as_secs_f64());
        assert!(plan.cost <= in_two.cost && plan.n_missing() <= in_two.n_missing());
        n_proved += usize::from(plan.certificate.cost_in_three() == plan.cost);
        n_wrong += usize::from(check_certificate(&job, &plan.certificate).is_err());
        savings.push(1.0 - plan.cost as f64 / in_two.cost.max(1) as f64);
        if plan.cost < in_two.cost {
            cheaper.push(format!("{seed}: {} {}", in_two.cost, plan.cost));
        }
    }
    println!();
    println!(
        "| stages | jobs | cheaper | mean saving % | none cheaper in three proved | wrong proofs | median s | 95 % s | worst s | which |"
    );
    println!("|---|--:|--:|--:|--:|--:|--:|--:|--:|---|");
    let mean = 100.0 * savings.iter().sum::<f64>() / savings.len() as f64;
    let rows = [
        ("two", two, (0, 0, 0), 0.0, String::new()),
        (
            "three",
            three,
            (cheaper.len(), n_proved, n_wrong),
            mean,
            cheaper.join(", "),
        ),
    ];
    for (stages, mut seconds, (n_cheaper, n_proved, n_wrong), mean, which) in rows {
        seconds.sort_by(f64::total_cmp);
        let at = |percent: usize| seconds[(seconds.len() * percent / 100).min(seconds.len() - 1)];
        println!(
            "| {stages} | {} | {n_cheaper} | {mean:.2} | {n_proved} | {n_wrong} | {:.3} | {:.3} | {:.3} | {which} |",
            seconds.len(),
            at(50),
            at(95),
            at(100),
        );
    }
}

/// Tiny jobs by the solver and by the general-purpose one, side by side.
fn beside_general() {
    let (mut own, mut other) = (Vec::new(), Vec::new());
    let (mut n_equal, mut differ) = (0, Vec::new());
    for seed in 0..60 {
        let job = tiny(&mut Draw::new(seed));
        let start = Instant::now();
        let control = Control {
            stop: &|| false,
            progress: &|_| {},
        };
        let plan = plan_sheets(&job, &control);
        own.push(start.elapsed().as_secs_f64());
        let start = Instant::now();
        let best = general::best(&job);
        other.push(start.elapsed().as_secs_f64());
        if best == Some((plan.n_missing(), plan.cost)) {
            n_equal += 1;
        } else {
            differ.push(format!(
                "{seed}: {best:?}, {:?}",
                (plan.n_missing(), plan.cost)
            ));
        }
    }
    println!();
    println!("| solver | jobs | equal | median s | 95 % s | worst s | differ |");
    println!("|---|--:|--:|--:|--:|--:|---|");
    for (solver, mut seconds) in [("own", own), ("microlp, through good_lp", other)] {
        seconds.sort_by(f64::total_cmp);
        let at = |percent: usize| seconds[(seconds.len() * percent / 100).min(seconds.len() - 1)];
        println!(
            "| {solver} | {} | {n_equal} | {:.4} | {:.4} | {:.4} | {} |",
            seconds.len(),
            at(50),
            at(95),
            at(100),
            differ.join("; "),
        );
    }
}

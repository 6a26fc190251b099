//! Sheets of rectangles, in memory: how many instances of each set are proved, in what time, and beside known optima.
//!
//! `cargo bench --bench sheets -- [--limit SECONDS] [SET …]`; without a set, all.
//! Sets are CSV files in the folder `sheets` of the instances (see the README of this folder), with known figures by set,
//! instance and variant in `index.csv`; where they are not there, nothing is done.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a bench program: it prints, it may stop at the first surprise, and its figures are times"
)]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Instant;

use longpoint::sheets::check::check_certificate;
use longpoint::sheets::job::{Along, Cutter, Item, Kind, SheetJob, Trim};
use longpoint::sheets::plan_sheets;
use longpoint::solve::Control;

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
        ..Cutter::default()
    };
    SheetJob::new(items, kinds, cutter).unwrap()
}

/// One set in one variant: a line of the table.
fn run(folder: &Path, set: &str, variant: &str, known: &BTreeMap<String, Known>, limit: f64) {
    let mut rows = csv::Reader::from_path(folder.join(format!("{set}.csv"))).unwrap();
    let columns = rows.headers().unwrap().clone();
    let mut seconds = Vec::new();
    let (mut n_proved, mut longest_check) = (0, 0.0_f64);
    let (mut open, mut wrong, mut dearer) = (Vec::new(), Vec::new(), Vec::new());
    for row in rows.records() {
        let row = row.unwrap();
        let Some(&(lower, upper)) = known.get(&row[0]) else {
            continue;
        };
        let job = job(&row, &columns, variant);
        let start = Instant::now();
        let stop = || start.elapsed().as_secs_f64() > limit;
        let control = Control {
            stop: &stop,
            progress: &|_| {},
        };
        let plan = plan_sheets(&job, &control);
        seconds.push(start.elapsed().as_secs_f64());
        let start = Instant::now();
        let is_certified = check_certificate(&job, &plan.certificate).is_ok();
        longest_check = longest_check.max(start.elapsed().as_secs_f64());
        let is_proved = plan.n_missing() == 0 && plan.cost == plan.bound.cost;
        n_proved += u32::from(is_proved);
        if !is_proved {
            open.push(format!("{} {}-{}", &row[0], plan.bound.cost, plan.cost));
        }
        if !is_certified || plan.n_missing() > 0 || plan.cost < lower || plan.bound.cost > upper {
            wrong.push(row[0].to_owned());
        } else if plan.cost > upper {
            dearer.push(row[0].to_owned());
        }
    }
    if seconds.is_empty() {
        return;
    }
    seconds.sort_by(f64::total_cmp);
    let at = |percent: usize| seconds[(seconds.len() * percent / 100).min(seconds.len() - 1)];
    println!(
        "| {set} | {variant} | {n_proved}/{} | {:.3} | {:.3} | {:.3} | {longest_check:.3} | {} | {} | {} |",
        seconds.len(),
        at(50),
        at(95),
        at(100),
        dearer.len(),
        wrong.join(" "),
        open.join(", "),
    );
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
    let Some(folder) = folder() else {
        println!("no folder of instances is there");
        return;
    };
    println!(
        "| set | variant | proved | median s | 95 % s | worst s | check s | dearer | wrong | open |"
    );
    println!("|---|---|--:|--:|--:|--:|--:|--:|---|---|");
    for ((set, variant), known) in known(&folder) {
        let is_wanted = sets.is_empty() || sets.contains(&set);
        if is_wanted && variant != "as_given_three_stage" {
            run(&folder, &set, &variant, &known, limit);
        }
    }
}

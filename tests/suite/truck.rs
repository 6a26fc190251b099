//! The truck: two yards, a vehicle that takes eight feet, boards cut at the yard, bought otherwise than planned, and a rail
//! spoiled at the bench; all of it through the command line, from one list to the next.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fs;
use std::path::Path;

use crate::command::{longpoint, text};

use tempfile::TempDir;

/// The demo in a folder of its own.
fn truck() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/truck");
    for entry in fs::read_dir(demo).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), folder.path().join(entry.file_name())).unwrap();
    }
    folder
}

/// What a command that does its work prints, nothing of it wider than a page of 80 columns.
fn run(folder: &TempDir, args: &[&str]) -> String {
    let output = longpoint(folder.path(), args);
    assert_eq!(text(&output.stderr), "", "{args:?}");
    assert_eq!(output.status.code(), Some(0), "{args:?}");
    let text = text(&output.stdout);
    let wide = text.lines().find(|line| line.chars().count() > 80);
    assert_eq!(wide, None, "{args:?}");
    text
}

fn file(folder: &TempDir, name: &str) -> String {
    fs::read_to_string(folder.path().join(name)).unwrap()
}

/// The figure in front of ` USD` on the first line that has it and begins so.
fn amount(text: &str, begins: &str) -> String {
    let line = text.lines().find(|line| line.starts_with(begins)).unwrap();
    let words: Vec<&str> = line.split_whitespace().collect();
    let at = words.iter().position(|word| word.starts_with("USD"));
    words[at.unwrap() - 1].to_owned()
}

#[test]
fn what_buy_shows_is_what_plan_buys_and_what_the_list_says() {
    let folder = truck();
    let shown = run(&folder, &["buy", "truck.toml"]);
    assert!(shown.contains("PROVED CHEAPEST"), "{shown}");
    // The hill yard's boards as they are cost more than the river yard's, and cut there less.
    let cheapest = amount(&shown, "Cut at the yard: ");
    for (way, begins) in [
        ("cut at the yard", ""),
        ("best mix uncut", "Way of buying: "),
        ("river yard", "Way of buying: "),
    ] {
        let row = format!("  {way}");
        let line = shown.lines().find(|line| line.starts_with(&row)).unwrap();
        let plan = run(&folder, &["plan", "truck.toml", "--way", way]);
        assert!(plan.contains(begins), "{plan}");
        let bought = plan
            .lines()
            .find(|line| line.contains(" boards for "))
            .unwrap();
        let money = bought.split(" boards for ").nth(1).unwrap();
        let money = money.trim_end_matches(" USD.");
        assert!(line.contains(money), "{line} {money}");
    }
    let plan = run(&folder, &["plan", "truck.toml", "--out", "planned"]);
    assert!(plan.contains(&format!("for {cheapest} USD.")), "{plan}");
    assert!(
        plan.contains("0.50 USD for each cut is in the price"),
        "{plan}"
    );
    run(&folder, &["verify", "truck.toml", "planned/plan.json"]);
    let list = file(&folder, "planned/buying-list.csv");
    let sum: i64 = list
        .lines()
        .skip(1)
        .map(|row| {
            let all = row.split(',').nth(15).unwrap();
            all.replace('.', "").parse::<i64>().unwrap()
        })
        .sum();
    assert_eq!(sum.to_string(), cheapest.replace('.', ""));
    let pocket = file(&folder, "planned/pocket.txt");
    assert!(
        pocket.lines().all(|line| line.chars().count() <= 40),
        "{pocket}"
    );
    assert!(
        pocket.contains("cut at") && pocket.contains("none left: take"),
        "{pocket}"
    );
}

#[test]
fn a_list_filled_in_as_it_asks_is_planned_for_the_same_money() {
    let folder = truck();
    run(&folder, &["plan", "truck.toml", "--out", "planned"]);
    let list = file(&folder, "planned/buying-list.csv");
    let filled: Vec<String> = list
        .lines()
        .map(|row| match row.split_once(",,") {
            Some((take, rest)) => format!("{take},{take},{rest}"),
            None => row.to_owned(),
        })
        .collect();
    fs::write(
        folder.path().join("buying-list.csv"),
        filled.join("\n") + "\n",
    )
    .unwrap();
    let planned = run(&folder, &["plan", "home.toml", "--out", "home"]);
    assert!(
        planned.contains("242.40 USD paid; all are used."),
        "{planned}"
    );
    assert!(planned.contains("PROVED BEST"), "{planned}");
    assert!(!planned.contains("The vehicle's limit"), "{planned}");
    run(&folder, &["verify", "home.toml", "home/plan.json"]);
}

#[test]
fn what_was_bought_otherwise_is_cut_and_a_spoiled_rail_is_cut_again() {
    let folder = truck();
    let planned = run(&folder, &["plan", "home.toml", "--out", "home"]);
    // Derived: 2 * 15.20 + 7 * 28.40 + 24.30.
    assert!(
        planned.contains("Bought: 10 boards, 253.50 USD paid"),
        "{planned}"
    );
    run(&folder, &["verify", "home.toml", "home/plan.json"]);
    let rest = run(
        &folder,
        &[
            "replan",
            "home.toml",
            "home/plan.json",
            "--done",
            "A1:1",
            "--spoiled",
            "A1:2=15",
            "--out",
            "home",
        ],
    );
    assert!(rest.contains("Spoiled, to be cut again"), "{rest}");
    run(&folder, &["verify", "home.toml", "home/rest.json"]);
    // Nothing is typed twice, and nothing is lost: rack and bought wood come to what is said of it.
    for name in ["home/wood-balance.csv", "home/rest-wood-balance.csv"] {
        let table = file(&folder, name);
        let mut lines = table.lines();
        let heads: Vec<&str> = lines.next().unwrap().split(',').collect();
        let row: Vec<&str> = lines.next().unwrap().split(',').collect();
        let nm = |head: &str| -> i128 {
            let at = heads
                .iter()
                .position(|other| *other == format!("{head}-nm"));
            row[at.unwrap()].parse().unwrap()
        };
        let uses = [
            "parts",
            "spoiled",
            "rack-after",
            "end-trims",
            "kerfs",
            "scrap",
            "ripped",
        ];
        let uses: i128 = uses.into_iter().map(nm).sum();
        assert_eq!(nm("rack-before") + nm("bought"), uses, "{name}: {table}");
    }
}

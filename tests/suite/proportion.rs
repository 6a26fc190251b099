//! Prices out of all proportion: they cost neither time nor proof.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::sync::atomic::{AtomicU32, Ordering};

use crate::jobs::{self, demo, load_text};
use longpoint::job::Job;
use longpoint::money::Money;
use longpoint::pipeline::{Planned, plan};
use longpoint::plan::Verdict;
use longpoint::planfile::{PlanFile, verify};
use longpoint::solve::Control;
use longpoint::stock::Price;
use proptest::prelude::*;

/// The plan of a job, which must be proved after so many looks at the clock at the most, and verified.
fn proved(job: &Job, most_asked: u32) -> Planned {
    let n_asked = AtomicU32::new(0);
    let control = Control {
        stop: &|| n_asked.fetch_add(1, Ordering::Relaxed) > most_asked,
        progress: &|_| {},
    };
    let planned = plan(job, &control).unwrap();
    assert_eq!(planned.plan.verdict, Verdict::Optimal);
    let verified = verify(job, &PlanFile::of(&planned).text()).unwrap();
    assert_eq!(verified.findings, []);
    assert_eq!(verified.proved, planned.plan.value);
    planned
}

#[test]
fn one_more_board_at_ten_million_changes_nothing_of_the_demo() {
    let job = demo("show");
    let without = proved(&job, 400);
    for board_idx in 0..job.boards.len() {
        let mut spec = job.spec();
        let mut dear = spec.boards[board_idx].clone();
        "dear".clone_into(&mut dear.name);
        dear.price = Some(Price::Each(Money::from_minor(1_000_000_001)));
        dear.length = dear.length * 3;
        dear.quantity = None;
        spec.boards.push(dear);
        let (job, _) = Job::new(spec).unwrap();
        assert_eq!(proved(&job, 400).plan.value, without.plan.value);
    }
}

#[test]
fn four_pieces_at_a_price_of_one_and_of_a_billion_are_proved() {
    for (quantity, value) in [("", 400), ("quantity = 4\n", 400)] {
        let text = format!(
            "[saw]\nkerf = \"1/8\"\nend-trim = 0\n[[pieces]]\npiece = \"p\"\nlength = 20\nquantity = 4\n\
             [[boards]]\nboard = \"cheap\"\nlength = 24\nprice = 1\n{quantity}\
             [[boards]]\nboard = \"dear\"\nlength = 96\nprice = 1000000000\n"
        );
        assert_eq!(proved(&load_text(text), 100).plan.value, value);
    }
}

proptest! {
    #![proptest_config(cases!(40))]

    #[test]
    fn a_board_dearer_than_a_whole_plan_is_as_good_as_none(
        pieces in prop::collection::vec((5_u32..30, 1_u32..6), 1..6),
        boards in prop::collection::vec((30_u32..100, 2_u32..9), 1..4),
        dear in (30_u32..300, 100_000_u32..900_000_000),
    ) {
        let mut text = String::from("[saw]\nkerf = \"1/8\"\nend-trim = 0\n");
        for (idx, (length, quantity)) in pieces.iter().enumerate() {
            text += &format!("[[pieces]]\npiece = \"p{idx}\"\nlength = {length}\nquantity = {quantity}\n");
        }
        for (idx, (length, price)) in boards.iter().enumerate() {
            text += &format!("[[boards]]\nboard = \"b{idx}\"\nlength = {length}\nprice = {price}\n");
        }
        let without = jobs::planned(&load_text(text.as_str())).plan;
        text += &format!("[[boards]]\nboard = \"dear\"\nlength = {}\nprice = {}\n", dear.0, dear.1);
        let with = proved(&load_text(text), 400).plan;
        prop_assert_eq!((without.verdict, without.value), (Verdict::Optimal, with.value));
    }
}

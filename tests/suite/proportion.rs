//! Prices out of all proportion: they cost neither time nor proof.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::sync::Mutex;
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

/// Where the others cost more than one dear board, it may take the place of many.
#[test]
fn a_dear_board_that_takes_the_place_of_many_is_bought_and_no_bound_above_the_value_is_told() {
    // One rail asks for a dear board, 400 are cut from either; 400 cheap ones cost more than a dear one.
    let text = "[saw]\nkerf = \"1/8\"\nend-trim = 0\n\
                [[pieces]]\npiece = \"long\"\nlength = 180\nquantity = 1\n\
                [[pieces]]\npiece = \"short\"\nlength = 50\nquantity = 400\n\
                [[boards]]\nboard = \"cheap\"\nlength = 52\nprice = 1\n\
                [[boards]]\nboard = \"mid\"\nlength = 60\nprice = 1.2\n\
                [[boards]]\nboard = \"dear\"\nlength = 9500\nprice = 120\n";
    let job = load_text(text);
    let told = Mutex::new(Vec::new());
    let control = Control {
        stop: &|| false,
        progress: &|progress| told.lock().unwrap().push(progress),
    };
    let planned = plan(&job, &control).unwrap();
    assert_eq!(planned.plan.verdict, Verdict::Optimal);
    // Derived: a dear board of 9500 in holds the long rail and 185 short ones, as 180 1/8 + 185 * 50 1/8 = 9453 1/4 in and a
    // kerf less for the last; a second one 189 more. 26 are left for cheap ones: 2 * 120 + 26.
    assert_eq!(planned.plan.value, 26_600);
    assert_eq!(proved(&job, 4_000).plan.value, 26_600);
    for progress in told.into_inner().unwrap() {
        assert!(progress.bound <= 26_600, "{progress:?}");
    }
}

/// Prices of parts stay within what a certificate may have.
#[test]
fn thousands_of_dear_boards_keep_their_certificate() {
    let text = "[saw]\nkerf = \"1/8\"\nend-trim = 0\n\
                [[pieces]]\npiece = \"long\"\nlength = 100\nquantity = 5000\n\
                [[pieces]]\npiece = \"short\"\nlength = 10\nquantity = 7\n\
                [[boards]]\nboard = \"cheap\"\nlength = 24\nprice = 1\n\
                [[boards]]\nboard = \"dear\"\nlength = 192\nprice = 10000\n";
    // Each long rail takes a dear board, which has room for the short ones.
    assert_eq!(
        proved(&load_text(text), 4_000).plan.value,
        5_000 * 1_000_000
    );
}

/// The fewest dear boards, and the least cost of the others beside them, by trying which rails lie on which board.
///
/// `left` are the lengths that still have no board, `boards` the cheap ones as `(usable, price)`, one of each.
fn least(left: &[i64], boards: &[(i64, i64)], dear: i64) -> (u32, i64) {
    /// All ways to choose what lies on one board of `room`, each with the rest.
    fn choices(left: &[i64], room: i64) -> Vec<Vec<i64>> {
        let Some((&first, others)) = left.split_first() else {
            return vec![Vec::new()];
        };
        let without = choices(others, room).into_iter().map(|mut rest| {
            rest.push(first);
            rest
        });
        let mut all: Vec<Vec<i64>> = without.collect();
        if first <= room {
            all.extend(choices(others, room - first));
        }
        all
    }
    if left.is_empty() {
        return (0, 0);
    }
    let Some((&(room, price), others)) = boards.split_first() else {
        // Dear boards alone: the first rail lies on some board.
        let mut best = u32::MAX;
        for rest in choices(&left[1..], dear - left[0]) {
            best = best.min(1 + least(&rest, boards, dear).0);
        }
        return (best, 0);
    };
    let mut best = least(left, others, dear);
    for rest in choices(left, room) {
        let (n_dear, cost) = least(&rest, others, dear);
        best = best.min((n_dear, cost + price));
    }
    best
}

proptest! {
    #![proptest_config(cases!(60))]

    #[test]
    fn a_dear_board_that_is_needed_is_taken_as_seldom_as_can_be_and_the_rest_is_the_cheapest(
        lengths in prop::collection::vec(10_i64..40, 2..7),
        boards in prop::collection::vec((20_i64..60, 1_i64..20), 1..4),
        usable in 40_i64..70,
        price in 3_u32..10,
    ) {
        // Without kerf and trim a board holds what it is long.
        let mut text = String::from("[saw]\nkerf = 0\nend-trim = 0\n");
        for (idx, length) in lengths.iter().enumerate() {
            text += &format!("[[pieces]]\npiece = \"p{idx}\"\nlength = {length}\nquantity = 1\n");
        }
        for (idx, (length, price)) in boards.iter().enumerate() {
            text += &format!("[[boards]]\nboard = \"b{idx}\"\nlength = {length}\nprice = {price}\nquantity = 1\n");
        }
        let price = 10_i64.pow(price);
        text += &format!("[[boards]]\nboard = \"dear\"\nlength = {usable}\nprice = {price}\n");
        let (n_dear, cost) = least(&lengths, &boards, usable);
        let value = 100 * (i64::from(n_dear) * price + cost);
        prop_assert_eq!(proved(&load_text(text), 1_000).plan.value, value);
    }
}

proptest! {
    #![proptest_config(cases!(30))]

    #[test]
    fn what_is_missing_beside_a_dear_board_is_proved_too(
        pieces in prop::collection::vec((10_u32..44, 1_u32..4), 2..7),
        boards in prop::collection::vec((48_u32..100, 5_u32..30), 1..4),
        (length, price, quantity) in (44_u32..100, 3_u32..9, 1_u32..3),
    ) {
        let mut text = String::from("[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n");
        for (idx, (length, quantity)) in pieces.iter().enumerate() {
            text += &format!("[[pieces]]\npiece = \"p{idx}\"\nlength = {length}\nquantity = {quantity}\n");
        }
        for (idx, (length, price)) in boards.iter().enumerate() {
            text += &format!("[[boards]]\nboard = \"b{idx}\"\nlength = {length}\nprice = {price}.25\nquantity = 1\n");
        }
        let price = 10_i64.pow(price);
        text += &format!("[[boards]]\nboard = \"dear\"\nlength = {length}\nprice = {price}\nquantity = {quantity}\n");
        let job = load_text(text);
        let planned = jobs::planned(&job);
        prop_assert_eq!(planned.plan.verdict, Verdict::Optimal);
        let verified = verify(&job, &PlanFile::of(&planned).text()).unwrap();
        prop_assert_eq!(&verified.findings, &[]);
        prop_assert_eq!(verified.proved, planned.plan.value);
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

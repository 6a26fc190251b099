//! What a purchase depends on: what is told of it within little work, against planning each changed job by itself.

use std::fmt::Write as _;

use super::{STEER, compared, load, planned};
use longpoint::compare::{NotBought, Reasons, find_reasons, find_reasons_within};
use longpoint::job::Job;
use longpoint::money::Money;
use longpoint::report::csv::{not_bought_csv, what_if_csv};
use longpoint::report::sections::ways_sheet;
use longpoint::report::text::set;
use longpoint::solve::Share;
use longpoint::stock::Price;

use crate::look::LOOK;

/// Frames of one wood from boards of irregular prices, drawn by a fixed rule.
fn drawn(seed: u64, n_frames: usize) -> Job {
    let mut state = seed;
    let mut draw = |least: u64, most: u64| {
        state = state * 48_271 % 2_147_483_647;
        least + state % (most - least + 1)
    };
    let mut frames = String::from("frame,moulding,art-width,art-height\n");
    for number in 1..=n_frames {
        let (width, height) = (draw(6, 28), draw(6, 28));
        writeln!(frames, "frame {number},flat,{width},{height}.5").unwrap();
    }
    let mut boards = String::from("board,length,quantity,price\n");
    for feet in 4..=9 {
        let cents = feet * 290 * draw(930, 1_080) / 1_000;
        let quantity = if feet % 3 == 1 { "3" } else { "" };
        writeln!(
            boards,
            "b{feet},{feet}',{quantity},{}.{:02}",
            cents / 100,
            cents % 100
        )
        .unwrap();
    }
    load(&[
        (
            "job.toml",
            "frames = \"frames.csv\"\nboards = \"boards.csv\"\n[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n\
             [[mouldings]]\nname = \"flat\"\nface-width = \"1 1/2\"\nlip = \"1/4\"\n\
             [[rack]]\nboard = \"end\"\nlength = 31\nvalue = \"1.10\"\n",
        ),
        ("frames.csv", &frames),
        ("boards.csv", &boards),
    ])
}

/// Nothing is told that planning the changed job belies.
fn hold(job: &Job, reasons: &Reasons) {
    let purchase = planned(job);
    for what_if in &reasons.what_ifs {
        let (least, most) = what_if.more(&purchase).unwrap();
        let truth = planned(&what_if.job).value - purchase.value;
        assert!(
            (least..=most).contains(&truth),
            "{:?}: {truth} is not in {least} to {most}",
            what_if.change
        );
    }
    for board in &reasons.not_bought {
        let is_cheaper = |price: i64| {
            let price = Price::Each(Money::from_minor(price));
            planned(&job.with_price(board.board_idx, price)).value < purchase.value
        };
        if let Some(pays) = board.pays_at {
            assert!(is_cheaper(pays.minor()));
        }
        let above = board.at_most.map_or(0, |most| most.minor() + 1);
        assert!(!is_cheaper(above), "{board:?}");
        assert!(board.pays_at <= board.at_most);
    }
}

#[test]
fn what_is_told_within_little_work_holds_the_truth() {
    for (seed, n_frames) in [(7, 4), (11, 6)] {
        let job = drawn(seed, n_frames);
        let comparison = compared(&job);
        let little = find_reasons_within(&comparison, Share::steps(1), &STEER).unwrap();
        hold(&job, &little);
        // The same is told every time.
        let again = find_reasons_within(&comparison, Share::steps(1), &STEER).unwrap();
        assert_eq!(little, again);
        assert_eq!(
            what_if_csv(&job, &comparison, &little).lines().count(),
            little.what_ifs.len() + 1
        );
        // Of prices nothing is known with so little but that none is bought at what it costs.
        for board in &little.not_bought {
            assert!(board.pays_at.is_none() && !board.is_proved());
            assert_eq!(board.at_most.unwrap().minor(), board.price.minor() - 1);
        }
        let much = find_reasons(&comparison, &STEER).unwrap();
        hold(&job, &much);
        assert!(much.not_bought.iter().all(NotBought::is_proved));
    }
}

#[test]
fn two_amounts_are_said_to_be_two() {
    let job = drawn(11, 6);
    let comparison = compared(&job);
    let mut reasons = find_reasons_within(&comparison, Share::steps(1), &STEER).unwrap();
    // What is not proved is a range in the text, and has both ends in the table.
    let purchase = &comparison.best_mix().plan;
    let what_if = &mut reasons.what_ifs[0];
    what_if.plan.verdict = longpoint::plan::Verdict::WorkLimit;
    what_if.plan.value = purchase.value - 100;
    what_if.plan.lower_bound = purchase.value - 150;
    assert_eq!(what_if.more(purchase), Some((-150, -100)));
    let sheet = ways_sheet(&job, &comparison, Some(&reasons), false);
    let text = set(&sheet, LOOK);
    assert!(text.contains("1.00 to 1.50 less"), "{text}");
    assert!(text.contains("at least 0.01"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80));
    // What is shown before the rest is known stands at its head in the end.
    let before = set(&ways_sheet(&job, &comparison, None, false), LOOK);
    assert!(text.starts_with(&before));
    assert!(what_if_csv(&job, &comparison, &reasons).contains("-1.00,-1.50,"));
    assert!(not_bought_csv(&job, &reasons).starts_with("board,price,pays-at,at-most,"));
}

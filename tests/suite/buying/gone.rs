//! A way of buying planned by its name: the same boards and money as in its row, and a file that says all that `verify` and
//! `replan` need.

use std::path::Path;

use longpoint::compare::{list_ways, plan_way, woods_to_buy};
use longpoint::job::{Job, Way};
use longpoint::length::Length;
use longpoint::load::{Boards, load_job};
use longpoint::planfile::{PlanFile, Standing, read_bench, verify};
use longpoint::report::sections::plan_sheet;
use longpoint::report::text::set;
use longpoint::report::way_words::{find_way, row_name, way_name};
use longpoint::tally::Summary;
use proptest::prelude::*;

use super::random::shops_with_limits;
use super::{compared, demo, load, planned, row, small};
use crate::jobs::CONTROL;
use crate::look::LOOK;
use crate::texts::Texts;

/// Plans every row of a job by the name that it is printed under, and holds it against the row.
fn check_rows(job: &Job) {
    let comparison = compared(job);
    for row in &comparison.rows {
        let name = row_name(job, &comparison, &row.way);
        let way = find_way(job, &name).unwrap();
        assert_eq!(way, row.way, "{name}");
        let found = plan_way(job, &way, &CONTROL).unwrap().unwrap();
        assert_eq!(found.plan.boards, row.plan.boards, "{name}");
        assert_eq!(found.plan.value, row.plan.value, "{name}");
        assert_eq!(found.plan.missing, row.plan.missing, "{name}");
        // What is proved is proved of this way; the vehicle is no part of what it costs.
        let told = set(&plan_sheet(&Summary::new(&found.plan)), LOOK);
        let is_limited = found.plan.job.buying.gone.is_some();
        assert!(
            !is_limited || !told.contains("PROVED BEST: no plan costs"),
            "{told}"
        );
        assert!(
            !is_limited || !told.contains("The vehicle's limit"),
            "{told}"
        );
        let text = PlanFile::of(&found).text();
        let verified = verify(job, &text).unwrap();
        assert_eq!(
            verified.standing(),
            Standing::Holds,
            "{name}: {:?}",
            verified.findings
        );
        assert_eq!(verified.is_best(), row.is_proved(), "{name}");
        let (bench, _) = read_bench(job, &text).unwrap().unwrap();
        assert_eq!(bench.job(), &found.plan.job, "{name}");
    }
}

proptest! {
    #![proptest_config(cases!(50))]

    #[test]
    fn every_row_of_drawn_jobs_is_planned_by_its_name(shop in shops_with_limits()) {
        check_rows(&shop.load());
    }
}

#[test]
fn every_row_of_jobs_with_several_woods_a_tally_and_another_yard_is_planned_by_its_name() {
    for job in [
        small(),
        demo("data/show/show.toml"),
        demo("data/rough/rough.toml"),
    ] {
        check_rows(&job);
    }
}

#[test]
fn names_and_codes_of_ways_are_understood_and_no_two_are_alike() {
    let job = demo("data/show/show.toml");
    let woods = woods_to_buy(&job);
    assert!(woods.len() > 1);
    let ways = list_ways(&job);
    let names: Vec<String> = ways.iter().map(|way| way_name(&job, &woods, way)).collect();
    let mut unlike = names.clone();
    unlike.sort();
    unlike.dedup();
    assert_eq!(unlike.len(), names.len());
    assert_eq!(find_way(&job, "AT-MOST-2"), Ok(Way::AtMost(2)));
    assert_eq!(find_way(&job, "best-mix"), Ok(Way::BestMix));
    assert_eq!(find_way(&job, "no-yard-limits"), Ok(Way::EnoughOfAll));
    assert_eq!(find_way(&job, "6 ft alone"), Err(names));
}

#[test]
fn a_way_of_the_users_own_goes_before_one_of_the_same_name() {
    let job = load(&[
        (
            "job.toml",
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n\
             [[ways]]\nname = \"Best Mix\"\nboards = [\"four\"]\n",
        ),
        ("pieces.csv", "piece,length,quantity\np,20,3\n"),
        ("boards.csv", "board,length,price\nfour,4',5\nsix,6',6\n"),
    ]);
    assert_eq!(find_way(&job, "best mix"), Ok(Way::Own(0)));
    assert_eq!(find_way(&job, "best-mix"), Ok(Way::BestMix));
}

/// Derived: pieces of 50 in and trims of 1/2 in: a board of 4 ft holds none, one of 5 ft one, one of 10 ft two.
fn long_boards(longest: &str) -> Job {
    load(&[
        (
            "job.toml",
            &format!(
                "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\ncurrency = \"USD\"\n\
                 [[rack]]\nboard = \"beam\"\nlength = \"20'\"\nvalue = 90\n[buying]\nlongest = {longest}\n"
            ),
        ),
        ("pieces.csv", "piece,length,quantity\np,50,3\n"),
        (
            "boards.csv",
            "board,length,quantity,price\nfour,4',,3\nfive,5',,8\nten,10',,9\n",
        ),
    ])
}

#[test]
fn a_plan_keeps_to_what_the_vehicle_takes_and_says_what_that_costs() {
    let job = long_boards("\"6'\"");
    // Derived: three boards of 5 ft for 24.00; of any length one of 10 ft and one of 5 ft for 17.00. The beam at home is worth more.
    let found = plan_way(&job, &Way::BestMix, &CONTROL).unwrap().unwrap();
    assert_eq!(found.plan.value, 2400);
    let without = found.aside.without_vehicle_limit.as_ref().unwrap();
    assert_eq!(without.value, 1700);
    let counted = Summary::new(&found.plan).beside(found.aside.clone());
    let text = set(&plan_sheet(&counted), LOOK).replace('\n', " ");
    let sentence = "The vehicle's limit of 6 ft adds 7.00 USD: without it 2 boards for 17.00 USD (proved best).";
    assert!(text.contains(sentence), "{text}");
    // A limit that keeps nothing away says nothing.
    let roomy = plan_way(&long_boards("\"10'\""), &Way::BestMix, &CONTROL);
    assert_eq!(roomy.unwrap().unwrap().aside.without_vehicle_limit, None);
    // Where the vehicle takes nothing that serves, what is at home does.
    let tight = long_boards("\"4'\"");
    let found = plan_way(&tight, &Way::BestMix, &CONTROL).unwrap().unwrap();
    assert_eq!(found.plan.value, 9000);
    assert!(found.plan.missing.is_empty());
    let text = PlanFile::of(&found).text();
    assert!(verify(&tight, &text).unwrap().is_best());
}

#[test]
fn a_plan_for_another_vehicle_than_the_jobs_is_verified_for_that_one() {
    let (job, other) = (long_boards("\"10'\""), long_boards("\"6'\""));
    let found = plan_way(&other, &Way::BestMix, &CONTROL).unwrap().unwrap();
    let text = PlanFile::of(&found).text();
    let verified = verify(&job, &text).unwrap();
    assert_eq!(verified.standing(), Standing::Holds);
    assert_eq!(verified.job.unwrap().buying.longest, Some(Length::FOOT * 6));
    // Without the limit it is not the best, and a file that claims so fails.
    let limit = format!("\"longest_nm\": {}", (Length::FOOT * 6).nm());
    let forged = text.replace(&limit, "\"longest_nm\": null");
    assert_ne!(forged, text);
    assert_ne!(verify(&job, &forged).unwrap().standing(), Standing::Holds);
    // Nor does a board that the vehicle would not take pass.
    let roomy = PlanFile::of(&plan_way(&job, &Way::BestMix, &CONTROL).unwrap().unwrap()).text();
    let tight = roomy.replace(
        &format!("\"longest_nm\": {}", (Length::FOOT * 10).nm()),
        &limit,
    );
    assert_ne!(tight, roomy);
    assert_eq!(verify(&job, &tight).unwrap().standing(), Standing::Fails);
}

#[test]
fn a_file_whose_way_takes_more_lengths_than_it_says_is_no_plan() {
    let job = small();
    let found = plan_way(&job, &Way::AtMost(1), &CONTROL).unwrap();
    assert_eq!(found, None);
    let found = plan_way(&job, &Way::Own(0), &CONTROL).unwrap().unwrap();
    let text = PlanFile::of(&found).text();
    for (from, to) in [
        ("\"own\": \"fours and sixes\"", "\"own\": \"Ferry yard\""),
        ("\"own\": \"fours and sixes\"", "\"own\": \"elsewhere\""),
        ("\"kind\": \"own\"", "\"kind\": \"one_length\""),
        ("\"kind\": \"own\"", "\"kind\": \"at_most\""),
    ] {
        let forged = text.replacen(from, to, 1);
        assert_ne!(forged, text);
        let found = verify(&job, &forged).unwrap();
        assert_eq!(found.standing(), Standing::Fails, "{to}");
    }
}

#[test]
fn a_part_that_only_longer_boards_hold_is_told_of_where_the_job_is_read() {
    let texts = Texts::from([
        (
            "job.toml",
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n[buying]\nlongest = \"4'\"\n"
                .to_owned(),
        ),
        (
            "pieces.csv",
            "piece,length,quantity\np,50,3\nq,20,1\n".to_owned(),
        ),
        ("boards.csv", "board,length\nfour,4'\nfive,5'\n".to_owned()),
    ]);
    let (job, warnings) = load_job(Path::new("job.toml"), &texts, Boards::Needed).unwrap();
    let codes: Vec<&str> = warnings.iter().map(|warning| warning.code).collect();
    assert_eq!(codes, ["W211"]);
    assert_eq!(planned(&job).missing.len(), 3);
}

#[test]
fn boards_of_a_tally_are_named_by_their_marks() {
    let job = demo("data/rough/rough.toml");
    let comparison = compared(&job);
    let csv = longpoint::report::csv::ways_csv(&job, &comparison);
    let best = row(&comparison, &Way::BestMix);
    assert!(
        best.plan
            .boards
            .iter()
            .any(|board| best.job.boards[board.board_idx].is_tallied)
    );
    let text = set(
        &longpoint::report::sections::ways_sheet(&job, &comparison, None, false),
        LOOK,
    );
    for board in &best.plan.boards {
        let board = &best.job.boards[board.board_idx];
        if board.is_tallied {
            assert!(csv.contains(&format!("1 x {}", board.name)), "{csv}");
            assert!(text.contains(&board.name), "{text}");
        }
    }
}

#[test]
fn a_best_mix_that_another_yard_beats_is_not_called_best() {
    let job = load(&[
        (
            "job.toml",
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n\
             [[ways]]\nname = \"Ferry yard\"\nboards = \"ferry.csv\"\n",
        ),
        ("pieces.csv", "piece,length,quantity\np,20,3\n"),
        ("boards.csv", "board,length,price\nfour,4',5\nsix,6',9\n"),
        ("ferry.csv", "board,length,price\nfive,70,4\n"),
    ]);
    let comparison = compared(&job);
    assert_eq!(comparison.best().way, Way::Own(0));
    let text = set(
        &longpoint::report::sections::ways_sheet(&job, &comparison, None, false),
        LOOK,
    );
    let csv = longpoint::report::csv::ways_csv(&job, &comparison);
    let json = longpoint::report::json::ways_json(&job, &comparison, None);
    for said in [&text, &csv, &json] {
        assert!(!said.to_lowercase().contains("best mix"), "{said}");
        assert!(!said.contains("best-mix"), "{said}");
        assert!(said.contains("own boards"), "{said}");
    }
    assert_eq!(find_way(&job, "own boards"), Ok(Way::BestMix));
}

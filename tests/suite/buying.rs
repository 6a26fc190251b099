//! Ways of buying: against planning each alone, against trying every set of lengths, and what must hold of all of them.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]

mod bought;
mod gone;
mod pocket;
mod random;
mod reasons;

use std::collections::BTreeSet;
use std::path::Path;

use crate::disk::Disk;
use crate::jobs;
use crate::look::LOOK;
use crate::texts::Texts;
use longpoint::compare::{
    Change, Comparison, Kind, Row, Steer, alone, compare, find_reasons, list_needs, share_boards,
    share_sheets, yard_list,
};
use longpoint::job::{Job, Line, Purpose, Way};
use longpoint::length::Length;
use longpoint::load::{Boards, load_job};
use longpoint::money::Money;
use longpoint::pipeline::{Materials, plan_sheets};
use longpoint::plan::Plan;
use longpoint::plan::sheets::MaterialPlan;
use longpoint::report::csv::ways_csv;
use longpoint::report::json::ways_json;
use longpoint::report::sections::ways_sheet;
use longpoint::report::text::set;
use longpoint::stock::Price;
use longpoint::tally::material_tallies;

fn load(files: &[(&'static str, &str)]) -> Job {
    let texts = files
        .iter()
        .map(|&(name, text)| (name, text.to_owned()))
        .collect();
    match load_job(Path::new("job.toml"), &Texts(texts), Boards::Needed) {
        Ok((job, _)) => job,
        Err(faults) => panic!("{faults:?}"),
    }
}

fn demo(path: &str) -> Job {
    let (job, _) = load_job(Path::new(path), &Disk, Boards::Needed).unwrap();
    job
}

fn show() -> Job {
    demo("data/show/show.toml")
}

const STEER: Steer<'static> = Steer {
    stop: &|| false,
    progress: &|_, _| {},
};

fn compared(job: &Job) -> Comparison {
    compare(job, &STEER).unwrap()
}

fn sheets_of(job: &Job) -> Vec<MaterialPlan> {
    plan_sheets(job, Materials::All, &jobs::CONTROL).unwrap()
}

fn planned(job: &Job) -> Plan {
    jobs::planned(job).plan
}

fn row<'a>(comparison: &'a Comparison, way: &Way) -> &'a Row {
    comparison.rows.iter().find(|row| row.way == *way).unwrap()
}

/// A small job with everything in it that a comparison tells apart.
///
/// Derived: two frames of art 10 x 8, face 1 1/2, lip 1/4, allowance 1/8 have rails of 12 5/8 and 10 5/8.
fn small() -> Job {
    load(&[
        (
            "job.toml",
            "title = \"Two by two\"\ncurrency = \"USD\"\nboards = \"boards.csv\"\n[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n\
             [shop]\nshortest-offcut = \"6\"\n\
             [buying]\nlongest = \"5'\"\n\
             [[mouldings]]\nname = \"cap\"\nface-width = \"1 1/2\"\nlip = \"1/4\"\n\
             [[frames]]\nframe = \"Heron\"\nart-width = 10\nart-height = 8\nquantity = 4\nglazing = \"glass\"\n\
             [[sheets]]\nname = \"glass\"\nuse = \"glazing\"\nthickness = \"3/32\"\nwidth = 18\nheight = 24\nprice = 11\n\
             [[rack]]\nboard = \"end\"\nlength = 14\nthickness = 1\nwidth = 2\nvalue = 0\n\
             [[ways]]\nname = \"fours and sixes\"\nboards = [\"four\", \"six\"]\n\
             [[ways]]\nname = \"Ferry yard\"\nboards = \"ferry.csv\"\n",
        ),
        (
            "boards.csv",
            "board,length,quantity,price,thickness,width\nfour,4',,5.00,1,2\nfive,5',2,5.60,1,2\nsix,6',,7.90,1,2\n",
        ),
        ("ferry.csv", "board,length,quantity,price\nlath,8',,8.80\n"),
    ])
}

#[test]
fn the_text_answers_first_and_stays_within_80_columns() {
    let job = small();
    let text = set(&ways_sheet(&job, &compared(&job), None, false), LOOK);
    insta::assert_snapshot!(text);
    for job in [job, show()] {
        let comparison = compared(&job);
        let reasons = find_reasons(&comparison, &STEER).unwrap();
        let text = set(&ways_sheet(&job, &comparison, Some(&reasons), true), LOOK);
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
    }
}

#[test]
fn every_row_is_what_planning_that_job_alone_gives() {
    for job in [small(), show()] {
        let comparison = compared(&job);
        assert!(comparison.rows.iter().all(Row::is_proved));
        for row in &comparison.rows {
            let own = planned(&row.job);
            assert_eq!(own.value, row.plan.value, "{:?}", row.way);
            assert_eq!(own.missing.len(), row.plan.missing.len(), "{:?}", row.way);
            assert_eq!(own.verdict, row.plan.verdict, "{:?}", row.way);
            if row.way == Way::BestMix {
                // Its lists are those of the plan that will be cut, to the last cut.
                assert_eq!(own, row.plan);
            }
            let cold = alone(&job, &row.way, &STEER).unwrap().unwrap();
            assert_eq!(
                (cold.plan.value, cold.bound),
                (row.plan.value, row.bound),
                "{:?}",
                row.way
            );
        }
    }
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    for job in [show(), demo("data/rack/rack.toml")] {
        let texts = || {
            let comparison = compared(&job);
            let reasons =
                (job.pieces.is_empty()).then(|| find_reasons(&comparison, &STEER).unwrap());
            ways_json(&job, &comparison, reasons.as_ref()) + &ways_csv(&job, &comparison)
        };
        assert_eq!(texts(), texts());
    }
}

#[test]
fn the_rack_the_yard_and_the_users_own_ways_have_their_rows() {
    let job = small();
    let comparison = compared(&job);
    // The rack's end of 14 in gives one rail of 12 5/8: 15 others must be bought; without it all 16.
    let with = row(&comparison, &Way::BestMix);
    let without = row(&comparison, &Way::WithoutRack);
    assert!(without.plan.value >= with.plan.value);
    let end = job
        .boards
        .iter()
        .position(|board| board.name == "end")
        .unwrap();
    assert!(
        without
            .plan
            .boards
            .iter()
            .all(|board| board.board_idx != end)
    );
    // Boards that are named, and the rack; no fives.
    let named = row(&comparison, &Way::Own(0));
    let five = job
        .boards
        .iter()
        .position(|board| board.name == "five")
        .unwrap();
    assert!(
        named
            .plan
            .boards
            .iter()
            .all(|board| board.board_idx != five)
    );
    // Another yard's list has its own boards, here for a larger vehicle.
    let comparison = compared(&job.with_longest(None));
    let listed = row(&comparison, &Way::Own(1));
    let names: BTreeSet<&str> = listed
        .plan
        .boards
        .iter()
        .map(|board| listed.job.boards[board.board_idx].name.as_str())
        .collect();
    assert!(
        names.contains("lath") && !names.contains("four"),
        "{names:?}"
    );
}

#[test]
fn what_the_boards_and_sheets_of_the_frames_cost_sums_to_the_total() {
    // With a rack, spare rails, ripped boards, defects, and with parts for which there is no wood.
    let mut jobs = vec![small(), show()];
    for name in ["rack", "spare", "rough", "knots", "turned"] {
        jobs.push(demo(&format!("data/{name}/{name}.toml")));
    }
    let enough = small();
    let mut boards = enough.boards.clone();
    for board in &mut boards {
        board.quantity = Some(1);
    }
    let too_few = enough.with_boards(boards);
    jobs.push(too_few);
    let mut some_are_missing = false;
    for job in jobs {
        let comparison = compared(&job);
        for row in &comparison.rows {
            some_are_missing |= !row.is_complete() && !row.plan.boards.is_empty();
            let shares = share_boards(&row.plan).unwrap();
            let sum: Money = shares.values().copied().sum();
            assert_eq!(sum.minor(), row.plan.value, "{}, {:?}", job.title, row.way);
            // Spare rails are a line like any other.
            let spare = (0..row.job.pieces.len())
                .find(|&idx| row.job.pieces[idx].purpose == Purpose::SpareRail);
            if let Some(idx) = spare.filter(|_| row.is_complete()) {
                assert!(shares[&Line::Piece(idx)] > Money::ZERO);
            }
        }
        // Sheets from the rack are worth something, and are not bought.
        let plans = &comparison.materials;
        let sheets: Money = share_sheets(&job, plans).values().copied().sum();
        let needs = list_needs(&job, plans);
        let needed: Money = needs.iter().filter_map(|need| need.money).sum();
        let tallies = material_tallies(&job, plans);
        let in_hand: Money = tallies.iter().map(|tally| tally.worth_in_hand).sum();
        assert_eq!(sheets, needed + in_hand);
    }
    assert!(some_are_missing);
    // Derived: four panes of 10 x 8 stand two to a row, 16 of 18 in, and in two rows, 20 of 24 in: a sheet of 11.00.
    let job = small();
    let needs = list_needs(&job, &sheets_of(&job));
    let needed: Money = needs.iter().filter_map(|need| need.money).sum();
    assert_eq!(needed, Money::from_minor(1100));
}

#[test]
fn a_board_left_at_the_yard_pays_at_its_price_and_not_above() {
    let job = demo("data/rack/rack.toml");
    let comparison = compared(&job);
    let reasons = find_reasons(&comparison, &STEER).unwrap();
    assert!(!reasons.not_bought.is_empty());
    let best = comparison.best_mix().plan.value;
    for board in &reasons.not_bought {
        assert!(board.is_proved());
        let pays = board.pays_at.unwrap();
        let at = |price: i64| {
            let price = Price::Each(Money::from_minor(price));
            planned(&job.with_price(board.board_idx, price)).value
        };
        assert!(at(pays.minor()) < best);
        assert_eq!(at(pays.minor() + 1), best);
    }
}

#[test]
fn every_what_if_is_what_planning_the_changed_job_gives() {
    // Frames and loose pieces.
    let job = demo("data/starter/job.toml");
    let comparison = compared(&job);
    let reasons = find_reasons(&comparison, &STEER).unwrap();
    let best = comparison.best_mix().plan.value;
    for what_if in &reasons.what_ifs {
        assert_eq!(
            planned(&what_if.job).value,
            what_if.plan.value,
            "{:?}",
            what_if.change
        );
        // More to cut never costs less, less never more.
        match what_if.change {
            Change::OneMore(_) => assert!(what_if.plan.value >= best),
            _ => assert!(what_if.plan.value <= best),
        }
    }
    let lines = (0..job.frames.len()).map(Line::Frame);
    for line in lines.chain((0..job.pieces.len()).map(Line::Piece)) {
        for change in [Change::OneMore(line), Change::OneFewer(line)] {
            let mut what_ifs = reasons.what_ifs.iter();
            assert!(
                what_ifs.any(|what_if| what_if.change == change),
                "{change:?}"
            );
        }
    }
}

#[test]
fn nothing_is_longer_than_the_vehicle_takes_but_where_that_is_lifted() {
    // Another yard's boards of 8 ft are too long for a vehicle of 5 ft, as are the job's own of 6 ft.
    let job = small();
    let longest = job.buying.longest.unwrap();
    let comparison = compared(&job);
    for row in &comparison.rows {
        let is_short = |idx: usize| row.job.boards[idx].length <= longest;
        let fits = row
            .plan
            .boards
            .iter()
            .all(|board| is_short(board.board_idx));
        assert_eq!(fits, row.way != Way::AnyLength, "{:?}", row.way);
    }
    assert!(!row(&comparison, &Way::Own(1)).is_complete());
    let (best, any) = (comparison.best(), row(&comparison, &Way::AnyLength));
    assert_eq!(best.way, Way::BestMix);
    assert!(any.plan.value < best.plan.value);
}

#[test]
fn fewer_boards_do_not_loosen_what_is_asked_of_the_grain() {
    // Derived: art 20 x 16 with face 1 1/2, lip 1/4 and play 1/8 has rails of 22 5/8 and 18 5/8. A row of four with its
    // kerfs is 83 in and goes on 8 ft, not on 5 ft; a pair goes on either, so pairs from 5 ft would cost 10.00.
    let job = load(&[
        (
            "job.toml",
            "boards = \"boards.csv\"\n[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n[shop]\nlong-chains = \"adjacent\"\n\
             [[mouldings]]\nname = \"cap\"\nface-width = \"1 1/2\"\nlip = \"1/4\"\ngrain = \"frame\"\n\
             [[frames]]\nframe = \"Heron\"\nart-width = 20\nart-height = 16\n",
        ),
        (
            "boards.csv",
            "board,length,price\neight,8',15.00\nfive,5',5.00\n",
        ),
    ]);
    let comparison = compared(&job);
    // The boards of 5 ft serve no part, so there is no other way.
    assert_eq!(comparison.best_mix().plan.value, 1500);
    assert_eq!(comparison.rows.len(), 1);
    let reasons = find_reasons(&comparison, &STEER).unwrap();
    let mut what_ifs = reasons.what_ifs.iter();
    let free = what_ifs.find(|what_if| what_if.change == Change::FreeGrain);
    assert_eq!(free.unwrap().plan.value, 1000);
}

#[test]
fn every_sheet_stands_in_the_lists_under_its_name() {
    let job = load(&[
        (
            "job.toml",
            "boards = \"boards.csv\"\nframes = \"frames.csv\"\n[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n\
             [[mouldings]]\nname = \"cap\"\nface-width = \"1 1/2\"\nlip = \"1/4\"\n\
             [[sheets]]\nname = \"white\"\nuse = \"mat\"\nthickness = \"1/16\"\nwidth = 32\nheight = 40\nprice = 9\n\
             [[sheets]]\nname = \"black\"\nuse = \"mat\"\nthickness = \"1/8\"\nwidth = 32\nheight = 40\nprice = 20\n",
        ),
        (
            "frames.csv",
            "frame,art-width,art-height,mat-border,mat\na,10,8,2,white\nb,10,8,2,black\nc,10,8,2,\n",
        ),
        ("boards.csv", "board,length,price\neight,8',15.00\n"),
    ]);
    let needs = list_needs(&job, &sheets_of(&job));
    let money = |name: Option<&str>| {
        let kind = Kind::Mat(name.map(str::to_owned));
        needs.iter().find(|need| need.kind == kind).unwrap().money
    };
    assert_eq!(money(Some("white")), Some(Money::from_minor(900)));
    assert_eq!(money(Some("black")), Some(Money::from_minor(2000)));
    // Which of the two the third frame gets is not said.
    assert_eq!(money(None), None);
}

#[test]
fn boards_of_the_yard_list_may_be_as_much_shorter_as_it_says() {
    let job = show();
    let comparison = compared(&job);
    let best = comparison.best();
    for line in yard_list(&best.plan) {
        let shorter_by = |less: Length| {
            let mut boards = best.job.boards.clone();
            boards[line.board_idx].length -= less;
            let mut plan = best.plan.clone();
            let of_line = plan.boards.iter_mut();
            for board in of_line.filter(|board| board.board_idx == line.board_idx) {
                board.stretches[0].to -= less;
            }
            plan.job = best.job.with_boards(boards);
            longpoint::audit::check(&plan)
        };
        let short_by = |violations: Vec<longpoint::audit::Violation>| {
            violations
                .iter()
                .any(|violation| violation.to_string().contains("trim"))
        };
        assert!(!short_by(shorter_by(line.may_be_short)));
        // A nanometer more, and some cut runs into the trim.
        let a_little_more = line.may_be_short + Length::from_nm(1);
        assert!(short_by(shorter_by(a_little_more)));
    }
}

//! What was really bought: the list to buy by, filled in, is a job that is cut for the same money.

use std::path::Path;

use longpoint::job::Job;
use longpoint::length::Length;
use longpoint::load::{Boards, load_job};
use longpoint::money::{DecimalMark, Money};
use longpoint::planfile::{PlanFile, Standing, verify};
use longpoint::report::csv::{buying_list_csv, rack_csv};
use longpoint::report::sections::plan_sheet;
use longpoint::report::text::set;
use longpoint::stock::board_cost;
use longpoint::tally::{Summary, rack_left};
use proptest::prelude::*;

use super::random::shops_with_limits;
use super::{compared, demo, load};
use crate::jobs;
use crate::look::LOOK;
use crate::texts::Texts;

/// A list to buy by with as many bought as it says, each as long as `length` makes of its row.
fn filled(list: &str, length: impl Fn(&[&str]) -> String) -> String {
    let mut lines = list.lines();
    let mut filled = lines.next().unwrap().to_owned() + "\n";
    for line in lines {
        let cells: Vec<&str> = line.split(',').collect();
        assert_eq!((cells[1], cells[2]), ("", ""), "{line}");
        let row = [cells[0], cells[0], &length(&cells)].join(",");
        filled += &(row + "," + &cells[3..].join(",") + "\n");
    }
    filled
}

/// The job of some files in which a list was bought; `None` where the list has nothing to buy.
fn bought(files: &[(&'static str, String)], list: String) -> Option<Job> {
    let has_bought = list.lines().any(|line| line.contains(",yard,"));
    has_bought.then(|| jobs::load(&with_bought(files, list)))
}

/// The files with a list that was bought.
fn with_bought(files: &[(&'static str, String)], list: String) -> Texts {
    let mut texts = Texts::default();
    for (name, text) in files {
        texts.0.insert(name, text.clone());
    }
    let job = texts.0["job.toml"].clone();
    texts
        .0
        .insert("job.toml", format!("bought = \"bought.csv\"\n{job}"));
    texts.0.insert("bought.csv", list);
    texts
}

proptest! {
    #![proptest_config(cases!(50))]

    #[test]
    fn what_is_bought_by_the_list_is_enough_for_the_same_money(shop in shops_with_limits()) {
        let files = shop.files();
        let comparison = compared(&shop.load());
        let best = comparison.best();
        let list = buying_list_csv(&best.plan);
        // As on the label, or as short as the list allows.
        let as_labelled = bought(&files, filled(&list, |_| String::new()));
        let as_short_as_may_be = bought(&files, filled(&list, |row| row[5].to_owned()));
        for job in [as_labelled, as_short_as_may_be].into_iter().flatten() {
            prop_assert!(job.boards.iter().all(|board| board.in_hand.is_some()));
            let planned = jobs::planned(&job);
            prop_assert_eq!(planned.plan.value, best.plan.value);
            prop_assert_eq!(planned.plan.missing.len(), best.plan.missing.len());
            let verified = verify(&job, &PlanFile::of(&planned).text()).unwrap();
            prop_assert_eq!(verified.standing(), Standing::Holds, "{:?}", verified.findings);
        }
    }

    #[test]
    fn longer_boards_than_labelled_never_cost_more_and_a_board_too_few_is_bought_again(shop in shops_with_limits()) {
        let files = shop.files();
        let comparison = compared(&shop.load());
        let best = comparison.best();
        let list = buying_list_csv(&best.plan);
        let Some(longer) = bought(&files, filled(&list, |row| format!("{} 1/2 in", 1 + row[4].split(' ').next().unwrap().parse::<u32>().unwrap()))) else {
            return Ok(());
        };
        let planned = jobs::planned(&longer).plan;
        prop_assert!((planned.missing.len(), planned.value) <= (best.plan.missing.len(), best.plan.value));
        if !best.is_complete() {
            return Ok(());
        }
        // One board of the first row was not there.
        let (head, rest) = list.split_once('\n').unwrap();
        let count: u32 = rest.split(',').next().unwrap().parse().unwrap();
        let rest = filled(&list, |_| String::new()).split_once('\n').unwrap().1.to_owned();
        let fewer = rest.replacen(&format!("{count},{count},"), &format!("{count},{},", count - 1), 1);
        let Ok((fewer, _)) = load_fewer(&files, format!("{head}\n{fewer}")) else {
            return Ok(());
        };
        let first = &fewer.buying.purchase.as_ref().unwrap().before;
        let price = rest.split(',').nth(7).unwrap();
        let price = first.display.currency.parse_amount(price, DecimalMark::Point).unwrap();
        let more = fewer.beyond_bought().unwrap();
        let beyond = compared(&more);
        prop_assert!(beyond.best_mix().is_complete());
        // What is on the rack counts at its value; that of the best mix at most.
        let paid: Money = Summary::new(&beyond.best_mix().plan).bought.unwrap_or_default();
        let of_rack = |plan: &longpoint::plan::Plan| -> i64 {
            let taken = plan.boards.iter().map(|board| &plan.job.boards[board.board_idx]);
            taken.filter(|board| board.is_from_rack()).map(|board| board_cost(board).unwrap().unwrap_or_default().minor()).sum()
        };
        prop_assert!(paid.minor() + of_rack(&beyond.best_mix().plan) <= price.minor() + of_rack(&best.plan));
        let planned = jobs::planned(&fewer);
        prop_assert_eq!(planned.plan.missing.is_empty(), planned.aside.beyond_bought.is_none());
        if let Some(told) = &planned.aside.beyond_bought {
            prop_assert_eq!(told.value, beyond.best_mix().plan.value);
        }
    }
}

type Read = Result<(Job, Vec<longpoint::diag::Diagnostic>), Vec<longpoint::diag::Diagnostic>>;

fn load_fewer(files: &[(&'static str, String)], list: String) -> Read {
    load_job(
        Path::new("job.toml"),
        &with_bought(files, list),
        Boards::Needed,
    )
}

/// A job of three pieces of 40 in from boards of 4 ft for 5.00 and of 8 ft for 9.00, with what was bought.
fn three_pieces(list: &str) -> Job {
    load(&[
        (
            "job.toml",
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\nbought = \"bought.csv\"\ncurrency = \"USD\"\n\
             [[rack]]\nboard = \"stub\"\nlength = 20\nvalue = 1\n",
        ),
        ("pieces.csv", "piece,length,quantity\np,40,3\n"),
        ("boards.csv", "board,length,price\nfour,4',5\neight,8',9\n"),
        ("bought.csv", list),
    ])
}

const HEAD: &str = "take,bought,measured,board,length,price,defects\n";

#[test]
fn boards_that_stay_whole_go_on_the_rack_with_what_was_paid() {
    // Derived: one of 8 ft for 9.00 holds two pieces, one of 4 ft for 5.00 the third: 14.00; three of 4 ft are 15.00. The second
    // four of 7.00 is dearer and stays whole, as does a third.
    let job = three_pieces(&format!(
        "{HEAD}1,1,,four,4',5,\n1,2,,four,48 1/2,7,\n1,1,,eight,8',9,\n"
    ));
    let planned = jobs::planned(&job);
    assert_eq!(planned.plan.value, 1400);
    let left = rack_left(&planned.plan);
    let facts: Vec<_> = left
        .iter()
        .map(|board| (board.name.as_str(), board.quantity, board.length))
        .collect();
    let longer = Length::INCH * 48 + Length::from_nm(12_700_000);
    assert_eq!(
        facts,
        [
            ("whole 1", Some(2), longer),
            ("stub", Some(1), Length::INCH * 20)
        ]
    );
    // What there was and was bought is what is cut and what is left, to the nanometer.
    let total = |boards: &[longpoint::stock::Board]| -> Length {
        let lengths = boards.iter();
        lengths
            .map(|board| board.length * i64::from(board.quantity.unwrap_or(1)))
            .sum()
    };
    let cut: Length = planned
        .plan
        .boards
        .iter()
        .map(|board| job.boards[board.board_idx].length)
        .sum();
    assert_eq!(total(&job.boards), cut + total(&left));
    let rack = Summary::new(&planned.plan).rack.unwrap();
    assert_eq!(rack.bought.worth, Money::from_minor(2800));
    assert_eq!(
        rack.after.length,
        rack.before.length + rack.bought.length - rack.taken.length + rack.added.length
    );
    // The next job reads that rack beside boards of the same names.
    let next = load(&[
        (
            "job.toml",
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\nrack = \"rack.csv\"\n",
        ),
        ("pieces.csv", "piece,length,quantity\np,40,2\n"),
        ("boards.csv", "board,length,price\nfour,4',9\neight,8',19\n"),
        ("rack.csv", &rack_csv(&planned.plan)),
    ]);
    let whole = next
        .boards
        .iter()
        .find(|board| board.name == "whole 1")
        .unwrap();
    assert!(whole.is_from_rack());
    let in_hand = whole.in_hand.as_ref().unwrap();
    assert_eq!(in_hand.from.as_deref(), Some("four, 48 1/2 in"));
    assert_eq!(jobs::planned(&next).plan.value, 1400);
    let counted = Summary::new(&planned.plan).beside(planned.aside.clone());
    let text = set(&plan_sheet(&counted), LOOK).replace('\n', " ");
    let said = "Bought: 4 boards, 28.00 USD paid; over, whole, for the rack: 2 × four, 48 1/2 in.";
    assert!(text.contains(said), "{text}");
}

#[test]
fn where_parts_are_missing_the_plan_says_what_to_buy_still() {
    // Derived: a four of 40 1/2 in has 39 1/2 between its trims and holds nothing; the eight two pieces.
    let job = three_pieces(&format!("{HEAD}1,1,40 1/2,four,4',5,\n,1,,eight,8',9,\n"));
    let planned = jobs::planned(&job);
    assert_eq!(planned.plan.missing.len(), 1);
    let counted = Summary::new(&planned.plan).beside(planned.aside.clone());
    let text = set(&plan_sheet(&counted), LOOK);
    assert!(
        text.contains(
            "To buy still: 1 × four for 5.00 USD; then no part is missing (proved best)."
        ),
        "{text}"
    );
    // A knot in the middle of the eight spoils one of its pieces.
    let job = three_pieces(&format!("{HEAD},1,,eight,8',9,47 to 48\n"));
    assert_eq!(jobs::planned(&job).plan.missing.len(), 1);
    let job = three_pieces(&format!("{HEAD},1,,eight,8',9,42 to 58\n"));
    assert_eq!(jobs::planned(&job).plan.missing.len(), 2);
}

#[test]
fn a_board_that_was_found_elsewhere_serves_a_part_that_none_on_sale_holds() {
    let job = |bought: &str| {
        let texts = Texts::from([
            (
                "job.toml",
                format!("pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n{bought}"),
            ),
            ("pieces.csv", "piece,length,quantity\np,100,1\n".to_owned()),
            ("boards.csv", "board,length,price\neight,8',9\n".to_owned()),
            ("bought.csv", format!("{HEAD},1,,barn find,10',4,\n")),
        ]);
        load_job(Path::new("job.toml"), &texts, Boards::Needed)
    };
    let faults = job("").unwrap_err();
    assert_eq!(faults[0].code, "E303");
    let (job, _) = job("bought = \"bought.csv\"\n").unwrap();
    assert_eq!(job.boards.len(), 1);
    let planned = jobs::planned(&job);
    assert_eq!((planned.plan.value, planned.plan.missing.len()), (400, 0));
}

#[test]
fn all_that_is_wrong_with_the_table_is_said_at_once() {
    let list = "take,bought,measured,board,length,price,defects,shade\n\
                1,two,,four,4',5,,\n1,,47,four,4',5,,\n1,1,,,4',5,,\n1,1,x,eight,8',cheap,9 to 200,\n";
    let texts = Texts::from([
        (
            "job.toml",
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\nbought = \"bought.csv\"\n"
                .to_owned(),
        ),
        ("pieces.csv", "piece,length,quantity\np,40,3\n".to_owned()),
        ("boards.csv", "board,length,price\nfour,4',5\n".to_owned()),
        ("bought.csv", list.to_owned()),
    ]);
    let faults = load_job(Path::new("job.toml"), &texts, Boards::Needed).unwrap_err();
    let codes: Vec<&str> = faults.iter().map(|fault| fault.code).collect();
    assert_eq!(codes, ["N001", "E016", "E112", "E021", "E013", "E017"]);
    let places: Vec<String> = faults.iter().map(|fault| fault.place.to_string()).collect();
    assert!(
        places[1].contains("bought.csv") && places[1].contains('2'),
        "{places:?}"
    );
}

#[test]
fn a_list_reads_back_as_the_boards_that_it_names() {
    // Ripped boards by the board foot, and dressed and surfaced sizes of the trade.
    let sizes = load(&[
        (
            "job.toml",
            "boards = \"boards.csv\"\n[rip]\n[[pieces]]\npiece = \"p\"\nlength = 40\nquantity = 9\nwidth = 1\n",
        ),
        (
            "boards.csv",
            "board,length,quantity,price,nominal,thickness,width,surfaced,material\n\
             pine,8',1,6.40,1x6,,,,\noak,94 1/8,1,9.20/bf,,5/4,6 1/2,s2s,\"oak, red\"\n",
        ),
    ]);
    for job in [
        sizes,
        demo("data/rough/rough.toml"),
        demo("data/knots/knots.toml"),
    ] {
        let plan = jobs::planned(&job).plan;
        let list = filled_any(&buying_list_csv(&plan));
        let toml =
            "bought = \"bought.csv\"\n[[pieces]]\npiece = \"p\"\nlength = 1\nwidth = 1\n[rip]\n";
        let texts = Texts(
            [("job.toml", toml.to_owned()), ("bought.csv", list)]
                .into_iter()
                .collect(),
        );
        let read = jobs::load(&texts);
        assert!(!read.boards.is_empty());
        for board in &read.boards {
            let own = job
                .boards
                .iter()
                .find(|own| own.name == board.name)
                .unwrap();
            assert_eq!(
                (
                    board.length,
                    board.thickness,
                    board.width,
                    board.nominal,
                    &board.material,
                    &board.defects
                ),
                (
                    own.length,
                    own.thickness,
                    own.width,
                    own.nominal,
                    &own.material,
                    &own.defects
                )
            );
            assert_eq!(board_cost(board), board_cost(own));
        }
    }
}

/// As [`filled`], for names with commas in them.
fn filled_any(list: &str) -> String {
    let filled = list.lines().map(|line| match line.split_once(",,,") {
        Some((count, rest)) if count.parse::<u32>().is_ok() => format!("{count},{count},,{rest}\n"),
        _ => format!("{line}\n"),
    });
    filled.collect()
}

#[test]
fn who_chose_a_board_gets_those_that_were_bought_by_its_name() {
    let job = load(&[
        (
            "job.toml",
            "boards = \"boards.csv\"\nbought = \"bought.csv\"\n\
             [[mouldings]]\nname = \"cap\"\nface-width = 2\n\
             [[frames]]\nframe = \"Heron\"\nart-width = 10\nart-height = 8\nboard = \"slab\"\n",
        ),
        ("boards.csv", "board,length,price\nslab,4',9\nplain,8',5\n"),
        (
            "bought.csv",
            &format!("{HEAD},1,47,slab,4',9,\n,1,,slab,4',9,\n,1,,plain,8',5,\n"),
        ),
    ]);
    let chosen: Vec<&str> = job.frames[0]
        .boards
        .chosen()
        .unwrap()
        .map(|idx| job.boards[idx].name.as_str())
        .collect();
    assert_eq!(chosen, ["slab", "slab, 48 in"]);
    let plan = jobs::planned(&job).plan;
    assert!(plan.missing.is_empty());
    assert!(
        plan.boards
            .iter()
            .all(|board| job.boards[board.board_idx].name.starts_with("slab"))
    );
}

#[test]
fn where_the_yard_has_cut_what_was_bought_is_read_and_must_be_possible() {
    let read = |yard: &str, cut_at: &str| {
        let texts = Texts::from([
            (
                "job.toml",
                format!(
                    "bought = \"bought.csv\"\n[buying]\nlongest = \"8'\"\n{yard}\
                     [[pieces]]\npiece = \"bar\"\nlength = 20\n"
                ),
            ),
            (
                "bought.csv",
                format!("bought,board,length,cut-at\n1,oak,144 in,{cut_at}\n"),
            ),
        ]);
        load_job(Path::new("job.toml"), &texts, Boards::Needed)
    };
    let yard = "yard-cuts = \"1'\"\n";
    let (job, _) = read(yard, "4'").unwrap();
    assert_eq!(job.boards[0].yard_ways(), [[Length::FOOT * 4]]);
    let (job, _) = read(yard, "3'; 6'").unwrap();
    assert_eq!(
        job.boards[0].yard_ways(),
        [[Length::FOOT * 3, Length::FOOT * 6]]
    );
    // Beyond the board, falling, a cut that leaves no longer piece out; and a yard that does not cut.
    for (yard, cut_at, code) in [
        (yard, "144 in", "E015"),
        (yard, "6'; 3'", "E015"),
        (yard, "6'; 8'; 10'", "E015"),
        (yard, "half", "E013"),
        ("", "4'", "E112"),
        ("yard-cuts = [\"4'\", \"48 1/8 in\"]\n", "4'", "E015"),
    ] {
        let errors = read(yard, cut_at).unwrap_err();
        let codes: Vec<&str> = errors.iter().map(|error| error.code).collect();
        assert_eq!(codes, [code], "{cut_at}");
    }
}

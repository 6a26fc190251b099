//! The list for a pocket: what may stand in for each board against planning without it.

use longpoint::compare::{find_exchanges, share_boards, share_paid_before};
use longpoint::job::Line;
use longpoint::money::Money;
use longpoint::plan::Verdict;
use longpoint::report::pocket::{Purchase, pocket_text};
use longpoint::tally::{Summary, material_tallies};
use proptest::prelude::*;

use crate::jobs;

use super::random::shops_with_limits;
use super::{STEER, compared, demo, load, planned};

proptest! {
    #![proptest_config(cases!(40))]

    #[test]
    fn what_stands_in_for_a_board_is_what_planning_without_it_gives(shop in shops_with_limits()) {
        let comparison = compared(&shop.load());
        let best = comparison.best();
        let exchanges = find_exchanges(&best.plan, &STEER).unwrap();
        let mut n_kinds = 0;
        for (line, board) in best.job.boards.iter().enumerate() {
            let is_taken = best.plan.boards.iter().any(|taken| taken.board_idx == line);
            if !is_taken || board.in_hand.is_some() {
                continue;
            }
            n_kinds += 1;
            let exchange = exchanges.iter().find(|exchange| exchange.board_idx == line).unwrap();
            let own = planned(&best.job.with_some_boards(|idx, _| idx != line));
            prop_assert_eq!(exchange.plan.verdict, Verdict::Optimal);
            prop_assert_eq!(exchange.plan.value, own.value);
            prop_assert_eq!(exchange.plan.missing.len(), own.missing.len());
            // What is not there never makes it better.
            prop_assert!((own.missing.len(), own.value) >= (best.plan.missing.len(), best.plan.value));
        }
        prop_assert_eq!(exchanges.len(), n_kinds);
        let text = pocket_text(&best.plan, Purchase::Way("best mix"), &exchanges, &[]);
        prop_assert!(text.lines().all(|line| line.chars().count() <= 40), "{}", text);
    }
}

#[test]
fn the_list_says_what_to_take_how_long_and_what_instead() {
    // Derived: one of 8 ft for 9.00 holds two pieces of 40 in, one of 4 ft for 5.00 the third. Two need 1/2 in of trim, 40, the
    // kerf of 1/8, 40 and 1/2: 81 1/8; one 41. Without the eight three fours are 15.00; without the fours two eights are 18.00, and
    // one with the stub, which counts 8.00, is 17.00: 5.00 less to pay, and in all 3.00 more.
    let job = load(&[
        (
            "job.toml",
            "title = \"Three bars for the reading room of the boat hall\"\npieces = \"pieces.csv\"\nboards = \"boards.csv\"\n\
             currency = \"USD\"\n[[rack]]\nboard = \"stub\"\nlength = 42\nvalue = 8\n",
        ),
        ("pieces.csv", "piece,length,quantity\np,40,3\n"),
        (
            "boards.csv",
            "board,length,price\nfour,4',5\nthe long board that stands behind the door,8',9\n",
        ),
    ]);
    let plan = planned(&job);
    let exchanges = find_exchanges(&plan, &STEER).unwrap();
    let text = pocket_text(&plan, Purchase::All, &exchanges, &[]);
    let expected = "\
Three bars for the reading room of the
boat hall
To buy: 14.00 USD

[ ] 1 x four, 4 ft
    at least 41 in
    none left: take 1 x stub; 5.00 USD
    less to pay, 8.00 USD more in wood
    in hand: 3.00 USD more in all
[ ] 1 x the long board that stands
    behind the door, 8 ft
    at least 81 1/8 in
    none left: take 2 x four; 1.00 USD
    more
";
    assert_eq!(text, expected);
}

/// Wood that is used first counts nothing in a plan, and is worth something all the same.
#[test]
fn what_was_paid_for_before_is_shared_beside_what_is_bought() {
    // Derived: on 90 in lie 40, 20 and 20 with two kerfs and trims; its 8.00 are shared by length, 4.00 for the long one and
    // 4.00 for both short ones. The other stub, of which no worth is known, holds the one of 30.
    let job = load(&[
        (
            "job.toml",
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n[in-hand]\nfirst = true\n\
             [[rack]]\nboard = \"stub\"\nlength = 90\nvalue = 8\n[[rack]]\nboard = \"old\"\nlength = 32\n",
        ),
        (
            "pieces.csv",
            "piece,length,quantity\nlong,40,1\nshort,20,2\nother,30,1\n",
        ),
        ("boards.csv", "board,length,price\neight,8',9\n"),
    ]);
    let plan = planned(&job);
    assert_eq!(plan.value, 0);
    let shares = share_boards(&plan).unwrap();
    assert!(shares.values().all(|&share| share == Money::ZERO));
    let paid = share_paid_before(&plan);
    let of = |name: &str| {
        let idx = job.pieces.iter().position(|piece| piece.name == name);
        paid.by_line
            .get(&Line::Piece(idx.unwrap()))
            .map(|share| share.minor())
    };
    assert_eq!(
        [of("long"), of("short"), of("other")],
        [Some(400), Some(400), None]
    );
    assert_eq!((paid.n_boards, paid.n_unknown), (2, 1));
    // Where it counts at its worth, that is a price like any other.
    let counted = planned(&demo("data/rack/rack.toml"));
    assert_eq!(
        share_paid_before(&counted)
            .by_line
            .values()
            .copied()
            .sum::<Money>(),
        Money::ZERO
    );
}

#[test]
fn where_nothing_stands_in_the_missing_parts_are_told() {
    let job = load(&[
        (
            "job.toml",
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n",
        ),
        ("pieces.csv", "piece,length,quantity\np,40,3\n"),
        ("boards.csv", "board,length,price\nfour,4',5\n"),
    ]);
    let plan = planned(&job);
    let exchanges = find_exchanges(&plan, &STEER).unwrap();
    let text = pocket_text(&plan, Purchase::All, &exchanges, &[]);
    assert!(text.contains("none left: 3 parts missing"), "{text}");
    assert_eq!(exchanges[0].plan.value, Money::ZERO.minor());
}

#[test]
fn boards_of_a_tally_stand_under_their_marks() {
    let comparison = compared(&demo("data/rough/rough.toml"));
    let best = comparison.best();
    let text = pocket_text(&best.plan, Purchase::Way("best mix"), &[], &[]);
    for taken in &best.plan.boards {
        let board = &best.job.boards[taken.board_idx];
        assert!(text.contains(&format!("1 x {}", board.name)), "{text}");
    }
}

#[test]
fn sheets_stand_behind_the_boards_with_what_both_come_to() {
    let job = demo("data/show/show.toml");
    let planned = jobs::planned(&job);
    let text = pocket_text(&planned.plan, Purchase::All, &[], &planned.materials);
    assert!(
        text.lines().all(|line| line.chars().count() <= 40),
        "{text}"
    );
    let sheets: Money = material_tallies(&job, &planned.materials)
        .iter()
        .filter_map(|tally| tally.bought)
        .sum();
    let boards = Summary::new(&planned.plan).bought.unwrap();
    let currency = &job.display.currency;
    let (_, behind) = text.split_once("Besides boards: ").unwrap();
    assert!(behind.starts_with(&currency.format(sheets)), "{text}");
    assert!(behind.contains("acrylic: 2 sheets 40 in × 60 in"), "{text}");
    assert!(
        behind.ends_with(&format!("In all: {}\n", currency.format(boards + sheets))),
        "{text}"
    );
}

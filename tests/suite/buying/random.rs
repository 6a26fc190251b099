//! Ways of buying for random jobs.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use longpoint::compare::{list_ways, share_boards};
use longpoint::job::{Job, Way};
use longpoint::length::Length;
use longpoint::money::Money;
use longpoint::plan::Verdict;
use proptest::prelude::*;

use super::{compared, load, planned};

/// A job of loose pieces in sixteenths of an inch and cents, one wood.
#[derive(Clone, Debug)]
pub(super) struct Shop {
    pieces: Vec<(u32, u32)>,
    /// Length beyond the longest piece, quantity, cents.
    boards: Vec<(u32, Option<u32>, u32)>,
    /// Length and cents of the pieces on the rack.
    rack: Vec<(u32, u32)>,
    /// What the vehicle takes beyond the longest piece.
    longest: Option<u32>,
}

impl Shop {
    pub(super) fn load(&self) -> Job {
        let files = self.files();
        let files: Vec<_> = files.iter().map(|(name, text)| (*name, &**text)).collect();
        load(&files)
    }

    /// The files of the job.
    pub(super) fn files(&self) -> Vec<(&'static str, String)> {
        let sixteenths = |length: u32| format!("{} {}/16", length / 16, length % 16);
        let mut pieces = String::from("piece,length,quantity\n");
        for (idx, (length, quantity)) in self.pieces.iter().enumerate() {
            writeln!(pieces, "p{idx},{},{quantity}", sixteenths(*length)).unwrap();
        }
        let longest = self.pieces.iter().map(|piece| piece.0).max().unwrap();
        let mut boards = String::from("board,length,quantity,price\n");
        for (idx, (extra, quantity, cents)) in self.boards.iter().enumerate() {
            let quantity = quantity.map_or(String::new(), |quantity| quantity.to_string());
            let price = format!("{}.{:02}", cents / 100, cents % 100);
            writeln!(
                boards,
                "b{idx},{},{quantity},{price}",
                sixteenths(longest + extra)
            )
            .unwrap();
        }
        let mut rack = String::from("board,length,value\n");
        for (idx, (length, cents)) in self.rack.iter().enumerate() {
            let value = format!("{}.{:02}", cents / 100, cents % 100);
            writeln!(rack, "r{idx},{},{value}", sixteenths(*length)).unwrap();
        }
        let mut job =
            String::from("pieces = \"pieces.csv\"\nboards = \"boards.csv\"\nrack = \"rack.csv\"\n");
        job.push_str("[saw]\nkerf = \"1/8\"\nend-trim = 0\n");
        if let Some(extra) = self.longest {
            writeln!(
                job,
                "[buying]\nlongest = \"{}\"",
                sixteenths(longest + extra)
            )
            .unwrap();
        }
        vec![
            ("job.toml", job),
            ("pieces.csv", pieces),
            ("boards.csv", boards),
            ("rack.csv", rack),
        ]
    }
}

fn shops() -> impl Strategy<Value = Shop> {
    let board = (
        0_u32..900,
        prop::option::weighted(0.3, 1_u32..6),
        100_u32..1_500,
    );
    (
        prop::collection::vec((40_u32..400, 1_u32..6), 1..6),
        prop::collection::vec(board, 1..6),
    )
        .prop_map(|(pieces, boards)| Shop {
            pieces,
            boards,
            rack: Vec::new(),
            longest: None,
        })
}

/// Shops with a rack, and a vehicle that may be too short for some boards.
pub(super) fn shops_with_limits() -> impl Strategy<Value = Shop> {
    let rack = prop::collection::vec((60_u32..600, 0_u32..400), 0..3);
    let longest = prop::option::of(0_u32..900);
    (shops(), rack, longest).prop_map(|(shop, rack, longest)| Shop {
        rack,
        longest,
        ..shop
    })
}

/// The least cost over every set of at most `most` lengths, each planned alone; `None` where none cuts all parts.
fn by_trying_all(job: &Job, most: usize) -> Option<i64> {
    let lengths: Vec<Length> = job
        .boards
        .iter()
        .map(|board| board.length)
        .collect::<BTreeSet<Length>>()
        .into_iter()
        .collect();
    (1_u32..1 << lengths.len())
        .filter(|set| set.count_ones() as usize <= most)
        .filter_map(|set| {
            let tried = job.with_some_boards(|_, board| {
                let at = lengths.iter().position(|length| *length == board.length);
                set & (1 << at.unwrap()) != 0
            });
            let plan = planned(&tried);
            plan.missing.is_empty().then_some(plan.value)
        })
        .min()
}

/// What the yard charges for its cuts is no number of boards.
#[test]
fn few_lengths_are_the_best_of_all_sets_where_the_yard_charges_for_cuts() {
    let job = load(&[
        (
            "job.toml",
            "unit = \"mm\"\nframes = \"frames.csv\"\npieces = \"pieces.csv\"\nboards = \"boards.csv\"\n\
             [saw]\nkerf = 3\nend-trim = 12\n\
             [buying]\nlongest = 1854\nyard-cuts = 500\nyard-cut-price = 0.37\n\
             [[mouldings]]\nname = \"lath\"\nface-width = 20\nlip = 5\n",
        ),
        (
            "frames.csv",
            "frame,quantity,art-width,art-height,moulding\nlarge,2,560,490,lath\nsmall,2,137,334,lath\n",
        ),
        (
            "pieces.csv",
            "piece,length,quantity,ends,moulding\nbar,434,9,square,lath\n",
        ),
        (
            "boards.csv",
            "board,length,quantity,price\na,1283,2,10.11\nb,1591,2,12.27\nc,2118,1,16.05\n\
             d,2596,1,19.48\ne,2637,5,20.11\n",
        ),
    ]);
    let comparison = compared(&job);
    for most in [2, 3] {
        let mut rows = comparison.rows.iter();
        let row = rows.find(|row| row.way == Way::AtMost(most)).unwrap();
        assert!(row.is_proved(), "{most}");
        assert_eq!(Some(row.plan.value), by_trying_all(&job, most), "{most}");
    }
    assert!(job.boards.iter().any(|board| board.at_yard.is_some()));
}

proptest! {
    #![proptest_config(cases!(40))]

    #[test]
    fn few_lengths_are_the_best_of_all_sets(shop in shops()) {
        let job = shop.load();
        let comparison = compared(&job);
        for most in [2, 3] {
            let expected = by_trying_all(&job, most);
            let found = comparison.rows.iter().find(|row| row.way == Way::AtMost(most));
            let listed = list_ways(&job).contains(&Way::AtMost(most));
            if let Some(row) = found {
                prop_assert!(row.is_proved());
                prop_assert_eq!(Some(row.plan.value), expected);
                let lengths: BTreeSet<Length> =
                    row.plan.boards.iter().map(|board| row.job.boards[board.board_idx].length).collect();
                prop_assert!(lengths.len() <= most);
            } else {
                prop_assert!(!listed || expected.is_none());
            }
        }
    }

    #[test]
    fn rows_of_random_jobs_are_what_planning_them_alone_gives(shop in shops_with_limits()) {
        let job = shop.load();
        let comparison = compared(&job);
        for row in &comparison.rows {
            prop_assert!(row.is_proved(), "{:?}", row.way);
            let own = planned(&row.job);
            prop_assert_eq!(own.value, row.plan.value, "{:?}", &row.way);
            prop_assert_eq!(own.missing.len(), row.plan.missing.len(), "{:?}", &row.way);
            let shares = share_boards( &row.plan).unwrap();
            prop_assert_eq!(shares.values().copied().sum::<Money>().minor(), row.plan.value);
        }
    }

    #[test]
    fn no_row_is_better_than_the_best_mix_but_those_without_limits(shop in shops_with_limits()) {
        let job = shop.load();
        let comparison = compared(&job);
        let best = comparison.best_mix();
        for row in comparison.rows.iter().filter(|row| row.plan.verdict == Verdict::Optimal) {
            if row.way.is_open() {
                if row.is_complete() {
                    prop_assert!(best.is_complete());
                    prop_assert!(best.plan.value <= row.plan.value);
                }
            } else {
                // A limit never makes it cheaper.
                prop_assert!(row.plan.missing.len() <= best.plan.missing.len());
                if best.is_complete() {
                    prop_assert!(row.plan.value <= best.plan.value);
                }
            }
        }
    }

    #[test]
    fn a_lower_price_never_makes_the_best_dearer(shop in shops(), which in 0_usize..5, less in 1_u32..90) {
        let job = shop.load();
        let before = compared(&job).best_mix().plan.clone();
        let mut cheaper = shop.clone();
        let which = which % cheaper.boards.len();
        cheaper.boards[which].2 -= less;
        let job = cheaper.load();
        let after = compared(&job).best_mix().plan.clone();
        prop_assert_eq!(before.missing.len(), after.missing.len());
        if before.missing.is_empty() {
            prop_assert!(after.value <= before.value);
        }
    }
}

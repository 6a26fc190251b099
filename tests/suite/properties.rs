//! What must hold of every job: random ones, from their texts to their plans.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fmt::Write as _;

use crate::jobs::{self, load};
use crate::texts::Texts;
use longpoint::job::Job;
use longpoint::plan::{Plan, Verdict};
use proptest::prelude::*;

/// A job of loose pieces, in sixteenths of an inch and cents.
#[derive(Clone, Debug)]
struct Shop {
    kerf: u32,
    trim: u32,
    /// Length, quantity, mitered.
    pieces: Vec<(u32, u32, bool)>,
    /// Length beyond the longest piece and the trims, quantity, cents.
    boards: Vec<(u32, Option<u32>, Option<u32>)>,
}

impl Shop {
    /// The texts of the job, all lengths times `scale`.
    fn texts(&self, scale: u32) -> Texts {
        let sixteenths =
            |length: u32| format!("{} {}/16", length * scale / 16, length * scale % 16);
        let mut pieces = String::from("piece,length,quantity,ends\n");
        for (idx, (length, quantity, mitered)) in self.pieces.iter().enumerate() {
            let ends = if *mitered { "miter" } else { "square" };
            writeln!(pieces, "p{idx},{},{quantity},{ends}", sixteenths(*length)).unwrap();
        }
        let longest = self.pieces.iter().map(|piece| piece.0).max().unwrap();
        let mut boards = String::from("board,length,quantity,price\n");
        for (idx, (extra, quantity, cents)) in self.boards.iter().enumerate() {
            let quantity = quantity.map_or(String::new(), |quantity| quantity.to_string());
            let price = cents.map_or(String::new(), |cents| {
                format!("{}.{:02}", cents / 100, cents % 100)
            });
            writeln!(
                boards,
                "b{idx},{},{quantity},{price}",
                sixteenths(longest + 2 * self.trim + extra)
            )
            .unwrap();
        }
        let job = format!(
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n[saw]\nkerf = \"{}\"\nend-trim = \"{}\"\n",
            sixteenths(self.kerf),
            sixteenths(self.trim)
        );
        Texts::from([
            ("job.toml", job),
            ("pieces.csv", pieces),
            ("boards.csv", boards),
        ])
    }
}

/// Loads and plans; the pipeline refuses a plan that its own check rejects.
fn planned(texts: &Texts) -> (Job, Plan) {
    let job = load(texts);
    let plan = jobs::planned(&job).plan;
    (job, plan)
}

fn shops() -> impl Strategy<Value = Shop> {
    let piece = (40_u32..400, 1_u32..6, any::<bool>());
    let board = (
        0_u32..900,
        prop::option::of(0_u32..5),
        prop::option::weighted(0.8, 100_u32..3_000),
    );
    (
        0_u32..5,
        0_u32..9,
        prop::collection::vec(piece, 1..7),
        prop::collection::vec(board, 1..4),
    )
        .prop_map(|(kerf, trim, pieces, boards)| Shop {
            kerf,
            trim,
            pieces,
            boards,
        })
}

proptest! {
    #![proptest_config(cases!(120))]

    #[test]
    fn every_job_gets_a_checked_plan_or_a_named_shortage(shop in shops()) {
        let (job, plan) = planned(&shop.texts(1));
        let wanted: u32 = job.pieces.iter().map(|piece| piece.quantity).sum();
        let cut: usize = plan.boards.iter().map(|board| board.cuts().count()).sum();
        prop_assert_eq!(cut + plan.missing.len(), usize::try_from(wanted).unwrap());
        prop_assert!(plan.lower_bound <= plan.value);
        let ample = shop.boards.iter().any(|board| board.1.is_none());
        prop_assert!(plan.missing.is_empty() || !ample);
    }

    #[test]
    fn the_order_of_rows_changes_neither_value_nor_bound(shop in shops()) {
        let (_, plan) = planned(&shop.texts(1));
        let mut turned = shop.clone();
        // The names go with the places in the list, so only sizes, counts and prices change places.
        turned.pieces.reverse();
        turned.boards.reverse();
        let (_, other) = planned(&turned.texts(1));
        prop_assert_eq!(plan.missing.len(), other.missing.len());
        if plan.verdict == Verdict::Optimal && other.verdict == Verdict::Optimal {
            prop_assert_eq!(plan.value, other.value);
        }
    }

    #[test]
    fn a_larger_scale_changes_nothing_but_the_scale(shop in shops()) {
        // Square ends only: a kerf along a miter is rounded up to the nanometer, which no scale keeps.
        let mut shop = shop;
        for piece in &mut shop.pieces {
            piece.2 = false;
        }
        let (_, plan) = planned(&shop.texts(1));
        let (_, other) = planned(&shop.texts(3));
        prop_assert_eq!(plan.missing.len(), other.missing.len());
        prop_assert_eq!(plan.boards.len(), other.boards.len());
        let priced = shop.boards.iter().any(|board| board.2.is_some());
        prop_assert_eq!(if priced { plan.value } else { 3 * plan.value }, other.value);
    }
}

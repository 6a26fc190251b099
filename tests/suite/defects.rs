//! Boards with defects, against trying everything.
//!
//! The search here shares nothing with the program: it lays parts into clear runs one by one, in eighths of an inch.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

use crate::jobs::{self, CONTROL, demo, load};
use crate::look::LOOK;
use crate::texts::Texts;
use longpoint::audit::{self, Violation, check};
use longpoint::job::Job;
use longpoint::load::{Boards, load_job};
use longpoint::pipeline::plan;
use longpoint::plan::{Plan, Verdict};
use longpoint::planfile::{Finding, PlanFile, Standing, verify};
use longpoint::report::csv::{rack_csv, saw_order_csv};
use longpoint::report::sections::{order_sheet, plan_sheet};
use longpoint::report::text::set;
use longpoint::stations::saw_order;
use longpoint::tally::Summary;
use proptest::prelude::*;
use serde_json::Value;

/// A defect in eighths: from, length, and how much of the width from the left or the right edge, 0 for all of it.
type Spot = (i64, i64, i64, bool);

/// A kind of board in eighths.
#[derive(Clone, Debug)]
struct Kind {
    length: i64,
    width: i64,
    quantity: u32,
    cents: i64,
    spots: Vec<Spot>,
}

/// A shop in eighths, with square cuts only.
#[derive(Clone, Debug)]
struct Shop {
    kerf: i64,
    trim: i64,
    /// Kerf and straightening of ripping; `None` where boards are taken whole.
    rip: Option<(i64, i64)>,
    /// Length, width and quantity.
    pieces: Vec<(i64, i64, u32)>,
    kinds: Vec<Kind>,
}

impl Shop {
    fn texts(&self) -> Texts {
        let mut job = format!(
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n[saw]\nkerf = \"{}/8\"\nend-trim = \"{}/8\"\n\
             [shop]\nshortest-offcut = 1\n",
            self.kerf, self.trim
        );
        if let Some((kerf, straightening)) = self.rip {
            write!(
                job,
                "[rip]\nkerf = \"{kerf}/8\"\nstraightening = \"{straightening}/8\"\nplane-off = 0\n"
            )
            .unwrap();
        }
        let mut pieces = String::from("piece,length,width,quantity\n");
        for (idx, (length, width, quantity)) in self.pieces.iter().enumerate() {
            writeln!(pieces, "p{idx},{length}/8,{width}/8,{quantity}").unwrap();
        }
        let mut boards = String::from("board,length,width,quantity,price,defects\n");
        for (idx, kind) in self.kinds.iter().enumerate() {
            let spots: Vec<String> = kind
                .spots
                .iter()
                .map(|(from, length, depth, left)| {
                    let stretch = format!("{from}/8 to {}/8", from + length);
                    match (depth, left) {
                        (0, _) => stretch,
                        (depth, true) => format!("{stretch} left {depth}/8"),
                        (depth, false) => format!("{stretch} right {depth}/8"),
                    }
                })
                .collect();
            writeln!(
                boards,
                "b{idx},{}/8,{}/8,{},{}.{:02},{}",
                kind.length,
                kind.width,
                kind.quantity,
                kind.cents / 100,
                kind.cents % 100,
                spots.join("; ")
            )
            .unwrap();
        }
        Texts::from([
            ("job.toml", job),
            ("pieces.csv", pieces),
            ("boards.csv", boards),
        ])
    }

    /// The clear runs of a strip that begins and ends there across the board.
    fn runs(&self, kind: &Kind, across: Option<(i64, i64)>) -> Vec<i64> {
        let hits = |&(_, _, depth, left): &Spot| match (across, self.rip) {
            (Some((begin, end)), Some((_, straightening))) if depth > 0 => {
                // Straightening may have come off either edge.
                if left {
                    begin < depth
                } else {
                    end > kind.width - straightening - depth
                }
            }
            _ => true,
        };
        // Eighth by eighth: what is clear, and what the saw needs between two parts beside a narrow defect.
        let mut clear = vec![true; usize::try_from(kind.length).unwrap()];
        for spot in kind.spots.iter().filter(|spot| hits(spot)) {
            for at in spot.0..spot.0 + spot.1.max(self.kerf) {
                if let Some(cell) = clear.get_mut(usize::try_from(at).unwrap()) {
                    *cell = false;
                }
            }
        }
        let trim = usize::try_from(self.trim).unwrap();
        let inside = &clear[trim..clear.len() - trim];
        inside
            .split(|clear| !clear)
            .map(|run| i64::try_from(run.len()).unwrap())
            .filter(|&run| run > 0)
            .collect()
    }

    /// Every way to use a board: for each its bins, a width (0 for any) and a length.
    fn ways(&self, kind: &Kind) -> BTreeSet<Vec<(i64, i64)>> {
        let bins = |width, across| {
            let runs = self.runs(kind, across);
            runs.into_iter().map(move |run| (width, run))
        };
        let Some((rip_kerf, straightening)) = self.rip else {
            return BTreeSet::from([bins(0, None).collect()]);
        };
        let widths: BTreeSet<i64> = self.pieces.iter().map(|piece| piece.1).collect();
        let mut ways = BTreeSet::new();
        for &width in &widths {
            if width == kind.width {
                ways.insert(bins(width, None).collect());
            }
        }
        let mut starts = vec![0];
        for &(_, _, depth, left) in &kind.spots {
            if depth > 0 && left && depth < kind.width {
                starts.push(depth.max(rip_kerf));
            }
        }
        let mut open: Vec<(i64, Vec<(i64, i64)>)> =
            starts.iter().map(|&at| (at, Vec::new())).collect();
        while let Some((at, so_far)) = open.pop() {
            for &width in &widths {
                let end = at + width;
                if end <= kind.width - straightening && width != kind.width {
                    let mut longer = so_far.clone();
                    longer.extend(bins(width, Some((at, end))));
                    open.push((end + rip_kerf, longer));
                }
            }
            // A strip may also begin where a later defect ends, with waste before it.
            let later = starts.iter().filter(|&&start| start > at);
            open.extend(later.map(|&start| (start, so_far.clone())));
            ways.insert(so_far);
        }
        ways
    }

    /// The least cost at which all pieces are cut, and `None` where the boards do not suffice.
    fn least_cost(&self) -> Option<i64> {
        let mut pieces: Vec<(i64, i64)> = self
            .pieces
            .iter()
            .flat_map(|&(length, width, quantity)| (0..quantity).map(move |_| (width, length)))
            .collect();
        pieces.sort_unstable_by_key(|&(_, length)| std::cmp::Reverse(length));
        let ways: Vec<BTreeSet<Vec<(i64, i64)>>> =
            self.kinds.iter().map(|kind| self.ways(kind)).collect();
        let mut best = None;
        let mut stack = vec![(0, 0, Vec::new(), 0)];
        // Boards are chosen kind by kind, each with its way; then the pieces must fit the bins.
        while let Some((kind, taken, bins, cost)) = stack.pop() {
            if best.is_some_and(|best| cost >= best) {
                continue;
            }
            if kind == self.kinds.len() {
                if self.fits(&pieces, &mut Bins::new(&bins)) {
                    best = Some(cost);
                }
                continue;
            }
            stack.push((kind + 1, 0, bins.clone(), cost));
            if taken < self.kinds[kind].quantity {
                for way in &ways[kind] {
                    let mut more: Vec<(i64, i64)> = bins.clone();
                    more.extend(way);
                    stack.push((kind, taken + 1, more, cost + self.kinds[kind].cents));
                }
            }
        }
        best
    }

    /// Whether the pieces fit the bins, by trying every bin for each.
    fn fits(&self, pieces: &[(i64, i64)], bins: &mut Bins) -> bool {
        let Some((&(width, length), rest)) = pieces.split_first() else {
            return true;
        };
        let mut tried = BTreeSet::new();
        for at in 0..bins.0.len() {
            let (bin_width, left, is_empty) = bins.0[at];
            // The first piece of a run needs no kerf before it.
            let needed = if is_empty { length } else { length + self.kerf };
            let suits = bin_width == 0 || bin_width == width;
            if !suits || needed > left || !tried.insert(bins.0[at]) {
                continue;
            }
            bins.0[at] = (bin_width, left - needed, false);
            if self.fits(rest, bins) {
                return true;
            }
            bins.0[at] = (bin_width, left, is_empty);
        }
        false
    }
}

/// Width, what is left and whether nothing is in it yet.
struct Bins(Vec<(i64, i64, bool)>);

impl Bins {
    fn new(bins: &[(i64, i64)]) -> Bins {
        Bins(
            bins.iter()
                .map(|&(width, run)| (width, run, true))
                .collect(),
        )
    }
}

/// `None` where the job is refused: then a part is longer than every run, or nothing is clear.
fn planned(shop: &Shop) -> Option<(Job, Plan, String)> {
    let (job, _) = load_job(Path::new("job.toml"), &shop.texts(), Boards::Needed).ok()?;
    let planned = match plan(&job, &CONTROL) {
        Ok(planned) => planned,
        Err(violations) => panic!("{violations:?}"),
    };
    let json = PlanFile::of(&planned).text();
    Some((job, planned.plan, json))
}

/// Spots on a board of this length and width, one on each stretch of a third.
fn spots(length: i64, width: i64) -> impl Strategy<Value = Vec<Spot>> {
    let spot = (0..length / 3 - 20, 1_i64..20, 0..width, any::<bool>());
    prop::collection::vec(prop::option::weighted(0.6, spot), 3).prop_map(move |spots| {
        let placed = (0_i64..).zip(spots).filter_map(|(third, spot)| {
            let (from, long, depth, left) = spot?;
            Some((from + third * (length / 3), long, depth, left))
        });
        placed.collect()
    })
}

fn kinds(widths: std::ops::Range<i64>) -> impl Strategy<Value = Vec<Kind>> {
    let kind = (180_i64..320, widths, 1_u32..3, 100_i64..400).prop_flat_map(
        |(length, width, quantity, cents)| {
            spots(length, width).prop_map(move |spots| Kind {
                length,
                width,
                quantity,
                cents,
                spots,
            })
        },
    );
    prop::collection::vec(kind, 1..3)
}

fn whole_shops() -> impl Strategy<Value = Shop> {
    let piece = (20_i64..150, Just(8_i64), 1_u32..3);
    (
        0_i64..4,
        0_i64..6,
        prop::collection::vec(piece, 1..4),
        kinds(8..20),
    )
        .prop_map(|(kerf, trim, pieces, kinds)| Shop {
            kerf,
            trim,
            rip: None,
            pieces,
            kinds,
        })
}

fn ripped_shops() -> impl Strategy<Value = Shop> {
    let piece = (
        30_i64..140,
        prop::sample::select(vec![10_i64, 14]),
        1_u32..3,
    );
    (
        (0_i64..4, 0_i64..6, 0_i64..3, 0_i64..4),
        prop::collection::vec(piece, 1..4),
        kinds(20..44),
    )
        .prop_map(
            |((kerf, trim, rip_kerf, straightening), pieces, kinds)| Shop {
                kerf,
                trim,
                rip: Some((rip_kerf, straightening)),
                pieces,
                kinds,
            },
        )
}

/// A plan is the cheapest there is, and `verify` believes every claim of its file, but none that is higher.
fn hold_against_trying_all(shop: &Shop) -> Result<(), TestCaseError> {
    let Some((job, plan, json)) = planned(shop) else {
        prop_assert_eq!(shop.least_cost(), None);
        return Ok(());
    };
    match shop.least_cost() {
        Some(_) if !plan.missing.is_empty() => {
            // The search may end at its limit, and must say so.
            prop_assert_eq!(plan.missing_lower_bound, 0);
            prop_assert!(plan.verdict != Verdict::Optimal);
        }
        Some(cost) => {
            prop_assert!(plan.lower_bound <= cost, "{} > {cost}", plan.lower_bound);
            prop_assert!(plan.value >= cost, "{} < {cost}", plan.value);
            if plan.verdict == Verdict::Optimal {
                prop_assert_eq!(plan.value, cost);
            }
        }
        None => prop_assert!(!plan.missing.is_empty()),
    }
    let verified = verify(&job, &json).unwrap();
    // Where the search told patterns apart, prices alone don't prove the bound; what they are said to prove, they do.
    prop_assert!(
        verified.standing() != Standing::Fails,
        "{:?}",
        verified.findings
    );
    if plan.verdict == Verdict::Optimal && verified.proved == plan.value {
        claims_above_the_optimum_are_refused(&job, &json)?;
    }
    Ok(())
}

/// Where all claims together prove the optimum, a higher bound of any of them is false.
fn claims_above_the_optimum_are_refused(job: &Job, json: &str) -> Result<(), TestCaseError> {
    let sound: Value = serde_json::from_str(json).unwrap();
    let n_claims = sound["certificate"]["claims"].as_array().unwrap().len();
    for claim in 0..n_claims {
        let mut raised = sound.clone();
        let bound = &mut raised["certificate"]["claims"][claim]["bound"];
        *bound = (bound.as_i64().unwrap() + 1).into();
        let verified = verify(job, &raised.to_string()).unwrap();
        prop_assert!(
            verified.findings.iter().any(|finding| matches!(
                finding,
                Finding::Audit(Violation {
                    kind: audit::Kind::NotProved { .. },
                    ..
                })
            )),
            "claim {claim} is believed"
        );
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases!(400))]

    #[test]
    fn boards_with_defects_taken_whole_are_planned_at_the_least_cost(shop in whole_shops()) {
        hold_against_trying_all(&shop)?;
    }

    #[test]
    fn boards_ripped_past_defects_are_planned_at_the_least_cost(shop in ripped_shops()) {
        hold_against_trying_all(&shop)?;
    }

    #[test]
    fn a_defect_never_makes_a_plan_cheaper_and_what_is_left_keeps_its_own(shop in ripped_shops()) {
        let Some((_job, plan, _)) = planned(&shop) else {
            return Ok(());
        };
        let mut sound = shop.clone();
        for kind in &mut sound.kinds {
            kind.spots.clear();
        }
        let (_, other, _) = planned(&sound).unwrap();
        if other.verdict == Verdict::Optimal {
            prop_assert!(other.missing.len() <= plan.missing.len());
        }
        if plan.missing.is_empty() {
            prop_assert!(other.lower_bound <= plan.value);
        }
        // The rack after the job is one that loads, with every defect on its piece.
        let mut texts = shop.texts().0;
        texts.insert("rack.csv", rack_csv( &plan));
        texts.insert("job.toml", format!("rack = \"rack.csv\"\n{}", texts["job.toml"]));
        let next = load(&Texts(texts));
        for board in next.boards.iter().filter(|board| board.in_hand.is_some()) {
            prop_assert!(board.longest_clear(longpoint::length::Length::ZERO).is_some());
        }
    }
}

#[test]
fn a_board_with_a_knot_costs_once_and_both_its_runs_are_used() {
    // Derived: 40 in with a knot from 18 to 22, no kerf and no trim: 18 + 18 in two pieces, one board.
    let shop = Shop {
        kerf: 0,
        trim: 0,
        rip: None,
        pieces: vec![(18 * 8, 8, 2)],
        kinds: vec![Kind {
            length: 40 * 8,
            width: 8,
            quantity: 5,
            cents: 300,
            spots: vec![(18 * 8, 4 * 8, 0, false)],
        }],
    };
    let (_job, plan, _) = planned(&shop).unwrap();
    assert_eq!(plan.value, 300);
    // Moved by one nanometer, a part lies on the knot.
    let mut moved = plan;
    let cut = &mut moved.boards[0].strips[0].cuts[0];
    cut.from += longpoint::length::Length::from_nm(1);
    cut.to += longpoint::length::Length::from_nm(1);
    let found = check(&moved);
    assert!(
        found.iter().any(|violation| matches!(
            violation,
            Violation {
                kind: audit::Kind::OnDefect,
                ..
            }
        )),
        "{found:?}"
    );
}

#[test]
fn the_demo_with_knots_is_drawn_with_them() {
    let plan = jobs::planned(&demo("knots")).plan;
    assert_eq!(plan.verdict, Verdict::Optimal);
    let summary = Summary::new(&plan);
    let text = set(&plan_sheet(&summary), LOOK);
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let drawn: String = text
        .lines()
        .skip_while(|line| !line.starts_with(" Board A"))
        .take_while(|line| !line.starts_with("Sizes"))
        .fold(String::new(), |lines, line| lines + line + "\n");
    insta::assert_snapshot!(drawn);
}

/// Who saws by stop has no list by board beside him: a knot that is left out stands where the cut behind it does.
#[test]
fn the_order_by_stop_tells_what_is_left_out() {
    // Derived: from 1 to 21 and from 25 to 49 there is room for two slats each; the board ends with its trim at 49.
    let job = jobs::load_text(
        "[saw]\nkerf = 0\nend-trim = 1\n\
         [[pieces]]\npiece = \"slat\"\nlength = 10\nquantity = 4\n\
         [[boards]]\nboard = \"oak\"\nlength = 50\ndefects = \"21 to 25\"\n",
    );
    let plan = jobs::planned(&job).plan;
    let order = saw_order(&plan);
    let skips = order
        .by_stop()
        .map(|cut| (cut.label.cut, order.skip_before(cut)));
    let inches = |inches: i64| longpoint::length::Length::from_nm(inches * 25_400_000);
    let left_out = Some((inches(21), inches(25)));
    assert_eq!(
        skips.collect::<Vec<_>>(),
        [(1, None), (2, None), (3, left_out), (4, None)]
    );
    let text = set(&order_sheet(&plan), LOOK);
    // Measured from the trimmed end, as in the list by board.
    assert!(text.contains("A 1 2 ! 20 to 24: 3 4"), "{text}");
    assert!(text.contains("before cut 2 a defect is left out"), "{text}");
    let table = saw_order_csv(&plan, &order);
    let rows: Vec<&str> = table.lines().skip(1).collect();
    // Nanometers stand at the end of a row: 20 and 24 in.
    let told = rows.iter().map(|row| row.ends_with(",508000000,609600000"));
    assert_eq!(
        told.collect::<Vec<_>>(),
        [false, false, true, false],
        "{table}"
    );
    assert_eq!(
        rows.iter().filter(|row| row.ends_with(",,")).count(),
        3,
        "{table}"
    );
}

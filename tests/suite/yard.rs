//! Boards cut at the yard, against trying every way to cut every board, and what must hold of such plans.
//!
//! The search here shares nothing with the program: it takes every set of places, and lays parts into what is then there.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

use crate::jobs::{self, CONTROL, load_text};
use crate::look::LOOK;
use crate::texts::Texts;
use longpoint::audit::{self, Figure, Violation, check};
use longpoint::compare::{Steer, compare};
use longpoint::job::{Job, Way};
use longpoint::length::Length;
use longpoint::load::{Boards, load_job};
use longpoint::pipeline::plan;
use longpoint::plan::{LeftoverKind, PieceKind, Plan, PlannedBoard, Verdict, leftovers};
use longpoint::planfile::{Finding, PlanFile, Standing, verify};
use longpoint::replan::{Bench, Marks, Measured, News, Place, Wishes, replan};
use longpoint::report::csv::buying_list_csv;
use longpoint::report::sections::plan_sheet;
use longpoint::report::text::set;
use longpoint::tally::Summary;
use proptest::prelude::*;
use serde_json::Value;

/// A kind of board in eighths.
#[derive(Clone, Debug)]
struct Kind {
    length: i64,
    width: i64,
    quantity: u32,
    cents: i64,
    /// From and length of a defect in full width.
    spot: Option<(i64, i64)>,
}

/// A shop in eighths, with square cuts only.
#[derive(Clone, Debug)]
struct Shop {
    kerf: i64,
    trim: i64,
    longest: i64,
    yard_kerf: i64,
    charge: i64,
    /// Where the yard cuts.
    places: BTreeSet<i64>,
    /// Kerf and straightening of ripping; `None` where boards are taken whole.
    rip: Option<(i64, i64)>,
    /// Length, width and quantity.
    pieces: Vec<(i64, i64, u32)>,
    kinds: Vec<Kind>,
}

/// What a board is used for: strips and clear runs, each with its width (0 for any) and its length, in rising order.
type Bins = Vec<(i64, i64)>;

/// Whether each of some bins has one of its own among others, as wide and at least as long.
fn within(few: &Bins, many: &Bins) -> bool {
    let mut left = many.clone();
    few.iter().rev().all(|&(width, run)| {
        let place = left.iter().rposition(|&bin| bin.0 == width && bin.1 >= run);
        place.map(|place| left.remove(place)).is_some()
    })
}

/// The ways that no other is as good as.
fn without_poorer(all: BTreeSet<Bins>) -> BTreeSet<Bins> {
    let all: Vec<Bins> = all.into_iter().collect();
    let is_poorer = |one: &&Bins| all.iter().any(|other| other != *one && within(one, other));
    all.iter().filter(|one| !is_poorer(one)).cloned().collect()
}

impl Shop {
    fn texts(&self) -> Texts {
        let places: Vec<String> = self
            .places
            .iter()
            .map(|place| format!("\"{place}/8\""))
            .collect();
        let mut job = format!(
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n[saw]\nkerf = \"{}/8\"\nend-trim = \"{}/8\"\n\
             [shop]\nshortest-offcut = 1\n[buying]\nlongest = \"{}/8\"\nyard-cuts = [{}]\nyard-kerf = \"{}/8\"\n\
             yard-cut-price = \"0.{:02}\"\n",
            self.kerf,
            self.trim,
            self.longest,
            places.join(", "),
            self.yard_kerf,
            self.charge
        );
        if let Some((kerf, straightening)) = self.rip {
            write!(
                job,
                "[rip]\nkerf = \"{kerf}/8\"\nstraightening = \"{straightening}/8\"\n"
            )
            .unwrap();
        }
        let mut pieces = String::from("piece,length,width,quantity\n");
        for (idx, (length, width, quantity)) in self.pieces.iter().enumerate() {
            writeln!(pieces, "p{idx},{length}/8,{width}/8,{quantity}").unwrap();
        }
        let mut boards = String::from("board,length,width,quantity,price,defects\n");
        for (idx, kind) in self.kinds.iter().enumerate() {
            let spot = kind
                .spot
                .map(|(from, long)| format!("{from}/8 to {}/8", from + long));
            writeln!(
                boards,
                "b{idx},{}/8,{}/8,{},{}.{:02},{}",
                kind.length,
                kind.width,
                kind.quantity,
                kind.cents / 100,
                kind.cents % 100,
                spot.unwrap_or_default()
            )
            .unwrap();
        }
        Texts::from([
            ("job.toml", job),
            ("pieces.csv", pieces),
            ("boards.csv", boards),
        ])
    }

    /// The sets of places at which a board may be cut.
    fn cuts(&self, kind: &Kind) -> Vec<Vec<i64>> {
        let places: Vec<i64> = self.places.iter().copied().collect();
        let mut all = Vec::new();
        for set in 0..1_u32 << places.len() {
            let chosen = (0..places.len()).filter(|bit| set >> bit & 1 == 1);
            let cuts: Vec<i64> = chosen.map(|bit| places[bit]).collect();
            let fits = |(from, to): (i64, i64)| from < to && to - from <= self.longest;
            if self.parted(kind, &cuts).into_iter().all(fits) {
                all.push(cuts);
            }
        }
        let fewest = all.iter().map(Vec::len).min();
        all.retain(|cuts| Some(cuts.len()) == fewest);
        // What cannot be made to fit is not taken at all.
        all
    }

    fn parted(&self, kind: &Kind, cuts: &[i64]) -> Vec<(i64, i64)> {
        let mut from = 0;
        let mut parted = Vec::new();
        for &at in cuts {
            parted.push((from, at));
            from = at + self.yard_kerf;
        }
        parted.push((from, kind.length));
        parted
    }

    /// The clear runs of a stretch, eighth by eighth.
    fn runs(&self, kind: &Kind, (from, to): (i64, i64)) -> Vec<i64> {
        let spoiled = |at: i64| {
            kind.spot.is_some_and(|(begin, long)| {
                // What of the defect lies on the stretch has room for the saw.
                let (begin, end) = (begin.max(from), (begin + long).min(to));
                begin < end && (begin..end.max(begin + self.kerf)).contains(&at)
            })
        };
        let mut runs = vec![0];
        for at in from + self.trim..to - self.trim {
            if spoiled(at) {
                runs.push(0);
            } else {
                *runs.last_mut().unwrap() += 1;
            }
        }
        runs.retain(|&run| run > 0);
        runs
    }

    /// Every way to use a stretch.
    fn ways_of(&self, kind: &Kind, stretch: (i64, i64)) -> BTreeSet<Bins> {
        let runs = self.runs(kind, stretch);
        let bins = |width: i64| runs.iter().map(move |&run| (width, run));
        let Some((rip_kerf, straightening)) = self.rip else {
            return BTreeSet::from([bins(0).collect()]);
        };
        let widths: BTreeSet<i64> = self.pieces.iter().map(|piece| piece.1).collect();
        let mut ways = BTreeSet::new();
        if widths.contains(&kind.width) {
            ways.insert(bins(kind.width).collect());
        }
        let mut open: Vec<(i64, Bins)> = vec![(0, Vec::new())];
        while let Some((at, so_far)) = open.pop() {
            for &width in widths.iter().filter(|&&width| width != kind.width) {
                if at + width <= kind.width - straightening {
                    let mut longer = so_far.clone();
                    longer.extend(bins(width));
                    open.push((at + width + rip_kerf, longer));
                }
            }
            let mut so_far = so_far;
            so_far.sort_unstable();
            ways.insert(so_far);
        }
        ways
    }

    /// Every way to use a board, and what it costs with the yard's charge.
    fn ways(&self, kind: &Kind) -> (BTreeSet<Bins>, i64) {
        let cuts = self.cuts(kind);
        let n_cuts = cuts.first().map_or(0, Vec::len);
        let n_cuts = i64::try_from(n_cuts).unwrap();
        let mut all = BTreeSet::new();
        for cuts in cuts {
            let mut ways = BTreeSet::from([Bins::new()]);
            for stretch in self.parted(kind, &cuts) {
                let of_stretch = without_poorer(self.ways_of(kind, stretch));
                ways = ways
                    .iter()
                    .flat_map(|way| {
                        let longer = |more: &Bins| {
                            let mut longer = [way.as_slice(), more].concat();
                            longer.sort_unstable();
                            longer
                        };
                        of_stretch.iter().map(longer).collect::<Vec<_>>()
                    })
                    .collect();
            }
            all.extend(ways);
        }
        let all = without_poorer(all);
        (all, kind.cents + n_cuts * self.charge)
    }

    /// The least cost at which all pieces are cut, and `None` where the boards do not suffice.
    fn least_cost(&self) -> Option<i64> {
        let mut pieces: Vec<(i64, i64)> = self
            .pieces
            .iter()
            .flat_map(|&(length, width, quantity)| (0..quantity).map(move |_| (width, length)))
            .collect();
        pieces.sort_unstable_by_key(|&(_, length)| std::cmp::Reverse(length));
        let ways: Vec<(BTreeSet<Bins>, i64)> =
            self.kinds.iter().map(|kind| self.ways(kind)).collect();
        let mut best = None;
        let mut stack = vec![(0, 0, Bins::new(), 0)];
        while let Some((kind, taken, bins, cost)) = stack.pop() {
            if best.is_some_and(|best| cost >= best) {
                continue;
            }
            if kind == self.kinds.len() {
                let mut open = bins
                    .iter()
                    .map(|&(width, run)| (width, run, true))
                    .collect();
                if self.fits(&pieces, &mut open) {
                    best = Some(cost);
                }
                continue;
            }
            stack.push((kind + 1, 0, bins.clone(), cost));
            if taken < self.kinds[kind].quantity {
                let (ways, price) = &ways[kind];
                for way in ways {
                    let more = [bins.as_slice(), way].concat();
                    stack.push((kind, taken + 1, more, cost + price));
                }
            }
        }
        best
    }

    /// Whether the pieces fit, by trying every bin for each; of a bin its width, what is left and whether it is empty.
    fn fits(&self, pieces: &[(i64, i64)], bins: &mut Vec<(i64, i64, bool)>) -> bool {
        let Some((&(width, length), rest)) = pieces.split_first() else {
            return true;
        };
        let mut tried = BTreeSet::new();
        for at in 0..bins.len() {
            let (bin_width, left, is_empty) = bins[at];
            let needed = if is_empty { length } else { length + self.kerf };
            let suits = bin_width == 0 || bin_width == width;
            if !suits || needed > left || !tried.insert(bins[at]) {
                continue;
            }
            bins[at] = (bin_width, left - needed, false);
            if self.fits(rest, bins) {
                return true;
            }
            bins[at] = (bin_width, left, is_empty);
        }
        false
    }
}

fn kinds(widths: std::ops::Range<i64>) -> impl Strategy<Value = Vec<Kind>> {
    let kind = (
        40_i64..190,
        widths,
        1_u32..3,
        100_i64..400,
        prop::option::weighted(0.3, (1_i64..30, 1_i64..8)),
    );
    let kind = kind.prop_map(|(length, width, quantity, cents, spot)| Kind {
        length,
        width,
        quantity,
        cents,
        spot,
    });
    prop::collection::vec(kind, 1..3)
}

fn shops(is_ripped: bool) -> impl Strategy<Value = Shop> {
    let widths = if is_ripped { vec![10_i64, 14] } else { vec![8] };
    let piece = (12_i64..80, prop::sample::select(widths), 1_u32..3);
    let boards = if is_ripped { 20..34 } else { 8..12 };
    (
        (0_i64..4, 0_i64..4, 50_i64..100, 0_i64..3, 0_i64..99),
        prop::collection::btree_set((2_i64..20).prop_map(|at| at * 8), 1..6),
        (0_i64..3, 0_i64..4),
        prop::collection::vec(piece, 1..4),
        kinds(boards),
    )
        .prop_map(
            move |((kerf, trim, longest, yard_kerf, charge), places, rip, pieces, kinds)| Shop {
                kerf,
                trim,
                longest,
                yard_kerf,
                charge,
                places,
                rip: is_ripped.then_some(rip),
                pieces,
                kinds,
            },
        )
}

/// A plan is the cheapest there is, and `verify` believes every claim of its file, but none that is higher.
fn hold_against_trying_all(shop: &Shop) -> Result<(), TestCaseError> {
    let Ok((job, _)) = load_job(Path::new("job.toml"), &shop.texts(), Boards::Needed) else {
        prop_assert_eq!(shop.least_cost(), None);
        return Ok(());
    };
    let planned = match plan(&job, &CONTROL) {
        Ok(planned) => planned,
        Err(violations) => panic!("{violations:?}"),
    };
    let plan = &planned.plan;
    match shop.least_cost() {
        Some(cost) => {
            prop_assert_eq!(&plan.missing, &[]);
            prop_assert_eq!(plan.value, cost);
            prop_assert_eq!(plan.verdict, Verdict::Optimal);
        }
        None => prop_assert!(!plan.missing.is_empty()),
    }
    let json = PlanFile::of(&planned).text();
    let verified = verify(&job, &json).unwrap();
    prop_assert!(
        verified.standing() != Standing::Fails,
        "{:?}",
        verified.findings
    );
    if plan.verdict == Verdict::Optimal && verified.proved == plan.value {
        let sound: Value = serde_json::from_str(&json).unwrap();
        let n_claims = sound["certificate"]["claims"].as_array().unwrap().len();
        for claim in 0..n_claims {
            let mut raised = sound.clone();
            let bound = &mut raised["certificate"]["claims"][claim]["bound"];
            *bound = (bound.as_i64().unwrap() + 1).into();
            let verified = verify(&job, &raised.to_string()).unwrap();
            let is_refused = |finding: &Finding| {
                matches!(
                    finding,
                    Finding::Audit(Violation {
                        kind: audit::Kind::NotProved { .. },
                        ..
                    })
                )
            };
            prop_assert!(
                verified.findings.iter().any(is_refused),
                "claim {claim} is believed"
            );
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases!(200))]

    #[test]
    fn boards_cut_at_the_yard_are_planned_at_the_least_cost(shop in shops(false)) {
        hold_against_trying_all(&shop)?;
    }

    #[test]
    fn boards_cut_at_the_yard_and_ripped_are_planned_at_the_least_cost(shop in shops(true)) {
        hold_against_trying_all(&shop)?;
    }

    #[test]
    fn what_is_bought_becomes_parts_offcuts_and_loss(shop in shops(true)) {
        let Ok((job, _)) = load_job(Path::new("job.toml"), &shop.texts(), Boards::Needed) else {
            return Ok(());
        };
        let plan = jobs::planned(&job).plan;
        let summary = Summary::new(&plan);
        prop_assert!(summary.wood.kerf_and_trim >= Length::ZERO);
        if let Some(face) = summary.face {
            prop_assert!(face.sawn_nm2 >= 0);
        }
        // A piece that is left lies within a stretch of its board, and no rail of its stretch reaches into it.
        for left in leftovers(&plan) {
            let planned = &plan.boards[left.board];
            let stretch = &planned.stretches[left.stretch(&plan)];
            prop_assert!(left.from < left.to && left.to <= stretch.to - stretch.from);
            if let LeftoverKind::Piece(PieceKind::Stretch(idx)) = left.kind {
                prop_assert!(planned.strips_of(idx).next().is_none());
            }
            if let LeftoverKind::End(strip) = left.kind {
                let cuts = &planned.strips[strip].cuts;
                prop_assert!(cuts.iter().all(|cut| cut.to <= left.from || left.to <= cut.from));
            }
        }
    }
}

/// Derived: art 20 x 30 and 16 x 40, face 1 1/2, lip 1/4, play 1/8 have rails of 22 5/8 and 32 5/8, 18 5/8 and 42 5/8.
const TRUCK: &str = "currency = \"USD\"\n[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n\
    [buying]\nlongest = \"8'\"\nyard-cuts = \"1 ft\"\nyard-cut-price = 1.50\n\
    [[mouldings]]\nname = \"cap\"\nface-width = 1.5\nlip = 0.25\n\
    [[frames]]\nframe = \"A\"\nart-width = 20\nart-height = 30\nquantity = 3\n\
    [[frames]]\nframe = \"B\"\nart-width = 16\nart-height = 40\nquantity = 2\n\
    [[boards]]\nboard = \"oak 8 ft\"\nlength = \"8'\"\nprice = 19\n\
    [[boards]]\nboard = \"oak 12 ft\"\nlength = \"12'\"\nprice = 22\nquantity = 2\n\
    [[boards]]\nboard = \"oak 16 ft\"\nlength = \"16'\"\nprice = 33\n";

fn truck() -> Job {
    load_text(TRUCK)
}

#[test]
fn cut_at_the_yard_is_a_way_of_buying_beside_what_fits_uncut() {
    let job = truck();
    let steer = Steer {
        stop: &|| false,
        progress: &|_, _| {},
    };
    let comparison = compare(&job, &steer).unwrap();
    let row = |way: Way| comparison.rows.iter().find(|row| row.way == way).unwrap();
    let (uncut, cut, free) = (row(Way::Uncut), row(Way::BestMix), row(Way::AnyLength));
    let is_cut = |plan: &Plan| plan.boards.iter().any(PlannedBoard::is_cut_at_yard);
    assert!(!is_cut(&uncut.plan) && is_cut(&cut.plan) && !is_cut(&free.plan));
    assert_eq!(comparison.best().way, Way::BestMix);
    // Derived: seven boards of 8 ft at 19.00; the cut ones as planned alone.
    assert_eq!(uncut.plan.value, 13_300);
    assert_eq!(cut.plan.value, jobs::planned(&job).plan.value);
    assert!(free.plan.value <= cut.plan.value);
    assert!(buying_list_csv(&cut.plan).contains(",96 in,"));
    // Nothing is cut where the vehicle takes all.
    let roomy_job = job.with_longest(Some(Length::FOOT * 16));
    assert!(roomy_job.boards.iter().all(|board| board.at_yard.is_none()));
    let comparison = compare(&roomy_job, &steer).unwrap();
    assert!(comparison.rows.iter().all(|row| row.way != Way::Uncut));
}

#[test]
fn the_plan_says_what_to_have_cut_and_what_it_costs() {
    let job = truck();
    let planned = jobs::planned(&job);
    let summary = Summary::new(&planned.plan);
    let text = set(&plan_sheet(&summary), LOOK);
    insta::assert_snapshot!(text);
    assert!(text.lines().all(|line| line.chars().count() <= 80));
    // Derived: 19.00 for 8 ft, 22.00 and a cut for 12 ft, twice 33.00 and a cut for 16 ft: 19 + 23.50 + 69 = 111.50.
    assert_eq!(planned.plan.value, 11_150);
    let table = buying_list_csv(&planned.plan);
    assert!(table.contains("1,,,oak 12 ft,144 in,96 in,"), "{table}");
}

/// What the check finds after a change, which must be something.
fn found_after(change: impl FnOnce(&mut Plan)) -> Vec<audit::Kind> {
    let job = truck();
    let mut plan = jobs::planned(&job).plan;
    assert_eq!(check(&plan), []);
    change(&mut plan);
    check(&plan).into_iter().map(|found| found.kind).collect()
}

/// A board of 12 ft, cut at 8 ft, in the plan of the truck.
fn twelve(plan: &mut Plan) -> &mut PlannedBoard {
    let mut boards = plan.boards.iter_mut();
    boards.find(|board| board.board_idx == 1).unwrap()
}

#[test]
fn a_plan_that_has_its_boards_cut_otherwise_is_rejected() {
    let cut_at = |first: Length, next: Length| {
        move |plan: &mut Plan| {
            let board = twelve(plan);
            board.stretches[0].to = first;
            board.stretches[1].from = next;
        }
    };
    let kerf = Length::from_nm(3_175_000);
    let foot = Length::FOOT;
    // Elsewhere, so that a stretch is too long, with no kerf, and not at all.
    for (first, next) in [
        (foot * 8 - Length::INCH, foot * 8 - Length::INCH + kerf),
        (foot * 9, foot * 9 + kerf),
        (foot * 8, foot * 8),
    ] {
        assert_eq!(found_after(cut_at(first, next)), [audit::Kind::NotCutSo]);
    }
    let whole = |plan: &mut Plan| {
        let board = twelve(plan);
        board.stretches.truncate(1);
        board.stretches[0].to = Length::FOOT * 12;
    };
    assert_eq!(found_after(whole), [audit::Kind::NotCutSo]);
    // A cut at 6 ft is one of the yard's, but then the rails do not lie on their stretches.
    let found = found_after(cut_at(foot * 6, foot * 6 + kerf));
    assert!(
        found
            .iter()
            .any(|kind| matches!(kind, audit::Kind::InFarTrim { .. }))
    );
    // So is one at 7 ft, where the last rail lies over the cut.
    let found = found_after(cut_at(foot * 7, foot * 7 + kerf));
    assert!(
        found
            .iter()
            .any(|kind| matches!(kind, audit::Kind::InFarTrim { .. }))
    );
}

#[test]
fn a_rail_within_the_trim_of_a_fresh_end_is_rejected() {
    // The far end of the first stretch, and the near end of the second, are fresh.
    let one = Length::from_nm(1);
    let found = found_after(|plan| {
        let cut = twelve(plan).strips[1].cuts.first_mut().unwrap();
        (cut.from, cut.to) = (cut.from - one, cut.to - one);
    });
    assert!(
        found
            .iter()
            .any(|kind| matches!(kind, audit::Kind::InNearTrim { .. }))
    );
    let found = found_after(|plan| {
        let board = twelve(plan);
        let end = board.stretches[0].to - Length::INCH.min(Length::from_nm(12_700_000)) + one;
        let cut = board.strips[0].cuts.last_mut().unwrap();
        (cut.from, cut.to) = (end - (cut.to - cut.from), end);
    });
    assert!(
        found
            .iter()
            .any(|kind| matches!(kind, audit::Kind::InFarTrim { .. }))
    );
}

#[test]
fn a_plan_without_the_yards_charge_or_with_strips_on_other_stretches_is_rejected() {
    let found = found_after(|plan| {
        plan.value -= 150;
        plan.lower_bound = plan.value;
    });
    assert!(found.iter().any(|kind| matches!(
        kind,
        audit::Kind::Wrong {
            figure: Figure::Value,
            ..
        }
    )));
    for other in [0, 7] {
        let found = found_after(|plan| twelve(plan).strips[1].stretch = other);
        assert_ne!(found, []);
    }
    let swapped = found_after(|plan| {
        let board = twelve(plan);
        board.strips[0].stretch = 1;
        board.strips[1].stretch = 0;
    });
    assert_eq!(swapped, [audit::Kind::MisplacedStrip]);
}

#[test]
fn a_stretch_is_a_stick_of_its_own_after_a_miscut() {
    let job = truck();
    let planned = jobs::planned(&job);
    let at = planned
        .plan
        .boards
        .iter()
        .position(|board| board.board_idx == 1)
        .unwrap();
    let mark = planned.plan.marks().board(at);
    let place = |strip: usize, cut: usize| Place {
        sheet: 0,
        board: at,
        strip,
        cut,
    };
    let mut bench = Bench::new(planned.plan, planned.certificate);
    let marks = Marks {
        done: [place(0, 0)].into(),
        spoiled: [(place(0, 1), Length::ZERO)].into(),
    };
    let draft = bench
        .draft(&marks.into(), BTreeSet::new(), Wishes::default())
        .unwrap();
    let stretch = |name: &str| {
        let mut boards = draft.job.boards.iter();
        boards.find(|board| board.name.ends_with(name)).cloned()
    };
    // The first stretch is 8 ft long, and of the second, which is whole, nothing is gone.
    let (first, second) = (
        stretch(&format!("{mark}1")).unwrap(),
        stretch(&format!("{mark}2")).unwrap(),
    );
    assert_eq!(first.length, Length::FOOT * 8);
    assert!(!first.defects.is_empty());
    assert_eq!(second.length, Length::FOOT * 4 - Length::from_nm(3_175_000));
    assert_eq!(second.defects, []);
    assert!(first.at_yard.is_none() && second.at_yard.is_none());
    // Boards that are not begun are cut already, just so, and paid for.
    let sixteen = draft
        .job
        .boards
        .iter()
        .find(|board| board.in_hand.is_some() && board.length == Length::FOOT * 16);
    let sixteen = sixteen.unwrap();
    assert_eq!(sixteen.yard_ways(), [[Length::FOOT * 8]]);
    assert_eq!(
        longpoint::stock::board_cost(sixteen),
        Ok(Some(longpoint::money::Money::ZERO))
    );
    let next = plan(&draft.job, &CONTROL).unwrap();
    assert_eq!(check(&next.plan), []);
    assert_eq!(next.plan.missing, []);
    // What was cut at 8 ft stays cut there.
    for board in &next.plan.boards {
        let of = &next.plan.job.boards[board.board_idx];
        if of.in_hand.is_some() && of.length == Length::FOOT * 16 {
            assert_eq!(board.yard_cuts().collect::<Vec<_>>(), [Length::FOOT * 8]);
        }
    }
    bench.push(draft, next.plan, next.certificate);
}

#[test]
fn a_stretch_from_which_nothing_is_cut_goes_back_on_the_rack() {
    // Derived: one piece of 90 in needs 8 ft less the trims; of 12 ft cut at 8 ft there are 4 ft less the kerf left.
    let job = load_text(
        "[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n[buying]\nlongest = \"8'\"\nyard-cuts = [\"8'\"]\n\
         [[pieces]]\npiece = \"bar\"\nlength = 90\n\
         [[boards]]\nboard = \"oak\"\nlength = \"12'\"\nprice = 9\n",
    );
    let plan = jobs::planned(&job).plan;
    let left = leftovers(&plan);
    let stretch = left
        .iter()
        .find(|left| matches!(left.kind, LeftoverKind::Piece(PieceKind::Stretch(1))))
        .unwrap();
    let length = Length::FOOT * 4 - Length::from_nm(3_175_000);
    assert_eq!((stretch.from, stretch.to), (Length::ZERO, length));
    assert_eq!(stretch.usable, length - Length::INCH);
    let summary = Summary::new(&plan);
    assert_eq!(summary.wood.boards, Length::FOOT * 12);
    // Derived: the yard's kerf, the trims of both sticks, and the cut behind the bar.
    let kerfs = Length::from_nm(3_175_000) * 2;
    assert_eq!(summary.wood.kerf_and_trim, kerfs + Length::INCH * 2);
}

#[test]
fn a_knot_beyond_a_cut_of_the_yard_is_on_the_second_stretch() {
    let planned = jobs::planned(&truck());
    let boards = planned.plan.boards.iter();
    let at = boards.clone().position(|board| board.board_idx == 1);
    let at = at.unwrap();
    let board = &planned.plan.boards[at];
    let strip = board.strips.iter().position(|strip| strip.stretch == 1);
    let strip = strip.unwrap();
    let place = |strip: usize| Place {
        sheet: 0,
        board: at,
        strip,
        cut: 0,
    };
    // An inch in the middle of the first rail there, measured from the near end of the board.
    let cut = &board.strips[strip].cuts[0];
    let from = board.stretches[1].from + cut.from + Length::INCH * 3;
    let bench = Bench::new(planned.plan.clone(), planned.certificate);
    let news = News {
        measured: [(
            bench.stick(0, at),
            Measured {
                length: None,
                knots: [(from, from + Length::INCH)].into(),
            },
        )]
        .into(),
        // Something is cut from the other stretch, so that the board is begun.
        ..News::from(Marks {
            done: [place(1 - strip)].into(),
            ..Marks::default()
        })
    };
    let rest = replan(&bench, &news, &CONTROL).unwrap();
    assert_eq!(rest.misfits, [place(strip)].into());
    assert!(!rest.round().kept.contains(&place(strip)));
}

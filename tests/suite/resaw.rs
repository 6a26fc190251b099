//! Thick boards that are resawn, against trying every way to use every board, and what must hold of such plans.
//!
//! The search here shares nothing with the program: it takes boards as they are or in slices, and lays parts into the strips
//! that there are then.

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
use longpoint::job::Job;
use longpoint::length::Length;
use longpoint::load::{Boards, load_job};
use longpoint::pipeline::plan;
use longpoint::plan::{Beside, LeftoverKind, PieceKind, Plan, Verdict};
use longpoint::planfile::{Finding, PlanFile, Standing, verify};
use longpoint::replan::{Bench, Marks, Place, Stick, Wishes, replan};
use longpoint::report::csv::resaw_list_csv;
use longpoint::report::sections::plan_sheet;
use longpoint::report::text::set;
use longpoint::tally::{Idle, Summary, balances, planed_off, rack_added};
use proptest::prelude::*;
use serde_json::Value;

/// A kind of board: lengths and widths in eighths, thicknesses in sixteenths.
#[derive(Clone, Debug)]
struct Kind {
    length: i64,
    width: i64,
    thickness: i64,
    quantity: u32,
    cents: i64,
    /// From and length of a defect in full width.
    spot: Option<(i64, i64)>,
}

/// A shop with square cuts only; lengths and widths in eighths, thicknesses in sixteenths.
#[derive(Clone, Debug)]
struct Shop {
    kerf: i64,
    trim: i64,
    /// Kerf and straightening of ripping.
    rip: (i64, i64),
    /// Kerf and planing of resawing.
    resaw: (i64, i64),
    /// The widest board that is resawn.
    widest: Option<i64>,
    /// Length, width, thickness and quantity.
    pieces: Vec<(i64, i64, i64, u32)>,
    kinds: Vec<Kind>,
}

/// A strip, or a clear run of one: width, thickness and length.
type Bin = (i64, i64, i64);

/// What a board is used for, in rising order.
type Bins = Vec<Bin>;

/// Whether each of some bins has one of its own among others, of the same section and at least as long.
fn within(few: &Bins, many: &Bins) -> bool {
    let mut left = many.clone();
    few.iter().rev().all(|&(width, thickness, run)| {
        let is_as_good = |bin: &Bin| (bin.0, bin.1) == (width, thickness) && bin.2 >= run;
        let place = left.iter().rposition(is_as_good);
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
        let widest = self.widest.map_or_else(String::new, |widest| {
            format!("resaw-widest = \"{widest}/8\"\n")
        });
        let job = format!(
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n[saw]\nkerf = \"{}/8\"\nend-trim = \"{}/8\"\n\
             [shop]\nshortest-offcut = 1\n[rip]\nkerf = \"{}/8\"\nstraightening = \"{}/8\"\nplane-off = 0\n\
             resaw-kerf = \"{}/16\"\nresaw-planing = \"{}/16\"\n{widest}",
            self.kerf, self.trim, self.rip.0, self.rip.1, self.resaw.0, self.resaw.1,
        );
        let mut pieces = String::from("piece,length,width,thickness,quantity\n");
        for (idx, (length, width, thickness, quantity)) in self.pieces.iter().enumerate() {
            writeln!(
                pieces,
                "p{idx},{length}/8,{width}/8,{thickness}/16,{quantity}"
            )
            .unwrap();
        }
        let mut boards = String::from("board,length,width,thickness,quantity,price,defects\n");
        for (idx, kind) in self.kinds.iter().enumerate() {
            let spot = kind
                .spot
                .map(|(from, long)| format!("{from}/8 to {}/8", from + long));
            writeln!(
                boards,
                "b{idx},{}/8,{}/8,{}/16,{},{}.{:02},{}",
                kind.length,
                kind.width,
                kind.thickness,
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

    /// The thicknesses that a board may have when it is ripped, each with how many sticks of it there are then.
    fn forms(&self, kind: &Kind) -> Vec<(i64, usize)> {
        let mut forms = vec![(kind.thickness, 1)];
        if self.widest.is_some_and(|widest| kind.width > widest) {
            return forms;
        }
        let wanted: BTreeSet<i64> = self.pieces.iter().map(|piece| piece.2).collect();
        for slice in wanted {
            // Slice by slice from the face, each sawn off behind the one before.
            let (mut left, mut count) = (kind.thickness, 0);
            while left >= slice + self.resaw.1 && count < 8 {
                left -= slice + self.resaw.1 + self.resaw.0;
                count += 1;
            }
            if count > 1 {
                forms.push((slice, count));
            }
        }
        forms
    }

    /// The clear runs of a board, eighth by eighth.
    fn runs(&self, kind: &Kind) -> Vec<i64> {
        let spoiled = |at: i64| {
            kind.spot.is_some_and(|(begin, long)| {
                let end = (begin + long).min(kind.length);
                begin < end && (begin..end.max(begin + self.kerf)).contains(&at)
            })
        };
        let mut runs = vec![0];
        for at in self.trim..kind.length - self.trim {
            if spoiled(at) {
                runs.push(0);
            } else {
                *runs.last_mut().unwrap() += 1;
            }
        }
        runs.retain(|&run| run > 0);
        runs
    }

    /// Every way to use a stick of this thickness.
    fn ways_of(&self, kind: &Kind, thickness: i64) -> BTreeSet<Bins> {
        let runs = self.runs(kind);
        let bins = |width: i64| runs.iter().map(move |&run| (width, thickness, run));
        let pieces = self.pieces.iter().filter(|piece| piece.2 == thickness);
        let widths: BTreeSet<i64> = pieces.map(|piece| piece.1).collect();
        let mut ways = BTreeSet::new();
        if widths.contains(&kind.width) {
            ways.insert(bins(kind.width).collect());
        }
        let mut open: Vec<(i64, Bins)> = vec![(0, Vec::new())];
        while let Some((at, so_far)) = open.pop() {
            for &width in widths.iter().filter(|&&width| width != kind.width) {
                if at + width <= kind.width - self.rip.1 {
                    let mut longer = so_far.clone();
                    longer.extend(bins(width));
                    open.push((at + width + self.rip.0, longer));
                }
            }
            let mut so_far = so_far;
            so_far.sort_unstable();
            ways.insert(so_far);
        }
        ways
    }

    /// Every way to use a board.
    fn ways(&self, kind: &Kind) -> BTreeSet<Bins> {
        let mut all = BTreeSet::new();
        for (thickness, count) in self.forms(kind) {
            let of_stick = without_poorer(self.ways_of(kind, thickness));
            let mut ways = BTreeSet::from([Bins::new()]);
            for _ in 0..count {
                ways = ways
                    .iter()
                    .flat_map(|way| {
                        let longer = |more: &Bins| {
                            let mut longer = [way.as_slice(), more].concat();
                            longer.sort_unstable();
                            longer
                        };
                        of_stick.iter().map(longer).collect::<Vec<_>>()
                    })
                    .collect();
            }
            all.extend(ways);
        }
        without_poorer(all)
    }

    /// The least cost at which all pieces are cut, and `None` where the boards do not suffice.
    fn least_cost(&self) -> Option<i64> {
        let mut pieces: Vec<Bin> = self
            .pieces
            .iter()
            .flat_map(|&(length, width, thickness, quantity)| {
                (0..quantity).map(move |_| (width, thickness, length))
            })
            .collect();
        pieces.sort_unstable_by_key(|&(.., length)| std::cmp::Reverse(length));
        let ways: Vec<BTreeSet<Bins>> = self.kinds.iter().map(|kind| self.ways(kind)).collect();
        let mut best = None;
        let mut stack = vec![(0, 0, Bins::new(), 0)];
        while let Some((kind, taken, bins, cost)) = stack.pop() {
            if best.is_some_and(|best| cost >= best) {
                continue;
            }
            if kind == self.kinds.len() {
                let mut open = bins.iter().map(|&bin| (bin, true)).collect();
                if self.fits(&pieces, &mut open) {
                    best = Some(cost);
                }
                continue;
            }
            stack.push((kind + 1, 0, bins.clone(), cost));
            if taken < self.kinds[kind].quantity {
                for way in &ways[kind] {
                    let more = [bins.as_slice(), way].concat();
                    stack.push((kind, taken + 1, more, cost + self.kinds[kind].cents));
                }
            }
        }
        best
    }

    /// Whether the pieces fit, by trying every bin for each, of which the length that is left is told and whether it is empty.
    fn fits(&self, pieces: &[Bin], bins: &mut Vec<(Bin, bool)>) -> bool {
        let Some((&(width, thickness, length), rest)) = pieces.split_first() else {
            return true;
        };
        let mut tried = BTreeSet::new();
        for at in 0..bins.len() {
            let ((bin_width, bin_thickness, left), is_empty) = bins[at];
            let needed = if is_empty { length } else { length + self.kerf };
            let suits = (bin_width, bin_thickness) == (width, thickness);
            if !suits || needed > left || !tried.insert(bins[at]) {
                continue;
            }
            let before = bins[at];
            bins[at] = ((bin_width, bin_thickness, left - needed), false);
            if self.fits(rest, bins) {
                return true;
            }
            bins[at] = before;
        }
        false
    }
}

fn shops() -> impl Strategy<Value = Shop> {
    let piece = (
        12_i64..60,
        prop::sample::select(vec![10_i64, 14]),
        prop::sample::select(vec![6_i64, 12, 12]),
        1_u32..3,
    );
    let kind = (
        40_i64..100,
        10_i64..30,
        prop::sample::select(vec![32_i64, 32, 29, 28, 12, 6]),
        1_u32..3,
        100_i64..400,
        prop::option::weighted(0.3, (1_i64..30, 1_i64..8)),
    );
    let kind = kind.prop_map(|(length, width, thickness, quantity, cents, spot)| Kind {
        length,
        width,
        thickness,
        quantity,
        cents,
        spot,
    });
    (
        (0_i64..4, 0_i64..4),
        (0_i64..3, 0_i64..4),
        (0_i64..3, 1_i64..4),
        prop::option::weighted(0.3, 15_i64..30),
        prop::collection::vec(piece, 1..4),
        prop::collection::vec(kind, 1..3),
    )
        .prop_map(|((kerf, trim), rip, resaw, widest, pieces, kinds)| Shop {
            kerf,
            trim,
            rip,
            resaw,
            widest,
            pieces,
            kinds,
        })
}

proptest! {
    #![proptest_config(cases!(200))]

    #[test]
    fn boards_that_may_be_resawn_are_planned_at_the_least_cost(shop in shops()) {
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
        prop_assert!(verified.standing() != Standing::Fails, "{:?}", verified.findings);
        // What is claimed is believed, and nothing that is higher.
        let sound: Value = serde_json::from_str(&json).unwrap();
        let n_claims = sound["certificate"]["claims"].as_array().unwrap().len();
        let is_tight = plan.verdict == Verdict::Optimal && verified.proved == plan.value;
        for claim in (0..n_claims).filter(|_| is_tight) {
            let mut raised = sound.clone();
            let bound = &mut raised["certificate"]["claims"][claim]["bound"];
            *bound = (bound.as_i64().unwrap() + 1).into();
            let verified = verify(&job, &raised.to_string()).unwrap();
            let is_refused = |finding: &Finding| matches!(
                finding,
                Finding::Audit(Violation { kind: audit::Kind::NotProved { .. }, .. })
            );
            prop_assert!(verified.findings.iter().any(is_refused), "claim {claim} is believed");
        }
    }

    #[test]
    fn what_is_bought_and_resawn_becomes_parts_offcuts_and_loss(shop in shops()) {
        let Ok((job, _)) = load_job(Path::new("job.toml"), &shop.texts(), Boards::Needed) else {
            return Ok(());
        };
        let plan = jobs::planned(&job).plan;
        let summary = Summary::new(&plan);
        prop_assert!(summary.wood.kerf_and_trim >= Length::ZERO);
        if let Some(face) = summary.face {
            prop_assert!(face.sawn_nm2 >= 0);
        }
        for balance in balances(&plan, &Idle::new()) {
            prop_assert_eq!(balance.sources(), balance.uses());
            prop_assert!(balance.ripped >= 0 && balance.scrap >= 0 && balance.kerfs >= 0);
        }
        // What is left of a slice is as thick as that, and carries no more than its share of the price.
        for new in rack_added(&plan) {
            let planned = &plan.boards[new.left.board];
            let of = &job.boards[planned.board_idx];
            prop_assert_eq!(new.board.thickness, planned.resawn.or(of.thickness));
            let cost = |board| longpoint::stock::board_cost(board).unwrap().unwrap().minor();
            let n_slices = i64::try_from(planned.n_slices()).unwrap();
            let in_hand = new.board.in_hand.clone().unwrap();
            let bought = longpoint::stock::Board { price: in_hand.paid, ..new.board.clone() };
            prop_assert!(cost(&bought) <= cost(of) / n_slices + 1);
        }
    }
}

/// Rails of 23 1/8 and 19 1/8 in: art 20 x 16, face 1 3/4, lip 1/4, play 1/8.
const THICK: &str = "title = \"Thick boards\"\ncurrency = \"USD\"\n[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n\
    [rip]\nkerf = \"1/8\"\nstraightening = \"1/4\"\nplaning = \"1/16\"\n\
    resaw-kerf = \"1/16\"\nresaw-planing = \"1/8\"\nresaw-widest = 8\n\
    [[mouldings]]\nname = \"cap\"\nface-width = \"1 3/4\"\nlip = \"1/4\"\nthickness = \"3/4\"\n\
    [[frames]]\nframe = \"Pier\"\nart-width = 20\nart-height = 16\nquantity = 9\n\
    [[boards]]\nboard = \"thick\"\nthickness = 2\nwidth = 6\nlength = 96\nquantity = 3\nprice = 40\n\
    [[boards]]\nboard = \"thin\"\nthickness = \"3/4\"\nwidth = 6\nlength = 96\nprice = 30\n";

fn thick() -> Job {
    load_text(THICK)
}

fn in16(sixteenths: i64) -> Length {
    Length::from_nm(1_587_500 * sixteenths)
}

#[test]
fn a_board_gives_as_many_slices_as_planing_and_kerfs_allow() {
    // Derived: of 2 in, with 1/8 of planing and a kerf of 1/16, two of 3/4 (1 13/16) and three of 3/8 (1 5/8).
    for (thickness, n_slices) in [("3/4", 2), ("3/8", 3)] {
        let job = load_text(format!(
            "[rip]\nresaw-kerf = \"1/16\"\n[[pieces]]\npiece = \"slat\"\nlength = 90\nwidth = 2\nthickness = \"{thickness}\"\n\
             quantity = {n_slices}\n[[boards]]\nboard = \"thick\"\nlength = 96\nwidth = 2\nthickness = 2\n"
        ));
        let plan = jobs::planned(&job).plan;
        assert_eq!((plan.boards.len(), plan.missing.len()), (1, 0));
        assert_eq!(plan.boards[0].n_slices(), n_slices);
        let table = resaw_list_csv(&plan, &Summary::new(&plan));
        assert!(
            table.contains(&format!("\n{n_slices},A,thick,1,1,")),
            "{table}"
        );
    }
}

#[test]
fn nothing_is_resawn_that_the_shop_does_not_resaw() {
    let refused = |text: &str| {
        let texts = Texts::from([("job.toml", text.to_owned())]);
        match load_job(Path::new("job.toml"), &texts, Boards::Needed) {
            Ok((job, _)) => !jobs::planned(&job)
                .plan
                .boards
                .iter()
                .any(|board| board.resawn.is_some()),
            Err(_) => true,
        }
    };
    assert!(!refused(THICK));
    assert!(refused(&THICK.replace("resaw-kerf = \"1/16\"\n", "")));
    assert!(refused(
        &THICK.replace("resaw-widest = 8", "resaw-widest = \"5 15/16\"")
    ));
    assert!(!refused(
        &THICK.replace("resaw-widest = 8", "resaw-widest = 6")
    ));
}

#[test]
fn the_plan_says_what_to_resaw() {
    let planned = jobs::planned(&thick());
    let text = set(&plan_sheet(&Summary::new(&planned.plan)), LOOK);
    insta::assert_snapshot!(text);
    assert!(text.lines().all(|line| line.chars().count() <= 80));
}

/// What the check finds after a change, which must be something.
fn found_after(change: impl FnOnce(&mut Plan)) -> Vec<audit::Kind> {
    let mut plan = jobs::planned(&thick()).plan;
    assert_eq!(check(&plan), []);
    assert!(plan.boards[0].resawn.is_some());
    change(&mut plan);
    check(&plan).into_iter().map(|found| found.kind).collect()
}

#[test]
fn a_plan_that_has_its_boards_resawn_otherwise_is_rejected() {
    // A slice too many, too few, shorter, or of another thickness; and a whole board in place of slices.
    let one = Length::from_nm(1);
    let more = |plan: &mut Plan| {
        let slice = plan.boards[0].stretches[1].clone();
        plan.boards[0].stretches.push(slice);
    };
    assert_eq!(found_after(more), [audit::Kind::NotCutSo]);
    let fewer = |plan: &mut Plan| plan.boards[0].stretches.truncate(1);
    assert_eq!(found_after(fewer), [audit::Kind::NotCutSo]);
    let shorter = |plan: &mut Plan| plan.boards[0].stretches[1].to -= one;
    assert_eq!(found_after(shorter), [audit::Kind::NotCutSo]);
    for other in [Some(in16(12) - one), Some(in16(13)), Some(in16(32)), None] {
        let thickness = |plan: &mut Plan| plan.boards[0].resawn = other;
        assert_eq!(found_after(thickness), [audit::Kind::NotCutSo]);
    }
    // As it is sold the board is too thick for the moulding.
    let whole = |plan: &mut Plan| {
        let board = &mut plan.boards[0];
        board.resawn = None;
        board.stretches.truncate(1);
        let strips = board.strips.iter();
        let on_first = strips.take_while(|strip| strip.stretch == 0).count();
        board.strips.truncate(on_first);
    };
    assert!(found_after(whole).contains(&audit::Kind::UnsuitableBoard));
    // A board of the thickness that is wanted gives no slices.
    let thin = |plan: &mut Plan| plan.boards[0].board_idx = 1;
    assert!(found_after(thin).contains(&audit::Kind::NotCutSo));
    // The saw does not take it any more.
    let widest = |plan: &mut Plan| {
        let text = THICK.replace("resaw-widest = 8", "resaw-widest = 5");
        plan.job = load_text(text);
    };
    assert!(found_after(widest).contains(&audit::Kind::NotCutSo));
}

#[test]
fn strips_on_other_slices_are_rejected() {
    let strip = |other: usize| {
        move |plan: &mut Plan| {
            let last = plan.boards[0].strips.len() - 1;
            plan.boards[0].strips[last].stretch = other;
        }
    };
    assert_eq!(found_after(strip(7)), [audit::Kind::MisplacedStrip]);
    assert_ne!(found_after(strip(0)), []);
    // The slice from which more is ripped has less left at its edge.
    let edge = |plan: &mut Plan| {
        plan.boards[0].stretches[0].beside.push(Beside {
            from_edge: Length::ZERO,
            width: Length::from_nm(1),
        });
    };
    let is_edge = |kind: &audit::Kind| {
        matches!(
            kind,
            audit::Kind::Wrong {
                figure: Figure::EdgeLeft,
                ..
            }
        )
    };
    assert!(found_after(edge).iter().any(is_edge));
}

#[test]
fn a_slice_is_a_stick_of_its_own_after_a_miscut() {
    let planned = jobs::planned(&thick());
    let boards = planned.plan.boards.clone();
    assert!(boards.len() > 1 && boards.iter().any(|board| board.resawn.is_some()));
    let at = boards.iter().position(|board| board.resawn.is_some());
    let at = at.unwrap();
    let mark = planned.plan.marks().board(at);
    let place = |strip: usize, cut: usize| Place {
        sheet: 0,
        board: at,
        strip,
        cut,
    };
    let bench = Bench::new(planned.plan, planned.certificate);
    let marks = Marks {
        done: [place(0, 0)].into(),
        spoiled: [(place(0, 1), Length::ZERO)].into(),
    };
    let draft = bench
        .draft(&marks.clone().into(), BTreeSet::new(), Wishes::default())
        .unwrap();
    // Each strip of the board is one, as thick as its slice and not to be resawn any more.
    let rip = draft.job.shop.rip;
    let strips = draft.job.boards.iter().filter(|board| {
        let name = format!(", {mark}");
        board.name.contains(&name) && board.given.strip.is_some()
    });
    let strips: Vec<_> = strips.collect();
    assert_eq!(strips.len(), boards[at].strips.len());
    for strip in &strips {
        assert_eq!(strip.thickness, Some(in16(12)));
        assert_eq!(strip.length, in16(16 * 96));
        assert_eq!(strip.slices(rip.as_ref(), in16(4)), None);
    }
    assert!(strips.iter().any(|strip| !strip.defects.is_empty()));
    // A thick board that is not begun is whole, and may still be resawn.
    let others = boards
        .iter()
        .enumerate()
        .filter(|(other, board)| *other != at && board.resawn.is_some());
    let n_others = others.count();
    let whole = draft
        .job
        .boards
        .iter()
        .filter(|board| board.in_hand.is_some() && board.thickness == Some(in16(32)));
    assert_eq!(whole.clone().count(), n_others);
    for board in whole {
        assert_eq!(board.slices(rip.as_ref(), in16(12)), Some(2));
    }
    // The next sheet holds, as does the wood of both together.
    let rest = replan(&bench, &marks.into(), &CONTROL).unwrap();
    assert_eq!(check(&rest.bench.last().plan), []);
    assert_eq!(rest.bench.last().plan.missing, []);
    let total = rest.bench.total();
    let all = balances(&total.plan, &total.idle);
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].sources(), all[0].uses());
    assert!(all[0].resawn > 0 && all[0].spoiled > 0);
    // A knot goes through all slices, and the next sheet keeps clear of it on each.
    let length = boards[at].stretches[0].to;
    let knot = (length - in16(16 * 40), length - in16(16 * 30));
    let news = longpoint::replan::News {
        measured: [(
            bench.stick(0, at),
            longpoint::replan::Measured {
                length: None,
                knots: [knot].into(),
            },
        )]
        .into(),
        ..Marks {
            done: [place(0, 0)].into(),
            ..Marks::default()
        }
        .into()
    };
    let rest = replan(&bench, &news, &CONTROL).unwrap();
    let on_board = rest.misfits.iter().filter(|place| place.board == at);
    let slices: BTreeSet<usize> = on_board
        .map(|place| boards[at].strips[place.strip].stretch)
        .collect();
    assert_eq!(slices, [0, 1].into());
    assert_eq!(check(&rest.bench.last().plan), []);
}

#[test]
fn a_slice_from_which_nothing_was_to_be_cut_serves_after_a_miscut() {
    // Derived: of 2 in, slices of 1/8 with 1/16 of planing and a kerf of 1/16 take 1/4 each: 8 of them, two strips of 2 in
    // and four slats each, so that 40 slats are on five slices and three are free.
    let job = jobs::load_text(
        "[saw]\nkerf = 0.125\nend-trim = 0\n\
         [rip]\nkerf = 0.125\nresaw-kerf = \"1/16\"\nresaw-planing = \"1/16\"\n\
         [[pieces]]\npiece = \"slat\"\nlength = 24\nquantity = 40\nthickness = \"1/8\"\nwidth = 2\n\
         [[boards]]\nboard = \"oak\"\nthickness = 2\nwidth = \"4 1/8\"\nlength = 96.375\nprice = 40\n",
    );
    let planned = jobs::planned(&job);
    assert_eq!(planned.plan.boards.len(), 1);
    assert_eq!(planned.plan.boards[0].pieces_left().len(), 3);
    let bench = Bench::new(planned.plan, planned.certificate);
    let first = bench.open().into_iter().next().unwrap();
    let marks = Marks {
        spoiled: [(first, Length::ZERO)].into(),
        ..Marks::default()
    };
    let rest = replan(&bench, &marks.into(), &CONTROL).unwrap();
    let sheet = &rest.bench.last().plan;
    assert_eq!((sheet.value, sheet.missing.len()), (0, 0));
    let stick = rest.bench.stick(1, 0);
    assert!(matches!(stick, Stick::Piece { .. }), "{stick:?}");
    assert_eq!(rest.bench.stick_name(stick).0, "oak, slice 6 of A");
    assert_eq!(check(sheet), []);
    let total = rest.bench.total();
    let [balance] = &balances(&total.plan, &total.idle)[..] else {
        panic!("one wood");
    };
    assert_eq!(balance.sources(), balance.uses());
    // Two slices go back on the rack, and what is beside the new strip.
    let added = rack_added(&total.plan);
    let whole = added
        .iter()
        .filter(|new| matches!(new.left.kind, LeftoverKind::Piece(PieceKind::Stretch(_))));
    assert_eq!(whole.count(), 2);
}

#[test]
fn a_slice_that_is_too_narrow_to_be_ripped_says_what_is_planed_off_its_edge() {
    let text = "[saw]\nkerf = 0.125\nend-trim = 0\n\
         [rip]\nkerf = 0.125\nstraightening = \"1/4\"\nplane-off = \"1/4\"\nresaw-kerf = \"1/16\"\nresaw-planing = \"1/16\"\n\
         [[pieces]]\npiece = \"slat\"\nlength = 24\nquantity = 4\nthickness = \"1/8\"\nwidth = 2\n\
         [[boards]]\nboard = \"oak\"\nthickness = \"1/2\"\nwidth = \"2 1/8\"\nlength = 60\nprice = 40\n";
    let job = jobs::load_text(text);
    let planned = jobs::planned(&job);
    let [board] = &planned.plan.boards[..] else {
        panic!("one board has two slices");
    };
    for stretch in 0..2 {
        assert_eq!(planed_off(&job, board, stretch), in16(2));
    }
    let file = PlanFile::of(&planned);
    let stretches = &file.boards[0].stretches;
    assert!(stretches.iter().all(|on| on.plane_off_nm == in16(2).nm()));
    let summary = Summary::new(&planned.plan);
    let text = set(&plan_sheet(&summary), LOOK);
    assert!(text.contains("A1, A2: plane 1/8 in off the edge"), "{text}");
}

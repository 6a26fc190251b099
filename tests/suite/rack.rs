//! The rack over several jobs: what it is written to reads back, and no wood comes from nowhere.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]

use std::collections::BTreeSet;
use std::fmt::Write as _;

use crate::jobs::{self, demo, load};
use crate::look::LOOK;
use crate::texts::Texts;
use longpoint::job::{Ends, Job};
use longpoint::length::Length;
use longpoint::plan::{Part, Plan};
use longpoint::replan::{Bench, Marks, News, replan};
use longpoint::report::csv::{not_used_csv, rack_csv};
use longpoint::report::sections::plan_sheet;
use longpoint::report::text::set;
use longpoint::stock::{Board, Price, board_cost};
use longpoint::tally::{Idle, Summary, balances, planed_off, rack_added, rack_left};
use proptest::prelude::*;

fn planned(job: &Job) -> Plan {
    jobs::planned(job).plan
}

/// A small job of loose pieces, in eighths of an inch.
#[derive(Clone, Debug)]
struct Shop {
    kerf: u32,
    trim: u32,
    shortest: u32,
    /// Length, quantity and whether the ends are mitered.
    pieces: Vec<(u32, u32, bool)>,
}

/// Kinds of board: length in eighths, price in cents, and whether it is for one of them or by the foot.
type Kinds = Vec<(u32, u32, bool)>;

impl Shop {
    /// Its files, with the yard's boards and the rack.
    fn texts(&self, kinds: &Kinds, rack: String) -> Texts {
        let job = format!(
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\nrack = \"rack.csv\"\n\
             [saw]\nkerf = \"{}/8\"\nend-trim = \"{}/8\"\n[shop]\nshortest-offcut = \"{}/8\"\n",
            self.kerf, self.trim, self.shortest
        );
        let mut pieces = String::from("piece,length,quantity,ends\n");
        for (idx, (length, quantity, miter)) in self.pieces.iter().enumerate() {
            let ends = if *miter { "miter" } else { "square" };
            writeln!(pieces, "p{idx},{length}/8,{quantity},{ends}").unwrap();
        }
        let mut boards = String::from("board,length,price\n");
        for (idx, (length, cents, by_foot)) in kinds.iter().enumerate() {
            let per = if *by_foot { "/ft" } else { "" };
            writeln!(
                boards,
                "b{idx},{length}/8,{}.{:02}{per}",
                cents / 100,
                cents % 100
            )
            .unwrap();
        }
        Texts::from([
            ("job.toml", job),
            ("pieces.csv", pieces),
            ("boards.csv", boards),
            ("rack.csv", rack),
        ])
    }
}

/// All pieces end to end, in nanometers.
fn total<'a>(boards: impl IntoIterator<Item = &'a Board>) -> i128 {
    boards
        .into_iter()
        .map(|board| i128::from(board.length.nm()) * i128::from(board.quantity.unwrap_or(1)))
        .sum()
}

fn on_rack(job: &Job) -> Vec<Board> {
    let pieces = job.boards.iter().filter(|board| board.in_hand.is_some());
    pieces.cloned().collect()
}

/// What the saw takes along the strip: of a miter at 45 degrees the kerf times the root of 2, rounded up.
fn kerf_along(job: &Job, part: Part) -> i128 {
    let Part::Loose { piece_idx, .. } = part else {
        panic!("these jobs have loose pieces only")
    };
    let kerf = i128::from(job.shop.kerf.nm());
    if job.pieces[piece_idx].ends == Ends::Square {
        return kerf;
    }
    let square = 2 * kerf * kerf;
    let floor = i128::try_from(square.unsigned_abs().isqrt()).unwrap();
    floor + i128::from(floor * floor < square)
}

/// What the parts of a plan take, and what is lost: trims, kerfs, and ends too short to keep.
fn used_and_lost(plan: &Plan) -> (i128, i128) {
    let job = &plan.job;
    let (mut used, mut lost) = (0, 0);
    let trim = i128::from(job.shop.end_trim.nm());
    let shortest = i128::from(job.shop.shortest_offcut.nm());
    for board in &plan.boards {
        let mut at = 0;
        for cut in board.cuts() {
            lost += i128::from(cut.from.nm()) - at;
            used += i128::from((cut.to - cut.from).nm());
            at = i128::from(cut.to.nm());
        }
        let last = board.cuts().last().unwrap();
        let end = i128::from(job.boards[board.board_idx].length.nm());
        let kerf = kerf_along(job, last.part);
        let offcut = end - trim - at - kerf;
        // The piece that is kept has its raw end's trim still on it.
        lost += if offcut > 0 && offcut >= shortest {
            kerf
        } else {
            end - at
        };
    }
    (used, lost)
}

fn shops() -> impl Strategy<Value = Shop> {
    let piece = (40_u32..400, 1_u32..5, any::<bool>());
    (
        0_u32..3,
        0_u32..6,
        0_u32..120,
        prop::collection::vec(piece, 1..4),
    )
        .prop_map(|(kerf, trim, shortest, pieces)| Shop {
            kerf,
            trim,
            shortest,
            pieces,
        })
}

proptest! {
    #![proptest_config(cases!(60))]

    #[test]
    fn over_chained_jobs_no_wood_comes_from_nowhere_or_goes_there(
        shops in prop::collection::vec(shops(), 3),
        kinds in prop::collection::vec((420_u32..900, 1_u32..2_000, any::<bool>()), 1..3),
    ) {
        let mut rack = String::from("board,length\n");
        for shop in shops {
            let job = load(&shop.texts(&kinds, rack));
            let plan = planned(&job);
            let (used, lost) = used_and_lost( &plan);
            let taken: Vec<&Board> =
                plan.boards.iter().map(|board| &job.boards[board.board_idx]).collect();
            let bought: i128 = taken
                .iter()
                .filter(|board| board.in_hand.is_none())
                .map(|board| i128::from(board.length.nm()))
                .sum();
            rack = rack_csv( &plan);
            let after = on_rack(&load(&shop.texts(&kinds, rack.clone())));
            // To the nanometer.
            prop_assert_eq!(total(&on_rack(&job)) + bought, used + lost + total(&after));
            // It reads back as it was.
            let mut whole = rack_left( &plan);
            whole.extend(rack_added( &plan).into_iter().map(|new| new.board));
            prop_assert_eq!(&after, &whole);
            // Names are unique, new pieces name their board, and what a length cost goes on as it was.
            let names: BTreeSet<&str> = after.iter().map(|board| board.name.as_str()).collect();
            prop_assert_eq!(names.len(), after.len());
            for new in rack_added( &plan) {
                let of = &job.boards[plan.boards[new.left.board].board_idx];
                let in_hand = new.board.in_hand.unwrap();
                prop_assert!(in_hand.from.unwrap().starts_with(&of.name));
                let before = of.in_hand.as_ref().map_or(of.price, |in_hand| in_hand.paid);
                let (money, per) = match before.unwrap() {
                    Price::PerLength { money, per } => (money, per),
                    _ => (board_cost(of).unwrap().unwrap(), of.length),
                };
                prop_assert_eq!(in_hand.paid, Some(Price::PerLength { money, per }));
                prop_assert_eq!(in_hand.value, None);
            }
            let summary = Summary::new( &plan);
            if let Some(counted) = summary.rack {
                prop_assert_eq!(i128::from(counted.after.length.nm()), total(&after));
            }
        }
    }

    #[test]
    fn the_wood_balances_over_jobs_miscuts_and_changes(
        days in prop::collection::vec(
            (
                shops(),
                prop::collection::vec((0_usize..=100, 1_usize..9, 0_i64..=100, prop::option::of(0_u32..4)), 0..=3),
            ),
            1..=3,
        ),
        kinds in prop::collection::vec((420_u32..900, 1_u32..2_000, any::<bool>()), 1..3),
    ) {
        let mut rack = String::from("board,length\n");
        for (mut shop, rounds) in days {
            let job = load(&shop.texts(&kinds, rack.clone()));
            let before = total(&on_rack(&job));
            let first = jobs::planned(&job);
            let mut bench = Bench::new(first.plan, first.certificate);
            for (share, each, good, kerf) in rounds {
                let open: Vec<_> = bench.open().into_iter().collect();
                let mut marks = Marks::default();
                for (idx, &place) in open[..open.len() * share / 100].iter().enumerate() {
                    if idx % each == 0 {
                        let cut = bench.cut(place);
                        let good = (cut.to - cut.from).nm() / 100 * good;
                        marks.spoiled.insert(place, Length::from_nm(good));
                    } else {
                        marks.done.insert(place);
                    }
                }
                // The saw takes more or less than was thought, and one piece fewer is wanted.
                let changed = kerf.map(|kerf| {
                    shop.kerf = kerf;
                    let (_, quantity, _) = &mut shop.pieces[0];
                    *quantity = (*quantity - 1).max(1);
                    load(&shop.texts(&kinds, rack.clone()))
                });
                let news = News {
                    job: changed.map(|job| (job, longpoint::job::Texts::default())),
                    ..News::from(marks)
                };
                bench = replan(&bench, &news, &jobs::CONTROL).unwrap().bench;
            }
            let whole = bench.total();
            let found = balances(&whole.plan, &whole.idle);
            let [balance] = &found[..] else { panic!("boards without a wood: {found:?}") };
            // To the nanometer: what the rack has been read as, what its table reads as, and the parts that are wanted.
            prop_assert_eq!(balance.sources(), balance.uses());
            prop_assert_eq!(balance.before, before);
            rack = rack_csv(&whole.plan);
            let after = on_rack(&load(&shop.texts(&kinds, rack.clone())));
            prop_assert_eq!(balance.after, total(&after));
            let missing: i128 = bench.missing().map(|part| i128::from(part.length(bench.job()).nm())).sum();
            let wanted = bench.job().pieces.iter().map(|piece| {
                i128::from(piece.length.nm()) * i128::from(piece.quantity)
            });
            prop_assert_eq!(balance.parts, wanted.sum::<i128>() - missing);
            prop_assert!(balance.kerfs >= 0 && balance.trims >= 0 && balance.scrap >= 0 && balance.spoiled >= 0);
        }
    }

    #[test]
    fn a_rack_never_makes_a_plan_dearer(
        shop in shops(),
        kinds in prop::collection::vec((420_u32..900, 1_u32..2_000, any::<bool>()), 1..3),
        rack in prop::collection::vec((60_u32..500, 1_u32..3, 0_u32..900), 1..4),
    ) {
        let mut with = String::from("board,length,quantity,value\n");
        for (idx, (length, quantity, cents)) in rack.iter().enumerate() {
            writeln!(with, "r{idx},{length}/8,{quantity},{}.{:02}", cents / 100, cents % 100).unwrap();
        }
        let with = planned(&load(&shop.texts(&kinds, with)));
        let without = planned(&load(&shop.texts(&kinds, "board,length\n".to_owned())));
        // Every plan without the rack is a plan with it.
        prop_assert!(with.lower_bound <= without.value);
        if with.verdict == longpoint::plan::Verdict::Optimal {
            prop_assert!(with.value <= without.value);
        }
    }
}

const SPACERS: &str = "[[pieces]]\npiece = \"spacer\"\nlength = 20\nquantity = 2\n";

fn one_file(text: String) -> Texts {
    Texts::from([("job.toml", text)])
}

#[test]
fn a_piece_counts_at_its_value_or_else_at_what_its_wood_cost() {
    let boards = "[[boards]]\nboard = \"lath\"\nlength = 48\nprice = 5\n";
    let head = "[saw]\nkerf = 0\nend-trim = 0\n";
    let value = |rack: &str| {
        let text = format!("{head}{SPACERS}{boards}[[rack]]\nboard = \"end\"\nlength = 48\n{rack}");
        planned(&load(&one_file(text))).value
    };
    // Derived: one 48 in piece holds both; 1.10/ft is 4.40 for 4 ft, less than 5.00; 1.30/ft is 5.20, more.
    assert_eq!(value("paid = \"1.10/ft\"\n"), 440);
    assert_eq!(value("paid = \"1.30/ft\"\n"), 500);
    assert_eq!(value("paid = \"1.30/ft\"\nvalue = 0\n"), 0);
    assert_eq!(value("paid = \"1.10/ft\"\nvalue = \"7 each\"\n"), 500);
    // Derived: 16.80 for 72 in is 11.20 for 48.
    assert_eq!(
        value("paid = \"16.80/72 in\"\nvalue = \"2.40/48 in\"\n"),
        240
    );
}

#[test]
fn without_prices_length_is_the_measure_and_a_worthless_piece_is_used_first() {
    let head = "[saw]\nkerf = 0\nend-trim = 0\n";
    let boards = "[[boards]]\nboard = \"lath\"\nlength = 40\n";
    let rack = |value: &str| {
        format!("{head}{SPACERS}{boards}[[rack]]\nboard = \"end\"\nlength = 44\n{value}")
    };
    let inch = 25_400_000;
    // Derived: both fit the lath of 40 in, which is shorter than the end of 44.
    assert_eq!(planned(&load(&one_file(rack("")))).value, 40 * inch);
    let plan = planned(&load(&one_file(rack("value = 0\n"))));
    assert_eq!(plan.value, 0);
    assert_eq!(plan.boards.len(), 1);
}

#[test]
fn what_is_left_of_a_ripped_board_has_its_width_and_its_share_of_what_the_board_cost() {
    let text = "[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n\
                [rip]\nkerf = \"1/8\"\nstraightening = \"1/4\"\nplaning = \"1/16\"\nnarrowest-offcut = 1\n\
                [[pieces]]\npiece = \"slat\"\nlength = 30\nwidth = 2\n\
                [[boards]]\nboard = \"plank\"\nlength = 72\nwidth = 6\nthickness = 1\nprice = 10\n";
    let job = load(&one_file(text.to_owned()));
    let rack = rack_csv(&planned(&job));
    // Derived: 72 - 1/2 - 30 - 1/8 = 41 3/8; (2 1/16) / 6 = 11/32, and 10.00 * 11 for 72 in * 32 is 110.00 for 2304 in.
    // For a foot that is 110 * 12 / 2304 = 0.57, and 190 * 12 / 2304 = 0.99.
    // Beside the strip 6 - 1/4 - 2 1/16 - 1/8 = 3 9/16 are left, 19/32 of the width.
    assert_eq!(
        rack,
        "board,length,quantity,material,thickness,width,moulding,value,paid,from,job,since,defects\n\
         offcut 1,41 3/8 in,1,,1 in,2 in,,,110.00/2304 in (0.57/ft),\"plank, A\",job,,\n\
         offcut 2,72 in,1,,1 in,3 9/16 in,,,190.00/2304 in (0.99/ft),\"plank, edge of A\",job,,\n"
    );
    // A second slat is cut from the end of the first strip as it is: 2 in wide, as the slat wants it.
    let next = format!("rack = \"rack.csv\"\n{text}");
    let next = load(&Texts::from([("job.toml", next), ("rack.csv", rack)]));
    let plan = planned(&next);
    assert_eq!(next.boards[plan.boards[0].board_idx].name, "offcut 1");
    // Derived: 110.00 * 41.375 / 2304 = 1.975.., half up to the cent.
    assert_eq!(plan.value, 198);
}

#[test]
fn the_demo_says_what_is_bought_and_what_comes_from_the_rack() {
    let job = demo("rack");
    let plan = planned(&job);
    let summary = Summary::new(&plan);
    let rack = summary.rack.unwrap();
    assert_eq!(
        summary.bought.unwrap() + rack.taken.worth,
        summary.price.unwrap()
    );
    assert_eq!(plan.value, summary.price.unwrap().minor());
    assert_eq!(
        total(&rack_left(&plan)) + i128::from(rack.taken.length.nm()),
        total(&on_rack(&job))
    );
    let text = set(&plan_sheet(&summary), LOOK);
    let opening: String = text
        .lines()
        .skip_while(|line| !line.starts_with("The rack"))
        .take(7)
        .fold(String::new(), |lines, line| lines + line + "\n");
    insta::assert_snapshot!(opening);
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn a_piece_on_the_rack_keeps_its_story() {
    let head = "title = \"First week\"\ndate = 2026-11-25\nrack = \"rack.csv\"\n";
    let mouldings = "[shop]\nfit-allowance = 0\nshortest-offcut = 10\n[saw]\nkerf = 0\nend-trim = 0\n\
                     [[mouldings]]\nname = \"cap\"\nface-width = 2\nlip = 0\nthickness = \"3/4\"\nmaterial = \"walnut\"\n\
                     [[mouldings]]\nname = \"later\"\nface-width = 2\nlip = 0\nmaterial = \"ash\"\nmilled = \"after-cutting\"\n";
    let frames = "[[frames]]\nframe = \"A\"\nmoulding = \"cap\"\nart-width = 16\nart-height = 16\n\
                  [[frames]]\nframe = \"B\"\nmoulding = \"later\"\nart-width = 16\nart-height = 16\n";
    let boards = "[[boards]]\nboard = \"long\"\nlength = 100\nthickness = \"3/4\"\nwidth = 2\nmaterial = \"walnut\"\n\
                  [[boards]]\nboard = \"pale\"\nlength = 100\nthickness = \"3/4\"\nwidth = 2\nmaterial = \"ash\"\n";
    let old =
        "board,length,moulding,from,job,since\nold one,12,fluted,a shelf,Older job,2024-05-06\n";
    let text = format!("{head}{mouldings}{frames}{boards}");
    let first = load(&Texts::from([
        ("job.toml", text),
        ("rack.csv", old.to_owned()),
    ]));
    let rack = rack_csv(&planned(&first));
    // Derived: four rails of 20 leave 20 of 100, and turned ones, which share three cuts across a face of 2, leave 26.
    // Only the strip that was milled first names its moulding.
    assert_eq!(
        rack,
        "board,length,quantity,material,thickness,width,moulding,value,paid,from,job,since,defects\n\
         old one,12 in,1,,,,fluted,,,a shelf,Older job,2024-05-06,\n\
         offcut 1,20 in,1,walnut,3/4 in,2 in,cap,,,\"long, A\",First week,2026-11-25,\n\
         offcut 2,26 in,1,ash,3/4 in,2 in,,,,\"pale, B\",First week,2026-11-25,\n"
    );
}

/// What a rail of 20 in of a moulding is cut from, where a milled piece of 20 in lies on the rack.
fn cut_from(moulding: &str, piece: &str) -> String {
    let text = format!(
        "[saw]\nkerf = 0\nend-trim = 0\n[rip]\n\
         [[mouldings]]\nname = \"cap\"\nface-width = 2\nlip = 0\nthickness = \"3/4\"\nthicker-stock = true\n{moulding}\
         [[pieces]]\npiece = \"rail\"\nlength = 20\nmoulding = \"cap\"\n\
         [[boards]]\nboard = \"plank\"\nlength = 96\n\
         [[rack]]\nboard = \"end\"\nlength = 20\n{piece}"
    );
    let plan = planned(&load(&one_file(text)));
    plan.job.boards[plan.boards[0].board_idx].name.clone()
}

#[test]
fn a_milled_piece_serves_its_own_moulding_alone() {
    assert_eq!(cut_from("", ""), "end");
    assert_eq!(cut_from("", "moulding = \"cap\"\n"), "end");
    assert_eq!(cut_from("", "moulding = \"cove\"\n"), "plank");
    let walnut = "material = \"walnut\"\n";
    assert_eq!(
        cut_from(walnut, "moulding = \"cap\"\nmaterial = \"Walnut\"\n"),
        "end"
    );
    assert_eq!(
        cut_from(walnut, "moulding = \"cap\"\nmaterial = \"ash\"\n"),
        "plank"
    );
    // Plain wood may be planed down and ripped, a milled strip may not.
    assert_eq!(cut_from("", "width = 3\nthickness = 1\n"), "end");
    assert_eq!(cut_from("", "moulding = \"cap\"\nwidth = 3\n"), "plank");
    assert_eq!(cut_from("", "moulding = \"cap\"\nthickness = 1\n"), "plank");
    // Rails of a handed moulding that is milled later may be turned, those of a milled strip may not.
    let later = "milled = \"after-cutting\"\n";
    assert_eq!(cut_from(later, "moulding = \"cap\"\n"), "plank");
    let either = "milled = \"after-cutting\"\nsection = \"symmetric\"\n";
    assert_eq!(cut_from(either, "moulding = \"cap\"\n"), "end");
}

#[test]
fn a_stick_a_hair_too_wide_is_taken_whole_and_planed() {
    let text = |more: &str| {
        format!(
            "[saw]\nkerf = 0\nend-trim = 0\n[rip]\nstraightening = \"1/4\"\nplaning = \"1/16\"\n{more}\
             [[mouldings]]\nname = \"cap\"\nface-width = \"1 3/4\"\n\
             [[pieces]]\npiece = \"rail\"\nlength = 20\nmoulding = \"cap\"\n\
             [[boards]]\nboard = \"plank\"\nlength = 24\nwidth = 6\nprice = 9\n\
             [[rack]]\nboard = \"stick\"\nlength = 36\nwidth = \"1 13/16\"\nvalue = 2\n"
        )
    };
    let plan = planned(&load(&one_file(text(""))));
    assert_eq!(plan.value, 200);
    // Derived: 1 13/16 is 1/16 more than the face; to be ripped it would have to be 1 3/4 + 1/16 + 1/4 = 2 1/16.
    let planed = Length::from_nm(Length::INCH.nm() / 16);
    assert_eq!(planed_off(&plan.job, &plan.boards[0], 0), planed);
    assert_eq!(plan.boards[0].strips[0].width, plan.job.boards[1].width);
    let shown = set(&plan_sheet(&Summary::new(&plan)), LOOK);
    assert!(
        shown.contains("A: plane 1/16 in off the edge, for it is 1 13/16 in wide"),
        "{shown}"
    );
    assert!(
        shown.contains("36 in · cap · plane 1/16 in off its edge"),
        "{shown}"
    );
    // What is left of it was milled, so it is as wide as the face.
    assert!(rack_csv(&plan).contains("\noffcut 1,16 in,1,,,1 3/4 in,cap,"));
    let plan = planned(&load(&one_file(text("plane-off = \"1/32\"\n"))));
    assert_eq!(plan.value, 900);
    let shown = set(&plan_sheet(&Summary::new(&plan)), LOOK);
    assert!(shown.contains("Wood that is not used, and why"), "{shown}");
    assert!(shown.contains("too narrow to be ripped"), "{shown}");
    assert_eq!(
        not_used_csv(&plan),
        "board,left,material,length-in,width-in,thickness-in,milled-to,why,needed-in,length-nm,width-nm,thickness-nm,needed-nm\n\
         stick,1,,36,1.8125,,,between-widths,,914400000,46037500,,\n"
    );
}

/// A small job for trying everything: parts, boards to buy and pieces in hand, in eighths of an inch and cents.
#[derive(Clone, Debug)]
struct Small {
    kerf: u32,
    parts: Vec<u32>,
    boards: Vec<(u32, u32)>,
    rack: Vec<(u32, u32)>,
}

impl Small {
    fn load(&self, rules: &str) -> Job {
        let mut text = format!(
            "[saw]\nkerf = \"{}/8\"\nend-trim = 0\n[shop]\nshortest-offcut = 6\n[in-hand]\n{rules}",
            self.kerf
        );
        for (idx, length) in self.parts.iter().enumerate() {
            write!(
                text,
                "[[pieces]]\npiece = \"p{idx}\"\nlength = \"{length}/8\"\n"
            )
            .unwrap();
        }
        for (idx, (length, cents)) in self.boards.iter().enumerate() {
            let price = format!("{}.{:02}", cents / 100, cents % 100);
            write!(
                text,
                "[[boards]]\nboard = \"b{idx}\"\nlength = \"{length}/8\"\nprice = \"{price}\"\n"
            )
            .unwrap();
        }
        for (idx, (length, cents)) in self.rack.iter().enumerate() {
            let paid = format!("{}.{:02}", cents / 100, cents % 100);
            write!(
                text,
                "[[rack]]\nboard = \"r{idx}\"\nlength = \"{length}/8\"\npaid = \"{paid}\"\n"
            )
            .unwrap();
        }
        load(&one_file(text))
    }

    /// Every way to divide the parts among boards and pieces in hand: what is bought, what is taken from the rack, and how
    /// long all is that is bought.
    fn all(&self) -> BTreeSet<(u32, u32, u32)> {
        let mut found = BTreeSet::new();
        self.divide(0, &mut Vec::new(), &mut found);
        found
    }

    fn divide(&self, part: usize, groups: &mut Vec<u32>, found: &mut BTreeSet<(u32, u32, u32)>) {
        if part == self.parts.len() {
            self.place(
                groups,
                0,
                &mut vec![false; self.rack.len()],
                (0, 0, 0),
                found,
            );
            return;
        }
        for at in 0..groups.len() {
            let added = self.kerf + self.parts[part];
            groups[at] += added;
            self.divide(part + 1, groups, found);
            groups[at] -= added;
        }
        groups.push(self.parts[part]);
        self.divide(part + 1, groups, found);
        groups.pop();
    }

    fn place(
        &self,
        groups: &[u32],
        at: usize,
        taken: &mut Vec<bool>,
        (bought, worth, length): (u32, u32, u32),
        found: &mut BTreeSet<(u32, u32, u32)>,
    ) {
        let Some(&needed) = groups.get(at) else {
            found.insert((bought, worth, length));
            return;
        };
        for &(long, cents) in &self.boards {
            if needed <= long {
                let sums = (bought + cents, worth, length + long);
                self.place(groups, at + 1, taken, sums, found);
            }
        }
        for piece in 0..self.rack.len() {
            let (long, cents) = self.rack[piece];
            if needed <= long && !taken[piece] {
                taken[piece] = true;
                self.place(
                    groups,
                    at + 1,
                    taken,
                    (bought, worth + cents, length),
                    found,
                );
                taken[piece] = false;
            }
        }
    }
}

/// What a plan buys and takes, by what its pieces in hand cost, and how long all is that it buys.
fn bought_taken_length(plan: &Plan, small: &Small) -> (u32, u32, u32) {
    let mut sums = (0, 0, 0);
    for planned in &plan.boards {
        let at = planned.board_idx;
        if let Some(piece) = at.checked_sub(small.boards.len()) {
            sums.1 += small.rack[piece].1;
        } else {
            sums.0 += small.boards[at].1;
            sums.2 += small.boards[at].0;
        }
    }
    sums
}

fn smalls() -> impl Strategy<Value = Small> {
    (
        0_u32..3,
        prop::collection::vec(60_u32..200, 1..6),
        prop::collection::vec((200_u32..420, 4_u32..9), 1..3),
        prop::collection::vec((60_u32..300, 0_u32..6), 1..4),
    )
        .prop_map(|(kerf, parts, boards, rack)| Small {
            kerf,
            parts,
            // Few prices, so that many plans cost the same.
            boards: boards
                .into_iter()
                .map(|(long, money)| (long, money * 100))
                .collect(),
            rack: rack
                .into_iter()
                .map(|(long, money)| (long, money * 100))
                .collect(),
        })
}

proptest! {
    #![proptest_config(cases!(80))]

    #[test]
    fn what_wood_in_hand_counts_and_whether_it_comes_first_is_best_of_all_plans(small in smalls()) {
        let all = small.all();
        let try_rules = |rules: &str| {
            let planned = jobs::planned(&small.load(rules));
            let all_tried = planned.aside.gathered == Some(longpoint::plan::Gathered::Best);
            (bought_taken_length(&planned.plan, &small), all_tried, planned)
        };
        // Half of it, in half cents: twice what is bought and what is taken.
        for (rules, part) in [("", 2), ("worth = \"1/2\"\n", 1), ("worth = \"nothing\"\n", 0)] {
            let count = |&(bought, taken, _): &(u32, u32, u32)| 2 * bought + part * taken;
            let least = all.iter().map(count).min().unwrap();
            let (found, all_tried, planned) = try_rules(rules);
            prop_assert_eq!(count(&found), least, "{}", rules);
            prop_assert_eq!(planned.plan.value * 2, i64::from(least));
            // Among plans of one cost none buys less board, so wood on the rack is used rather than left.
            let as_cheap = all.iter().filter(|sums| count(sums) == least);
            let shortest = as_cheap.map(|&(_, _, length)| length).min().unwrap();
            if all_tried {
                prop_assert_eq!(found.2, shortest, "{}", rules);
            }
        }
        let (found, all_tried, planned) = try_rules("first = true\n");
        let bought = all.iter().map(|&(bought, ..)| bought).min().unwrap();
        prop_assert_eq!(found.0, bought);
        prop_assert_eq!(planned.plan.value, i64::from(bought));
        let taken = all.iter().filter(|sums| sums.0 == bought).map(|&(_, taken, _)| taken).min();
        if all_tried {
            prop_assert_eq!(Some(found.1), taken);
        }
        let without = planned.aside.without_rack_first.unwrap();
        let least = all.iter().map(|&(bought, taken, _)| bought + taken).min().unwrap();
        prop_assert_eq!(without.value, i64::from(least));
    }
}

#[test]
fn rack_first_says_what_it_costs_and_old_pieces_are_offered_for_the_stove() {
    let text = |rules: &str| {
        format!(
            "date = 2026-11-25\ncurrency = \"USD\"\n[saw]\nkerf = 0\nend-trim = 0\n[in-hand]\n{rules}\
             [[pieces]]\npiece = \"bar\"\nlength = 30\nquantity = 2\n\
             [[boards]]\nboard = \"lath\"\nlength = 60\nprice = 5\n\
             [[rack]]\nboard = \"new\"\nlength = 30\nquantity = 2\nvalue = 4\nsince = 2026-11-01\n\
             [[rack]]\nboard = \"old\"\nlength = 20\nvalue = 1\nsince = 2024-11-25\n\
             [[rack]]\nboard = \"stub\"\nlength = 11\nvalue = 1\n"
        )
    };
    let shown = |rules: &str| {
        let job = load(&one_file(text(rules)));
        let planned = jobs::planned(&job);
        let summary = Summary::new(&planned.plan).beside(planned.aside.clone());
        (planned.plan.value, set(&plan_sheet(&summary), LOOK))
    };
    assert_eq!(shown("").0, 500);
    // Derived: the two pieces are worth 8.00, and one lath costs 5.00.
    let (value, first) = shown("first = true\n");
    assert_eq!(value, 0);
    let words = first.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains(
            "Wood in hand is used first. At its worth this plan comes to 8.00 USD, 0.00 USD of it bought; one that weighs \
             that worth buys for 5.00 USD and comes to 5.00 USD, so the wish costs 3.00 USD."
        ),
        "{words}"
    );
    assert!(!first.contains("for the stove"));
    let (_, burnt) = shown("stove-below = 12\nstove-after = \"2 years\"\n");
    assert!(
        burnt.contains("old                 1      20  on the rack since 2024-11-25"),
        "{burnt}"
    );
    assert!(
        burnt.contains("stub                1      11  shorter than 12 in"),
        "{burnt}"
    );
    let (_, younger) = shown("stove-after = \"25 months\"\n");
    assert!(!younger.contains("for the stove"), "{younger}");
}

#[test]
fn wood_that_only_the_moulding_names_balances() {
    let job = jobs::load_text(
        "[[mouldings]]\nname = \"cap\"\nface-width = 1.5\nmaterial = \"walnut\"\n\
         [[frames]]\nframe = \"a\"\nart-width = 8\nart-height = 10\n\
         [[boards]]\nboard = \"b\"\nlength = 96\n",
    );
    let planned = jobs::planned(&job);
    let mut bench = Bench::new(planned.plan.clone(), planned.certificate);
    let spoiled = bench.open().into_iter().next().unwrap();
    let mut marks = Marks::default();
    marks.spoiled.insert(spoiled, Length::INCH * 5);
    bench = replan(&bench, &marks.into(), &jobs::CONTROL).unwrap().bench;
    let total = bench.total();
    for found in [
        balances(&planned.plan, &Idle::new()),
        balances(&total.plan, &total.idle),
    ] {
        let [balance] = &found[..] else {
            panic!("one board of no wood: {found:?}")
        };
        assert_eq!(balance.sources(), balance.uses());
        // What is left is milled, and so walnut.
        assert!(balance.after > 0);
    }
}

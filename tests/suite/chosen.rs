//! Frames whose rails must come from a chosen board, against trying every way to divide all rails among the boards.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use crate::command::{self, in_one_line};
use crate::jobs::{self, CONTROL, load_text};
use crate::texts::Texts;
use longpoint::audit::{Kind, check, prove};
use longpoint::job::Job;
use longpoint::length::Length;
use longpoint::load::{Boards, load_job};
use longpoint::plan::{Part, Plan, Verdict};
use longpoint::planfile::{PlanFile, Standing, verify};
use longpoint::replan::{Bench, Marks, replan};
use proptest::prelude::*;

/// A line of boards.
#[derive(Clone, Debug)]
struct Line {
    /// Length beyond the longest rail, in millimeters.
    more: u32,
    cents: u32,
    quantity: Option<u32>,
}

/// Frames without a lip or allowance, in millimeters, so that a rail is as long as the art and two faces.
#[derive(Clone, Debug)]
struct Shop {
    kerf: u32,
    /// Width, height, and the line of boards chosen for it.
    frames: Vec<(u32, u32, Option<usize>)>,
    /// The first may be scarce.
    boards: Vec<Line>,
}

const FACE: u32 = 30;

impl Shop {
    /// Length of each rail, and the line chosen for it.
    fn rails(&self) -> Vec<(u32, Option<usize>)> {
        let of_frame = |&(width, height, chosen): &(u32, u32, Option<usize>)| {
            [width, height, width, height].map(|side| (side + 2 * FACE, chosen))
        };
        self.frames.iter().flat_map(of_frame).collect()
    }

    fn board_length(&self, line: usize) -> u32 {
        let longest = self.rails().into_iter().map(|rail| rail.0).max();
        longest.unwrap() + self.boards[line].more
    }

    fn text(&self) -> String {
        let mut text = format!(
            "unit = \"mm\"\n[saw]\nkerf = {}\nend-trim = 0\n[shop]\nfit-allowance = 0\n\
             [[mouldings]]\nname = \"cap\"\nface-width = {FACE}\nlip = 0\n",
            self.kerf
        );
        for (idx, (width, height, chosen)) in self.frames.iter().enumerate() {
            let frame = format!("frame = \"f{idx}\"\nart-width = {width}\nart-height = {height}");
            writeln!(text, "[[frames]]\n{frame}").unwrap();
            if let Some(line) = chosen {
                writeln!(text, "board = \"b{line}\"").unwrap();
            }
        }
        for (idx, line) in self.boards.iter().enumerate() {
            let (euros, cents) = (line.cents / 100, line.cents % 100);
            let length = self.board_length(idx);
            let board =
                format!("board = \"b{idx}\"\nlength = {length}\nprice = \"{euros}.{cents:02}\"");
            writeln!(text, "[[boards]]\n{board}").unwrap();
            if let Some(quantity) = line.quantity {
                writeln!(text, "quantity = {quantity}").unwrap();
            }
        }
        text
    }

    /// The fewest rails missing and then the least money, by trying every set of rails on every board.
    fn best(&self) -> (usize, i64) {
        let kerf = i64::from(self.kerf) * 1_000_000;
        // The least whole number of nanometers that is no less than the diagonal of the kerf.
        let mut diagonal = (2 * kerf * kerf).isqrt();
        while diagonal * diagonal < 2 * kerf * kerf {
            diagonal += 1;
        }
        let rails = self.rails();
        let n_sets = 1_usize << rails.len();
        let fits = |line: usize, set: usize| {
            let of_set = (0..rails.len()).filter(|bit| set >> bit & 1 == 1);
            let mut needed = 0;
            for (length, chosen) in of_set.map(|bit| rails[bit]) {
                if chosen.is_some_and(|chosen| chosen != line) {
                    return false;
                }
                needed += i64::from(length) * 1_000_000 + diagonal;
            }
            needed <= i64::from(self.board_length(line)) * 1_000_000 + diagonal
        };
        // Line by line: least[set] is the least money for cutting just this set from the lines so far.
        let mut least = vec![None; n_sets];
        least[0] = Some(0_i64);
        for (idx, line) in self.boards.iter().enumerate() {
            let fitting: Vec<bool> = (0..n_sets).map(|set| fits(idx, set)).collect();
            let rounds = line.quantity.unwrap_or(u32::MAX).min(12);
            for _ in 0..rounds {
                let before = least.clone();
                for set in 1..n_sets {
                    let mut on_board = set;
                    while on_board > 0 {
                        if fitting[on_board]
                            && let Some(rest) = before[set & !on_board]
                        {
                            let cost = rest + i64::from(line.cents);
                            least[set] = Some(least[set].map_or(cost, |known| cost.min(known)));
                        }
                        on_board = (on_board - 1) & set;
                    }
                }
                if least == before {
                    break;
                }
            }
        }
        let n_missing = |set: usize| rails.len() - usize::try_from(set.count_ones()).unwrap();
        let found = least.iter().enumerate();
        found
            .filter_map(|(set, cost)| Some((n_missing(set), (*cost)?)))
            .min()
            .unwrap()
    }
}

fn shops() -> impl Strategy<Value = Shop> {
    let frame = (60_u32..400, 60_u32..400, prop::option::of(0_usize..3));
    let line = |quantity| {
        (0_u32..1_100, 100_u32..900, quantity).prop_map(|(more, cents, quantity)| Line {
            more,
            cents,
            quantity,
        })
    };
    (
        0_u32..5,
        prop::collection::vec(frame, 1..3),
        line(prop::option::of(0_u32..4).boxed()),
        prop::collection::vec(line(Just(None).boxed()), 0..3),
    )
        .prop_map(|(kerf, mut frames, scarce, plenty)| {
            let mut boards = vec![scarce];
            boards.extend(plenty);
            for frame in &mut frames {
                frame.2 = frame.2.filter(|&line| line < boards.len());
            }
            Shop {
                kerf,
                frames,
                boards,
            }
        })
}

/// The lines of boards from which the rails of a frame are cut.
fn lines_of(plan: &Plan, frame: usize) -> BTreeSet<usize> {
    let is_rail = |part: Part| matches!(part, Part::Rail { frame_idx, .. } if frame_idx == frame);
    let boards = plan.boards.iter();
    let with_rails = boards.filter(|board| board.cuts().any(|cut| is_rail(cut.part)));
    with_rails.map(|board| board.board_idx).collect()
}

proptest! {
    #![proptest_config(cases!(80))]

    #[test]
    fn no_division_of_the_rails_misses_fewer_or_costs_less(shop in shops()) {
        let job = load_text(shop.text());
        let planned = jobs::planned(&job);
        prop_assert_eq!(planned.plan.verdict, Verdict::Optimal);
        prop_assert_eq!((planned.plan.missing.len(), planned.plan.value), shop.best());
        for (idx, frame) in shop.frames.iter().enumerate() {
            if let Some(line) = frame.2 {
                prop_assert!(lines_of(&planned.plan, idx).iter().all(|&taken| taken == line));
            }
        }
        let verified = verify(&job, &PlanFile::of(&planned).text()).unwrap();
        // Of splits by single patterns, and of some by pairs, a certificate says nothing; that it says itself.
        prop_assert!(verified.standing() != Standing::Fails, "{:?}", verified.findings);
        let (fewest, least) = shop.best();
        let proved = usize::try_from(verified.proved_missing).unwrap();
        prop_assert!(proved < fewest || proved == fewest && verified.proved <= least);
    }
}

/// Two frames alike; each board holds the rails of one and no more.
fn twins(wish: &str, more: &str) -> String {
    format!(
        "unit = \"mm\"\n[saw]\nkerf = 0\nend-trim = 0\n[shop]\nfit-allowance = 0\n{more}\n\
         [[mouldings]]\nname = \"cap\"\nface-width = 20\nlip = 0\nmatch-color = true\n\
         [[frames]]\nframe = \"portrait\"\nart-width = 160\nart-height = 260\n{wish}\n\
         [[frames]]\nframe = \"twin\"\nart-width = 160\nart-height = 260\n\
         [[boards]]\nboard = \"plain\"\nlength = 1000\nprice = 5\n\
         [[boards]]\nboard = \"figured\"\nlength = 1000\nquantity = 1\nprice = 30\n"
    )
}

const FIGURED: &str = "board = \"figured\"";

#[test]
fn a_plan_whose_rails_come_from_another_board_is_rejected() {
    let job = load_text(twins(FIGURED, ""));
    let planned = jobs::planned(&job);
    // Derived: rails of 200 and 300 mm, 1000 mm in all; the wish costs one board of 30 for one of 5.
    assert_eq!(planned.plan.value, 3_500);
    assert_eq!(lines_of(&planned.plan, 0), BTreeSet::from([1]));
    assert_eq!(prove(&job, &planned.certificate).value, 3_500);

    let mut forged = planned.plan.clone();
    let [one, other] = &mut forged.boards[..] else {
        unreachable!("there are two boards")
    };
    // Equal rails of the two frames change places.
    let (one, other) = (&mut one.strips[0].cuts[0], &mut other.strips[0].cuts[0]);
    assert_eq!((one.from, one.to), (other.from, other.to));
    std::mem::swap(&mut one.part, &mut other.part);
    let found = check(&forged);
    let unsuited = found
        .iter()
        .filter(|what| what.kind == Kind::UnsuitableBoard);
    let unsuited: Vec<_> = unsuited.map(|what| what.place.part).collect();
    assert_eq!(unsuited.len(), 1, "{found:?}");
    assert!(matches!(unsuited[0], Some(Part::Rail { frame_idx: 0, .. })));
}

#[test]
fn a_proof_of_a_job_with_the_wish_proves_nothing_without_it() {
    let wish = jobs::planned(&load_text(twins(FIGURED, "")));
    let free = load_text(twins("", ""));
    assert_eq!(jobs::planned(&free).plan.value, 1_000);
    let proved = prove(&free, &wish.certificate);
    assert!(proved.value <= 1_000 && !proved.findings.is_empty());
    // The other way round it holds, as far as it goes.
    let wished = load_text(twins(FIGURED, ""));
    assert!(prove(&wished, &jobs::planned(&free).certificate).value <= 3_500);
}

fn fault_codes(text: String) -> Vec<&'static str> {
    let texts = Texts::from([("job.toml", text)]);
    let faults = load_job(Path::new("job.toml"), &texts, Boards::Needed).unwrap_err();
    // A board cut short at its old price is remarked as dear, too.
    let codes = faults.iter().map(|fault| fault.code);
    codes.filter(|code| code.starts_with('E')).collect()
}

#[test]
fn a_board_that_cannot_serve_is_an_error_with_its_own_code() {
    let text = twins(FIGURED, "");
    assert_eq!(
        fault_codes(text.replace("board = \"figured\"\n[[", "board = \"x\"\n[[")),
        ["E210"]
    );
    let figured = "board = \"figured\"\nlength = 1000";
    let with = |line: &str| text.replace(figured, &format!("board = \"figured\"\n{line}"));
    assert_eq!(fault_codes(with("length = 1000\nwidth = 19")), ["E308"]);
    assert_eq!(fault_codes(with("length = 299")), ["E303"]);
    let row = text.replace("match-color = true", "grain = \"frame\"");
    assert_eq!(
        fault_codes(row.replace(figured, "board = \"figured\"\nlength = 999")),
        ["E307"]
    );
    // Where frames may come in pairs, the chosen board decides, and not the longer one beside it.
    let pairs = twins(FIGURED, "long-chains = \"adjacent\"")
        .replace("match-color = true", "grain = \"frame\"")
        .replace(
            "board = \"plain\"\nlength = 1000",
            "board = \"plain\"\nlength = 2000",
        )
        .replace("length = 1000\nquantity = 1", "length = 999\nquantity = 2");
    let planned = jobs::planned(&load_text(pairs));
    assert_eq!((planned.plan.missing.len(), planned.plan.value), (0, 6_500));
    // Sizes need no boards, so there a wish for one is none.
    let unknown = Texts::from([("job.toml", twins("board = \"x\"", ""))]);
    assert!(load_job(Path::new("job.toml"), &unknown, Boards::NotNeeded).is_ok());
}

#[test]
fn rails_for_which_the_chosen_board_is_used_up_are_missing() {
    let text = twins(&format!("{FIGURED}\nquantity = 2"), "");
    let planned = jobs::planned(&load_text(text));
    assert_eq!(planned.plan.missing.len(), 4);
    assert_eq!(planned.plan.verdict, Verdict::Optimal);
    let of_portrait = |part: &Part| matches!(part, Part::Rail { frame_idx: 0, .. });
    assert!(planned.plan.missing.iter().all(of_portrait));
}

fn longpoint(folder: &Path, args: &[&str]) -> (Option<i32>, String) {
    let output = command::longpoint(folder, args);
    let all = [output.stdout, output.stderr].concat();
    (output.status.code(), command::text(&all))
}

#[test]
fn the_command_line_plans_verifies_and_catches_another_board() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("job.toml"), twins(FIGURED, "")).unwrap();
    let other = twins("board = \"plain\"", "");
    fs::write(folder.path().join("other.toml"), other).unwrap();
    let plan = |job: &str, out: &str| longpoint(folder.path(), &["plan", job, "--out", out]).0;
    assert_eq!(
        (plan("job.toml", "one"), plan("other.toml", "two")),
        (Some(0), Some(0))
    );
    let verify = |file: &str| longpoint(folder.path(), &["verify", "job.toml", file]);
    let (code, text) = verify("one/plan.json");
    assert_eq!(code, Some(0), "{text}");
    assert!(text.ends_with("the plan is proved best\n"), "{text}");
    let (code, text) = verify("two/plan.json");
    assert_eq!(code, Some(1), "{text}");
    assert!(
        in_one_line(&text).contains("the board does not suit the part"),
        "{text}"
    );
}

#[test]
fn a_way_of_buying_without_the_chosen_board_lacks_the_rails() {
    let folder = tempfile::tempdir().unwrap();
    let ways = "[[ways]]\nname = \"no figure\"\nboards = [\"plain\"]\n\
                [[ways]]\nname = \"their figure\"\nboards = \"theirs.csv\"\n\
                [[ways]]\nname = \"none there\"\nboards = \"none.csv\"\n";
    let text = twins(FIGURED, "") + ways;
    fs::write(folder.path().join("job.toml"), text).unwrap();
    // The chosen board is the first of one list, though the second of the job's.
    let theirs = "board,length,price\nfigured,1000,21\npine,1000,4\n";
    fs::write(folder.path().join("theirs.csv"), theirs).unwrap();
    fs::write(
        folder.path().join("none.csv"),
        "board,length,price\npine,1000,4\n",
    )
    .unwrap();
    let (code, text) = longpoint(
        folder.path(),
        &["buy", "job.toml", "--why", "--format", "json"],
    );
    assert_eq!(code, Some(0), "{text}");
    let found: serde_json::Value = serde_json::from_str(&text).unwrap();
    let way = |name: &str| {
        let ways = found["ways"].as_array().unwrap();
        let way = ways.iter().find(|way| way["name"] == name).unwrap();
        (way["missing"].as_u64(), way["value"].as_i64())
    };
    assert_eq!(way("no figure").0, Some(4), "{text}");
    assert_eq!(way("none there").0, Some(4), "{text}");
    assert_eq!(way("their figure").1, Some(2_500), "{text}");
}

/// A portrait from figured boards, of which there are two, beside others; spare rails come from whatever is cheapest.
fn at_the_bench() -> Job {
    let text = twins(FIGURED, "").replace("match-color = true", "spare = 2");
    load_text(text.replace("quantity = 1", "quantity = 2"))
}

proptest! {
    #![proptest_config(cases!(40))]

    #[test]
    fn what_is_cut_anew_comes_from_the_chosen_board(
        share in 0_usize..100,
        spoiled in prop::collection::vec(any::<bool>(), 1..7),
    ) {
        let job = at_the_bench();
        let first = jobs::planned(&job);
        let mut bench = Bench::new(first.plan, first.certificate);
        for _ in 0..2 {
            let open: Vec<_> = bench.open().into_iter().collect();
            let mut marks = Marks::default();
            for (idx, &place) in open[..open.len() * share / 100].iter().enumerate() {
                if spoiled[idx % spoiled.len()] {
                    marks.spoiled.insert(place, Length::ZERO);
                } else {
                    marks.done.insert(place);
                }
            }
            bench = replan(&bench, &marks.into(), &CONTROL).unwrap().bench;
            let figured = &job.boards[1].name;
            let line_of = |place| bench.board_of(bench.stick_at(place)).0.name.clone();
            for (place, part) in bench.serving() {
                if let Part::Rail { frame_idx: 0, .. } = part {
                    prop_assert_eq!(&line_of(place), figured);
                }
            }
        }
    }
}

#[test]
fn a_spoiled_rail_is_cut_again_from_its_own_board_and_not_from_a_spare_of_another() {
    let job = at_the_bench();
    let first = jobs::planned(&job);
    // Derived: two spares of 300 mm from a plain board of 5; a figured one has no room for them.
    let spare = |part: Part| matches!(part, Part::Loose { .. });
    let boards = first.plan.boards.iter();
    let with_spares = boards.filter(|board| board.cuts().any(|cut| spare(cut.part)));
    assert!(with_spares.clone().count() > 0);
    assert!(with_spares.into_iter().all(|board| board.board_idx == 0));
    let bench = Bench::new(first.plan, first.certificate);
    let of_frame = |frame: usize| {
        let mut places = bench.open().into_iter();
        let is_of = |part| matches!(part, Part::Rail { frame_idx, .. } if frame_idx == frame);
        let place = places
            .find(|&place| is_of(bench.planned_part(place).1))
            .unwrap();
        let spoiled = BTreeMap::from([(place, Length::ZERO)]);
        let marks = Marks {
            spoiled,
            ..Marks::default()
        };
        replan(&bench, &marks.into(), &CONTROL).unwrap()
    };
    assert_eq!(of_frame(1).bench.spent().len(), 1);
    let again = of_frame(0);
    assert_eq!(again.bench.spent(), []);
    assert_eq!(again.planned.plan.value, 3_000);
    assert_eq!(again.planned.plan.missing, []);
}

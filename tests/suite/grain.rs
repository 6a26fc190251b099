//! Rails that are to follow each other on one strip, against trying every way to divide them among boards.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fmt::Write as _;
use std::path::Path;

use crate::jobs::{self, load_text};
use crate::texts::Texts;
use longpoint::audit::check;
use longpoint::job::Job;
use longpoint::length::Length;
use longpoint::load::{Boards, load_job};
use longpoint::pipeline::Planned;
use longpoint::plan::{Part, Plan, Verdict};
use longpoint::planfile::{Finding, PlanFile, Standing, bench_text, verify};
use longpoint::replan::{Bench, Marks, replan};
use longpoint::report::sections::plan_sheet;
use longpoint::report::text::{Look, set};
use longpoint::tally::Summary;
use proptest::prelude::*;
use serde_json::Value;

fn planned(text: &str) -> (Job, Planned) {
    let job = load_text(text);
    let planned = jobs::planned(&job);
    (job, planned)
}

/// Frames without a lip or allowance, in millimeters, so that a rail is as long as the art and two faces.
#[derive(Clone, Debug)]
struct Shop {
    face: u32,
    kerf: u32,
    /// Width, height and grain; `None` leaves it to the moulding, which asks for nothing.
    frames: Vec<(u32, u32, Option<usize>)>,
    /// Length beyond the longest chain, and cents.
    boards: Vec<(u32, u32)>,
}

const GRAINS: [&str; 4] = ["none", "frame", "opposite", "adjacent"];

impl Shop {
    fn chains(&self, (width, height, grain): (u32, u32, Option<usize>)) -> Vec<Vec<u32>> {
        let (wide, high) = (width + 2 * self.face, height + 2 * self.face);
        match grain.unwrap_or(0) {
            0 => vec![vec![wide], vec![wide], vec![high], vec![high]],
            1 => vec![vec![high, wide, high, wide]],
            2 => vec![vec![wide, wide], vec![high, high]],
            _ => vec![vec![high, wide], vec![high, wide]],
        }
    }

    /// The least whole number of nanometers that is no less than the diagonal of the kerf.
    fn kerf_nm(&self) -> i64 {
        let kerf = i64::from(self.kerf) * 1_000_000;
        let mut diagonal = (2 * kerf * kerf).isqrt();
        while diagonal * diagonal < 2 * kerf * kerf {
            diagonal += 1;
        }
        diagonal
    }

    /// Length of a chain from its first long point to its last.
    fn length(&self, chain: &[u32]) -> i64 {
        let gaps = i64::try_from(chain.len()).unwrap() - 1;
        let rails: i64 = chain.iter().map(|&rail| i64::from(rail) * 1_000_000).sum();
        rails + gaps * self.kerf_nm()
    }

    fn units(&self) -> Vec<i64> {
        let chains = self.frames.iter().flat_map(|&frame| self.chains(frame));
        chains.map(|chain| self.length(&chain)).collect()
    }

    /// Board lengths in millimeters, the shortest long enough for the longest chain.
    fn board_lengths(&self) -> Vec<u32> {
        let longest = self.units().into_iter().max().unwrap();
        let longest = u32::try_from(longest / 1_000_000 + 1).unwrap();
        self.boards.iter().map(|(more, _)| longest + more).collect()
    }

    fn text(&self) -> String {
        let mut text = format!(
            "unit = \"mm\"\n[saw]\nkerf = {}\nend-trim = 0\n[shop]\nfit-allowance = 0\n[[mouldings]]\nname = \"cap\"\n\
             face-width = {}\nlip = 0\n",
            self.kerf, self.face
        );
        for (idx, (width, height, grain)) in self.frames.iter().enumerate() {
            write!(
                text,
                "[[frames]]\nframe = \"f{idx}\"\nart-width = {width}\nart-height = {height}\n"
            )
            .unwrap();
            if let Some(grain) = grain {
                writeln!(text, "grain = \"{}\"", GRAINS[*grain]).unwrap();
            }
        }
        for ((idx, length), (_, cents)) in self.board_lengths().iter().enumerate().zip(&self.boards)
        {
            write!(
                text,
                "[[boards]]\nboard = \"b{idx}\"\nlength = {length}\nprice = \"{}.{:02}\"\n",
                cents / 100,
                cents % 100
            )
            .unwrap();
        }
        text
    }

    /// The least money, by trying every way to divide the chains among boards.
    fn cheapest(&self) -> i64 {
        let units = self.units();
        let all = (1_usize << units.len()) - 1;
        let board_for = |set: usize| {
            let chosen = (0..units.len()).filter(|bit| set >> bit & 1 == 1);
            let needed: i64 = chosen.map(|bit| units[bit] + self.kerf_nm()).sum();
            self.board_lengths()
                .iter()
                .zip(&self.boards)
                .filter(|(length, _)| i64::from(**length) * 1_000_000 + self.kerf_nm() >= needed)
                .map(|(_, (_, cents))| i64::from(*cents))
                .min()
        };
        let mut least = vec![Some(0_i64); all + 1];
        for set in 1..=all {
            let first = set & set.wrapping_neg();
            let rest = set & !first;
            let mut best = None;
            let mut others = rest;
            loop {
                if let Some((board, more)) = board_for(first | others).zip(least[rest & !others]) {
                    best = Some(best.map_or(board + more, |best: i64| best.min(board + more)));
                }
                if others == 0 {
                    break;
                }
                others = (others - 1) & rest;
            }
            least[set] = best;
        }
        least[all].unwrap()
    }
}

fn shops() -> impl Strategy<Value = Shop> {
    let frame = (
        60_u32..400,
        60_u32..400,
        prop::option::of(0_usize..GRAINS.len()),
    );
    (
        10_u32..60,
        0_u32..5,
        prop::collection::vec(frame, 1..4),
        prop::collection::vec((0_u32..1_200, 100_u32..900), 1..3),
    )
        .prop_map(|(face, kerf, frames, boards)| Shop {
            face,
            kerf,
            frames,
            boards,
        })
        // Trying all ways takes 3^n steps.
        .prop_filter("few chains", |shop| shop.units().len() <= 9)
}

fn side(part: Part) -> u32 {
    match part {
        Part::Rail { side, .. } => side,
        Part::Loose { .. } => unreachable!("the jobs have frames only"),
    }
}

const PORTRAIT: &str = "unit = \"mm\"\n[saw]\nkerf = 3\nend-trim = 10\n[[mouldings]]\nname = \"cap\"\n\
                        face-width = 40\nlip = 5\ngrain = \"frame\"\n[[frames]]\nframe = \"portrait\"\nart-width = 300\n\
                        art-height = 400\n";

#[test]
fn the_rails_of_a_frame_stand_in_order_from_the_left_one_with_one_kerf_between_them() {
    let (_job, planned) = planned(&format!(
        "{PORTRAIT}[[boards]]\nboard = \"b\"\nlength = 2000\n"
    ));
    let cuts: Vec<_> = planned.plan.boards[0].cuts().copied().collect();
    let sides: Vec<u32> = cuts.iter().map(|cut| side(cut.part)).collect();
    assert_eq!(sides, [3, 0, 1, 2]);
    for pair in cuts.windows(2) {
        // Derived: 3 mm times the square root of 2, rounded up to the nanometer.
        assert_eq!((pair[1].from - pair[0].to).nm(), 4_242_641);
    }

    // A plan in which two of them change places is rejected, and so is one in which they stand apart.
    let mut swapped = planned.plan.clone();
    let strip = &mut swapped.boards[0].strips[0];
    (strip.cuts[0].part, strip.cuts[2].part) = (strip.cuts[2].part, strip.cuts[0].part);
    let said = |plan: &Plan| -> Vec<String> {
        let violations = check(plan);
        violations.iter().map(ToString::to_string).collect()
    };
    assert!(said(&swapped)[0].contains("apart from the rails it must follow"));
    let mut apart = planned.plan.clone();
    let strip = &mut apart.boards[0].strips[0];
    let more = longpoint::length::Length::MILLIMETRE;
    strip.cuts[3].from += more;
    strip.cuts[3].to += more;
    strip.offcut -= more;
    assert!(
        said(&apart)
            .iter()
            .any(|what| what.contains("apart from the rails"))
    );
}

#[test]
fn a_frame_too_long_for_every_board_comes_in_pairs_where_the_shop_allows_it() {
    // Derived: long points 300 + 3.175 + 2 * 35 and 400 + 3.175 + 2 * 35 mm; four in a row take 1692.7 mm and three
    // kerfs of 4.243 mm, two of them 846.35 mm and one.
    let boards = "[[boards]]\nboard = \"b\"\nlength = 1000\n";
    let text = format!(
        "{PORTRAIT}{boards}[shop]\nlong-chains = \"adjacent\"\nfit-allowance = \"1/8 in\"\n"
    );
    let (_, pairs) = planned(&text);
    let sides: Vec<Vec<u32>> = pairs
        .plan
        .boards
        .iter()
        .map(|board| board.cuts().map(|cut| side(cut.part)).collect())
        .collect();
    assert_eq!(sides, [[3, 0], [1, 2]]);
    let refused = format!("{PORTRAIT}{boards}");
    let faults = load_job(
        Path::new("job.toml"),
        &Texts::from([("job.toml", refused)]),
        Boards::Needed,
    )
    .unwrap_err();
    assert_eq!(faults.len(), 1);
    assert_eq!(faults[0].code, "E307");
    // In opposite pairs the same board will do; a longer board takes all four again.
    let opposite = text.replace("adjacent", "opposite");
    assert_eq!(planned(&opposite).1.plan.boards.len(), 2);
    assert_eq!(
        planned(&text.replace("length = 1000", "length = 2000"))
            .1
            .plan
            .boards
            .len(),
        1
    );
}

#[test]
fn a_chain_for_which_wood_runs_short_is_missing_as_a_whole() {
    let text =
        format!("{PORTRAIT}quantity = 2\n[[boards]]\nboard = \"b\"\nlength = 2010\nquantity = 1\n");
    let (_, planned) = planned(&text);
    assert_eq!(planned.plan.missing.len(), 4);
    assert_eq!(planned.plan.missing_lower_bound, 4);
    assert_eq!(planned.plan.verdict, Verdict::Optimal);
    // Derived: without the wish a fifth rail fits: 4 * 373.175 + 473.175 mm and four kerfs are 1982.8 of 1990 mm.
    let without = planned.aside.without_grain.unwrap();
    assert_eq!(without.missing.len(), 3);
}

proptest! {
    #![proptest_config(cases!(120))]

    #[test]
    fn chains_cost_what_trying_all_ways_costs_and_never_less_than_free_rails(shop in shops()) {
        let (_, planned) = planned(&shop.text());
        prop_assert_eq!(planned.plan.verdict, Verdict::Optimal);
        prop_assert_eq!(planned.plan.value, shop.cheapest());
        let mut free = shop.clone();
        for frame in &mut free.frames {
            frame.2 = None;
        }
        let wishes = shop.frames.iter().any(|frame| frame.2.is_some_and(|grain| grain > 0));
        prop_assert_eq!(planned.aside.without_grain.is_some(), wishes);
        if let Some(without) = planned.aside.without_grain {
            prop_assert!(without.value <= planned.plan.value);
            prop_assert_eq!(without.verdict, Verdict::Optimal);
        }
    }
}

#[test]
fn rails_in_a_row_need_a_clear_run_and_not_a_board_as_long() {
    let job = |grain: &str| {
        format!(
            "[saw]\nkerf = \"1/8\"\nend-trim = 0\n[shop]\nlong-chains = \"adjacent\"\n\
             [[mouldings]]\nname = \"cap\"\nface-width = 1\nlip = \"1/4\"\ngrain = \"{grain}\"\n\
             [[frames]]\nframe = \"A\"\nart-width = 12\nart-height = 14\n\
             [[boards]]\nboard = \"b\"\nlength = 72\ndefects = \"35 to 37\"\nquantity = 1\n"
        )
    };
    // Derived: long points 13 5/8 and 15 5/8; four in a row take more than 58 in, two less than 35.
    let (_, whole) = planned(&job("frame"));
    let (_, pairs) = planned(&job("adjacent"));
    for planned in [&whole, &pairs] {
        assert_eq!(planned.plan.missing, []);
        assert_eq!(planned.plan.verdict, Verdict::Optimal);
        assert_eq!(check(&planned.plan), []);
    }
    assert_eq!(whole.plan.boards, pairs.plan.boards);
}

/// Two lines of frames whose rails in a row take 1000 mm, in pairs 500, from one board of 1000 and any number of 500.
const TOO_FEW: &str = "unit = \"mm\"\n[saw]\nkerf = 0\nend-trim = 0\n\
    [shop]\nfit-allowance = 0\nlong-chains = \"adjacent\"\n\
    [[mouldings]]\nname = \"cap\"\nface-width = 10\nlip = 0\ngrain = \"frame\"\n\
    [[frames]]\nframe = \"one\"\nart-width = 180\nart-height = 280\n\
    [[frames]]\nframe = \"two\"\nart-width = 180\nart-height = 280\n\
    [[boards]]\nboard = \"long\"\nlength = 1000\nquantity = 1\nprice = 5\n\
    [[boards]]\nboard = \"short\"\nlength = 500\nprice = 4\n";

#[test]
fn rows_part_before_a_rail_is_missing() {
    let (job, planned) = planned(TOO_FEW);
    let plan = &planned.plan;
    // Derived: in rows one frame finds no board; the first comes in a row all the same, from the one long board, and the
    // second in two pairs: 5.00 + 2 * 4.00.
    assert_eq!(
        (&plan.missing[..], plan.value, plan.verdict),
        (&[][..], 1300, Verdict::Optimal)
    );
    assert_eq!(check(plan), []);
    assert_eq!(planned.aside.in_rows.as_ref().unwrap().missing.len(), 4);
    let in_pairs: Vec<bool> = plan.job.frames.iter().map(|frame| frame.in_pairs).collect();
    assert_eq!(in_pairs, [false, true]);
    let look = Look {
        width: 120,
        color: false,
        unicode: true,
    };
    let sheet = set(&plan_sheet(&Summary::new(plan)), look);
    assert_eq!(
        sheet.matches("too few boards are long enough").count(),
        1,
        "{sheet}"
    );
    let text = PlanFile::of(&planned).text();
    let verified = verify(&job, &text).unwrap();
    assert_eq!(
        verified.findings,
        [Finding::PairsNotProved { frame_idx: 1 }]
    );
    assert_eq!(
        (verified.standing(), verified.proved),
        (Standing::OnTrust, 1300)
    );
    // Who does not even say that more would be missing in rows has no reason for pairs.
    let mut untold: Value = serde_json::from_str(&text).unwrap();
    untold["not_verified"]["in_rows"] = Value::Null;
    let verified = verify(&job, &untold.to_string()).unwrap();
    assert_eq!(verified.standing(), Standing::Fails);
    // A bench, in whose file nothing is said of plans that were not made, is no forgery.
    let bench = Bench::new(planned.plan.clone(), planned.certificate.clone());
    let marks = Marks {
        spoiled: bench
            .open()
            .first()
            .map(|&place| (place, Length::ZERO))
            .into_iter()
            .collect(),
        ..Marks::default()
    };
    let rest = replan(&bench, &marks.into(), &jobs::CONTROL).unwrap();
    let verified = verify(&job, &bench_text(&rest)).unwrap();
    assert_eq!(verified.n_sheets, 2);
    assert_eq!(verified.standing(), Standing::OnTrust);
    // Where nothing is missing in rows, nothing parts; where pairs do not help, nothing does either.
    let enough = TOO_FEW.replace("quantity = 1", "quantity = 2");
    let planned = jobs::planned(&load_text(enough));
    assert!(planned.plan.job.frames.iter().all(|frame| !frame.in_pairs));
    assert_eq!(planned.aside.in_rows, None);
    let no_pairs = TOO_FEW.replace("long-chains = \"adjacent\"\n", "");
    assert_eq!(jobs::planned(&load_text(no_pairs)).plan.missing.len(), 4);
}

#[test]
fn a_plan_file_may_not_part_what_may_not() {
    let job = load_text(TOO_FEW.replace("long-chains = \"adjacent\"\n", ""));
    let (_, planned) = planned(TOO_FEW);
    let text = PlanFile::of(&planned).text();
    assert_ne!(verify(&job, &text).unwrap().findings, []);
}

proptest! {
    #![proptest_config(cases!(60))]

    #[test]
    fn pairs_cut_all_that_rows_and_pairs_can(
        sizes in prop::collection::vec((4_u32..20, 4_u32..20), 1..4),
        boards in prop::collection::vec((40_u32..120, 1_u32..4), 1..4),
    ) {
        let job = |grain: &str, pairs: &str| {
            let mut text = format!(
                "[saw]\nkerf = \"1/8\"\nend-trim = 0\n[shop]\n{pairs}\n[[mouldings]]\nname = \"cap\"\nface-width = 1\n\
                 lip = \"1/4\"\ngrain = \"{grain}\"\n"
            );
            for (idx, (width, height)) in sizes.iter().enumerate() {
                write!(text, "[[frames]]\nframe = \"f{idx}\"\nart-width = {width}\nart-height = {height}\n").unwrap();
            }
            for (idx, (length, quantity)) in boards.iter().enumerate() {
                write!(text, "[[boards]]\nboard = \"b{idx}\"\nlength = {length}\nquantity = {quantity}\nprice = {length}\n")
                    .unwrap();
            }
            load_job(Path::new("job.toml"), &Texts::from([("job.toml", text)]), Boards::Needed).map(|loaded| loaded.0)
        };
        let (Ok(rows), Ok(pairs)) = (job("frame", "long-chains = \"adjacent\""), job("adjacent", "")) else {
            return Ok(());
        };
        let rows = jobs::planned(&rows).plan;
        let pairs = jobs::planned(&pairs).plan;
        prop_assert_eq!(check(&rows), []);
        prop_assert!(rows.missing.len() <= pairs.missing.len());
    }
}

//! The main job held against what others have made: a general solver for rails with kerfs and trims, a general geometry
//! crate for what lies where, instances whose optimum is known by how they are made, and figures of the trade.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]
#![expect(
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    reason = "solver and geometry compute in floats; what they tell is compared within a tolerance"
)]

use std::collections::BTreeMap;
use std::fmt::Write as _;

use crate::crossed::shop::shops;
use crate::jobs::{self, demo, load_text};
use geo::{Area, BooleanOps, LineString, Polygon};
use good_lp::{
    Expression, ProblemVariables, Solution as _, SolutionStatus, SolverModel as _, WithMipGap as _,
    WithTimeLimit as _, microlp, variable,
};
use longpoint::frame::{Miter, package};
use longpoint::job::Job;
use longpoint::length::Length;
use longpoint::plan::{Cut, Plan, Verdict};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

/// A frame of art 1 in within its rails: face 1, lip 1/4, no allowance, so a rail is as long as the art and 1 1/2 in.
fn mitered(frames: &[(u32, u32, u32)], trim: u32, boards: &[(u32, u32, Option<u32>)]) -> String {
    let mut text = format!(
        "[saw]\nkerf = \"1/8\"\nend-trim = \"{trim}/8\"\n[shop]\nfit-allowance = 0\n[[mouldings]]\nname = \"cap\"\n\
         face-width = 1\nlip = \"1/4\"\n"
    );
    for (idx, (width, height, quantity)) in frames.iter().enumerate() {
        write!(
            text,
            "[[frames]]\nframe = \"f{idx}\"\nart-width = {width}\nart-height = {height}\nquantity = {quantity}\n"
        )
        .unwrap();
    }
    for (idx, (length, price, quantity)) in boards.iter().enumerate() {
        write!(
            text,
            "[[boards]]\nboard = \"b{idx}\"\nlength = {length}\nprice = {price}\n"
        )
        .unwrap();
        if let Some(quantity) = quantity {
            writeln!(text, "quantity = {quantity}").unwrap();
        }
    }
    text
}

/// The least price of boards for the same frames, by the general solver over all patterns.
///
/// A rail takes its long point; between two of them lies the kerf along the strip, the blade's over the cosine of 45 degrees.
/// Prices are whole, so what lies within less than one of its own bound is the least; `about` is a price near it. `None` where
/// the solver does not get so far in its time: it has no end of equal plans to go through.
fn by_general_solver(
    frames: &[(u32, u32, u32)],
    trim: u32,
    boards: &[(u32, u32, Option<u32>)],
    about: f64,
) -> Option<f64> {
    let kerf = 0.125 * std::f64::consts::SQRT_2;
    let mut demand: BTreeMap<u32, u32> = BTreeMap::new();
    for &(width, height, quantity) in frames {
        *demand.entry(width).or_default() += 2 * quantity;
        *demand.entry(height).or_default() += 2 * quantity;
    }
    let rails: Vec<(f64, u32)> = demand
        .iter()
        .map(|(&art, &count)| (f64::from(art) + 1.5, count))
        .collect();
    let mut variables = ProblemVariables::new();
    let mut cost = Expression::default();
    let mut made = vec![Expression::default(); rails.len()];
    let mut used = vec![Expression::default(); boards.len()];
    for (idx, &(length, price, _)) in boards.iter().enumerate() {
        let room = f64::from(length) - f64::from(trim) / 4.0 + kerf;
        for pattern in patterns(&rails, kerf, room) {
            let times = variables.add(variable().integer().min(0).max(60));
            cost += f64::from(price) * times;
            used[idx] += times;
            for (made, count) in made.iter_mut().zip(pattern) {
                *made += f64::from(count) * times;
            }
        }
    }
    let model = variables.minimise(cost.clone()).using(microlp);
    let mut model = model
        .with_mip_gap((0.4 / about) as f32)
        .unwrap()
        .with_time_limit(20.0);
    for (made, &(_, demand)) in made.into_iter().zip(&rails) {
        model = model.with(made.geq(f64::from(demand)));
    }
    for (used, &(_, _, quantity)) in used.into_iter().zip(boards) {
        if let Some(quantity) = quantity {
            model = model.with(used.leq(f64::from(quantity)));
        }
    }
    let solved = model.solve().ok()?;
    (!matches!(solved.status(), SolutionStatus::TimeLimit)).then(|| solved.eval(cost).round())
}

/// All ways to cut rails into `room`, counts not above the demand.
fn patterns(rails: &[(f64, u32)], kerf: f64, room: f64) -> Vec<Vec<u32>> {
    let Some((&(length, demand), rest)) = rails.split_first() else {
        return vec![Vec::new()];
    };
    let mut found = Vec::new();
    for count in 0..=demand {
        let left = room - f64::from(count) * (length + kerf);
        // Sizes are eighths of an inch but for the kerf, so no two sums are as near as this unless they are equal.
        if left < -1e-7 {
            break;
        }
        for more in patterns(rest, kerf, left) {
            found.push([vec![count], more].concat());
        }
    }
    found
}

proptest! {
    #![proptest_config(cases!(40))]

    #[test]
    fn frames_cost_what_a_general_solver_says(
        frames in prop::collection::vec((4_u32..20, 4_u32..20, 1_u32..3), 1..3),
        trim in 0_u32..5,
        boards in prop::collection::vec((26_u32..80, 3_u32..20, prop::option::of(1_u32..4)), 1..3),
    ) {
        let mut boards = boards;
        // One of them without limit, so that there always is a plan.
        boards[0].2 = None;
        let plan = jobs::planned(&load_text(mitered(&frames, trim, &boards))).plan;
        prop_assert_eq!(plan.verdict, Verdict::Optimal);
        prop_assert_eq!(plan.missing.len(), 0);
        let cost = plan.value as f64 / 100.0;
        let best = by_general_solver(&frames, trim, &boards, cost);
        prop_assume!(best.is_some());
        prop_assert_eq!(Some(cost), best);
    }
}

/// An area that is none, in square millimeters: `geo` intersects on a grid of some millionths of a millimeter on boards of a
/// few meters, which comes to hundredths along the edge of a rail. An overlap of 10 um across 10 mm of moulding is as much.
const NO_AREA: f64 = 0.1;

/// A polygon in millimeters.
fn polygon(corners: &[(f64, f64)]) -> Polygon {
    Polygon::new(LineString::from(corners.to_vec()), Vec::new())
}

fn mm(length: Length) -> f64 {
    length.nm() as f64 / 1e6
}

fn common(one: &Polygon, other: &Polygon) -> f64 {
    one.intersection(other).unsigned_area()
}

/// A part on a strip: its wood, and what the blade takes at either end.
struct Laid {
    wood: Polygon,
    bands: [Polygon; 2],
}

/// Lays a part out from its own sizes: its outer edge along one side of a strip of this width that begins at `base`.
fn laid(job: &Job, cut: &Cut, base: f64, width: f64) -> Laid {
    let kerf = mm(job.shop.kerf);
    let (from, to) = (mm(cut.from), mm(cut.to));
    // Degrees off square.
    let angle = match cut.part.miter(job) {
        Miter::Square => 0.0_f64,
        miter @ Miter::Corner { .. } => {
            let (numerator, denominator) = miter.degrees();
            (f64::from(numerator) / f64::from(denominator)).to_radians()
        }
    };
    let slant = width * angle.tan();
    // What has no sight edge is no trapezoid, and is cut square as far as others are concerned.
    let slant = if to - from > 2.0 * slant { slant } else { 0.0 };
    let along = kerf / angle.cos();
    let (outer, sight) = if cut.turned {
        (base + width, base)
    } else {
        (base, base + width)
    };
    Laid {
        wood: polygon(&[
            (from, outer),
            (to, outer),
            (to - slant, sight),
            (from + slant, sight),
        ]),
        bands: [
            polygon(&[
                (from - along, outer),
                (from, outer),
                (from + slant, sight),
                (from + slant - along, sight),
            ]),
            polygon(&[
                (to, outer),
                (to + along, outer),
                (to - slant + along, sight),
                (to - slant, sight),
            ]),
        ],
    }
}

/// Whether all rails lie on their boards, none on another, and no blade takes wood of another rail.
fn lies_right(plan: &Plan) -> Result<(), TestCaseError> {
    let job = &plan.job;
    for (position, board) in plan.boards.iter().enumerate() {
        let of = &job.boards[board.board_idx];
        let trim = mm(job.shop.end_trim);
        let end = mm(of.length) - trim;
        let mut strips: Vec<Polygon> = Vec::new();
        for strip in &board.strips {
            // Where no width is known, any will do: the parts of a strip are all as wide.
            let moulding = strip.moulding_idx.map(|idx| job.mouldings[idx].face_width);
            let width = mm(moulding.or(strip.width).unwrap_or(Length::INCH));
            let base = mm(strip.from_edge);
            let wood = polygon(&[
                (trim, base),
                (end, base),
                (end, base + width),
                (trim, base + width),
            ]);
            for other in &strips {
                prop_assert!(
                    common(&wood, other) < NO_AREA,
                    "board {position}: strips overlap"
                );
            }
            let cuts: Vec<Laid> = strip
                .cuts
                .iter()
                .map(|cut| laid(job, cut, base, width))
                .collect();
            for (idx, one) in cuts.iter().enumerate() {
                let inside = common(&one.wood, &wood);
                prop_assert!(
                    (inside - one.wood.unsigned_area()).abs() < NO_AREA,
                    "board {position}: part {idx} is not all on it"
                );
                for (other_idx, other) in cuts.iter().enumerate() {
                    if other_idx == idx {
                        continue;
                    }
                    prop_assert!(
                        common(&one.wood, &other.wood) < NO_AREA,
                        "board {position}: parts {idx} and {other_idx} overlap"
                    );
                    for band in &one.bands {
                        prop_assert!(
                            common(band, &other.wood) < NO_AREA,
                            "board {position}: the cut of {idx} takes wood of {other_idx}"
                        );
                    }
                }
            }
            strips.push(wood);
        }
        if let (Some(width), true) = (of.width, job.shop.rip.is_some()) {
            let last = board.strips.last().unwrap();
            let far = mm(last.from_edge + last.width.unwrap_or(width));
            prop_assert!(
                far <= mm(width) + 1e-6,
                "board {position}: strips are wider than it"
            );
        }
    }
    Ok(())
}

#[test]
fn the_rails_of_every_demo_lie_on_their_boards_and_a_kerf_apart() {
    for name in [
        "color", "figured", "grain", "knots", "miscut", "offcuts", "rack", "reserve", "rough",
        "show", "spare", "starter", "turned",
    ] {
        let plan = jobs::planned(&demo(name)).plan;
        assert!(!plan.boards.is_empty());
        lies_right(&plan).unwrap_or_else(|error| panic!("{name}: {error}"));
    }
}

#[test]
fn the_rails_of_drawn_jobs_lie_on_their_boards_and_a_kerf_apart() {
    let result = TestRunner::new(cases!(200)).run(&shops(1..4, 2, 1..4), |shop| {
        let Some(job) = shop.load() else {
            return Ok(());
        };
        lies_right(&shop.planned(&job, 40).plan)
    });
    result.unwrap();
}

#[test]
fn the_geometry_sees_what_is_wrong() {
    let sound = jobs::planned(&demo("turned")).plan;
    lies_right(&sound).unwrap();
    let with_two = sound
        .boards
        .iter()
        .position(|board| board.strips[0].cuts.len() > 1)
        .unwrap();
    for nudge in [-1_000_000, 60_000_000_000] {
        let mut plan = sound.clone();
        let cut = &mut plan.boards[with_two].strips[0].cuts[1];
        cut.from += Length::from_nm(nudge);
        cut.to += Length::from_nm(nudge);
        assert!(lies_right(&plan).is_err(), "{nudge}");
    }
}

/// Triplets: three items fill a bin to the last unit, so `n` items take `n / 3` bins and no fewer.
///
/// By the rule of E. Falkenauer, A hybrid grouping genetic algorithm for bin packing, Journal of Heuristics 2(1), 1996,
/// 5-30, in whole numbers: bins of 1000, the first item from 380 to 490, the second from 250 to half of what is left.
fn triplets(n_bins: u64) -> Vec<u64> {
    let mut state = 1996_u64;
    let mut draw = |from: u64, to: u64| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        from + (state >> 33) % (to - from + 1)
    };
    let mut items = Vec::new();
    for _ in 0..n_bins {
        let first = draw(380, 490);
        let second = draw(250, (1000 - first) / 2);
        items.extend([first, second, 1000 - first - second]);
    }
    items
}

#[test]
fn triplets_take_a_third_as_many_bins_as_there_are_items() {
    for n_bins in [20, 40] {
        let mut text = String::from(
            "unit = \"mm\"\n[saw]\nkerf = 0\nend-trim = 0\n[[boards]]\nboard = \"bin\"\nlength = 1000\n",
        );
        let mut demand: BTreeMap<u64, u32> = BTreeMap::new();
        for item in triplets(n_bins) {
            *demand.entry(item).or_default() += 1;
        }
        for (item, count) in demand {
            write!(
                text,
                "[[pieces]]\npiece = \"p{item}\"\nlength = {item}\nquantity = {count}\n"
            )
            .unwrap();
        }
        let plan = jobs::planned(&load_text(text)).plan;
        assert_eq!(plan.boards.len(), usize::try_from(n_bins).unwrap());
        assert_eq!(plan.verdict, Verdict::Optimal);
    }
}

/// A window's width and height, and the borders round it: top, right, bottom, left.
type Opening = (String, String, [String; 4]);

/// The window of each mat of a job's only frame, and its package.
fn mats(frame: &str) -> (Vec<Opening>, (String, String)) {
    let job = load_text(format!(
        "[[mouldings]]\nname = \"cap\"\nface-width = 1\nlip = \"1/4\"\n[[frames]]\nframe = \"f\"\n{frame}\
         [[boards]]\nboard = \"b\"\nlength = 96\n"
    ));
    let text =
        |length: Length| longpoint::length::exact_text(length, longpoint::length::Unit::Inch);
    let package = package(&job.frames[0], &job.mouldings, job.shop.fit_allowance);
    let windows = package.windows.iter().map(|window| {
        let borders = &window.borders;
        let borders = [borders.top, borders.right, borders.bottom, borders.left];
        {
            let open = window.opening.size;
            (text(open.side(0)), text(open.side(1)), borders.map(text))
        }
    });
    let longpoint::frame::Outline::Rectangle { width, height } = package.size else {
        unreachable!("the frames are rectangles")
    };
    (windows.collect(), (text(width), text(height)))
}

#[test]
fn mats_come_out_as_the_trade_reckons_them() {
    let inches = |text: &str| format!("{text} in");
    // Derived: art 8 x 10 in a stock mat of 11 x 14, a lap of 1/4: window 7 1/2 x 9 1/2, borders 1 3/4 and 2 1/4.
    let (windows, package) = mats(
        "art-width = 8\nart-height = 10\noverlap = \"1/4\"\npackage-width = 11\npackage-height = 14\n",
    );
    let borders = ["2 1/4", "1 3/4", "2 1/4", "1 3/4"].map(inches);
    assert_eq!(windows, [(inches("7 1/2"), inches("9 1/2"), borders)]);
    assert_eq!(package, (inches("11"), inches("14")));
    // Derived: a lap of 1/8 on art 10 x 8 in 14 x 11: window 9 3/4 x 7 3/4, borders 2 1/8 and 1 5/8.
    let (windows, _) = mats(
        "art-width = 10\nart-height = 8\noverlap = \"1/8\"\npackage-width = 14\npackage-height = 11\n",
    );
    let borders = ["1 5/8", "2 1/8", "1 5/8", "2 1/8"].map(inches);
    assert_eq!(windows, [(inches("9 3/4"), inches("7 3/4"), borders)]);
    // Bottom weighted 3 : 4, US Navy NAVEDTRA 14066, p. 2-32: opening 7 3/4 x 9 3/4, top and sides 3, bottom 4 make a mat of
    // 13 3/4 x 16 3/4.
    let (windows, package) =
        mats("art-width = 8\nart-height = 10\noverlap = \"1/8\"\nmat-border = 3\nmat-bottom = 4\n");
    assert_eq!(
        (&windows[0].0, &windows[0].1),
        (&inches("7 3/4"), &inches("9 3/4"))
    );
    assert_eq!(package, (inches("13 3/4"), inches("16 3/4")));
    // Derived: a second mat with a reveal of 1/4 opens to 8 1/4 x 10 1/4, and its side is 3 7/8 of 4 1/8.
    let (windows, _) = mats(
        "art-width = 8\nart-height = 10\noverlap = \"1/8\"\nmat-border = \"4 1/8\"\nmat-layers = 2\nreveal = \"1/4\"\n",
    );
    assert_eq!(
        (&windows[1].0, &windows[1].1),
        (&inches("8 1/4"), &inches("10 1/4"))
    );
    assert_eq!(windows[1].2[3], inches("3 7/8"));
}

#[test]
fn two_sticks_of_four_feet_do_for_a_frame_whose_sides_leave_three_kerfs() {
    // Derived: 438 and 540 mm twice each from sticks of 1500 with a kerf of 4.5 along the strip: 438 + 540 a stick, while
    // 540 + 540 + 438 = 1518 fits none.
    let text = "unit = \"mm\"\n[saw]\nkerf = \"4.5 mm\"\nend-trim = 0\n\
                [[pieces]]\npiece = \"short\"\nlength = 438\nquantity = 2\n[[pieces]]\npiece = \"long\"\nlength = 540\nquantity = 2\n\
                [[boards]]\nboard = \"stick\"\nlength = 1500\n";
    let plan = jobs::planned(&load_text(text)).plan;
    assert_eq!((plan.boards.len(), plan.verdict), (2, Verdict::Optimal));
    // Derived: long points 20 1/16 and 24 1/16 from sticks of 4 ft, kerf 1/8: 24 1/16 twice is 48 1/8, more than a stick, so
    // each stick carries one of each.
    let frame = "art-width = \"17 9/16\"\nart-height = \"21 9/16\"\n";
    let text = format!(
        "[saw]\nkerf = \"1/8\"\nend-trim = 0\n[shop]\nfit-allowance = 0\n[[mouldings]]\nname = \"cap\"\nface-width = \"1 1/2\"\n\
         lip = \"1/4\"\n[[frames]]\nframe = \"f\"\n{frame}[[boards]]\nboard = \"stick\"\nlength = 48\n"
    );
    let plan = jobs::planned(&load_text(text)).plan;
    assert_eq!((plan.boards.len(), plan.verdict), (2, Verdict::Optimal));
    let cuts = plan.boards.iter().map(|board| {
        let lengths = board.cuts().map(|cut| (cut.to - cut.from).nm() / 1_587_500);
        lengths.collect::<Vec<_>>()
    });
    assert!(cuts.into_iter().all(|lengths| lengths == [385, 321]));
}

//! Lowering and raising together, names, and the rule of thumb.

use super::*;
use crate::audit::check;
use crate::cutting::{End, Instance};
use crate::frame::{Borders, Frame, Holding, Mat, Milled, Moulding, Mount, Outline};
use crate::job::{Ends, Job, Piece};
use crate::length::Length;
use crate::money::Money;
use crate::plan::{Measure, Part, Plan, Verdict, part_label, part_side};
use crate::samples::{
    board, empty_job, first_fit, frame, in64, inches, mat, millimeters, mixed_job, moulding, piece,
    priced, rectangle, sheet,
};
use crate::stock::{Board, Price};
use crate::tally::rule_of_thumb::{RoughEstimate, nested_length, rule_of_thumb};
use crate::tally::{Caution, cautions};
use proptest::prelude::*;

fn planned(job: &Job) -> Plan {
    let (instance, origins) = lower(job);
    raise(job, &origins, &first_fit(&instance))
}

/// Whether some strip of `instance` holds these counts of items.
fn fits(instance: &Instance, counts: &[(usize, i64)]) -> bool {
    let size: i64 = counts
        .iter()
        .map(|&(item, count)| instance.items[item].size * count)
        .sum();
    instance.strips.iter().any(|strip| {
        size <= strip.capacity && counts.iter().all(|(item, _)| strip.items.contains(item))
    })
}

/// What the cuts of each board are called, with the label of the board's offcut left out.
fn labels(plan: &Plan) -> Vec<Vec<String>> {
    let job = &plan.job;
    plan.boards
        .iter()
        .map(|board| board.cuts().map(|cut| part_label(job, cut.part)).collect())
        .collect()
}

#[test]
fn two_four_foot_sticks_take_a_long_and_a_short_rail_each() {
    // Derived: long points 20-1/16 and 24-1/16, kerf 1/8, sticks of 48 in untrimmed: 24-1/16 + 20-1/16 + K fits,
    // 2 * 24-1/16 = 48-1/8 never does.
    let mut job = empty_job();
    job.shop.end_trim = Length::ZERO;
    job.pieces = vec![
        piece("short", inches(20) + in64(4), 2, Ends::Miter),
        piece("long", inches(24) + in64(4), 2, Ends::Miter),
    ];
    job.boards = vec![board("stick", Length::FOOT * 4, None)];
    let (instance, origins) = lower(&job);
    assert_eq!(origins.items[0].length, inches(24) + in64(4));
    assert!(fits(&instance, &[(0, 1), (1, 1)]));
    assert!(!fits(&instance, &[(0, 2)]));
    let plan = planned(&job);
    assert_eq!(
        labels(&plan),
        [["long #1", "short #1"], ["long #2", "short #2"]]
    );
    assert_eq!(check(&plan), []);
}

#[test]
fn sticks_of_1500_mm_take_438_and_540_but_not_540_twice_and_438() {
    // Derived: kerf 4.5 mm along the strip: 438 + 540 + 438 + 540 = 1956 needs two sticks; 438 + 540 fits each;
    // 540 + 540 + 438 = 1518 does not fit.
    let mut job = empty_job();
    job.shop.end_trim = Length::ZERO;
    job.shop.kerf = Length::from_nm(4_500_000);
    job.pieces = vec![
        piece("438", millimeters(438), 2, Ends::Square),
        piece("540", millimeters(540), 2, Ends::Square),
    ];
    job.boards = vec![board("stick", millimeters(1_500), None)];
    let (instance, _) = lower(&job);
    assert!(fits(&instance, &[(0, 1), (1, 1)]));
    assert!(!fits(&instance, &[(0, 2), (1, 1)]));
    assert!(!fits(&instance, &[(0, 2), (1, 2)]));
    assert_eq!(planned(&job).boards.len(), 2);
}

#[test]
fn a_run_that_fills_the_board_exactly_needs_no_kerf_behind_it() {
    // Derived: 3 * 10 in and 2 kerfs of 1/8 in between them: 30-1/4 in, and not a nanometer less.
    let mut job = empty_job();
    job.shop.end_trim = Length::ZERO;
    job.pieces = vec![piece("slat", inches(10), 3, Ends::Square)];
    job.boards = vec![board("just", inches(30) + in64(16), None)];
    let plan = planned(&job);
    assert_eq!(plan.boards.len(), 1);
    assert_eq!(plan.boards[0].strips[0].offcut, Length::ZERO);
    assert_eq!(check(&plan), []);

    job.boards[0].length -= Length::from_nm(1);
    let (instance, _) = lower(&job);
    assert!(!fits(&instance, &[(0, 3)]));
}

#[test]
fn each_kerf_of_a_section_opens_its_own_kind_of_strip() {
    // A mitered and a square piece on one board: the mitered one first, and the small kerf of the square one behind
    // the run is not needed. Derived: 10 + K + 10 with K = ceil(3175000 sqrt 2) = 4490129 nm.
    let mut job = empty_job();
    job.shop.end_trim = Length::ZERO;
    job.pieces = vec![
        piece("square", inches(10), 2, Ends::Square),
        piece("miter", inches(10), 2, Ends::Miter),
    ];
    let miter_kerf = Length::from_nm(4_490_129);
    job.boards = vec![board("just", inches(20) + miter_kerf, None)];
    let (instance, origins) = lower(&job);
    let kerfs: Vec<Length> = origins.items.iter().map(|item| item.kerf_along).collect();
    assert_eq!(kerfs, [miter_kerf, in64(8)]);
    let capacities: Vec<(i64, &[usize])> = instance
        .strips
        .iter()
        .map(|strip| (strip.capacity, strip.items.as_slice()))
        .collect();
    let usable = job.boards[0].length;
    assert_eq!(
        capacities,
        [
            ((usable + miter_kerf).nm(), [0].as_slice()),
            ((usable + in64(8)).nm(), [0, 1].as_slice()),
        ]
    );
    assert!(fits(&instance, &[(0, 2)]));
    assert!(fits(&instance, &[(0, 1), (1, 1)]));
    assert_eq!(check(&planned(&job)), []);
}

#[test]
fn equal_parts_of_one_section_are_one_item() {
    let mut job = mixed_job();
    job.frames[1] = job.frames[0].clone();
    "Dunes again".clone_into(&mut job.frames[1].name);
    job.frames[1].quantity = 1;
    let (instance, origins) = lower(&job);
    // Walnut: 3 Dunes with two long and two short rails each, and the liners. The other sections follow: oak tray,
    // hexagon; plain wood of no name, then pine.
    let demands: Vec<u32> = instance.items.iter().map(|item| item.demand).collect();
    assert_eq!(demands, [6, 6, 3, 2, 2, 6, 5, 2]);
    assert_eq!(origins.items[0].parts.len(), 6);
    assert_eq!(origins.items[7].moulding_idx, None);
}

#[test]
fn woods_spelt_alike_but_for_case_are_one_section() {
    let mut job = empty_job();
    let slat = |name, material: &str| Piece {
        material: Some(material.to_owned()),
        ..piece(name, inches(10), 1, Ends::Square)
    };
    job.pieces = vec![slat("one", "Pine "), slat("other", "pine")];
    job.boards = vec![board("stick", inches(48), Some("PINE"))];
    assert_eq!(lower(&job).0.items.len(), 1);
    assert_eq!(check(&planned(&job)), []);
}

#[test]
fn boards_that_suit_nothing_or_are_used_up_are_left_out() {
    let mut job = empty_job();
    job.mouldings = vec![moulding("cap", inches(2), Some("walnut"))];
    job.frames = vec![frame("Dunes", 1, rectangle(16, 20), 0)];
    let mut narrow = board("narrow", Length::FOOT * 8, Some("walnut"));
    narrow.width = Some(inches(1));
    let mut none_left = board("none left", Length::FOOT * 8, Some("walnut"));
    none_left.quantity = Some(0);
    job.boards = vec![
        board("oak", Length::FOOT * 8, Some("oak")),
        narrow,
        none_left,
        board("stub", inches(1), Some("walnut")),
        board("short", inches(12), Some("walnut")),
        board("good", Length::FOOT * 8, Some("Walnut")),
    ];
    let (instance, origins) = lower(&job);
    assert_eq!(origins.board_indices, [5]);
    assert_eq!(instance.stocks[0].cost, (Length::FOOT * 8).nm());
    assert_eq!(origins.measure, Measure::BoardLength);
}

#[test]
fn a_board_in_full_supply_is_one_stock_for_each_section_and_a_scarce_one_a_single_stock() {
    let mut job = empty_job();
    job.mouldings = vec![
        moulding("cap", inches(2), None),
        moulding("cove", inches(1), None),
    ];
    job.frames = vec![
        frame("Dunes", 1, rectangle(16, 20), 0),
        frame("Harbour", 1, rectangle(8, 10), 1),
    ];
    job.boards = vec![board("stick", Length::FOOT * 8, None)];
    let stocks = |quantity| {
        let mut job = job.clone();
        job.boards[0].quantity = quantity;
        let (instance, origins) = lower(&job);
        assert!(
            origins
                .board_indices
                .iter()
                .all(|&board_idx| board_idx == 0)
        );
        let stocks: Vec<(Option<u32>, usize)> = instance
            .stocks
            .iter()
            .map(|stock| (stock.supply, stock.layouts.len()))
            .collect();
        stocks
    };
    assert_eq!(stocks(None), [(None, 1), (None, 1)]);
    // Two frames have eight rails, and no plan takes more boards than that.
    assert_eq!(stocks(Some(8)), [(None, 1), (None, 1)]);
    assert_eq!(stocks(Some(7)), [(Some(7), 2)]);
}

#[test]
fn a_board_that_suits_two_woods_makes_kin_of_their_boards() {
    let mut job = empty_job();
    let bar = |wood: &str| Piece {
        material: Some(wood.to_owned()),
        ..piece(wood, inches(30), 1, Ends::Square)
    };
    job.pieces = vec![bar("oak"), bar("ash")];
    job.boards = vec![
        board("oak 5", inches(60), Some("oak")),
        board("ash 5", inches(60), Some("ash")),
    ];
    let n_boards = |job: &Job| -> Vec<usize> {
        let kin = Lowered::new(job).kin();
        kin.iter().map(|kin| kin.0.len()).collect()
    };
    assert_eq!(n_boards(&job), [1, 1]);
    job.boards.push(board("any 5", inches(60), None));
    assert_eq!(n_boards(&job), [3]);
}

#[test]
fn an_unpriced_board_among_priced_ones_costs_nothing() {
    let mut job = empty_job();
    job.pieces = vec![piece("slat", inches(10), 1, Ends::Square)];
    job.boards = vec![
        board("rack", Length::FOOT, None),
        priced(board("yard", Length::FOOT * 8, None), 700),
    ];
    let (instance, origins) = lower(&job);
    let costs: Vec<i64> = instance.stocks.iter().map(|stock| stock.cost).collect();
    assert_eq!((costs, origins.measure), (vec![0, 700], Measure::Price));
}

#[test]
fn equal_patterns_stand_side_by_side_and_frames_are_dealt_in_order() {
    let mut job = empty_job();
    job.mouldings = vec![moulding("cap", inches(2), None)];
    job.frames = vec![
        frame("Dunes", 2, rectangle(16, 20), 0),
        frame("Harbour", 1, rectangle(8, 10), 0),
    ];
    job.boards = vec![board("stick", Length::FOOT * 8, None)];
    let plan = planned(&job);
    assert_eq!(
        labels(&plan),
        [
            vec![
                "Dunes #1 right",
                "Dunes #1 left",
                "Dunes #2 right",
                "Dunes #1 top"
            ],
            vec![
                "Dunes #2 left",
                // Derived: 8 + 1/8 + 2 * 1-3/4 = 11-5/8 in, too short to hold, so it is not the last.
                "Harbour top",
                "Dunes #1 bottom",
                "Dunes #2 top",
                "Dunes #2 bottom"
            ],
            vec!["Harbour bottom", "Harbour right", "Harbour left"],
        ]
    );
    let numbers: Vec<(u32, u32)> = plan
        .boards
        .iter()
        .map(|board| (board.number, board.pattern))
        .collect();
    assert_eq!(numbers, [(1, 1), (2, 2), (3, 3)]);
}

#[test]
fn uses_of_the_same_pattern_are_gathered() {
    let mut job = empty_job();
    job.pieces = vec![
        piece("long", inches(60), 3, Ends::Square),
        piece("short", inches(50), 1, Ends::Square),
    ];
    job.boards = vec![board("stick", inches(72), None)];
    let (instance, origins) = lower(&job);
    let mut solution = first_fit(&instance);
    // The short one in between, as a solver might leave it.
    solution.boards.swap(1, 3);
    let plan = raise(&job, &origins, &solution);
    let patterns: Vec<u32> = plan.boards.iter().map(|board| board.pattern).collect();
    assert_eq!(patterns, [1, 1, 1, 2]);
    assert_eq!(check(&plan), []);
}

#[test]
fn what_the_supply_cannot_give_is_missing_by_name() {
    let mut job = empty_job();
    job.pieces = vec![piece("slat", inches(40), 4, Ends::Square)];
    let mut stick = board("stick", inches(48), None);
    stick.quantity = Some(3);
    job.boards = vec![stick];
    let plan = planned(&job);
    let missing: Vec<String> = plan
        .missing
        .iter()
        .map(|&part| part_label(&job, part))
        .collect();
    assert_eq!(missing, ["slat #4"]);
    assert_eq!(check(&plan), []);

    // A bound on plans that miss nothing says nothing of plans that miss a part, so none is claimed.
    let (instance, origins) = lower(&job);
    let mut solution = first_fit(&instance);
    solution.bound.cost = solution.cost + 1;
    let plan = raise(&job, &origins, &solution);
    assert_eq!((plan.lower_bound, plan.missing_lower_bound), (0, 0));
    solution.bound.missing_pieces = 1;
    solution.bound.cost = solution.cost;
    solution.end = End::Proved;
    let plan = raise(&job, &origins, &solution);
    assert_eq!(plan.lower_bound, plan.value);
    assert_eq!(plan.verdict, Verdict::Optimal);
    assert_eq!(check(&plan), []);
}

#[test]
fn a_mixed_job_gives_a_clean_plan() {
    let job = mixed_job();
    let plan = planned(&job);
    assert_eq!(plan.missing, []);
    assert_eq!(check(&plan), []);
}

#[test]
fn twenty_thousand_rails_give_a_clean_plan() {
    let mut job = empty_job();
    job.mouldings = vec![moulding("cap", inches(2), None)];
    job.frames = (0..100)
        .map(|idx| {
            let art = rectangle(8 + idx % 17, 10 + idx % 23);
            frame(&format!("art {idx}"), 50, art, 0)
        })
        .collect();
    job.boards = vec![
        board("short", Length::FOOT * 8, None),
        board("long", Length::FOOT * 12, None),
    ];
    let plan = planned(&job);
    let n_cuts: usize = plan.boards.iter().map(|board| board.cuts().count()).sum();
    assert_eq!(n_cuts, 20_000);
    assert_eq!(check(&plan), []);
}

#[test]
fn parts_are_named_with_frame_copy_and_side() {
    let job = mixed_job();
    let rail = |frame_idx, copy, side| {
        part_label(
            &job,
            Part::Rail {
                frame_idx,
                copy,
                side,
            },
        )
    };
    assert_eq!(rail(0, 2, 0), "Dunes #2 top");
    assert_eq!(rail(1, 1, 3), "Harbour left");
    assert_eq!(rail(3, 1, 5), "Mirror side 6");
    let spacer = Part::Loose {
        piece_idx: 2,
        copy: 4,
    };
    assert_eq!(part_label(&job, spacer), "spacer #4");
    assert_eq!(part_side(&job, spacer), None);
}

#[test]
fn the_rule_of_thumb_counts_full_faces_and_two_inches() {
    // Common practice, no source: art 13 x 19, face 3: 2 * 19 + 2 * 25 = 88, and 2 in spare: 90 in.
    let mut job = empty_job();
    job.mouldings = vec![
        moulding("unused", inches(1), None),
        moulding("cap", inches(3), None),
    ];
    job.frames = vec![frame("Dunes", 1, rectangle(13, 19), 1)];
    let rough = |n_frames, length| {
        [RoughEstimate {
            moulding_idx: 1,
            n_frames,
            length,
        }]
    };
    assert_eq!(rule_of_thumb(&job), rough(1, inches(90)));
    job.frames[0].quantity = 3;
    assert_eq!(rule_of_thumb(&job), rough(3, inches(270)));
    // Beside it stands what the plan takes. Derived: rails of 13 + 1/8 + 5-1/2 = 18-5/8 and 24-5/8, three frames'
    // sum 259.5 in; an 8 ft board holds 95 in, so at least three; first fit needs three.
    job.boards = vec![board("stick", Length::FOOT * 8, None)];
    let plan = planned(&job);
    assert_eq!(nested_length(&plan, Some(1)), Length::FOOT * 24);
    assert_eq!(nested_length(&plan, None), Length::ZERO);
}

fn any_material() -> impl Strategy<Value = Option<String>> {
    prop::option::of(prop::sample::select(vec![
        "oak".to_owned(),
        " Oak".to_owned(),
        "walnut".to_owned(),
    ]))
}

fn any_length(range: std::ops::Range<i64>) -> impl Strategy<Value = Length> {
    (range, 0_i64..64).prop_map(|(whole, part)| inches(whole) + in64(part))
}

fn any_moulding() -> impl Strategy<Value = Moulding> {
    (any_length(1..3), 0_i64..20, any_material(), any::<bool>()).prop_map(
        |(face_width, lip, material, after)| Moulding {
            lip: in64(lip),
            material,
            milled: if after {
                Milled::AfterCutting
            } else {
                Milled::BeforeCutting
            },
            ..moulding("moulding", face_width, None)
        },
    )
}

fn any_frame(n_mouldings: usize) -> impl Strategy<Value = Frame> {
    let outline = prop_oneof![
        3 => (any_length(4..30), any_length(4..30))
            .prop_map(|(width, height)| Outline::Rectangle { width, height }),
        1 => (3_u32..13, any_length(4..20))
            .prop_map(|(sides, side)| Outline::of_side(sides, side)),
        1 => (3_u32..13, any_length(4..40))
            .prop_map(|(sides, flats)| Outline::of_flats(sides, flats)),
    ];
    let mat = (prop::array::uniform4(1_i64..200), any::<bool>(), 1_u32..4).prop_map(
        |(borders, float, layers)| {
            let borders = Borders {
                top: in64(borders[0]),
                right: in64(borders[1]),
                bottom: in64(borders[2]),
                left: in64(borders[3]),
            };
            let laps = mat(borders);
            Mat {
                mount: if float { Mount::Float } else { laps.mount },
                layers,
                ..laps
            }
        },
    );
    let holding = prop_oneof![
        3 => Just(Holding::Rabbet),
        1 => (0_i64..40).prop_map(|gap| Holding::Tray { gap: in64(gap) }),
    ];
    (
        1_u32..5,
        outline,
        prop::option::of(mat),
        holding,
        0..n_mouldings,
    )
        .prop_map(|(quantity, art, mat, holding, moulding_idx)| {
            let polygon = matches!(art, Outline::Regular { .. });
            let rabbet = holding == Holding::Rabbet;
            Frame {
                mat: mat.filter(|_| rabbet && !polygon),
                holding,
                glazing: Some(sheet("glass", in64(6))),
                ..frame("frame", quantity, art, moulding_idx)
            }
        })
}

fn any_piece(n_mouldings: usize) -> impl Strategy<Value = Piece> {
    (
        any_length(1..40),
        1_u32..6,
        any::<bool>(),
        prop::option::of(0..n_mouldings),
        any_material(),
        prop::option::of(any_length(1..3)),
    )
        .prop_map(
            |(length, quantity, square, moulding_idx, material, width)| {
                let ends = if square { Ends::Square } else { Ends::Miter };
                let plain = moulding_idx.is_none();
                Piece {
                    moulding_idx,
                    material: material.filter(|_| plain),
                    width: width.filter(|_| plain),
                    ..piece("piece", length, quantity, ends)
                }
            },
        )
}

fn any_board() -> impl Strategy<Value = Board> {
    let price = prop_oneof![
        (0_i64..5_000).prop_map(|minor| Price::Each(Money::from_minor(minor))),
        (0_i64..500).prop_map(|minor| Price::PerLength {
            money: Money::from_minor(minor),
            per: Length::FOOT,
        }),
    ];
    (
        any_length(10..130),
        any_material(),
        prop::option::of(any_length(1..5)),
        prop::option::of(0_u32..4),
        prop::option::of(price),
    )
        .prop_map(|(length, material, width, quantity, price)| Board {
            material,
            width,
            quantity,
            price,
            ..board("board", length, None)
        })
}

fn any_job() -> impl Strategy<Value = Job> {
    let shop = (
        prop::sample::select(vec![0_i64, 2_400_000, 3_175_000, 3_200_000]),
        prop::sample::select(vec![0_i64, 32, 64]),
    );
    let lists = prop::collection::vec(any_moulding(), 1..4).prop_flat_map(|mouldings| {
        let n = mouldings.len();
        (
            Just(mouldings),
            prop::collection::vec(any_frame(n), 0..6),
            prop::collection::vec(any_piece(n), 0..6),
        )
    });
    (shop, lists, prop::collection::vec(any_board(), 1..6)).prop_map(
        |((kerf, trim), (mouldings, frames, pieces), boards)| {
            let mut job = empty_job();
            job.shop.kerf = Length::from_nm(kerf);
            job.shop.end_trim = in64(trim);
            job.mouldings = mouldings;
            job.frames = frames;
            job.pieces = pieces;
            job.boards = boards;
            job
        },
    )
}

#[test]
fn a_square_piece_is_no_mitered_one_where_no_kerf_tells_them_apart() {
    let mut job = empty_job();
    job.shop.kerf = Length::ZERO;
    job.mouldings = vec![moulding("cap", inches(1), None)];
    job.mouldings[0].milled = Milled::AfterCutting;
    let of_cap = |name, ends| Piece {
        moulding_idx: Some(0),
        ..piece(name, inches(20), 1, ends)
    };
    job.pieces = vec![
        of_cap("mitered", Ends::Miter),
        of_cap("square", Ends::Square),
    ];
    job.boards = vec![board("b", inches(24), None)];
    let plan = planned(&job);
    assert_eq!(check(&plan), []);
    let patterns: Vec<u32> = plan.boards.iter().map(|board| board.pattern).collect();
    assert_eq!(patterns, [1, 2]);
}

proptest! {
    #![proptest_config(cases!())]

    #[test]
    fn every_random_job_gives_a_clean_plan(job in any_job()) {
        let plan = planned(&job);
        prop_assert_eq!(check( &plan), []);
        // Cautions and names are made of any sound plan without a panic.
        prop_assert_eq!(cautions( &plan).last().copied(), Some(Caution::Deferral));
        labels( &plan);
    }

    #[test]
    fn the_order_of_frames_and_pieces_changes_no_size_nor_demand(job in any_job()) {
        let mut turned = job.clone();
        turned.frames.reverse();
        turned.pieces.reverse();
        prop_assert_eq!(lower(&job).0, lower(&turned).0);
    }
}

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::*;
use crate::job::{Ends, Job};
use crate::plan::{PlannedBoard, part_label};
use crate::report::samples::{job, lay, loose, plan, plan_of, rail, ripped};
use crate::samples::{in16, inches, piece};
use crate::stock::{Across, Defect};

/// A setting on one line: `314/16 at A 1 2`, with the number of pairs.
fn told(setting: &Setting) -> String {
    let sticks = setting.sticks.iter().map(|stick| {
        let cuts = stick.cuts.iter().map(|cut| format!(" {}", cut.label.cut));
        let run = stick.run.map_or(String::new(), |run| format!("/{run}"));
        format!("{}{run}{}", stick.mark, cuts.collect::<String>())
    });
    let sticks: Vec<String> = sticks.collect();
    let sixteenths = setting.stop.nm() * 16 / inches(1).nm();
    format!("{sixteenths}: {}; {}", sticks.join(", "), setting.n_pairs)
}

fn settings(order: &SawOrder) -> Vec<String> {
    order.settings().map(told).collect()
}

fn defect(from: i64, to: i64) -> Defect {
    Defect {
        from: inches(from),
        to: inches(to),
        across: Across::Full,
    }
}

#[test]
fn one_setting_serves_all_rails_of_a_length() {
    let job = job();
    let plan = plan(&job);
    let order = saw_order(&plan);
    // By hand: A and B hold the pair of frames, C the hexagon, D the tray, E and F the pieces. The sides of the hexagon are
    // its package of 5 in and 1/8 and 2 (1-3/4) tan 30 more: 5 + 3.625 * 0.57735 = 7.0929 in, 113.5 sixteenths.
    assert_eq!(
        settings(&order),
        [
            "378: A 1 2, B 1 2; 2",
            "314: A 3 4, B 3 4; 2",
            "113: C 1 2 3 4 5 6; 3",
            "224: D 1 2; 1",
            "176: D 3 4; 1",
            "229: E 1; 0",
            "160: E 2 3 4, F 1 2; 0",
        ]
    );
    let batches = order.batches.iter();
    let batches: Vec<_> = batches
        .map(|batch| {
            (
                batch.moulding_idx,
                batch.miter.sides(),
                batch.settings.len(),
            )
        })
        .collect();
    assert_eq!(
        batches,
        [
            (Some(0), Some(4), 2),
            (Some(0), Some(6), 1),
            (Some(1), Some(4), 2),
            (None, Some(4), 1),
            (None, None, 1),
        ]
    );
    // Board by board: two on each of A and B, one on C, two on D, two on E, and F goes on with what E ended with.
    assert_eq!((order.n_by_stop, order.n_board_by_board), (7, 9));
    assert_eq!(
        (order.n_picked_up, order.n_sticks, order.n_boards),
        (10, 6, 6)
    );
    assert!(order.is_fewest && order.parted.is_empty());
}

#[test]
fn strips_of_a_ripped_board_are_sticks_of_their_own() {
    let (_, plan) = ripped();
    let order = saw_order(&plan);
    assert_eq!(
        settings(&order),
        ["640: A1 1 2; 0", "480: A2 1 2 3, A3 1; 0"]
    );
    assert_eq!(
        (order.n_picked_up, order.n_sticks, order.n_boards),
        (3, 3, 1)
    );
    // Its strips follow each other with the same stop.
    assert_eq!(order.n_board_by_board, 2);
}

#[test]
fn rows_of_the_grain_are_cut_in_their_order() {
    let job = job();
    // The frames' sides round: top, right, bottom, left; those of both frames together.
    let row = |copy| [0, 1, 2, 3].map(|side| rail(0, copy, side));
    let boards = vec![lay(&job, 0, 1, 1, &row(1)), lay(&job, 0, 2, 1, &row(2))];
    let plan = plan_of(&job, boards, Vec::new());
    let order = saw_order(&plan);
    assert_eq!(
        settings(&order),
        [
            "314: A 1, B 1; 0",
            "378: A 2, B 2; 0",
            "314: A 3, B 3; 0",
            "378: A 4, B 4; 0"
        ]
    );
    assert_eq!((order.n_by_stop, order.n_board_by_board), (4, 8));
    assert!(order.is_fewest);
}

#[test]
fn a_rail_waits_for_the_opposite_one_where_its_strip_allows_it() {
    let job = job();
    let boards = vec![
        lay(&job, 0, 1, 1, &[rail(0, 1, 0)]),
        lay(
            &job,
            0,
            2,
            2,
            &[rail(0, 2, 0), rail(0, 1, 1), rail(0, 1, 2)],
        ),
    ];
    let order = saw_order(&plan_of(&job, boards, Vec::new()));
    assert_eq!(
        settings(&order),
        ["314: B 1; 0", "378: B 2; 0", "314: A 1, B 3; 1"]
    );
}

/// A board with a piece of 10 in, a defect at 11 in, and one of 20 in behind it.
fn with_a_knot() -> (Job, PlannedBoard) {
    let mut job = job();
    job.pieces = vec![
        piece("long", inches(20), 9, Ends::Square),
        piece("short", inches(10), 9, Ends::Square),
    ];
    job.boards[0].defects = vec![defect(11, 12)];
    let mut board = lay(&job, 0, 1, 1, &[loose(1, 1), loose(0, 1)]);
    let cut = &mut board.strips[0].cuts[1];
    (cut.from, cut.to) = (inches(12), inches(32));
    (job, board)
}

#[test]
fn a_board_is_cut_at_a_defect_first_only_where_that_spares_a_setting() {
    let (job, board) = with_a_knot();
    // Alone, short and long take two settings in any case.
    let order = saw_order(&plan_of(&job, vec![board.clone()], Vec::new()));
    assert_eq!(settings(&order), ["160: A 1; 0", "320: A 2; 0"]);
    assert!(order.parted.is_empty() && order.is_fewest);
    // Beside a strip with the long one first there would be three.
    let other = lay(&job, 1, 1, 2, &[loose(0, 2), loose(1, 2)]);
    let plan = plan_of(&job, vec![board, other], Vec::new());
    let order = saw_order(&plan);
    assert_eq!(
        settings(&order),
        ["320: A/1 2, B 1; 0", "160: A/0 1, B 2; 0"]
    );
    let [parted] = &order.parted[..] else {
        unreachable!("one board is parted")
    };
    assert_eq!((parted.board, parted.strip), (0, 0));
    assert_eq!(parted.at, [(inches(11), inches(12))]);
    assert_eq!(
        (order.n_sticks, order.n_picked_up, order.n_boards),
        (3, 4, 2)
    );
    assert_eq!(order.by_board.len(), 4);
}

#[test]
fn nothing_is_cut_through_where_another_sheet_has_its_cuts() {
    let (mut job, board) = with_a_knot();
    job.boards[0].defects[0].across = Across::Gone;
    let other = lay(&job, 1, 1, 2, &[loose(0, 2), loose(1, 2)]);
    let order = saw_order(&plan_of(&job, vec![board, other], Vec::new()));
    assert!(order.parted.is_empty());
    assert_eq!(order.n_by_stop, 3);
}

#[test]
fn what_prints_alike_is_cut_with_one_setting() {
    let mut job = job();
    job.pieces = vec![
        piece("long", inches(20) + Length::from_nm(1), 1, Ends::Square),
        piece(
            "hair longer",
            inches(20) + Length::from_nm(2),
            1,
            Ends::Square,
        ),
        piece("even", inches(20), 1, Ends::Square),
    ];
    let parts = [loose(1, 1), loose(0, 1), loose(2, 1)];
    let plan = plan_of(&job, vec![lay(&job, 0, 1, 1, &parts)], Vec::new());
    let order = saw_order(&plan);
    assert_eq!((order.n_by_stop, order.n_board_by_board), (2, 2));
    let stops: Vec<i64> = order.settings().map(|setting| setting.stop.nm()).collect();
    assert_eq!(stops, [508_000_002, 508_000_000]);
}

#[test]
fn numbers_of_an_earlier_sheet_go_on() {
    let mut job = job();
    job.boards[0].given.mark = Some(6);
    job.boards[0].given.marks = 7;
    job.boards[0].given.cuts = 3;
    let plan = plan_of(&job, vec![lay(&job, 0, 1, 1, &[rail(0, 1, 0)])], Vec::new());
    let order = saw_order(&plan);
    assert_eq!(order.by_board[0].label.to_string(), "G-4");
    assert_eq!(
        part_label(&job, order.by_board[0].part),
        "Harbor at dawn #1 top"
    );
}

#[test]
fn the_figure_at_the_stop_follows_what_the_shop_measures() {
    let mut job = job();
    job.shop.stop = StopAt::ShortPoint;
    let boards = vec![lay(&job, 0, 1, 1, &[rail(0, 1, 0), loose(0, 1)])];
    let order = saw_order(&plan_of(&job, boards, Vec::new()));
    let stops: Vec<_> = order
        .settings()
        .map(|setting| (setting.at, setting.stop))
        .collect();
    // 19-5/8 less twice the face of 2 in; the square spacer is as long everywhere.
    let wanted = [
        (StopAt::ShortPoint, in16(250)),
        (StopAt::LongPoint, inches(10)),
    ];
    assert_eq!(stops, wanted);
}

proptest! {
    #![proptest_config(cases!(60))]

    /// Parts laid in any order on boards, some of which have a defect somewhere.
    #[test]
    fn both_orders_cut_the_same_rails_from_the_same_places(
        strips in prop::collection::vec(
            (prop::collection::vec((0_u8..3, 0_u32..4), 1..5), prop::option::of(1_usize..4)),
            1..6,
        ),
    ) {
        let mut job = job();
        for board in &mut job.boards {
            board.length = inches(200);
        }
        job.boards[1].defects = vec![defect(90, 95)];
        let boards = strips.iter().zip(1..).map(|((parts, knot_at), number)| {
            let parts: Vec<Part> = parts
                .iter()
                .zip(0..)
                .map(|(&(kind, side), at)| match kind {
                    // Unique names: each copy once.
                    0 => rail(0, number * 10 + at, side),
                    1 => rail(2, number * 10 + at, side),
                    _ => loose(usize::from(side > 1), number * 10 + at),
                })
                .collect();
            let mut board = lay(&job, usize::from(knot_at.is_some()), number, number, &parts);
            if let Some(knot_at) = knot_at {
                // What lies behind it begins behind the defect.
                let cuts = board.strips[0].cuts.iter_mut().skip(*knot_at);
                for cut in cuts {
                    (cut.from, cut.to) = (cut.from + inches(95), cut.to + inches(95));
                }
            }
            board
        });
        let boards: Vec<PlannedBoard> = boards.collect();
        let plan = plan_of(&job, boards, Vec::new());
        let order = saw_order(&plan);
        let all: Vec<CutRef> = order.by_board.clone();
        let mut by_stop: Vec<CutRef> = order.by_stop().copied().collect();
        prop_assert_eq!(by_stop.len(), plan.boards.iter().flat_map(PlannedBoard::cuts).count());
        // What is one stick is cut from its near end on.
        let mut places = BTreeSet::new();
        for stick in order.settings().flat_map(|setting| &setting.sticks) {
            for cut in &stick.cuts {
                let later = (cut.board, cut.strip, stick.run, cut.cut + 1)..=(cut.board, cut.strip, stick.run, usize::MAX);
                prop_assert!(places.range(later).next().is_none());
                prop_assert!(places.insert((cut.board, cut.strip, stick.run, cut.cut)));
                prop_assert_eq!(cut.of(&plan).part, cut.part);
            }
        }
        by_stop.sort();
        prop_assert_eq!(by_stop, all);
        for setting in order.settings() {
            for cut in setting.cuts() {
                let figure = cut.stop(&plan);
                let step = job.display.step;
                let up = |length: Length| length.rounded(step, crate::length::Rounding::Up);
                prop_assert_eq!((figure.at, up(figure.length)), (setting.at, up(setting.stop)));
            }
        }
        prop_assert!(order.is_fewest);
        prop_assert!(order.n_by_stop <= order.n_board_by_board);
        prop_assert_eq!(order.n_by_stop, order.settings().map(|setting| setting.number).max().unwrap_or(0));
    }
}

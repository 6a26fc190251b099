//! Leftovers against trying every plan of the same cost.

use std::sync::Arc;

use proptest::prelude::*;

use super::*;
use crate::audit::check;
use crate::bridge::{Lowered, lower, match_color, raise};
use crate::job::Ends;
use crate::length::Length;
use crate::plan::boards_by_frame;
use crate::plan::{Plan, gaps, is_edge_kept, is_kept};
use crate::samples::{
    board, empty_job, first_fit, frame, inches, moulding, piece, priced, rectangle,
};
use crate::stock::{Across, Board, Defect, Rip};

/// Square pieces of one section without kerf or trims, so that an offcut is what the pieces leave.
fn job(pieces: &[(i64, u32)], boards: Vec<Board>) -> Job {
    let mut job = empty_job();
    job.shop.kerf = Length::ZERO;
    job.shop.end_trim = Length::ZERO;
    job.shop.shortest_offcut = inches(6);
    for (idx, &(length, quantity)) in pieces.iter().enumerate() {
        let name = format!("p{idx}");
        job.pieces
            .push(piece(&name, inches(length), quantity, Ends::Square));
    }
    job.boards = boards;
    job
}

/// A first fit, taken for the cheapest: these tests are about plans of its cost, whatever that is.
fn as_if_proved(instance: &Instance) -> Solution {
    let mut solution = first_fit(instance);
    solution.bound.cost = solution.cost;
    solution
}

/// Board length and kept offcuts of the gathered plan, in inches, offcuts falling.
fn left(job: &Job) -> (i64, Vec<i64>, Gathered) {
    let (instance, origins) = lower(job);
    let (solution, gathered) = gather(job, &instance, &origins, as_if_proved(&instance));
    let plan = raise(job, &origins, &solution);
    assert_eq!(check(&plan), []);
    let whole = |length: Length| length.nm() / Length::INCH.nm();
    let mut offcuts: Vec<i64> = plan
        .boards
        .iter()
        .map(|board| board.strips[0].offcut)
        .filter(|&offcut| offcut >= job.shop.shortest_offcut)
        .map(whole)
        .collect();
    offcuts.sort_unstable_by(|one, other| other.cmp(one));
    let length = plan
        .boards
        .iter()
        .map(|planned| whole(job.boards[planned.board_idx].length))
        .sum();
    (length, offcuts, gathered)
}

#[test]
fn two_short_offcuts_become_one_long_one() {
    // Derived: 30 + 30 and 20 + 20 + 20 fill two boards of 72 to 60 each; 30 + 20 + 20 = 70 and 30 + 20 = 50 leave one
    // piece of 22, and 2 that is scrap, which is worth more than two of 12: 484 against 288.
    let stick = priced(board("stick", inches(72), None), 500);
    let job = job(&[(30, 2), (20, 3)], vec![stick]);
    assert_eq!(left(&job), (144, vec![22], Gathered::Best));
}

#[test]
fn a_board_counts_its_length_and_what_is_kept_of_it() {
    let stick = priced(board("stick", inches(72), None), 500);
    let mut job = job(&[(40, 1), (67, 1)], vec![stick]);
    job.shop.long_offcuts = 40;
    let (instance, origins) = lower(&job);
    let wood = Wood::new(&job, &instance, &origins);
    let inch = i128::from(Length::INCH.nm());
    let score = |length: i64| {
        let sizes = instance.items.iter();
        let mut sizes = sizes.map(|item| item.size);
        let item = sizes.position(|size| size == inches(length).nm());
        wood.score(0, &[(item.unwrap(), 1)])
    };
    // Derived: 60 x 72 x 72, less 40 x 32 x 32 where 32 in are kept; 5 in are not, as 6 are the shortest.
    let whole = 60 * 72 * 72 * inch * inch;
    let kept = 32 * 32 * inch * inch;
    assert_eq!(score(40), [0, whole - 40 * kept, 1, -kept]);
    assert_eq!(score(67), [0, whole, 1, 0]);
    assert_eq!(wood.total(&[]), [0; 4]);
    let loads = one_by_one(&first_fit(&instance).boards);
    assert_eq!(wood.total(&loads), plus(score(40), score(67)));
}

#[test]
fn a_board_of_which_there_is_one_is_not_taken_twice() {
    // Derived: each piece would leave less of a board of 48, and the second has to be cut from one of 72.
    let short = Board {
        quantity: Some(1),
        ..priced(board("short", inches(48), None), 500)
    };
    let long = priced(board("long", inches(72), None), 500);
    let job = job(&[(40, 2)], vec![long, short]);
    assert_eq!(left(&job), (120, vec![32, 8], Gathered::Best));
}

#[test]
fn two_boards_are_repacked_as_well_as_by_trying_all_plans() {
    let stick = priced(board("stick", inches(72), None), 500);
    let job = job(&[(30, 2), (20, 3)], vec![stick]);
    let (instance, origins) = lower(&job);
    let wood = Wood::new(&job, &instance, &origins);
    let loads = one_by_one(&first_fit(&instance).boards);
    for supply in [None, Some(2)] {
        let tried = all::search(&wood, &loads, &[0], &[supply]).unwrap();
        let repacked = exchange::search(&wood, loads.clone(), &[0], &[supply]);
        assert!(wood.total(&tried) < wood.total(&loads));
        assert_eq!(wood.total(&repacked), wood.total(&tried));
    }
}

#[test]
fn what_was_gathered_is_not_found_again_for_other_boards() {
    let stick = priced(board("stick", inches(72), None), 500);
    let job = job(&[(30, 2), (20, 3)], vec![stick]);
    let lowered = Lowered::new(&job);
    let component = lowered.instance.components().swap_remove(0);
    let thrifty = as_if_proved(&component.instance);
    let mut wasteful = thrifty.clone();
    let parts = thrifty.boards.iter().flat_map(|board| {
        let counts = board.patterns[0].counts.iter();
        counts.map(|&(item, count)| BoardUse {
            patterns: vec![Pattern {
                counts: vec![(item, 1)],
            }],
            times: count * board.times,
            ..board.clone()
        })
    });
    wasteful.boards = parts.collect();
    wasteful.cost = 2_500;
    let gatherer = Gatherer::default();
    let n_boards = |solution: &Solution| -> (u32, Gathered) {
        let solved = [(component.clone(), Arc::new(solution.clone()))];
        let (gathered, known) = gatherer.gather(&lowered, &solved);
        let times = gathered.boards.iter().map(|board| board.times);
        (times.sum(), known)
    };
    let (best, worse) = ((2, Gathered::Best), (5, Gathered::Unproved));
    assert_eq!(
        [&thrifty, &wasteful, &thrifty].map(n_boards),
        [best, worse, best]
    );
}

#[test]
fn rails_change_boards_for_color_at_no_cost() {
    // Derived: rails of 24 and 16 in without kerf; first fit lays four of 24, then four of 16. On boards of 100 in each
    // frame's 24 + 24 + 16 + 16 = 80 in have room on one.
    let mut job = job(&[], vec![board("b", inches(100), None)]);
    job.mouldings = vec![moulding("cap", inches(1), None)];
    job.mouldings[0].match_color = true;
    job.mouldings[0].lip = Length::ZERO;
    job.shop.fit_allowance = Length::ZERO;
    job.frames = vec![
        frame("one", 1, rectangle(14, 22), 0),
        frame("two", 1, rectangle(14, 22), 0),
    ];
    let (instance, origins) = lower(&job);
    let start = (first_fit(&instance), Gathered::Best);
    let n_boards = |solution: &Solution| -> Vec<usize> {
        let mut plan = raise(&job, &origins, solution);
        match_color(&mut plan);
        assert_eq!(check(&plan), []);
        let lines = boards_by_frame(&plan);
        lines.iter().map(|line| line.2).collect()
    };
    assert_eq!(n_boards(&start.0), [2, 2]);
    let cost = start.0.cost;
    let (matched, gathered) = gather_color(&job, &instance, &origins, start);
    assert_eq!(n_boards(&matched), [1, 1]);
    assert_eq!((matched.cost, gathered), (cost, Gathered::ForColor));
}

#[test]
fn the_weight_decides_between_less_board_and_a_longer_offcut() {
    // Two boards of one price: the shorter leaves 8 of 48, the longer 32 of 72.
    let boards = vec![
        priced(board("short", inches(48), None), 500),
        priced(board("long", inches(72), None), 500),
    ];
    let mut job = job(&[(40, 1)], boards);
    assert_eq!(left(&job), (48, vec![8], Gathered::Best));
    job.shop.long_offcuts = 100;
    assert_eq!(left(&job), (72, vec![32], Gathered::Best));
    // Derived, with B = 72: 48 * 72 = 3456 and 64 against 72 * 72 = 5184 and 1024. Even at 1728 (100 - w) = 960 w,
    // so w = 64 decides for the shorter board and w = 65 for the longer.
    job.shop.long_offcuts = 64;
    assert_eq!(left(&job).0, 48);
    job.shop.long_offcuts = 65;
    assert_eq!(left(&job).0, 72);
}

/// Boards of 72 in that are as wide as `n_strips` pieces; nothing is lost to ripping.
fn wide_job(pieces: &[(i64, u32)], length: i64, n_strips: i64) -> Job {
    let wide = Board {
        width: Some(inches(n_strips)),
        ..priced(board("wide", inches(length), None), 500)
    };
    let mut job = job(pieces, vec![wide]);
    for piece in &mut job.pieces {
        piece.width = Some(inches(1));
    }
    job.shop.rip = Some(Rip {
        kerf: Length::ZERO,
        straightening: Length::ZERO,
        planing: Length::ZERO,
        plane_off: Length::ZERO,
        ..crate::samples::rip()
    });
    job
}

/// Squares of the longest clear lengths, in inches, of all pieces that a plan leaves to be kept; what is not ripped counts
/// as a strip.
fn squares(plan: &Plan) -> i64 {
    let job = &plan.job;
    let whole = |length: Length| length.nm() / Length::INCH.nm();
    let mut kept = Vec::new();
    for board in &plan.boards {
        for strip in 0..board.strips.len() {
            let clear = gaps(job, board, strip).into_iter().map(|gap| gap.clear);
            kept.extend(clear.filter(|&clear| is_kept(job, clear)));
        }
        let edges = 0..board.stretches[0].beside.len();
        for _ in edges.filter(|&nth| is_edge_kept(job, board, 0, nth)) {
            kept.extend(job.boards[board.board_idx].longest_clear(Length::ZERO));
        }
    }
    kept.into_iter()
        .map(|length| whole(length) * whole(length))
        .sum()
}

/// The squares of a first fit and of what is made of it, at one cost.
fn before_and_after(job: &Job) -> Result<(i64, i64), TestCaseError> {
    let (instance, origins) = lower(job);
    let start = first_fit(&instance);
    let before = squares(&raise(job, &origins, &start));
    let cost = start.cost;
    let (solution, gathered) = gather(job, &instance, &origins, start);
    prop_assert_eq!(gathered, Gathered::Unproved);
    let plan = raise(job, &origins, &solution);
    prop_assert_eq!(check(&plan), []);
    prop_assert_eq!(plan.value, cost);
    Ok((before, squares(&plan)))
}

#[test]
fn two_short_offcuts_of_a_ripped_board_become_one_long_one() {
    // Derived as above, on two strips of one board: 12 and 12 become 22 and 2.
    let job = wide_job(&[(30, 2), (20, 3)], 72, 2);
    assert_eq!(before_and_after(&job).unwrap(), (288, 484));
}

#[test]
fn beside_a_knot_the_long_run_stays_free_where_the_short_one_will_do() {
    // Derived: runs of 40 and 30; first fit lays 24 into the long one and leaves 30 behind 16. In the short one the part
    // leaves 6 behind it, and the long run is free: 40 * 40 + 6 * 6 = 1636 against 30 * 30.
    let mut job = job(&[(24, 1)], vec![priced(board("b", inches(72), None), 500)]);
    job.boards[0].defects = vec![Defect {
        from: inches(40),
        to: inches(42),
        across: Across::Full,
    }];
    assert_eq!(before_and_after(&job).unwrap(), (900, 1636));
}

/// All plans, as boards with their pieces: pieces one by one onto every board opened so far or a new one.
fn try_all(
    pieces: &[i64],
    kinds: &[(i64, i64)],
    open: &mut Vec<(usize, i64)>,
    budget: i64,
    best: &mut Option<(i64, usize, i64)>,
) {
    let Some((&first, rest)) = pieces.split_first() else {
        let cost: i64 = open.iter().map(|&(kind, _)| kinds[kind].1).sum();
        if cost == budget {
            let length = open.iter().map(|&(kind, _)| kinds[kind].0).sum();
            let squares: i64 = open
                .iter()
                .filter(|&&(_, room)| room >= 6)
                .map(|&(_, room)| room * room)
                .sum();
            let found = (length, open.len(), -squares);
            *best = Some(best.map_or(found, |best| best.min(found)));
        }
        return;
    };
    for idx in 0..open.len() {
        if open[idx].1 >= first {
            open[idx].1 -= first;
            try_all(rest, kinds, open, budget, best);
            open[idx].1 += first;
        }
    }
    for (kind, &(length, _)) in kinds.iter().enumerate() {
        if length >= first {
            open.push((kind, length - first));
            try_all(rest, kinds, open, budget, best);
            open.pop();
        }
    }
}

proptest! {
    #![proptest_config(cases!(100))]

    #[test]
    fn of_all_plans_of_the_same_cost_the_best_is_kept(
        pieces in prop::collection::vec(4_i64..30, 1..6),
        kinds in prop::collection::vec((30_i64..60, 1_i64..4), 1..3),
    ) {
        let counted: Vec<(i64, u32)> = pieces.iter().map(|&length| (length, 1)).collect();
        let boards = kinds.iter().enumerate().map(|(idx, &(length, cost))| {
            priced(board(&format!("b{idx}"), inches(length), None), cost)
        });
        let job = job(&counted, boards.collect());
        let (instance, origins) = lower(&job);
        let start = first_fit(&instance);
        let (budget, before) = (start.cost, Wood::new(&job, &instance, &origins));
        let loads = one_by_one(&start.boards);
        let worst = before.total(&loads);
        let (length, offcuts, gathered) = left(&job);
        prop_assert_eq!(gathered, Gathered::Best);
        let mut best = None;
        try_all(&pieces, &kinds, &mut Vec::new(), budget, &mut best);
        let (best_length, _, best_squares) = best.unwrap();
        prop_assert_eq!(length, best_length);
        let squares: i64 = offcuts.iter().map(|offcut| offcut * offcut).sum();
        prop_assert_eq!(-squares, best_squares);

        // Exchanges alone never do worse than what they start from, for the same cost.
        let stocks: Vec<usize> = (0..instance.stocks.len()).collect();
        let supply = vec![None; stocks.len()];
        let exchanged = exchange::search(&before, loads, &stocks, &supply);
        prop_assert!(before.total(&exchanged) <= worst);
        prop_assert_eq!(cost_of(&instance, &exchanged), i128::from(budget));
    }

    #[test]
    fn what_ripped_boards_and_boards_with_defects_leave_is_never_worse_for_it(
        pieces in prop::collection::vec((4_i64..30, 1_u32..3), 2..6),
        length in 30_i64..70,
        knot in prop::option::of((1_i64..28, 1_i64..5)),
        is_ripped in any::<bool>(),
    ) {
        prop_assume!(is_ripped || knot.is_some());
        let mut job = wide_job(&pieces, length, if is_ripped { 2 } else { 1 });
        if let Some((from, long)) = knot {
            // Parts that no run is long enough for would be faults of the job.
            job.pieces.retain(|piece| piece.length <= inches(length - from - long));
            prop_assume!(!job.pieces.is_empty());
            job.boards[0].defects = vec![Defect {
                from: inches(from),
                to: inches(from + long),
                across: Across::Full,
            }];
        }
        let (before, after) = before_and_after(&job)?;
        prop_assert!(after >= before, "{after} < {before}");
    }
}

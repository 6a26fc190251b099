//! Names of equal rails against trying all ways to deal them.

use super::*;
use crate::audit::check;
use crate::bridge::{lower, raise};
use crate::cutting::{BoardUse, Instance, Pattern, Solution};
use crate::frame::Grain;
use crate::plan::boards_by_frame;
use crate::samples::{board, empty_job, first_fit, frame, inches, moulding, rectangle};
use crate::solve::draw::Draw;
use proptest::prelude::*;

/// The fewest boards over all ways to name equal slots, by trying them all.
fn fewest(search: &mut Search<'_>, group: usize, place: usize) -> usize {
    let Some(slots) = search.groups.get(group).cloned() else {
        return search.n_boards();
    };
    if place == slots.len() {
        return fewest(search, group + 1, 0);
    }
    let mut best = usize::MAX;
    for &other in &slots[place..] {
        search.named.swap(slots[place], other);
        best = best.min(fewest(search, group, place + 1));
        search.named.swap(slots[place], other);
    }
    best
}

proptest! {
    #![proptest_config(cases!(60))]

    #[test]
    fn frames_come_from_no_more_boards_than_before_and_no_fewer_than_there_can_be(
        sizes in prop::collection::vec(0_usize..2, 1..4),
        length in 60_i64..120,
    ) {
        let mut job = empty_job();
        job.mouldings = vec![moulding("cap", inches(1), None)];
        job.mouldings[0].match_color = true;
        for (idx, &size) in sizes.iter().enumerate() {
            let art = [rectangle(12, 20), rectangle(12, 12)][size];
            job.frames.push(frame(&format!("f{idx}"), 1, art, 0));
        }
        job.boards = vec![board("b", inches(length), None)];
        let (instance, origins) = lower(&job);
        let before = raise(&job, &origins, &first_fit(&instance));
        let mut after = before.clone();
        match_color( &mut after);
        prop_assert_eq!(check( &after), []);
        let total = |plan: &Plan| -> usize {
            boards_by_frame(plan).iter().map(|line| line.2).sum()
        };
        prop_assert!(total(&after) <= total(&before));
        // Trying all is affordable for few equal slots only.
        let slots = slots( &before);
        let mut search = Search::new(&job, &before, &slots);
        if search.groups.iter().all(|group| group.len() <= 4) {
            prop_assert!(fewest(&mut search, 0, 0) <= total(&after));
        }
    }
}

#[test]
fn two_frames_of_one_size_come_from_a_board_each() {
    // Derived: rails of 14 and 22 in; first fit lays 22 x 4, then 14 x 4. Boards of 4 rails in all: 2 x 22 + 2 x 14 =
    // 72 in and kerfs each.
    let mut job = empty_job();
    job.mouldings = vec![moulding("cap", inches(1), None)];
    job.mouldings[0].match_color = true;
    job.mouldings[0].lip = Length::ZERO;
    job.shop.fit_allowance = Length::ZERO;
    job.frames = vec![
        frame("one", 1, rectangle(12, 20), 0),
        frame("two", 1, rectangle(12, 20), 0),
    ];
    job.boards = vec![board("b", inches(75), None)];
    let (instance, origins) = lower(&job);
    let mut solution = first_fit(&instance);
    let mut both = solution.boards[0].clone();
    both.patterns[0].counts = vec![(0, 2), (1, 2)];
    both.times = 2;
    solution.cost = instance.stocks[0].cost * 2;
    solution.boards = vec![both];
    let mut plan = raise(&job, &origins, &solution);
    // As they might be dealt: the long rails of one frame with the short ones of the other.
    let (left, right) = plan.boards.split_at_mut(1);
    for (one, other) in left[0].strips[0].cuts[..2]
        .iter_mut()
        .zip(&mut right[0].strips[0].cuts)
    {
        std::mem::swap(&mut one.part, &mut other.part);
    }
    assert_eq!(boards_by_frame(&plan), [(0, 1, 2), (1, 1, 2)]);
    match_color(&mut plan);
    assert_eq!(check(&plan), []);
    assert_eq!(boards_by_frame(&plan), [(0, 1, 1), (1, 1, 1)]);
}

#[test]
fn rails_that_nobody_matches_take_the_places_that_are_left() {
    let mut job = empty_job();
    job.mouldings = vec![moulding("cap", inches(1), None)];
    job.frames = vec![
        frame("one", 1, rectangle(12, 20), 0),
        frame("two", 1, rectangle(12, 20), 0),
    ];
    job.frames[0].match_color = Some(true);
    job.boards = vec![board("b", inches(75), None)];
    let (instance, origins) = lower(&job);
    let before = raise(&job, &origins, &first_fit(&instance));
    let mut after = before.clone();
    match_color(&mut after);
    assert_eq!(check(&after), []);
    let of_one = |plan: &Plan| boards_by_frame(plan)[0].2;
    assert!(of_one(&after) <= of_one(&before));
}

/// Boards filled one after the other, each with whatever drawn items still fit: rails of many frames on each.
fn filled(instance: &Instance, draw: &mut Draw) -> Solution {
    let mut left: Vec<u32> = instance.items.iter().map(|item| item.demand).collect();
    let mut boards = Vec::new();
    while left.iter().any(|&count| count > 0) {
        let stock = draw.below(instance.stocks.len());
        let layout = draw.below(instance.stocks[stock].layouts.len());
        let [strip] = instance.stocks[stock].layouts[layout].strips[..] else {
            panic!("a board is one strip here");
        };
        let strip = &instance.strips[strip];
        let mut room = strip.capacity;
        let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
        loop {
            let fit: Vec<usize> = (0..left.len())
                .filter(|item| left[*item] > 0 && strip.items.contains(item))
                .filter(|&item| instance.items[item].size <= room)
                .collect();
            if fit.is_empty() {
                break;
            }
            let item = fit[draw.below(fit.len())];
            room -= instance.items[item].size;
            left[item] -= 1;
            *counts.entry(item).or_default() += 1;
        }
        if !counts.is_empty() {
            boards.push(BoardUse {
                stock,
                layout,
                patterns: vec![Pattern {
                    counts: counts.into_iter().collect(),
                }],
                times: 1,
            });
        }
    }
    let cost = boards
        .iter()
        .map(|board: &BoardUse| instance.stocks[board.stock].cost);
    Solution {
        cost: cost.sum(),
        missing: vec![0; instance.items.len()],
        boards,
        ..first_fit(instance)
    }
}

/// A job as a shop has it: one or two mouldings, `n_frames` frames of some usual sizes, some in chains, on long boards.
fn drawn(draw: &mut Draw, n_frames: usize) -> Job {
    let mut job = empty_job();
    let n_mouldings = 1 + draw.below(2);
    for idx in 0..n_mouldings {
        let mut moulding = moulding(&format!("m{idx}"), inches(1), None);
        moulding.match_color = true;
        if draw.below(4) == 0 {
            moulding.grain = Grain::Opposite;
        }
        job.mouldings.push(moulding);
    }
    let sizes = [
        (8, 10),
        (11, 14),
        (12, 12),
        (12, 16),
        (16, 20),
        (18, 24),
        (20, 20),
    ];
    let n_sizes = 1 + draw.below(5);
    let chosen: Vec<(i64, i64)> = (0..n_sizes)
        .map(|_| sizes[draw.below(sizes.len())])
        .collect();
    for idx in 0..n_frames {
        let (width, height) = chosen[draw.below(n_sizes)];
        let moulding_idx = draw.below(n_mouldings);
        let mut frame = frame(
            &format!("f{idx}"),
            1,
            rectangle(width, height),
            moulding_idx,
        );
        if draw.below(6) == 0 {
            frame.match_color = Some(false);
        }
        job.frames.push(frame);
    }
    for idx in 0..=draw.below(2) {
        let length = 72 + 12 * i64::try_from(draw.below(8)).unwrap();
        job.boards
            .push(board(&format!("b{idx}"), inches(length), None));
    }
    job
}

/// How many pairs of a frame and a board there are.
fn n_pairs(plan: &Plan) -> usize {
    boards_by_frame(plan).iter().map(|line| line.2).sum()
}

/// The pairs of a drawn plan as names are dealt quickly, and closely.
fn dealt(draw: &mut Draw, n_frames: usize) -> (usize, usize) {
    let job = drawn(draw, n_frames);
    let (instance, origins) = lower(&job);
    let plan = raise(&job, &origins, &filled(&instance, draw));
    let [mut quick, mut close] = [plan.clone(), plan.clone()];
    match_color_quickly(&mut quick);
    match_color(&mut close);
    assert_eq!(check(&close), []);
    // Only names have changed, and each part is where it was asked for once.
    assert_eq!(
        plan.boards
            .iter()
            .map(|board| board.board_idx)
            .collect::<Vec<_>>(),
        close
            .boards
            .iter()
            .map(|board| board.board_idx)
            .collect::<Vec<_>>()
    );
    (n_pairs(&quick), n_pairs(&close))
}

#[test]
fn a_program_never_spoils_what_was_dealt_and_saves_pairs_of_frame_and_board() {
    let times = std::env::var("LONGPOINT_CASES").ok();
    let times = times.and_then(|times| times.parse::<usize>().ok());
    let n_jobs = 14 * times.unwrap_or(1);
    let mut draw = Draw::new();
    let (mut all_quick, mut all_close, mut n_better) = (0, 0, 0);
    for nth in 0..n_jobs {
        let (quick, close) = dealt(&mut draw, 3 + nth % 28);
        assert!(close <= quick, "job {nth}: {close} pairs after {quick}");
        all_quick += quick;
        all_close += close;
        n_better += usize::from(close < quick);
    }
    assert!(n_better > 0 && all_close < all_quick, "no pair is saved");
}

/// The fewest pairs of any deal: each frame in turn gets its names in every way, and the boards it comes from are counted.
fn least_pairs(
    deal: &Deal,
    needs: &[Vec<(usize, u32)>],
    free: &mut BTreeMap<(usize, usize), u32>,
) -> usize {
    fn deal_one(
        deal: &Deal,
        needs: &[Vec<(usize, u32)>],
        free: &mut BTreeMap<(usize, usize), u32>,
        todo: &[usize],
        used: &mut Vec<usize>,
    ) -> usize {
        let Some((&group, rest)) = todo.split_first() else {
            let own: std::collections::BTreeSet<usize> = used.iter().copied().collect();
            return own.len() + least_pairs(deal, &needs[1..], free);
        };
        let mut best = usize::MAX;
        for &board in deal.slots[group].keys() {
            let left = free[&(group, board)];
            if left > 0 {
                free.insert((group, board), left - 1);
                used.push(board);
                best = best.min(deal_one(deal, needs, free, rest, used));
                used.pop();
                free.insert((group, board), left);
            }
        }
        best
    }
    let Some(first) = needs.first() else {
        return 0;
    };
    let todo: Vec<usize> = first
        .iter()
        .flat_map(|&(group, count)| std::iter::repeat_n(group, usize::try_from(count).unwrap()))
        .collect();
    deal_one(deal, needs, free, &todo, &mut Vec::new())
}

#[test]
fn small_jobs_come_from_the_fewest_boards_of_all_ways_to_name_their_rails() {
    let mut draw = Draw::new();
    let (mut n_tried, mut n_saved) = (0, 0);
    for _ in 0..60 {
        let job = drawn(&mut draw, 3);
        let (instance, origins) = lower(&job);
        let plan = raise(&job, &origins, &filled(&instance, &mut draw));
        let slots = slots(&plan);
        let search = Search::new(&job, &plan, &slots);
        let (deal, _) = search.deal();
        let needs: Vec<Vec<(usize, u32)>> = (0..deal.given.len())
            .map(|frame| deal.needs(frame).into_iter().collect())
            .collect();
        let mut free = BTreeMap::new();
        for (group, boards) in deal.slots.iter().enumerate() {
            free.extend(
                boards
                    .iter()
                    .map(|(&board, &count)| ((group, board), count)),
            );
        }
        let best = least_pairs(&deal, &needs, &mut free);
        let mut after = plan.clone();
        match_color(&mut after);
        assert_eq!(n_pairs(&after), best);
        n_tried += 1;
        n_saved += usize::from(best < deal.n_pairs());
    }
    assert!(n_tried >= 50 && n_saved >= 10, "{n_saved} of {n_tried}");
}

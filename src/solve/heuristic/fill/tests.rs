//! Boards that hold everything, filled; patterns against trying all of them.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    clippy::cast_sign_loss,
    clippy::float_cmp,
    reason = "tests of small whole numbers"
)]

use super::super::super::draw::Draw;
use super::super::super::meter::{Meter, Share};
use super::super::super::problem::{GroupedStrip, Problem, StockKind};
use super::super::super::tests::lehmer::Lehmer;
use super::boards::{Boards, Sort};
use super::{Effort, SettledBoards, fill};

/// Boards of `capacities` in some numbers, and pieces of `sizes` that are known to lie on them: each board is cut at
/// random until no piece fits any more.
fn parted(
    seed: u64,
    capacities: &[i64],
    n_sizes: usize,
    number: u32,
) -> (Problem, Vec<SettledBoards>) {
    let mut draw = Lehmer::new(seed);
    let mut sizes: Vec<i64> = Vec::new();
    while sizes.len() < n_sizes {
        let size = draw.between(110, 480);
        if !sizes.contains(&size) {
            sizes.push(size);
        }
    }
    sizes.sort_unstable_by(|one, other| other.cmp(one));
    let mut demand = vec![0; n_sizes];
    for &capacity in capacities {
        for _ in 0..number {
            let mut room = capacity;
            // The best of some ends, so that little is to spare.
            while let Some(item) = (0..30)
                .map(|_| draw.between(0, n_sizes as i64 - 1) as usize)
                .filter(|&item| sizes[item] <= room)
                .min_by_key(|&item| (room - sizes[item]) * i64::from(room < 700))
            {
                demand[item] += 1;
                room -= sizes[item];
            }
        }
    }
    let kept: Vec<usize> = (0..n_sizes).filter(|&item| demand[item] > 0).collect();
    let kinds = capacities
        .iter()
        .enumerate()
        .map(|(strip, &capacity)| StockKind {
            cost: capacity,
            length: capacity,
            limit: number,
            limited: true,
            layouts: vec![vec![strip]],
            n_kept: 0,
            absent: false,
        });
    let problem = Problem {
        sizes: kept.iter().map(|&item| sizes[item]).collect(),
        demand: kept.iter().map(|&item| demand[item]).collect(),
        weights: vec![1; kept.len()],
        is_single: vec![false; kept.len()],
        strips: capacities
            .iter()
            .map(|&capacity| GroupedStrip { capacity, group: 0 })
            .collect(),
        groups: vec![(0..kept.len()).collect()],
        kinds: kinds.collect(),
        besides: 0,
    };
    let settled = (0..capacities.len()).map(|kind| SettledBoards {
        kind,
        layout: 0,
        strip: kind,
        number,
    });
    (problem, settled.collect())
}

/// The first try, with so much work.
fn first(work: u64) -> Effort {
    Effort { work, turn: 0 }
}

#[test]
fn boards_that_are_known_to_hold_everything_are_filled() {
    let mut n_found = 0;
    for seed in 1..=20 {
        let (problem, settled) = parted(seed, &[2_440, 1_830, 700], 25, 15);
        let meter = Meter::new(&|| false, Share::FULL);
        let Some(boards) = fill(&problem, &settled, &[], &meter, first(100_000_000)) else {
            continue;
        };
        n_found += 1;
        // Limits and demand are checked there.
        let plan = problem.plan_from(&boards);
        assert!(plan.is_some(), "seed {seed}");
        assert_eq!(
            fill(&problem, &settled, &[], &meter, first(100_000_000)),
            Some(boards)
        );
    }
    // It may miss some; it is no proof.
    assert!(n_found >= 16, "{n_found} of 20");
}

#[test]
fn boards_that_are_too_few_stay_unfilled() {
    for seed in 1..=10 {
        let (mut problem, settled) = parted(seed, &[2_440, 1_830], 20, 6);
        // More than all boards hold together.
        let pieces = problem.sizes.iter().zip(&problem.demand);
        let used: i64 = pieces.map(|(&size, &count)| size * i64::from(count)).sum();
        let spare = (2_440 + 1_830) * 6 - used;
        problem.demand[0] += (spare / problem.sizes[0] + 1) as u32;
        let meter = Meter::new(&|| false, Share::FULL);
        assert_eq!(
            fill(&problem, &settled, &[], &meter, first(50_000_000)),
            None
        );
    }
}

/// All patterns of a board by trying every count of every item, with the least loss of each set of counts.
fn every_pattern(
    sizes: &[i64],
    values: &[f64],
    wanted: &[u32],
    room: i64,
    loss: f64,
) -> Vec<(Vec<usize>, f64)> {
    let mut patterns = vec![(Vec::new(), loss, room)];
    for item in 0..sizes.len() {
        let mut longer = Vec::new();
        for (items, loss, room) in &patterns {
            for count in 0..=wanted[item] {
                let left = room - sizes[item] * i64::from(count);
                if left >= 0 {
                    let mut items: Vec<usize> = items.clone();
                    items.extend(std::iter::repeat_n(item, count as usize));
                    longer.push((items, loss - values[item] * f64::from(count), left));
                }
            }
        }
        patterns = longer;
    }
    patterns
        .into_iter()
        .map(|(items, loss, _)| (items, loss))
        .collect()
}

#[test]
fn the_patterns_listed_are_all_within_the_budget() {
    for seed in 1..=40 {
        let mut draw = Lehmer::new(seed);
        let n = draw.between(2, 5) as usize;
        let mut sizes: Vec<i64> = (0..n).map(|_| draw.between(20, 90)).collect();
        sizes.sort_unstable_by(|one, other| other.cmp(one));
        // Quarters are exact as floats.
        let values: Vec<f64> = sizes
            .iter()
            .map(|&size| (size + draw.between(-4, 4)) as f64 / 4.0)
            .collect();
        let mut wanted: Vec<u32> = (0..n).map(|_| draw.between(1, 3) as u32).collect();
        let capacity = draw.between(100, 300);
        let price = capacity as f64 / 4.0 + 2.0;
        let most = draw.between(0, 40) as f64 / 4.0;
        let sort = Sort {
            capacity,
            number: 1,
            price,
            fits: vec![true; n],
        };
        let meter = Meter::new(&|| false, Share::FULL);
        let boards = Boards::new(
            sizes.clone(),
            values.clone(),
            vec![sort],
            Draw::new(),
            &meter,
        );
        let listed = boards.patterns(0, None, &mut wanted, most, 100_000);
        let mut listed: Vec<(Vec<usize>, f64)> = listed
            .into_iter()
            .map(|filled| (filled.items, filled.loss))
            .collect();
        assert!(listed.windows(2).all(|two| two[0].1 <= two[1].1));
        listed.sort_by(|one, other| one.0.cmp(&other.0));
        let mut all = every_pattern(&sizes, &values, &wanted, capacity, price);
        all.retain(|(_, loss)| *loss <= most);
        all.sort_by(|one, other| one.0.cmp(&other.0));
        assert_eq!(listed, all, "seed {seed}");
    }
}

#[test]
fn a_board_is_finished_by_the_best_two() {
    for seed in 1..=60 {
        let mut draw = Lehmer::new(seed);
        let n = draw.between(1, 6) as usize;
        let mut sizes: Vec<i64> = (0..n).map(|_| draw.between(20, 90)).collect();
        sizes.sort_unstable_by(|one, other| other.cmp(one));
        let values: Vec<f64> = sizes
            .iter()
            .map(|&size| (size + draw.between(-9, 9)) as f64 / 4.0)
            .collect();
        let left: Vec<u32> = (0..n).map(|_| draw.between(0, 2) as u32).collect();
        let room = draw.between(0, 200);
        let best = every_pattern(&sizes, &values, &left, room, 0.0)
            .into_iter()
            .filter(|(items, _)| items.len() <= 2)
            .map(|(_, loss)| loss)
            .fold(0.0, f64::min);
        let sort = Sort {
            capacity: room,
            number: 1,
            price: 0.0,
            fits: vec![true; n],
        };
        let meter = Meter::new(&|| false, Share::FULL);
        let boards = Boards::new(sizes, values, vec![sort], Draw::new(), &meter);
        assert_eq!(boards.finished(room, &left), best, "seed {seed}");
    }
}

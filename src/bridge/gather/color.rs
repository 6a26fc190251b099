//! Rails of different lengths change boards, where that lets frames that are to match in color come from fewer boards.

use super::{Load, Wood};
use crate::bridge::color::match_color_quickly;
use crate::bridge::{Origins, raise};
use crate::cutting::{BoardUse, Instance, Pattern, Solution, add_count};
use crate::job::Job;
use crate::plan::Gathered;
use crate::plan::boards_by_frame;

/// Plans that are made to see whether a change helps, for jobs of up to sixty parts; naming `n` parts takes some `n^2`
/// steps, so larger jobs have fewer.
const MOST_TRIALS: usize = 400;
/// So many parts have all trials.
const FEW_PARTS: usize = 60;
/// Larger jobs are left as they are: a single trial takes too long there.
const MOST_PARTS: usize = 400;

/// `solution` with rails exchanged between two boards at a time, each board of its own stock as before, while frames that
/// ask for it then come from fewer boards in all; unchanged where none asks.
pub fn gather_color(
    job: &Job,
    instance: &Instance,
    origins: &Origins,
    (mut solution, mut gathered): (Solution, Gathered),
) -> (Solution, Gathered) {
    let n_parts: usize = origins.items.iter().map(|item| item.parts.len()).sum();
    if n_parts > MOST_PARTS || !job.any_matches_color() {
        return (solution, gathered);
    }
    let n_boards = |solution: &Solution| -> usize {
        let mut plan = raise(job, origins, solution);
        match_color_quickly(&mut plan);
        boards_by_frame(&plan).iter().map(|line| line.2).sum()
    };
    let mut best = n_boards(&solution);
    let share = n_parts.max(FEW_PARTS);
    let most_trials = MOST_TRIALS * FEW_PARTS * FEW_PARTS / (share * share);
    let wood = Wood::new(job, instance, origins);
    solution.boards = solution
        .boards
        .iter()
        .flat_map(|board| {
            let one = BoardUse {
                times: 1,
                ..board.clone()
            };
            std::iter::repeat_n(one, usize::try_from(board.times).unwrap_or(0))
        })
        .collect();
    let mut n_trials = 0;
    let mut improved = true;
    while improved {
        improved = false;
        for one in 0..solution.boards.len() {
            for other in one + 1..solution.boards.len() {
                for [first, second] in
                    exchanges(&wood, &solution.boards[one], &solution.boards[other])
                {
                    n_trials += 1;
                    if n_trials > most_trials {
                        return (solution, gathered);
                    }
                    let mut changed = solution.clone();
                    changed.boards[one] = first.into_board();
                    changed.boards[other] = second.into_board();
                    let found = n_boards(&changed);
                    if found < best {
                        (best, solution, gathered) = (found, changed, Gathered::ForColor);
                        improved = true;
                        break;
                    }
                }
            }
        }
    }
    (solution, gathered)
}

/// Both boards with some of an item of one in the place of as many of an item of the other, for all that fit.
fn exchanges(wood: &Wood<'_>, one: &BoardUse, other: &BoardUse) -> Vec<[Load; 2]> {
    let ([first], [second]) = (&one.patterns[..], &other.patterns[..]) else {
        return Vec::new();
    };
    let is_kept = |board: &BoardUse| wood.origins.is_kept(board);
    if is_kept(one) || is_kept(other) {
        return Vec::new();
    }
    let with = |board: &BoardUse, pattern: &Pattern, less: usize, more: usize, n: u32| {
        let mut counts = pattern.counts.clone();
        let at = counts.binary_search_by_key(&less, |count| count.0).ok()?;
        counts[at].1 -= n;
        counts.retain(|count| count.1 > 0);
        add_count(&mut counts, more, n);
        let layout = wood.layout_for(board.stock, &counts)?;
        Some(Load {
            stock: board.stock,
            layout,
            counts,
        })
    };
    let mut found = Vec::new();
    for &(mine, n_mine) in &first.counts {
        for &(yours, n_yours) in &second.counts {
            if mine == yours {
                continue;
            }
            for n in 1..=n_mine.min(n_yours) {
                let here = with(one, first, mine, yours, n);
                let there = with(other, second, yours, mine, n);
                found.extend(here.zip(there).map(|(here, there)| [here, there]));
            }
        }
    }
    found
}

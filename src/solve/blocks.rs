//! A component block by block: what no single board may hold together is linked by nothing but supplies.
//!
//! Each block is solved with all supplies for itself.
//! Where the boards of all their plans are there together, these are the plan of the whole, and proved as soon as each of them is.
//! Elsewhere the sum of their bounds bounds the whole, and their boards are what the search for the whole begins with.
//! That bound may be above that of the linear program: each block's is rounded up by itself.
//!
//! # Source
//! The form is that of G. B. Dantzig, P. Wolfe, Operations Research 8(1), 1960; the linking constraints are relaxed by leaving
//! them out.

use std::collections::BTreeSet;

use crate::cutting::{Bound, Component, End, Instance, InstanceProof, Solution};

use super::component::{Apart, solve_whole};
use super::meter::{Meter, Share};
use super::params::PART_OF_BLOCKS;
use super::{Known, Progress};

/// Solves a component, of which every item lies on some strip.
pub(super) fn solve(
    instance: &Instance,
    known: &Known<'_>,
    meter: &Meter<'_>,
    progress: &dyn Fn(Progress),
) -> Solution {
    let blocks = instance.blocks();
    if blocks.len() < 2 {
        return solve_whole(instance, known, &Apart::default(), meter, progress);
    }
    let are_linked = are_linked(instance, &blocks);
    let work = if are_linked {
        meter.left() / PART_OF_BLOCKS
    } else {
        meter.left()
    };
    let apart = solve_blocks(instance, &blocks, known, work, meter);
    let is_plan = is_supplied(instance, &apart);
    if is_plan {
        progress(Progress {
            value: apart.cost,
            bound: apart.bound.cost,
        });
    }
    if is_plan && (apart.end == End::Proved || meter.halted() || !are_linked) {
        return apart;
    }
    let lacks_nothing = apart.bound.missing_pieces == 0;
    let of_blocks = Apart {
        // With a part missing in any case the whole may lack another one than the blocks do, and cost less.
        floor: if lacks_nothing { apart.bound.cost } else { 0 },
        boards: &apart.boards,
    };
    let whole = solve_whole(instance, known, &of_blocks, meter, progress);
    better_of(instance, whole, apart, is_plan)
}

/// Whether there are only so many boards of a stock that two blocks share.
fn are_linked(instance: &Instance, blocks: &[Component]) -> bool {
    let mut seen = BTreeSet::new();
    let mut stocks = blocks.iter().flat_map(|block| &block.stocks);
    stocks.any(|&stock| instance.stocks[stock].supply.is_some() && !seen.insert(stock))
}

/// The blocks' plans and what is proved of them, put together, with no more than `work` in all; the plans may take more boards
/// than there are.
fn solve_blocks(
    instance: &Instance,
    blocks: &[Component],
    known: &Known<'_>,
    work: u64,
    meter: &Meter<'_>,
) -> Solution {
    // The smallest first: what they leave of their shares is there for the others.
    let mut order: Vec<usize> = (0..blocks.len()).collect();
    order.sort_by_key(|&block| (blocks[block].items.len(), block));
    let mut left = work;
    let mut bound = 0_i64;
    let mut solved: Vec<(usize, Solution)> = Vec::with_capacity(blocks.len());
    for (n_before, block_idx) in order.into_iter().enumerate() {
        let block = &blocks[block_idx];
        let n_to_come = u64::try_from(blocks.len() - n_before).unwrap_or(u64::MAX);
        let own = meter.part(Share::steps(left / n_to_come));
        let start = block.lower(known.start);
        let known = Known {
            below: known.below.map(|below| below.saturating_sub(bound)),
            start: &start,
        };
        let nothing = Apart::default();
        let solution = solve_whole(&block.instance, &known, &nothing, &own, &|_| {});
        left = left.saturating_sub(own.work());
        meter.spend(own.work());
        bound = bound.saturating_add(solution.bound.cost);
        solved.push((block_idx, solution));
    }
    solved.sort_unstable_by_key(|&(block_idx, _)| block_idx);
    let solved = solved.iter().map(|(_, solution)| solution);
    let apart = Solution::of_components(instance, blocks.iter().zip(solved));
    Solution {
        // The caller's stop may have been met between two of them.
        end: match (apart.end, meter.end()) {
            (End::Proved, _) | (_, None) => apart.end,
            (_, Some(end)) => apart.end.max(end),
        },
        ..apart
    }
}

/// Whether there are as many of each stock as a solution takes.
fn is_supplied(instance: &Instance, solution: &Solution) -> bool {
    let mut taken = vec![0_u64; instance.stocks.len()];
    for board in &solution.boards {
        taken[board.stock] += u64::from(board.times);
    }
    let mut stocks = instance.stocks.iter().zip(taken);
    stocks.all(|(stock, taken)| stock.supply.is_none_or(|supply| taken <= supply.into()))
}

/// The better of two plans, if that of the blocks is one, with the better bound and the certificate that proves more.
fn better_of(
    instance: &Instance,
    mut whole: Solution,
    mut apart: Solution,
    is_plan: bool,
) -> Solution {
    let value = |solution: &Solution| Bound {
        missing_pieces: instance.pieces(&solution.missing),
        cost: solution.cost,
    };
    let bound = whole.bound.max(apart.bound);
    let certificates = [whole.certificate.take(), apart.certificate.take()];
    // The first of equals stays.
    let certificate = certificates.into_iter().flatten().reduce(|one, other| {
        if proved_together(&other) > proved_together(&one) {
            other
        } else {
            one
        }
    });
    let end = whole.end;
    let patterns = if whole.patterns.is_empty() {
        std::mem::take(&mut apart.patterns)
    } else {
        std::mem::take(&mut whole.patterns)
    };
    let better = if is_plan && value(&apart) < value(&whole) {
        apart
    } else {
        whole
    };
    let is_met = bound == value(&better);
    Solution {
        end: if is_met { End::Proved } else { end },
        bound,
        certificate,
        patterns,
        ..better
    }
}

/// What the parts of a certificate prove together.
fn proved_together(certificate: &InstanceProof) -> Bound {
    let parts = certificate.parts.iter();
    parts.fold(Bound::default(), |all, part| Bound {
        missing_pieces: all.missing_pieces + part.missing,
        cost: all.cost.saturating_add(part.proves),
    })
}

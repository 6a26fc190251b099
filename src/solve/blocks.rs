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

use crate::cutting::{Bound, Component, End, Instance, InstanceProof, Solution};

use super::component::solve_whole;
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
        return solve_whole(instance, known, 0, meter, progress);
    }
    let part = meter.part(Share::steps(meter.left() / PART_OF_BLOCKS));
    let apart = solve_blocks(instance, &blocks, known, &part, progress);
    let goes_on = meter.spend(part.work());
    if (apart.end == End::Proved || !goes_on) && is_supplied(instance, &apart) {
        return apart;
    }
    // Of plans that lack nothing; where something must be missing, those of the blocks may lack another part of it.
    let floor = if apart.bound.missing_pieces == 0 {
        apart.bound.cost
    } else {
        0
    };
    let start = [known.start, &apart.boards].concat();
    let known = Known {
        start: &start,
        ..*known
    };
    let whole = solve_whole(instance, &known, floor, meter, progress);
    with_better_proof(instance, whole, apart)
}

/// The blocks' plans and what is proved of them, put together; the plans may take more boards than there are.
fn solve_blocks(
    instance: &Instance,
    blocks: &[Component],
    known: &Known<'_>,
    meter: &Meter<'_>,
    progress: &dyn Fn(Progress),
) -> Solution {
    let mut bound = 0_i64;
    let mut solved = Vec::with_capacity(blocks.len());
    for block in blocks {
        let start = block.lower(known.start);
        let known = Known {
            below: known.below.map(|below| below.saturating_sub(bound)),
            start: &start,
        };
        let own = solve_whole(&block.instance, &known, 0, meter, &|_| {});
        bound = bound.saturating_add(own.bound.cost);
        solved.push(own);
    }
    let apart = Solution::of_components(instance, blocks.iter().zip(&solved));
    // What the blocks cost is told only where it can be bought.
    if is_supplied(instance, &apart) {
        progress(Progress {
            value: apart.cost,
            bound: apart.bound.cost,
        });
    }
    apart
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

/// The solution of the whole, with what is proved of the blocks where that is more.
fn with_better_proof(instance: &Instance, whole: Solution, apart: Solution) -> Solution {
    let bound = whole.bound.max(apart.bound);
    let value = Bound {
        missing_pieces: instance.pieces(&whole.missing),
        cost: whole.cost,
    };
    let certificates = [whole.certificate, apart.certificate].into_iter().flatten();
    Solution {
        bound,
        end: if bound == value {
            End::Proved
        } else {
            whole.end
        },
        // The first of equals stays.
        certificate: certificates.reduce(|one, other| {
            if proved_by(&other) > proved_by(&one) {
                other
            } else {
                one
            }
        }),
        ..whole
    }
}

/// What the parts of a certificate prove together.
fn proved_by(certificate: &InstanceProof) -> Bound {
    let parts = certificate.parts.iter();
    parts.fold(Bound::default(), |all, part| Bound {
        missing_pieces: all.missing_pieces + part.missing,
        cost: all.cost.saturating_add(part.proves),
    })
}

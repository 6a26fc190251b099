//! Checks a plan against its job, by a derivation of its own.
//!
//! Nothing here is shared with what makes a plan: not `lower`, not `raise`, not the cutting model.
//! Lengths are added up as 128-bit integers, so that even a nonsensical plan is judged and not a panic.
//! Start at [`check()`]; `wanted` derives what the job asks for, `kerf` what the blade takes, `boards` judges each board.

mod across;
mod boards;
mod chains;
mod kerf;
mod patterns;
mod sequence;
mod violation;
mod wanted;

pub use violation::Violation;

use crate::length::Length;
use crate::money::Money;
use crate::plan::{Measure, Plan, PlannedBoard, Verdict};
use crate::stock::{Board, board_cost};
use boards::check_boards;
use patterns::check_patterns;
use wanted::Wanted;

/// Every way in which `plan` contradicts `job` or itself; empty for a sound plan.
///
/// That a bound holds cannot be seen from a plan; that it is not above its value can, and is.
///
/// Cost O(parts log boards).
///
/// # Panics
/// Only if `job` breaks its own invariants.
pub fn check(plan: &Plan) -> Vec<Violation> {
    let job = &plan.job;
    let wanted = Wanted::by(job);
    let mut found = Vec::new();
    check_presence(&wanted, plan, &mut found);
    check_boards(&wanted, plan, &mut found);
    check_numbers_and_supply(plan, &mut found);
    check_patterns(&wanted, plan, &mut found);
    check_value(plan, &mut found);
    check_bounds(plan, &mut found);
    found
}

/// Nanometres of a length, wide enough for any sum.
fn nm(length: Length) -> i128 {
    length.nm().into()
}

/// Every part of the job stands in the plan exactly once, cut or missing, and no other does.
fn check_presence(wanted: &Wanted, plan: &Plan, found: &mut Vec<Violation>) {
    let mut seen = vec![false; wanted.n_parts];
    let cut = plan.boards.iter().flat_map(PlannedBoard::cuts);
    let left = plan.spare_offcuts.iter().map(|left| left.part);
    let cut_or_left = cut.map(|cut| cut.part).chain(left);
    for part in cut_or_left.chain(plan.missing.iter().copied()) {
        match wanted.part(part) {
            None => found.push(Violation::UnknownPart { part }),
            Some((number, _)) if seen[number] => found.push(Violation::RepeatedPart { part }),
            Some((number, _)) => seen[number] = true,
        }
    }
    let lost = (0..wanted.n_parts).filter(|&number| !seen[number]);
    found.extend(
        lost.filter_map(|number| wanted.part_of_number(number))
            .map(|part| Violation::LostPart { part }),
    );
}

/// Boards of a kind are numbered in the order of the plan, from 1 or on from what an earlier plan has numbered, and there
/// are no more of them than there are.
fn check_numbers_and_supply(plan: &Plan, found: &mut Vec<Violation>) {
    let job = &plan.job;
    let mut taken = vec![0_u32; job.boards.len()];
    for (position, board) in plan.boards.iter().enumerate() {
        let Some(taken) = taken.get_mut(board.board_idx) else {
            continue;
        };
        *taken += 1;
        let wanted = job.boards[board.board_idx].given.boards + *taken;
        if board.number != wanted {
            found.push(Violation::WrongNumber {
                board: position,
                planned: board.number,
                wanted,
            });
        }
    }
    for (board_idx, (board, taken)) in job.boards.iter().zip(taken).enumerate() {
        if let Some(supply) = board.quantity
            && taken > supply
        {
            found.push(Violation::SupplyExceeded {
                board_idx,
                taken: taken.into(),
                supply,
            });
        }
    }
}

/// The measure is the job's, and the value the sum over the boards.
fn check_value(plan: &Plan, found: &mut Vec<Violation>) {
    let job = &plan.job;
    // Of a piece in hand a value of nothing says only that it should be used up first.
    let is_nothing = |board: &Board| matches!(board_cost(board), Ok(Some(Money::ZERO)));
    let priced = job
        .boards
        .iter()
        .any(|board| board.price.is_some() && !(board.in_hand.is_some() && is_nothing(board)));
    let measure = if priced {
        Measure::Price
    } else {
        Measure::BoardLength
    };
    if plan.measure != measure {
        found.push(Violation::WrongMeasure {
            planned: plan.measure,
            wanted: measure,
        });
    }
    let mut costs: Vec<i128> = Vec::with_capacity(job.boards.len());
    for (board_idx, board) in job.boards.iter().enumerate() {
        costs.push(match (measure, board_cost(board)) {
            (Measure::BoardLength, _) if board.in_hand.is_some() && is_nothing(board) => 0,
            (Measure::BoardLength, _) => nm(board.length),
            (Measure::Price, Ok(Some(cost))) => cost.minor().into(),
            (Measure::Price, Ok(None)) => 0,
            (Measure::Price, Err(_)) => {
                found.push(Violation::UnknownCost { board_idx });
                0
            }
        });
    }
    let sum: i128 = plan
        .boards
        .iter()
        .filter_map(|board| costs.get(board.board_idx))
        .sum();
    if i128::from(plan.value) != sum {
        found.push(Violation::WrongValue {
            planned: plan.value,
            wanted: sum,
        });
    }
}

/// No bound is above its value, and the verdict says whether they meet.
fn check_bounds(plan: &Plan, found: &mut Vec<Violation>) {
    if plan.lower_bound > plan.value {
        found.push(Violation::BoundAboveValue {
            lower_bound: plan.lower_bound,
            value: plan.value,
        });
    }
    let n_missing = u64::try_from(plan.missing.len()).expect("a count of parts fits 64 bits");
    if plan.missing_lower_bound > n_missing {
        found.push(Violation::MissingBoundAboveMissing {
            missing_lower_bound: plan.missing_lower_bound,
            n_missing,
        });
    }
    let bounds_meet = plan.lower_bound == plan.value && plan.missing_lower_bound == n_missing;
    if bounds_meet != (plan.verdict == Verdict::Optimal) {
        found.push(Violation::WrongVerdict {
            planned: plan.verdict,
            bounds_meet,
        });
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests;

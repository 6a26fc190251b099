//! Holds the cuts of a plan against what its job asks for.
//!
//! `boards` judges each board, `kept` what stays on the rack, `across` what lies where across a board, `sequence` the order
//! along a strip, `patterns` which boards are cut alike.

mod across;
mod boards;
mod kept;
mod patterns;
mod sequence;

use super::nm;
use super::violation::{Figure, Kind, Place, Violation};
use super::wanted::supply;
use super::wanted::{KerfRange, Link, Wanted, WantedPart};
use crate::plan::{Plan, PlannedBoard, Verdict};
use boards::check_boards;
use kept::check_kept;
use patterns::check_patterns;

/// Every way in which `plan` contradicts its job or itself; empty for a sound plan.
///
/// That a bound holds cannot be seen from a plan; that it is not above its value can, and is.
///
/// Cost O(parts log boards).
///
/// # Panics
/// Only if `job` breaks its own invariants.
pub fn check(plan: &Plan) -> Vec<Violation> {
    let wanted = Wanted::by(&plan.job);
    let mut found = Vec::new();
    check_presence(&wanted, plan, &mut found);
    check_boards(&wanted, plan, &mut found);
    check_kept(&wanted, plan, &mut found);
    check_numbers_and_supply(plan, &mut found);
    check_patterns(&wanted, plan, &mut found);
    check_value(&wanted, plan, &mut found);
    check_bounds(plan, &mut found);
    found
}

/// Every part of the job stands in the plan exactly once, cut or missing, and no other does.
fn check_presence(wanted: &Wanted<'_>, plan: &Plan, found: &mut Vec<Violation>) {
    let mut seen = vec![false; wanted.n_parts];
    let cut = plan.boards.iter().flat_map(PlannedBoard::cuts);
    let left = plan.spare_offcuts.iter().map(|left| left.part);
    let kept = plan.kept_pieces.iter().map(|kept| kept.part);
    let cut_or_left = cut.map(|cut| cut.part).chain(left).chain(kept);
    for part in cut_or_left.chain(plan.missing.iter().copied()) {
        match wanted.part(part) {
            None => found.push(Place::part(part).has(Kind::UnknownPart)),
            Some((number, _)) if seen[number] => {
                found.push(Place::part(part).has(Kind::RepeatedPart));
            }
            Some((number, _)) => seen[number] = true,
        }
    }
    let lost = (0..wanted.n_parts).filter(|&number| !seen[number]);
    found.extend(
        lost.filter_map(|number| wanted.part_of_number(number))
            .map(|part| Place::part(part).has(Kind::LostPart)),
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
            let place = Place::board(position);
            found.push(wrong(place, Figure::Number, board.number, wanted));
        }
    }
    for kept in &plan.kept_pieces {
        // What stays as it lies is not there to be cut.
        if let Some(taken) = taken.get_mut(kept.board_idx) {
            *taken += 1;
        }
    }
    for (board_idx, taken) in taken.into_iter().enumerate() {
        if let Some(supply) = supply(job, board_idx)
            && taken > supply
        {
            let taken = taken.into();
            found.push(Place::line(board_idx).has(Kind::SupplyExceeded { taken, supply }));
        }
    }
}

/// A figure that is not what it must be.
fn wrong(
    place: Place,
    figure: Figure,
    planned: impl Into<i128>,
    wanted: impl Into<i128>,
) -> Violation {
    place.has(Kind::Wrong {
        figure,
        planned: Some(planned.into()),
        wanted: Some(wanted.into()),
    })
}

/// The measure is the job's, and the value the sum over the boards.
fn check_value(wanted: &Wanted<'_>, plan: &Plan, found: &mut Vec<Violation>) {
    if plan.measure != wanted.measure {
        found.push(Place::WHOLE.has(Kind::WrongMeasure {
            planned: plan.measure,
            wanted: wanted.measure,
        }));
    }
    let unknown = (0..wanted.costs.len()).filter(|&idx| wanted.costs[idx].is_none());
    found.extend(unknown.map(|idx| Place::line(idx).has(Kind::UnknownCost)));
    let boards = plan.boards.iter();
    let costs = boards.filter_map(|board| *wanted.costs.get(board.board_idx)?);
    let sum: i128 = costs.map(i128::from).sum();
    if i128::from(plan.value) != sum {
        found.push(wrong(Place::WHOLE, Figure::Value, plan.value, sum));
    }
}

/// No bound is above its value, and the verdict says whether they meet.
fn check_bounds(plan: &Plan, found: &mut Vec<Violation>) {
    if plan.lower_bound > plan.value {
        found.push(Place::WHOLE.has(Kind::BoundAboveValue {
            lower_bound: plan.lower_bound,
            value: plan.value,
        }));
    }
    let n_missing = u64::try_from(plan.missing.len()).expect("a count of parts fits 64 bits");
    if plan.missing_lower_bound > n_missing {
        found.push(Place::WHOLE.has(Kind::MissingBoundAboveMissing {
            missing_lower_bound: plan.missing_lower_bound,
            n_missing,
        }));
    }
    let bounds_meet = plan.lower_bound == plan.value && plan.missing_lower_bound == n_missing;
    if bounds_meet != (plan.verdict == Verdict::Optimal) {
        found.push(Place::WHOLE.has(Kind::WrongVerdict {
            planned: plan.verdict,
            bounds_meet,
        }));
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests;

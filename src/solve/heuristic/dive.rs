//! Dives: round the linear program down, solve what is left again, until nothing is left.
//!
//! # Source
//! Residual diving with column generation: G. Belov, G. Scheithauer, A branch-and-cut-and-price algorithm for
//! one-dimensional stock cutting and two-dimensional two-stage cutting, EJOR 171 (2006),
//! doi 10.1016/j.ejor.2004.08.036, section on rounding.
#![expect(
    clippy::float_arithmetic,
    reason = "rounding of a float solution; plans are checked in integers"
)]

use super::super::master::{Master, Outcome, State, UNBOUNDED};
use super::super::meter::Meter;
use super::super::params::{DIVE_ROUNDS, DIVE_SHARE, REMAINDER_PIECES};
use super::super::problem::{Column, Problem, trim};
use super::greedy::{Choice, first_fit_decreasing};

/// How a dive picks the column to round up when nothing can be rounded down to one or more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in super::super) enum Rounding {
    /// The largest fraction.
    Largest,
    /// The fraction that is largest after a disturbance by this number.
    Disturbed(u32),
}

/// A point of a dive at which little was left and the program still promised a plan below the cutoff.
#[derive(Clone, Debug)]
pub(in super::super) struct Remainder {
    /// Pieces left, in the problem's own items.
    pub(in super::super) demand: Vec<u32>,
    /// Boards left of each kind.
    pub(in super::super) supply: Vec<u32>,
    /// Cost spent.
    pub(in super::super) fixed: i64,
    /// Boards taken.
    pub(in super::super) boards: Vec<(Column, u32)>,
}

/// Dives from the program's present solution of `state`.
///
/// Returns boards in the problem's own items that meet the demand at a cost below `cutoff`.
/// A dive that fails leaves in `remainder` the first point at which at most [`REMAINDER_PIECES`] pieces were left.
#[expect(
    clippy::too_many_lines,
    reason = "one loop whose steps share their state"
)]
pub(in super::super) fn dive(
    master: &mut Master<'_>,
    state: &State,
    cutoff: i64,
    rounding: Rounding,
    meter: &Meter<'_>,
    remainder: &mut Option<Remainder>,
) -> Option<Vec<(Column, u32)>> {
    let problem = master.problem;
    let mut left = state.clone();
    let mut fixed = 0i64;
    let mut boards: Vec<(Column, u32)> = Vec::new();
    let mut step = 0u32;
    let target = cutoff_float(cutoff) - 1.0;
    let mut priced_value = master.value(0);
    loop {
        let mut primal = master.lp.primal();
        // Boards that stay whole serve bounds only.
        primal.retain(|&(index, _)| !master.pool.columns()[index].counts.is_empty());
        let mut moved = false;
        for &(index, value) in &primal {
            let whole = whole_part(value);
            if whole > 0 {
                moved |= fix(
                    problem,
                    &mut left,
                    index,
                    whole,
                    &mut boards,
                    &mut fixed,
                    master,
                );
            }
        }
        if !moved {
            let choice = primal
                .iter()
                .map(|&(index, value)| {
                    let score = match rounding {
                        Rounding::Largest => value,
                        Rounding::Disturbed(seed) => {
                            let scatter = (f64::from(seed) * 0.754_877_666_246_692_8
                                + f64::from(u32::try_from(index).unwrap_or(0))
                                    * 0.569_840_290_998_053_3
                                + f64::from(step) * 0.618_033_988_749_894_9)
                                % 1.0;
                            value + 0.3 * scatter
                        }
                    };
                    (index, score)
                })
                .fold(None, |best: Option<(usize, f64)>, entry| match best {
                    Some(known) if known.1 >= entry.1 => Some(known),
                    _ => Some(entry),
                });
            let (index, _) = choice?;
            if !fix(
                problem,
                &mut left,
                index,
                1,
                &mut boards,
                &mut fixed,
                master,
            ) {
                return None;
            }
        }
        step += 1;
        if fixed >= cutoff {
            return None;
        }
        if left.demand.iter().all(|&count| count == 0) {
            return Some(boards);
        }
        if let Some(whole) = finish(master, &left, fixed, cutoff, &boards, meter) {
            return Some(whole);
        }
        master.narrow(&left);
        master.lp.set_perturbed(false);
        if !master.lp.solve(None, meter) {
            return None;
        }
        if remainder.is_none()
            && master.lp.shortfall() < 1e-7
            && master.value(fixed) <= target + 1e-6
        {
            let demand = own_items(master, &left);
            if demand.iter().map(|&count| u64::from(count)).sum::<u64>() <= REMAINDER_PIECES {
                *remainder = Some(Remainder {
                    demand,
                    supply: left.supply.clone(),
                    fixed,
                    boards: boards.clone(),
                });
            }
        }
        // Price only when the columns at hand have become dear.
        let value = master.value(fixed);
        if master.lp.shortfall() < 1e-7
            && value <= priced_value + DIVE_SHARE * (target - priced_value).max(0.0)
        {
            continue;
        }
        let relaxed = master.relax(&left, fixed, cutoff, DIVE_ROUNDS, true, meter);
        if meter.halted() || relaxed.outcome == Outcome::Pruned || relaxed.short {
            return None;
        }
        priced_value = relaxed.value;
        if relaxed.value > target + 1e-6 && relaxed.outcome == Outcome::Converged {
            return None;
        }
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "compared with a float value of the program"
)]
fn cutoff_float(cutoff: i64) -> f64 {
    cutoff as f64
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "values of columns are small and not negative; a cast saturates in any case"
)]
fn whole_part(value: f64) -> u32 {
    (value + 1e-6).floor() as u32
}

/// Takes boards of `column` as often as wanted and possible; tells whether any was taken.
fn fix(
    problem: &Problem,
    left: &mut State,
    index: usize,
    times: u32,
    boards: &mut Vec<(Column, u32)>,
    fixed: &mut i64,
    master: &Master<'_>,
) -> bool {
    // Boards of several strips may hold more than is left.
    let trimmed;
    let mut column = &master.pool.columns()[index];
    if !column.parts.is_empty() {
        trimmed = trim(column, &left.demand);
        column = &trimmed;
        if column.counts.is_empty() {
            return false;
        }
    }
    let weight = problem.weight(column);
    let cap = left.caps.iter_mut().find(|cap| cap.column == index);
    let times = times.min(cap.as_ref().map_or(u32::MAX, |cap| cap.most));
    let times = times
        .min(Problem::times_within(column, &left.demand))
        .min(left.supply[column.kind] / weight);
    if times == 0 {
        return false;
    }
    if let Some(cap) = cap {
        cap.least = cap.least.saturating_sub(times);
        cap.most -= times;
    }
    for &(item, count) in &column.counts {
        left.demand[item] -= count * times;
    }
    left.supply[column.kind] -= times * weight;
    for bound in &mut left.sets {
        if master.kinds_of(bound.set).contains(&column.kind) {
            bound.least = bound.least.saturating_sub(times * weight);
            if bound.most != UNBOUNDED {
                bound.most = bound.most.saturating_sub(times * weight);
            }
        }
    }
    let cost = i128::from(problem.kinds[column.kind].cost) * i128::from(times) * i128::from(weight);
    *fixed = fixed.saturating_add(i64::try_from(cost).unwrap_or(i64::MAX));
    boards.push((master.spelled_out(column), times));
    true
}

/// What is left, in the problem's own items.
fn own_items(master: &Master<'_>, left: &State) -> Vec<u32> {
    let mut demand = vec![0u32; master.problem.n_items()];
    for (item, &count) in left.demand.iter().enumerate() {
        for &(part, times) in &master.makeup[item] {
            demand[part] += times * count;
        }
    }
    demand
}

/// Tries to place all that is left by first fit decreasing, below the cutoff.
fn finish(
    master: &Master<'_>,
    left: &State,
    fixed: i64,
    cutoff: i64,
    boards: &[(Column, u32)],
    meter: &Meter<'_>,
) -> Option<Vec<(Column, u32)>> {
    let problem = master.problem;
    let demand = own_items(master, left);
    for choice in [Choice::CostPerFill, Choice::CostPerBoard] {
        let (more, missing) = first_fit_decreasing(problem, &demand, &left.supply, choice, meter);
        if missing.iter().any(|&count| count > 0) {
            continue;
        }
        let cost: i128 = more
            .iter()
            .map(|(column, times)| i128::from(problem.kinds[column.kind].cost) * i128::from(*times))
            .sum();
        if i128::from(fixed) + cost < i128::from(cutoff) {
            let mut whole = boards.to_vec();
            whole.extend(more);
            return Some(whole);
        }
    }
    None
}

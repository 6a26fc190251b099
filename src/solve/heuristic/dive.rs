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

use super::super::master::{Ask, ColumnSource, Master, NodeState, Outcome};
use super::super::meter::Meter;
use super::super::params::{
    DIVE_DISTURBANCE, DIVE_ROUNDS, DIVE_SHARE, INTEGRAL_WITHIN, MET_WITHIN, REMAINDER_PIECES,
    SCATTER,
};
use super::super::problem::{CutBoard, times_within};
use super::super::taken::TakenBoards;
use super::greedy::{FillRule, fill_strips, first_fit_decreasing};

/// How a dive picks the column to round up when nothing can be rounded down to one or more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in super::super) enum DiveRounding {
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
    /// Loose strips of each kind, out of boards taken.
    pub(in super::super) loose: Vec<u32>,
    /// Cost spent.
    pub(in super::super) fixed: i64,
    /// Boards and patterns taken.
    pub(in super::super) taken: TakenBoards,
}

/// Dives from the program's present solution of `state`.
///
/// Returns boards in the problem's own items that meet the demand at a cost below `cutoff`.
/// A dive that fails leaves in `remainder` the first point at which at most [`REMAINDER_PIECES`] pieces were left.
pub(in super::super) fn dive(
    master: &mut Master<'_>,
    state: &NodeState,
    cutoff: i64,
    rounding: DiveRounding,
    meter: &Meter<'_>,
    remainder: &mut Option<Remainder>,
) -> Option<Vec<(CutBoard, u32)>> {
    let mut left = state.clone();
    let mut fixed = 0i64;
    let mut taken = TakenBoards::default();
    let mut step = 0u32;
    let target = cutoff_float(cutoff) - 1.0;
    let mut priced_value = master.value(0);
    loop {
        let primal = open_columns(master);
        let mut moved = false;
        for &(index, value) in &primal {
            let whole = whole_part(value);
            if whole > 0 {
                moved |= fix(&mut left, index, whole, &mut taken, &mut fixed, master);
            }
        }
        if !moved {
            let index = pick(&primal, rounding, step)?;
            if !fix(&mut left, index, 1, &mut taken, &mut fixed, master) {
                return None;
            }
        }
        step += 1;
        if fixed >= cutoff {
            return None;
        }
        if left.demand.iter().all(|&count| count == 0) {
            return taken.into_boards(master.problem);
        }
        if let Some(whole) = finish(master, &left, fixed, cutoff, &taken, meter) {
            return Some(whole);
        }
        if !master.narrow(&left, meter) {
            return None;
        }
        let is_met = master.shortfall() < MET_WITHIN;
        let value = master.value(fixed);
        if remainder.is_none() && is_met && value <= target + INTEGRAL_WITHIN {
            let demand = master.items.own_demand(&left.demand);
            if demand.iter().map(|&count| u64::from(count)).sum::<u64>() <= REMAINDER_PIECES {
                *remainder = Some(Remainder {
                    demand,
                    supply: left.supply.clone(),
                    loose: left.loose.clone(),
                    fixed,
                    taken: taken.clone(),
                });
            }
        }
        // Price only when the columns at hand have become dear.
        if is_met && value <= priced_value + DIVE_SHARE * (target - priced_value).max(0.0) {
            continue;
        }
        let ask = Ask {
            fixed,
            cutoff,
            max_rounds: DIVE_ROUNDS,
            settle: true,
            at_node: false,
        };
        let relaxed = master.relax(&left, ask, meter);
        if meter.halted() || relaxed.outcome == Outcome::Pruned || relaxed.short {
            return None;
        }
        priced_value = relaxed.value;
        if relaxed.value > target + INTEGRAL_WITHIN && relaxed.outcome == Outcome::Converged {
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
pub(super) fn whole_part(value: f64) -> u32 {
    (value + INTEGRAL_WITHIN).floor() as u32
}

/// The columns of the program's solution that a dive can take, those to be settled first in front.
///
/// Which boards are ripped how is settled before what is cut from the strips; boards that stay whole serve bounds only.
fn open_columns(master: &Master<'_>) -> Vec<(usize, f64)> {
    let primal = master.primal();
    let mut open: Vec<(usize, f64)> = primal
        .into_iter()
        .filter(|&(index, _)| {
            matches!(master.source_of(index), ColumnSource::Ripped { .. })
                || !master.columns()[index].counts.is_empty()
        })
        .collect();
    let is_strip = |index: usize| matches!(master.source_of(index), ColumnSource::Strip { .. });
    open.sort_by_key(|&(index, _)| is_strip(index));
    if open.first().is_some_and(|&(index, _)| !is_strip(index)) {
        open.retain(|&(index, value)| value >= 1.0 - INTEGRAL_WITHIN || !is_strip(index));
    }
    open
}

/// The column to round up.
fn pick(primal: &[(usize, f64)], rounding: DiveRounding, step: u32) -> Option<usize> {
    let scored = primal.iter().map(|&(index, value)| {
        let score = match rounding {
            DiveRounding::Largest => value,
            DiveRounding::Disturbed(seed) => {
                let index = f64::from(u32::try_from(index).unwrap_or(0));
                let scatter = (f64::from(seed) * SCATTER[1]
                    + index * SCATTER[2]
                    + f64::from(step) * SCATTER[0])
                    % 1.0;
                value + DIVE_DISTURBANCE * scatter
            }
        };
        (index, score)
    });
    let best = scored.fold(None, |best: Option<(usize, f64)>, entry| match best {
        Some(known) if known.1 >= entry.1 => Some(known),
        _ => Some(entry),
    });
    best.map(|(index, _)| index)
}

/// Takes a column as often as wanted and possible; tells whether it was taken.
pub(super) fn fix(
    left: &mut NodeState,
    index: usize,
    times: u32,
    taken: &mut TakenBoards,
    fixed: &mut i64,
    master: &Master<'_>,
) -> bool {
    let column = &master.columns()[index];
    let source = &master.sources[column.source];
    let weight = master.weight(column);
    let cap = left.caps.iter_mut().find(|cap| cap.column == index);
    let times = times
        .min(cap.as_ref().map_or(u32::MAX, |cap| cap.number.most))
        .min(times_within(&column.counts, &left.demand))
        .min(match *source {
            ColumnSource::Strip { strip } => left.loose[strip],
            ColumnSource::Whole { kind, .. }
            | ColumnSource::Ripped { kind, .. }
            | ColumnSource::Absent { kind } => left.supply[kind] / weight,
        });
    if times == 0 {
        return false;
    }
    if let Some(cap) = cap {
        cap.number = cap.number.less(times);
    }
    for &(item, count) in &column.counts {
        left.demand[item] -= count * times;
    }
    match source {
        ColumnSource::Strip { strip } => left.loose[*strip] -= times,
        ColumnSource::Ripped { yields, .. } => {
            for &(strip, number) in yields {
                left.loose[strip] += number * times;
            }
        }
        ColumnSource::Whole { .. } | ColumnSource::Absent { .. } => {}
    }
    if let Some(kind) = source.kind() {
        left.supply[kind] -= times * weight;
        let cost = i128::from(source.cost(master.problem)) * i128::from(times) * i128::from(weight);
        *fixed = fixed.saturating_add(i64::try_from(cost).unwrap_or(i64::MAX));
    }
    for bound in &mut left.sets {
        if master.members(bound.set).contains(&column.source) {
            bound.number = bound.number.less(times * weight);
        }
    }
    taken.add(source, master.items.spelled_out(&column.counts), times);
    true
}

/// Tries to place all that is left by first fit decreasing, below the cutoff.
fn finish(
    master: &Master<'_>,
    left: &NodeState,
    fixed: i64,
    cutoff: i64,
    taken: &TakenBoards,
    meter: &Meter<'_>,
) -> Option<Vec<(CutBoard, u32)>> {
    let problem = master.problem;
    let mut demand = master.items.own_demand(&left.demand);
    let mut taken = taken.clone();
    for (strip, counts) in fill_strips(problem, &mut demand, &left.loose) {
        taken.cut(strip, counts, 1);
    }
    for choice in [FillRule::CostPerFill, FillRule::CostPerBoard] {
        let (more, missing) = first_fit_decreasing(problem, &demand, &left.supply, choice, meter);
        if missing.iter().any(|&count| count > 0) {
            continue;
        }
        let cost: i128 = more
            .iter()
            .map(|(column, times)| {
                i128::from(problem.kinds[column.kind].cost_in(column.layout)) * i128::from(*times)
            })
            .sum();
        if i128::from(fixed) + cost < i128::from(cutoff) {
            taken.boards.extend(more);
            return taken.into_boards(problem);
        }
    }
    None
}

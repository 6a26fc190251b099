//! Dives: columns of the program are taken into the plan one after another, and the rest is priced anew each time.
#![expect(
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "fractions only steer which columns are taken"
)]

use super::columns::Column;
use super::count::Condition;
use super::loaded::Used;
use super::master::{Goal, Master};
use super::pack::pack;
use super::params::{DIVE_DISTURBANCE, DIVE_ROUNDS, INTEGRAL_WITHIN, SCATTER};
use super::sums::Sums;
use crate::solve::lp::Reached;
use crate::solve::meter::Meter;

impl Master<'_> {
    /// A plan of the node at the end of `path` that is better than `cutoff`, if this dive ends in one.
    pub(super) fn dive(
        &mut self,
        path: &[Condition],
        attempt: u32,
        sums: &Sums,
        cutoff: i64,
        meter: &Meter<'_>,
    ) -> Option<Used> {
        let mut fixed: Vec<(usize, u32)> = Vec::new();
        loop {
            let demand = self.rest(&fixed);
            if demand.iter().all(|&count| count == 0) {
                return self.packed(&fixed, cutoff, meter);
            }
            let whole = self.whole_rest(path, &fixed, &demand, sums, cutoff, meter)?;
            if let Some(rest) = whole {
                fixed.extend(rest);
                return Some(self.used(&fixed));
            }
            let primal = self.primal();
            let floors: Vec<(usize, u32)> = primal
                .iter()
                .map(|&(column, value)| (column, (value + INTEGRAL_WITHIN).floor() as u32))
                .filter(|&(_, times)| times > 0)
                .collect();
            if floors.is_empty() {
                fixed.push((self.pick(&primal, attempt)?, 1));
            } else {
                fixed.extend(floors);
            }
        }
    }

    /// Solves what is left: `None` where no better plan comes of it, else the whole of it where it is whole.
    #[expect(
        clippy::option_option,
        reason = "no way on, and not whole yet, are two things"
    )]
    fn whole_rest(
        &mut self,
        path: &[Condition],
        fixed: &[(usize, u32)],
        demand: &[u32],
        sums: &Sums,
        cutoff: i64,
        meter: &Meter<'_>,
    ) -> Option<Option<Vec<(usize, u32)>>> {
        let spent: i64 = fixed
            .iter()
            .map(|&(column, times)| self.cost(column) * i64::from(times))
            .sum();
        if !self.set_sides(path, fixed) {
            return None;
        }
        for round in 0..=DIVE_ROUNDS {
            if self.solve(meter) == Reached::Halted {
                return None;
            }
            let value = spent as f64 + self.value();
            let is_hopeless = sums.next((value - INTEGRAL_WITHIN).ceil() as i64) >= cutoff;
            if !is_hopeless
                && !self.is_short()
                && let Some(rest) = self.whole()
            {
                return Some(Some(rest));
            }
            if round == DIVE_ROUNDS || !self.price_rest(path, demand, meter) {
                return (!is_hopeless && !self.is_short()).then_some(None);
            }
        }
        None
    }

    /// Columns with how often they are taken.
    fn used(&self, fixed: &[(usize, u32)]) -> Used {
        fixed
            .iter()
            .map(|&(column, times)| (self.pool.columns()[column].clone(), times))
            .collect()
    }

    /// How many pieces of each item are left.
    fn rest(&self, fixed: &[(usize, u32)]) -> Vec<u32> {
        let mut demand: Vec<u32> = self.model.items.iter().map(|item| item.demand).collect();
        for &(idx, times) in fixed {
            match &self.pool.columns()[idx] {
                Column::Strip { pieces, .. } => {
                    for &(item, count) in pieces {
                        demand[item] = demand[item].saturating_sub(count * times);
                    }
                }
                Column::Missing { item } => demand[*item] = demand[*item].saturating_sub(times),
                Column::Sheet { .. } => {}
            }
        }
        demand
    }

    /// The fixed strips and missing pieces, with sheets sought anew.
    fn packed(&self, fixed: &[(usize, u32)], cutoff: i64, meter: &Meter<'_>) -> Option<Used> {
        let (sheets, mut used): (Used, Used) = self
            .used(fixed)
            .into_iter()
            .partition(|(column, _)| matches!(column, Column::Sheet { .. }));
        drop(sheets);
        let mut strips = Vec::new();
        for (column, times) in &used {
            if let Column::Strip { lane, class, .. } = column {
                strips.extend(std::iter::repeat_n((*lane, *class), *times as usize));
            }
        }
        let is_cost = matches!(self.goal, Goal::LeastCost { .. });
        let sheets = pack(
            self.model,
            &strips,
            if is_cost { cutoff } else { i64::MAX },
            meter,
        )?;
        used.extend(sheets);
        Some(used)
    }

    /// The column to take once: that with the largest fraction, in later attempts scattered.
    fn pick(&self, primal: &[(usize, f64)], attempt: u32) -> Option<usize> {
        let is_strip = |column: usize| matches!(self.pool.columns()[column], Column::Strip { .. });
        let any_strip = primal.iter().any(|&(column, _)| is_strip(column));
        // Sheets follow from the strips, which decide more; every other attempt begins with what is nearest to whole.
        let strips_alone = attempt % 2 == 1 && any_strip;
        let score = |&(column, value): &(usize, f64)| {
            let scatter =
                (f64::from(attempt / 2) * SCATTER[0] + column as f64 * SCATTER[1]).fract();
            let share = if attempt < 2 { 0.0 } else { DIVE_DISTURBANCE };
            value + share * scatter
        };
        let columns = primal
            .iter()
            .filter(|&&(column, _)| !strips_alone || is_strip(column));
        columns
            .max_by(|one, other| score(one).total_cmp(&score(other)))
            .map(|entry| entry.0)
    }
}

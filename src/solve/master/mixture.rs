//! Duals of items found at earlier nodes, and the mixture of them that bounds a node best.
//!
//! With duals `p_i` at which no board of source `s` is worth more than `w_s`, every plan with `y_s` boards of each source
//! has `sum_s w_s y_s >= sum_i d_i p_i`: what one node's duals say of numbers of boards holds at every other.
//! All such rows and the bounds of a node make a small program in the `y_s`. The duals `m_j` of its rows mix those of the
//! items to `sum_j m_j p_ji`, at which no board is worth more than `sum_j m_j w_js`: where its value reaches the cutoff,
//! one pricing at the mixture proves that the node holds nothing better, and where it does not, it is a good place to
//! begin.
//!
//! # Source
//! The rows are the cuts of J. F. Benders, Numerische Mathematik 4 (1962), for the patterns that given boards may have.
#![expect(
    clippy::float_arithmetic,
    reason = "the mixture is only proposed; pricing proves what it bounds"
)]

use super::super::bound::IntegerDuals;
use super::super::meter::Meter;
use super::super::params::{LEAST_MIXED, MOST_KNOWN_DUALS, MOST_MIXED, MOST_MIXED_SOURCES};
use super::pricing::Duals;
use super::{ColumnSource, Master, NodeState, UNBOUNDED, float};
use program::Program;

mod program;

/// Duals of all items of the problem, with what boards are worth at them, in units of the dearest board.
#[derive(Clone, Debug)]
struct ItemDuals {
    items: Vec<f64>,
    /// No board of a source is worth more.
    worths: Vec<f64>,
    /// When they last had a part in a mixture.
    used: u64,
}

/// The duals found so far.
#[derive(Clone, Debug, Default)]
pub(super) struct KnownDuals {
    all: Vec<ItemDuals>,
    /// How many mixtures were made.
    clock: u64,
}

impl Master<'_> {
    /// Whether what duals say of numbers of boards can be told of a node: its boards are cut whole, and its items are the
    /// problem's own.
    pub(super) fn may_mix(&self, state: &NodeState) -> bool {
        let is_plain = state.clashes.is_empty() && state.caps.is_empty();
        let is_whole = |source: &ColumnSource| matches!(source, ColumnSource::Whole { .. });
        is_plain
            && state
                .demand
                .iter()
                .skip(self.problem.n_items())
                .all(|&count| count == 0)
            && self.sources.len() <= MOST_MIXED_SOURCES
            && self.sources.iter().all(is_whole)
    }

    /// Keeps duals for nodes to come.
    pub(super) fn keep_duals(&mut self, duals: &IntegerDuals, worths: &[i64]) {
        let unscaled = |value: i64| float(value) / float(duals.scale);
        let n_items = self.problem.n_items();
        let kept = ItemDuals {
            items: duals.items[..n_items]
                .iter()
                .map(|&dual| unscaled(dual))
                .collect(),
            worths: worths.iter().map(|&worth| unscaled(worth)).collect(),
            used: self.known.clock,
        };
        let known = &mut self.known;
        if known.all.len() < MOST_KNOWN_DUALS {
            known.all.push(kept);
            return;
        }
        // In place of those that were of no use for longest.
        let oldest = (0..known.all.len()).min_by_key(|&idx| known.all[idx].used);
        if let Some(oldest) = oldest {
            known.all[oldest] = kept;
        }
    }

    /// The mixture of all duals found so far that bounds `state` best; `None` where there are none.
    pub(super) fn mixed(&mut self, state: &NodeState, meter: &Meter<'_>) -> Option<Duals> {
        if self.known.all.is_empty() {
            return None;
        }
        let n_sources = self.sources.len();
        let costs = self
            .sources
            .iter()
            .map(|source| float(source.cost(self.problem)) / self.unit);
        let mut program = Program::new(costs.collect());
        for own in &self.known.all {
            let wanted = own.items.iter().zip(&state.demand);
            let wanted = wanted.map(|(&dual, &count)| dual * f64::from(count)).sum();
            program.add_column(wanted, |source| own.worths[source]);
        }
        let mut of_set = Vec::with_capacity(state.sets.len());
        for bound in &state.sets {
            let members = &self.rows.sets[bound.set].0;
            let mut is_member = vec![0.0; n_sources];
            for &source in members {
                is_member[source] = 1.0;
            }
            let least = (bound.number.least > 0).then(|| {
                program.add_column(f64::from(bound.number.least), |source| is_member[source])
            });
            let most = (bound.number.most != UNBOUNDED).then(|| {
                program.add_column(-f64::from(bound.number.most), |source| -is_member[source])
            });
            of_set.push((least, most));
        }
        for (kind, &supply) in state.supply.iter().enumerate() {
            let is_limit =
                self.problem.kinds[kind].limited || supply < self.problem.kinds[kind].limit;
            if is_limit {
                let own = |source: usize| self.sources[source].kind() == Some(kind);
                program.add_column(
                    -f64::from(supply),
                    |source| if own(source) { -1.0 } else { 0.0 },
                );
            }
        }
        let mut part = program.solve(meter);
        // Of a node without plans there are mixtures of any size.
        if part.iter().any(|part| !part.is_finite()) {
            return None;
        }
        let most = part.iter().copied().fold(0.0, f64::max);
        if most > MOST_MIXED {
            for part in &mut part {
                *part *= MOST_MIXED / most;
            }
        }
        self.known.clock += 1;
        let mut items = vec![0.0; self.items.sizes.len()];
        for (own, &part) in self.known.all.iter_mut().zip(&part) {
            if part > LEAST_MIXED {
                own.used = self.known.clock;
                for (sum, &dual) in items.iter_mut().zip(&own.items) {
                    *sum += part * dual;
                }
            }
        }
        let dual = |column: Option<usize>| column.map_or(0.0, |column| part[column]);
        let sets = of_set
            .iter()
            .map(|&(least, most)| (dual(least), -dual(most)));
        Some(Duals::of_items(
            items,
            sets.collect(),
            self.problem.strips.len(),
        ))
    }
}

//! The choice of what to split a node by: numbers of boards, then pairs of items, then single columns.
#![expect(
    clippy::float_arithmetic,
    reason = "fractions steer the branching; bounds are proved in integers"
)]

use std::collections::BTreeMap;

use super::{Search, Split};

impl Search<'_, '_> {
    /// The split for a fractional solution.
    pub(super) fn choose(&self, primal: &[(usize, f64)]) -> Option<Split> {
        let usage = self.master.usage();
        let mut best: Option<(f64, Vec<usize>, u32)> = None;
        let mut consider = |kinds: Vec<usize>, total: f64, weight: f64| {
            let below = total.floor();
            let fraction = total - below;
            let distance = fraction.min(1.0 - fraction);
            if distance < 1e-5 {
                return;
            }
            let score = distance * weight;
            if best.as_ref().is_none_or(|known| score > known.0) {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "a number of boards, not negative"
                )]
                let below = below as u32;
                best = Some((score, kinds, below));
            }
        };
        let n_kinds = self.problem.kinds.len();
        if n_kinds >= 1 {
            let total: f64 = usage.iter().sum();
            consider((0..n_kinds).collect(), total, 1.0);
        }
        if n_kinds > 1 {
            let mut order: Vec<usize> = (0..n_kinds).collect();
            order.sort_by_key(|&kind| (self.longest_run(kind), kind));
            for cut in 1..n_kinds {
                let mut kinds: Vec<usize> = order[cut..].to_vec();
                let total: f64 = kinds.iter().map(|&kind| usage[kind]).sum();
                kinds.sort_unstable();
                let single = kinds.len() == 1;
                consider(kinds, total, if single { 1.0 } else { 0.9 });
            }
            for (kind, &used) in usage.iter().enumerate() {
                consider(vec![kind], used, 1.0);
            }
        }
        if let Some((_, kinds, below)) = best {
            return Some(Split::Boards { kinds, below });
        }
        self.choose_pair(primal)
    }

    fn longest_run(&self, kind: usize) -> i64 {
        self.problem.kinds[kind]
            .layouts
            .iter()
            .flatten()
            .map(|&strip| self.problem.strips[strip].capacity)
            .max()
            .unwrap_or(0)
    }

    fn choose_pair(&self, primal: &[(usize, f64)]) -> Option<Split> {
        // On a board of several strips a pair may lie on two strips, so merging would lose plans.
        if self
            .problem
            .kinds
            .iter()
            .any(|kind| kind.layouts.iter().any(|layout| layout.len() > 1))
        {
            return None;
        }
        let mut together: Vec<((usize, usize), f64)> = Vec::new();
        let mut place = std::collections::BTreeMap::new();
        for &(index, value) in primal {
            let column = &self.master.pool.columns()[index];
            if self.problem.kinds[column.kind].absent {
                continue;
            }
            for (at, &(first, count)) in column.counts.iter().enumerate() {
                if count >= 2 {
                    add(&mut place, &mut together, (first, first), value);
                }
                for &(second, _) in &column.counts[at + 1..] {
                    add(&mut place, &mut together, (first, second), value);
                }
            }
        }
        let mut best: Option<(f64, i64, usize, usize)> = None;
        for &((first, second), total) in &together {
            let fraction = total - total.floor();
            if !(1e-5..=1.0 - 1e-5).contains(&fraction) {
                continue;
            }
            let size = self.master.sizes[first] + self.master.sizes[second];
            let score = if fraction > 0.5 {
                1.5 - fraction
            } else {
                fraction
            };
            let better = best
                .as_ref()
                .is_none_or(|known| (score, size) > (known.0, known.1));
            if better {
                best = Some((score, size, first, second));
            }
        }
        best.map(|(_, _, first, second)| Split::Pair { first, second })
            .or_else(|| self.choose_column(primal))
    }

    /// The column whose use is nearest to a half, where no pair of items is left to split by.
    fn choose_column(&self, primal: &[(usize, f64)]) -> Option<Split> {
        let mut best: Option<(f64, usize, u32)> = None;
        for &(column, value) in primal {
            if self.master.pool.columns()[column].counts.is_empty() {
                continue;
            }
            let below = value.floor();
            let distance = (value - below).min(below + 1.0 - value);
            if distance > 1e-5 && best.is_none_or(|known| distance > known.0) {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "the use of a column is small and not negative"
                )]
                let below = below as u32;
                best = Some((distance, column, below));
            }
        }
        best.map(|(_, column, below)| Split::Column { column, below })
    }
}

fn add(
    place: &mut BTreeMap<(usize, usize), usize>,
    together: &mut Vec<((usize, usize), f64)>,
    pair: (usize, usize),
    value: f64,
) {
    let at = *place.entry(pair).or_insert_with(|| {
        together.push((pair, 0.0));
        together.len() - 1
    });
    together[at].1 += value;
}

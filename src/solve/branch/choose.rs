//! The choice of what to split a node by: numbers of boards, then pairs of items, then single columns.
#![expect(
    clippy::float_arithmetic,
    reason = "fractions steer the branching; bounds are proved in integers"
)]

use std::collections::BTreeMap;

use super::super::master::{ColumnSource, Master};
use super::super::params::{LEAST_FRACTION, LEAST_RISE, PART_WEIGHT};
use super::regrow::PairRule;
use super::{BranchAndPrice, Split};

/// The set of sources whose number of boards promises most when it is bounded to either side, by weight.
struct BestSet<'a, 'p> {
    master: &'a mut Master<'p>,
    /// Its score, its sources, and the number whole boards below and beyond that.
    best: Option<(f64, Vec<usize>, u32, f64)>,
}

impl<'a, 'p> BestSet<'a, 'p> {
    fn new(master: &'a mut Master<'p>) -> BestSet<'a, 'p> {
        BestSet { master, best: None }
    }

    fn consider(&mut self, total: f64, weight: f64, sources: Vec<usize>) {
        let below = total.floor();
        let fraction = total - below;
        if fraction.min(1.0 - fraction) < LEAST_FRACTION {
            return;
        }
        let (down, up) = self.master.rates(&sources);
        let rise = |rate: f64, distance: f64| (rate * distance).clamp(LEAST_RISE, 1.0);
        let score = rise(down, fraction) * rise(up, 1.0 - fraction) * weight;
        if self.best.as_ref().is_none_or(|known| score > known.0) {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a number of boards, not negative"
            )]
            let below = below as u32;
            self.best = Some((score, sources, below, fraction));
        }
    }

    fn split(self) -> Option<Split> {
        let (_, sources, below, fraction) = self.best?;
        Some(Split::Boards {
            sources,
            below,
            is_nearer_over: fraction > 0.5,
        })
    }
}

impl BranchAndPrice<'_, '_> {
    /// The split for a fractional solution.
    pub(super) fn choose(&mut self, primal: &[(usize, f64)]) -> Option<Split> {
        let usage = self.master.usage();
        let total = |sources: &[usize]| sources.iter().map(|&source| usage[source]).sum::<f64>();
        let n_kinds = self.problem.kinds.len();
        let by_kind: Vec<Vec<usize>> = (0..n_kinds)
            .map(|kind| self.master.sources_of(kind))
            .collect();
        let mut order: Vec<usize> = (0..n_kinds).collect();
        order.sort_by_key(|&kind| (self.longest_run(kind), kind));
        let mut choice = BestSet::new(&mut self.master);
        for cut in 0..n_kinds {
            let mut sources: Vec<usize> = order[cut..]
                .iter()
                .flat_map(|&kind| by_kind[kind].iter().copied())
                .collect();
            sources.sort_unstable();
            let weight = if cut == 0 || cut + 1 == n_kinds {
                1.0
            } else {
                PART_WEIGHT
            };
            choice.consider(total(&sources), weight, sources);
        }
        for sources in &by_kind {
            choice.consider(total(sources), 1.0, sources.clone());
        }
        // Sets of items that share boards and nothing else: how many boards each of them gets.
        for sources in serving(choice.master) {
            choice.consider(total(&sources), 1.0, sources);
        }
        // How many stay as they lie decides how many there are to cut.
        for (source, &used) in usage.iter().enumerate() {
            let way = choice.master.sources[source].way();
            if way.is_some_and(|(kind, layout)| self.problem.kinds[kind].is_kept(layout)) {
                choice.consider(used, 1.0, vec![source]);
            }
        }
        if let Some(split) = choice.split() {
            return Some(split);
        }
        self.choose_division(&usage)
            .or_else(|| self.choose_pair(primal))
    }

    /// The split by how boards are divided: those that yield many strips of one kind, or those divided in one way.
    fn choose_division(&mut self, usage: &[f64]) -> Option<Split> {
        let mut yielding: BTreeMap<(usize, u32), Vec<usize>> = BTreeMap::new();
        let mut divided = Vec::new();
        for (source, what) in self.master.sources.iter().enumerate() {
            match what {
                ColumnSource::Ripped { yields, .. } => {
                    divided.push(source);
                    for &(strip, number) in yields {
                        for least in 1..=number {
                            yielding.entry((strip, least)).or_default().push(source);
                        }
                    }
                }
                &ColumnSource::Whole { kind, .. } => {
                    if self.problem.kinds[kind].layouts.len() > 1 {
                        divided.push(source);
                    }
                }
                ColumnSource::Strip { .. } | ColumnSource::Absent { .. } => {}
            }
        }
        let mut choice = BestSet::new(&mut self.master);
        for source in divided {
            choice.consider(usage[source], PART_WEIGHT, vec![source]);
        }
        for sources in yielding.into_values() {
            choice.consider(
                sources.iter().map(|&source| usage[source]).sum(),
                1.0,
                sources,
            );
        }
        choice.split()
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
        let mut together: Vec<((usize, usize), f64)> = Vec::new();
        let mut place = std::collections::BTreeMap::new();
        for &(index, value) in primal {
            let column = &self.master.columns()[index];
            if matches!(self.master.source_of(index), ColumnSource::Absent { .. }) {
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
        // As the rule asks, in tenths; of those the largest, as what is decided of it decides most of what lies beside it; of these
        // that nearest to a half from above, the first found.
        // Where boards must be full, the largest pieces leave the fewest ways to fill what they are on.
        let rule = if self.master.is_full() {
            PairRule::Largest
        } else {
            self.regrowth.rule()
        };
        let mut best: Option<(u32, i64, u32, usize, usize)> = None;
        for &((first, second), total) in &together {
            let fraction = total - total.floor();
            if !(LEAST_FRACTION..=1.0 - LEAST_FRACTION).contains(&fraction) {
                continue;
            }
            let size = self.master.items.sizes[first] + self.master.items.sizes[second];
            let score = (rule.tenths(fraction), size, PairRule::Half.tenths(fraction));
            let better = best
                .as_ref()
                .is_none_or(|known| score > (known.0, known.1, known.2));
            if better {
                best = Some((score.0, score.1, score.2, first, second));
            }
        }
        best.map(|(.., first, second)| Split::Pair { first, second })
            .or_else(|| self.choose_column(primal))
    }

    /// The column whose use is nearest to a half, where no pair of items is left to split by.
    fn choose_column(&self, primal: &[(usize, f64)]) -> Option<Split> {
        let mut best: Option<(f64, usize, u32)> = None;
        for &(column, value) in primal {
            if self.master.columns()[column].counts.is_empty() {
                continue;
            }
            let below = value.floor();
            let distance = (value - below).min(below + 1.0 - value);
            if distance > LEAST_FRACTION && best.is_none_or(|known| distance > known.0) {
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

/// For each set of items, where there are several, the boards of one strip that serve it.
fn serving(master: &Master<'_>) -> Vec<Vec<usize>> {
    let mut serving: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (source, what) in master.sources.iter().enumerate() {
        if let &ColumnSource::Whole { strip, .. } = what {
            let group = master.problem.strips[strip].group;
            serving.entry(group).or_default().push(source);
        }
    }
    if serving.len() < 2 {
        return Vec::new();
    }
    serving.into_values().collect()
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

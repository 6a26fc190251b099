//! Pricing: the best patterns of every kind for the program's duals, and the bound that follows from them.
#![expect(
    clippy::float_arithmetic,
    reason = "duals are floats until they are rounded to integers here"
)]

use super::super::bound::{self, IntegerDuals};
use super::super::knapsack::Fill;
use super::super::meter::Meter;
use super::super::params::{
    FINEST_SCALE, LEADS_PER_ITEM, LEAST_GAIN, LEAST_LEADS, MOST_LEADS, WORTH_LIMIT,
};
use super::super::problem::times_within;
use super::{ColumnSource, Master, MasterColumn, NodeState, UNBOUNDED, float, floor};

/// Duals of the program as floats.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Duals {
    /// Of each item, 0 or more.
    items: Vec<f64>,
    /// Of the lower and the upper bound of each of the state's sets: 0 or more, 0 or less.
    sets: Vec<(f64, f64)>,
    /// Of a loose strip of each kind, 0 or more: what its share of a ripped board costs.
    strips: Vec<f64>,
}

impl Duals {
    /// Duals of items and of the state's sets, with strips that cost nothing.
    pub(super) fn of_items(items: Vec<f64>, sets: Vec<(f64, f64)>, n_strips: usize) -> Duals {
        Duals {
            items,
            sets,
            strips: vec![0.0; n_strips],
        }
    }

    /// The point between the two that has `share` of `self`.
    pub(super) fn blend(&self, share: f64, other: &Duals) -> Duals {
        let mix = |one: f64, other: f64| share * one + (1.0 - share) * other;
        let mixed = |one: &[f64], other: &[f64]| {
            let pairs = one.iter().zip(other);
            pairs.map(|(&one, &other)| mix(one, other)).collect()
        };
        let sets = self.sets.iter().zip(&other.sets);
        Duals {
            items: mixed(&self.items, &other.items),
            sets: sets
                .map(|(one, other)| (mix(one.0, other.0), mix(one.1, other.1)))
                .collect(),
            strips: mixed(&self.strips, &other.strips),
        }
    }
}

/// What a pricing gave.
#[derive(Clone, Debug)]
pub(super) struct Priced {
    /// The proved bound, scaled.
    pub(super) bound: i128,
    /// Columns that came in.
    pub(super) n_new: usize,
    /// Whether knapsacks took a finer grid, so that the same duals may give more.
    pub(super) refined: bool,
    /// No board of a source, or strip, is worth more, whether any are in supply or not.
    pub(super) worths: Vec<i64>,
}

impl Master<'_> {
    /// The duals of the program.
    pub(super) fn duals(&self, state: &NodeState) -> Duals {
        let items = (0..self.rows.item.len()).map(|item| {
            if state.demand.get(item).copied().unwrap_or(0) > 0 {
                self.lp.dual(self.rows.item[item]).max(0.0)
            } else {
                0.0
            }
        });
        let sets = state.sets.iter().map(|bound| {
            let rows = self.rows.sets[bound.set].1;
            (
                self.lp.dual(rows.least).max(0.0),
                self.lp.dual(rows.most).min(0.0),
            )
        });
        let strips = self
            .rows
            .link
            .iter()
            .map(|row| row.map_or(0.0, |row| -self.lp.dual(row).min(0.0)));
        Duals {
            items: items.collect(),
            sets: sets.collect(),
            strips: strips.collect(),
        }
    }

    /// Duals of the problem's own items, in units of the dearest board.
    pub(in super::super) fn item_duals(&self) -> Vec<f64> {
        (0..self.problem.n_items())
            .map(|item| self.lp.dual(self.rows.item[item]).max(0.0))
            .collect()
    }

    /// The dual of the supply of a kind, 0 or less, in units of the dearest board.
    pub(in super::super) fn supply_dual(&self, kind: usize) -> f64 {
        let row = self.rows.supply[kind];
        row.map_or(0.0, |row| self.lp.dual(row).min(0.0))
    }

    /// Duals rounded to integers, at a scale at which no pattern's worth overflows.
    pub(super) fn rounded(&self, state: &NodeState, duals: &Duals) -> IntegerDuals {
        let raw = &duals.items;
        let mut scale = FINEST_SCALE;
        let rounded = |scale: i64| -> Vec<i64> {
            raw.iter().map(|&dual| floor(dual * float(scale))).collect()
        };
        let mut items = rounded(scale);
        loop {
            let fits = self
                .items
                .groups
                .iter()
                .zip(&self.knapsacks)
                .all(|(group, knapsack)| {
                    let priced: Vec<(usize, i64, i64)> = group
                        .iter()
                        .map(|&item| (item, self.items.sizes[item], items[item]))
                        .collect();
                    knapsack.worth_limit(&priced) < WORTH_LIMIT
                });
            if fits || scale <= 1 {
                break;
            }
            scale /= 2;
            items = rounded(scale);
        }
        // No scale is coarse enough for duals out of all proportion, as those of a node without plans may be.
        for (group, knapsack) in self.items.groups.iter().zip(&self.knapsacks) {
            for &item in group {
                let most = knapsack.most_profit(self.items.sizes[item], WORTH_LIMIT);
                items[item] = items[item].min(most);
            }
        }
        let sets = state
            .sets
            .iter()
            .zip(&duals.sets)
            .map(|(bound, duals)| {
                // A bound that nobody asked for earns nothing.
                let most = if bound.number.most == UNBOUNDED {
                    0.0
                } else {
                    duals.1
                };
                (
                    bound.set,
                    floor(duals.0 * float(scale)),
                    floor(most * float(scale)),
                )
            })
            .collect();
        let unit = self.problem.dearest();
        IntegerDuals {
            items,
            sets,
            scale,
            unit,
        }
    }

    /// Prices every source at `rounded`, which are `duals` rounded.
    ///
    /// Columns that are worth more than they cost come into the program.
    /// No board is worth more than the strips it yields, whatever the program says that a strip costs: so the bound
    /// rests on the duals of items and sets alone.
    pub(super) fn price(
        &mut self,
        state: &NodeState,
        cutoff: i64,
        rounded: &IntegerDuals,
        duals: &Duals,
        meter: &Meter<'_>,
    ) -> Priced {
        self.fill_tables(state, rounded, meter);
        let is_wanted = self.wanted_strips(state);
        let mut fresh: Vec<MasterColumn> = Vec::new();
        let mut worths = vec![0i64; self.sources.len()];
        let mut net_costs = vec![0i64; self.sources.len()];
        let share = 1 + self.problem.kinds.len();
        let most_leads = (MOST_LEADS / share + LEAST_LEADS)
            .max(self.problem.n_items() / (LEADS_PER_ITEM * share));
        for (source, what) in self.sources.iter().enumerate() {
            let net = match *what {
                ColumnSource::Strip { strip } => floor(duals.strips[strip] * float(rounded.scale)),
                _ => self.net_cost(source, rounded),
            };
            net_costs[source] = net;
            worths[source] = match *what {
                ColumnSource::Whole { kind, strip, .. } if state.supply[kind] > 0 => {
                    self.price_strip(source, strip, net, state, most_leads, meter, &mut fresh)
                }
                ColumnSource::Strip { strip } if is_wanted[strip] => {
                    self.price_strip(source, strip, net, state, most_leads, meter, &mut fresh)
                }
                ColumnSource::Absent { kind } if state.supply[kind] > 0 => {
                    self.price_absent(source, state, rounded, &mut fresh)
                }
                _ => 0,
            };
        }
        let strip_worth =
            |strip: usize| self.strip_source[strip].map_or(0, |source| worths[source]);
        let mut excesses = vec![0i64; self.problem.kinds.len()];
        for (source, what) in self.sources.iter().enumerate() {
            let Some(kind) = what.kind() else { continue };
            let worth = match what {
                ColumnSource::Ripped { yields, .. } => yields
                    .iter()
                    .map(|&(strip, number)| i64::from(number) * strip_worth(strip))
                    .sum(),
                _ => worths[source],
            };
            excesses[kind] = excesses[kind].max(worth - net_costs[source]);
        }
        let at_most = self.worths_at_most(state, &worths);
        let mut refined = false;
        for knapsack in &mut self.knapsacks {
            refined |= knapsack.refine();
        }
        let most: Vec<u32> = self
            .problem
            .kinds
            .iter()
            .zip(&state.supply)
            .map(|(kind, &supply)| {
                // What is kept costs nothing, so any number of it can be paid for.
                let cost = if kind.n_kept > 0 { 0 } else { kind.cost };
                supply.min(bound::affordable(
                    cutoff.saturating_add(self.problem.besides),
                    cost,
                ))
            })
            .collect();
        let sets = set_terms(state, rounded);
        let mut bound = bound::lagrangian(&state.demand, rounded, &sets, &excesses, &most);
        for (strip, &loose) in state.loose.iter().enumerate() {
            bound -= i128::from(loose) * i128::from(strip_worth(strip));
        }
        for cap in &state.caps {
            // The column is left out of the worth of its source, so what it is worth more, or less, counts apart.
            let column = &self.pool.columns()[cap.column];
            let worth: i64 = column
                .counts
                .iter()
                .map(|&(item, count)| rounded.items[item] * i64::from(count))
                .sum();
            let gain = i128::from(worth) - i128::from(worths[column.source]);
            let most = cap
                .number
                .most
                .min(times_within(&column.counts, &state.demand));
            bound -= gain * i128::from(if gain > 0 { most } else { cap.number.least });
        }
        let fresh = fresh.iter().filter(|column| self.add_column(column));
        let n_new = fresh.count();
        Priced {
            bound,
            n_new,
            refined,
            worths: at_most,
        }
    }

    /// Fills the tables of all groups for duals.
    fn fill_tables(&mut self, state: &NodeState, rounded: &IntegerDuals, meter: &Meter<'_>) {
        for group in 0..self.items.groups.len() {
            let items = self.items.groups[group].iter().map(|&item| {
                let profit = i32::try_from(rounded.items[item]).unwrap_or(i32::MAX);
                (
                    item,
                    self.items.sizes[item],
                    profit,
                    state.demand.get(item).copied().unwrap_or(0),
                )
            });
            let fill = if self.is_full {
                Fill::Whole
            } else {
                Fill::Fitting
            };
            self.knapsacks[group].fill(items, fill, meter);
            self.knapsacks[group].set_clashes(&state.clashes, self.items.sizes.len());
        }
    }

    /// The same `worths`, and those of boards that are not in supply.
    fn worths_at_most(&self, state: &NodeState, worths: &[i64]) -> Vec<i64> {
        let own = self.sources.iter().zip(worths);
        let at_most = own.map(|(source, &worth)| match *source {
            ColumnSource::Whole { kind, strip, .. } if state.supply[kind] == 0 => {
                let strip = self.problem.strips[strip];
                i64::from(self.knapsacks[strip.group].bound(strip.capacity))
            }
            _ => worth,
        });
        at_most.collect()
    }

    /// Which kinds of strip are at hand or can be had from boards in supply.
    fn wanted_strips(&self, state: &NodeState) -> Vec<bool> {
        let mut is_wanted: Vec<bool> = state.loose.iter().map(|&loose| loose > 0).collect();
        for source in &self.sources {
            if let ColumnSource::Ripped { kind, yields, .. } = source
                && state.supply[*kind] > 0
            {
                for &(strip, _) in yields {
                    is_wanted[strip] = true;
                }
            }
        }
        is_wanted
    }

    /// The scaled cost of a board of `source`, less the duals of the sets it is in.
    pub(super) fn net_cost(&self, source: usize, rounded: &IntegerDuals) -> i64 {
        let cost = i128::from(self.sources[source].cost(self.problem)) * i128::from(rounded.scale)
            / i128::from(rounded.unit);
        let mut net =
            i64::try_from(cost).expect("a cost is at most the unit, so its scaled value is small");
        for &(set, least, most) in &rounded.sets {
            if self.rows.sets[set].0.contains(&source) {
                net -= least + most;
            }
        }
        net
    }

    /// What leaving one piece out is worth at most; every item may be left out.
    fn price_absent(
        &self,
        source: usize,
        state: &NodeState,
        rounded: &IntegerDuals,
        fresh: &mut Vec<MasterColumn>,
    ) -> i64 {
        let forbidden = self.forbidden(source, state);
        let mut worth = 0;
        for item in 0..self.problem.n_items() {
            if state.demand[item] == 0 || forbidden.contains(&&[(item, 1)][..]) {
                continue;
            }
            let weight = i64::from(self.problem.weights[item].max(1));
            worth = worth.max((rounded.items[item] + weight - 1) / weight);
            fresh.push(MasterColumn {
                source,
                counts: vec![(item, 1)],
            });
        }
        worth
    }

    /// The patterns of `source` that stand in rows of their own.
    fn forbidden(&self, source: usize, state: &NodeState) -> Vec<&[(usize, u32)]> {
        state
            .caps
            .iter()
            .map(|cap| &self.pool.columns()[cap.column])
            .filter(|column| column.source == source)
            .map(|column| column.counts.as_slice())
            .collect()
    }

    /// The worth of the best pattern of a strip (or a bound on it); patterns that are worth more than `net` come out.
    #[expect(
        clippy::too_many_arguments,
        reason = "a step of the pricing loop, taken out for length"
    )]
    fn price_strip(
        &self,
        source: usize,
        strip: usize,
        net: i64,
        state: &NodeState,
        most_leads: usize,
        meter: &Meter<'_>,
        fresh: &mut Vec<MasterColumn>,
    ) -> i64 {
        // Less than this is noise of the rounding, and each unit of it costs the bound a unit for each board.
        let above = net.saturating_add(LEAST_GAIN);
        if net < 0 && !self.is_full {
            // Where boards are asked for, one that stays whole may be worth its cost.
            fresh.push(MasterColumn {
                source,
                counts: Vec::new(),
            });
        }
        let strip = self.problem.strips[strip];
        let knapsack = &self.knapsacks[strip.group];
        let upper = i64::from(knapsack.bound(strip.capacity));
        if upper <= above {
            return upper;
        }
        let forbidden = self.forbidden(source, state);
        let above = i32::try_from(above.max(0)).unwrap_or(i32::MAX);
        let mut leads = Vec::new();
        knapsack.leads(strip.capacity, above, &mut leads);
        let mut worth = i64::from(above);
        let mut n_found = 0;
        for &(bound, lead) in &leads {
            if n_found >= most_leads || meter.halted() {
                worth = worth.max(i64::from(bound));
                break;
            }
            let (found, cut_short) =
                knapsack.best(strip.capacity, above, Some(lead), &forbidden, meter);
            if cut_short {
                worth = worth.max(i64::from(bound));
            }
            if let Some(found) = found {
                n_found += 1;
                worth = worth.max(i64::from(found.value));
                fresh.push(MasterColumn {
                    source,
                    counts: found.counts,
                });
            }
        }
        worth
    }
}

/// The bounds of the state's sets with their duals.
fn set_terms(state: &NodeState, rounded: &IntegerDuals) -> Vec<bound::SetTerm> {
    rounded
        .sets
        .iter()
        .map(|&(set, least_dual, most_dual)| {
            let bound = state
                .sets
                .iter()
                .find(|bound| bound.set == set)
                .expect("duals follow the state");
            bound::SetTerm {
                least_dual,
                most_dual,
                number: bound.number,
            }
        })
        .collect()
}

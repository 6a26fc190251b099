//! Pricing: the best patterns of every kind for the program's prices, and the bound that follows from them.
#![expect(
    clippy::float_arithmetic,
    reason = "prices are floats until they are rounded to integers here"
)]

use super::super::bound::{self, Prices};
use super::super::meter::Meter;
use super::super::params::MOST_LEADS;
use super::super::problem::times_within;
use super::{Column, Master, Source, State, UNBOUNDED, float, floor};

/// Prices of the program as floats.
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
#[derive(Clone, Copy, Debug)]
pub(super) struct Priced {
    /// The proved bound, scaled.
    pub(super) bound: i128,
    /// Columns that came in.
    pub(super) n_new: usize,
    /// Whether knapsacks took a finer grid, so that the same prices may give more.
    pub(super) refined: bool,
}

impl Master<'_> {
    /// The prices of the program.
    pub(super) fn duals(&self, state: &State) -> Duals {
        let items = (0..self.item_row.len()).map(|item| {
            if state.demand.get(item).copied().unwrap_or(0) > 0 {
                self.lp.price(self.item_row[item]).max(0.0)
            } else {
                0.0
            }
        });
        let sets = state.sets.iter().map(|bound| {
            let set = &self.sets[bound.set];
            (
                self.lp.price(set.least_row).max(0.0),
                self.lp.price(set.most_row).min(0.0),
            )
        });
        let strips = self
            .link_row
            .iter()
            .map(|row| row.map_or(0.0, |row| -self.lp.price(row).min(0.0)));
        Duals {
            items: items.collect(),
            sets: sets.collect(),
            strips: strips.collect(),
        }
    }

    /// Prices of the problem's own items, in units of the dearest board.
    pub(in super::super) fn item_prices(&self) -> Vec<f64> {
        (0..self.problem.n_items())
            .map(|item| self.lp.price(self.item_row[item]).max(0.0))
            .collect()
    }

    /// Prices rounded to integers, at a scale at which no pattern's worth overflows.
    pub(super) fn prices(&self, state: &State, duals: &Duals) -> Prices {
        let raw = &duals.items;
        let mut scale: i64 = 1 << 29;
        let rounded = |scale: i64| -> Vec<i64> {
            raw.iter()
                .map(|&price| floor(price * float(scale)))
                .collect()
        };
        let mut items = rounded(scale);
        loop {
            let fits = self
                .groups
                .iter()
                .zip(&self.knapsacks)
                .all(|(group, knapsack)| {
                    let priced: Vec<(usize, i64, i64)> = group
                        .iter()
                        .map(|&item| (item, self.sizes[item], items[item]))
                        .collect();
                    knapsack.worth_limit(&priced) < 1 << 30
                });
            if fits || scale <= 1 {
                break;
            }
            scale /= 2;
            items = rounded(scale);
        }
        let sets = state
            .sets
            .iter()
            .zip(&duals.sets)
            .map(|(bound, duals)| {
                // A bound that nobody asked for earns nothing.
                let most = if bound.most == UNBOUNDED {
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
        Prices {
            items,
            sets,
            scale,
            unit,
        }
    }

    /// Prices every source at `prices`, which are `duals` rounded.
    ///
    /// Columns that are worth more than they cost come into the program.
    /// No board is worth more than the strips it yields, whatever the program says that a strip costs: so the bound
    /// rests on the prices of items and sets alone.
    pub(super) fn price(
        &mut self,
        state: &State,
        cutoff: i64,
        prices: &Prices,
        duals: &Duals,
        meter: &Meter<'_>,
    ) -> Priced {
        for group in 0..self.groups.len() {
            let items = self.groups[group].iter().map(|&item| {
                let profit = i32::try_from(prices.items[item]).unwrap_or(i32::MAX);
                (
                    item,
                    self.sizes[item],
                    profit,
                    state.demand.get(item).copied().unwrap_or(0),
                )
            });
            self.knapsacks[group].fill(items, meter);
            self.knapsacks[group].set_clashes(&state.clashes, self.sizes.len());
        }
        let is_wanted = self.wanted_strips(state);
        let mut fresh: Vec<Column> = Vec::new();
        let mut worths = vec![0i64; self.sources.len()];
        let mut net_costs = vec![0i64; self.sources.len()];
        let most_leads = (MOST_LEADS / (1 + self.problem.kinds.len()) + 4)
            .max(self.problem.n_items() / (4 * (1 + self.problem.kinds.len())));
        for (source, what) in self.sources.iter().enumerate() {
            let net = match *what {
                Source::Strip { strip } => floor(duals.strips[strip] * float(prices.scale)),
                _ => self.net_cost(source, prices),
            };
            net_costs[source] = net;
            worths[source] = match *what {
                Source::Whole { kind, strip, .. } if state.supply[kind] > 0 => {
                    self.price_strip(source, strip, net, state, most_leads, meter, &mut fresh)
                }
                Source::Strip { strip } if is_wanted[strip] => {
                    self.price_strip(source, strip, net, state, most_leads, meter, &mut fresh)
                }
                Source::Absent { kind } if state.supply[kind] > 0 => {
                    self.price_absent(source, state, prices, &mut fresh)
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
                Source::Ripped { yields, .. } => yields
                    .iter()
                    .map(|&(strip, number)| i64::from(number) * strip_worth(strip))
                    .sum(),
                _ => worths[source],
            };
            excesses[kind] = excesses[kind].max(worth - net_costs[source]);
        }
        let mut refined = false;
        for knapsack in &mut self.knapsacks {
            refined |= knapsack.refine();
        }
        let most: Vec<u32> = self
            .problem
            .kinds
            .iter()
            .zip(&state.supply)
            .map(|(kind, &supply)| supply.min(bound::affordable(cutoff, kind.cost)))
            .collect();
        let sets = set_terms(state, prices);
        let mut bound = bound::lagrangian(&state.demand, prices, &sets, &excesses, &most);
        for (strip, &loose) in state.loose.iter().enumerate() {
            bound -= i128::from(loose) * i128::from(strip_worth(strip));
        }
        for cap in &state.caps {
            // The column is left out of the worth of its source, so what it is worth more, or less, counts apart.
            let column = &self.pool.columns()[cap.column];
            let worth: i64 = column
                .counts
                .iter()
                .map(|&(item, count)| prices.items[item] * i64::from(count))
                .sum();
            let gain = i128::from(worth) - i128::from(worths[column.source]);
            let most = cap.most.min(times_within(&column.counts, &state.demand));
            bound -= gain * i128::from(if gain > 0 { most } else { cap.least });
        }
        let mut n_new = 0;
        for column in &fresh {
            if self.add_column(column) {
                n_new += 1;
            }
        }
        Priced {
            bound,
            n_new,
            refined,
        }
    }

    /// Which kinds of strip are at hand or can be had from boards in supply.
    fn wanted_strips(&self, state: &State) -> Vec<bool> {
        let mut is_wanted: Vec<bool> = state.loose.iter().map(|&loose| loose > 0).collect();
        for source in &self.sources {
            if let Source::Ripped { kind, yields, .. } = source
                && state.supply[*kind] > 0
            {
                for &(strip, _) in yields {
                    is_wanted[strip] = true;
                }
            }
        }
        is_wanted
    }

    /// The scaled cost of a board of `source`, less the prices of the sets it is in.
    fn net_cost(&self, source: usize, prices: &Prices) -> i64 {
        let Some(kind) = self.sources[source].kind() else {
            return 0;
        };
        let cost = i128::from(self.problem.kinds[kind].cost) * i128::from(prices.scale)
            / i128::from(prices.unit);
        let mut net =
            i64::try_from(cost).expect("a cost is at most the unit, so its scaled value is small");
        for &(set, least, most) in &prices.sets {
            if self.sets[set].sources.contains(&source) {
                net -= least + most;
            }
        }
        net
    }

    /// What leaving one piece out is worth at most; every item may be left out.
    fn price_absent(
        &self,
        source: usize,
        state: &State,
        prices: &Prices,
        fresh: &mut Vec<Column>,
    ) -> i64 {
        let forbidden = self.forbidden(source, state);
        let mut worth = 0;
        for item in 0..self.problem.n_items() {
            if state.demand[item] == 0 || forbidden.contains(&&[(item, 1)][..]) {
                continue;
            }
            let pieces = i64::from(self.problem.pieces[item].max(1));
            worth = worth.max((prices.items[item] + pieces - 1) / pieces);
            fresh.push(Column {
                source,
                counts: vec![(item, 1)],
            });
        }
        worth
    }

    /// The patterns of `source` that stand in rows of their own.
    fn forbidden(&self, source: usize, state: &State) -> Vec<&[(usize, u32)]> {
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
        state: &State,
        most_leads: usize,
        meter: &Meter<'_>,
        fresh: &mut Vec<Column>,
    ) -> i64 {
        // Less than this is noise of the rounding, and each unit of it costs the bound a unit for each board.
        let above = net.saturating_add(2);
        if net < 0 {
            // Where boards are asked for, one that stays whole may be worth its cost.
            fresh.push(Column {
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
                fresh.push(Column {
                    source,
                    counts: found.counts,
                });
            }
        }
        worth
    }
}

/// The bounds of the state's sets with their prices.
fn set_terms(state: &State, prices: &Prices) -> Vec<bound::SetTerm> {
    prices
        .sets
        .iter()
        .map(|&(set, least_price, most_price)| {
            let bound = state
                .sets
                .iter()
                .find(|bound| bound.set == set)
                .expect("prices follow the state");
            bound::SetTerm {
                least_price,
                most_price,
                least: bound.least,
                most: bound.most,
            }
        })
        .collect()
}

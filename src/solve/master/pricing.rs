//! Pricing: the best patterns of every kind for the program's prices, and the bound that follows from them.
#![expect(
    clippy::float_arithmetic,
    reason = "prices are floats until they are rounded to integers here"
)]

use super::super::bound::{self, Prices};
use super::super::knapsack::Found;
use super::super::meter::Meter;
use super::super::params::MOST_LEADS;
use super::super::problem::Column;
use super::{Master, State, UNBOUNDED, float, floor};

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
    /// The prices of the program: of items, then of the bounds of the state's sets.
    pub(super) fn duals(&self, state: &State) -> Vec<f64> {
        let mut duals: Vec<f64> = (0..self.item_row.len())
            .map(|item| {
                if state.demand.get(item).copied().unwrap_or(0) > 0 {
                    self.lp.price(self.item_row[item]).max(0.0)
                } else {
                    0.0
                }
            })
            .collect();
        for bound in &state.sets {
            let set = &self.sets[bound.set];
            duals.push(self.lp.price(set.least_row).max(0.0));
            duals.push(self.lp.price(set.most_row).min(0.0));
        }
        duals
    }

    /// Prices rounded to integers, at a scale at which no pattern's worth overflows.
    pub(super) fn prices(&self, state: &State, duals: &[f64]) -> Prices {
        let (raw, set_duals) = duals.split_at(self.item_row.len());
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
                .zip(&self.longest)
                .all(|((group, knapsack), &longest)| {
                    let priced: Vec<(usize, i64, i64)> = group
                        .iter()
                        .map(|&item| (item, self.sizes[item], items[item]))
                        .collect();
                    knapsack.worth_limit(&priced, longest) < 1 << 30
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
            .zip(set_duals.chunks(2))
            .map(|(bound, duals)| {
                // A bound that nobody asked for earns nothing.
                let most = if bound.most == UNBOUNDED {
                    0.0
                } else {
                    duals[1]
                };
                (
                    bound.set,
                    floor(duals[0] * float(scale)),
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

    /// Prices every kind of board with the present prices of the program.
    ///
    /// Columns that are worth more than they cost come into the program.
    pub(super) fn price(
        &mut self,
        state: &State,
        cutoff: i64,
        prices: &Prices,
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
            self.knapsacks[group].fill(items, self.longest[group], meter);
            self.knapsacks[group].set_clashes(&state.clashes, self.sizes.len());
        }
        let mut fresh: Vec<Column> = Vec::new();
        let mut worths = Vec::with_capacity(self.problem.kinds.len());
        let n_kinds = self.problem.kinds.len();
        let most_leads = MOST_LEADS / (1 + n_kinds) + 4;
        for kind in 0..n_kinds {
            let net = self.net_cost(kind, prices);
            let worth = if state.supply[kind] == 0 {
                0
            } else {
                self.price_kind(kind, net, state, prices, most_leads, meter, &mut fresh)
            };
            worths.push((worth, net));
        }
        let mut refined = false;
        for knapsack in &mut self.knapsacks {
            refined |= knapsack.refine();
        }
        let mut n_new = 0;
        for column in &fresh {
            if self.add_column(column) {
                n_new += 1;
            }
        }
        let sets: Vec<bound::SetTerm> = prices
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
            .collect();
        let most: Vec<u32> = (0..n_kinds)
            .map(|kind| {
                let affordable = bound::affordable(cutoff, self.problem.kinds[kind].cost);
                state.supply[kind].min(affordable)
            })
            .collect();
        let mut bound = bound::lagrangian(&state.demand, prices, &sets, &worths, &most);
        for cap in &state.caps {
            // The column is left out of the worth of its kind, so it stands for itself.
            let column = &self.pool.columns()[cap.column];
            let worth: i64 = column
                .counts
                .iter()
                .map(|&(item, count)| prices.items[item] * i64::from(count))
                .sum();
            let reduced = i128::from(worths[column.kind].1) - i128::from(worth);
            let most = cap.most.min(state.supply[column.kind]);
            bound += reduced * i128::from(if reduced >= 0 { cap.least } else { most });
        }
        Priced {
            bound,
            n_new,
            refined,
        }
    }

    fn net_cost(&self, kind: usize, prices: &Prices) -> i64 {
        let cost = i128::from(self.problem.kinds[kind].cost) * i128::from(prices.scale)
            / i128::from(prices.unit);
        let mut net =
            i64::try_from(cost).expect("a cost is at most the unit, so its scaled value is small");
        for &(set, least, most) in &prices.sets {
            if self.sets[set].kinds.contains(&kind) {
                net -= least + most;
            }
        }
        net
    }

    /// The worth of the best pattern of a kind (or a bound on it); patterns that are worth more than `net` come out.
    #[expect(
        clippy::too_many_arguments,
        reason = "a step of the pricing loop, taken out for length"
    )]
    fn price_kind(
        &self,
        kind: usize,
        net: i64,
        state: &State,
        prices: &Prices,
        most_leads: usize,
        meter: &Meter<'_>,
        fresh: &mut Vec<Column>,
    ) -> i64 {
        let forbidden: Vec<&[(usize, u32)]> = state
            .caps
            .iter()
            .map(|cap| &self.pool.columns()[cap.column])
            .filter(|column| column.kind == kind)
            .map(|column| column.counts.as_slice())
            .collect();
        let what = &self.problem.kinds[kind];
        if what.absent {
            let mut worth = 0;
            for item in 0..self.problem.n_items() {
                if state.demand[item] == 0 || forbidden.contains(&&[(item, 1)][..]) {
                    continue;
                }
                let pieces = i64::from(self.problem.pieces[item].max(1));
                worth = worth.max((prices.items[item] + pieces - 1) / pieces);
                fresh.push(Column {
                    kind,
                    layout: 0,
                    counts: vec![(item, 1)],
                    parts: Vec::new(),
                });
            }
            return worth;
        }
        // Less than this is noise of the rounding, and each unit of it costs the bound a unit for each board.
        let above = net.saturating_add(2);
        let mut worth = 0i64;
        if net < 0 {
            // Where boards are asked for, one that stays whole may be worth its cost.
            fresh.push(Column {
                kind,
                layout: 0,
                counts: Vec::new(),
                parts: Vec::new(),
            });
        }
        for (layout_idx, layout) in what.layouts.iter().enumerate() {
            let upper: i64 = layout
                .iter()
                .map(|&strip| {
                    let strip = self.problem.strips[strip];
                    i64::from(self.knapsacks[strip.group].bound(strip.capacity))
                })
                .sum();
            if upper <= above {
                worth = worth.max(upper);
                continue;
            }
            if let [strip] = layout[..] {
                let strip = self.problem.strips[strip];
                let knapsack = &self.knapsacks[strip.group];
                let above = i32::try_from(above.max(0)).unwrap_or(i32::MAX);
                let mut leads = Vec::new();
                knapsack.leads(strip.capacity, above, &mut leads);
                worth = worth.max(i64::from(above));
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
                            kind,
                            layout: layout_idx,
                            counts: found.counts,
                            parts: Vec::new(),
                        });
                    }
                }
            } else {
                let (value, column) = self.price_layout(kind, layout_idx, layout, meter);
                worth = worth.max(value);
                if let Some(column) = column {
                    fresh.push(column);
                }
            }
        }
        worth
    }

    /// The best pattern of a layout of several strips: the best of each strip, since strips do not interact.
    ///
    /// Together the strips may hold more than the demand; plans are trimmed.
    fn price_layout(
        &self,
        kind: usize,
        layout_idx: usize,
        layout: &[usize],
        meter: &Meter<'_>,
    ) -> (i64, Option<Column>) {
        let mut value = 0i64;
        let mut parts: Vec<Vec<(usize, u32)>> = Vec::new();
        let mut counts: Vec<(usize, u32)> = Vec::new();
        let mut known: Vec<(usize, Found, i64)> = Vec::new();
        for &strip_idx in layout {
            if known.iter().all(|entry| entry.0 != strip_idx) {
                let strip = self.problem.strips[strip_idx];
                let knapsack = &self.knapsacks[strip.group];
                let (found, cut_short) = knapsack.best(strip.capacity, 0, None, &[], meter);
                let found = found.unwrap_or_default();
                let bound = if cut_short {
                    i64::from(knapsack.bound(strip.capacity))
                } else {
                    i64::from(found.value)
                };
                known.push((strip_idx, found, bound));
            }
            let (_, found, bound) = known
                .iter()
                .find(|entry| entry.0 == strip_idx)
                .expect("just put there");
            value += bound;
            for &(item, count) in &found.counts {
                match counts.iter_mut().find(|entry| entry.0 == item) {
                    Some(entry) => entry.1 += count,
                    None => counts.push((item, count)),
                }
            }
            parts.push(found.counts.clone());
        }
        counts.sort_unstable();
        let column = (!counts.is_empty()).then_some(Column {
            kind,
            layout: layout_idx,
            counts,
            parts,
        });
        (value, column)
    }
}

//! The linear relaxation of a node, by column generation, and the bound that is proved with it.
#![expect(
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    reason = "duals are floats until they are rounded to whole numbers here"
)]

use super::bound::{Prices, round_up};
use super::columns::Column;
use super::count::{Condition, Tally};
use super::master::{Goal, Master};
use super::model::Lane;
use super::params::{
    FINEST_SCALE, INTEGRAL_WITHIN, LEAST_GAIN, LEAST_SHARE, MAX_ROUNDS, ROUND_WORK, SMALL_POOL,
    WORTH_LIMIT,
};
use super::sums::Sums;
use super::tables::{BestSheet, LanePrices, Sheets, StripTable};
use crate::solve::lp::Reached;
use crate::solve::meter::Meter;

/// How the loop ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Outcome {
    /// The bound reached the cutoff.
    Pruned,
    /// No column improves the program, or none can raise the bound to the next sum of prices.
    Solved,
    /// The meter ended the search, or the program found no way on.
    CutShort,
}

/// What the loop found.
#[derive(Clone, Debug)]
pub(super) struct Relaxed {
    /// No plan of the node costs less.
    pub(super) bound: i64,
    /// The prices that prove it.
    pub(super) prices: Prices,
    pub(super) outcome: Outcome,
}

impl Master<'_> {
    /// Solves the relaxation of the node at the end of `path`, whose plans are of interest below `cutoff`.
    pub(super) fn relax(
        &mut self,
        path: &[Condition],
        sums: &Sums,
        cutoff: i64,
        meter: &Meter<'_>,
    ) -> Relaxed {
        self.set_sides(path, &[]);
        let demand: Vec<u32> = self.model.items.iter().map(|item| item.demand).collect();
        let mut best = Relaxed {
            bound: 0,
            prices: Prices::nothing(self.model).padded(path.len()),
            outcome: Outcome::CutShort,
        };
        for _ in 0..MAX_ROUNDS {
            if !meter.spend(ROUND_WORK) || self.solve(meter) == Reached::Halted {
                break;
            }
            self.thin_out();
            let (prices, scale) = self.rounded(path);
            let (worths, n_new) = self.price(path, &demand, &prices, scale, true, meter);
            if meter.halted() {
                break;
            }
            let scaled = prices.bound(self.model, self.goal, &self.tallies, path, &worths, cutoff);
            let bound = round_up(scaled, prices.denominator);
            let bound = if self.model.exact {
                sums.next(bound)
            } else {
                0
            };
            if bound > best.bound {
                best.bound = bound;
                best.prices = prices;
            }
            if best.bound >= cutoff {
                best.outcome = Outcome::Pruned;
                break;
            }
            if n_new > 0 {
                let next = sums.next((self.value() - INTEGRAL_WITHIN).ceil() as i64);
                if !self.is_short() && best.bound >= next {
                    best.outcome = Outcome::Solved;
                    break;
                }
                continue;
            }
            if self.is_short() && self.raise_penalty() {
                continue;
            }
            if !self.is_short() {
                best.outcome = Outcome::Solved;
            }
            break;
        }
        self.reset_penalty();
        best
    }

    /// Prices columns for what is left in a dive, where everything is worth a little; tells whether any came in.
    pub(super) fn price_rest(
        &mut self,
        path: &[Condition],
        demand: &[u32],
        meter: &Meter<'_>,
    ) -> bool {
        let (mut prices, scale) = self.rounded(path);
        let areas = self
            .model
            .items
            .iter()
            .map(|item| i128::from(item.width) * i128::from(item.height));
        let areas: Vec<i128> = areas.collect();
        let all = areas.iter().sum::<i128>().max(1);
        for (price, area) in prices.items.iter_mut().zip(areas) {
            let share = scale as i128 / i128::from(LEAST_SHARE) * area / all;
            *price += i64::try_from(share).unwrap_or(0);
        }
        let is_small = self.pool.columns().len() < SMALL_POOL;
        self.price(path, demand, &prices, scale, is_small, meter).1 > 0
    }

    /// Prices all lanes and beds; columns that are worth more than they cost come in, strips of all classes or of those
    /// alone that the best sheets have. Returns what a sheet of each bed is worth at most, and how many columns are new.
    fn price(
        &mut self,
        path: &[Condition],
        demand: &[u32],
        prices: &Prices,
        scale: f64,
        all_classes: bool,
        meter: &Meter<'_>,
    ) -> (Vec<i64>, usize) {
        let model = self.model;
        let in_prices = |dual: f64| (dual * scale).floor() as i64;
        let mut worths = vec![0i64; model.beds.len()];
        let mut fresh: Vec<Column> = Vec::new();
        let may_fill = path.iter().all(|condition| {
            let tally = &self.tallies[condition.tally];
            !matches!(tally, Tally::Pieces { .. } | Tally::Holding { .. })
        });
        for (idx, lane) in model.lanes.iter().enumerate() {
            let own = prices.of_lane(idx, &self.tallies, path);
            let table = StripTable::new(lane, &own, demand, meter);
            let mut cost = 0.0f64;
            let link: Vec<i64> = (0..lane.widths.len())
                .map(|class| {
                    cost = self.link_dual(idx, class).max(cost);
                    in_prices(cost)
                })
                .collect();
            let mut wanted = vec![false; lane.widths.len()];
            for (class, (&value, &cost)) in table.values.iter().zip(&link).enumerate() {
                wanted[class] = all_classes && value > cost + LEAST_GAIN;
            }
            let mut by_worth = Sheets::new(lane, &table.values, meter);
            let mut by_link = Sheets::new(lane, &link, meter);
            for &bed in &lane.beds {
                let kind = model.beds[bed].kind;
                let room = model.beds[bed].room;
                let widest = own.of_widest(bed);
                let cost = i128::from(self.sheet_cost(bed)) * i128::from(prices.denominator)
                    + i128::from(in_prices(self.supply_dual(kind)))
                    - i128::from(prices.of_sheet(bed, &self.tallies, path))
                    + i128::from(LEAST_GAIN);
                let is_worth_it =
                    |best: &BestSheet| i128::from(best.value) > cost && !best.strips.is_empty();
                let mut column = |best: BestSheet| {
                    let strips = best.strips;
                    let strips = if widest.is_empty() {
                        widened(lane, room, strips)
                    } else {
                        strips
                    };
                    fresh.push(Column::Sheet { bed, strips });
                };
                let best = by_worth.best(room, &widest, meter);
                worths[bed] = best.value;
                if is_worth_it(&best) {
                    for &(class, _) in &best.strips {
                        wanted[class] = true;
                    }
                    column(best);
                }
                let best = by_link.best(room, &widest, meter);
                if is_worth_it(&best) {
                    column(best);
                }
            }
            for class in (0..wanted.len()).filter(|&class| wanted[class]) {
                let pieces = table.strip(class);
                if !pieces.is_empty() {
                    let pieces = if may_fill {
                        filled(lane, class, pieces, demand)
                    } else {
                        pieces
                    };
                    fresh.push(Column::Strip {
                        lane: idx,
                        class,
                        pieces,
                    });
                }
            }
        }
        let n_new = fresh.iter().filter(|column| self.add(column)).count();
        (worths, n_new)
    }

    /// The program's duals as whole numbers, and what one unit of its value is in them.
    fn rounded(&self, path: &[Condition]) -> (Prices, f64) {
        let model = self.model;
        let mut denominator = (FINEST_SCALE / self.unit).max(1);
        let mut scale = denominator as f64 * self.unit as f64;
        let n_items = model.items.len();
        loop {
            let mut items: Vec<i64> = (0..n_items)
                .map(|item| (self.item_dual(item) * scale).floor() as i64)
                .collect();
            if self.goal == Goal::FewestMissing {
                for price in &mut items {
                    *price = (*price).min(denominator);
                }
            }
            let conditions = self.rounded_conditions(path, scale);
            let worth = model.items.iter().zip(&items);
            let worth: i128 = worth
                .map(|(item, &price)| i128::from(item.demand) * i128::from(price))
                .sum();
            let pieces: i128 = model.items.iter().map(|item| i128::from(item.demand)).sum();
            let of_conditions: i128 = conditions
                .iter()
                .map(|&price| i128::from(price.unsigned_abs()) * pieces)
                .sum();
            if worth + of_conditions < WORTH_LIMIT {
                return (
                    Prices {
                        denominator,
                        items,
                        conditions,
                    },
                    scale,
                );
            }
            denominator = (denominator / 2).max(1);
            scale /= 2.0;
        }
    }

    /// The duals of conditions: those of a tally's bounds belong to the tightest condition of each side.
    fn rounded_conditions(&self, path: &[Condition], scale: f64) -> Vec<i64> {
        let price = |(idx, condition): (usize, &Condition)| {
            let later = path[idx + 1..].iter();
            let mut same = later
                .filter(|other| other.tally == condition.tally && other.over == condition.over);
            if same.next().is_some() {
                return 0;
            }
            let (least, most) = self.tally_duals(condition.tally);
            (if condition.over {
                least * scale
            } else {
                most * scale
            })
            .floor() as i64
        };
        path.iter().enumerate().map(price).collect()
    }
}

/// Strips as wide as the room allows, and as many: none is then worth less, as a strip may lie where a wider one could.
fn widened(lane: &Lane, room: i64, strips: Vec<(usize, u32)>) -> Vec<(usize, u32)> {
    let taken: i64 = strips
        .iter()
        .map(|&(class, count)| lane.widths[class] * i64::from(count))
        .sum();
    let mut left = room - taken;
    let mut classes: Vec<usize> = Vec::new();
    for (class, count) in strips {
        classes.extend(std::iter::repeat_n(class, count as usize));
    }
    while let Some(class) = (0..lane.widths.len())
        .rev()
        .find(|&class| lane.widths[class] <= left)
    {
        classes.push(class);
        left -= lane.widths[class];
    }
    classes.sort_unstable();
    let mut counts = Vec::new();
    for class in classes.into_iter().rev() {
        let most = lane.widths[class] + left;
        let wide = lane.widths.partition_point(|&width| width <= most) - 1;
        left = most - lane.widths[wide];
        crate::cutting::add_count(&mut counts, wide, 1);
    }
    counts
}

/// A strip with more pieces where they fit.
pub(super) fn filled(
    lane: &Lane,
    class: usize,
    mut pieces: Vec<(usize, u32)>,
    demand: &[u32],
) -> Vec<(usize, u32)> {
    let shortest = |item: usize| {
        let lays = lane.lays[..lane.ends[class]]
            .iter()
            .filter(|lay| lay.item == item);
        lays.map(|lay| lay.along).min().unwrap_or(lane.length)
    };
    let taken: i64 = pieces
        .iter()
        .map(|&(item, count)| shortest(item) * i64::from(count))
        .sum();
    let mut left = lane.length - taken;
    for lay in lane.lays[..lane.ends[class]].iter().rev() {
        let known = pieces
            .iter()
            .find(|entry| entry.0 == lay.item)
            .map_or(0, |entry| entry.1);
        let fits = u32::try_from((left / lay.along).max(0)).unwrap_or(u32::MAX);
        let more = demand[lay.item].saturating_sub(known).min(fits);
        if more > 0 {
            crate::cutting::add_count(&mut pieces, lay.item, more);
            left -= lay.along * i64::from(more);
        }
    }
    pieces
}

/// The best strips of every class of a lane at the prices of single items.
pub(super) fn plain_table<'m>(
    lane: &'m Lane,
    items: &[i64],
    demand: &[u32],
    n_classes: usize,
    meter: &Meter<'_>,
) -> StripTable<'m> {
    let prices = LanePrices {
        items: items.to_vec(),
        ..LanePrices::default()
    };
    StripTable::within(lane, &prices, demand, n_classes, meter)
}

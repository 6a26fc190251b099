//! Searches a plan in three stages of cuts that costs less than one in two.
//!
//! `relax` bounds what a plan in three stages can cost; of the sets of sheets that cost less than the plan in two stages, and
//! that its prices do not rule out, `fill` fills one after another over the knapsacks of `tables`.
//! Nothing is proved here but that bound: whether a set can be filled is a search.
//!
//! # Source
//! Three stages by one knapsack more: P. C. Gilmore, R. E. Gomory, Operations Research 13(1), 1965, 94-120.

mod fill;
mod params;
mod relax;
mod tables;

use super::master::Goal;
use super::model::Model;
use super::raise::{Laid, lay_out_stacked};
use super::sums::Sums;
use crate::cutting::End;
use crate::sheets::job::{SheetJob, Stages};
use crate::sheets::plan::SheetPlan;
use crate::solve::meter::Meter;
use crate::solve::{Control, Share};
use fill::{Filler, Filling, Stacked};
use params::{MOST_SETS, ROUNDS, SHARE};
use relax::Relaxed;

/// A plan in three stages that cuts all that fits some sheet and costs less than `two`, with whatever is proved of `two`; `None` where
/// none is found.
pub(super) fn cheaper_in_three(
    job: &SheetJob,
    model: &Model,
    two: &SheetPlan,
    share: Share,
    control: &Control<'_>,
) -> Option<SheetPlan> {
    let unplaced = model.unplaced.iter();
    let unplaced: u64 = unplaced
        .map(|&item| u64::from(job.items()[item].demand))
        .sum();
    if two.n_missing() > unplaced || two.cost == 0 {
        return None;
    }
    let stop = || (control.stop)();
    let meter = Meter::new(&stop, share.min(SHARE));
    let sums = Sums::new(model, two.cost);
    let goal = Goal::LeastCost { missing: 0 };
    let relaxed = relax::relax(model, goal, &sums, two.cost, &meter)?;
    let search = Search {
        job,
        model,
        relaxed: &relaxed,
        meter: &meter,
    };
    let laid = search.cheaper(two.cost)?;
    let plan = SheetPlan {
        sheets: laid.sheets,
        missing: laid.missing,
        cost: laid.cost,
        // What is proved is of plans in two stages, and this one needs three.
        end: meter.end().unwrap_or(End::WorkLimit),
        ..two.clone()
    };
    // Unless no stack of it has two pieces: then it is a plan in two stages that the search for these did not find.
    let bounds_meet = plan.bound.missing_pieces == plan.n_missing() && plan.bound.cost == plan.cost;
    if plan.stages() == Stages::Two && bounds_meet {
        return Some(SheetPlan {
            end: End::Proved,
            ..plan
        });
    }
    Some(plan)
}

/// A search over sets of sheets.
struct Search<'a> {
    job: &'a SheetJob,
    model: &'a Model,
    relaxed: &'a Relaxed,
    meter: &'a Meter<'a>,
}

/// A set of sheets: how many of each kind, what they cost, and by how much they are worth more than what is wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Set {
    counts: Vec<u32>,
    cost: i64,
    surplus: i128,
}

impl Search<'_> {
    /// The cheapest plan found that costs less than `most`.
    fn cheaper(&self, most: i64) -> Option<Laid> {
        let mut sets = self.sets(most);
        let values = self
            .relaxed
            .prices
            .items
            .iter()
            .map(|&price| (price >> 12).max(1));
        let mut filler = Filler::new(self.model, values.collect());
        let mut best: Option<Laid> = None;
        while !sets.is_empty() && !self.meter.halted() {
            for set in sets.clone() {
                let Some(filling) = self.fill(&mut filler, &set) else {
                    continue;
                };
                let laid = self.lay_out(&filling.sheets);
                if laid.cost < best.as_ref().map_or(most, |best| best.cost) {
                    sets.retain(|set| set.cost < laid.cost);
                    best = Some(laid);
                    break;
                }
            }
        }
        best
    }

    /// The sheets of a set filled with all that is wanted, if that is found.
    fn fill(&self, filler: &mut Filler<'_>, set: &Set) -> Option<Filling> {
        let demand = self.model.items.iter().map(|item| item.demand).collect();
        let mut filling = filler.pass(set.counts.clone(), demand, self.meter);
        let mut rounds = 0;
        let is_left = |filling: &Filling| filling.left.iter().any(|&count| count > 0);
        while is_left(&filling) && rounds < ROUNDS && !self.meter.halted() {
            rounds += 1;
            filler.learn(&filling.left, rounds % 8 == 0);
            if filler.refill(&mut filling, self.meter) {
                rounds = 0;
            }
        }
        let found = (!is_left(&filling)).then(|| filling.clone());
        filler.learn(&filling.left, false);
        found
    }

    /// Sheets laid out.
    fn lay_out(&self, sheets: &[Stacked]) -> Laid {
        let strips = sheets.iter().map(|sheet| (sheet.bed, &sheet.strips[..]));
        lay_out_stacked(self.job, self.model, strips)
    }

    /// The sets that cost less than `most` and are worth, at the prices of the relaxation, what is wanted; of these the ones
    /// with the largest surplus.
    fn sets(&self, most: i64) -> Vec<Set> {
        let model = self.model;
        let prices = &self.relaxed.prices;
        let items = model.items.iter().zip(&prices.items);
        let wanted: i128 = items
            .map(|(item, &price)| i128::from(item.demand) * i128::from(price))
            .sum();
        let worth = |kind: usize| {
            let beds = model.beds_of(kind).into_iter();
            beds.map(|bed| self.relaxed.worths[bed]).max().unwrap_or(0)
        };
        let worths: Vec<i64> = (0..model.kinds.len()).map(worth).collect();
        let mut sets = vec![Set {
            counts: Vec::new(),
            cost: 0,
            surplus: -wanted,
        }];
        for (kind, worth) in model.kinds.iter().zip(worths) {
            let mut more = Vec::new();
            for set in &sets {
                // All that costs nothing is there.
                let least = if kind.price == 0 { kind.limit } else { 0 };
                for count in least..=kind.limit {
                    let cost = set.cost + kind.price * i64::from(count);
                    if cost >= most || more.len() > MOST_SETS * MOST_SETS * 100 {
                        break;
                    }
                    let mut counts = set.counts.clone();
                    counts.push(count);
                    more.push(Set {
                        counts,
                        cost,
                        surplus: set.surplus + i128::from(worth) * i128::from(count),
                    });
                }
            }
            more.sort_by_key(|set| std::cmp::Reverse(set.surplus));
            more.truncate(MOST_SETS * 100);
            sets = more;
        }
        sets.retain(|set| set.surplus >= 0 && set.cost >= self.relaxed.bound);
        sets.truncate(MOST_SETS);
        sets
    }
}

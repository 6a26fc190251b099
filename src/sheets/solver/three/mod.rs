//! Searches a plan in three stages of cuts that costs less than one in two.
//!
//! `relax` finds prices at which sheets are worth no more than they cost; `sets` lists the sets of sheets that cost less than the
//! plan in two stages and are worth, at these prices, what is wanted. Many of them are ruled out by prices of their own; `fill`
//! fills the others one after another over the knapsacks of `tables`.
//! What is ruled out is proved; whether a set that is left can be filled is a search.
//!
//! # Source
//! Three stages by one knapsack more: P. C. Gilmore, R. E. Gomory, Operations Research 13(1), 1965, 94-120.

mod fill;
mod params;
mod relax;
mod sets;
mod tables;

use super::model::Model;
use super::raise::{Laid, lay_out_stacked};
use super::sums::Sums;
use crate::cutting::End;
use crate::sheets::certificate::{InThree, PricesInThree};
use crate::sheets::job::{SheetJob, Stages};
use crate::sheets::plan::SheetPlan;
use crate::solve::meter::Meter;
use crate::solve::{Control, Share};
use fill::{Filler, Filling, Stacked};
use params::{MOST_REFUTED, MOST_SETS, REFUTE_WORK, ROUNDS, SHARE};
use relax::{Program, Proof, Relaxed};
use sets::{Set, open_sets};
use std::cmp::Reverse;

/// What is best of `two`, the plan in two stages, and what is found in three; with the proof of what plans in three stages cost
/// at least.
pub(super) fn or_in_three(
    job: &SheetJob,
    model: &Model,
    two: SheetPlan,
    share: Share,
    control: &Control<'_>,
) -> SheetPlan {
    let unplaced = model.unplaced.iter();
    let unplaced: u64 = unplaced
        .map(|&item| u64::from(job.items()[item].demand))
        .sum();
    if two.n_missing() > unplaced || two.cost == 0 {
        return two;
    }
    let stop = || (control.stop)();
    let meter = Meter::new(&stop, share.min(SHARE));
    let sums = Sums::new(model, two.cost);
    let mut program = Program::new(model);
    let Some(relaxed) = program.relax(&sums, two.cost, &meter) else {
        return two;
    };
    let mut search = Search::new(job, model, relaxed, &meter);
    search.list(two.cost);
    search.refute(&mut program);
    let laid = search.cheaper(two.cost);
    let mut plan = two;
    plan.certificate.in_three = search.proof(laid.as_ref().map_or(plan.cost, |laid| laid.cost));
    let Some(laid) = laid else {
        return plan;
    };
    plan.sheets = laid.sheets;
    plan.missing = laid.missing;
    plan.cost = laid.cost;
    // What is proved above is of plans in two stages, and this one needs three; unless no stack of it has two pieces: then it is
    // one in two that the search for these did not find.
    let bounds_meet = plan.bound.missing_pieces == plan.n_missing() && plan.bound.cost == plan.cost;
    plan.end = if plan.stages() == Stages::Two && bounds_meet {
        End::Proved
    } else {
        meter.end().unwrap_or(End::WorkLimit)
    };
    plan
}

/// A search over sets of sheets.
struct Search<'a> {
    job: &'a SheetJob,
    model: &'a Model,
    meter: &'a Meter<'a>,
    /// No plan costs less, at the prices of the first proof alone.
    bound: i64,
    /// Each rules out the sets that are worth less at its prices than what is wanted.
    proofs: Vec<Proof>,
    /// What is left: the sets that may hold all, those worth most first.
    sets: Vec<Set>,
    /// Whether every set that is not there was ruled out, of those that cost less than the plan in two stages.
    is_complete: bool,
}

impl<'a> Search<'a> {
    fn new(
        job: &'a SheetJob,
        model: &'a Model,
        relaxed: Relaxed,
        meter: &'a Meter<'a>,
    ) -> Search<'a> {
        Search {
            job,
            model,
            meter,
            bound: relaxed.bound,
            proofs: vec![relaxed.proof],
            sets: Vec::new(),
            is_complete: true,
        }
    }

    /// Lists the sets that cost less than `most`.
    fn list(&mut self, most: i64) {
        let first = &self.proofs[0];
        let open = open_sets(self.model, first, most);
        self.is_complete = open.is_complete;
        self.sets = open.sets;
        self.sets
            .sort_by_key(|set| Reverse(first.surplus(self.model, &set.counts)));
    }

    /// Rules sets out by prices of their own, while there is work left for that.
    fn refute(&mut self, program: &mut Program<'_>) {
        let model = self.model;
        let (mut next, mut n_left) = (0, MOST_REFUTED);
        while next < self.sets.len()
            && n_left > 0
            && self.meter.work() <= REFUTE_WORK
            && !self.meter.halted()
        {
            n_left -= 1;
            match program.refute(&self.sets[next].counts, self.meter) {
                Some(proof) => {
                    self.sets
                        .retain(|set| proof.surplus(model, &set.counts) >= 0);
                    self.proofs.push(proof);
                }
                None => next += 1,
            }
        }
    }

    /// What was proved, the best plan costing `best`; `None` where that is nothing.
    fn proof(&self, best: i64) -> Option<InThree> {
        let open = self.sets.iter().map(|set| set.cost).min();
        let bound = if self.is_complete {
            open.map_or(best, |open| open.min(best))
        } else {
            self.bound
        };
        let prices = |proof: &Proof| PricesInThree {
            denominator: proof.prices.denominator,
            prices: self.model.prices_in_job(&proof.prices.items),
        };
        let n_proofs = if self.is_complete {
            self.proofs.len()
        } else {
            1
        };
        (bound > 0).then(|| InThree {
            cost: bound,
            prices: self.proofs[..n_proofs].iter().map(prices).collect(),
        })
    }

    /// The cheapest plan found that costs less than `most`.
    fn cheaper(&self, most: i64) -> Option<Laid> {
        let mut sets = self.sets.clone();
        sets.truncate(MOST_SETS);
        let values = &self.proofs[0].prices.items;
        let values = values.iter().map(|&price| (price >> 12).max(1));
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
}

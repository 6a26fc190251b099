//! The linear relaxation of plans in three stages over whole sheets, and what follows from its prices in whole numbers: a bound
//! on the cost, and which sets of sheets cannot hold all.
#![expect(
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    reason = "duals are floats until they are rounded to whole numbers here"
)]

use std::collections::BTreeSet;

use super::tables::StripTable;
use crate::sheets::solver::bound::{Prices, round_up};
use crate::sheets::solver::master::Goal;
use crate::sheets::solver::model::{Model, ModelKind};
use crate::sheets::solver::params::{
    FINEST_SCALE, FIRST_PENALTY, LEAST_GAIN, MAX_ROUNDS, SHORT_ABOVE,
};
use crate::sheets::solver::sums::Sums;
use crate::solve::lp::{Lp, Reached, Sense, SimplexWay};
use crate::solve::meter::Meter;

/// What the relaxation tells.
#[derive(Clone, Debug)]
pub(super) struct Relaxed {
    /// No plan in three stages costs less.
    pub(super) bound: i64,
    /// Prices of the items that prove it.
    pub(super) proof: Proof,
}

/// Prices with what sheets are worth at them.
#[derive(Clone, Debug)]
pub(super) struct Proof {
    pub(super) prices: Prices,
    /// By bed: what a sheet is worth at most.
    pub(super) worths: Vec<i64>,
}

/// A sheet's items, `(item, how many)`, on a bed.
type Whole = (usize, Vec<(usize, u32)>);

/// The linear program over whole sheets, with the columns that were found so far.
pub(super) struct Program<'m> {
    model: &'m Model,
    demand: Vec<u32>,
    known: BTreeSet<Whole>,
    lp: Lp,
    /// The row of each kind that says how many there are, where anything does.
    supply: Vec<Option<usize>>,
}

impl<'m> Program<'m> {
    /// The program in which sheets cost what they do, with columns that cut each item at all.
    pub(super) fn new(model: &'m Model) -> Program<'m> {
        let mut known = BTreeSet::new();
        for whole in alike(model) {
            known.insert(whole);
        }
        let mut program = Program {
            model,
            demand: model.items.iter().map(|item| item.demand).collect(),
            known,
            lp: Lp::new(&[], FIRST_PENALTY),
            supply: Vec::new(),
        };
        let unit = model.dearest();
        let costs: Vec<f64> = (0..model.beds.len())
            .map(|bed| program.price(bed) as f64 / unit as f64)
            .collect();
        let limit = |kind: &ModelKind| kind.limited.then_some(kind.limit);
        program.begin(&costs, model.kinds.iter().map(limit).collect());
        program
    }

    /// What a sheet of a bed costs.
    fn price(&self, bed: usize) -> i64 {
        self.model.kinds[self.model.beds[bed].kind].price
    }

    /// Begins anew with all known columns, where sheets of the beds cost so much and there are so many of each kind.
    fn begin(&mut self, costs: &[f64], limits: Vec<Option<u32>>) {
        self.lp = Lp::new(costs, FIRST_PENALTY);
        for &demand in &self.demand {
            self.lp.add_row(Sense::AtLeast, f64::from(demand), &[]);
        }
        self.supply = Vec::new();
        for (kind, limit) in limits.into_iter().enumerate() {
            let beds = self.model.beds_of(kind);
            let row = limit.map(|limit| self.lp.add_row(Sense::AtMost, f64::from(limit), &beds));
            self.supply.push(row);
        }
        for whole in &self.known {
            enter(&mut self.lp, whole);
        }
    }

    /// Solves it over the columns there are; `false` where the work is used up.
    fn solve(&mut self, meter: &Meter<'_>) -> bool {
        let way = SimplexWay {
            disturbed: self.lp.is_untouched(),
            allowance: None,
        };
        self.lp.solve(way, meter) != Reached::Halted
    }

    /// The prices of the items, in parts of `scale`.
    fn prices(&self, scale: f64) -> Vec<i64> {
        (0..self.demand.len())
            .map(|item| in_parts(self.lp.dual(item), scale))
            .collect()
    }

    /// What one sheet of each bed is worth at some prices; sheets worth more than they cost, in parts of `scale`, become
    /// columns, and it is told how many. `None` where sums of sizes are too many.
    fn price_out(
        &mut self,
        prices: &[i64],
        costs: &[i64],
        scale: f64,
        meter: &Meter<'_>,
    ) -> Option<(Vec<i64>, usize)> {
        let model = self.model;
        let mut worths = vec![0; model.beds.len()];
        let mut n_new = 0;
        for lane in &model.lanes {
            let room = lane.beds.iter().map(|&bed| model.beds[bed].room).max();
            let table = StripTable::new(lane, prices, &self.demand, room.unwrap_or(0), meter)?;
            for &bed in &lane.beds {
                let (worth, strips) = table.side_by_side(model.beds[bed].room, meter)?;
                worths[bed] = worth;
                let row = self.supply[model.beds[bed].kind];
                let dual = row.map_or(0, |row| in_parts(-self.lp.dual(row), scale));
                if worth > costs[bed] + dual + LEAST_GAIN {
                    let mut items = Vec::new();
                    for lay in strips.iter().flat_map(|&width| table.strip(width).concat()) {
                        crate::cutting::add_count(&mut items, lane.lays[lay].item, 1);
                    }
                    let whole = (bed, items);
                    if !whole.1.is_empty() && !self.known.contains(&whole) {
                        enter(&mut self.lp, &whole);
                        self.known.insert(whole);
                        n_new += 1;
                    }
                }
            }
        }
        Some((worths, n_new))
    }

    /// Bounds what plans cost less than `cutoff`; `None` where sums of sizes are too many.
    pub(super) fn relax(&mut self, sums: &Sums, cutoff: i64, meter: &Meter<'_>) -> Option<Relaxed> {
        let model = self.model;
        let unit = model.dearest();
        let denominator = (FINEST_SCALE / unit).max(1);
        let scale = denominator as f64 * unit as f64;
        let costs: Vec<i64> = (0..model.beds.len())
            .map(|bed| self.price(bed) * denominator)
            .collect();
        let goal = Goal::LeastCost { missing: 0 };
        let mut found: Option<Relaxed> = None;
        for _ in 0..MAX_ROUNDS {
            if !self.solve(meter) {
                break;
            }
            let prices = Prices {
                denominator,
                items: self.prices(scale),
                conditions: Vec::new(),
            };
            let (worths, n_new) = self.price_out(&prices.items, &costs, scale, meter)?;
            if meter.halted() {
                break;
            }
            let scaled = prices.bound(model, goal, &[], &[], &worths, cutoff);
            let bound = sums.next(round_up(scaled, denominator));
            if found.as_ref().is_none_or(|found| bound >= found.bound) {
                let proof = Proof { prices, worths };
                found = Some(Relaxed { bound, proof });
            }
            if n_new == 0 || found.as_ref().is_some_and(|found| found.bound >= cutoff) {
                break;
            }
        }
        found
    }

    /// Prices at which a set of sheets, so many of each kind, is worth less than all that is wanted; `None` where none are found,
    /// as it may hold all.
    pub(super) fn refute(&mut self, counts: &[u32], meter: &Meter<'_>) -> Option<Proof> {
        let n_beds = self.model.beds.len();
        self.begin(
            &vec![0.0; n_beds],
            counts.iter().copied().map(Some).collect(),
        );
        let scale = FINEST_SCALE as f64;
        for _ in 0..MAX_ROUNDS {
            if !self.solve(meter) || self.lp.shortfall() <= SHORT_ABOVE {
                return None;
            }
            let prices = Prices {
                // Sheets cost nothing; what is told is told of this set, and of those that hold less.
                denominator: 0,
                items: self.prices(scale),
                conditions: Vec::new(),
            };
            let (worths, n_new) = self.price_out(&prices.items, &vec![0; n_beds], scale, meter)?;
            let proof = Proof { prices, worths };
            if proof.surplus(self.model, counts) < 0 {
                return Some(proof);
            }
            if n_new == 0 || meter.halted() {
                return None;
            }
        }
        None
    }
}

impl Proof {
    /// By how much sheets, so many of each kind, are worth more than what is wanted.
    pub(super) fn surplus(&self, model: &Model, counts: &[u32]) -> i128 {
        let items = model.items.iter().zip(&self.prices.items);
        let wanted: i128 = items
            .map(|(item, &price)| i128::from(item.demand) * i128::from(price))
            .sum();
        let kinds = counts.iter().enumerate();
        let had: i128 = kinds
            .map(|(kind, &count)| i128::from(self.worth(model, kind)) * i128::from(count))
            .sum();
        had - wanted
    }

    /// What one sheet of a kind is worth at most.
    pub(super) fn worth(&self, model: &Model, kind: usize) -> i64 {
        let beds = model.beds_of(kind).into_iter();
        beds.map(|bed| self.worths[bed]).max().unwrap_or(0)
    }
}

/// A float in whole parts of a scale, rounded down; 0 where it is less.
fn in_parts(value: f64, scale: f64) -> i64 {
    (value.max(0.0) * scale).floor() as i64
}

/// Makes a sheet a column.
fn enter(lp: &mut Lp, (bed, items): &Whole) {
    let narrow = |count: u32| i32::try_from(count).expect("counts are far below 2^31");
    let entries = items.iter().map(|&(item, count)| (item, narrow(count)));
    lp.add_column(*bed, 1, &entries.collect::<Vec<_>>());
}

/// Sheets with pieces of one item alone, side by side in one way.
fn alike(model: &Model) -> Vec<Whole> {
    let mut sheets = Vec::new();
    for lane in &model.lanes {
        for &bed in &lane.beds {
            for lay in &lane.lays {
                let fits = (model.beds[bed].room / lay.across) * (lane.length / lay.along);
                let most = model.items[lay.item].demand;
                let count = u32::try_from(fits).unwrap_or(u32::MAX).min(most);
                if count > 0 {
                    sheets.push((bed, vec![(lay.item, count)]));
                }
            }
        }
    }
    sheets
}

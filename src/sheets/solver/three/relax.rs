//! The linear relaxation of plans in three stages over whole sheets, and the bound in whole numbers that follows from its prices.
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
use crate::sheets::solver::model::Model;
use crate::sheets::solver::params::{FINEST_SCALE, FIRST_PENALTY, LEAST_GAIN, MAX_ROUNDS};
use crate::sheets::solver::sums::Sums;
use crate::solve::lp::{Lp, Reached, Sense, SimplexWay};
use crate::solve::meter::Meter;

/// What the relaxation tells.
#[derive(Clone, Debug)]
pub(super) struct Relaxed {
    /// No plan in three stages costs less.
    pub(super) bound: i64,
    /// Prices of the items that prove it.
    pub(super) prices: Prices,
    /// By bed: what a sheet is worth at most at these prices.
    pub(super) worths: Vec<i64>,
}

/// A sheet's items, `(item, how many)`, on a bed.
type Whole = (usize, Vec<(usize, u32)>);

/// Solves the relaxation for plans that cost less than `cutoff`; `None` where sums of sizes are too many.
pub(super) fn relax(
    model: &Model,
    goal: Goal,
    sums: &Sums,
    cutoff: i64,
    meter: &Meter<'_>,
) -> Option<Relaxed> {
    let unit = model.dearest();
    let price = |bed: usize| model.kinds[model.beds[bed].kind].price;
    let costs: Vec<f64> = (0..model.beds.len())
        .map(|bed| price(bed) as f64 / unit as f64)
        .collect();
    let mut lp = Lp::new(&costs, FIRST_PENALTY);
    for item in &model.items {
        lp.add_row(Sense::AtLeast, f64::from(item.demand), &[]);
    }
    let supply: Vec<Option<usize>> = (model.kinds.iter().enumerate())
        .map(|(idx, kind)| {
            let limit = f64::from(kind.limit);
            kind.limited
                .then(|| lp.add_row(Sense::AtMost, limit, &model.beds_of(idx)))
        })
        .collect();
    let mut known: BTreeSet<Whole> = BTreeSet::new();
    let add = |lp: &mut Lp, known: &mut BTreeSet<Whole>, whole: Whole| {
        if whole.1.is_empty() || !known.insert(whole.clone()) {
            return false;
        }
        let narrow = |count: u32| i32::try_from(count).expect("counts are far below 2^31");
        let entries = whole.1.iter().map(|&(item, count)| (item, narrow(count)));
        lp.add_column(whole.0, 1, &entries.collect::<Vec<_>>());
        true
    };
    for whole in alike(model) {
        add(&mut lp, &mut known, whole);
    }
    let denominator = (FINEST_SCALE / unit).max(1);
    let scale = denominator as f64 * unit as f64;
    let demand: Vec<u32> = model.items.iter().map(|item| item.demand).collect();
    let mut found: Option<Relaxed> = None;
    for _ in 0..MAX_ROUNDS {
        let way = SimplexWay {
            disturbed: lp.is_untouched(),
            allowance: None,
        };
        if lp.solve(way, meter) == Reached::Halted {
            break;
        }
        let in_prices = |dual: f64| (dual.max(0.0) * scale).floor() as i64;
        let prices = Prices {
            denominator,
            items: (0..model.items.len())
                .map(|item| in_prices(lp.dual(item)))
                .collect(),
            conditions: Vec::new(),
        };
        let mut worths = vec![0; model.beds.len()];
        let mut n_new = 0;
        for lane in &model.lanes {
            let room = lane.beds.iter().map(|&bed| model.beds[bed].room).max();
            let room = room.unwrap_or(0);
            let table = StripTable::new(lane, &prices.items, &demand, room, meter)?;
            for &bed in &lane.beds {
                let (worth, strips) = table.side_by_side(model.beds[bed].room, meter)?;
                worths[bed] = worth;
                let dual = supply[model.beds[bed].kind].map_or(0.0, |row| -lp.dual(row));
                let cost = price(bed) * denominator + in_prices(dual) + LEAST_GAIN;
                if worth > cost {
                    let mut items = Vec::new();
                    for lay in strips.iter().flat_map(|&width| table.strip(width).concat()) {
                        crate::cutting::add_count(&mut items, lane.lays[lay].item, 1);
                    }
                    n_new += usize::from(add(&mut lp, &mut known, (bed, items)));
                }
            }
        }
        if meter.halted() {
            break;
        }
        let scaled = prices.bound(model, goal, &[], &[], &worths, cutoff);
        let bound = sums.next(round_up(scaled, denominator));
        if found.as_ref().is_none_or(|found| bound >= found.bound) {
            found = Some(Relaxed {
                bound,
                prices,
                worths,
            });
        }
        if n_new == 0 || found.as_ref().is_some_and(|found| found.bound >= cutoff) {
            break;
        }
    }
    found
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

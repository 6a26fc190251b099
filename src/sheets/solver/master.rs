//! The linear program of strips and sheets, linked by the number of strips of each width.
//!
//! ```text
//! min   sum of prices of z_c                            z_c  sheets cut to strips by column c
//! (i)   sum_p a_ip x_p                        >= d_i    x_p  strips cut to pieces by column p
//! (t)   room for strips of class t in z_c + y_(t+1) - such strips x_p - y_t >= 0     for every lane and class t
//! (k)   sum_{c of k} z_c                      <= supply_k
//! ```
//! `y_t` is room of class t that is used for narrower strips; so a strip may lie where a wider one could.
//! Any `x` and `z` in whole numbers are a plan, as strips of a class stand for each other.
#![expect(
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    reason = "the linear program is in floats; what is proved is proved in whole numbers elsewhere"
)]

use super::columns::{Column, Entry, Pool};
use super::count::{Condition, Tally};
use super::model::Model;
use super::params::{CROWDED, DEAR_ABOVE, FIRST_PENALTY, INTEGRAL_WITHIN, SHORT_ABOVE};
use crate::solve::lp::{Basic, Lp, Reached, Sense, SimplexWay};
use crate::solve::meter::Meter;

/// What is sought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Goal {
    /// As few missing pieces as can be; sheets are free.
    FewestMissing,
    /// As little money as can be, with so many pieces missing at most.
    LeastCost {
        /// How many.
        missing: u32,
    },
}

/// Kinds of columns in the program: strips, missing pieces, then beds.
const STRIPS: usize = 0;
const MISSING: usize = 1;
const FIRST_BED: usize = 2;

/// Which row says what.
struct Rows {
    item: Vec<usize>,
    /// By lane and class.
    link: Vec<Vec<usize>>,
    supply: Vec<Option<usize>>,
    missing: Option<usize>,
    /// By tally: at least, and at most.
    tallies: Vec<(usize, usize)>,
}

/// The program with its columns.
pub(super) struct Master<'m> {
    pub(super) model: &'m Model,
    pub(super) goal: Goal,
    /// What one unit of the program's value is; 1 or more.
    pub(super) unit: i64,
    pub(super) pool: Pool,
    pub(super) tallies: Vec<Tally>,
    lp: Lp,
    rows: Rows,
    /// Columns of the program that carry room over to narrower strips; they come first.
    n_carries: usize,
    /// More than any count; a far larger number would cost the program its digits.
    no_limit: f64,
}

impl Rows {
    fn n_carries(&self) -> usize {
        self.link
            .iter()
            .map(|rows| rows.len().saturating_sub(1))
            .sum()
    }
}

/// Columns that are part of the plan already, with how often.
pub(super) type Fixed = [(usize, u32)];

impl<'m> Master<'m> {
    /// The program of a model, with columns that use each item, strip and sheet at all.
    pub(super) fn new(model: &'m Model, goal: Goal, pool: &Pool) -> Master<'m> {
        let unit = match goal {
            Goal::FewestMissing => 1,
            Goal::LeastCost { .. } => model.dearest(),
        };
        let pieces: f64 = model.items.iter().map(|item| f64::from(item.demand)).sum();
        let (lp, rows) = program(model, goal, unit, &[], pieces + 1.0);
        let mut master = Master {
            model,
            goal,
            unit,
            pool: Pool::default(),
            tallies: Vec::new(),
            lp,
            n_carries: rows.n_carries(),
            rows,
            no_limit: pieces + 1.0,
        };
        master.add_plain_columns();
        for column in pool.columns() {
            master.add(column);
        }
        master
    }

    /// Strips of one item, sheets of one class, missing pieces where there may be any.
    fn add_plain_columns(&mut self) {
        let model = self.model;
        for item in 0..model.items.len() {
            self.add(&Column::Missing { item });
        }
        for (lane, own) in model.lanes.iter().enumerate() {
            for lay in &own.lays {
                let fits = u32::try_from(own.length / lay.along).unwrap_or(u32::MAX);
                let count = model.items[lay.item].demand.min(fits);
                let class = own.class_of(lay.across);
                self.add(&Column::Strip {
                    lane,
                    class,
                    pieces: vec![(lay.item, count)],
                });
            }
            for &bed in &own.beds {
                for (class, &width) in own.widths.iter().enumerate() {
                    let fits = u32::try_from(model.beds[bed].room / width).unwrap_or(u32::MAX);
                    if fits > 0 {
                        self.add(&Column::Sheet {
                            bed,
                            strips: vec![(class, fits)],
                        });
                    }
                }
            }
        }
    }

    /// What a sheet of a bed costs in the goal.
    pub(super) fn sheet_cost(&self, bed: usize) -> i64 {
        match self.goal {
            Goal::FewestMissing => 0,
            Goal::LeastCost { .. } => self.model.kinds[self.model.beds[bed].kind].price,
        }
    }

    /// What a column costs.
    pub(super) fn cost(&self, column: usize) -> i64 {
        match self.pool.columns()[column] {
            Column::Strip { .. } => 0,
            Column::Sheet { bed, .. } => self.sheet_cost(bed),
            Column::Missing { .. } => i64::from(self.goal == Goal::FewestMissing),
        }
    }

    /// Takes a column in; `true` where it is new.
    pub(super) fn add(&mut self, column: &Column) -> bool {
        let may_miss = self.goal == Goal::FewestMissing || self.rows.missing.is_some();
        let is_missing = matches!(column, Column::Missing { .. });
        if is_missing && !may_miss {
            return false;
        }
        match self.pool.add(column) {
            Entry::New => self.enter(column),
            Entry::Back(idx) => self.lp.bar(self.n_carries + idx, false),
            Entry::Known => return false,
        }
        true
    }

    fn enter(&mut self, column: &Column) {
        let entries = self.entries(column);
        let kind = match *column {
            Column::Strip { .. } => STRIPS,
            Column::Sheet { bed, .. } => FIRST_BED + bed,
            Column::Missing { .. } => MISSING,
        };
        self.lp.add_column(kind, 1, &entries);
    }

    /// `(row, count)` of a column, besides the rows of its kind.
    fn entries(&self, column: &Column) -> Vec<(usize, i32)> {
        let narrow = |count: u32| i32::try_from(count).expect("counts are far below 2^31");
        let mut entries = Vec::new();
        match column {
            Column::Strip {
                lane,
                class,
                pieces,
            } => {
                entries.extend(
                    pieces
                        .iter()
                        .map(|&(item, count)| (self.rows.item[item], narrow(count))),
                );
                entries.push((self.rows.link[*lane][*class], -1));
            }
            Column::Sheet { bed, strips } => {
                let link = &self.rows.link[self.model.beds[*bed].lane];
                let room = |&(class, count): &(usize, u32)| (link[class], narrow(count));
                entries.extend(strips.iter().map(room));
            }
            Column::Missing { item } => entries.push((self.rows.item[*item], 1)),
        }
        for (tally, &(least, most)) in self.tallies.iter().zip(&self.rows.tallies) {
            // The rows of sheets are rows of their kinds.
            if !matches!(tally, Tally::Sheets { .. }) {
                let count = tally.of(column);
                if count > 0 {
                    entries.push((least, narrow(count)));
                    entries.push((most, narrow(count)));
                }
            }
        }
        entries
    }

    /// The index of a tally, with its rows made where it is new.
    pub(super) fn tally(&mut self, tally: &Tally) -> usize {
        if let Some(known) = self.tallies.iter().position(|own| own == tally) {
            return known;
        }
        self.tallies.push(tally.clone());
        if let Tally::Sheets { beds } = tally {
            let rows = tally_rows(&mut self.lp, beds, self.no_limit);
            self.rows.tallies.push(rows);
        } else {
            self.rebuild();
        }
        self.tallies.len() - 1
    }

    /// Makes the program anew with all rows and columns, from the present basis on.
    fn rebuild(&mut self) {
        let basis = self.lp.basis().to_vec();
        let (lp, rows) = program(
            self.model,
            self.goal,
            self.unit,
            &self.tallies,
            self.no_limit,
        );
        self.lp = lp;
        self.rows = rows;
        let columns = self.pool.columns().to_vec();
        for (idx, column) in columns.iter().enumerate() {
            self.enter(column);
            self.lp.bar(self.n_carries + idx, self.pool.is_aside(idx));
        }
        self.lp.set_basis(&basis);
    }

    /// Sets all sides for a node's conditions, less what is `fixed`; `false` where that is too much already.
    pub(super) fn set_sides(&mut self, conditions: &[Condition], fixed: &Fixed) -> bool {
        let model = self.model;
        let mut least = vec![0i64; self.tallies.len()];
        let mut most = vec![i64::MAX; self.tallies.len()];
        for condition in conditions {
            let number = condition.number();
            if condition.over {
                least[condition.tally] = least[condition.tally].max(number);
            } else {
                most[condition.tally] = most[condition.tally].min(number);
            }
        }
        let mut demand: Vec<i64> = model
            .items
            .iter()
            .map(|item| i64::from(item.demand))
            .collect();
        let mut supply: Vec<i64> = model
            .kinds
            .iter()
            .map(|kind| i64::from(kind.limit))
            .collect();
        let mut link: Vec<Vec<i64>> = model
            .lanes
            .iter()
            .map(|lane| vec![0; lane.widths.len()])
            .collect();
        let mut missing = match self.goal {
            Goal::FewestMissing => i64::MAX,
            Goal::LeastCost { missing } => i64::from(missing),
        };
        for &(idx, times) in fixed {
            let times = i64::from(times);
            let column = &self.pool.columns()[idx];
            match column {
                Column::Strip {
                    lane,
                    class,
                    pieces,
                } => {
                    for &(item, count) in pieces {
                        demand[item] -= times * i64::from(count);
                    }
                    link[*lane][*class] += times;
                }
                Column::Sheet { bed, strips } => {
                    supply[model.beds[*bed].kind] -= times;
                    for &(class, count) in strips {
                        link[model.beds[*bed].lane][class] -= times * i64::from(count);
                    }
                }
                Column::Missing { item } => {
                    demand[*item] -= times;
                    missing = missing.saturating_sub(times);
                }
            }
            for (tally, (least, most)) in self.tallies.iter().zip(least.iter_mut().zip(&mut most)) {
                let count = times * i64::from(tally.of(column));
                *least -= count;
                if *most < i64::MAX {
                    *most -= count;
                }
            }
        }
        for (&row, &side) in self.rows.item.iter().zip(&demand) {
            self.lp.set_side(row, side.max(0) as f64);
        }
        for (rows, sides) in self.rows.link.iter().zip(&link) {
            for (&row, &side) in rows.iter().zip(sides) {
                self.lp.set_side(row, side as f64);
            }
        }
        for (row, &side) in self.rows.supply.iter().zip(&supply) {
            if let Some(row) = *row {
                self.lp.set_side(row, side as f64);
            }
        }
        if let Some(row) = self.rows.missing {
            self.lp.set_side(row, missing as f64);
        }
        for (&(row_least, row_most), (&least, &most)) in
            self.rows.tallies.iter().zip(least.iter().zip(&most))
        {
            self.lp.set_side(row_least, least.max(0) as f64);
            self.lp
                .set_side(row_most, (most.max(0) as f64).min(self.no_limit));
        }
        missing >= 0 && supply.iter().chain(&most).all(|&side| side >= 0)
    }

    /// Solves the program.
    pub(super) fn solve(&mut self, meter: &Meter<'_>) -> Reached {
        let way = SimplexWay {
            disturbed: self.lp.is_untouched(),
            allowance: None,
        };
        self.lp.solve(way, meter)
    }

    /// Whether the program cannot meet its rows.
    pub(super) fn is_short(&self) -> bool {
        self.lp.shortfall() > SHORT_ABOVE
    }

    /// Makes it dearer not to meet rows; `false` where that is as dear as it may be.
    pub(super) fn raise_penalty(&mut self) -> bool {
        self.lp.raise_penalty()
    }

    /// Makes it as dear as at first.
    pub(super) fn reset_penalty(&mut self) {
        self.lp.reset_penalty();
    }

    /// Value of the program in units of cost, what is not met included.
    pub(super) fn value(&self) -> f64 {
        self.lp.value() * self.unit as f64
    }

    /// Columns of the pool above zero.
    pub(super) fn primal(&self) -> Vec<(usize, f64)> {
        let own =
            |(column, value): (usize, f64)| Some((column.checked_sub(self.n_carries)?, value));
        self.lp.primal().into_iter().filter_map(own).collect()
    }

    /// Sets the dearest columns aside where there are many; half are kept. To be called when the program has just been
    /// solved; basic columns stay.
    pub(super) fn thin_out(&mut self) {
        let most = CROWDED.0 * self.lp.n_rows() + CROWDED.1;
        let live = (0..self.pool.columns().len()).filter(|&column| !self.pool.is_aside(column));
        let mut order: Vec<(f64, usize)> = live
            .map(|column| (self.lp.reduced_cost(self.n_carries + column), column))
            .collect();
        if order.len() < most {
            return;
        }
        order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for &(cost, column) in &order[most / 2..] {
            if cost > DEAR_ABOVE {
                self.pool.set_aside(column);
                self.lp.bar(self.n_carries + column, true);
            }
        }
    }

    /// The primal as whole numbers, where it is whole.
    pub(super) fn whole(&self) -> Option<Vec<(usize, u32)>> {
        let whole = |(column, value): (usize, f64)| {
            let near = value.round();
            let count = near as i64;
            ((value - near).abs() <= INTEGRAL_WITHIN)
                .then(|| (column, u32::try_from(count).unwrap_or(0)))
        };
        self.primal().into_iter().map(whole).collect()
    }

    /// The dual of an item, 0 or more.
    pub(super) fn item_dual(&self, item: usize) -> f64 {
        self.lp.dual(self.rows.item[item]).max(0.0)
    }

    /// What room for a strip of a class costs, 0 or more; rising with the class but for what floats lose.
    pub(super) fn link_dual(&self, lane: usize, class: usize) -> f64 {
        self.lp.dual(self.rows.link[lane][class]).max(0.0)
    }

    /// What a limited sheet costs besides its price, 0 or more.
    pub(super) fn supply_dual(&self, kind: usize) -> f64 {
        self.rows.supply[kind].map_or(0.0, |row| -self.lp.dual(row).min(0.0))
    }

    /// The duals of a tally's bounds: 0 or more of the lower, 0 or less of the upper.
    pub(super) fn tally_duals(&self, tally: usize) -> (f64, f64) {
        let (least, most) = self.rows.tallies[tally];
        (self.lp.dual(least).max(0.0), self.lp.dual(most).min(0.0))
    }
}

/// The rows of a program that has no columns.
fn program(model: &Model, goal: Goal, unit: i64, tallies: &[Tally], no_limit: f64) -> (Lp, Rows) {
    let is_count = goal == Goal::FewestMissing;
    let mut costs = vec![0.0, if is_count { 1.0 } else { 0.0 }];
    costs.extend(model.beds.iter().map(|bed| {
        if is_count {
            0.0
        } else {
            model.kinds[bed.kind].price as f64 / unit as f64
        }
    }));
    let mut lp = Lp::new(&costs, FIRST_PENALTY);
    let item = model
        .items
        .iter()
        .map(|item| lp.add_row(Sense::AtLeast, f64::from(item.demand), &[]))
        .collect();
    let link: Vec<Vec<usize>> = model
        .lanes
        .iter()
        .map(|lane| {
            lane.widths
                .iter()
                .map(|_| lp.add_row(Sense::AtLeast, 0.0, &[]))
                .collect()
        })
        .collect();
    let lp_kinds = |beds: &[usize]| beds.iter().map(|bed| FIRST_BED + bed).collect::<Vec<_>>();
    let supply = model.kinds.iter().enumerate().map(|(idx, kind)| {
        kind.limited.then(|| {
            lp.add_row(
                Sense::AtMost,
                f64::from(kind.limit),
                &lp_kinds(&model.beds_of(idx)),
            )
        })
    });
    let supply = supply.collect();
    let missing = match goal {
        Goal::LeastCost { missing } if missing > 0 => {
            Some(lp.add_row(Sense::AtMost, f64::from(missing), &[MISSING]))
        }
        _ => None,
    };
    for rows in &link {
        carry_over(&mut lp, rows);
    }
    let mut rows = Rows {
        item,
        link,
        supply,
        missing,
        tallies: Vec::new(),
    };
    // No strips at first, so no room is wanting for them.
    let unit = |row: &usize| Basic::Artificial(*row);
    let slack = |row: &usize| Basic::Slack(*row);
    let basis: Vec<Basic> = rows
        .item
        .iter()
        .map(unit)
        .chain(rows.link.iter().flatten().map(slack))
        .collect();
    lp.set_basis(&basis);
    for tally in tallies {
        let beds = match tally {
            Tally::Sheets { beds } => beds.as_slice(),
            _ => &[],
        };
        rows.tallies.push(tally_rows(&mut lp, beds, no_limit));
    }
    (lp, rows)
}

/// The columns by which room for wide strips serves narrower ones.
fn carry_over(lp: &mut Lp, rows: &[usize]) {
    for two in rows.windows(2) {
        lp.add_column(STRIPS, 1, &[(two[0], 1), (two[1], -1)]);
    }
}

/// The two rows that bound a tally; of sheets they are rows of the beds' kinds.
fn tally_rows(lp: &mut Lp, beds: &[usize], no_limit: f64) -> (usize, usize) {
    let kinds: Vec<usize> = beds.iter().map(|bed| FIRST_BED + bed).collect();
    (
        lp.add_row(Sense::AtLeast, 0.0, &kinds),
        lp.add_row(Sense::AtMost, no_limit, &kinds),
    )
}

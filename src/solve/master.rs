//! The restricted master problem: a pool of columns, its linear program, and the pricing loop around it.
//!
//! One live program serves all nodes of the search: a node is a [`State`], and going to it means to set right-hand
//! sides and to bar the columns that it forbids.
#![expect(
    clippy::float_arithmetic,
    reason = "prices are floats until they are rounded to integers for the bound"
)]

mod pool;
mod pricing;

use crate::cutting::add_count;

use super::bound::{self, Prices};
use super::knapsack::{Clash, Knapsack};
use super::lp::{Basic, Lp, Sense};
use super::meter::Meter;
use super::params::{
    CROWDED, DUAL_TOLERANCE, FIRST_PENALTY, INTEGRAL_WITHIN, LARGEST_PENALTY, LP_SHARE,
    PENALTY_STEP, ROUND_WORK, SMOOTHING,
};
use super::problem::{Board, Problem};
use pricing::{Duals, Priced};

pub(super) use pool::{Column, Pool, Source};

/// What is asked for at a node, or what is left of it in a dive.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct State {
    /// `demand[i]` pieces of item `i`, merged items included; items beyond the end are not wanted.
    pub(super) demand: Vec<u32>,
    /// `supply[k]` boards of kind `k` may be used.
    pub(super) supply: Vec<u32>,
    /// `loose[s]` strips of kind `s` are at hand, out of boards that a dive has taken.
    pub(super) loose: Vec<u32>,
    /// Bounds on the number of boards of some sets of sources.
    pub(super) sets: Vec<SetBound>,
    /// Pairs that no pattern may hold together.
    pub(super) clashes: Vec<Clash>,
    /// Bounds on the use of single columns.
    pub(super) caps: Vec<CapBound>,
}

/// Bounds on how often one column is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct CapBound {
    /// Index of the cap in the master.
    pub(super) cap: usize,
    /// The column.
    pub(super) column: usize,
    /// At least so often.
    pub(super) least: u32,
    /// At most so often.
    pub(super) most: u32,
}

/// Bounds on the number of boards of a set of sources.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct SetBound {
    /// Index of the set in the master.
    pub(super) set: usize,
    /// At least so many boards.
    pub(super) least: u32,
    /// At most so many, or [`UNBOUNDED`].
    pub(super) most: u32,
}

/// In a bound: no upper bound.
pub(super) const UNBOUNDED: u32 = u32::MAX;

#[derive(Debug)]
struct Cap {
    column: usize,
    least_row: usize,
    most_row: usize,
}

#[derive(Debug)]
struct SourceSet {
    sources: Vec<usize>,
    least_row: usize,
    most_row: usize,
}

/// How the pricing loop ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Outcome {
    /// No column improves the program.
    Converged,
    /// The bound reached the cutoff.
    Pruned,
    /// The loop was cut off: by the meter, by its limit of rounds, or because more rounds cannot raise the bound.
    CutShort,
}

/// What the pricing loop found.
#[derive(Clone, Debug)]
pub(super) struct Relaxed {
    /// A proved lower bound on the cost, in whole units.
    pub(super) bound: i64,
    /// Value of the linear program in units; not proved.
    pub(super) value: f64,
    /// How the loop ended.
    pub(super) outcome: Outcome,
    /// Whether the program cannot meet the demand.
    pub(super) short: bool,
    /// The prices that gave the bound.
    pub(super) prices: Option<Prices>,
}

/// The master problem.
pub(super) struct Master<'p> {
    pub(super) problem: &'p Problem,
    /// What columns are cut from.
    pub(super) sources: Vec<Source>,
    /// `strip_source[s]` is the source of loose strips of kind `s`, where boards yield any.
    strip_source: Vec<Option<usize>>,
    /// `link_row[s]`: no more strips of kind `s` are cut than boards yield.
    link_row: Vec<Option<usize>>,
    /// Sizes of all items, merged ones included.
    pub(super) sizes: Vec<i64>,
    /// `makeup[i]` are the problem's own items within item `i`.
    pub(super) makeup: Vec<Vec<(usize, u32)>>,
    merged: Vec<(usize, usize, usize)>,
    groups: Vec<Vec<usize>>,
    knapsacks: Vec<Knapsack>,
    pub(super) lp: Lp,
    pub(super) pool: Pool,
    /// Columns set aside because they were dear; pricing calls them back.
    retired: Vec<bool>,
    item_row: Vec<usize>,
    supply_row: Vec<Option<usize>>,
    sets: Vec<SourceSet>,
    caps: Vec<Cap>,
    /// More boards than any plan has; a far larger number would cost the program its digits.
    no_limit: f64,
    /// What costs are divided by in the program.
    unit: f64,
}

#[expect(
    clippy::cast_precision_loss,
    reason = "costs in the program are approximate"
)]
fn float(value: i64) -> f64 {
    value as f64
}

impl<'p> Master<'p> {
    /// A master with rows and no columns.
    pub(super) fn new(problem: &'p Problem) -> Master<'p> {
        let dearest = problem.dearest();
        let unit = float(dearest);
        let sources = Source::all(problem);
        let costs: Vec<f64> = sources
            .iter()
            .map(|source| {
                source
                    .kind()
                    .map_or(0.0, |kind| float(problem.kinds[kind].cost) / unit)
            })
            .collect();
        let mut lp = Lp::new(&costs, FIRST_PENALTY);
        let item_row: Vec<usize> = problem
            .demand
            .iter()
            .map(|&demand| lp.add_row(Sense::AtLeast, f64::from(demand), &[]))
            .collect();
        let supply_row = problem
            .kinds
            .iter()
            .enumerate()
            .map(|(idx, kind)| {
                let own = sources_of(&sources, idx);
                kind.limited
                    .then(|| lp.add_row(Sense::AtMost, f64::from(kind.limit), &own))
            })
            .collect();
        let mut strip_source = vec![None; problem.strips.len()];
        let mut link_row = vec![None; problem.strips.len()];
        for (idx, source) in sources.iter().enumerate() {
            if let Source::Strip { strip } = *source {
                strip_source[strip] = Some(idx);
                link_row[strip] = Some(lp.add_row(Sense::AtMost, 0.0, &[idx]));
            }
        }
        let pieces: u64 = problem
            .demand
            .iter()
            .zip(&problem.pieces)
            .map(|(&d, &p)| u64::from(d) * u64::from(p))
            .sum();
        let no_limit = float(i64::try_from(pieces).unwrap_or(i64::MAX)) + 1.0;
        let mut master = Master {
            problem,
            sources,
            strip_source,
            link_row,
            sizes: problem.sizes.clone(),
            makeup: (0..problem.n_items()).map(|item| vec![(item, 1)]).collect(),
            merged: Vec::new(),
            groups: problem.groups.clone(),
            knapsacks: Knapsack::by_group(problem),
            lp,
            pool: Pool::default(),
            retired: Vec::new(),
            item_row,
            supply_row,
            sets: Vec::new(),
            caps: Vec::new(),
            no_limit,
            unit,
        };
        for source in 0..master.sources.len() {
            if matches!(master.sources[source], Source::Ripped { .. }) {
                master.add_column(&Column {
                    source,
                    counts: Vec::new(),
                });
            }
        }
        master
    }

    /// The state of the root.
    pub(super) fn root(&self) -> State {
        State {
            demand: self.problem.demand.clone(),
            supply: self.problem.kinds.iter().map(|kind| kind.limit).collect(),
            loose: vec![0; self.problem.strips.len()],
            sets: Vec::new(),
            clashes: Vec::new(),
            caps: Vec::new(),
        }
    }

    /// Takes a column into pool and program unless it is known; tells whether it was new.
    pub(super) fn add_column(&mut self, column: &Column) -> bool {
        if let Err(known) = self.pool.insert(column) {
            let called_back = self.retired[known];
            if called_back {
                self.retired[known] = false;
                self.lp.bar(known, false);
            }
            return called_back;
        }
        self.retired.push(false);
        let mut entries: Vec<(usize, i32)> = column
            .counts
            .iter()
            .map(|&(item, count)| (self.item_row[item], signed(count)))
            .collect();
        if let Source::Ripped { yields, .. } = &self.sources[column.source] {
            entries.extend(yields.iter().map(|&(strip, number)| {
                let row = self.link_row[strip].expect("a strip that boards yield has a row");
                (row, -signed(number))
            }));
        }
        let weight = self.weight(column);
        self.lp.add_column(column.source, weight, &entries);
        true
    }

    /// Takes the patterns of a board in.
    pub(super) fn add_board(&mut self, board: &Board) {
        let layout = self.problem.kinds[board.kind].layouts.get(board.layout);
        let is_ripped = layout.is_some_and(|layout| layout.len() != 1);
        if let (true, Some(layout)) = (is_ripped, layout) {
            for (&strip, part) in layout.iter().zip(&board.parts) {
                if let (false, Some(source)) = (part.is_empty(), self.strip_source[strip]) {
                    let mut counts = part.clone();
                    counts.sort_unstable();
                    self.add_column(&Column { source, counts });
                }
            }
            return;
        }
        let source = self.sources.iter().position(|source| match *source {
            Source::Whole { kind, layout, .. } => kind == board.kind && layout == board.layout,
            Source::Absent { kind } => kind == board.kind,
            Source::Ripped { .. } | Source::Strip { .. } => false,
        });
        if let Some(source) = source {
            let counts = board.counts.clone();
            self.add_column(&Column { source, counts });
        }
    }

    /// What a column weighs in its kind's supply and cost: 1 board, or the pieces it leaves out.
    pub(super) fn weight(&self, column: &Column) -> u32 {
        self.sources[column.source]
            .kind()
            .map_or(1, |kind| self.problem.weight(kind, &column.counts))
    }

    /// The set of exactly these sources, with its rows made when it is new.
    pub(super) fn set_of(&mut self, sources: &[usize]) -> usize {
        if let Some(known) = self.sets.iter().position(|set| set.sources == sources) {
            return known;
        }
        let least_row = self.lp.add_row(Sense::AtLeast, 0.0, sources);
        let most_row = self.lp.add_row(Sense::AtMost, self.no_limit, sources);
        self.sets.push(SourceSet {
            sources: sources.to_vec(),
            least_row,
            most_row,
        });
        self.sets.len() - 1
    }

    /// The cap of a column, with its rows made when it is new.
    pub(super) fn cap_of(&mut self, column: usize) -> usize {
        if let Some(known) = self.caps.iter().position(|cap| cap.column == column) {
            return known;
        }
        let least_row = self.lp.add_row(Sense::AtLeast, 0.0, &[]);
        let most_row = self.lp.add_row(Sense::AtMost, self.no_limit, &[]);
        self.lp.attach(least_row, column);
        self.lp.attach(most_row, column);
        self.caps.push(Cap {
            column,
            least_row,
            most_row,
        });
        self.caps.len() - 1
    }

    /// The item that stands for one of `first` and one of `second` in one pattern.
    ///
    /// `variant` tells apart copies with different histories.
    pub(super) fn merge(&mut self, first: usize, second: usize, variant: usize) -> usize {
        let key = (first.min(second), first.max(second), variant);
        if let Some(known) = self.merged.iter().position(|&pair| pair == key) {
            return self.problem.n_items() + known;
        }
        let item = self.sizes.len();
        self.merged.push(key);
        self.sizes.push(self.sizes[first] + self.sizes[second]);
        let mut makeup = self.makeup[first].clone();
        for &(part, count) in &self.makeup[second] {
            add_count(&mut makeup, part, count);
        }
        self.makeup.push(makeup);
        for group in &mut self.groups {
            if group.contains(&first) && group.contains(&second) {
                group.push(item);
            }
        }
        let row = self.lp.add_row(Sense::AtLeast, 0.0, &[]);
        self.item_row.push(row);
        item
    }

    /// A pattern in terms of the problem's own items.
    pub(super) fn spelled_out(&self, counts: &[(usize, u32)]) -> Vec<(usize, u32)> {
        let mut out: Vec<(usize, u32)> = Vec::new();
        for &(item, count) in counts {
            for &(part, times) in &self.makeup[item] {
                add_count(&mut out, part, times * count);
            }
        }
        out
    }

    /// Whether a column keeps within the demand.
    fn within(column: &Column, demand: &[u32]) -> bool {
        let fits =
            |&(item, count): &(usize, u32)| demand.get(item).is_some_and(|&demand| count <= demand);
        column.counts.iter().all(fits)
    }

    /// Whether boards for a column are left.
    fn in_supply(&self, column: &Column, state: &State) -> bool {
        self.sources[column.source]
            .kind()
            .is_none_or(|kind| state.supply[kind] > 0)
    }

    /// Whether a column holds no pair that clashes; `partners[i]` are the items that clash with item `i`.
    fn is_clear(column: &Column, partners: &[Vec<usize>]) -> bool {
        column.counts.iter().all(|&(item, count)| {
            partners.get(item).is_none_or(|partners| {
                partners.iter().all(|&partner| {
                    if partner == item {
                        count < 2
                    } else {
                        column.counts.iter().all(|entry| entry.0 != partner)
                    }
                })
            })
        })
    }

    /// Sets right-hand sides and bars columns for `state`.
    pub(super) fn apply(&mut self, state: &State) {
        self.set_sides(state);
        let mut partners: Vec<Vec<usize>> = Vec::new();
        if !state.clashes.is_empty() {
            partners.resize(self.sizes.len(), Vec::new());
            for clash in &state.clashes {
                partners[clash.first].push(clash.second);
            }
        }
        for (idx, column) in self.pool.columns().iter().enumerate() {
            let allowed = !self.retired[idx]
                && self.in_supply(column, state)
                && Master::within(column, &state.demand)
                && Master::is_clear(column, &partners);
            self.lp.bar(idx, !allowed);
        }
    }

    /// The same as [`Master::apply`] for a state that came out of the present one by taking boards: what is barred
    /// stays so.
    pub(super) fn narrow(&mut self, state: &State) {
        self.set_sides(state);
        for (idx, column) in self.pool.columns().iter().enumerate() {
            let allowed = self.in_supply(column, state) && Master::within(column, &state.demand);
            if !allowed {
                self.lp.bar(idx, true);
            }
        }
    }

    fn set_sides(&mut self, state: &State) {
        for (item, &row) in self.item_row.iter().enumerate() {
            let demand = state.demand.get(item).copied().unwrap_or(0);
            self.lp.set_rhs(row, f64::from(demand));
        }
        for (kind, row) in self.supply_row.iter().enumerate() {
            if let Some(row) = *row {
                self.lp.set_rhs(row, f64::from(state.supply[kind]));
            }
        }
        for (strip, row) in self.link_row.iter().enumerate() {
            if let Some(row) = *row {
                self.lp.set_rhs(row, f64::from(state.loose[strip]));
            }
        }
        for (idx, set) in self.sets.iter().enumerate() {
            let bound = state.sets.iter().find(|bound| bound.set == idx);
            self.lp.set_rhs(
                set.least_row,
                f64::from(bound.map_or(0, |bound| bound.least)),
            );
            let most = bound.map_or(self.no_limit, |bound| {
                f64::from(bound.most).min(self.no_limit)
            });
            self.lp.set_rhs(set.most_row, most);
        }
        for (idx, cap) in self.caps.iter().enumerate() {
            let bound = state.caps.iter().find(|bound| bound.cap == idx);
            self.lp.set_rhs(
                cap.least_row,
                f64::from(bound.map_or(0, |bound| bound.least)),
            );
            let most = bound.map_or(self.no_limit, |bound| {
                f64::from(bound.most).min(self.no_limit)
            });
            self.lp.set_rhs(cap.most_row, most);
        }
    }

    /// Solves the linear relaxation of `state` by column generation.
    ///
    /// `fixed` is the cost already spent; bounds include it.
    /// Ends as soon as the bound reaches `cutoff`, or after `max_rounds` pricings.
    /// With `settle` it also ends when further rounds cannot raise the bound to the next whole unit.
    #[expect(
        clippy::too_many_lines,
        reason = "one loop whose steps share their state"
    )]
    pub(super) fn relax(
        &mut self,
        state: &State,
        fixed: i64,
        cutoff: i64,
        max_rounds: usize,
        settle: bool,
        meter: &Meter<'_>,
    ) -> Relaxed {
        let budget = cutoff.saturating_sub(fixed);
        let mut best = 0i64;
        let mut best_prices = None;
        let mut outcome = Outcome::CutShort;
        // Disturbed right-hand sides help the long way from nothing; the last rounds are done without.
        let mut perturbed = self.lp.n_pivots() == 0;
        self.lp.set_perturbed(perturbed);
        let mut rounds = 0;
        // Smoothing: price at a point between the best prices so far and those of the program.
        let mut center: Option<Duals> = None;
        let mut best_scaled = f64::NEG_INFINITY;
        let mut smooth = true;
        let mut allowance = None;
        loop {
            if !meter.spend(ROUND_WORK) || !self.lp.solve(allowance, meter) {
                break;
            }
            if rounds >= max_rounds {
                break;
            }
            rounds += 1;
            self.retire(CROWDED);
            let duals = self.duals(state);
            let point = match &center {
                Some(center) if smooth && self.lp.shortfall() < 1e-5 => {
                    center.blend(SMOOTHING, &duals)
                }
                _ => duals.clone(),
            };
            let smoothed = point != duals;
            let prices = self.prices(state, &point);
            let n_before = self.pool.columns().len();
            let work_before = meter.work();
            let Priced {
                bound: scaled,
                n_new,
                refined,
            } = self.price(state, budget, &prices, &point, meter);
            let level = float(i64::try_from(scaled).unwrap_or(i64::MIN)) / float(prices.scale);
            if level > best_scaled {
                best_scaled = level;
                center = Some(point);
            }
            if meter.halted() {
                break;
            }
            let bound = bound::round_up(scaled, &prices);
            if bound > best || best_prices.is_none() {
                best = best.max(bound);
                best_prices = Some(prices);
            }
            if best >= budget {
                outcome = Outcome::Pruned;
                break;
            }
            // Neither the simplex nor the pricing should wait long for the other.
            let was_limited = allowance.is_some();
            allowance = Some(LP_SHARE * (meter.work() - work_before));
            smooth = true;
            if n_new == 0 && !self.lp.is_optimal() {
                if !was_limited {
                    break;
                }
                allowance = None;
                continue;
            }
            if smoothed {
                let improves = (n_before..self.pool.columns().len())
                    .any(|column| self.lp.reduced_cost(column) < -DUAL_TOLERANCE);
                if !improves {
                    smooth = false;
                    continue;
                }
            }
            if n_new == 0 && refined {
                continue;
            }
            if n_new == 0 {
                if perturbed {
                    perturbed = false;
                    self.lp.set_perturbed(false);
                    continue;
                }
                if self.lp.shortfall() > 1e-6 && self.lp.penalty() < LARGEST_PENALTY {
                    self.lp.set_penalty(self.lp.penalty() * PENALTY_STEP);
                    continue;
                }
                outcome = Outcome::Converged;
                break;
            }
            if settle && self.lp.is_optimal() && self.lp.shortfall() < 1e-5 {
                let rounded_value = floor(self.lp.value() * self.unit - INTEGRAL_WITHIN) + 1;
                if best >= rounded_value {
                    if !perturbed {
                        break;
                    }
                    // The value may owe its place below the whole number to the disturbance.
                    perturbed = false;
                    self.lp.set_perturbed(false);
                }
            }
        }
        self.lp.set_perturbed(false);
        if !meter.halted() && outcome != Outcome::Pruned {
            self.lp.solve(None, meter);
        }
        let short = self.lp.shortfall() > 1e-6;
        if self.lp.penalty() > FIRST_PENALTY {
            self.lp.set_penalty(FIRST_PENALTY);
        }
        Relaxed {
            bound: best.saturating_add(fixed),
            value: self.lp.value() * self.unit + float(fixed),
            outcome,
            short,
            prices: best_prices,
        }
    }

    /// Sets the dearest columns aside when there are more than `crowd.0` a row and `crowd.1` besides; half are kept.
    ///
    /// To be called when the program has just been solved; basic columns stay.
    pub(super) fn retire(&mut self, crowd: (usize, usize)) {
        let n_rows = self.lp.n_rows();
        let live: Vec<usize> = (0..self.retired.len())
            .filter(|&column| {
                let source = &self.sources[self.pool.columns()[column].source];
                // Ripped boards are all there from the start; pricing does not call them back.
                !self.retired[column] && !matches!(source, Source::Ripped { .. })
            })
            .collect();
        let most = crowd.0 * n_rows + crowd.1;
        if live.len() < most {
            return;
        }
        let mut order: Vec<(f64, usize)> = live
            .iter()
            .map(|&column| (self.lp.reduced_cost(column), column))
            .collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for &(cost, column) in &order[most / 2..] {
            if cost > 1e-6 {
                self.retired[column] = true;
                self.lp.bar(column, true);
            }
        }
    }

    /// Value of the program in units, with `fixed` already spent; not proved.
    pub(super) fn value(&self, fixed: i64) -> f64 {
        self.lp.value() * self.unit + float(fixed)
    }

    /// How many boards, or strips, of each source the program uses.
    pub(super) fn usage(&self) -> Vec<f64> {
        let mut usage = vec![0.0; self.sources.len()];
        for (column, value) in self.lp.primal() {
            let column = &self.pool.columns()[column];
            usage[column.source] += value * f64::from(self.weight(column));
        }
        usage
    }

    /// The sources of a set.
    pub(super) fn members(&self, set: usize) -> &[usize] {
        &self.sets[set].sources
    }

    /// The sources whose columns are boards of `kind`.
    pub(super) fn sources_of(&self, kind: usize) -> Vec<usize> {
        sources_of(&self.sources, kind)
    }

    /// The kinds whose boards make up exactly these sources, if there are such.
    pub(super) fn kinds_of(&self, sources: &[usize]) -> Option<Vec<usize>> {
        let mut kinds: Vec<usize> = sources
            .iter()
            .filter_map(|&source| self.sources[source].kind())
            .collect();
        kinds.dedup();
        let all: Vec<usize> = kinds
            .iter()
            .flat_map(|&kind| self.sources_of(kind))
            .collect();
        (all == sources).then_some(kinds)
    }

    /// The basis of the program, to come back to.
    pub(super) fn basis(&self) -> Vec<Basic> {
        self.lp.basis().to_vec()
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "values are far within the range; a cast saturates in any case"
)]
fn floor(value: f64) -> i64 {
    value.floor() as i64
}

fn sources_of(sources: &[Source], kind: usize) -> Vec<usize> {
    (0..sources.len())
        .filter(|&source| sources[source].kind() == Some(kind))
        .collect()
}

fn signed(count: u32) -> i32 {
    i32::try_from(count).expect("counts on a board are small")
}

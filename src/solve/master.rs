//! The restricted master problem: the columns found so far, their linear program, and what is asked of it.
//!
//! One live program serves all nodes of the search: a node is a [`NodeState`], and going to it means to set right-hand
//! sides and to bar the columns that it forbids. `relax` solves it by column generation, with `pricing` as a step.
#![expect(
    clippy::float_arithmetic,
    reason = "duals are floats until they are rounded to integers for the bound"
)]

mod full;
mod items;
mod mixture;
mod pool;
mod pricing;
mod relax;
mod rows;
mod state;

use super::knapsack::Knapsack;
use super::lp::{Basic, Lp, Reached, SimplexWay};
use super::meter::Meter;
use super::params::{CHEAP_PER_ROW, DEAR_ABOVE, FIRST_PENALTY, NEARLY_CHEAP};
use super::problem::{CutBoard, Problem};
use items::Items;
use mixture::KnownDuals;
use pool::Pool;
use rows::MasterRows;

pub(super) use pool::{ColumnSource, MasterColumn};
pub(super) use relax::{Ask, Outcome};
pub(super) use state::{Between, NodeState, UNBOUNDED};

/// The master problem.
pub(super) struct Master<'p> {
    pub(super) problem: &'p Problem,
    /// What columns are cut from.
    pub(super) sources: Vec<ColumnSource>,
    /// `strip_source[s]` is the source of loose strips of kind `s`, where boards yield any.
    strip_source: Vec<Option<usize>>,
    pub(super) items: Items,
    /// One for each group of items.
    knapsacks: Vec<Knapsack>,
    rows: MasterRows,
    lp: Lp,
    pool: Pool,
    known: KnownDuals,
    /// What costs are divided by in the program.
    unit: f64,
    /// Whether a better plan has none but [full boards](Master::fill_boards) at the present node; others are barred.
    is_full: bool,
}

#[expect(
    clippy::cast_precision_loss,
    reason = "costs in the program are approximate"
)]
fn float(value: i64) -> f64 {
    value as f64
}

impl<'p> Master<'p> {
    /// A master with rows, and with no columns but boards that are ripped.
    pub(super) fn new(problem: &'p Problem) -> Master<'p> {
        let unit = float(problem.dearest());
        let sources = ColumnSource::all(problem);
        let costs: Vec<f64> = sources
            .iter()
            .map(|source| float(source.cost(problem)) / unit)
            .collect();
        let mut lp = Lp::new(&costs, FIRST_PENALTY);
        let rows = MasterRows::new(problem, &sources, &mut lp);
        let mut strip_source = vec![None; problem.strips.len()];
        for (idx, source) in sources.iter().enumerate() {
            if let ColumnSource::Strip { strip } = *source {
                strip_source[strip] = Some(idx);
            }
        }
        let mut master = Master {
            problem,
            sources,
            strip_source,
            items: Items::new(problem),
            knapsacks: Knapsack::by_group(problem),
            rows,
            lp,
            pool: Pool::default(),
            known: KnownDuals::default(),
            unit,
            is_full: false,
        };
        for source in 0..master.sources.len() {
            if matches!(master.sources[source], ColumnSource::Ripped { .. }) {
                master.add_column(&MasterColumn {
                    source,
                    counts: Vec::new(),
                });
            }
        }
        master
    }

    /// The state of the root.
    pub(super) fn root(&self) -> NodeState {
        NodeState {
            demand: self.problem.demand.clone(),
            supply: self.problem.kinds.iter().map(|kind| kind.limit).collect(),
            loose: vec![0; self.problem.strips.len()],
            sets: Vec::new(),
            clashes: Vec::new(),
            caps: Vec::new(),
        }
    }

    /// All columns.
    pub(super) fn columns(&self) -> &[MasterColumn] {
        self.pool.columns()
    }

    /// What a column is cut from.
    pub(super) fn source_of(&self, column: usize) -> &ColumnSource {
        &self.sources[self.columns()[column].source]
    }

    /// Takes a column into pool and program unless it is known; tells whether it was new.
    pub(super) fn add_column(&mut self, column: &MasterColumn) -> bool {
        if let Err(known) = self.pool.insert(column) {
            let called_back = self.pool.call_back(known);
            if called_back {
                self.lp.bar(known, !self.may_fill(column));
            }
            return called_back;
        }
        let counts = column.counts.iter();
        let mut entries: Vec<(usize, i32)> = counts
            .map(|&(item, count)| (self.rows.item[item], signed(count)))
            .collect();
        if let ColumnSource::Ripped { yields, .. } = &self.sources[column.source] {
            entries.extend(yields.iter().map(|&(strip, number)| {
                let row = self.rows.link[strip].expect("a strip that boards yield has a row");
                (row, -signed(number))
            }));
        }
        let weight = self.weight(column);
        let index = self.lp.add_column(column.source, weight, &entries);
        if !self.may_fill(column) {
            self.lp.bar(index, true);
        }
        true
    }

    /// Takes the patterns of a board in.
    pub(super) fn add_board(&mut self, board: &CutBoard) {
        let layout = self.problem.kinds[board.kind].layouts.get(board.layout);
        let is_ripped = layout.is_some_and(|layout| layout.len() != 1);
        if let (true, Some(layout)) = (is_ripped, layout) {
            for (&strip, part) in layout.iter().zip(&board.parts) {
                if let (false, Some(source)) = (part.is_empty(), self.strip_source[strip]) {
                    let mut counts = part.clone();
                    counts.sort_unstable();
                    self.add_column(&MasterColumn { source, counts });
                }
            }
            return;
        }
        let source = self.sources.iter().position(|source| match *source {
            ColumnSource::Whole { kind, layout, .. } => {
                kind == board.kind && layout == board.layout
            }
            ColumnSource::Absent { kind } => kind == board.kind,
            ColumnSource::Ripped { .. } | ColumnSource::Strip { .. } => false,
        });
        if let Some(source) = source {
            let counts = board.counts.clone();
            self.add_column(&MasterColumn { source, counts });
        }
    }

    /// What a column weighs in its kind's supply and cost: 1 board, or the pieces it leaves out.
    pub(super) fn weight(&self, column: &MasterColumn) -> u32 {
        self.sources[column.source]
            .kind()
            .map_or(1, |kind| self.problem.weight(kind, &column.counts))
    }

    /// The set of exactly these sources.
    pub(super) fn set_of(&mut self, sources: &[usize]) -> usize {
        self.rows.set_of(sources, &mut self.lp)
    }

    /// The cap of a column.
    pub(super) fn cap_of(&mut self, column: usize) -> usize {
        self.rows.cap_of(column, &mut self.lp)
    }

    /// The item that stands for one of `first` and one of `second` in one pattern.
    ///
    /// `variant` tells apart copies with different histories.
    pub(super) fn merge(&mut self, first: usize, second: usize, variant: usize) -> usize {
        let (item, is_new) = self.items.merge(first, second, variant);
        if is_new {
            self.rows.add_item(&mut self.lp);
        }
        item
    }

    /// Whether a column keeps within the demand.
    fn within(column: &MasterColumn, demand: &[u32]) -> bool {
        let fits =
            |&(item, count): &(usize, u32)| demand.get(item).is_some_and(|&demand| count <= demand);
        column.counts.iter().all(fits)
    }

    /// Whether boards for a column are left.
    fn in_supply(&self, column: &MasterColumn, state: &NodeState) -> bool {
        self.sources[column.source]
            .kind()
            .is_none_or(|kind| state.supply[kind] > 0)
    }

    /// Whether a column holds no pair that clashes; `partners[i]` are the items that clash with item `i`.
    fn is_clear(column: &MasterColumn, partners: &[Vec<usize>]) -> bool {
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
    fn apply(&mut self, state: &NodeState) {
        self.rows.set_sides(state, &mut self.lp);
        let mut partners: Vec<Vec<usize>> = Vec::new();
        if !state.clashes.is_empty() {
            partners.resize(self.items.sizes.len(), Vec::new());
            for clash in &state.clashes {
                partners[clash.first].push(clash.second);
            }
        }
        for (idx, column) in self.pool.columns().iter().enumerate() {
            let allowed = !self.pool.is_retired(idx)
                && self.may_fill(column)
                && self.in_supply(column, state)
                && Master::within(column, &state.demand)
                && Master::is_clear(column, &partners);
            self.lp.bar(idx, !allowed);
        }
    }

    /// Goes to a node and, where that is known, to a basis near its own.
    pub(super) fn enter(&mut self, state: &NodeState, basis: Option<&[Basic]>) {
        if let Some(basis) = basis {
            self.lp.set_basis(basis);
        }
        self.apply(state);
    }

    /// Goes to a state that came out of the present one by taking boards, and solves the program with the columns at
    /// hand; `false` when the meter ended the search.
    pub(super) fn narrow(&mut self, state: &NodeState, meter: &Meter<'_>) -> bool {
        self.rows.set_sides(state, &mut self.lp);
        for (idx, column) in self.pool.columns().iter().enumerate() {
            // What is barred stays so.
            if self.lp.is_barred(idx) {
                continue;
            }
            let allowed = self.in_supply(column, state) && Master::within(column, &state.demand);
            if !allowed {
                self.lp.bar(idx, true);
            }
        }
        self.solve(meter)
    }

    /// Solves the program with the columns at hand; `false` when the meter ended the search.
    pub(super) fn solve(&mut self, meter: &Meter<'_>) -> bool {
        self.lp.solve(SimplexWay::default(), meter) != Reached::Halted
    }

    /// Sets the dearest columns aside when there are more than `crowd.0` a row and `crowd.1` besides; half are kept.
    ///
    /// To be called when the program has just been solved; basic columns stay.
    pub(super) fn retire(&mut self, crowd: (usize, usize)) {
        let n_rows = self.lp.n_rows();
        let live: Vec<usize> = (0..self.columns().len())
            .filter(|&column| {
                // Ripped boards are all there from the start; pricing does not call them back.
                let is_ripped = matches!(self.source_of(column), ColumnSource::Ripped { .. });
                !self.pool.is_retired(column) && !is_ripped
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
            if cost > DEAR_ABOVE {
                self.pool.retire(column);
                self.lp.bar(column, true);
            }
        }
    }

    /// The boards of one strip that cost no more than they are worth in the solution just found, or nearly so, the cheapest
    /// first.
    pub(super) fn cheap_boards(&self) -> Vec<CutBoard> {
        let mut found: Vec<(f64, CutBoard)> = Vec::new();
        for (idx, column) in self.pool.columns().iter().enumerate() {
            if let ColumnSource::Whole { kind, layout, .. } = self.sources[column.source]
                && self.lp.reduced_cost(idx) < NEARLY_CHEAP
                && column
                    .counts
                    .iter()
                    .all(|&(item, _)| item < self.problem.n_items())
            {
                let board = CutBoard {
                    kind,
                    layout,
                    counts: column.counts.clone(),
                    parts: Vec::new(),
                };
                found.push((self.lp.reduced_cost(idx), board));
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.truncate(CHEAP_PER_ROW * self.lp.n_rows());
        found.into_iter().map(|(_, board)| board).collect()
    }

    /// Value of the program in units, with `fixed` already spent; not proved.
    pub(super) fn value(&self, fixed: i64) -> f64 {
        self.lp.value() * self.unit + float(fixed)
    }

    /// How much of the demand the program leaves unmet; not exact.
    pub(super) fn shortfall(&self) -> f64 {
        self.lp.shortfall()
    }

    /// The columns that the program uses, by rising index, and how often.
    pub(super) fn primal(&self) -> Vec<(usize, f64)> {
        self.lp.primal()
    }

    /// By how much the value rises at least for each board that some sources have less, and more, than in the solution
    /// just found.
    pub(super) fn rates(&mut self, sources: &[usize]) -> (f64, f64) {
        let mut is_member = vec![false; self.sources.len()];
        for &source in sources {
            is_member[source] = true;
        }
        self.lp.rates(&is_member)
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
        &self.rows.sets[set].0
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

fn sources_of(sources: &[ColumnSource], kind: usize) -> Vec<usize> {
    (0..sources.len())
        .filter(|&source| sources[source].kind() == Some(kind))
        .collect()
}

fn signed(count: u32) -> i32 {
    i32::try_from(count).expect("counts on a board are small")
}

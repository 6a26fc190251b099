//! Branch and price: best bound first, numbers of boards before patterns.
//!
//! A node is plain data: a [`State`], the bound of its parent, the basis of its parent.
//!
//! Branching goes by the number of boards of a kind or a set of kinds, then by pairs of items: either some pattern
//! holds a piece of both (the two are merged into one longer item) or none does.
//!
//! # Source
//! D. M. Ryan, B. A. Foster, in Computer Scheduling of Public Transport, North-Holland 1981; for items with a demand
//! above one: R. F. F. da Silva, R. C. S. Schouery, INFORMS Journal on Computing 2025, doi 10.1287/ijoc.2023.0399.
#![expect(clippy::float_arithmetic, reason = "fractions steer the branching; bounds are proved in integers")]

use std::cmp::Ordering;
use std::collections::BinaryHeap;
use std::rc::Rc;

use super::bound::Prices;
use super::heuristic::dive::{Remainder, Rounding, dive};
use super::knapsack::Clash;
use super::lp::Basic;
use super::master::{CapBound, Master, Outcome, SetBound, State};
use super::meter::Meter;
use super::params::{LARGEST_TREE, MAX_ROUNDS, REMAINDER_NODES, ROOT_DIVES};
use super::problem::{Column, Plan, Problem};

/// A node that is still to be solved.
#[derive(Debug)]
struct Node {
    bound: i64,
    depth: u32,
    sequence: u64,
    /// Index of its record.
    record: usize,
    /// The prices that gave `bound`.
    prices: Option<Rc<Prices>>,
    state: State,
    basis: Rc<Vec<Basic>>,
}

impl Node {
    fn key(&self) -> (i64, std::cmp::Reverse<u32>, u64) {
        (self.bound, std::cmp::Reverse(self.depth), self.sequence)
    }
}

impl PartialEq for Node {
    fn eq(&self, other: &Node) -> bool {
        self.key() == other.key()
    }
}

impl Eq for Node {}

impl PartialOrd for Node {
    fn partial_cmp(&self, other: &Node) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Node {
    /// The heap gives the greatest first, so the order is turned round: least bound, then deepest, then oldest.
    fn cmp(&self, other: &Node) -> Ordering {
        other.key().cmp(&self.key())
    }
}

/// What became of a node, for the certificate.
#[derive(Clone, Debug)]
pub(super) enum Record {
    /// Not solved yet, or not by means that a certificate can show.
    Unproved,
    /// Prices that reach the cutoff, if any were needed.
    Leaf(Option<Rc<Prices>>),
    /// Split by the number of boards of some kinds; then the ids of the two children.
    Split { kinds: Vec<usize>, set: usize, below: u32, under: usize, over: usize },
}

/// How to split a node.
enum Split {
    Boards { kinds: Vec<usize>, below: u32 },
    Pair { first: usize, second: usize },
    Column { column: usize, below: u32 },
}

/// A solved node with what its children inherit.
struct Parent<'a> {
    node: &'a Node,
    bound: i64,
    basis: &'a Rc<Vec<Basic>>,
    prices: Option<&'a Rc<Prices>>,
}

/// The search for one problem.
pub(super) struct Search<'p, 'm> {
    problem: &'p Problem,
    meter: &'m Meter<'m>,
    master: Master<'p>,
    open: BinaryHeap<Node>,
    sequence: u64,
    /// The best plan so far.
    pub(super) incumbent: Option<Plan>,
    /// Least bound over nodes given up without a proof.
    abandoned: i64,
    /// The best proved bound.
    pub(super) bound: i64,
    /// Nodes solved.
    pub(super) n_nodes: u64,
    report: &'m dyn Fn(i64, i64),
    /// What became of the nodes; the root is the first.
    pub(super) records: Vec<Record>,
    /// The bound of the root, with its prices.
    pub(super) root: (i64, Option<Rc<Prices>>),
    /// Only plans below this cost are of interest.
    ceiling: i64,
    /// Whether this search serves another one's dive.
    nested: bool,
    /// Nodes after which the search ends.
    node_limit: u64,
}

impl<'p, 'm> Search<'p, 'm> {
    /// A search with no plan yet.
    pub(super) fn new(problem: &'p Problem, meter: &'m Meter<'m>, report: &'m dyn Fn(i64, i64)) -> Search<'p, 'm> {
        Search {
            problem,
            meter,
            master: Master::new(problem),
            open: BinaryHeap::new(),
            sequence: 0,
            incumbent: None,
            abandoned: i64::MAX,
            bound: 0,
            n_nodes: 0,
            report,
            records: vec![Record::Unproved],
            root: (0, None),
            ceiling: i64::MAX,
            nested: false,
            node_limit: u64::MAX,
        }
    }

    /// Offers boards as a plan; keeps them when they are a plan better than the best.
    pub(super) fn offer(&mut self, boards: &[(Column, u32)]) {
        let Some(plan) = self.problem.plan_from(boards) else { return };
        if self.incumbent.as_ref().is_none_or(|known| plan.rank() < known.rank()) {
            for (column, _) in &plan.boards {
                self.master.add_column(column);
            }
            self.incumbent = Some(plan);
            (self.report)(self.cutoff(), self.bound);
        }
    }

    fn cutoff(&self) -> i64 {
        self.incumbent.as_ref().map_or(self.ceiling, |plan| plan.cost.min(self.ceiling))
    }

    /// Whether value and bound have met.
    pub(super) fn proved(&self) -> bool {
        self.bound >= self.cutoff()
    }

    /// Searches until the proof or the meter's end.
    pub(super) fn run(&mut self) {
        let root = self.master.root();
        self.open.push(Node {
            bound: 0,
            depth: 0,
            sequence: 0,
            record: 0,
            prices: None,
            state: root,
            basis: Rc::new(Vec::new()),
        });
        while let Some(node) = self.open.pop() {
            self.bound = self.bound.max(node.bound.min(self.abandoned).min(self.cutoff()));
            if node.bound >= self.cutoff() {
                // So are all others: the prices of their parents close them.
                self.note(node.record, Record::Leaf(node.prices));
                for other in std::mem::take(&mut self.open) {
                    self.note(other.record, Record::Leaf(other.prices));
                }
                break;
            }
            let bound = node.bound;
            if self.n_nodes >= self.node_limit || !self.solve_node(node) {
                self.bound = self.bound.max(bound.min(self.abandoned).min(self.cutoff()));
                return;
            }
        }
        self.bound = self.bound.max(self.abandoned.min(self.cutoff()));
    }

    /// Solves a node and pushes its children; `false` when the meter ended the search.
    fn solve_node(&mut self, node: Node) -> bool {
        self.n_nodes += 1;
        if node.depth > 0 {
            self.master.lp.set_basis(&node.basis);
        }
        self.master.apply(&node.state);
        let unit_gap = self.cutoff() != i64::MAX;
        let relaxed = self.master.relax(&node.state, 0, self.cutoff(), MAX_ROUNDS, unit_gap, self.meter);
        if node.depth == 0 {
            self.bound = self.bound.max(relaxed.bound.min(self.cutoff()));
            (self.report)(self.cutoff(), self.bound);
        }
        let bound = relaxed.bound.max(node.bound);
        let prices =
            if relaxed.bound >= node.bound { relaxed.prices.clone().map(Rc::new) } else { node.prices.clone() };
        if node.depth == 0 {
            self.root = (self.bound, prices.clone());
        }
        if self.meter.halted() {
            return false;
        }
        if relaxed.outcome == Outcome::Pruned || bound >= self.cutoff() {
            self.note(node.record, Record::Leaf(prices));
            return true;
        }
        self.master.retire();
        let basis = Rc::new(self.master.basis());
        let primal = self.master.lp.primal();
        let whole = primal.iter().all(|&(_, value)| (value - value.round()).abs() < 1e-6);
        if whole && !relaxed.short {
            let boards = self.rounded(&primal);
            self.offer(&boards);
            if bound >= self.cutoff() {
                self.note(node.record, Record::Leaf(prices));
                return true;
            }
        }
        let split = self.choose(&primal);
        self.dives(&node, &basis, bound);
        if self.meter.halted() {
            return false;
        }
        if bound >= self.cutoff() {
            self.note(node.record, Record::Leaf(prices));
            return true;
        }
        let parent = Parent { node: &node, bound, basis: &basis, prices: prices.as_ref() };
        match split {
            Some(Split::Boards { kinds, below }) => self.split_boards(&parent, &kinds, below),
            Some(Split::Pair { first, second }) => self.split_pair(&parent, first, second),
            Some(Split::Column { column, below }) => self.split_column(&parent, column, below),
            None => self.abandoned = self.abandoned.min(bound),
        }
        true
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "values are within 1e-6 of whole numbers and small"
    )]
    fn rounded(&self, primal: &[(usize, f64)]) -> Vec<(Column, u32)> {
        primal
            .iter()
            .map(|&(index, value)| {
                (self.master.spelled_out(&self.master.pool.columns()[index]), value.round() as u32)
            })
            .collect()
    }

    fn dives(&mut self, node: &Node, basis: &Rc<Vec<Basic>>, bound: i64) {
        let n_dives = if node.depth == 0 {
            ROOT_DIVES
        } else {
            u32::from(self.n_nodes < 20 || self.n_nodes.is_multiple_of(8))
        };
        for turn in 0..n_dives {
            if bound >= self.cutoff() || self.meter.halted() {
                return;
            }
            if turn > 0 {
                self.master.lp.set_basis(basis);
                self.master.apply(&node.state);
                self.master.lp.set_perturbed(false);
                self.master.lp.solve(None, self.meter);
            }
            let rounding = if turn == 0 { Rounding::Largest } else { Rounding::Disturbed(turn) };
            let cutoff = self.cutoff();
            let mut remainder = None;
            let boards =
                dive(&mut self.master, &node.state, cutoff, rounding, self.meter, &mut remainder);
            match (boards, remainder) {
                (Some(boards), _) => self.offer(&boards),
                (None, Some(remainder)) if !self.nested && (node.depth == 0 || self.n_nodes.is_multiple_of(16)) => {
                    self.close(&remainder);
                }
                _ => {}
            }
        }
    }

    /// Solves what a failed dive left by a search of its own.
    fn close(&mut self, remainder: &Remainder) {
        let (small, items) = self.problem.restricted(&remainder.demand, &remainder.supply);
        let mut inner = Search::new(&small, self.meter, &|_, _| {});
        inner.nested = true;
        inner.ceiling = self.cutoff().saturating_sub(remainder.fixed);
        inner.node_limit = REMAINDER_NODES;
        inner.run();
        if let Some(plan) = inner.incumbent {
            let mut boards = remainder.boards.clone();
            let back = |counts: &[(usize, u32)]| -> Vec<(usize, u32)> {
                counts.iter().map(|&(item, count)| (items[item], count)).collect()
            };
            for (column, times) in &plan.boards {
                let column = Column {
                    kind: column.kind,
                    layout: column.layout,
                    counts: back(&column.counts),
                    parts: column.parts.iter().map(|part| back(part)).collect(),
                };
                boards.push((column, *times));
            }
            self.offer(&boards);
        }
    }

    /// The split for a fractional solution.
    fn choose(&self, primal: &[(usize, f64)]) -> Option<Split> {
        let usage = self.master.usage();
        let mut best: Option<(f64, Vec<usize>, u32)> = None;
        let mut consider = |kinds: Vec<usize>, total: f64, weight: f64| {
            let below = total.floor();
            let fraction = total - below;
            let distance = fraction.min(1.0 - fraction);
            if distance < 1e-5 {
                return;
            }
            let score = distance * weight;
            if best.as_ref().is_none_or(|known| score > known.0) {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "a number of boards, not negative"
                )]
                let below = below as u32;
                best = Some((score, kinds, below));
            }
        };
        let n_kinds = self.problem.kinds.len();
        if n_kinds >= 1 {
            let total: f64 = usage.iter().sum();
            consider((0..n_kinds).collect(), total, 1.0);
        }
        if n_kinds > 1 {
            let mut order: Vec<usize> = (0..n_kinds).collect();
            order.sort_by_key(|&kind| (self.longest_run(kind), kind));
            for cut in 1..n_kinds {
                let mut kinds: Vec<usize> = order[cut..].to_vec();
                let total: f64 = kinds.iter().map(|&kind| usage[kind]).sum();
                kinds.sort_unstable();
                let single = kinds.len() == 1;
                consider(kinds, total, if single { 1.0 } else { 0.9 });
            }
            for kind in 0..n_kinds {
                consider(vec![kind], usage[kind], 1.0);
            }
        }
        if let Some((_, kinds, below)) = best {
            return Some(Split::Boards { kinds, below });
        }
        self.choose_pair(primal)
    }

    fn longest_run(&self, kind: usize) -> i64 {
        self.problem.kinds[kind]
            .layouts
            .iter()
            .flatten()
            .map(|&strip| self.problem.strips[strip].capacity)
            .max()
            .unwrap_or(0)
    }

    fn choose_pair(&self, primal: &[(usize, f64)]) -> Option<Split> {
        // On a board of several strips a pair may lie on two strips, so merging would lose plans.
        if self.problem.kinds.iter().any(|kind| kind.layouts.iter().any(|layout| layout.len() > 1)) {
            return None;
        }
        let mut together: Vec<((usize, usize), f64)> = Vec::new();
        let mut place = std::collections::BTreeMap::new();
        for &(index, value) in primal {
            let column = &self.master.pool.columns()[index];
            if self.problem.kinds[column.kind].absent {
                continue;
            }
            for (at, &(first, count)) in column.counts.iter().enumerate() {
                if count >= 2 {
                    add(&mut place, &mut together, (first, first), value);
                }
                for &(second, _) in &column.counts[at + 1..] {
                    add(&mut place, &mut together, (first, second), value);
                }
            }
        }
        let mut best: Option<(f64, i64, usize, usize)> = None;
        for &((first, second), total) in &together {
            let fraction = total - total.floor();
            if !(1e-5..=1.0 - 1e-5).contains(&fraction) {
                continue;
            }
            let size = self.master.sizes[first] + self.master.sizes[second];
            let score = if fraction > 0.5 { 1.5 - fraction } else { fraction };
            let better = best.as_ref().is_none_or(|known| (score, size) > (known.0, known.1));
            if better {
                best = Some((score, size, first, second));
            }
        }
        best.map(|(_, _, first, second)| Split::Pair { first, second }).or_else(|| self.choose_column(primal))
    }

    /// The column whose use is nearest to a half, where no pair of items is left to split by.
    fn choose_column(&self, primal: &[(usize, f64)]) -> Option<Split> {
        let mut best: Option<(f64, usize, u32)> = None;
        for &(column, value) in primal {
            if self.master.pool.columns()[column].counts.is_empty() {
                continue;
            }
            let below = value.floor();
            let distance = (value - below).min(below + 1.0 - value);
            if distance > 1e-5 && best.is_none_or(|known| distance > known.0) {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "the use of a column is small and not negative"
                )]
                let below = below as u32;
                best = Some((distance, column, below));
            }
        }
        best.map(|(_, column, below)| Split::Column { column, below })
    }

    fn note(&mut self, record: usize, what: Record) {
        if let Some(place) = self.records.get_mut(record) {
            *place = what;
        }
    }

    fn push(&mut self, parent: &Parent<'_>, state: State) -> usize {
        self.sequence += 1;
        // Beyond the largest tree that is kept, records are numbers without a place.
        let record = self.records.len();
        if record < LARGEST_TREE {
            self.records.push(Record::Unproved);
        }
        self.open.push(Node {
            bound: parent.bound,
            depth: parent.node.depth + 1,
            sequence: self.sequence,
            record,
            prices: parent.prices.cloned(),
            state,
            basis: Rc::clone(parent.basis),
        });
        record
    }

    fn split_boards(&mut self, parent: &Parent<'_>, kinds: &[usize], below: u32) {
        let node = parent.node;
        let set = self.master.set_of(kinds);
        let (mut under, mut over) = (node.state.clone(), node.state.clone());
        for (state, least, most) in [(&mut under, 0, below), (&mut over, below + 1, u32::MAX)] {
            match state.sets.iter_mut().find(|known| known.set == set) {
                Some(known) => {
                    known.least = known.least.max(least);
                    known.most = known.most.min(most);
                }
                None => state.sets.push(SetBound { set, least, most }),
            }
            if let [kind] = kinds[..] {
                state.supply[kind] = state.supply[kind].min(most);
            }
        }
        let under = self.push(parent, under);
        let over = self.push(parent, over);
        self.note(node.record, Record::Split { kinds: kinds.to_vec(), set, below, under, over });
    }

    fn split_column(&mut self, parent: &Parent<'_>, column: usize, below: u32) {
        let cap = self.master.cap_of(column);
        let (mut under, mut over) = (parent.node.state.clone(), parent.node.state.clone());
        for (state, least, most) in [(&mut under, 0, below), (&mut over, below + 1, u32::MAX)] {
            match state.caps.iter_mut().find(|known| known.cap == cap) {
                Some(known) => {
                    known.least = known.least.max(least);
                    known.most = known.most.min(most);
                }
                None => state.caps.push(CapBound { cap, column, least, most }),
            }
        }
        self.push(parent, under);
        self.push(parent, over);
    }

    fn split_pair(&mut self, parent: &Parent<'_>, first: usize, second: usize) {
        let node = parent.node;
        let mut apart = node.state.clone();
        apart.clashes.push(Clash { first, second });
        // What clashes with one of the two clashes with the merged item.
        let mut inherited: Vec<usize> = Vec::new();
        let mut with_itself = false;
        for clash in &node.state.clashes {
            for (one, other) in [(clash.first, clash.second), (clash.second, clash.first)] {
                if one == first || one == second {
                    inherited.push(other);
                    with_itself |= other == first || other == second;
                }
            }
        }
        inherited.sort_unstable();
        inherited.dedup();
        let mut variant = 0;
        let mut merged;
        loop {
            merged = self.master.merge(first, second, variant);
            let taken = node.state.demand.get(merged).copied().unwrap_or(0) > 0;
            if !taken || inherited.is_empty() {
                break;
            }
            variant += 1;
        }
        let mut together = node.state.clone();
        together.demand.resize(self.master.sizes.len(), 0);
        together.demand[first] -= 1;
        together.demand[second] -= 1;
        together.demand[merged] += 1;
        for other in inherited {
            together.clashes.push(Clash { first: other, second: merged });
        }
        if with_itself {
            together.clashes.push(Clash { first: merged, second: merged });
        }
        let twins: Vec<Column> = self
            .master
            .pool
            .columns()
            .iter()
            .filter_map(|column| twin(column, first, second, merged))
            .collect();
        for column in &twins {
            self.master.add_column(column);
        }
        self.push(parent, apart);
        self.push(parent, together);
    }
}

fn add(
    place: &mut std::collections::BTreeMap<(usize, usize), usize>,
    together: &mut Vec<((usize, usize), f64)>,
    pair: (usize, usize),
    value: f64,
) {
    let at = *place.entry(pair).or_insert_with(|| {
        together.push((pair, 0.0));
        together.len() - 1
    });
    together[at].1 += value;
}

/// `column` with one of `first` and one of `second` taken as the merged item, when it holds both.
fn twin(column: &Column, first: usize, second: usize, merged: usize) -> Option<Column> {
    if !column.parts.is_empty() {
        return None;
    }
    let mut counts = column.counts.clone();
    for item in [first, second] {
        let entry = counts.iter_mut().find(|entry| entry.0 == item && entry.1 > 0)?;
        entry.1 -= 1;
    }
    match counts.iter_mut().find(|entry| entry.0 == merged) {
        Some(entry) => entry.1 += 1,
        None => counts.push((merged, 1)),
    }
    counts.retain(|entry| entry.1 > 0);
    counts.sort_unstable();
    Some(Column { kind: column.kind, layout: column.layout, counts, parts: Vec::new() })
}

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
#![expect(
    clippy::float_arithmetic,
    reason = "fractions steer the branching; bounds are proved in integers"
)]

mod choose;
mod close;
mod split;

use std::cmp::Ordering;
use std::collections::BinaryHeap;
use std::rc::Rc;

use super::bound::Prices;
use super::heuristic::correction::Correction;
use super::heuristic::dive::{Rounding, dive};
use super::lp::Basic;
use super::master::{Master, Outcome, State};
use super::meter::Meter;
use super::params::{
    CORRECTION_PASSES, CORRECTION_SHARE, CROWDED_AT_NODE, DIVE_PART, EAGER_NODES, LARGEST_TREE,
    MAX_ROUNDS, ROOT_DIVES,
};
use super::problem::{Board, Plan, Problem};
use super::taken::Taken;

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

/// A bound on the plans of a node, with the prices that give it; a bound of 0 needs none.
#[derive(Clone, Debug)]
pub(super) struct Proof {
    pub(super) bound: i64,
    pub(super) prices: Option<Rc<Prices>>,
}

/// What became of a node, for the certificate.
#[derive(Clone, Debug)]
pub(super) struct Record {
    /// What is proved of the node by itself.
    pub(super) proof: Proof,
    /// How it was split, where by numbers of boards; what its children prove holds for it too.
    pub(super) cases: Option<Cases>,
}

impl Record {
    /// A record of a node that is not split.
    pub(super) fn of(bound: i64, prices: Option<Rc<Prices>>) -> Record {
        Record {
            proof: Proof { bound, prices },
            cases: None,
        }
    }
}

/// A split by the number of boards of some kinds.
#[derive(Clone, Debug)]
pub(super) struct Cases {
    /// Kinds whose boards are counted, in whatever layout.
    pub(super) kinds: Vec<usize>,
    /// `(kind, layout)`: boards divided so are counted too.
    pub(super) divided: Vec<(usize, usize)>,
    pub(super) set: usize,
    pub(super) below: u32,
    /// Ids of the records of the two children; there may be none of that id.
    pub(super) under: usize,
    pub(super) over: usize,
}

/// How to split a node.
enum Split {
    /// By the number of boards of a set of sources.
    Boards {
        sources: Vec<usize>,
        below: u32,
    },
    Pair {
        first: usize,
        second: usize,
    },
    Column {
        column: usize,
        below: u32,
    },
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
    /// Only plans below this cost are of interest.
    pub(super) ceiling: i64,
    /// Whether this search serves another one's dive.
    nested: bool,
    /// Nodes after which the search ends.
    node_limit: u64,
    /// Work of others before the search began.
    began: u64,
    /// Work of dives since the last that found a better plan.
    dive_work: u64,
}

impl<'p, 'm> Search<'p, 'm> {
    /// A search with no plan yet.
    pub(super) fn new(
        problem: &'p Problem,
        meter: &'m Meter<'m>,
        report: &'m dyn Fn(i64, i64),
    ) -> Search<'p, 'm> {
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
            records: vec![Record::of(0, None)],
            ceiling: i64::MAX,
            nested: false,
            node_limit: u64::MAX,
            began: meter.work(),
            dive_work: 0,
        }
    }

    /// Offers boards as a plan; keeps them when they are a plan better than the best.
    pub(super) fn offer(&mut self, boards: &[(Board, u32)]) {
        let Some(plan) = self.problem.plan_from(boards) else {
            return;
        };
        if self
            .incumbent
            .as_ref()
            .is_none_or(|known| plan.rank() < known.rank())
        {
            for (board, _) in &plan.boards {
                self.master.add_board(board);
            }
            self.incumbent = Some(plan);
            (self.report)(self.cutoff(), self.bound);
        }
    }

    fn cutoff(&self) -> i64 {
        self.incumbent
            .as_ref()
            .map_or(self.ceiling, |plan| plan.cost.min(self.ceiling))
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
            self.bound = self
                .bound
                .max(node.bound.min(self.abandoned).min(self.cutoff()));
            if node.bound >= self.cutoff() {
                // So are all others: the prices of their parents close them.
                break;
            }
            let bound = node.bound;
            if self.n_nodes >= self.node_limit || !self.solve_node(&node) {
                self.bound = self.bound.max(bound.min(self.abandoned).min(self.cutoff()));
                return;
            }
        }
        self.bound = self.bound.max(self.abandoned.min(self.cutoff()));
    }

    /// Solves a node and pushes its children; `false` when the meter ended the search.
    fn solve_node(&mut self, node: &Node) -> bool {
        self.n_nodes += 1;
        if node.depth > 0 {
            self.master.lp.set_basis(&node.basis);
        }
        self.master.apply(&node.state);
        let unit_gap = self.cutoff() != i64::MAX;
        let relaxed = self.master.relax(
            &node.state,
            0,
            self.cutoff(),
            MAX_ROUNDS,
            unit_gap,
            self.meter,
        );
        if node.depth == 0 {
            self.bound = self.bound.max(relaxed.bound.min(self.cutoff()));
            (self.report)(self.cutoff(), self.bound);
        }
        let bound = relaxed.bound.max(node.bound);
        let prices = if relaxed.bound >= node.bound {
            relaxed.prices.clone().map(Rc::new)
        } else {
            node.prices.clone()
        };
        self.prove(node.record, bound, prices.as_ref());
        if self.meter.halted() {
            return false;
        }
        if relaxed.outcome == Outcome::Pruned || bound >= self.cutoff() {
            return true;
        }
        self.master.retire(CROWDED_AT_NODE);
        let basis = Rc::new(self.master.basis());
        let primal = self.master.lp.primal();
        let whole = primal
            .iter()
            .all(|&(_, value)| (value - value.round()).abs() < 1e-6);
        if whole && !relaxed.short {
            if let Some(boards) = self.rounded(&primal).into_boards(self.problem) {
                self.offer(&boards);
            }
            if bound >= self.cutoff() {
                return true;
            }
        }
        let split = self.choose(&primal);
        if node.depth == 0 && !self.nested {
            self.correct(bound);
        }
        self.dives(node, &basis, bound);
        if self.meter.halted() {
            return false;
        }
        if bound >= self.cutoff() {
            return true;
        }
        let parent = Parent {
            node,
            bound,
            basis: &basis,
            prices: prices.as_ref(),
        };
        match split {
            Some(Split::Boards { sources, below }) => {
                self.split_boards(&parent, &sources, below);
            }
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
    fn rounded(&self, primal: &[(usize, f64)]) -> Taken {
        let mut taken = Taken::default();
        for &(index, value) in primal {
            let column = &self.master.pool.columns()[index];
            let counts = self.master.spelled_out(&column.counts);
            taken.add(
                &self.master.sources[column.source],
                counts,
                value.round() as u32,
            );
        }
        taken
    }

    /// Passes of sequential value correction from the root's prices, for a part of the work the root took.
    fn correct(&mut self, bound: i64) {
        let values = self.master.item_prices();
        let Some(mut correction) = Correction::new(self.problem, values) else {
            return;
        };
        let end = self.meter.work() + self.meter.work() / CORRECTION_SHARE;
        for _ in 0..CORRECTION_PASSES {
            if bound >= self.cutoff() || self.meter.halted() {
                return;
            }
            if let Some(boards) = correction.pass(self.meter) {
                self.offer(&boards);
            }
            if self.meter.work() > end {
                return;
            }
        }
    }

    fn dives(&mut self, node: &Node, basis: &Rc<Vec<Basic>>, bound: i64) {
        let began = self.meter.work();
        let n_dives = if node.depth == 0 {
            ROOT_DIVES
        } else {
            let is_due = self.dive_work * DIVE_PART <= began - self.began;
            u32::from(self.n_nodes < EAGER_NODES || is_due)
        };
        let known = self.cutoff();
        for turn in 0..n_dives {
            if bound >= self.cutoff() || self.meter.halted() {
                break;
            }
            if turn > 0 {
                self.master.lp.set_basis(basis);
                self.master.apply(&node.state);
                self.master.lp.set_perturbed(false);
                self.master.lp.solve(None, self.meter);
            }
            let rounding = if turn == 0 {
                Rounding::Largest
            } else {
                Rounding::Disturbed(turn)
            };
            let cutoff = self.cutoff();
            let mut remainder = None;
            let boards = dive(
                &mut self.master,
                &node.state,
                cutoff,
                rounding,
                self.meter,
                &mut remainder,
            );
            match (boards, remainder) {
                (Some(boards), _) => self.offer(&boards),
                (None, Some(remainder))
                    if !self.nested && (node.depth == 0 || self.n_nodes.is_multiple_of(16)) =>
                {
                    self.close(&remainder);
                }
                _ => {}
            }
        }
        if self.cutoff() < known {
            self.dive_work = 0;
        } else {
            self.dive_work += self.meter.work() - began;
        }
    }

    /// Keeps what is proved of a node by itself.
    fn prove(&mut self, record: usize, bound: i64, prices: Option<&Rc<Prices>>) {
        if let Some(record) = self.records.get_mut(record) {
            record.proof = Proof {
                bound,
                prices: prices.cloned(),
            };
        }
    }

    fn push(&mut self, parent: &Parent<'_>, state: State) -> usize {
        self.sequence += 1;
        // Beyond the largest tree that is kept, records are numbers without a place.
        let record = self.records.len();
        if record < LARGEST_TREE {
            self.records
                .push(Record::of(parent.bound, parent.prices.cloned()));
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
}

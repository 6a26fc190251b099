//! Branch and price: best bound first, numbers of boards before patterns.
//! Now and then the search plunges from a node down to settled numbers of boards, for the sake of plans.
//!
//! A node is plain data: a [`NodeState`], the bound of its parent, the basis of its parent.
//!
//! Branching goes by the number of boards of a kind or a set of kinds, then by pairs of items: either some pattern
//! holds a piece of both (the two are merged into one longer item) or none does.
//! A tree that does not close soon is given up for another, which chooses its pairs otherwise.
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
mod dives;
mod fills;
mod node;
mod regrow;
mod split;

use std::collections::{BTreeMap, BinaryHeap};
use std::rc::Rc;

use super::heuristic::fill::SettledBoards;
use super::lp::Basic;
use super::master::{Ask, Master, NodeState, Outcome};
use super::meter::Meter;
use super::params::{
    CROWDED_AT_NODE, FIRST_TREE, LARGEST_TREE, LEAST_FRACTION, MAX_ROUNDS, PLUNGE_EVERY,
};
use super::problem::{BoardPlan, CutBoard, Problem};
use super::taken::TakenBoards;
use node::Node;
use regrow::Regrowth;

pub(super) use node::{Cases, NodeProof, NodeRecord, SplitBy};

/// How to split a node.
enum Split {
    /// By the number of boards of a set of sources.
    Boards {
        sources: Vec<usize>,
        below: u32,
        /// Whether the solution has rather more than `below`.
        is_nearer_over: bool,
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
    proof: &'a NodeProof,
    basis: &'a Rc<Vec<Basic>>,
}

/// The search for one problem.
pub(super) struct BranchAndPrice<'p, 'm> {
    problem: &'p Problem,
    meter: &'m Meter<'m>,
    master: Master<'p>,
    open: BinaryHeap<Node>,
    /// The children of the node last split.
    fresh: Vec<Node>,
    /// That of them whose numbers of boards are nearer to those of the node's solution, where it was split by such.
    nearer: Option<usize>,
    sequence: u64,
    /// The best plan so far.
    pub(super) incumbent: Option<BoardPlan>,
    /// Least bound over nodes given up without a proof.
    abandoned: i64,
    /// The best proved bound.
    pub(super) bound: i64,
    /// Nodes solved.
    pub(super) n_nodes: u64,
    report: &'m dyn Fn(i64, i64),
    /// What became of the nodes of this tree; the root is the first.
    pub(super) records: Vec<NodeRecord>,
    /// The trees before this one.
    regrowth: Regrowth,
    /// Boards that cost no more at the root than they are worth, or nearly so.
    pub(super) root_boards: Vec<CutBoard>,
    /// Only plans below this cost are of interest.
    pub(super) ceiling: i64,
    /// Whether this search serves another one's dive.
    nested: bool,
    /// Nodes after which the search ends.
    pub(super) node_limit: u64,
    /// Splits by pairs after which the first tree is given up for another.
    pub(super) first_tree: u64,
    /// Work of others before the search began.
    began: u64,
    /// Work of dives since the last that found a better plan.
    dive_work: u64,
    /// Numbers of boards that have been filled, or tried to, and how often.
    filled: BTreeMap<Vec<SettledBoards>, u32>,
    /// Work of that since it last found a better plan.
    fill_work: u64,
}

impl<'p, 'm> BranchAndPrice<'p, 'm> {
    /// A search with no plan yet.
    pub(super) fn new(
        problem: &'p Problem,
        meter: &'m Meter<'m>,
        report: &'m dyn Fn(i64, i64),
    ) -> BranchAndPrice<'p, 'm> {
        BranchAndPrice {
            problem,
            meter,
            master: Master::new(problem),
            open: BinaryHeap::new(),
            fresh: Vec::new(),
            nearer: None,
            sequence: 0,
            incumbent: None,
            abandoned: i64::MAX,
            bound: 0,
            n_nodes: 0,
            report,
            records: vec![NodeRecord::of(NodeProof::default())],
            regrowth: Regrowth::default(),
            root_boards: Vec::new(),
            ceiling: i64::MAX,
            nested: false,
            node_limit: u64::MAX,
            first_tree: FIRST_TREE,
            began: meter.work(),
            dive_work: 0,
            filled: BTreeMap::new(),
            fill_work: 0,
        }
    }

    /// Offers boards as a plan; keeps them when they are a plan better than the best.
    pub(super) fn offer(&mut self, boards: &[(CutBoard, u32)]) {
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

    /// Takes a board as one that plans may have.
    pub(super) fn suggest(&mut self, board: &CutBoard) {
        self.master.add_board(board);
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
        while !self.grow() {
            self.begin_anew();
        }
    }

    /// Grows a tree from its root; `false` where it is to be given up for another.
    fn grow(&mut self) -> bool {
        self.open.push(Node {
            proof: NodeProof::default(),
            depth: 0,
            sequence: 0,
            record: 0,
            state: self.master.root(),
            basis: Rc::new(Vec::new()),
        });
        let mut next = None;
        while let Some((node, plunges)) = self.take_next(next.take()) {
            // The bound may be one that was known before this tree.
            if self.proved() {
                break;
            }
            let bound = node.proof.bound;
            // The child of a plunge need not be the lowest of those that are open.
            if !plunges {
                self.raise_bound(bound);
            }
            if bound >= self.cutoff() {
                if plunges {
                    continue;
                }
                // So are all others: the duals of their parents close them.
                break;
            }
            let is_ended = self.n_nodes >= self.node_limit || self.meter.halted();
            let is_over = !is_ended && self.is_to_give_up();
            if is_over || is_ended || !self.solve_node(&node) {
                // All that is open is this one and what waits.
                let waiting = self.open.peek().map_or(i64::MAX, |other| other.proof.bound);
                self.raise_bound(bound.min(waiting));
                return !is_over;
            }
            next = self.followed(plunges);
        }
        self.raise_bound(i64::MAX);
        true
    }

    /// The node that is solved next, and whether it is the child that a plunge goes on with; else it is that of least
    /// bound.
    fn take_next(&mut self, child: Option<Node>) -> Option<(Node, bool)> {
        let child = child.map(|node| (node, true));
        child.or_else(|| self.open.pop().map(|node| (node, false)))
    }

    /// The child to go on with where a plunge is on or due; all others wait for their turn.
    ///
    /// A plunge goes down to where the numbers of all boards are settled, as plans with these are found more easily.
    fn followed(&mut self, plunges: bool) -> Option<Node> {
        let is_due = plunges || self.n_nodes.is_multiple_of(PLUNGE_EVERY);
        let nearer = self.nearer.take().filter(|_| is_due && !self.nested);
        let next = nearer.map(|at| self.fresh.swap_remove(at));
        self.open.extend(self.fresh.drain(..));
        next
    }

    /// Takes note that no open node has a bound below this.
    fn raise_bound(&mut self, bound: i64) {
        let bound = bound.min(self.abandoned).min(self.cutoff());
        self.bound = self.bound.max(bound);
    }

    /// Solves a node and pushes its children; `false` when the meter ended the search.
    fn solve_node(&mut self, node: &Node) -> bool {
        self.n_nodes += 1;
        let basis = (node.depth > 0).then_some(node.basis.as_slice());
        self.master.enter(&node.state, basis);
        let ask = Ask {
            fixed: 0,
            cutoff: self.cutoff(),
            max_rounds: MAX_ROUNDS,
            settle: self.cutoff() != i64::MAX,
            at_node: true,
        };
        let relaxed = self.master.relax(&node.state, ask, self.meter);
        if node.depth == 0 {
            self.bound = self.bound.max(relaxed.bound.min(self.cutoff()));
            (self.report)(self.cutoff(), self.bound);
        }
        let proof = if relaxed.bound >= node.proof.bound {
            NodeProof {
                bound: relaxed.bound,
                duals: relaxed.duals.map(Rc::new),
            }
        } else {
            node.proof.clone()
        };
        let bound = proof.bound;
        if let Some(record) = self.records.get_mut(node.record) {
            record.proof = proof.clone();
        }
        if self.meter.halted() {
            return false;
        }
        if relaxed.outcome == Outcome::Pruned || bound >= self.cutoff() {
            return true;
        }
        let is_first = node.depth == 0 && !self.nested && self.regrowth.is_first();
        if is_first {
            self.root_boards = self.master.cheap_boards();
        }
        self.master.retire(CROWDED_AT_NODE);
        let basis = Rc::new(self.master.basis());
        let primal = self.master.primal();
        let whole = primal
            .iter()
            .all(|&(_, value)| (value - value.round()).abs() <= LEAST_FRACTION);
        if whole && !relaxed.short {
            if let Some(boards) = self.rounded(&primal).into_boards(self.problem) {
                self.offer(&boards);
            }
            if bound >= self.cutoff() {
                return true;
            }
        }
        let split = self.choose(&primal);
        let settled = self.settled_numbers(&primal);
        if is_first {
            self.correct(bound);
        }
        self.dives(node, &basis, bound);
        if let Some(settled) = settled {
            self.fill(settled);
        }
        if self.meter.halted() {
            return false;
        }
        if bound >= self.cutoff() {
            return true;
        }
        let parent = Parent {
            node,
            proof: &proof,
            basis: &basis,
        };
        match split {
            Some(Split::Boards {
                sources,
                below,
                is_nearer_over,
            }) => {
                self.split_boards(&parent, &sources, below);
                // That with fewer boards comes first; either may be shut.
                self.nearer = match self.fresh.len() {
                    0 => None,
                    1 => Some(0),
                    _ => Some(usize::from(is_nearer_over)),
                };
            }
            Some(Split::Pair { first, second }) => {
                // Where boards must be full all trees take the same pairs.
                if !self.master.is_full() {
                    self.note_pair();
                }
                self.split_pair(&parent, first, second);
            }
            Some(Split::Column { column, below }) => self.split_column(&parent, column, below),
            None => self.abandoned = self.abandoned.min(bound),
        }
        true
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "values are near whole numbers and small"
    )]
    fn rounded(&self, primal: &[(usize, f64)]) -> TakenBoards {
        let mut taken = TakenBoards::default();
        for &(index, value) in primal {
            let column = &self.master.columns()[index];
            let counts = self.master.items.spelled_out(&column.counts);
            taken.add(
                &self.master.sources[column.source],
                counts,
                value.round() as u32,
            );
        }
        taken
    }

    /// Keeps a record of a node to come; gives its index.
    fn record(&mut self, proof: NodeProof) -> usize {
        // Beyond the largest tree that is kept, records are numbers without a place.
        let record = self.records.len();
        if record < LARGEST_TREE {
            self.records.push(NodeRecord::of(proof));
        }
        record
    }

    fn push(&mut self, parent: &Parent<'_>, state: NodeState) -> usize {
        self.sequence += 1;
        let record = self.record(parent.proof.clone());
        self.fresh.push(Node {
            proof: parent.proof.clone(),
            depth: parent.node.depth + 1,
            sequence: self.sequence,
            record,
            state,
            basis: Rc::clone(parent.basis),
        });
        record
    }
}

//! A node of the search as plain data, and what is kept of it when it is done.

use std::cmp::Ordering;
use std::rc::Rc;

use super::super::bound::IntegerDuals;
use super::super::lp::Basic;
use super::super::master::NodeState;

/// A node that is still to be solved.
#[derive(Debug)]
pub(super) struct Node {
    /// What is proved of its parent.
    pub(super) proof: NodeProof,
    pub(super) depth: u32,
    /// Its number among the nodes made.
    pub(super) sequence: u64,
    /// Index of its record.
    pub(super) record: usize,
    pub(super) state: NodeState,
    /// The basis of its parent.
    pub(super) basis: Rc<Vec<Basic>>,
}

impl Node {
    fn key(&self) -> (i64, std::cmp::Reverse<u32>, u64) {
        (
            self.proof.bound,
            std::cmp::Reverse(self.depth),
            self.sequence,
        )
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

/// A bound on the plans of a node, with the duals that give it; a bound of 0 needs none.
#[derive(Clone, Debug, Default)]
pub(in super::super) struct NodeProof {
    pub(in super::super) bound: i64,
    pub(in super::super) duals: Option<Rc<IntegerDuals>>,
}

/// What became of a node, for the certificate.
#[derive(Clone, Debug)]
pub(in super::super) struct NodeRecord {
    /// What is proved of the node by itself.
    pub(in super::super) proof: NodeProof,
    /// How it was split, where a certificate can tell; what its children prove holds for it too.
    pub(in super::super) cases: Option<Cases>,
}

impl NodeRecord {
    /// A record of a node that is not split.
    pub(in super::super) fn of(proof: NodeProof) -> NodeRecord {
        NodeRecord { proof, cases: None }
    }
}

/// A split of a node, as a certificate tells it.
#[derive(Clone, Debug)]
pub(in super::super) struct Cases {
    pub(in super::super) by: SplitBy,
    /// Ids of the records of the two children; there may be none of that id. The first has fewer boards, or lies apart.
    pub(in super::super) children: (usize, usize),
}

/// What tells two cases apart.
#[derive(Clone, Debug)]
pub(in super::super) enum SplitBy {
    /// The number of boards of some kinds.
    Boards {
        /// Kinds whose boards are counted, in whatever layout.
        kinds: Vec<usize>,
        /// `(kind, layout)`: boards divided so are counted too.
        divided: Vec<(usize, usize)>,
        set: usize,
        below: u32,
    },
    /// Whether some pattern holds two items, which are then merged.
    Pair {
        first: usize,
        second: usize,
        merged: usize,
        /// Whether it clashes with nothing.
        is_free: bool,
    },
}

//! Trees that are given up for others.
//!
//! Where the bound is tight, what pairs of items a tree is split by first decides whether it closes after a hundred nodes
//! or never, and nothing tells beforehand. So a tree may split only so many nodes by pairs; then another begins at the root, with the
//! patterns, the plan and the bound of those before, and takes its pairs by the next rule.
//!
//! # Source
//! C. P. Gomes, B. Selman, H. Kautz, Boosting combinatorial search through randomization, AAAI 1998; here the rules take
//! turns in place of chance.
#![expect(
    clippy::float_arithmetic,
    reason = "fractions steer the branching; bounds are proved in integers"
)]

use super::super::certify::ProofTree;
use super::super::params::TREE_GROWTH;
use super::{BranchAndPrice, NodeRecord};

/// Which of the pairs whose number on boards is broken a node is split by; of several alike, the largest.
#[derive(Clone, Copy, Debug)]
pub(super) enum PairRule {
    /// Nearest to three quarters.
    ThreeQuarters,
    /// The largest of all.
    Largest,
    /// Nearest to the next whole number.
    NearlyWhole,
    /// Just above a half first, then up to a whole; then those below a half, from there down.
    Half,
}

impl PairRule {
    /// How well a pair of this `fraction` fits the rule, in tenths.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and 10"
    )]
    pub(super) fn tenths(self, fraction: f64) -> u32 {
        let share = match self {
            PairRule::ThreeQuarters => 1.0 - (0.75 - fraction).abs(),
            PairRule::Largest => 0.0,
            PairRule::Half if fraction > 0.5 => 1.5 - fraction,
            PairRule::NearlyWhole | PairRule::Half => fraction,
        };
        (share * 10.0) as u32
    }
}

/// The rules in the order in which trees take them.
const RULES: [PairRule; 4] = [
    PairRule::ThreeQuarters,
    PairRule::Largest,
    PairRule::NearlyWhole,
    PairRule::Half,
];

/// The trees that were given up.
#[derive(Default)]
pub(super) struct Regrowth {
    n_trees: usize,
    /// Nodes of this tree that were split by a pair.
    n_pairs: u64,
    /// That of them which proves most.
    best: Option<ProofTree>,
}

impl Regrowth {
    /// Whether none was given up yet.
    pub(super) fn is_first(&self) -> bool {
        self.n_trees == 0
    }

    /// The rule by which this tree takes its pairs.
    pub(super) fn rule(&self) -> PairRule {
        RULES[self.n_trees % RULES.len()]
    }

    /// The number of this tree.
    pub(super) fn turn(&self) -> u32 {
        u32::try_from(self.n_trees).unwrap_or(u32::MAX)
    }
}

impl BranchAndPrice<'_, '_> {
    /// Takes note that a node was split by a pair.
    pub(super) fn note_pair(&mut self) {
        self.regrowth.n_pairs += 1;
    }

    /// Whether this tree has been split by as many pairs as it may; each may have more than the one before.
    pub(super) fn is_to_give_up(&self) -> bool {
        let mut most = self.first_tree;
        for _ in 0..self.regrowth.n_trees {
            most = most.saturating_add(most / TREE_GROWTH + 1);
        }
        !self.nested && self.regrowth.n_pairs >= most
    }

    /// Of the trees that were given up, that which proves most.
    pub(in super::super) fn given_up(&self) -> Option<&ProofTree> {
        self.regrowth.best.as_ref()
    }

    /// Gives the tree up. What it has proved is kept.
    pub(super) fn begin_anew(&mut self) {
        let tree = ProofTree::of(self);
        let root = self.records.swap_remove(0);
        self.regrowth.best = Some(tree);
        self.regrowth.n_trees += 1;
        self.regrowth.n_pairs = 0;
        self.open.clear();
        self.fresh.clear();
        self.nearer = None;
        self.abandoned = i64::MAX;
        self.records = vec![NodeRecord::of(root.proof)];
    }
}

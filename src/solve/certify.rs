//! Makes certificates of what the search has recorded.

use std::rc::Rc;

use crate::cutting::{PartProof, ProofNode};

use super::bound::IntegerDuals;
use super::branch::{BranchAndPrice, Cases, NodeProof, NodeRecord};
use super::normalize::Normalized;

/// A tree of records that proves a bound.
pub(super) struct ProofTree {
    /// The cost that it proves, in the component's unit.
    proves: i64,
    /// The records; the root is the first.
    records: Vec<NodeRecord>,
}

impl ProofTree {
    /// The tree of a search that has ended: as much of it as proves more than the nodes above.
    pub(super) fn of(search: &BranchAndPrice<'_, '_>) -> ProofTree {
        let mut records = search.records.clone();
        let proves = settle(&mut records, 0).min(search.bound);
        if proves <= 0 {
            return ProofTree::of_nothing();
        }
        ProofTree { proves, records }
    }

    /// A tree that proves nothing, as costs are never negative: duals of 0 prove it.
    pub(super) fn of_nothing() -> ProofTree {
        ProofTree {
            proves: 0,
            records: vec![NodeRecord::of(NodeProof::default())],
        }
    }

    /// Its nodes in the instance's own terms.
    fn raise(&self, normalized: &Normalized) -> Vec<ProofNode> {
        // Behind the kinds of the problem there may be one that leaves pieces out.
        let n_kinds = normalized.problem.kinds.len();
        let (_, place) = normalized.items();
        let mut nodes = Vec::new();
        // Depth first, so that children come after their parent; each entry knows its record and the splits above.
        let mut stack: Vec<Waiting> = vec![(0, None, Vec::new())];
        while let Some((record, parent, way)) = stack.pop() {
            let index = nodes.len();
            if let Some((parent, is_over)) = parent
                && let Some(ProofNode::Split { under, over, .. }) = nodes.get_mut(parent)
            {
                *(if is_over { over } else { under }) = index;
            }
            let NodeRecord { proof, cases } = &self.records[record];
            match cases {
                Some(Cases {
                    kinds,
                    divided,
                    set,
                    below,
                    under,
                    over,
                }) => {
                    for (child, is_over) in [(*over, true), (*under, false)] {
                        let mut way = way.clone();
                        way.push(CaseCondition {
                            set: *set,
                            is_over,
                            number: *below,
                        });
                        stack.push((child, Some((index, is_over)), way));
                    }
                    let (boards, absent): (Vec<usize>, Vec<usize>) =
                        kinds.iter().partition(|&&kind| kind < n_kinds);
                    nodes.push(ProofNode::Split {
                        stocks: normalized.stocks_of(&boards),
                        divided: normalized.divided_stocks(divided),
                        absent: !absent.is_empty(),
                        at_most: *below,
                        under: 0,
                        over: 0,
                    });
                }
                None => nodes.push(leaf(proof.duals.as_ref(), &place, &way)),
            }
        }
        nodes
    }
}

/// What is proved of a component, in the instance's own terms: by one tree that no plan leaves fewer pieces missing, where
/// some are, by the other that none which leaves as few costs less.
pub(super) fn certify(
    normalized: &Normalized,
    missing: Option<&ProofTree>,
    cost: &ProofTree,
) -> PartProof {
    let problem = &normalized.problem;
    let missing = missing.filter(|tree| tree.proves > 0);
    let scaled = |value: i64| value.saturating_mul(normalized.cost_unit);
    PartProof {
        items: normalized.items().0,
        stocks: normalized.stocks(),
        replaced: normalized.replaced(),
        missing: missing.map_or(0, |tree| {
            let units = tree.proves.unsigned_abs();
            units.saturating_mul(normalized.weigh_one.into())
        }),
        missing_nodes: missing.map_or_else(Vec::new, |tree| tree.raise(normalized)),
        unit: scaled(problem.dearest()),
        proves: scaled(cost.proves),
        nodes: cost.raise(normalized),
    }
}

/// A record still to be written: its index, the split above with the side it is on, the conditions on the way.
type Waiting = (usize, Option<(usize, bool)>, Vec<CaseCondition>);

/// A condition on the way to a node.
#[derive(Clone, Copy)]
struct CaseCondition {
    set: usize,
    is_over: bool,
    number: u32,
}

/// What the cases below `at` prove; cases that prove no more than the node by itself are dropped.
///
/// Children come after their parent, so one pass from the end does it.
fn settle(records: &mut [NodeRecord], at: usize) -> i64 {
    let mut proved: Vec<i64> = vec![0; records.len()];
    for idx in (at..records.len()).rev() {
        let own = records[idx].proof.bound;
        let below = records[idx].cases.as_ref().map_or(own, |cases| {
            let child = |id: usize| proved.get(id).copied().unwrap_or(own);
            child(cases.under).min(child(cases.over))
        });
        if below <= own {
            records[idx].cases = None;
        }
        proved[idx] = below.max(own);
    }
    proved[at]
}

/// A leaf; of several conditions on one set, the tightest carries the dual.
fn leaf(duals: Option<&Rc<IntegerDuals>>, place: &[usize], way: &[CaseCondition]) -> ProofNode {
    let Some(duals) = duals else {
        return ProofNode::Leaf {
            denominator: 1,
            prices: vec![0; place.len()],
            conditions: vec![0; way.len()],
        };
    };
    let conditions = way
        .iter()
        .map(|condition| {
            let tightest = way
                .iter()
                .filter(|other| other.set == condition.set && other.is_over == condition.is_over)
                .map(|other| other.number)
                .reduce(|a, b| {
                    if condition.is_over {
                        a.max(b)
                    } else {
                        a.min(b)
                    }
                });
            if tightest != Some(condition.number) {
                return 0;
            }
            duals
                .sets
                .iter()
                .find(|&&(set, ..)| set == condition.set)
                .map_or(
                    0,
                    |&(_, least, most)| if condition.is_over { least } else { most },
                )
        })
        .collect();
    ProofNode::Leaf {
        denominator: duals.scale,
        prices: place.iter().map(|&item| duals.items[item]).collect(),
        conditions,
    }
}

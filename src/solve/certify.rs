//! Makes certificates of what the search has recorded.

use std::rc::Rc;

use crate::cutting::{PartProof, ProofNode};

use super::bound::IntegerDuals;
use super::branch::{BranchAndPrice, Cases, NodeProof, NodeRecord, SplitBy};
use super::normalize::Normalized;

/// A tree of records that proves a bound.
#[derive(Clone)]
pub(super) struct ProofTree {
    /// The cost that it proves, in the component's unit.
    pub(super) proves: i64,
    /// The records; the root is the first.
    pub(super) records: Vec<NodeRecord>,
    /// The unit of its duals, where it is not the dearest board.
    pub(super) unit: Option<i64>,
}

impl ProofTree {
    /// The tree of a search that has ended, or one that it gave up and that proves more: as much of it as proves more than
    /// the nodes above.
    pub(super) fn of(search: &BranchAndPrice<'_, '_>) -> ProofTree {
        let mut records = search.records.clone();
        let proves = settle(&mut records, 0).min(search.bound);
        if let Some(given_up) = search.given_up()
            && given_up.proves >= proves
        {
            return given_up.clone();
        }
        if proves <= 0 {
            return ProofTree::of_nothing();
        }
        ProofTree {
            proves,
            records,
            unit: None,
        }
    }

    /// A tree that proves nothing, as costs are never negative: duals of 0 prove it.
    pub(super) fn of_nothing() -> ProofTree {
        ProofTree {
            proves: 0,
            records: vec![NodeRecord::of(NodeProof::default())],
            unit: None,
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
                && let Some(
                    ProofNode::Split { under, over, .. }
                    | ProofNode::Pair {
                        apart: under,
                        together: over,
                        ..
                    },
                ) = nodes.get_mut(parent)
            {
                *(if is_over { over } else { under }) = index;
            }
            let NodeRecord { proof, cases } = &self.records[record];
            let Some(Cases { by, children }) = cases else {
                nodes.push(leaf(proof.duals.as_ref(), &place, &way));
                continue;
            };
            for (child, is_over) in [(children.1, true), (children.0, false)] {
                let mut way = way.clone();
                way.extend(match *by {
                    SplitBy::Boards { set, below, .. } => Some(CaseCondition::Boards {
                        set,
                        is_over,
                        number: below,
                    }),
                    SplitBy::Pair {
                        merged, is_free, ..
                    } => {
                        // One more of what was merged before, where that and the two clash with nothing.
                        let is_known = is_free && merged_on(&way).contains(&merged);
                        (is_over && !is_known).then_some(CaseCondition::Merged(merged))
                    }
                });
                stack.push((child, Some((index, is_over)), way));
            }
            nodes.push(match by {
                SplitBy::Boards {
                    kinds,
                    divided,
                    below,
                    ..
                } => {
                    let (boards, absent): (Vec<usize>, Vec<usize>) =
                        kinds.iter().partition(|&&kind| kind < n_kinds);
                    ProofNode::Split {
                        stocks: normalized.stocks_of(&boards),
                        divided: normalized.divided_stocks(divided),
                        absent: !absent.is_empty(),
                        at_most: *below,
                        under: 0,
                        over: 0,
                    }
                }
                SplitBy::Pair { first, second, .. } => ProofNode::Pair {
                    pair: (named(*first, &place, &way), named(*second, &place, &way)),
                    apart: 0,
                    together: 0,
                },
            });
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
        unit: scaled(cost.unit.unwrap_or(problem.dearest())),
        proves: scaled(cost.proves),
        nodes: cost.raise(normalized),
    }
}

/// A record still to be written: its index, the split above with the side it is on, the conditions on the way.
type Waiting = (usize, Option<(usize, bool)>, Vec<CaseCondition>);

/// What is so on the way to a node.
#[derive(Clone, Copy)]
enum CaseCondition {
    /// The number of boards of a set keeps within a bound.
    Boards {
        set: usize,
        is_over: bool,
        number: u32,
    },
    /// Two items are merged to this one.
    Merged(usize),
}

/// The items that are merged on a way, from the top; one more of an item that was merged before is not told again.
fn merged_on(way: &[CaseCondition]) -> Vec<usize> {
    let merged = way.iter().filter_map(|condition| match *condition {
        CaseCondition::Merged(item) => Some(item),
        CaseCondition::Boards { .. } => None,
    });
    merged.collect()
}

/// The name of an item at the end of a way: its place in the part, or behind all of those that of a merged one.
fn named(item: usize, place: &[usize], way: &[CaseCondition]) -> usize {
    let merged = merged_on(way);
    // One that was merged again takes the place of what it was before.
    let last = merged.iter().rposition(|&known| known == item);
    last.map(|at| place.len() + at)
        .or_else(|| place.iter().position(|&own| own == item))
        .expect("an item of a node is one of the problem, or merged above")
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
            child(cases.children.0).min(child(cases.children.1))
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
    let merged = merged_on(way);
    let conditions = way.iter().filter_map(|condition| match *condition {
        CaseCondition::Boards {
            set,
            is_over,
            number,
        } => Some((set, is_over, number)),
        CaseCondition::Merged(_) => None,
    });
    let conditions: Vec<(usize, bool, u32)> = conditions.collect();
    let Some(duals) = duals else {
        return ProofNode::Leaf {
            denominator: 1,
            prices: vec![0; place.len() + merged.len()],
            conditions: vec![0; conditions.len()],
        };
    };
    let dual_of = |&(set, is_over, number): &(usize, bool, u32)| {
        let alike = conditions
            .iter()
            .filter(|other| (other.0, other.1) == (set, is_over));
        let numbers = alike.map(|other| other.2);
        let tightest = if is_over {
            numbers.max()
        } else {
            numbers.min()
        };
        if tightest != Some(number) {
            return 0;
        }
        let mut sets = duals.sets.iter();
        let found = sets.find(|&&(known, ..)| known == set);
        found.map_or(0, |&(_, least, most)| if is_over { least } else { most })
    };
    // Of what was merged again only the last is there.
    let is_last = |at: usize| !merged[at + 1..].contains(&merged[at]);
    let of_merged = (0..merged.len()).map(|at| {
        let dual = duals.items.get(merged[at]).copied();
        if is_last(at) { dual.unwrap_or(0) } else { 0 }
    });
    let own = place.iter().map(|&item| duals.items[item]);
    ProofNode::Leaf {
        denominator: duals.scale,
        prices: own.chain(of_merged).collect(),
        conditions: conditions.iter().map(dual_of).collect(),
    }
}

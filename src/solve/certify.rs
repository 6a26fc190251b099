//! Makes certificates of what the search has recorded.

use std::rc::Rc;

use crate::cutting::{PartProof, ProofNode};

use super::bound::Prices;
use super::branch::{Record, Search};
use super::normalize::Component;

/// A tree of records that proves a bound.
pub(super) struct Tree {
    /// The cost that it proves, in the component's unit.
    proves: i64,
    /// The records; the root is the first.
    records: Vec<Record>,
}

impl Tree {
    /// The tree of a search that has ended: the whole of it when it proves the value, else the root's prices.
    pub(super) fn of(search: &Search<'_, '_>, proved: bool) -> Tree {
        if search.bound <= 0 {
            // Costs are never negative: prices of nothing prove it.
            return Tree {
                proves: 0,
                records: vec![Record::Leaf(None)],
            };
        }
        if proved && complete(&search.records) {
            return Tree {
                proves: search.bound,
                records: search.records.clone(),
            };
        }
        let (bound, prices) = &search.root;
        Tree {
            proves: *bound,
            records: vec![Record::Leaf(prices.clone())],
        }
    }

    /// The proof in the instance's own terms.
    pub(super) fn raise(&self, component: &Component) -> PartProof {
        let problem = &component.problem;
        let dearest = problem.dearest();
        let (items, place) = component.items();
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
            match &self.records[record] {
                Record::Split {
                    kinds,
                    set,
                    below,
                    under,
                    over,
                } => {
                    for (child, is_over) in [(*over, true), (*under, false)] {
                        let mut way = way.clone();
                        way.push(Condition {
                            set: *set,
                            is_over,
                            number: *below,
                        });
                        stack.push((child, Some((index, is_over)), way));
                    }
                    let stocks = component.stocks_of(kinds);
                    nodes.push(ProofNode::Split {
                        stocks,
                        at_most: *below,
                        under: 0,
                        over: 0,
                    });
                }
                Record::Leaf(prices) => nodes.push(leaf(prices.as_ref(), &place, &way)),
                Record::Unproved => nodes.push(leaf(None, &place, &way)),
            }
        }
        let scaled = |value: i64| value.saturating_mul(component.cost_unit);
        let all: Vec<usize> = (0..problem.kinds.len()).collect();
        PartProof {
            items,
            stocks: component.stocks_of(&all),
            replaced: component.replaced(),
            unit: scaled(dearest),
            proves: scaled(self.proves),
            nodes,
        }
    }
}

/// A record still to be written: its index, the split above with the side it is on, the conditions on the way.
type Waiting = (usize, Option<(usize, bool)>, Vec<Condition>);

/// A condition on the way to a node.
#[derive(Clone, Copy)]
struct Condition {
    set: usize,
    is_over: bool,
    number: u32,
}

/// Whether every node below the root is closed by prices.
fn complete(records: &[Record]) -> bool {
    let mut stack = vec![0];
    while let Some(record) = stack.pop() {
        match records.get(record) {
            Some(Record::Leaf(_)) => {}
            Some(Record::Split { under, over, .. }) => stack.extend([*under, *over]),
            Some(Record::Unproved) | None => return false,
        }
    }
    true
}

/// A leaf; of several conditions on one set, the tightest carries the price.
fn leaf(prices: Option<&Rc<Prices>>, place: &[usize], way: &[Condition]) -> ProofNode {
    let Some(prices) = prices else {
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
            prices
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
        denominator: prices.scale,
        prices: place.iter().map(|&item| prices.items[item]).collect(),
        conditions,
    }
}

//! Splits of a node: the states of its children.

use std::rc::Rc;

use crate::cutting::add_count;

use super::super::bound::IntegerDuals;
use super::super::knapsack::Clash;
use super::super::master::{Between, MasterColumn};
use super::{BranchAndPrice, Cases, NodeProof, Parent, SplitBy};

impl BranchAndPrice<'_, '_> {
    /// The record of a case in which more boards of a set are asked for than there are: a high dual of it proves it.
    fn shut(&mut self, set: usize, crossed: bool) -> usize {
        let unit = self.problem.dearest();
        let dual = (self.cutoff() / unit).saturating_add(1);
        let duals = IntegerDuals {
            items: vec![0; self.master.items.sizes.len()],
            sets: vec![(set, dual, if crossed { -dual } else { 0 })],
            scale: 1,
            unit,
        };
        self.record(NodeProof {
            bound: self.cutoff(),
            duals: Some(Rc::new(duals)),
        })
    }

    pub(super) fn split_boards(&mut self, parent: &Parent<'_>, sources: &[usize], below: u32) {
        let node = parent.node;
        let set = self.master.set_of(sources);
        let kinds = self.master.kinds_of(sources);
        let (mut under, mut over) = (node.state.clone(), node.state.clone());
        let number_under = under.bound_set(set, Between::at_most(below));
        let number_over = over.bound_set(set, Between::at_least(below + 1));
        if let Some(&[kind]) = kinds.as_deref() {
            under.supply[kind] = under.supply[kind].min(below);
        }
        let mut together: Vec<usize> = sources
            .iter()
            .filter_map(|&source| self.master.sources[source].kind())
            .collect();
        together.dedup();
        let room: u64 = together
            .iter()
            .map(|&kind| u64::from(over.supply[kind]))
            .sum();
        let crossed = number_over.is_empty();
        let impossible = u64::from(below) + 1 > room || crossed;
        // A lower bound on the same set may leave nothing below either.
        let under = if number_under.is_empty() {
            self.shut(set, true)
        } else {
            self.push(parent, under)
        };
        let over = if impossible {
            self.shut(set, crossed)
        } else {
            self.push(parent, over)
        };
        // Kinds by their names where all their boards are counted, else boards by how they are divided.
        let divided = if kinds.is_none() {
            sources
                .iter()
                .filter_map(|&source| self.master.sources[source].way())
                .collect()
        } else {
            Vec::new()
        };
        if let Some(record) = self.records.get_mut(node.record) {
            record.cases = Some(Cases {
                by: SplitBy::Boards {
                    kinds: kinds.unwrap_or_default(),
                    divided,
                    set,
                    below,
                },
                children: (under, over),
            });
        }
    }

    pub(super) fn split_column(&mut self, parent: &Parent<'_>, column: usize, below: u32) {
        let cap = self.master.cap_of(column);
        let (mut under, mut over) = (parent.node.state.clone(), parent.node.state.clone());
        under.bound_column(cap, column, Between::at_most(below));
        over.bound_column(cap, column, Between::at_least(below + 1));
        self.push(parent, under);
        self.push(parent, over);
    }

    pub(super) fn split_pair(&mut self, parent: &Parent<'_>, first: usize, second: usize) {
        let node = parent.node;
        let clashes = &node.state.clashes;
        let mut apart = node.state.clone();
        apart.clashes.push(Clash { first, second });
        // What clashes with one of the two clashes with the merged item.
        let mut inherited: Vec<usize> = Vec::new();
        let mut with_itself = false;
        for clash in clashes {
            for (one, other) in [(clash.first, clash.second), (clash.second, clash.first)] {
                if one == first || one == second {
                    inherited.push(other);
                    with_itself |= other == first || other == second;
                }
            }
        }
        inherited.sort_unstable();
        inherited.dedup();
        let is_free = inherited.is_empty();
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
        together.demand.resize(self.master.items.sizes.len(), 0);
        together.demand[first] -= 1;
        together.demand[second] -= 1;
        together.demand[merged] += 1;
        for other in inherited {
            together.clashes.push(Clash {
                first: other,
                second: merged,
            });
        }
        if with_itself {
            together.clashes.push(Clash {
                first: merged,
                second: merged,
            });
        }
        let twins: Vec<MasterColumn> = self
            .master
            .columns()
            .iter()
            .filter_map(|column| twin(column, first, second, merged))
            .collect();
        for column in &twins {
            self.master.add_column(column);
        }
        let children = (self.push(parent, apart), self.push(parent, together));
        // A certificate names items by single ones of the instance. Of two that were merged before it says nothing where
        // those clash with something: that is no clash of the two that are merged now.
        let is_single = |&item: &usize| self.problem.is_single.get(item).is_none_or(|&is| is);
        let clashed = clashes
            .iter()
            .any(|clash| [clash.first, clash.second].contains(&merged));
        if !clashed
            && [first, second].iter().all(is_single)
            && let Some(record) = self.records.get_mut(node.record)
        {
            record.cases = Some(Cases {
                by: SplitBy::Pair {
                    first,
                    second,
                    merged,
                    is_free,
                },
                children,
            });
        }
    }
}

/// `column` with one of `first` and one of `second` taken as the merged item, when it holds both.
fn twin(column: &MasterColumn, first: usize, second: usize, merged: usize) -> Option<MasterColumn> {
    let mut counts = column.counts.clone();
    for item in [first, second] {
        let entry = counts
            .iter_mut()
            .find(|entry| entry.0 == item && entry.1 > 0)?;
        entry.1 -= 1;
    }
    add_count(&mut counts, merged, 1);
    counts.retain(|entry| entry.1 > 0);
    Some(MasterColumn {
        source: column.source,
        counts,
    })
}

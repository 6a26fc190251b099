//! Sets of sheets that cost less than something, and are worth, at all prices known, what is wanted.

use super::params::{MOST_KINDS, MOST_NODES};
use super::relax::Proof;
use crate::sheets::solver::model::Model;

/// A set of sheets: how many of each kind, and what they cost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Set {
    pub(super) counts: Vec<u32>,
    pub(super) cost: i64,
}

/// The sets that no proof refutes.
#[derive(Debug)]
pub(super) struct Open {
    pub(super) sets: Vec<Set>,
    /// Whether these are all.
    pub(super) is_complete: bool,
}

/// The sets that cost less than `most` and are worth enough at the prices of a proof.
pub(super) fn open_sets(model: &Model, proof: &Proof, most: i64) -> Open {
    if model.kinds.len() > MOST_KINDS {
        return Open {
            sets: Vec::new(),
            is_complete: false,
        };
    }
    let kinds = model.kinds.iter().enumerate();
    let kinds = kinds.map(|(idx, own)| KindOfSet {
        price: own.price,
        most: own.own_limits.iter().map(|&limit| i64::from(limit)).sum(),
        worth: proof.worth(model, idx).into(),
    });
    let mut search = Search {
        kinds: kinds.collect(),
        denominator: proof.prices.denominator.into(),
        counts: Vec::new(),
        n_nodes: 0,
        sets: Vec::new(),
        most,
    };
    let wanted = -proof.surplus(model, &[]);
    search.extend(most - 1, wanted);
    Open {
        is_complete: search.n_nodes < MOST_NODES,
        sets: search.sets,
    }
}

struct KindOfSet {
    price: i64,
    most: i64,
    worth: i128,
}

struct Search {
    kinds: Vec<KindOfSet>,
    denominator: i128,
    counts: Vec<u32>,
    n_nodes: usize,
    sets: Vec<Set>,
    most: i64,
}

impl Search {
    /// Adds the next kind, where so much money is left and so much is still wanted.
    fn extend(&mut self, budget: i64, wanted: i128) {
        if self.n_nodes >= MOST_NODES || wanted > self.at_most(budget) {
            return;
        }
        self.n_nodes += 1;
        let Some(kind) = self.kinds.get(self.counts.len()) else {
            self.sets.push(Set {
                counts: self.counts.clone(),
                cost: self.most - 1 - budget,
            });
            return;
        };
        let (price, most, worth) = (kind.price, kind.most, kind.worth);
        // All that costs nothing is there.
        let (least, most) = if price == 0 {
            (most, most)
        } else {
            (0, most.min(budget / price))
        };
        // Many first: these are worth more.
        for count in (least..=most).rev() {
            self.counts.push(u32::try_from(count).unwrap_or(u32::MAX));
            let left = wanted - worth * i128::from(count);
            self.extend(budget - price * count, left);
            self.counts.pop();
        }
    }

    /// What sheets of the kinds that are still to come are worth at most.
    fn at_most(&self, budget: i64) -> i128 {
        let kinds = &self.kinds[self.counts.len()..];
        if kinds.is_empty() {
            return 0;
        }
        let excess = kinds.iter().map(|kind| {
            let excess = kind.worth - self.denominator * i128::from(kind.price);
            let most = if kind.price > 0 {
                kind.most.min(budget / kind.price)
            } else {
                kind.most
            };
            excess.max(0) * i128::from(most)
        });
        self.denominator * i128::from(budget) + excess.sum::<i128>()
    }
}

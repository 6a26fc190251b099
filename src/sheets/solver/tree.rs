//! Branch and price: splits by numbers that every plan has, best bound first, and keeps the tree as a proof.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::bound::Prices;
use super::count::Condition;
use super::loaded::Used;
use super::master::Master;
use super::params::{DIVE_PART, LARGEST_TREE, LAST_DIVES, ROOT_DIVES, TURNS};
use super::relax::{Outcome, Relaxed};
use super::split::{Split, choose};
use super::sums::Sums;
use crate::solve::meter::Meter;

/// A node of the tree that was searched.
#[derive(Clone, Debug)]
pub(super) enum TreeNode {
    /// Two cases, with the index of each.
    Split {
        split: Split,
        under: usize,
        over: usize,
    },
    /// A case with the prices that bound it.
    Leaf(Prices),
}

/// Whom the search tells, and who knows the best plan.
pub(super) trait Watcher {
    /// Takes note of a plan in whole numbers of columns.
    fn offer(&mut self, used: &Used);
    /// The value of the best plan so far; more than any where there is none.
    fn best(&self) -> i64;
    /// Betters the best plan where that can be done without the linear program; none costs less than `bound`.
    fn improve(&mut self, bound: i64);
    /// Takes note of the bound that holds now.
    fn bound(&mut self, bound: i64);
}

/// A case that is still to be looked at, with the prices that bound it.
struct Open {
    idx: usize,
    bound: i64,
    path: Vec<Condition>,
    prices: Prices,
}

/// The order of open cases: by bound, the deepest first, of two the one that the program is nearer to, by index.
type Key = (i64, Reverse<usize>, bool, usize);

/// What becomes of a case once it was looked at.
enum Seen {
    /// It has nothing better.
    Closed,
    /// It is to be split.
    Parted(Split),
    /// There is no number left to split it by, or its program cannot be solved.
    Stuck,
    /// The limit on work was reached.
    Halted,
}

/// The search from the root's relaxation on.
pub(super) struct Tree<'t, 'm, W> {
    master: &'t mut Master<'m>,
    sums: &'t Sums,
    meter: &'t Meter<'t>,
    watcher: &'t mut W,
    nodes: Vec<TreeNode>,
    open: BTreeMap<Key, Open>,
    n_seen: u64,
    /// How often the next case was none that the last was split into.
    n_turns: u64,
    /// The nearer of the cases that the last was split into.
    nearer: Option<Key>,
    dive_work: u64,
}

/// What the search proved.
pub(super) struct Searched {
    /// No plan is worth less.
    pub(super) bound: i64,
    /// The proof: the root first, children behind their parents.
    pub(super) nodes: Vec<TreeNode>,
}

impl<'t, 'm, W: Watcher> Tree<'t, 'm, W> {
    /// Searches until value and bound meet, or the work is used up.
    pub(super) fn search(
        master: &'t mut Master<'m>,
        root: Relaxed,
        sums: &'t Sums,
        meter: &'t Meter<'t>,
        watcher: &'t mut W,
    ) -> Searched {
        let mut tree = Tree {
            master,
            sums,
            meter,
            watcher,
            nodes: Vec::new(),
            open: BTreeMap::new(),
            n_seen: 0,
            n_turns: 0,
            nearer: None,
            dive_work: 0,
        };
        tree.push(root.bound, Vec::new(), root.prices, false);
        // The least bound of the cases that are given up.
        let mut given_up = i64::MAX;
        while let Some(mut node) = tree.next() {
            if node.bound >= tree.watcher.best() {
                // So are all others.
                given_up = given_up.min(node.bound);
                break;
            }
            tree.watcher.bound(node.bound.min(given_up));
            match tree.look_at(&mut node) {
                Seen::Closed => {}
                Seen::Stuck => given_up = given_up.min(node.bound),
                Seen::Halted => {
                    given_up = given_up.min(node.bound);
                    break;
                }
                Seen::Parted(split) => tree.part(&node, &split),
            }
        }
        let left = tree.open.values().map(|node| node.bound).min();
        let bound = left
            .unwrap_or(i64::MAX)
            .min(given_up)
            .min(tree.watcher.best());
        Searched {
            bound,
            nodes: tree.nodes,
        }
    }

    /// The case to look at next, of those with the least bound: one that the last was split into, else the deepest, and
    /// now and then the one nearest to the root, so that one bad split far up does not hold the search for long.
    fn next(&mut self) -> Option<Open> {
        let &first = self.open.first_key_value()?.0;
        let least = first.0;
        let nearer = self.nearer.take().filter(|key| key.0 == least);
        let key = nearer.unwrap_or_else(|| {
            self.n_turns += 1;
            let mut alike = self
                .open
                .range(..(least + 1, Reverse(usize::MAX), false, 0));
            let last = alike
                .next_back()
                .filter(|_| self.n_turns.is_multiple_of(TURNS));
            last.map_or(first, |(&key, _)| key)
        });
        self.open.remove(&key)
    }

    /// Takes in a case with what is known of it; whether the program's solution is `farther` from it than from the other one
    /// that came of the same split.
    fn push(&mut self, bound: i64, path: Vec<Condition>, prices: Prices, farther: bool) {
        let idx = self.nodes.len();
        self.nodes.push(TreeNode::Leaf(prices.clone()));
        let node = Open {
            idx,
            bound,
            path,
            prices,
        };
        let key = (bound, Reverse(node.path.len()), farther, idx);
        if !farther {
            self.nearer = Some(key);
        }
        self.open.insert(key, node);
    }

    /// Bounds a case, and looks for plans in it.
    fn look_at(&mut self, node: &mut Open) -> Seen {
        self.n_seen += 1;
        let relaxed = self
            .master
            .relax(&node.path, self.sums, self.watcher.best(), self.meter);
        if relaxed.bound >= node.bound {
            node.bound = relaxed.bound;
            node.prices = relaxed.prices;
            self.nodes[node.idx] = TreeNode::Leaf(node.prices.clone());
        }
        match relaxed.outcome {
            Outcome::Pruned => return Seen::Closed,
            Outcome::CutShort if self.meter.halted() => return Seen::Halted,
            Outcome::CutShort => return Seen::Stuck,
            Outcome::Solved => {}
        }
        let split = choose(self.master, &node.path);
        if let Some(whole) = self.master.whole() {
            let columns = self.master.pool.columns();
            let used: Used = whole
                .into_iter()
                .map(|(column, times)| (columns[column].clone(), times))
                .collect();
            self.watcher.offer(&used);
        }
        self.dive(node, split.is_none());
        self.watcher.improve(node.bound);
        if node.bound >= self.watcher.best() {
            return Seen::Closed;
        }
        if self.meter.halted() || self.nodes.len() + 2 > LARGEST_TREE {
            return Seen::Halted;
        }
        split.map_or(Seen::Stuck, Seen::Parted)
    }

    /// Dives from a case; more of them from the root, and where no number is left to split by.
    fn dive(&mut self, node: &Open, is_last: bool) {
        let before = self.meter.work();
        let n_dives = if is_last {
            LAST_DIVES
        } else if self.n_seen == 1 {
            ROOT_DIVES
        } else {
            u32::from(self.dive_work * DIVE_PART < before)
        };
        let first =
            u32::try_from(self.n_seen % 4).expect("less than 4") - u32::from(self.n_seen == 1);
        for attempt in first..first + n_dives {
            let best = self.watcher.best();
            if node.bound >= best || self.meter.halted() {
                break;
            }
            if let Some(used) = self
                .master
                .dive(&node.path, attempt, self.sums, best, self.meter)
            {
                self.watcher.offer(&used);
            }
        }
        self.dive_work += self.meter.work() - before;
    }

    /// Makes two cases of one.
    fn part(&mut self, node: &Open, split: &Split) {
        let tally = self.master.tally(&split.tally);
        let under = self.nodes.len();
        self.nodes[node.idx] = TreeNode::Split {
            split: split.clone(),
            under,
            over: under + 1,
        };
        for over in [false, true] {
            let mut path = node.path.clone();
            path.push(Condition {
                tally,
                over,
                at: split.at,
            });
            let prices = node.prices.padded(path.len());
            self.push(node.bound, path, prices, over != split.is_nearer_over);
        }
    }
}

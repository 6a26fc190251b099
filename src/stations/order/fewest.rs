//! The fewest settings of a stop that cut all strips, each from its near end on.
//!
//! A strip is a sequence of lengths, told here as numbers: 0 is what one would rather cut first. At a setting all strips
//! whose next length it is are cut, as often as it follows itself: to cut less would never help, as a strip that is farther
//! on needs nothing that it did not need before. So the settings are a shortest common supersequence of the strips without
//! repetitions; equal strips, and strips that are contained in others, do not count.
//!
//! # Source
//! D. Maier, Journal of the ACM 25(2), 1978, 322-336 (the problem is hard in general); P. E. Hart, N. J. Nilsson,
//! B. Raphael, IEEE Transactions on Systems Science and Cybernetics 4(2), 1968, 100-107 (the search).

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// What was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Fewest {
    /// The lengths to set, one after the other; no two neighbors are alike.
    pub(super) order: Vec<usize>,
    /// Whether no order has fewer; `false` where the search reached its limit.
    pub(super) is_fewest: bool,
}

/// More kinds of strips than this are not looked through for those that are contained in others, as that takes the square
/// of their number.
const MOST_COMPARED: usize = 1_000;

/// With more lengths than this, lengths that stand in each other's way do not tighten the bound, as that takes the square
/// of their number.
const MOST_PAIRED: usize = 512;

/// The widest beam; wider ones take longer than what they find is worth.
const WIDEST_BEAM: usize = 64;

/// Finds an order with the fewest settings for strips of lengths; `work` is how many places of strips may be looked at.
pub(super) fn fewest_settings(strips: &[Vec<usize>], work: u64) -> Fewest {
    let rows = kinds(strips);
    if rows.iter().all(|row| row.is_sorted()) {
        // No length stands in the way of one before it, so each is set once.
        let mut order: Vec<usize> = rows.into_iter().flatten().collect();
        order.sort_unstable();
        order.dedup();
        return Fewest {
            order,
            is_fewest: true,
        };
    }
    let mut search = Search::new(&rows, work);
    let start = search.start();
    let least = start.look.bound;
    let mut best = search.always_first();
    let mut width = 1;
    // Half of the work is for finding, the other half for what is left to prove.
    while best.len() > least && width <= WIDEST_BEAM && search.spent < work / 2 {
        if let Some(found) = search.beam(width, best.len(), work / 2) {
            best = found;
        }
        width *= 4;
    }
    let is_fewest = best.len() == least || search.prove(start, &mut best);
    Fewest {
        order: best,
        is_fewest,
    }
}

/// The strips that count: without repetitions, each once, and none that is contained in another.
fn kinds(strips: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let mut rows: Vec<Vec<usize>> = strips.to_vec();
    for row in &mut rows {
        row.dedup();
    }
    rows.sort_unstable();
    rows.dedup();
    rows.retain(|row| !row.is_empty());
    if rows.len() > MOST_COMPARED {
        return rows;
    }
    let is_within = |one: &[usize], other: &[usize]| {
        let mut rest = other.iter();
        one.len() < other.len() && one.iter().all(|length| rest.any(|next| next == length))
    };
    let kept = rows
        .iter()
        .filter(|row| !rows.iter().any(|other| is_within(row, other)));
    kept.cloned().collect()
}

/// How far each strip is cut: the position of its next length.
type State = Vec<usize>;

/// What is seen from a state.
#[derive(Clone, Debug, Default)]
struct Look {
    /// At least so many settings are still needed.
    bound: usize,
    /// The lengths worth setting next; empty at the end.
    next: Vec<usize>,
}

/// A state on the way.
#[derive(Clone, Debug)]
struct Node {
    state: State,
    look: Look,
    /// The settings so far.
    order: Vec<usize>,
}

struct Search<'a> {
    rows: &'a [Vec<usize>],
    /// How often the length at a position stands in its row from there on.
    again: Vec<Vec<usize>>,
    n_lengths: usize,
    /// 64-bit words for a set of lengths; 0 where there are too many for pairs.
    n_words: usize,
    /// Places looked at.
    spent: u64,
    work: u64,
}

impl<'a> Search<'a> {
    fn new(rows: &'a [Vec<usize>], work: u64) -> Search<'a> {
        let n_lengths = rows.iter().flatten().max().map_or(0, |last| last + 1);
        let again = rows.iter().map(|row| {
            let mut counts = vec![0; n_lengths];
            let mut again: Vec<usize> = row
                .iter()
                .rev()
                .map(|&length| {
                    counts[length] += 1;
                    counts[length]
                })
                .collect();
            again.reverse();
            again
        });
        Search {
            rows,
            again: again.collect(),
            n_lengths,
            n_words: if n_lengths > MOST_PAIRED {
                0
            } else {
                n_lengths.div_ceil(64)
            },
            spent: 0,
            work,
        }
    }

    fn start(&mut self) -> Node {
        let state = vec![0; self.rows.len()];
        Node {
            look: self.look(&state),
            state,
            order: Vec::new(),
        }
    }

    /// The state after a setting.
    fn after(&self, state: &State, length: usize) -> State {
        let step =
            |(row, &at): (&Vec<usize>, &usize)| at + usize::from(row.get(at) == Some(&length));
        self.rows.iter().zip(state).map(step).collect()
    }

    fn child(&mut self, node: &Node, length: usize) -> Node {
        let state = self.after(&node.state, length);
        let mut order = node.order.clone();
        order.push(length);
        Node {
            look: self.look(&state),
            state,
            order,
        }
    }

    /// The bound: a length must be set as often as it stands on any one strip. Where two lengths that need one setting each
    /// stand in one order on a strip and in the other on another, one of them must be set twice; such pairs count as long as
    /// no two of them share a length.
    ///
    /// What is to be set next: a length that stands nowhere behind another is set now, for then it need not be set again,
    /// and no strip waits for it; else all first lengths are worth trying.
    fn look(&mut self, state: &State) -> Look {
        let n = self.n_lengths;
        let mut times = vec![0; n];
        let mut is_head = vec![false; n];
        let mut is_behind = vec![false; n];
        let words = self.n_words;
        let mut before = vec![0_u64; n * words];
        let mut seen = vec![0_u64; words];
        let mut places = n * (words + 1);
        for ((row, again), &at) in self.rows.iter().zip(&self.again).zip(state) {
            seen.fill(0);
            for place in (at..row.len()).rev() {
                let length = row[place];
                times[length] = times[length].max(again[place]);
                if place == at {
                    is_head[length] = true;
                } else {
                    is_behind[length] = true;
                }
                for (word, &behind) in seen.iter().enumerate() {
                    before[length * words + word] |= behind;
                }
                if words > 0 {
                    seen[length / 64] |= 1 << (length % 64);
                }
            }
            places += (row.len() - at) * (words + 1);
        }
        self.spent += u64::try_from(places).expect("places in memory are few");
        let is_before = |one: usize, other: usize| {
            words > 0 && before[one * words + other / 64] >> (other % 64) & 1 == 1
        };
        let mut is_free: Vec<bool> = times.iter().map(|&times| times == 1).collect();
        let mut n_pairs = 0;
        for one in 0..n {
            let partner = ((one + 1)..n).find(|&other| {
                is_free[one] && is_free[other] && is_before(one, other) && is_before(other, one)
            });
            if let Some(other) = partner {
                is_free[other] = false;
                n_pairs += 1;
            }
        }
        let heads = || (0..n).filter(|&length| is_head[length]);
        let only = heads().find(|&length| !is_behind[length]);
        Look {
            bound: times.iter().sum::<usize>() + n_pairs,
            next: only.map_or_else(|| heads().collect(), |only| vec![only]),
        }
    }

    /// The plainest order: always what one would rather cut first.
    fn always_first(&mut self) -> Vec<usize> {
        let mut node = self.start();
        while let Some(&length) = node.look.next.first() {
            node = self.child(&node, length);
        }
        node.order
    }

    /// An order with fewer than `fewer_than` settings, found with so many states side by side; `None` where it finds none
    /// before so much is spent.
    fn beam(&mut self, width: usize, fewer_than: usize, spend: u64) -> Option<Vec<usize>> {
        let mut level = vec![self.start()];
        loop {
            let mut following: BTreeMap<State, Node> = BTreeMap::new();
            for node in &level {
                if node.look.next.is_empty() {
                    return Some(node.order.clone());
                }
                for &length in &node.look.next {
                    let child = self.child(node, length);
                    if child.order.len() + child.look.bound < fewer_than {
                        following.entry(child.state.clone()).or_insert(child);
                    }
                }
                if self.spent > spend {
                    return None;
                }
            }
            level = following.into_values().collect();
            let left = |node: &Node| -> usize {
                let left = self.rows.iter().zip(&node.state);
                left.map(|(row, &at)| row.len() - at).sum()
            };
            level.sort_by_cached_key(|node| (node.look.bound, left(node), node.order.clone()));
            level.truncate(width);
            if level.is_empty() {
                return None;
            }
        }
    }

    /// Looks for an order with fewer settings than the best one until there is none, and keeps the best in `best`; whether it
    /// came to an end within the work that is left.
    fn prove(&mut self, start: Node, best: &mut Vec<usize>) -> bool {
        let mut reached: BTreeMap<State, usize> = BTreeMap::new();
        let mut nodes: Vec<Node> = Vec::new();
        let mut open = BinaryHeap::new();
        let mut put = |node: Node, nodes: &mut Vec<Node>, open: &mut BinaryHeap<_>| {
            let so_far = node.order.len();
            let known = reached.entry(node.state.clone()).or_insert(usize::MAX);
            if so_far < *known {
                *known = so_far;
                // The most promising first, then the farthest, then the one that was found first.
                open.push((
                    Reverse(so_far + node.look.bound),
                    so_far,
                    Reverse(nodes.len()),
                ));
                nodes.push(node);
            }
        };
        put(start, &mut nodes, &mut open);
        while let Some((Reverse(at_least), _, Reverse(idx))) = open.pop() {
            if at_least >= best.len() {
                return true;
            }
            if self.spent > self.work {
                return false;
            }
            let node = std::mem::replace(
                &mut nodes[idx],
                Node {
                    state: State::new(),
                    look: Look::default(),
                    order: Vec::new(),
                },
            );
            if node.look.next.is_empty() {
                *best = node.order;
                return true;
            }
            for &length in &node.look.next {
                let child = self.child(&node, length);
                if child.order.len() + child.look.bound < best.len() {
                    put(child, &mut nodes, &mut open);
                }
            }
        }
        true
    }
}

#[cfg(test)]
mod tests;

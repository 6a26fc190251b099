//! Whether a tree of prices proves a bound.
//!
//! The inequality, for prices `p_i` of the parts and `m_j` of the conditions met on the way, worth `U / D` each: every
//! plan that meets the conditions, cuts every part and has a value below the bound has
//!
//! `D value >= U (sum_i d_i p_i + sum_(at least k_j) m_j k_j - sum_(at most k_j) m_j k_j) - sum_s u_s max(0, U V_s - N_s)`
//!
//! with `V_s` the worth of the best board of kind `s`, `N_s = D c_s + U (sum_(at most) m_j - sum_(at least) m_j)` over
//! the conditions that count `s`, and `u_s` numbers of boards, as bad as any that such a plan can use.
//! It is the Lagrangian bound of the cutting-stock program (P. C. Gilmore, R. E. Gomory, Operations Research 9(6), 1961,
//! 849-859, doi 10.1287/opre.9.6.849; A. A. Farley, Operations Research 38(5), 1990, 922-923,
//! doi 10.1287/opre.38.5.922).

use std::collections::{BTreeMap, BTreeSet};

/// A kind of board, as a claim sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Kind<'a> {
    /// What one costs in the measure of the claim.
    pub(super) cost: i64,
    /// How many there are, if that is limited.
    pub(super) supply: Option<u32>,
    /// The classes of parts that are cut from it.
    pub(super) parts: &'a [usize],
}

/// What a claim is about, derived from the job.
pub(super) struct Case<'a> {
    /// `demand[n]` parts of class `n`.
    pub(super) demand: Vec<u32>,
    /// The kinds of board that may hold them.
    pub(super) kinds: Vec<Kind<'a>>,
    /// What every value is a multiple of: the greatest common divisor of all costs, 1 or more.
    pub(super) step: i64,
    /// What a price is worth, over the scale of its table; 1 or more.
    pub(super) unit: i64,
    /// The worth of the best board of a kind at the prices of the classes, or the floor if none is worth more.
    pub(super) best_board: &'a dyn Fn(usize, &[i64], i64) -> i64,
    /// The kind that each rip of the claim is of.
    pub(super) rip_kinds: Vec<usize>,
    /// The worth of the best board of a kind at the prices of the classes for each rip of the claim, and for all others
    /// together; to be asked for kinds that have rips.
    pub(super) best_rips: &'a dyn Fn(usize, &[i64]) -> RipWorths,
}

/// Rips of a claim with what the best board of each is worth; `None` stands for all that the claim does not list.
pub(super) type RipWorths = Vec<(Option<usize>, i64)>;

/// A tree of prices, as the plan's file gives it; all indices are within their lists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Tree {
    /// Prices.
    Leaf {
        /// What they are over.
        scale: i64,
        /// One for each class.
        prices: Vec<i64>,
        /// One for each split on the way here, from the root.
        conditions: Vec<i64>,
    },
    /// Two cases: at most `at_most` boards of these kinds and rips, or more.
    Split {
        /// Kinds of the claim: all their boards are counted.
        kinds: Vec<usize>,
        /// Rips of the claim: boards that are ripped so are counted.
        rips: Vec<usize>,
        /// The most boards of the first case.
        at_most: u32,
        /// Proof of the first case.
        under: Box<Tree>,
        /// Proof of the second case.
        over: Box<Tree>,
    },
}

impl Tree {
    /// Number of tables of prices.
    pub(super) fn n_leaves(&self) -> usize {
        match self {
            Tree::Leaf { .. } => 1,
            Tree::Split { under, over, .. } => under.n_leaves() + over.n_leaves(),
        }
    }
}

/// A condition met on the way to a leaf.
#[derive(Clone, Copy, Debug)]
struct Condition<'t> {
    kinds: &'t [usize],
    rips: &'t [usize],
    /// The number of boards it names.
    count: u32,
    at_most: bool,
}

/// What `tree` proves of a plan whose value is below `claimed`: none has less than the number returned.
///
/// The claim holds if that is at least `claimed`.
pub(super) fn proved_by(case: &Case<'_>, tree: &Tree, claimed: i64) -> i128 {
    let mut path = Vec::new();
    descend(case, tree, claimed, &mut path)
}

fn descend<'t>(
    case: &Case<'_>,
    tree: &'t Tree,
    claimed: i64,
    path: &mut Vec<Condition<'t>>,
) -> i128 {
    match tree {
        Tree::Leaf {
            scale,
            prices,
            conditions,
        } => leaf(case, *scale, prices, conditions, claimed, path),
        Tree::Split {
            kinds,
            rips,
            at_most,
            under,
            over,
        } => {
            path.push(Condition {
                kinds,
                rips,
                count: *at_most,
                at_most: true,
            });
            let first = descend(case, under, claimed, path);
            path.pop();
            path.push(Condition {
                kinds,
                rips,
                count: at_most.saturating_add(1),
                at_most: false,
            });
            let second = descend(case, over, claimed, path);
            path.pop();
            first.min(second)
        }
    }
}

fn leaf(
    case: &Case<'_>,
    scale: i64,
    prices: &[i64],
    condition_prices: &[i64],
    claimed: i64,
    path: &[Condition<'_>],
) -> i128 {
    let sound = scale >= 1
        && case.unit >= 1
        && prices.len() == case.demand.len()
        && condition_prices.len() == path.len()
        && prices
            .iter()
            .chain(condition_prices)
            .all(|&price| price >= 0);
    if !sound {
        return 0;
    }
    let (scale, unit) = (i128::from(scale), i128::from(case.unit));
    let mut total: i128 = case
        .demand
        .iter()
        .zip(prices)
        .map(|(&demand, &price)| i128::from(demand) * i128::from(price))
        .sum();
    for (condition, &price) in path.iter().zip(condition_prices) {
        let share = i128::from(condition.count) * i128::from(price);
        total += if condition.at_most { -share } else { share };
    }
    total *= unit;
    let mut excesses = Vec::with_capacity(case.kinds.len());
    for (idx, kind) in case.kinds.iter().enumerate() {
        let barred = path.iter().any(|condition| {
            condition.at_most && condition.count == 0 && condition.kinds.contains(&idx)
        });
        if barred || kind.supply == Some(0) {
            excesses.push(0);
            continue;
        }
        // A board costs so much more, or less, for the conditions that count it.
        let net = |counts: &dyn Fn(&Condition<'_>) -> bool| {
            let priced = path.iter().zip(condition_prices);
            let counting = priced.filter(|(condition, _)| counts(condition));
            counting.fold(scale * i128::from(kind.cost), |net, (condition, &price)| {
                let price = unit * i128::from(price);
                net + if condition.at_most { price } else { -price }
            })
        };
        let is_told_apart = path
            .iter()
            .any(|condition| condition.rips.iter().any(|&rip| case.rip_kinds[rip] == idx));
        let excess = if is_told_apart {
            let rips = (case.best_rips)(idx, prices).into_iter();
            rips.map(|(rip, worth)| {
                let net = net(&|condition| {
                    condition.kinds.contains(&idx)
                        || rip.is_some_and(|rip| condition.rips.contains(&rip))
                });
                unit * i128::from(worth) - net
            })
            .max()
            .unwrap_or(0)
        } else {
            let net = net(&|condition| condition.kinds.contains(&idx));
            // A board worth no more than this is not worth more than it costs.
            let floor = i64::try_from(net.max(0) / unit).unwrap_or(i64::MAX);
            unit * i128::from((case.best_board)(idx, prices, floor)) - net
        };
        excesses.push(excess.max(0));
    }
    total -= largest_excess(case, claimed, path, &excesses);
    // The least multiple of the step that is not below total / scale.
    let step = scale * i128::from(case.step);
    let multiples = total.div_euclid(step) + i128::from(total.rem_euclid(step) != 0);
    multiples * i128::from(case.step)
}

/// The largest total of `excesses`, one for each board of a kind, within what a plan of a value below `claimed` can use.
///
/// Kinds that cost the same share what the value can pay for.
/// Those of them that are counted by the same conditions, as board lines alike but in name are, also share the numbers
/// of these conditions, and use no more boards than there are parts for them.
/// Every one of these limits holds for a set that lies within a larger one or apart from it, so the largest total is
/// found by taking the kinds in order (J. Edmonds, in Combinatorial Structures and Their Applications, 1970, 69-87;
/// from memory).
fn largest_excess(
    case: &Case<'_>,
    claimed: i64,
    path: &[Condition<'_>],
    excesses: &[i128],
) -> i128 {
    let mut order: Vec<usize> = (0..excesses.len())
        .filter(|&kind| excesses[kind] > 0)
        .collect();
    order.sort_by_key(|&kind| std::cmp::Reverse(excesses[kind]));
    let alike = |kind: usize| -> (i64, Vec<bool>) {
        let counted = path
            .iter()
            .map(|condition| condition.at_most && condition.kinds.contains(&kind));
        (case.kinds[kind].cost, counted.collect())
    };
    let mut affordable: BTreeMap<i64, u64> = BTreeMap::new();
    let mut shared: BTreeMap<(i64, Vec<bool>), u64> = BTreeMap::new();
    for &kind in &order {
        let key = alike(kind);
        shared.entry(key).or_insert_with_key(|key| {
            let parts: BTreeSet<usize> = (0..case.kinds.len())
                .filter(|&other| alike(other) == *key)
                .flat_map(|other| case.kinds[other].parts.iter().copied())
                .collect();
            let counts = path.iter().zip(&key.1).filter(|(_, counted)| **counted);
            let most = counts
                .map(|(condition, _)| u64::from(condition.count))
                .min();
            most.unwrap_or(u64::MAX).min(n_parts(case, parts))
        });
    }
    let mut total = 0;
    for kind in order {
        let Kind {
            cost,
            supply,
            parts,
        } = case.kinds[kind];
        let payable = affordable.entry(cost).or_insert(if cost > 0 {
            // Only plans of a value below the claim are to be ruled out.
            u64::try_from((claimed - 1).max(0) / cost).unwrap_or(0)
        } else {
            u64::MAX
        });
        let group = shared.entry(alike(kind)).or_default();
        // A board without a part is of no use, so no more are needed than there are parts for it.
        let taken = supply
            .map_or(u64::MAX, u64::from)
            .min(n_parts(case, parts.iter().copied()))
            .min(*payable)
            .min(*group);
        *payable -= taken;
        *group -= taken;
        total += i128::from(taken) * excesses[kind];
    }
    total
}

/// How many parts there are of some classes.
fn n_parts(case: &Case<'_>, classes: impl IntoIterator<Item = usize>) -> u64 {
    classes
        .into_iter()
        .map(|class| u64::from(case.demand[class]))
        .sum()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests")]
mod tests;

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
}

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
    /// Two cases: at most `at_most` boards of these kinds, or more.
    Split {
        /// Kinds of the claim.
        kinds: Vec<usize>,
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
            at_most,
            under,
            over,
        } => {
            path.push(Condition {
                kinds,
                count: *at_most,
                at_most: true,
            });
            let first = descend(case, under, claimed, path);
            path.pop();
            path.push(Condition {
                kinds,
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
        let mut net = scale * i128::from(kind.cost);
        for (condition, &price) in path.iter().zip(condition_prices) {
            if condition.kinds.contains(&idx) {
                let price = unit * i128::from(price);
                net += if condition.at_most { price } else { -price };
            }
        }
        // A board worth no more than this is not worth more than it costs.
        let floor = i64::try_from(net.max(0) / unit).unwrap_or(i64::MAX);
        let worth = (case.best_board)(idx, prices, floor);
        excesses.push((unit * i128::from(worth) - net).max(0));
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
mod tests {
    use super::*;

    /// Four parts of which two fit on a board: no plan has fewer than two boards.
    fn two_boards(prices: Vec<i64>) -> i128 {
        let best = |_: usize, prices: &[i64], floor: i64| (2 * prices[0]).max(floor);
        let case = Case {
            demand: vec![4],
            kinds: vec![Kind {
                cost: 1,
                supply: None,
                parts: &[0],
            }],
            step: 1,
            unit: 1,
            best_board: &best,
        };
        proved_by(
            &case,
            &Tree::Leaf {
                scale: 10,
                prices,
                conditions: Vec::new(),
            },
            2,
        )
    }

    #[test]
    fn good_prices_prove_the_bound() {
        assert_eq!(two_boards(vec![5]), 2);
    }

    #[test]
    fn low_prices_prove_less_and_high_ones_no_more() {
        // 4 x 2 = 8, rounded up to one whole board.
        assert_eq!(two_boards(vec![2]), 1);
        // 4 x 9 = 36, less 1 board x (18 - 10), rounded up: what a plan of fewer than 2 boards cannot undercut.
        assert_eq!(two_boards(vec![9]), 3);
        assert_eq!(two_boards(vec![-5]), 0);
    }

    #[test]
    fn a_split_proves_what_its_weaker_case_proves() {
        // Three parts, one on a board of cost 3, or two on a board of cost 5 of which there is one: 5 + 3 = 8.
        let best = |kind: usize, prices: &[i64], floor: i64| {
            ((1 + i64::try_from(kind).unwrap()) * prices[0]).max(floor)
        };
        let case = Case {
            demand: vec![3],
            kinds: vec![
                Kind {
                    cost: 3,
                    supply: None,
                    parts: &[0],
                },
                Kind {
                    cost: 5,
                    supply: Some(1),
                    parts: &[0],
                },
            ],
            step: 1,
            unit: 1,
            best_board: &best,
        };
        let leaf = |price, conditions| {
            Box::new(Tree::Leaf {
                scale: 1,
                prices: vec![price],
                conditions,
            })
        };
        let tree = Tree::Split {
            kinds: vec![1],
            at_most: 0,
            under: leaf(3, vec![0]),
            over: leaf(3, vec![0]),
        };
        // Without the second kind 9; with it 9 - (6 - 5) = 8.
        assert_eq!(proved_by(&case, &tree, 9), 8);
        assert_eq!(proved_by(&case, &tree, 8), 8);
    }

    /// The largest total of excesses, 1 for a board of the first kind, 2 for one of the second, and so on.
    fn total(demand: &[u32], kinds: &[Kind<'_>], path: &[Condition<'_>], claimed: i64) -> i128 {
        let case = Case {
            demand: demand.to_vec(),
            kinds: kinds.to_vec(),
            step: 1,
            unit: 1,
            best_board: &|_, _, floor| floor,
        };
        let excesses: Vec<i128> = (1..).take(kinds.len()).collect();
        largest_excess(&case, claimed, path, &excesses)
    }

    fn kind(cost: i64, supply: Option<u32>, parts: &[usize]) -> Kind<'_> {
        Kind {
            cost,
            supply,
            parts,
        }
    }

    #[test]
    fn boards_of_one_cost_share_what_a_cheaper_plan_can_pay_for() {
        // A plan of less than 18 has five boards of cost 3 at the most: two of the second line, three of the first.
        let (one, two) = (kind(3, None, &[0]), kind(3, Some(2), &[0]));
        assert_eq!(total(&[9], &[one, two], &[], 18), 2 * 2 + 3);
        assert_eq!(total(&[9], &[one, one], &[], 18), 5 * 2);
        // Of different costs they do not: five of the one, eight of the other.
        assert_eq!(total(&[9], &[one, kind(2, None, &[0])], &[], 18), 8 * 2 + 5);
    }

    #[test]
    fn no_more_boards_are_counted_than_there_are_parts_for_them() {
        let free = |parts| kind(0, None, parts);
        assert_eq!(total(&[1, 5], &[free(&[0])], &[], 18), 1);
        assert_eq!(total(&[1, 5], &[free(&[0, 1])], &[], 18), 6);
        // Lines that are alike share them, and a part that is listed twice is still one.
        assert_eq!(total(&[1, 5], &[free(&[0]), free(&[0, 0])], &[], 18), 2);
        assert_eq!(total(&[1, 5], &[free(&[0, 1]), free(&[0])], &[], 18), 2 + 5);
    }

    #[test]
    fn lines_that_a_case_counts_together_share_its_number() {
        let lines = [kind(1, None, &[0]); 3];
        let condition = |at_most| Condition {
            kinds: &[0, 1],
            count: 4,
            at_most,
        };
        // Fifty boards can be paid for; of the third line there may be as many as there are parts.
        assert_eq!(total(&[9], &lines, &[condition(true)], 51), 4 * 2 + 9 * 3);
        // At least so many is no limit: all nine are of the third line.
        assert_eq!(total(&[9], &lines, &[condition(false)], 51), 9 * 3);
    }
}

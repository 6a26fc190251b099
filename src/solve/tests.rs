//! The solver against an independent exact oracle and against worked examples with a published answer.
#![expect(clippy::unwrap_used, reason = "tests")]

mod blocks;
mod cutgen;
mod full;
mod known;
pub(in crate::solve) mod lehmer;
mod regrow;
mod session;
mod small_jobs;

use std::collections::{BTreeMap, HashMap};

use proptest::prelude::*;

use super::{Control, solve};
use crate::cutting::{
    Bound, End, Instance, Item, Layout, PartProof, ProofNode, Solution, Stock, Strip,
    common_divisor,
};

fn solved(instance: &Instance) -> Solution {
    solve(
        instance,
        &Control {
            stop: &|| false,
            progress: &|_| {},
        },
    )
}

/// Boards `(capacity, cost, supply)` that may all hold all items `(size, demand)`.
fn boards(stocks: &[(i64, i64, Option<u32>)], items: &[(i64, u32)]) -> Instance {
    let all: Vec<usize> = (0..items.len()).collect();
    Instance {
        items: items
            .iter()
            .map(|&(size, demand)| Item {
                size,
                demand,
                pieces: 1,
            })
            .collect(),
        strips: stocks
            .iter()
            .map(|stock| Strip {
                capacity: stock.0,
                items: all.clone(),
            })
            .collect(),
        stocks: stocks
            .iter()
            .enumerate()
            .map(|(idx, &(length, cost, supply))| Stock {
                cost,
                length,
                supply,
                layouts: vec![Layout {
                    strips: vec![idx],
                    kept: false,
                    group: 0,
                }],
            })
            .collect(),
    }
}

fn with_cost(instance: &Instance) -> i64 {
    let solution = solved(instance);
    assert_eq!(solution.end, End::Proved);
    assert_eq!(
        solution.bound,
        Bound {
            missing_pieces: 0,
            cost: solution.cost
        }
    );
    solution.cost
}

/// The optimum by brute force: every pattern of every layout, one board after another, remembered by what is left.
///
/// Shares nothing with the solver but the instance.
fn oracle(instance: &Instance) -> (u64, i64) {
    fn patterns(instance: &Instance, strips: &[usize], left: &[u32]) -> Vec<Vec<u32>> {
        let Some((&strip, rest)) = strips.split_first() else {
            return vec![vec![0; left.len()]];
        };
        let strip = &instance.strips[strip];
        let mut all = Vec::new();
        let mut counts = vec![0u32; left.len()];
        loop {
            let size: i64 = counts
                .iter()
                .zip(&instance.items)
                .map(|(&c, i)| i64::from(c) * i.size)
                .sum();
            if size <= strip.capacity {
                let after: Vec<u32> = left.iter().zip(&counts).map(|(l, c)| l - c).collect();
                for tail in patterns(instance, rest, &after) {
                    all.push(tail.iter().zip(&counts).map(|(a, b)| a + b).collect());
                }
            }
            let mut digit = 0;
            loop {
                if digit == counts.len() {
                    return all;
                }
                if strip.items.contains(&digit) && counts[digit] < left[digit] {
                    counts[digit] += 1;
                    break;
                }
                counts[digit] = 0;
                digit += 1;
            }
        }
    }
    fn best(
        instance: &Instance,
        stock: usize,
        used: u32,
        left: &[u32],
        memo: &mut HashMap<(usize, u32, Vec<u32>), (u64, i64)>,
    ) -> (u64, i64) {
        if stock == instance.stocks.len() {
            let missing = left
                .iter()
                .zip(&instance.items)
                .map(|(&l, i)| u64::from(l) * u64::from(i.pieces))
                .sum();
            return (missing, 0);
        }
        let key = (stock, used, left.to_vec());
        if let Some(&known) = memo.get(&key) {
            return known;
        }
        let mut value = best(instance, stock + 1, 0, left, memo);
        if instance.stocks[stock]
            .supply
            .is_none_or(|supply| used < supply)
        {
            for layout in &instance.stocks[stock].layouts {
                for pattern in patterns(instance, &layout.strips, left) {
                    if pattern.iter().all(|&count| count == 0) {
                        continue;
                    }
                    let after: Vec<u32> = left.iter().zip(&pattern).map(|(l, c)| l - c).collect();
                    let count = if instance.stocks[stock].supply.is_some() {
                        used + 1
                    } else {
                        0
                    };
                    let rest = best(instance, stock, count, &after, memo);
                    value = value.min((rest.0, rest.1 + instance.stocks[stock].cost));
                }
            }
        }
        memo.insert(key, value);
        value
    }
    let left: Vec<u32> = instance.items.iter().map(|item| item.demand).collect();
    best(instance, 0, 0, &left, &mut HashMap::new())
}

fn value(instance: &Instance, solution: &Solution) -> (u64, i64) {
    let missing = solution
        .missing
        .iter()
        .zip(&instance.items)
        .map(|(&count, item)| u64::from(count) * u64::from(item.pieces))
        .sum();
    (missing, solution.cost)
}

/// The most that one board divided by `layout` is worth, by a table over lengths; for short boards only.
fn worth(instance: &Instance, layout: &Layout, price_of: &BTreeMap<usize, i64>) -> i64 {
    let strip_worth = |strip: &Strip| -> i64 {
        let mut best = vec![0i64; usize::try_from(strip.capacity).unwrap() + 1];
        for (item, price) in price_of {
            if !strip.items.contains(item) {
                continue;
            }
            let size = usize::try_from(instance.items[*item].size).unwrap();
            for _ in 0..instance.items[*item].demand {
                for length in (size..best.len()).rev() {
                    best[length] = best[length].max(best[length - size] + price);
                }
            }
        }
        *best.last().unwrap()
    };
    layout
        .strips
        .iter()
        .map(|&strip| strip_worth(&instance.strips[strip]))
        .sum()
}

/// Checks both proofs of a part.
fn check_proof(instance: &Instance, proof: &PartProof) {
    let free = Instance {
        stocks: instance
            .stocks
            .iter()
            .map(|stock| Stock {
                cost: 0,
                ..stock.clone()
            })
            .collect(),
        ..instance.clone()
    };
    let pieces = proof.items.iter().map(|&item| instance.items[item].pieces);
    let weigh_one = pieces.fold(0, common_divisor).max(1);
    let missing = proof.missing / u64::from(weigh_one);
    assert_eq!(proof.missing % u64::from(weigh_one), 0);
    assert_eq!(proof.missing_nodes.is_empty(), missing == 0);
    if missing > 0 {
        let of_missing = PartProof {
            nodes: proof.missing_nodes.clone(),
            unit: 1,
            proves: missing.try_into().unwrap(),
            ..proof.clone()
        };
        check_tree(&free, &of_missing, weigh_one, (1, missing - 1));
    }
    check_tree(instance, proof, weigh_one, (0, missing));
}

/// What is to be cut at a node: how many of each item of the part, and behind them of what is glued; the items of each;
/// and pairs of which no strip holds both.
#[derive(Clone)]
struct OracleState {
    demand: Vec<u32>,
    makeup: Vec<Vec<usize>>,
    glued_of: Vec<Option<(usize, usize)>>,
    clashes: Vec<(usize, usize)>,
}

/// The most that a strip is worth, by every choice of what lies on it.
fn worth_of_pairs(instance: &Instance, strip: &Strip, state: &OracleState, prices: &[i64]) -> i64 {
    fn best(
        (strip, sizes, prices): (&Strip, &[Option<i64>], &[i64]),
        state: &OracleState,
        counts: &mut Vec<u32>,
        left: i64,
    ) -> i64 {
        let at = counts.len();
        if at == sizes.len() {
            let is_broken = state
                .clashes
                .iter()
                .any(|&(one, other)| counts[one] > 0 && counts[other] > u32::from(one == other));
            let worths = counts.iter().zip(prices);
            let worth = worths.map(|(&count, price)| i64::from(count) * price).sum();
            return if is_broken { 0 } else { worth };
        }
        let most = match sizes[at] {
            Some(size) if prices[at] > 0 => {
                state.demand[at].min(u32::try_from(left / size).unwrap())
            }
            _ => 0,
        };
        let worths = (0..=most).map(|count| {
            counts.push(count);
            let taken = i64::from(count) * sizes[at].unwrap_or(0);
            let worth = best((strip, sizes, prices), state, counts, left - taken);
            counts.pop();
            worth
        });
        worths.max().unwrap()
    }
    let sizes = state.makeup.iter().map(|items| {
        let may_lie = items.iter().all(|item| strip.items.contains(item));
        may_lie.then(|| items.iter().map(|&item| instance.items[item].size).sum())
    });
    let sizes: Vec<Option<i64>> = sizes.collect();
    best(
        (strip, &sizes, prices),
        state,
        &mut Vec::new(),
        strip.capacity,
    )
}

/// Checks a proof by the inequality that `cutting::certificate` states, with knapsacks of its own; what is missing costs
/// `absent.0` times its weight, which is at most `absent.1`.
#[expect(clippy::too_many_lines, reason = "one inequality, term by term")]
fn check_tree(instance: &Instance, proof: &PartProof, weigh_one: u32, absent: (i128, u64)) {
    /// Stocks, stocks with layouts, whether missing pieces count, whether over, and the number.
    type OracleWay<'a> = Vec<(&'a [usize], &'a [(usize, usize)], bool, bool, u32)>;
    let root = OracleState {
        demand: proof
            .items
            .iter()
            .map(|&item| instance.items[item].demand)
            .collect(),
        makeup: proof.items.iter().map(|&item| vec![item]).collect(),
        glued_of: vec![None; proof.items.len()],
        clashes: Vec::new(),
    };
    let mut stack: Vec<(usize, OracleWay<'_>, OracleState)> = vec![(0, Vec::new(), root)];
    let gcd = proof
        .stocks
        .iter()
        .fold(0, |g, &s| common_divisor(g, instance.stocks[s].cost))
        .max(1);
    while let Some((node, way, state)) = stack.pop() {
        match &proof.nodes[node] {
            ProofNode::Split {
                stocks,
                divided,
                absent,
                at_most,
                under,
                over,
            } => {
                assert!(*under > node && *over > node);
                for (child, is_over) in [(*under, false), (*over, true)] {
                    let mut way = way.clone();
                    way.push((stocks, divided, *absent, is_over, *at_most));
                    stack.push((child, way, state.clone()));
                }
            }
            ProofNode::Pair {
                pair,
                apart,
                together,
            } => {
                assert!(*apart > node && *together > node);
                let mut lies_apart = state.clone();
                lies_apart.clashes.push(*pair);
                stack.push((*apart, way.clone(), lies_apart));
                let mut glued = state;
                let number = glued.demand.len();
                let (one, other) = *pair;
                glued.demand[one] -= 1;
                glued.demand[other] -= 1;
                let same = Some((one.min(other), one.max(other)));
                let before = glued.glued_of.iter().rposition(|&known| known == same);
                let clashes = |item: usize| {
                    let mut clashes = glued.clashes.iter();
                    clashes.any(|&(first, second)| first == item || second == item)
                };
                match before {
                    Some(before) if ![one, other, before].into_iter().any(clashes) => {
                        glued.demand[before] += 1;
                    }
                    _ => {
                        glued.demand.push(1);
                        glued.glued_of.push(same);
                        let makeup = [&glued.makeup[one][..], &glued.makeup[other]].concat();
                        glued.makeup.push(makeup);
                        for (first, second) in glued.clashes.clone() {
                            if [one, other].contains(&first) {
                                glued.clashes.push((second, number));
                            }
                            if [one, other].contains(&second) {
                                glued.clashes.push((first, number));
                            }
                        }
                    }
                }
                stack.push((*together, way, glued));
            }
            ProofNode::Leaf {
                denominator,
                prices,
                conditions,
            } => {
                assert!(prices.iter().all(|&price| price >= 0));
                assert_eq!(conditions.len(), way.len());
                let price_of: BTreeMap<usize, i64> = proof
                    .items
                    .iter()
                    .copied()
                    .zip(prices.iter().copied())
                    .collect();
                assert_eq!(prices.len(), state.demand.len());
                let pays = state.demand.iter().zip(prices);
                let mut left: i128 = pays
                    .map(|(&demand, &price)| i128::from(demand) * i128::from(price))
                    .sum();
                for ((.., is_over, number), &price) in way.iter().zip(conditions) {
                    assert!(if *is_over { price >= 0 } else { price <= 0 });
                    let number = i128::from(*number) + i128::from(*is_over);
                    left += number * i128::from(price);
                }
                left *= i128::from(proof.unit);
                let part_prices = prices;
                let is_plain = state.clashes.is_empty() && state.demand.len() == proof.items.len();
                let mut excesses: Vec<(i64, i128, i128)> = Vec::new();
                for &stock_idx in &proof.stocks {
                    let stock = &instance.stocks[stock_idx];
                    let fits = |item: &usize| {
                        let item = *item;
                        stock
                            .layouts
                            .iter()
                            .flat_map(|layout| &layout.strips)
                            .any(|&strip| {
                                let strip = &instance.strips[strip];
                                strip.items.contains(&item)
                                    && instance.items[item].size <= strip.capacity
                            })
                    };
                    let demand: u64 = proof
                        .items
                        .iter()
                        .filter(|item| fits(item))
                        .map(|&item| u64::from(instance.items[item].demand))
                        .sum();
                    let mut most = i128::from(demand);
                    if let Some(supply) = stock.supply {
                        most = most.min(i128::from(supply));
                    }
                    for (stocks, _, _, is_over, number) in &way {
                        if stocks.contains(&stock_idx) && !is_over {
                            most = most.min(i128::from(*number));
                        }
                    }
                    let layouts = stock.layouts.iter().enumerate().map(|(idx, layout)| {
                        let prices = way
                            .iter()
                            .zip(conditions)
                            .filter(|((stocks, divided, ..), _)| {
                                stocks.contains(&stock_idx) || divided.contains(&(stock_idx, idx))
                            })
                            .map(|(_, &price)| i128::from(price));
                        let worth = if is_plain {
                            worth(instance, layout, &price_of)
                        } else {
                            let strips = layout.strips.iter().map(|&strip| &instance.strips[strip]);
                            strips
                                .map(|strip| worth_of_pairs(instance, strip, &state, part_prices))
                                .sum()
                        };
                        i128::from(worth) + prices.sum::<i128>()
                    });
                    let mut excess = layouts.max().unwrap_or(0);
                    excess = excess * i128::from(proof.unit)
                        - i128::from(*denominator) * i128::from(stock.cost);
                    excesses.push((stock.cost, -excess.max(0), most));
                }
                excesses.sort_unstable();
                let mut room: HashMap<i64, i128> = HashMap::new();
                for (cost, minus_excess, most) in excesses {
                    let room = room.entry(cost).or_insert_with(|| {
                        if cost > 0 {
                            i128::from((proof.proves - 1).max(0) / cost)
                        } else {
                            i128::MAX
                        }
                    });
                    let boards = most.min(*room);
                    *room -= boards;
                    left += boards * minus_excess;
                }
                let counting = || way.iter().zip(conditions).filter(|(way, _)| way.2);
                let most = counting()
                    .filter(|((_, _, _, is_over, _), _)| !is_over)
                    .map(|((.., number), _)| u64::from(*number))
                    .fold(absent.1, u64::min);
                let earned: i128 = counting().map(|(_, &price)| i128::from(price)).sum();
                let each = price_of.iter().map(|(&item, &price)| {
                    let worth = i128::from(proof.unit) * i128::from(price);
                    let weight = i128::from(instance.items[item].pieces / weigh_one);
                    (worth + weight - 1) / weight + i128::from(proof.unit) * earned
                        - i128::from(*denominator) * absent.0
                });
                left -= i128::from(most) * each.max().unwrap_or(0).max(0);
                assert!(
                    left > i128::from(*denominator) * i128::from(proof.proves - gcd),
                    "leaf {node} proves less than {}: {proof:?}",
                    proof.proves
                );
            }
        }
    }
}

/// Small instances of every kind: several stocks, small supplies, items that some strips refuse, chains, layouts.
fn small_instance(with_layouts: bool) -> impl Strategy<Value = Instance> {
    let item = (3i64..40, 1u32..4, 1u32..4);
    let stock = (8i64..70, 0i64..30, prop::option::of(0u32..4), any::<u8>());
    (
        prop::collection::vec(item, 1..5),
        prop::collection::vec(stock, 1..4),
    )
        .prop_map(move |(items, stocks)| {
            let n_items = items.len();
            let mut instance = Instance {
                items: items
                    .iter()
                    .map(|&(size, demand, pieces)| Item {
                        size,
                        demand,
                        pieces,
                    })
                    .collect(),
                strips: Vec::new(),
                stocks: Vec::new(),
            };
            for (capacity, cost, supply, mask) in stocks {
                let holds: Vec<usize> = (0..n_items)
                    .filter(|item| mask >> item & 1 == 1 || mask > 100)
                    .collect();
                let strip = instance.strips.len();
                instance.strips.push(Strip {
                    capacity,
                    items: holds,
                });
                let mut layouts = vec![Layout {
                    strips: vec![strip],
                    kept: false,
                    group: 0,
                }];
                if with_layouts && mask % 3 == 0 {
                    let all: Vec<usize> = (0..n_items).collect();
                    instance.strips.push(Strip {
                        capacity: capacity / 2 + 3,
                        items: all,
                    });
                    layouts.push(Layout {
                        strips: vec![strip + 1, strip],
                        kept: false,
                        group: 0,
                    });
                    if mask % 2 == 0 {
                        layouts.remove(0);
                    }
                }
                // A free board without limit would make every cost nothing.
                let supply = if cost == 0 {
                    supply.or(Some(2))
                } else {
                    supply
                };
                instance.stocks.push(Stock {
                    cost,
                    length: capacity,
                    supply,
                    layouts,
                });
            }
            instance
        })
}

proptest! {
    #![proptest_config(cases!(400))]

    #[test]
    fn small_instances_have_the_value_of_brute_force(instance in small_instance(false)) {
        let solution = solved(&instance);
        let best = oracle(&instance);
        prop_assert!((solution.bound.missing_pieces, solution.bound.cost) <= best);
        prop_assert_eq!(value(&instance, &solution), best);
        prop_assert!(solution.end == End::Proved, "open: {:?}", solution.end);
        let parts = &solution.certificate.as_ref().unwrap().parts;
        for proof in parts {
            check_proof(&instance, proof);
        }
        // Where the search split by single patterns, less is proved.
        let proved = (
            parts.iter().map(|part| part.missing).sum(),
            parts.iter().map(|part| part.proves).sum(),
        );
        prop_assert!(proved <= best, "{:?} of {:?}", proved, best);
    }

    #[test]
    fn certificates_of_middling_instances_hold(
        items in prop::collection::vec((20i64..200, 1u32..9), 4..12),
        stocks in prop::collection::vec((200i64..500, 60i64..160, prop::option::of(1u32..5)), 1..5),
    ) {
        let mut stocks = stocks;
        stocks[0].2 = None;
        let instance = boards(&stocks, &items);
        let solution = solved(&instance);
        prop_assert!(solution.end == End::Proved, "open: {:?}", solution.end);
        for proof in &solution.certificate.as_ref().unwrap().parts {
            check_proof(&instance, proof);
        }
    }

    #[test]
    fn boards_of_several_strips_have_the_value_of_brute_force(instance in small_instance(true)) {
        let solution = solved(&instance);
        prop_assert_eq!(solution.end, End::Proved);
        prop_assert_eq!(value(&instance, &solution), oracle(&instance));
    }

    #[test]
    fn a_search_stopped_at_once_still_gives_a_plan_and_a_bound(instance in small_instance(true)) {
        let solution = solve(&instance, &Control { stop: &|| true, progress: &|_| {} });
        let best = oracle(&instance);
        prop_assert!((solution.bound.missing_pieces, solution.bound.cost) <= best);
        prop_assert!(value(&instance, &solution) >= best);
    }

    #[test]
    fn scaling_all_lengths_changes_nothing(instance in small_instance(false), factor in 2i64..1_000_000) {
        let mut scaled = instance.clone();
        for item in &mut scaled.items {
            item.size *= factor;
        }
        for strip in &mut scaled.strips {
            strip.capacity *= factor;
        }
        let (one, other) = (solved(&instance), solved(&scaled));
        prop_assert_eq!(value(&instance, &one), value(&scaled, &other));
    }

    #[test]
    fn a_little_less_than_the_scale_of_spare_length_changes_nothing(
        instance in small_instance(false),
        factor in 1_000i64..2_000,
        spare in 0i64..1_000,
    ) {
        // Derived: sizes are multiples of the factor, so spare length below the factor holds no further item.
        let mut scaled = instance.clone();
        for item in &mut scaled.items {
            item.size *= factor;
        }
        for (idx, strip) in scaled.strips.iter_mut().enumerate() {
            strip.capacity = strip.capacity * factor + (spare + i64::try_from(idx).unwrap()) % factor;
        }
        let (one, other) = (solved(&instance), solved(&scaled));
        prop_assert_eq!(value(&instance, &one), value(&scaled, &other));
    }

    #[test]
    fn the_order_of_items_and_stocks_changes_nothing_in_value(instance in small_instance(false)) {
        let last = instance.items.len() - 1;
        let mut turned = instance.clone();
        turned.items.reverse();
        turned.stocks.reverse();
        for strip in &mut turned.strips {
            strip.items = strip.items.iter().rev().map(|item| last - item).collect();
        }
        let (one, other) = (solved(&instance), solved(&turned));
        prop_assert_eq!(value(&instance, &one), value(&turned, &other));
    }

    #[test]
    fn more_stock_never_costs_more(instance in small_instance(false), which in 0usize..4) {
        let mut richer = instance.clone();
        let which = which % richer.stocks.len();
        richer.stocks[which].supply = richer.stocks[which].supply.map(|supply| supply + 1);
        let (one, other) = (solved(&instance), solved(&richer));
        prop_assert!(value(&richer, &other) <= value(&instance, &one));
    }
}

#[test]
fn woodco_needs_19_boards() {
    // W. L. Winston, Operations Research: Applications and Algorithms, the Woodco example (figures from memory).
    assert_eq!(
        with_cost(&boards(&[(17, 1, None)], &[(3, 25), (5, 20), (9, 15)])),
        19
    );
}

#[test]
fn chvatal_needs_453_raws() {
    // V. Chvatal, Linear Programming, Freeman 1983, chapter 13, p. 195.
    let items = [(45, 97), (36, 610), (31, 395), (14, 211)];
    assert_eq!(with_cost(&boards(&[(100, 1, None)], &items)), 453);
}

#[test]
fn the_encyclopedia_example_needs_73_rolls() {
    // Wikipedia, "Cutting stock problem", 5600 mm rolls; 73 rolls are given as the least.
    let items = [
        (1380, 22),
        (1520, 25),
        (1560, 12),
        (1710, 14),
        (1820, 18),
        (1880, 18),
        (1930, 20),
        (2000, 10),
        (2050, 12),
        (2100, 14),
        (2140, 16),
        (2150, 18),
        (2200, 20),
    ];
    assert_eq!(with_cost(&boards(&[(5600, 1, None)], &items)), 73);
}

#[test]
fn the_scip_book_example_needs_13_rolls() {
    // M. Kubo, J. P. Pedroso and others, SCIP book, bin packing chapter: rolls of 9, 24 pieces, 13 proved there.
    let items = [(8, 2), (7, 2), (6, 2), (5, 6), (4, 6), (3, 2), (2, 4)];
    assert_eq!(with_cost(&boards(&[(9, 1, None)], &items)), 13);
}

#[test]
fn gilmore_and_gomory_pay_170() {
    // P. C. Gilmore, R. E. Gomory, Operations Research 9 (1961), pp. 856-858, doi 10.1287/opre.9.6.849.
    let stocks = [(5, 6, None), (6, 7, None), (9, 10, None)];
    assert_eq!(
        with_cost(&boards(&stocks, &[(2, 20), (3, 10), (4, 20)])),
        170
    );
}

#[test]
fn nothing_to_cut_costs_nothing() {
    let solution = solved(&boards(&[(10, 1, None)], &[]));
    assert_eq!(
        (solution.cost, solution.end, solution.boards.len()),
        (0, End::Proved, 0)
    );
}

#[test]
fn no_stock_leaves_all_missing() {
    let solution = solved(&boards(&[], &[(5, 3)]));
    assert_eq!(solution.missing, vec![3]);
    assert_eq!(
        solution.bound,
        Bound {
            missing_pieces: 3,
            cost: 0
        }
    );
    assert_eq!(solution.end, End::Proved);
}

#[test]
fn what_fits_no_board_is_missing_and_the_rest_is_cut() {
    let solution = solved(&boards(&[(10, 7, None)], &[(11, 2), (5, 2)]));
    assert_eq!(
        (solution.missing.as_slice(), solution.cost, solution.end),
        (&[2, 0][..], 7, End::Proved)
    );
}

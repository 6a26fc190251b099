//! What proves a bound: integer prices, where needed for each leaf of a small tree of cases.
//!
//! # What a checker must verify
//! A part of the instance is a set of items and a set of stocks such that no other stock in supply can hold one of
//! the items, but for stocks that are replaced; or it is all items that no stock can hold, and no stock.
//! A stock is replaced by another stock of the part that is unlimited, costs no more, and has for each layout of the
//! replaced one that holds items of the part, which must be a single strip, some strip at least as long that may hold all items which fit that one:
//! every plan has a plan without the replaced stock that costs no more.
//! Parts have no item in common. They may have a stock in common if no layout of it has strips for items of both: then each of
//! its boards is cut for one of them, and counts in that one; each part may have the whole supply.
//! Its proofs say: *no plan leaves fewer than `missing` pieces of the part missing, and none that leaves just so many
//! costs less than `proves`.*
//! In the first, which there is only where `missing` is above 0, stocks are free and missing items cost what they weigh;
//! in the second they are free, but weigh no more than those `missing` pieces.
//! An item weighs `w_i`, its pieces over `w`, the greatest common divisor of the pieces of all items of the part.
//! A plan of the whole instance that leaves as few pieces missing as those of all parts together leaves as few missing in
//! each of them, so both add up.
//!
//! Every node stands for the plans that keep the conditions on the way from the root to it.
//! A split with a set `S` of stocks, and of stocks divided by certain layouts, and number `k` has two children: `under`,
//! where the plan uses at most `k` boards of `S` in all, and `over`, where it uses at least `k + 1`; one of the two
//! holds for every plan, however its boards are taken for divided where they could be in several ways.
//! Where a split counts absent items, each counts as many boards as it weighs.
//! A pair of items has two children, too: in one no strip holds a piece of both (of a pair of equals, two pieces); in the
//! other one piece of each is glued to an item of its own, of which there is one, as long as both; the demand of both is one
//! less, the glued item is never missing, and a strip that must not hold a pair with one of the two must not hold it with
//! the glued item. If the same two are glued above and the last such item and both of the two need not lie apart from
//! anything, then it is one more of that item. If some strip of a plan holds both, they can be glued there; so one of the two holds for every plan.
//!
//! At a leaf let `D` be its denominator, `U` the part's unit (1 in the first proof), `p_i` its prices (0 or more), and
//! let the conditions on
//! the way be `sum of boards in S_j <= k_j` with price `q_j <= 0`, or `>= k_j` with price `q_j >= 0`.
//! For each layout `l` of each stock `s` of the part let `V_l` be the most that such a board is worth: the sum over its
//! strips of the best `sum p_i n_i` with whole counts `0 <= n_i <= demand_i` that fit the strip.
//! Let `e_s` be the largest `U * V_l + U * sum over j with s, or s by l, in S_j of q_j - D * cost_l` over its layouts: the
//! excess of a board of `s` over its cost, which is nothing in a layout that is kept.
//! Let `u_s` be a number that the boards of `s` in a plan cheaper than `proves` do not exceed, the least of its supply;
//! the total demand of the items that fit it (no board need be empty); and `k_j` of every condition `<= k_j` with `s`,
//! in whatever layout, in `S_j`.
//! Stocks of one cost `c > 0`, but those that may be kept, share a further limit: together at most `(proves - 1) / c` boards, rounded down.
//! Let `E` be the largest total excess within these limits: stocks with `e_s > 0` are taken by falling excess, `u_s`
//! boards each, until the limit of their cost is reached.
//! What missing items are worth more than they cost is added: `m` times the largest
//! `U p_i / w_i + U sum over j that count absent items of q_j - D c`, rounded up, but not less than 0, where `c` is 1 in the
//! first proof and 0 in the second, and `m` the most that they weigh: in the first, as only better plans are to be ruled
//! out, less than `missing / w`, in the second `missing / w` at most, and `k_j` of every condition `<= k_j` that counts them.
//! In the first `proves` is `missing / w`.
//! The leaf proves its case if
//!
//! `U * (sum d_i p_i + sum k_j q_j) - E > D * (proves - g)`,
//!
//! where `g` is the greatest common divisor of the costs of those stocks of the part that cost less than `proves` (that
//! itself if all are 0): the left side bounds
//! `D` times the cost of every plan of the case from below, and a cost is a multiple of `g`.
//! All of it is integer arithmetic; 128 bits hold it.
//!
//! Boards are trimmed to the demand before they are counted, so each of them holds something.

use super::{Item, common_divisor};

/// Proofs for the parts of an instance.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct InstanceProof {
    /// One proof for each part; no board counts in two, and all items are of one.
    pub parts: Vec<PartProof>,
}

/// Proofs that no plan leaves fewer pieces of a part missing, and that none which leaves as few costs less.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartProof {
    /// The instance's items of the part, rising.
    pub items: Vec<usize>,
    /// The instance's stocks of the part, rising; replaced ones are not among them.
    pub stocks: Vec<usize>,
    /// Stocks that another stock replaces: `(replaced, by)`, rising.
    pub replaced: Vec<(usize, usize)>,
    /// No plan leaves fewer pieces of the part missing.
    pub missing: u64,
    /// The nodes of the proof of that, as of the other; empty where `missing` is 0.
    pub missing_nodes: Vec<ProofNode>,
    /// What a price of one denominator is worth, in units of the objective; 1 or more.
    pub unit: i64,
    /// No plan that leaves `missing` pieces of the part missing costs less.
    ///
    /// As `missing`, it is less than the solution's bound where the search split by single patterns or in another way that
    /// the nodes do not tell, or the tree was too large to keep.
    pub proves: i64,
    /// The nodes of the tree; the root comes first, children after their parent.
    pub nodes: Vec<ProofNode>,
}

impl PartProof {
    /// Of `items` that no stock can hold, `missing` pieces in all: each is worth what it weighs.
    pub(super) fn of_unplaced(items: &[(usize, Item)], missing: u64) -> PartProof {
        let leaf = |prices: Vec<i64>| ProofNode::Leaf {
            denominator: 1,
            prices,
            conditions: Vec::new(),
        };
        let pieces = || items.iter().map(|(_, item)| item.pieces);
        let weigh_one = pieces().fold(0, common_divisor).max(1);
        let weights = pieces().map(|pieces| (pieces / weigh_one).into());
        PartProof {
            items: items.iter().map(|&(idx, _)| idx).collect(),
            stocks: Vec::new(),
            replaced: Vec::new(),
            missing,
            missing_nodes: vec![leaf(weights.collect())],
            unit: 1,
            proves: 0,
            nodes: vec![leaf(vec![0; items.len()])],
        }
    }
}

/// A node of a proof.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ProofNode {
    /// Two cases, by the number of boards of some stocks.
    Split {
        /// The stocks that are counted together, in whatever layout.
        stocks: Vec<usize>,
        /// `(stock, layout)`: boards divided so are counted too; rising.
        divided: Vec<(usize, usize)>,
        /// Whether missing items are counted too, by their weight.
        absent: bool,
        /// The number that parts the cases.
        at_most: u32,
        /// Index of the node for plans with at most that many.
        under: usize,
        /// Index of the node for plans with more.
        over: usize,
    },
    /// No strip holds a piece of each of two items, or some strip does, and there one of each is glued to one item.
    Pair {
        /// The two, which may be one: places in the part's items, and behind those of what is glued above, from the top.
        pair: (usize, usize),
        /// Index of the node for the first case.
        apart: usize,
        /// Index of the node for the second case.
        together: usize,
    },
    /// Prices that prove the case.
    Leaf {
        /// What prices are divided by; 1 or more.
        denominator: i64,
        /// `prices[i]` is the price of the part's `i`-th item, and behind those of what is glued above; 0 or more.
        prices: Vec<i64>,
        /// `conditions[j]` is the price of the `j`-th condition by a number of boards on the way from the root:
        /// 0 or less for `under`, 0 or more for `over`.
        conditions: Vec<i64>,
    },
}

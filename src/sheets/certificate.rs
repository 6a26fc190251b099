//! What proves a bound: integer prices of the items, where needed for each leaf of a small tree of cases.
//!
//! All that is said here of plans is said of plans in two stages of cuts, in which a stack is one piece, but for the last section.
//!
//! # What a checker must verify
//! Two proofs: *no plan leaves fewer than `missing` pieces missing* (in it sheets are free and a missing piece costs 1; where
//! `missing` is 0 there is none), and *no plan that leaves just `missing` pieces missing costs less than `cost`*.
//!
//! Items that fit no sheet which is there are set aside: their pieces are missing in every plan. Below they have no price and
//! no demand, and `missing` is without them.
//!
//! A strip is as wide as its widest piece; so every plan has definite numbers of sheets of some beds (a bed is a kind of
//! sheet with the way its strips run), of those whose widest strip is at least so wide, of strips at least so wide on such
//! sheets, of pieces of some items in such strips, and of such strips that hold at least so many pieces of some items.
//! Every node stands for the plans that keep the conditions on the way from the root to it.
//! A split counts one of these numbers: in `under` it is at most `at_most`, in `over` more; one of the two holds for every
//! plan.
//!
//! At a leaf let `D` be its denominator, `p_i` the prices of the items (0 or more), `d_i` their demands, and let the
//! conditions on the way be `n_j <= k_j` with price `q_j <= 0`, or `n_j >= k_j` with price `q_j >= 0`.
//! A piece of item `i` in a strip counts `p_i`, and the `q_j` of all conditions that count it; a strip its `q_j`; a sheet its
//! `q_j` as well.
//! Let `H_b` be the most that one sheet of bed `b` counts with its strips and pieces: at least one strip, strips one beside the other within the
//! usable width, each with pieces one after another within the usable length, the widest just as wide as the strip, of each
//! item and each way it lies no more than its demand. In strips that a condition on what they hold, whose price is not 0, may
//! count by their bed and width, an item lies only in the way that takes least of the length, of those no wider than the strip, and no more often than
//! its demand: every piece of a plan can be turned so, and no number changes.
//! Let `e_b` be `H_b` less `D` times what the sheet costs in the proof, and `u_k` a number that the
//! sheets of kind `k` in a plan of interest do not exceed: the least of its supply; the total demand of the items that fit it;
//! where it costs `c > 0`, `(proves - 1) / c`; and `k_j` of every condition `n_j <= k_j` that counts all sheets of all its beds.
//!
//! Then `sum p_i d_i + sum q_j k_j - sum over kinds of u_k * max(0, e_b of its beds)`, less what missing pieces are worth more
//! than they cost, bounds `D` times the cost of every plan of the case from below.
//! In the first proof missing pieces are worth `d_i * max(0, p_i - D)` more; in the second `missing * max p_i`.
//! The leaf proves its case if no value that a plan can have is at least that bound and less than what is to be proved: in
//! the second proof no sum of prices of sheets, of each kind no more than can be of use.
//!
//! # Three stages
//! [`InThree`] speaks of plans in three stages, which those in two are among, that leave only pieces missing which fit no sheet.
//! At prices of the items let `H_b` be the most that a sheet of bed `b` counts with its pieces: its strips lie one beside the
//! other within the usable width, none wider than the longest second cut, each a row of stacks one after another within the
//! usable length; a stack is as long as its longest piece, has its pieces one above another within the strip, and of each item
//! and each way it lies no more than its demand. A sheet of a kind counts the most of its beds, `H_k`.
//!
//! A set of sheets, `n_k` of each kind, cannot hold what is wanted if at some of the prices `sum n_k H_k < sum p_i d_i`.
//! It is proved if so every set is ruled out that costs less than is to be proved, and has of each kind no more than there are,
//! or pieces that fit it.
//! So that not all sets need to be listed each of the prices has a denominator `D`, 0 or more: with `c_k` the price of a kind
//! and `u_k` how many of it there can be, the sheets of some kinds that cost `m` in all count no more than
//! `D m + sum u_k * max(0, H_k - D c_k)`.

use super::job::Bed;

/// Proofs for a job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Certificate {
    /// No plan leaves fewer pieces missing.
    pub missing: u64,
    /// The nodes of the proof of that; empty where `missing` is 0.
    pub missing_nodes: Vec<Node>,
    /// No plan that leaves `missing` pieces missing costs less.
    pub cost: i64,
    /// The nodes of the proof of that; the root comes first, children after their parent. Empty where `cost` is 0.
    pub cost_nodes: Vec<Node>,
    /// What proves that no plan in three stages costs less than something, where that was looked at.
    pub in_three: Option<InThree>,
}

impl Certificate {
    /// No plan in three stages costs less, as far as that was looked at; else 0.
    pub fn cost_in_three(&self) -> i64 {
        let in_three = self.in_three.as_ref();
        in_three.map_or(0, |in_three| in_three.cost)
    }
}

/// What proves that plans in three stages of cuts which leave nothing missing that fits a sheet cost no less than something.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InThree {
    /// No such plan costs less; 1 or more.
    pub cost: i64,
    /// Prices, each of which rules out some sets of sheets.
    pub prices: Vec<PricesInThree>,
}

/// Prices of the items, at which sheets are worth no more than something.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PricesInThree {
    /// What one unit of cost is in prices; 0 or more.
    pub denominator: i64,
    /// `prices[i]` is the price of item `i` of the job, 0 or more.
    pub prices: Vec<i64>,
}

/// A number that every plan has.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Count {
    /// Sheets of these beds.
    Sheets {
        /// The beds, rising.
        beds: Vec<Bed>,
        /// The widest strip of the sheet is at least as wide; 0 for all sheets.
        width: i64,
    },
    /// Strips on sheets of these beds.
    Strips {
        /// The beds, rising.
        beds: Vec<Bed>,
        /// The widest piece of the strip is at least as wide across the strip.
        width: i64,
    },
    /// Pieces of these items in such strips.
    Pieces {
        /// The items, rising.
        items: Vec<usize>,
        /// The beds, rising.
        beds: Vec<Bed>,
        /// The widest piece of the strip is at least as wide across the strip.
        width: i64,
    },
    /// Strips that hold at least so many pieces of some items.
    Holding {
        /// What a strip holds; one or more.
        least: Vec<Hold>,
        /// The beds, rising.
        beds: Vec<Bed>,
        /// The widest piece of the strip is at least as wide across the strip.
        width: i64,
    },
}

/// At least so many pieces on one strip.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Hold {
    /// Of these items together, rising.
    pub items: Vec<usize>,
    /// How many; 1 or more.
    pub at_least: u32,
}

/// A node of a proof.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Node {
    /// Two cases by a number.
    Split {
        /// What is counted.
        count: Count,
        /// The number that parts the cases.
        at_most: u32,
        /// Index of the node for plans with at most that many.
        under: usize,
        /// Index of the node for plans with more.
        over: usize,
    },
    /// Prices that prove the case.
    Leaf {
        /// What prices are divided by; 1 or more.
        denominator: i64,
        /// `prices[i]` is the price of item `i` of the job, 0 or more.
        prices: Vec<i64>,
        /// `conditions[j]` is the price of the `j`-th condition on the way from the root: 0 or less for `under`, 0 or more
        /// for `over`.
        conditions: Vec<i64>,
    },
}

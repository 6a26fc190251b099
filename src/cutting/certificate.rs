//! What is needed to check a lower bound without solving anything: integer prices, and a small tree of them.
//!
//! An instance falls into parts that share no stock; each has [`Claim`]s of its own, and the bound on the whole is the
//! sum of theirs.
//!
//! # What a checker must verify
//! Take one claim and one leaf of its tree, with the conditions met on the way to it.
//! For prices `y_i >= 0` of the items over the scale `D`, and prices `m_j >= 0` of the conditions, every plan that meets
//! the conditions and has a value of less than `bound` satisfies
//!
//! `D value >= sum_i d_i y_i + sum_(j at least k_j) m_j k_j - sum_(j at most k_j) m_j k_j - sum_s u_s max(0, V_s - N_s)`
//!
//! where `V_s` is the worth of the best board of stock `s` at the prices `y` (over all layouts and patterns, counts not
//! above the demand), `N_s = D c_s + sum_(j at most, s in j) m_j - sum_(j at least, s in j) m_j` is its net cost, and
//! `u_s` is any limit on the number of boards of `s` in such a plan: the supply, the conditions on `s` alone, and
//! `(bound - 1) / c_s` where it costs something.
//! In a claim about [`Measure::Cost`], up to `missing` pieces may be left out: one more term `- missing M` is taken off
//! with `M` the largest `y_i / pieces_i`, rounded up.
//! In a claim about [`Measure::Missing`] stocks cost nothing and a missing piece costs 1, so `y_i <= D pieces_i` must
//! hold.
//! The leaf proves the smallest multiple of the greatest common divisor of all `c_s` that is not below the right-hand
//! side divided by `D`; the claim holds when all leaves prove at least `bound`.
//! The two branches of an inner node leave out no plan, because a number of boards is a whole number.
//!
//! # Source
//! Lagrangian (Farley) bounds with prices rounded to integers: Held, Cook, Sewell, Mathematical Programming
//! Computation 4 (2012) 363-381, doi 10.1007/s12532-012-0042-3, for graph coloring.

/// What a claim's bound is measured in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Cost of the boards used.
    Cost,
    /// Number of missing pieces.
    Missing,
}

/// A lower bound on a part of an instance, with its proof.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Claim {
    /// What is bounded.
    pub measure: Measure,
    /// The bound: no plan for this part has less.
    pub bound: i64,
    /// For a bound on cost: how many pieces may be left out.
    pub missing: u64,
    /// Indices of the instance's items of this part, rising.
    pub items: Vec<usize>,
    /// Indices of the instance's stocks of this part, rising.
    pub stocks: Vec<usize>,
    /// The proof.
    pub tree: Tree,
}

/// A proof: a leaf, or a split into two cases.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Tree {
    /// Prices that prove the bound under the conditions met on the way.
    Leaf {
        /// What prices are divided by; 1 or more.
        scale: i64,
        /// `prices[n]` is the price of the claim's `items[n]`.
        prices: Vec<i64>,
        /// `conditions[j]` is the price of the condition of the j-th split on the way from the root.
        conditions: Vec<i64>,
    },
    /// Either at most `below` boards of a set of stocks are used, or more.
    Split {
        /// Indices of the instance's stocks, rising.
        stocks: Vec<usize>,
        /// The number of boards at which to divide.
        below: u32,
        /// The proof for at most `below` boards.
        at_most: Box<Tree>,
        /// The proof for at least `below + 1` boards.
        at_least: Box<Tree>,
    },
}

/// All claims about an instance.
///
/// The claims about cost add up to the proved bound on cost, those about missing pieces to the one on those, unless a
/// part was proved by a search over patterns, which leaves no small certificate; then that part has the best claim
/// that prices alone support.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Certificate {
    /// One claim about cost for each part, and one about missing pieces where pieces are missing.
    pub claims: Vec<Claim>,
}

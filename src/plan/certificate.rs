//! The certificate of a bound, in terms of the job: prices of parts and numbers of boards.
//!
//! [`crate::cutting::InstanceProof`] says what inequality it stands for.
//! A class of parts, alike in section, kerf, saving, length and the boards they must come from, and all cut or all left, is
//! named by one of its parts, so that whoever checks the certificate must find out from the job which others are like it.

use super::Part;

/// All claims about a plan's bound.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Certificate {
    /// One for each portion of the job of which no board serves another one as well.
    pub claims: Vec<Claim>,
}

impl Certificate {
    /// What all claims say together of a plan that leaves `n_missing` parts missing: how many are missing in every plan,
    /// and what none with as few missing comes to less than; nothing where this plan has more missing.
    ///
    /// Whether the claims hold, the audit knows.
    pub fn says(&self, n_missing: usize) -> (u64, i64) {
        let claims = || self.claims.iter();
        let missing = claims().fold(0_u64, |sum, claim| sum.saturating_add(claim.missing));
        let value = claims().fold(0_i64, |sum, claim| sum.saturating_add(claim.bound));
        let is_fewest = u64::try_from(n_missing) == Ok(missing);
        (missing, if is_fewest { value } else { 0 })
    }
}

/// How many parts of a portion of the job are missing in any plan, and what a plan with no more missing must cost, with
/// the proofs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Claim {
    /// No plan leaves fewer parts of this portion missing.
    pub missing: u64,
    /// The proof of that; empty where it is 0.
    pub missing_proof: Vec<ProofNode>,
    /// No plan that leaves `missing` parts of this portion missing has a smaller value, in the plan's measure.
    pub bound: i64,
    /// What a price of `proof` is worth, in the plan's measure and over the scale of its table; 1 or more.
    pub unit: i64,
    /// The classes of parts of this portion, each by one of its parts.
    pub classes: Vec<Part>,
    /// The kinds of board that are reckoned with; one that is nowhere better than another of them is not.
    pub kinds: Vec<BoardKind>,
    /// Kinds of strip.
    pub strips: Vec<StripName>,
    /// Ways to rip boards, by which the proof counts them.
    pub rips: Vec<Rip>,
    /// The proof of the bound.
    pub proof: Vec<ProofNode>,
}

/// What tells a kind of strip apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StripName {
    /// What may lie on it: indices into the claim's classes, rising.
    pub classes: Vec<usize>,
    /// Its usable length and the one kerf that its last cut does not need, less what runs of turned rails reach further,
    /// in nanometers.
    pub capacity: i64,
}

/// A way to rip boards of a kind.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rip {
    /// Index into the claim's kinds.
    pub kind: usize,
    /// The strips that a board gives: indices into the claim's strips, rising, repeated where it gives several alike.
    pub strips: Vec<usize>,
}

/// Boards of one line of the job, used for some classes of parts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardKind {
    /// Index into `Job::boards`.
    pub board_idx: usize,
    /// Indices into the claim's classes: what is cut from boards of this kind.
    pub classes: Vec<usize>,
}

/// A node of a proof: prices, or a split into two cases by a number of boards or by a pair of parts.
///
/// A proof is a tree, kept as a list: the root is the first, and each of the others is a case of one node before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ProofNode {
    /// A table of prices.
    Prices {
        /// What the prices are over; 1 or more.
        scale: i64,
        /// One for each class, and then for each pair that is glued together above, from the top; 0 or more.
        classes: Vec<i64>,
        /// One for each split by boards above, from the top, 0 or more: what one board more or less would be worth.
        conditions: Vec<i64>,
    },
    /// At most `at_most` boards of some kinds are used, or more.
    Split {
        /// Indices into the claim's kinds: all their boards are counted.
        kinds: Vec<usize>,
        /// Indices into the claim's rips: boards that are ripped so are counted too.
        rips: Vec<usize>,
        /// Whether what is missing is counted, too, as so many boards as it weighs.
        missing: bool,
        /// The most boards of the first case.
        at_most: u32,
        /// Index of the node for the first case.
        under: usize,
        /// Index of the node for the second case.
        over: usize,
    },
    /// No strip carries a part of each of two classes, or some strip does: there one of each is glued together.
    Pair {
        /// The two, which may be one: indices of classes, and behind those of what is glued together above, from the top.
        pair: (usize, usize),
        /// Index of the node for the first case.
        apart: usize,
        /// Index of the node for the second case.
        together: usize,
    },
}

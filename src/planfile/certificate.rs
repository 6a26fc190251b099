//! The certificate of the bound, as it is written and read.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::parts::Part;
use super::read::{Names, Unknown};
use crate::job::Job;
use crate::plan::certificate as own;

/// What proves the plan's lower bounds; the crate's module of this room says what must be checked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Certificate {
    /// One for each portion of the job of which no board serves another one as well, though portions may take from the same
    /// line of boards; what they prove sums up.
    pub claims: Vec<Claim>,
}

/// Lower bounds on how many parts of a portion of the job are missing, and on what it must cost.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Claim {
    /// No plan leaves fewer parts of this portion missing.
    pub missing: u64,
    /// The nodes of the proof of that, as those of `proof`; none where `missing` is 0.
    pub missing_proof: Vec<Node>,
    /// No plan that leaves `missing` parts of this portion missing has a smaller value.
    pub bound: i64,
    /// What a price of `proof` is worth, over the scale of its table; 1 or more.
    pub unit: i64,
    /// One part of each class: it stands for all that are alike in section, kerf, saving, length and the boards they must come
    /// from, and that are all cut or all left.
    pub parts: Vec<Part>,
    /// The kinds of board that are needed; one that another of them can stand in for need not be among them.
    pub boards: Vec<Kind>,
    /// Kinds of strip, where the proof counts boards by how they are ripped.
    pub strips: Vec<StripKind>,
    /// Ways to rip boards.
    pub rips: Vec<RipKind>,
    /// The nodes of the proof: the first is the root, each of the others a case of one node before it.
    pub proof: Vec<Node>,
}

/// Boards of one line, used for some classes of parts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Kind {
    /// The line of the list of boards.
    pub name: String,
    /// What is cut from them: positions in the claim's `parts`.
    pub parts: Vec<usize>,
}

/// What tells a kind of strip, or of clear run of a strip, apart.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StripKind {
    /// What may lie on it: positions in the claim's `parts`, rising.
    pub parts: Vec<usize>,
    /// Its usable length and the one kerf that its last cut does not need, less what runs of turned rails reach further.
    pub capacity_nm: i64,
}

/// A way to rip boards of a kind.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RipKind {
    /// Position in the claim's `boards`.
    pub board: usize,
    /// The strips that a board gives: positions in the claim's `strips`, rising, repeated where it gives several alike.
    pub strips: Vec<usize>,
}

/// A node of a proof: a table of prices, two cases of a number of boards and missing parts, or two of a pair of parts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged, deny_unknown_fields)]
pub enum Node {
    /// A table of prices.
    Prices {
        /// What the prices are over; 1 or more.
        scale: i64,
        /// One for each of the claim's `parts`, and then for each pair that was glued on the way here; 0 or more.
        part_prices: Vec<i64>,
        /// One for each case of a number of boards on the way here, from the root, 0 or more.
        case_prices: Vec<i64>,
    },
    /// At most `at_most` boards of these kinds and rips in all, or more.
    Cases {
        /// Positions in the claim's `boards`: all of them count.
        boards: Vec<usize>,
        /// Positions in the claim's `rips`: boards ripped so count too.
        rips: Vec<usize>,
        /// Whether each missing part counts as a board, too.
        missing: bool,
        /// The most boards of the first case.
        at_most: u32,
        /// Position of the node of the first case, behind this one.
        under: usize,
        /// Position of the node of the second case: `at_most` + 1 boards or more.
        over: usize,
    },
    /// No strip carries a part of each of two classes, or some strip does, and there one of each is glued to one part.
    Pair {
        /// The two, which may be one: positions in the claim's `parts`, and behind those of the pairs that were glued on
        /// the way here, in their order.
        pair: (usize, usize),
        /// Position of the node of the first case, behind this one.
        apart: usize,
        /// Position of the node of the second case.
        together: usize,
    },
}

impl Certificate {
    pub(super) fn of(job: &Job, certificate: &own::Certificate) -> Certificate {
        let claims = certificate.claims.iter();
        Certificate {
            claims: claims.map(|claim| Claim::of(job, claim)).collect(),
        }
    }

    /// The certificate in terms of the job; nothing of it is believed.
    pub(super) fn raise(&self, names: &Names<'_>) -> Result<own::Certificate, Unknown> {
        let claims = self.claims.iter().map(|claim| claim.raise(names));
        Ok(own::Certificate {
            claims: claims.collect::<Result<_, _>>()?,
        })
    }
}

impl Claim {
    fn of(job: &Job, claim: &own::Claim) -> Claim {
        let kind = |kind: &own::BoardKind| Kind {
            name: job.boards[kind.board_idx].name.clone(),
            parts: kind.classes.clone(),
        };
        let strip = |strip: &own::StripName| StripKind {
            parts: strip.classes.clone(),
            capacity_nm: strip.capacity,
        };
        let rip = |rip: &own::Rip| RipKind {
            board: rip.kind,
            strips: rip.strips.clone(),
        };
        let parts = claim.classes.iter();
        Claim {
            missing: claim.missing,
            missing_proof: claim.missing_proof.iter().map(Node::of).collect(),
            bound: claim.bound,
            unit: claim.unit,
            parts: parts.map(|&part| Part::of(job, part)).collect(),
            boards: claim.kinds.iter().map(kind).collect(),
            strips: claim.strips.iter().map(strip).collect(),
            rips: claim.rips.iter().map(rip).collect(),
            proof: claim.proof.iter().map(Node::of).collect(),
        }
    }

    fn raise(&self, names: &Names<'_>) -> Result<own::Claim, Unknown> {
        let kind = |kind: &Kind| {
            Ok(own::BoardKind {
                board_idx: names.board(&kind.name)?,
                classes: kind.parts.clone(),
            })
        };
        let strip = |strip: &StripKind| own::StripName {
            classes: strip.parts.clone(),
            capacity: strip.capacity_nm,
        };
        let rip = |rip: &RipKind| own::Rip {
            kind: rip.board,
            strips: rip.strips.clone(),
        };
        let parts = self.parts.iter().map(|part| names.part(part));
        Ok(own::Claim {
            missing: self.missing,
            missing_proof: self.missing_proof.iter().map(Node::raise).collect(),
            bound: self.bound,
            unit: self.unit,
            classes: parts.collect::<Result<_, _>>()?,
            kinds: self.boards.iter().map(kind).collect::<Result<_, _>>()?,
            strips: self.strips.iter().map(strip).collect(),
            rips: self.rips.iter().map(rip).collect(),
            proof: self.proof.iter().map(Node::raise).collect(),
        })
    }
}

impl Node {
    fn of(node: &own::ProofNode) -> Node {
        match node {
            own::ProofNode::Prices {
                scale,
                classes,
                conditions,
            } => Node::Prices {
                scale: *scale,
                part_prices: classes.clone(),
                case_prices: conditions.clone(),
            },
            own::ProofNode::Split {
                kinds,
                rips,
                missing,
                at_most,
                under,
                over,
            } => Node::Cases {
                boards: kinds.clone(),
                rips: rips.clone(),
                missing: *missing,
                at_most: *at_most,
                under: *under,
                over: *over,
            },
            own::ProofNode::Pair {
                pair,
                apart,
                together,
            } => Node::Pair {
                pair: *pair,
                apart: *apart,
                together: *together,
            },
        }
    }

    fn raise(&self) -> own::ProofNode {
        match self {
            Node::Prices {
                scale,
                part_prices,
                case_prices,
            } => own::ProofNode::Prices {
                scale: *scale,
                classes: part_prices.clone(),
                conditions: case_prices.clone(),
            },
            Node::Cases {
                boards,
                rips,
                missing,
                at_most,
                under,
                over,
            } => own::ProofNode::Split {
                kinds: boards.clone(),
                rips: rips.clone(),
                missing: *missing,
                at_most: *at_most,
                under: *under,
                over: *over,
            },
            Node::Pair {
                pair,
                apart,
                together,
            } => own::ProofNode::Pair {
                pair: *pair,
                apart: *apart,
                together: *together,
            },
        }
    }
}

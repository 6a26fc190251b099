//! The certificate of the bound, as it is written and read.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::parts::Part;
use super::read::{Names, Unknown};
use crate::job::Job;
use crate::plan::certificate as own;

/// What proves the plan's lower bound; the crate's module of this room says what must be checked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Certificate {
    /// One for each portion of the job that shares no board with the rest; what they prove sums up.
    pub claims: Vec<Claim>,
}

/// A lower bound on what a portion of the job must cost.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Claim {
    /// No plan that cuts all parts of this portion has a smaller value.
    pub bound: i64,
    /// What a price is worth, over the scale of its table; 1 or more.
    pub unit: i64,
    /// One part of each class: it stands for all that are alike in section, kerf and length.
    pub parts: Vec<Part>,
    /// The kinds of board that are needed; one that another of them can stand in for need not be among them.
    pub boards: Vec<Kind>,
    /// Kinds of strip, where the proof counts boards by how they are ripped.
    pub strips: Vec<StripKind>,
    /// Ways to rip boards.
    pub rips: Vec<RipKind>,
    /// The nodes of the proof, each before its own cases, and all of the first case before the second; the first is the root.
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

/// A node of a proof: a table of prices, or two cases of a number of boards.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged, deny_unknown_fields)]
pub enum Node {
    /// A table of prices.
    Prices {
        /// What the prices are over; 1 or more.
        scale: i64,
        /// One for each of the claim's `parts`, 0 or more.
        part_prices: Vec<i64>,
        /// One for each case on the way here, from the root, 0 or more.
        case_prices: Vec<i64>,
    },
    /// At most `at_most` boards of these kinds and rips in all, or more.
    Cases {
        /// Positions in the claim's `boards`: all of them count.
        boards: Vec<usize>,
        /// Positions in the claim's `rips`: boards ripped so count too.
        rips: Vec<usize>,
        /// The most boards of the first case.
        at_most: u32,
        /// Position of the node of the first case, behind this one.
        under: usize,
        /// Position of the node of the second case: `at_most` + 1 boards or more.
        over: usize,
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
            bound: claim.bound,
            unit: claim.unit,
            parts: parts.map(|&part| Part::of(job, part)).collect(),
            boards: claim.kinds.iter().map(kind).collect(),
            strips: claim.strips.iter().map(strip).collect(),
            rips: claim.rips.iter().map(rip).collect(),
            proof: nodes(&claim.proof),
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
            bound: self.bound,
            unit: self.unit,
            classes: parts.collect::<Result<_, _>>()?,
            kinds: self.boards.iter().map(kind).collect::<Result<_, _>>()?,
            strips: self.strips.iter().map(strip).collect(),
            rips: self.rips.iter().map(rip).collect(),
            proof: raise_nodes(&self.proof)?,
        })
    }
}

/// The nodes of a proof; a list, so that no reader needs to follow it deeper than others nest their objects.
pub(super) fn nodes(proof: &own::Proof) -> Vec<Node> {
    let mut nodes: Vec<Node> = Vec::new();
    // What is still to be written, with the node whose second case it is.
    let mut open = vec![(proof, None)];
    while let Some((proof, second_of)) = open.pop() {
        let at = nodes.len();
        if let Some(parent) = second_of
            && let Some(Node::Cases { over, .. }) = nodes.get_mut(parent)
        {
            *over = at;
        }
        match proof {
            own::Proof::Prices {
                scale,
                classes,
                conditions,
            } => nodes.push(Node::Prices {
                scale: *scale,
                part_prices: classes.clone(),
                case_prices: conditions.clone(),
            }),
            own::Proof::Split {
                kinds,
                rips,
                at_most,
                under,
                over,
            } => {
                nodes.push(Node::Cases {
                    boards: kinds.clone(),
                    rips: rips.clone(),
                    at_most: *at_most,
                    under: at + 1,
                    over: 0,
                });
                open.extend([(&**over, Some(at)), (&**under, None)]);
            }
        }
    }
    nodes
}

/// The proof that some nodes are; each of them must be a case of one node before it, but the root.
pub(super) fn raise_nodes(nodes: &[Node]) -> Result<own::Proof, Unknown> {
    let mut raised: Vec<Option<own::Proof>> = vec![None; nodes.len()];
    for (at, node) in nodes.iter().enumerate().rev() {
        // Nodes before this one are not raised yet, so none of them is taken for a case.
        let mut case = |position: usize| {
            let taken = raised.get_mut(position).and_then(Option::take);
            taken
                .map(Box::new)
                .ok_or_else(|| Unknown::new("node of a proof", &position.to_string()))
        };
        raised[at] = Some(match node {
            Node::Prices {
                scale,
                part_prices,
                case_prices,
            } => own::Proof::Prices {
                scale: *scale,
                classes: part_prices.clone(),
                conditions: case_prices.clone(),
            },
            Node::Cases {
                boards,
                rips,
                at_most,
                under,
                over,
            } => own::Proof::Split {
                kinds: boards.clone(),
                rips: rips.clone(),
                at_most: *at_most,
                under: case(*under)?,
                over: case(*over)?,
            },
        });
    }
    let root = raised.first_mut().and_then(Option::take);
    root.ok_or_else(|| Unknown::new("node of a proof", "0"))
}

//! What proves the bounds of what is cut from sheets, as it is written and read.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::sheets::certificate::{self as proof, Count};
use crate::sheets::job::{Along, Bed};

/// What proves the bounds of a material.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetCertificate {
    /// No plan leaves fewer pieces missing.
    pub missing: u64,
    /// The nodes of the proof of that; none where only pieces are missing that fit no sheet.
    pub missing_proof: Vec<SheetNode>,
    /// No plan that leaves `missing` pieces missing has a smaller value.
    pub cost: i64,
    /// The nodes of the proof of that; none where `cost` is 0.
    pub proof: Vec<SheetNode>,
    /// What bounds plans in three stages of cuts; left out where that was not looked at, or nothing is proved.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_three: Option<InThree>,
}

/// What bounds plans in three stages of cuts, if nothing is missing that fits a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InThree {
    /// No plan in three stages has a smaller value; 1 or more.
    pub cost: i64,
    /// Prices, each of which rules out some sets of sheets that count less.
    pub prices: Vec<PricesInThree>,
}

/// Prices of the sizes, at which sheets are worth no more than something.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PricesInThree {
    /// What the prices are over; 0 or more.
    pub scale: i64,
    /// One for each size that is wanted, by width and then by height; 0 or more.
    pub size_prices: Vec<i64>,
}

/// A node of a proof: prices, or two cases by a number that every plan has.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged, deny_unknown_fields)]
pub enum SheetNode {
    /// Prices that prove the case.
    Prices {
        /// What they are over; 1 or more.
        scale: i64,
        /// One for each size that is wanted, by width and then by height; 0 or more.
        size_prices: Vec<i64>,
        /// One for each case on the way here, from the root: 0 or less below `under`, 0 or more below `over`.
        case_prices: Vec<i64>,
    },
    /// At most `at_most`, or more, of what is counted.
    Cases {
        /// What is counted: sheets, strips, pieces, or strips that hold certain pieces.
        count: Counted,
        /// The beds on which it counts: kinds of sheet with the way their strips run, rising.
        beds: Vec<SheetBed>,
        /// Strips count, and sheets by their widest one, if they are at least so wide.
        width_nm: i64,
        /// Of pieces, which sizes count, by their positions, rising; else none.
        sizes: Vec<usize>,
        /// Of strips that hold certain pieces, what they hold; else left out.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        holds: Vec<StripHolds>,
        /// The most of the first case.
        at_most: u32,
        /// Position of the node of the first case, behind this one.
        under: usize,
        /// Position of the node of the second case.
        over: usize,
    },
}

/// What the cases of a node count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Counted {
    /// Sheets.
    Sheets,
    /// Strips.
    Strips,
    /// Pieces in strips.
    Pieces,
    /// Strips that hold certain pieces.
    Holding,
}

/// At least so many pieces on one strip.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StripHolds {
    /// Of these sizes together, by their positions, rising.
    pub sizes: Vec<usize>,
    /// How many; 1 or more.
    pub at_least: u32,
}

/// Sheets of a kind whose strips run one way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetBed {
    /// The kind: sheets of the material as they stand in the job, then windows by width and height.
    pub kind: usize,
    /// Whether its strips run along its width.
    pub along_width: bool,
}

impl SheetCertificate {
    pub(super) fn of(certificate: &proof::Certificate) -> SheetCertificate {
        let nodes = |nodes: &[proof::Node]| nodes.iter().map(SheetNode::of).collect();
        SheetCertificate {
            missing: certificate.missing,
            missing_proof: nodes(&certificate.missing_nodes),
            cost: certificate.cost,
            proof: nodes(&certificate.cost_nodes),
            in_three: certificate.in_three.as_ref().map(InThree::of),
        }
    }

    pub(super) fn raise(&self) -> proof::Certificate {
        let nodes = |nodes: &[SheetNode]| nodes.iter().map(SheetNode::raise).collect();
        proof::Certificate {
            missing: self.missing,
            missing_nodes: nodes(&self.missing_proof),
            cost: self.cost,
            cost_nodes: nodes(&self.proof),
            in_three: self.in_three.as_ref().map(InThree::raise),
        }
    }
}

impl InThree {
    fn of(proof: &proof::InThree) -> InThree {
        let prices = proof.prices.iter().map(|own| PricesInThree {
            scale: own.denominator,
            size_prices: own.prices.clone(),
        });
        InThree {
            cost: proof.cost,
            prices: prices.collect(),
        }
    }

    fn raise(&self) -> proof::InThree {
        let prices = self.prices.iter().map(|own| proof::PricesInThree {
            denominator: own.scale,
            prices: own.size_prices.clone(),
        });
        proof::InThree {
            cost: self.cost,
            prices: prices.collect(),
        }
    }
}

impl SheetNode {
    fn of(node: &proof::Node) -> SheetNode {
        match node {
            proof::Node::Leaf {
                denominator,
                prices,
                conditions,
            } => SheetNode::Prices {
                scale: *denominator,
                size_prices: prices.clone(),
                case_prices: conditions.clone(),
            },
            proof::Node::Split {
                count,
                at_most,
                under,
                over,
            } => {
                let mut holds = Vec::new();
                let (counted, beds, width, sizes) = match count {
                    Count::Sheets { beds, width } => (Counted::Sheets, beds, width, Vec::new()),
                    Count::Strips { beds, width } => (Counted::Strips, beds, width, Vec::new()),
                    Count::Pieces { items, beds, width } => {
                        (Counted::Pieces, beds, width, items.clone())
                    }
                    Count::Holding { least, beds, width } => {
                        holds.extend(least.iter().map(|hold| StripHolds {
                            sizes: hold.items.clone(),
                            at_least: hold.at_least,
                        }));
                        (Counted::Holding, beds, width, Vec::new())
                    }
                };
                let beds = beds.iter().map(|bed| SheetBed {
                    kind: bed.kind,
                    along_width: bed.along == Along::Width,
                });
                SheetNode::Cases {
                    count: counted,
                    beds: beds.collect(),
                    width_nm: *width,
                    sizes,
                    holds,
                    at_most: *at_most,
                    under: *under,
                    over: *over,
                }
            }
        }
    }

    fn raise(&self) -> proof::Node {
        match self {
            SheetNode::Prices {
                scale,
                size_prices,
                case_prices,
            } => proof::Node::Leaf {
                denominator: *scale,
                prices: size_prices.clone(),
                conditions: case_prices.clone(),
            },
            SheetNode::Cases {
                count,
                beds,
                width_nm,
                sizes,
                holds,
                at_most,
                under,
                over,
            } => {
                let beds = beds.iter().map(|bed| Bed {
                    kind: bed.kind,
                    along: along(bed.along_width),
                });
                let (beds, width) = (beds.collect(), *width_nm);
                proof::Node::Split {
                    count: match count {
                        Counted::Sheets => Count::Sheets { beds, width },
                        Counted::Strips => Count::Strips { beds, width },
                        Counted::Pieces => Count::Pieces {
                            items: sizes.clone(),
                            beds,
                            width,
                        },
                        Counted::Holding => Count::Holding {
                            least: holds
                                .iter()
                                .map(|hold| proof::Hold {
                                    items: hold.sizes.clone(),
                                    at_least: hold.at_least,
                                })
                                .collect(),
                            beds,
                            width,
                        },
                    },
                    at_most: *at_most,
                    under: *under,
                    over: *over,
                }
            }
        }
    }
}

pub(super) fn along(width: bool) -> Along {
    if width { Along::Width } else { Along::Height }
}

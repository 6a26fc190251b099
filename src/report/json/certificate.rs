//! The certificate of the bound, as JSON.

use serde::Serialize;

use super::PartName;
use crate::job::Job;
use crate::plan::certificate::{BoardKind, Certificate, Claim, Proof};

/// All claims.
#[derive(Serialize)]
pub(super) struct CertificateObject<'a> {
    claims: Vec<ClaimObject<'a>>,
}

impl<'a> CertificateObject<'a> {
    pub(super) fn new(job: &'a Job, certificate: &'a Certificate) -> CertificateObject<'a> {
        CertificateObject {
            claims: certificate
                .claims
                .iter()
                .map(|claim| ClaimObject::new(job, claim))
                .collect(),
        }
    }
}

/// One claim: a part stands for all that are like it; a board is named with the parts that are cut from it.
#[derive(Serialize)]
struct ClaimObject<'a> {
    bound: i64,
    unit: i64,
    parts: Vec<PartName>,
    boards: Vec<KindObject<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    strips: Vec<StripObject<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    rips: Vec<RipObject<'a>>,
    proof: ProofObject<'a>,
}

impl<'a> ClaimObject<'a> {
    fn new(job: &'a Job, claim: &'a Claim) -> ClaimObject<'a> {
        ClaimObject {
            bound: claim.bound,
            unit: claim.unit,
            parts: claim
                .classes
                .iter()
                .map(|&part| PartName::new(job, part))
                .collect(),
            boards: claim
                .kinds
                .iter()
                .map(|kind| KindObject::new(job, kind))
                .collect(),
            strips: claim
                .strips
                .iter()
                .map(|strip| StripObject {
                    parts: &strip.classes,
                    capacity_nm: strip.capacity,
                })
                .collect(),
            rips: claim
                .rips
                .iter()
                .map(|rip| RipObject {
                    board: rip.kind,
                    strips: &rip.strips,
                })
                .collect(),
            proof: ProofObject::new(&claim.proof),
        }
    }
}

#[derive(Serialize)]
struct KindObject<'a> {
    name: &'a str,
    parts: &'a [usize],
}

impl<'a> KindObject<'a> {
    fn new(job: &'a Job, kind: &'a BoardKind) -> KindObject<'a> {
        KindObject {
            name: &job.boards[kind.board_idx].name,
            parts: &kind.classes,
        }
    }
}

/// A kind of strip: the parts that may lie on it, and its capacity with the kerf that its last cut does not need.
#[derive(Serialize)]
struct StripObject<'a> {
    parts: &'a [usize],
    capacity_nm: i64,
}

/// A way to rip boards: the strips they give.
#[derive(Serialize)]
struct RipObject<'a> {
    board: usize,
    strips: &'a [usize],
}

/// Prices over a scale, or two cases of a number of boards.
#[derive(Serialize)]
#[serde(untagged)]
enum ProofObject<'a> {
    Prices {
        scale: i64,
        part_prices: &'a [i64],
        case_prices: &'a [i64],
    },
    Cases {
        boards: &'a [usize],
        #[serde(skip_serializing_if = "<[_]>::is_empty")]
        rips: &'a [usize],
        at_most: u32,
        under: Box<ProofObject<'a>>,
        over: Box<ProofObject<'a>>,
    },
}

impl<'a> ProofObject<'a> {
    fn new(proof: &'a Proof) -> ProofObject<'a> {
        match proof {
            Proof::Prices {
                scale,
                classes,
                conditions,
            } => ProofObject::Prices {
                scale: *scale,
                part_prices: classes,
                case_prices: conditions,
            },
            Proof::Split {
                kinds,
                rips,
                at_most,
                under,
                over,
            } => ProofObject::Cases {
                boards: kinds,
                rips,
                at_most: *at_most,
                under: Box::new(ProofObject::new(under)),
                over: Box::new(ProofObject::new(over)),
            },
        }
    }
}

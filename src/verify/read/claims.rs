//! The claims of a plan file.

use serde::Deserialize;

use super::{Names, PartFields, PlanFile};
use crate::plan::certificate::{BoardKind, Certificate, Claim, Proof, Rip, StripName};
use crate::verify::finding::Finding;

#[derive(Debug, Deserialize)]
pub(super) struct CertificateFields {
    claims: Vec<ClaimFields>,
}

#[derive(Debug, Deserialize)]
struct ClaimFields {
    bound: i64,
    unit: i64,
    parts: Vec<PartFields>,
    boards: Vec<KindFields>,
    #[serde(default)]
    strips: Vec<ClaimStripFields>,
    #[serde(default)]
    rips: Vec<RipFields>,
    proof: ProofFields,
}

#[derive(Debug, Deserialize)]
struct ClaimStripFields {
    parts: Vec<usize>,
    capacity_nm: i64,
}

#[derive(Debug, Deserialize)]
struct RipFields {
    board: usize,
    strips: Vec<usize>,
}

#[derive(Debug, Deserialize)]
struct KindFields {
    name: String,
    parts: Vec<usize>,
}

#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum ProofFields {
    Prices {
        scale: i64,
        part_prices: Vec<i64>,
        case_prices: Vec<i64>,
    },
    Cases {
        boards: Vec<usize>,
        #[serde(default)]
        rips: Vec<usize>,
        at_most: u32,
        under: Box<ProofFields>,
        over: Box<ProofFields>,
    },
}

/// The certificate of a file; whether it is a sound one is for the audit to say.
///
/// # Errors
/// The first name that the job does not have.
pub(in crate::verify) fn certificate(
    file: &PlanFile,
    names: &Names<'_>,
) -> Result<Certificate, Finding> {
    let claims = file.certificate.claims.iter();
    let claims = claims.map(|fields| claim(fields, names));
    Ok(Certificate {
        claims: claims.collect::<Result<_, _>>()?,
    })
}

fn claim(fields: &ClaimFields, names: &Names<'_>) -> Result<Claim, Finding> {
    let parts = fields.parts.iter().map(|part| names.part(part));
    let kinds = fields.boards.iter().map(|kind| {
        Ok(BoardKind {
            board_idx: names.board(&kind.name)?,
            classes: kind.parts.clone(),
        })
    });
    let strips = fields.strips.iter().map(|strip| StripName {
        classes: strip.parts.clone(),
        capacity: strip.capacity_nm,
    });
    let rips = fields.rips.iter().map(|rip| Rip {
        kind: rip.board,
        strips: rip.strips.clone(),
    });
    Ok(Claim {
        bound: fields.bound,
        unit: fields.unit,
        classes: parts.collect::<Result<_, _>>()?,
        kinds: kinds.collect::<Result<_, _>>()?,
        strips: strips.collect(),
        rips: rips.collect(),
        proof: proof(&fields.proof),
    })
}

/// The tree of a proof; the reader of JSON has limited its depth.
fn proof(fields: &ProofFields) -> Proof {
    match fields {
        ProofFields::Prices {
            scale,
            part_prices,
            case_prices,
        } => Proof::Prices {
            scale: *scale,
            classes: part_prices.clone(),
            conditions: case_prices.clone(),
        },
        ProofFields::Cases {
            boards,
            rips,
            at_most,
            under,
            over,
        } => Proof::Split {
            kinds: boards.clone(),
            rips: rips.clone(),
            at_most: *at_most,
            under: Box::new(proof(under)),
            over: Box::new(proof(over)),
        },
    }
}

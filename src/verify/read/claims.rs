//! The claims of a plan file.

use serde::Deserialize;

use super::{Names, PartFields, PlanFile};
use crate::plan::Part;
use crate::verify::claims::Claim;
use crate::verify::finding::Finding;
use crate::verify::proof::Tree;

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

/// The largest price that is read: far above what the solver writes, and small enough for every sum.
const LARGEST_PRICE: i64 = 1 << 40;

/// The claims of a file.
///
/// # Errors
/// The first name that the job does not have, or the first index or price that cannot be.
pub(in crate::verify) fn claims(file: &PlanFile, names: &Names<'_>) -> Result<Vec<Claim>, Finding> {
    file.certificate
        .claims
        .iter()
        .enumerate()
        .map(|(number, fields)| claim(number, fields, names))
        .collect()
}

fn claim(number: usize, fields: &ClaimFields, names: &Names<'_>) -> Result<Claim, Finding> {
    let malformed = || Finding::ClaimMalformed { claim: number };
    let parts = fields
        .parts
        .iter()
        .map(|part| names.part(part))
        .collect::<Result<Vec<Part>, _>>()?;
    let mut kinds = Vec::new();
    for kind in &fields.boards {
        if kind.parts.iter().any(|&part| part >= parts.len()) {
            return Err(malformed());
        }
        kinds.push((names.board(&kind.name)?, kind.parts.clone()));
    }
    if fields.bound < 0 || fields.unit < 1 {
        return Err(malformed());
    }
    let (n_strips, n_kinds) = (fields.strips.len(), kinds.len());
    let rips = fields.rips.iter();
    let is_sound = fields
        .strips
        .iter()
        .flat_map(|strip| &strip.parts)
        .all(|&part| part < parts.len())
        && rips
            .clone()
            .all(|rip| rip.board < n_kinds && rip.strips.iter().all(|&strip| strip < n_strips));
    if !is_sound {
        return Err(malformed());
    }
    let tree = tree(&fields.proof, n_kinds, fields.rips.len()).ok_or_else(malformed)?;
    Ok(Claim {
        bound: fields.bound,
        unit: fields.unit,
        parts,
        kinds,
        strips: fields
            .strips
            .iter()
            .map(|strip| (strip.parts.clone(), strip.capacity_nm))
            .collect(),
        rips: rips.map(|rip| (rip.board, rip.strips.clone())).collect(),
        tree,
    })
}

/// The tree of a proof, or `None` where an index or a price is out of range.
fn tree(fields: &ProofFields, n_kinds: usize, n_rips: usize) -> Option<Tree> {
    match fields {
        ProofFields::Prices {
            scale,
            part_prices,
            case_prices,
        } => {
            let in_range = |price: &i64| (0..=LARGEST_PRICE).contains(price);
            let sound = (1..=LARGEST_PRICE).contains(scale)
                && part_prices.iter().chain(case_prices).all(in_range);
            sound.then(|| Tree::Leaf {
                scale: *scale,
                prices: part_prices.clone(),
                conditions: case_prices.clone(),
            })
        }
        ProofFields::Cases {
            boards,
            rips,
            at_most,
            under,
            over,
        } => {
            let sound =
                boards.iter().all(|&kind| kind < n_kinds) && rips.iter().all(|&rip| rip < n_rips);
            sound.then_some(())?;
            Some(Tree::Split {
                kinds: boards.clone(),
                rips: rips.clone(),
                at_most: *at_most,
                under: Box::new(tree(under, n_kinds, n_rips)?),
                over: Box::new(tree(over, n_kinds, n_rips)?),
            })
        }
    }
}

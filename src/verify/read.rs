//! The claims of a certificate, with every index and price within its range.

use super::claims::Claim;
use super::finding::Finding;
use super::proof::Tree;
use crate::plan::certificate::{self, Certificate, Proof};

/// The largest price that is read: far above what the solver writes, and small enough for every sum.
const LARGEST_PRICE: i64 = 1 << 40;

/// The claims of a certificate.
///
/// # Errors
/// The first claim of which an index or a price cannot be.
pub(super) fn claims(certificate: &Certificate) -> Result<Vec<Claim>, Finding> {
    let claims = certificate.claims.iter().enumerate();
    claims
        .map(|(number, said)| claim(said).ok_or(Finding::ClaimMalformed { claim: number }))
        .collect()
}

fn claim(said: &certificate::Claim) -> Option<Claim> {
    let (n_parts, n_kinds) = (said.classes.len(), said.kinds.len());
    let mut of_kinds = said.kinds.iter().flat_map(|kind| &kind.classes);
    let mut of_strips = said.strips.iter().flat_map(|strip| &strip.classes);
    let mut rips = said.rips.iter();
    let is_sound = said.bound >= 0
        && said.unit >= 1
        && of_kinds.all(|&part| part < n_parts)
        && of_strips.all(|&part| part < n_parts)
        && rips.all(|rip| {
            rip.kind < n_kinds && rip.strips.iter().all(|&strip| strip < said.strips.len())
        });
    if !is_sound {
        return None;
    }
    let kinds = said.kinds.iter();
    let strips = said.strips.iter();
    let rips = said.rips.iter();
    Some(Claim {
        bound: said.bound,
        unit: said.unit,
        parts: said.classes.clone(),
        kinds: kinds
            .map(|kind| (kind.board_idx, kind.classes.clone()))
            .collect(),
        strips: strips
            .map(|strip| (strip.classes.clone(), strip.capacity))
            .collect(),
        rips: rips.map(|rip| (rip.kind, rip.strips.clone())).collect(),
        tree: tree(&said.proof, n_kinds, said.rips.len())?,
    })
}

/// The tree of a proof, or `None` where an index or a price is out of range.
fn tree(proof: &Proof, n_kinds: usize, n_rips: usize) -> Option<Tree> {
    match proof {
        Proof::Prices {
            scale,
            classes,
            conditions,
        } => {
            let in_range = |price: &i64| (0..=LARGEST_PRICE).contains(price);
            let sound = (1..=LARGEST_PRICE).contains(scale)
                && classes.iter().chain(conditions).all(in_range);
            sound.then(|| Tree::Leaf {
                scale: *scale,
                prices: classes.clone(),
                conditions: conditions.clone(),
            })
        }
        Proof::Split {
            kinds,
            rips,
            at_most,
            under,
            over,
        } => {
            let sound =
                kinds.iter().all(|&kind| kind < n_kinds) && rips.iter().all(|&rip| rip < n_rips);
            sound.then_some(())?;
            Some(Tree::Split {
                kinds: kinds.clone(),
                rips: rips.clone(),
                at_most: *at_most,
                under: Box::new(tree(under, n_kinds, n_rips)?),
                over: Box::new(tree(over, n_kinds, n_rips)?),
            })
        }
    }
}

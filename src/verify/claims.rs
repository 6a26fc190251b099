//! What the claims of a certificate prove together.

use super::finding::Finding;
use super::model::Model;
use super::proof::{Case, Kind, Tree, proved_by};
use super::rips::{Listed, NamedWays, TooMany, Ways};
use crate::plan::Part;

/// A claim, as read: names resolved and indices in range, nothing else believed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Claim {
    /// No plan that cuts all parts of these classes has a smaller value.
    pub(super) bound: i64,
    /// What a price is worth, over the scale of its table.
    pub(super) unit: i64,
    /// One part of each class.
    pub(super) parts: Vec<Part>,
    /// Board lines, each with the claim's parts that are cut from it.
    pub(super) kinds: Vec<(usize, Vec<usize>)>,
    /// Kinds of strip, each by the claim's parts that may lie on it, rising, and its capacity.
    pub(super) strips: Vec<(Vec<usize>, i64)>,
    /// Ways to rip boards: a kind of the claim, and the strips it gives.
    pub(super) rips: Vec<(usize, Vec<usize>)>,
    /// The proof.
    pub(super) tree: Tree,
}

/// What all claims prove.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Proved {
    /// No plan that cuts every part has a smaller value.
    pub value: i64,
    /// Tables of prices that were checked.
    pub n_tables: usize,
}

/// Checks every claim against the job; one that fails adds nothing to what is proved.
pub(super) fn check_claims(
    model: &Model<'_>,
    claims: &[Claim],
    findings: &mut Vec<Finding>,
) -> Proved {
    let mut proved = Proved::default();
    let mut owner: Vec<Option<usize>> = vec![None; model.classes.len()];
    for (number, claim) in claims.iter().enumerate() {
        let checked = classes_of(model, claim, number, &mut owner)
            .and_then(|classes| check_claim(model, claim, number, &classes));
        match checked {
            Ok(n_tables) => {
                proved.n_tables += n_tables;
                proved.value = proved.value.saturating_add(claim.bound);
            }
            Err(finding) => findings.push(finding),
        }
    }
    if let Some(board_idx) = shared_board(model, &owner) {
        // One board cut for two claims would be paid for in both.
        findings.push(Finding::ClaimsShareBoard { board_idx });
        proved.value = 0;
    }
    proved
}

/// The classes of a claim's parts; each may belong to one claim only, or its price would count twice.
fn classes_of(
    model: &Model<'_>,
    claim: &Claim,
    number: usize,
    owner: &mut [Option<usize>],
) -> Result<Vec<usize>, Finding> {
    let mut classes = Vec::with_capacity(claim.parts.len());
    for &part in &claim.parts {
        let class = model
            .class_of(part)
            .ok_or(Finding::ClaimNamesUnknownPart { claim: number })?;
        if owner[class].replace(number).is_some() {
            return Err(Finding::ClaimRepeatsPart { claim: number });
        }
        classes.push(class);
    }
    Ok(classes)
}

/// A board that parts of two claims could share; its cost would then count in both.
fn shared_board(model: &Model<'_>, owner: &[Option<usize>]) -> Option<usize> {
    (0..model.costs.len()).find(|&board_idx| {
        model.portions(board_idx).iter().any(|portion| {
            let mut owners = portion
                .iter()
                .filter(|&&class| model.fits(class, board_idx))
                .map(|&class| owner[class]);
            let first = owners.next();
            first.is_some_and(|first| owners.any(|other| other != first))
        })
    })
}

/// Checks one claim and returns how many tables of prices its proof has.
fn check_claim(
    model: &Model<'_>,
    claim: &Claim,
    number: usize,
    classes: &[usize],
) -> Result<usize, Finding> {
    // Whatever can be cut from one board must be covered by one of the claim's kinds.
    for board_idx in 0..model.costs.len() {
        for portion in model.portions(board_idx) {
            let needed: Vec<usize> = (0..classes.len())
                .filter(|&n| portion.contains(&classes[n]) && model.fits(classes[n], board_idx))
                .collect();
            let needed_classes: Vec<usize> = needed.iter().map(|&n| classes[n]).collect();
            let covered = claim.kinds.iter().any(|(kind_board, parts)| {
                needed.iter().all(|n| parts.contains(n))
                    && (*kind_board == board_idx
                        || model.replaces(*kind_board, board_idx, &needed_classes))
            });
            if !needed.is_empty() && !covered {
                return Err(Finding::ClaimMissesBoard {
                    claim: number,
                    board_idx,
                });
            }
        }
    }
    let too_high = || Finding::ClaimTooHigh {
        claim: number,
        claimed: claim.bound,
    };
    let ways = (0..claim.kinds.len())
        .map(|kind| ways_of(model, claim, classes, kind))
        .collect::<Result<Vec<_>, _>>()
        .map_err(|TooMany| too_high())?;
    let best_rips = |kind: usize, prices: &[i64]| {
        ways[kind]
            .as_ref()
            .map_or(Vec::new(), |ways| ways.worths(prices))
    };
    let best_board = |kind: usize, prices: &[i64], floor: i64| {
        let (board_idx, parts) = &claim.kinds[kind];
        model.best_board(*board_idx, classes, prices, parts, floor)
    };
    let kinds: Vec<Kind> = claim
        .kinds
        .iter()
        .map(|(board_idx, parts)| Kind {
            cost: model.costs[*board_idx],
            supply: model.supply(*board_idx),
            parts,
        })
        .collect();
    let case = Case {
        demand: classes
            .iter()
            .map(|&class| model.classes[class].count)
            .collect(),
        // A board that another replaces may cost anything: what replaces it is counted instead.
        step: kinds
            .iter()
            .fold(0, |step, kind| gcd(step, kind.cost))
            .max(1),
        kinds,
        unit: claim.unit,
        best_board: &best_board,
        rip_kinds: claim.rips.iter().map(|&(kind, _)| kind).collect(),
        best_rips: &best_rips,
    };
    if proved_by(&case, &claim.tree, claim.bound) >= i128::from(claim.bound) {
        Ok(claim.tree.n_leaves())
    } else {
        Err(too_high())
    }
}

/// The ways to cut boards of a kind of the claim, where it lists some.
fn ways_of(
    model: &Model<'_>,
    claim: &Claim,
    classes: &[usize],
    kind: usize,
) -> Result<Option<NamedWays>, TooMany> {
    let of_kind = claim
        .rips
        .iter()
        .enumerate()
        .filter(|(_, rip)| rip.0 == kind);
    let listed: Vec<Listed<'_>> = of_kind
        .map(|(number, (_, strips))| Listed {
            number,
            strips: strips
                .iter()
                .map(|&strip| {
                    let (open, capacity) = &claim.strips[strip];
                    (open.as_slice(), *capacity)
                })
                .collect(),
        })
        .collect();
    if listed.is_empty() {
        return Ok(None);
    }
    let (board_idx, parts) = &claim.kinds[kind];
    let ways = Ways::of(model, *board_idx, classes, parts)?;
    Ok(Some(ways.named(&listed)))
}

fn gcd(one: i64, other: i64) -> i64 {
    if other == 0 {
        one
    } else {
        gcd(other, one % other)
    }
}

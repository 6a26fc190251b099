//! What may be wrong with a certificate.

use std::fmt;

/// Something in a certificate that does not hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Finding {
    /// A claim names a part that the job does not have.
    ClaimNamesUnknownPart {
        /// Number of the claim, from 0.
        claim: usize,
    },
    /// Two claims, or one twice, count the same parts.
    ClaimRepeatsPart {
        /// Number of the claim, from 0.
        claim: usize,
    },
    /// A claim forgets a board that its parts could be cut from.
    ClaimMissesBoard {
        /// Number of the claim, from 0.
        claim: usize,
        /// Index into `Job::boards`.
        board_idx: usize,
    },
    /// Parts of two claims could be cut from one board.
    ClaimsShareBoard {
        /// Index into `Job::boards`.
        board_idx: usize,
    },
    /// A claim refers to parts or boards that it does not list, or its prices are out of range.
    ClaimMalformed {
        /// Number of the claim, from 0.
        claim: usize,
    },
    /// The prices of a claim do not prove its bound.
    ClaimTooHigh {
        /// Number of the claim, from 0.
        claim: usize,
        /// The bound it claims.
        claimed: i64,
    },
    /// The plan's bound is higher than what the claims prove.
    BoundNotProved {
        /// The plan's bound.
        says: i64,
        /// What is proved.
        proved: i64,
    },
}

impl fmt::Display for Finding {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Finding::ClaimNamesUnknownPart { claim } => {
                write!(out, "claim {claim} names a part the job does not have")
            }
            Finding::ClaimRepeatsPart { claim } => {
                write!(out, "claim {claim} counts parts that are counted already")
            }
            Finding::ClaimMissesBoard { claim, board_idx } => {
                write!(
                    out,
                    "claim {claim} forgets that its parts can be cut from board line {}",
                    board_idx + 1
                )
            }
            Finding::ClaimsShareBoard { board_idx } => {
                write!(
                    out,
                    "parts of two claims can be cut from one board of line {}",
                    board_idx + 1
                )
            }
            Finding::ClaimMalformed { claim } => {
                write!(
                    out,
                    "claim {claim} refers to what it does not list, or has prices out of range"
                )
            }
            Finding::ClaimTooHigh { claim, claimed } => {
                write!(
                    out,
                    "the prices of claim {claim} do not prove its bound of {claimed}"
                )
            }
            Finding::BoundNotProved { says, proved } => {
                write!(
                    out,
                    "a bound of {says} is claimed, but the certificate proves {proved} only"
                )
            }
        }
    }
}

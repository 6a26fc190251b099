//! Judges a plan, and the proof of its bound, from the job alone.
//!
//! Nothing here is shared with what makes a plan or a proof: neither the bridge nor the cutting model nor the solver.
//! `wanted` derives once what a job asks for; [`check()`] holds the cuts of a plan against it, [`prove`] the claims of a
//! certificate. [`check_sheets`] and [`prove_sheets`] do both for what is cut from sheets.
//! Places are added up as 128-bit integers, so that even a nonsensical plan is judged; what a certificate says is only
//! multiplied and added with a check, and a claim whose numbers leave the range proves nothing.

mod check;
mod polygon;
mod proof;
mod sheets;
mod violation;
mod wanted;

pub use check::check;
pub use proof::{Effort, Proved, prove, prove_within};
pub use sheets::{check_sheets, prove_sheets};
pub use violation::{Figure, Kind, Place, Violation};

use crate::length::Length;

/// Nanometers of a length, wide enough for any sum.
fn nm(length: Length) -> i128 {
    length.nm().into()
}

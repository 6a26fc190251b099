//! Checks of the job as a whole: what no row can tell on its own.

mod boards;
mod covers;
mod finding;
mod fits;
mod frames;
mod keys;
mod sections;

use super::JobSpec;
use super::grain::check_grain;
use super::proportion::check_proportion;
use super::scale::check_scale;
use super::vehicle::check_vehicle;
use boards::{check_left, check_prices, check_rip, check_trim};
use covers::{check_margins, check_papers};
use fits::check_fit;
use frames::{check_depth, check_play, check_sight, check_spacers};
use keys::check_keys;

pub(super) use boards::run_for;
pub use finding::{Finding, Subject};
pub use sections::{moulding_section, piece_section, wanted_sections};

/// A job may ask for this many parts in all: as many of [`Length::LONGEST`](crate::length::Length::LONGEST), each with a kerf
/// as wide, still sum in whole nanometers, and a plan, in which every part has its place, fits the memory of any machine.
pub const MOST_PARTS: u32 = 200_000;

/// All findings, in the order of the checks.
///
/// The job may have no boards, or fewer frames than its files; what is there must keep the invariants of [`Job`](super::Job).
/// The supply of boards is left to the plan.
///
/// # Panics
/// If a `moulding_idx` is out of range.
pub fn check(job: &JobSpec) -> Vec<Finding> {
    let mut findings = Vec::new();
    check_count(job, &mut findings);
    check_trim(job, &mut findings);
    check_sight(job, &mut findings);
    check_fit(job, &mut findings);
    // Whether the vehicle takes the boards is asked for itself, as it is no fault of the job.
    if job.buying.longest.is_some() {
        let mut free = job.clone();
        free.buying.longest = None;
        check_grain(&free, &mut findings);
        check_vehicle(job, &mut findings);
    } else {
        check_grain(job, &mut findings);
    }
    check_rip(job, &mut findings);
    check_depth(job, &mut findings);
    check_play(job, &mut findings);
    check_spacers(job, &mut findings);
    check_keys(job, &mut findings);
    check_margins(job, &mut findings);
    check_papers(job, &mut findings);
    check_scale(job, &mut findings);
    check_prices(job, &mut findings);
    check_proportion(job, &mut findings);
    check_left(job, &mut findings);
    findings
}

fn check_count(job: &JobSpec, findings: &mut Vec<Finding>) {
    let count = job.n_parts();
    if count > u64::from(MOST_PARTS) {
        findings.push(Finding::TooManyParts { count });
    }
}

//! From a job to a checked plan.

use crate::job::Job;
use crate::plan::certificate::{Certificate, raise_certificate};
use crate::plan::{Plan, Violation, check, lower, raise};
use crate::solve::{Control, solve};

/// A checked plan, with what proves its bound.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Planned {
    /// The plan.
    pub plan: Plan,
    /// Prices that prove its lower bound, as far as prices alone prove it.
    pub certificate: Certificate,
}

/// Plans `job`: lowers it to the cutting model, solves that, raises the answer and checks it from the job alone.
///
/// # Errors
/// The violations, where the check rejects the plan; that is a fault of the program, never of the job.
pub fn plan(job: &Job, control: &Control<'_>) -> Result<Planned, Vec<Violation>> {
    let (instance, origins) = lower(job);
    let solution = solve(&instance, control);
    let plan = raise(job, &origins, &solution);
    let violations = check(job, &plan);
    if !violations.is_empty() {
        return Err(violations);
    }
    // A bound of an instance that lacks ways to rip is no bound of the job.
    let proof = solution
        .certificate
        .as_ref()
        .filter(|_| origins.is_complete);
    let certificate = proof.map(|certificate| raise_certificate(&instance, &origins, certificate));
    Ok(Planned {
        plan,
        certificate: certificate.unwrap_or_default(),
    })
}

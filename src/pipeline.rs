//! From a job to a checked plan.

use crate::job::Job;
use crate::plan::{Plan, Violation, check, lower, raise};
use crate::solve::{Control, solve};

/// Plans `job`: lowers it to the cutting model, solves that, raises the answer and checks it from the job alone.
///
/// # Errors
/// The violations, where the check rejects the plan; that is a fault of the program, never of the job.
pub fn plan(job: &Job, control: &Control<'_>) -> Result<Plan, Vec<Violation>> {
    let (instance, origins) = lower(job);
    let solution = solve(&instance, control);
    let plan = raise(job, &origins, &solution);
    let violations = check(job, &plan);
    if violations.is_empty() {
        Ok(plan)
    } else {
        Err(violations)
    }
}

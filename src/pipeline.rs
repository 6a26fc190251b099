//! From a job to a checked plan.

use crate::cutting::{Instance, Solution};
use crate::frame::Grain;
use crate::job::{Grains, Job};
use crate::plan::certificate::{Certificate, raise_certificate};
use crate::plan::{
    Aside, Gathered, Origins, Plan, Violation, check, gather, gather_color, lower, match_color,
    raise,
};
use crate::solve::{Control, solve};

/// A checked plan, with what proves its bound.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Planned {
    /// The plan.
    pub plan: Plan,
    /// Prices that prove its lower bound, as far as prices alone prove it.
    pub certificate: Certificate,
    /// What was found beside it.
    pub aside: Aside,
}

/// Plans `job`, and beside it what the plan costs more for the grain that is asked for: lowers the job to the cutting model, solves that, raises the answer and checks it from the job alone.
///
/// # Errors
/// The violations, where the check rejects the plan; that is a fault of the program, never of the job.
pub fn plan(job: &Job, control: &Control<'_>) -> Result<Planned, Vec<Violation>> {
    let mut planned = plan_alone(job, control)?;
    let grains = Grains::new(job);
    if (0..job.frames.len()).any(|frame_idx| grains.granted(frame_idx) != Grain::Free) {
        let without = plan_without_grain(job, control, &planned.plan)?;
        planned.aside.without_grain = Some(without);
    }
    Ok(planned)
}

/// Plans `job` as if it asked nothing of the grain; never worse than `with`, whose cuts would do as well.
fn plan_without_grain(
    job: &Job,
    control: &Control<'_>,
    with: &Plan,
) -> Result<Plan, Vec<Violation>> {
    let mut free = job.clone();
    for frame in &mut free.frames {
        frame.grain = Some(Grain::Free);
    }
    let without = plan_alone(&free, control)?.plan;
    let worth = |plan: &Plan| (plan.missing.len(), plan.value);
    if worth(&without) <= worth(with) {
        return Ok(without);
    }
    // Only a search that ended early misses it; then its bound is all that is of use.
    Ok(Plan {
        lower_bound: without.lower_bound.min(with.value),
        missing_lower_bound: without.missing_lower_bound,
        verdict: without.verdict,
        ..with.clone()
    })
}

/// Plans `job` with nothing beside it.
fn plan_alone(job: &Job, control: &Control<'_>) -> Result<Planned, Vec<Violation>> {
    let (instance, origins) = lower(job);
    let solution = solve(&instance, control);
    let (plan, solution, gathered) = finish(job, &instance, &origins, solution)?;
    // A bound of an instance that lacks ways to rip is no bound of the job.
    let proof = solution
        .certificate
        .as_ref()
        .filter(|_| origins.is_complete);
    let certificate = proof.map(|certificate| raise_certificate(&instance, &origins, certificate));
    Ok(Planned {
        plan,
        certificate: certificate.unwrap_or_default(),
        aside: Aside {
            without_grain: None,
            gathered: Some(gathered),
        },
    })
}

/// The checked plan of a solution, with the solution as it was bettered among those of its cost, and how far it was: for
/// long offcuts, and for color where that is asked for.
///
/// `solution` must be one of `instance`, and `instance` lowered from `job` with `origins`.
///
/// # Errors
/// As [`plan`].
pub fn finish(
    job: &Job,
    instance: &Instance,
    origins: &Origins,
    solution: Solution,
) -> Result<(Plan, Solution, Gathered), Vec<Violation>> {
    let gathered = gather(job, instance, origins, solution);
    finish_gathered(job, instance, origins, gathered)
}

/// What [`finish`] does of a solution that is gathered already.
///
/// # Errors
/// As [`plan`].
pub fn finish_gathered(
    job: &Job,
    instance: &Instance,
    origins: &Origins,
    gathered: (Solution, Gathered),
) -> Result<(Plan, Solution, Gathered), Vec<Violation>> {
    let (solution, gathered) = gather_color(job, instance, origins, gathered);
    let mut plan = raise(job, origins, &solution);
    match_color(job, &mut plan);
    let violations = check(job, &plan);
    if violations.is_empty() {
        Ok((plan, solution, gathered))
    } else {
        Err(violations)
    }
}

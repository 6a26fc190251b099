//! The plan of one way of buying, with its proof.

use super::Steer;
use super::survey::compare_boards;
use crate::audit::{Violation, check};
use crate::job::{Job, Way};
use crate::pipeline::{Planned, plan};
use crate::plan::{Plan, Verdict};
use crate::solve::Control;

/// Plans `job` in one way of buying, with all that is told beside its plan; `None` where a way of few lengths was not found.
///
/// The plan takes the boards of the way's row in [`compare()`](super::compare()), for its money. Only where that row is not proved may the
/// search with the solver's whole limit, which a row has not, find a better plan; then it is that.
///
/// # Errors
/// The violations, where the check rejects a plan; that is a fault of the program, never of the job.
///
/// # Panics
/// Only if the program itself is at fault.
pub fn plan_way(
    job: &Job,
    way: &Way,
    control: &Control<'_>,
) -> Result<Option<Planned>, Vec<Violation>> {
    if *way == Way::BestMix {
        return plan(job, control).map(Some);
    }
    let steer = Steer {
        stop: control.stop,
        progress: &|_, _| {},
    };
    let comparison = compare_boards(job, &steer)?;
    let Some(row) = comparison.rows.into_iter().find(|row| row.way == *way) else {
        return Ok(None);
    };
    let planned = plan(&row.job, control)?;
    let worth = |plan: &Plan| (plan.missing.len(), plan.value);
    if worth(&planned.plan) < worth(&row.plan) {
        return Ok(Some(planned));
    }
    as_in_row(planned, row.plan).map(Some)
}

/// `planned` with the boards and cuts of a row's plan, which is no worse.
fn as_in_row(mut planned: Planned, row: Plan) -> Result<Planned, Vec<Violation>> {
    let with = &planned.plan;
    if with.boards == row.boards {
        return Ok(planned);
    }
    let lower_bound = with.lower_bound.max(row.lower_bound).min(row.value);
    let missing_lower_bound = with.missing_lower_bound.max(row.missing_lower_bound);
    let is_best = |plan: &Plan| plan.verdict == Verdict::Optimal;
    let verdict = if is_best(with) || is_best(&row) {
        Verdict::Optimal
    } else {
        with.verdict
    };
    planned.plan = Plan {
        lower_bound,
        missing_lower_bound,
        verdict,
        ..row
    };
    // What is known of the wood that is left is known of the other plan.
    planned.aside.gathered = None;
    let violations = check(&planned.plan);
    if violations.is_empty() {
        Ok(planned)
    } else {
        Err(violations)
    }
}

//! From a job to a checked plan.

use std::collections::BTreeSet;

use crate::audit::{Violation, check};
use crate::bridge::{Origins, gather, gather_color, lower, match_color, raise, raise_certificate};
use crate::cutting::{Instance, Solution};
use crate::job::Job;
use crate::plan::certificate::Certificate;
use crate::plan::{Aside, Gathered, Part, Plan, Verdict};
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

/// Plans `job`: lowers it to the cutting model, solves that, raises the answer and checks it from the job alone.
///
/// Beside it the job is planned without the grain and without the spare offcuts that it asks for, where it does, so that
/// what they cost can be told.
///
/// # Errors
/// The violations, where the check rejects the plan; that is a fault of the program, never of the job.
pub fn plan(job: &Job, control: &Control<'_>) -> Result<Planned, Vec<Violation>> {
    let mut planned = rails_first(job, control, plan_alone(job, control)?)?;
    if let Some(free) = job.without_grain() {
        planned.aside.without_grain = Some(plan_without(&free, control, &planned.plan)?);
    }
    if let Some(free) = job.without_spare_offcuts() {
        planned.aside.without_spare_offcuts = Some(plan_without(&free, control, &planned.plan)?);
    }
    Ok(planned)
}

/// `planned`, or where rails are missing in it for the sake of spare offcuts, a plan of as many missing parts that leaves
/// out the offcuts instead.
///
/// For the model an offcut is a part like any other. Those of mouldings that lack a rail are left out.
fn rails_first(
    job: &Job,
    control: &Control<'_>,
    planned: Planned,
) -> Result<Planned, Vec<Violation>> {
    let with = &planned.plan;
    let moulding_of = |part: &Part| match *part {
        Part::Rail { frame_idx, .. } => Some(job.frames[frame_idx].moulding_idx),
        Part::Loose { piece_idx, .. } => job.pieces[piece_idx].moulding_idx,
    };
    let lacking = with.missing.iter().filter(|part| !part.is_left(job));
    let lacking: BTreeSet<usize> = lacking.filter_map(moulding_of).collect();
    let (free, kept) = job.without_spare_offcuts_of(&lacking);
    let dropped: Vec<usize> = (0..job.pieces.len())
        .filter(|piece_idx| !kept.contains(piece_idx))
        .collect();
    if dropped.is_empty() {
        return Ok(planned);
    }
    let Planned {
        mut plan, aside, ..
    } = plan_alone(&free, control)?;
    if plan.missing.len() + dropped.len() > with.missing.len() {
        return Ok(planned);
    }
    // The parts by their places in the job itself.
    plan.job = job.clone();
    let named = |part: &mut Part| {
        if let Part::Loose { piece_idx, .. } = part {
            *piece_idx = kept[*piece_idx];
        }
    };
    let strips = plan.boards.iter_mut().flat_map(|board| &mut board.strips);
    strips
        .flat_map(|strip| &mut strip.cuts)
        .for_each(|cut| named(&mut cut.part));
    plan.spare_offcuts
        .iter_mut()
        .for_each(|left| named(&mut left.part));
    plan.missing.iter_mut().for_each(named);
    let left_out = dropped.into_iter();
    plan.missing
        .extend(left_out.map(|piece_idx| Part::Loose { piece_idx, copy: 1 }));
    plan.missing.sort_unstable();
    // Bounds are those of the job with its wish, of which this is a plan too.
    plan.missing_lower_bound = with.missing_lower_bound;
    plan.lower_bound = with.lower_bound.min(plan.value);
    plan.verdict = match with.verdict {
        Verdict::Optimal if plan.value > plan.lower_bound => Verdict::WorkLimit,
        verdict => verdict,
    };
    let violations = check(&plan);
    if !violations.is_empty() {
        return Err(violations);
    }
    Ok(Planned {
        plan,
        aside,
        ..planned
    })
}

/// Plans a job `free` of some wish; never worse than `with`, the plan of the job that has it, whose cuts would do as well.
fn plan_without(free: &Job, control: &Control<'_>, with: &Plan) -> Result<Plan, Vec<Violation>> {
    let without = plan_alone(free, control)?.plan;
    let worth = |plan: &Plan| (plan.missing.len(), plan.value);
    if worth(&without) <= worth(with) {
        return Ok(without);
    }
    // Only a search that ended early misses it; then its bound is all that is of use.
    Ok(Plan {
        job: free.clone(),
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
            gathered: Some(gathered),
            ..Aside::default()
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
    match_color(&mut plan);
    let violations = check(&plan);
    if violations.is_empty() {
        Ok((plan, solution, gathered))
    } else {
        Err(violations)
    }
}

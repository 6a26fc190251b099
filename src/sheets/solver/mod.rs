//! Makes plans and proves bounds.
//!
//! The way of a job: `model` takes edges and kerfs off and merges what is equal; `correction` builds plans sheet by sheet and `refill` betters
//! them;
//! `master` is the linear program, `relax` solves it by column generation over the knapsacks of `tables` and proves a
//! `bound` in whole numbers; `tree` splits what gap is left (`split`, `count`) and dives for plans (`dive`); `raise` lays
//! columns out.
//! Where the cutter may cut in three stages, `three` searches a plan that costs less still.

mod bound;
mod columns;
mod correction;
mod count;
mod dive;
mod holding;
mod loaded;
mod master;
mod model;
mod pack;
mod params;
mod places;
mod planner;
mod raise;
mod refill;
mod relax;
mod split;
mod sums;
mod tables;
mod three;
mod tree;

use crate::solve::meter::Meter;
use crate::solve::{Control, Share};

use super::check::check_plan;
use super::job::{SheetJob, Stages};
use super::plan::SheetPlan;
use model::Model;
use planner::Planner;

/// Plans a job with all the work that the solver allows itself, some minutes on one core.
///
/// # Panics
/// As [`plan_sheets_within`].
pub fn plan_sheets(job: &SheetJob, control: &Control<'_>) -> SheetPlan {
    plan_sheets_within(job, Share::FULL, control)
}

/// Plans a job with a share of work: fewest pieces missing, then least cost.
///
/// The same job and share give the same plan on every machine, unless `control` asks for an end.
///
/// # Panics
/// Only if the solver itself is at fault: the plan is checked against the job before it is returned.
pub fn plan_sheets_within(job: &SheetJob, share: Share, control: &Control<'_>) -> SheetPlan {
    let stop = || (control.stop)();
    let meter = Meter::new(&stop, share);
    let model = Model::new(job);
    let mut plan = Planner::new(job, &model, &meter, control).plan();
    if job.cutter().stages == Stages::Three {
        plan = three::or_in_three(job, &model, plan, share, control);
    }
    let faults = check_plan(job, &plan);
    assert!(faults.is_empty(), "the plan does not hold: {faults:?}");
    plan
}

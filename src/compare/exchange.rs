//! What may stand in for a board that the yard has not: the best plan without it.

use super::Steer;
use super::yard_list::yard_list;
use crate::audit::Violation;
use crate::pipeline::Planner;
use crate::plan::Plan;
use crate::solve::Share;

/// Lines of a list for which something else is looked for; a longer list is not read at a yard.
const MOST_LINES: usize = 40;

/// The purchase without one kind of board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Exchange {
    /// Index into `Job::boards` of the kind that is not there.
    pub board_idx: usize,
    /// The best plan that was found without it, checked; its job has none of the kind.
    pub plan: Plan,
}

/// Plans a job once more without each kind of board that its plan buys, in the order of the job; with [`Share::MANY`] of work
/// for all of them.
///
/// # Errors
/// The violations, where the check rejects a plan; that is a fault of the program, never of the job.
///
/// # Panics
/// Only if the program itself is at fault.
pub fn find_exchanges(plan: &Plan, steer: &Steer<'_>) -> Result<Vec<Exchange>, Vec<Violation>> {
    let control = steer.control();
    let lines = yard_list(plan).into_iter().filter(|line| !line.is_rack);
    let lines: Vec<usize> = lines.map(|line| line.board_idx).take(MOST_LINES).collect();
    if lines.is_empty() {
        return Ok(Vec::new());
    }
    let job = &plan.job;
    // What a kind of board has nothing to do with is solved once: here.
    let own = Planner::new().plan(job, Share::LONG, &control)?;
    let mut planner = Planner::knowing(&own.start);
    let without = lines
        .iter()
        .map(|&line| job.with_some_boards(|idx, _| idx != line));
    let without: Vec<_> = without.collect();
    // The first job is answered in any case, so the search is not begun once it is to stop.
    if (control.stop)() {
        return Ok(Vec::new());
    }
    let shares = (Share::MANY, Share::SHORT);
    let plans = planner.plan_within(&without, &own.start, shares, &control, &|_| {})?;
    let found = lines.into_iter().zip(plans);
    Ok(found
        .filter_map(|(board_idx, plan)| {
            let plan = plan?;
            Some(Exchange { board_idx, plan })
        })
        .collect())
}

//! What wood one frame forces to be bought: what the plan would cost less with one fewer.

use super::Steer;
use crate::audit::Violation;
use crate::job::{Job, Line, Purpose};
use crate::money::Money;
use crate::pipeline::Planner;
use crate::plan::{Measure, Plan, Verdict};
use crate::solve::Share;

/// Lines of a job for which this is found out; a longer list is not read line by line.
const MOST_LINES: usize = 200;

/// What one frame or piece of a line forces to be bought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Forced {
    /// The line; frames inside of others come and go with those.
    pub line: Line,
    /// What a plan with one fewer, the best that was found, costs less, by the price of boards and the worth of wood in hand;
    /// less than nothing only where that plan is not proved.
    pub money: Money,
    /// Proved: no plan with one fewer costs less by more than this; `None` where nothing is proved.
    pub at_most: Option<Money>,
    /// Whether both plans are proved best.
    pub is_proved: bool,
}

/// Plans a job once more for each of its lines, with one fewer; with [`Share::MANY`] of work for all of them.
///
/// Nothing where boards have no price or parts are missing. Lines are left out once the search is to stop.
///
/// # Errors
/// The violations, where the check rejects a plan; that is a fault of the program, never of the job.
///
/// # Panics
/// Only if the program itself is at fault.
pub fn find_forced(plan: &Plan, steer: &Steer<'_>) -> Result<Vec<Forced>, Vec<Violation>> {
    let control = steer.control();
    let job = &plan.job;
    if plan.measure != Measure::Price || !plan.missing.is_empty() {
        return Ok(Vec::new());
    }
    let lines = list_lines(job);
    // What a line has nothing to do with is solved once: here.
    let own = Planner::new().plan(job, Share::LONG, &control)?;
    let mut planner = Planner::knowing(&own.start);
    if (control.stop)() {
        return Ok(Vec::new());
    }
    let fewer: Vec<Job> = lines.iter().map(|&line| job.with_one_fewer(line)).collect();
    let shares = (Share::MANY, Share::SHORT);
    let plans = planner.plan_within(&fewer, &own.start, shares, &control, &|_| {})?;
    let is_best = plan.verdict == Verdict::Optimal;
    let found = lines.into_iter().zip(plans).filter_map(|(line, fewer)| {
        // With too little work for a whole plan nothing is known of it.
        let fewer = fewer.filter(|fewer| fewer.missing.is_empty())?;
        Some(Forced {
            line,
            money: Money::from_minor(plan.value - fewer.value),
            at_most: (fewer.lower_bound > 0 || fewer.verdict == Verdict::Optimal)
                .then(|| Money::from_minor(plan.value - fewer.lower_bound)),
            is_proved: is_best && fewer.verdict == Verdict::Optimal,
        })
    });
    Ok(found.collect())
}

/// Frames that are not inside of others, and pieces that are wanted.
fn list_lines(job: &Job) -> Vec<Line> {
    let frames = (0..job.frames.len()).filter(|&idx| !job.frames[idx].is_held());
    let is_wanted = |&idx: &usize| job.pieces[idx].purpose == Purpose::Wanted;
    let pieces = (0..job.pieces.len()).filter(is_wanted).map(Line::Piece);
    frames
        .map(Line::Frame)
        .chain(pieces)
        .take(MOST_LINES)
        .collect()
}

//! From a job to a checked plan.
//!
//! [`plan()`] plans one job with all that is told beside its plan. A [`Planner`] plans many that have much in common: it
//! remembers what it has solved, and begins with the plans that it is told of.

mod wishes;

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::audit::{Kind, Violation, check, check_sheets, prove_sheets};
use crate::bridge::{Gatherer, Kin, Lowered, LoweredSheets, gather_color, lower_sheets};
use crate::cutting::{BoardUse, Bound, End, Instance, Solution};
use crate::job::Job;
use crate::plan::certificate::Certificate;
use crate::plan::sheets::MaterialPlan;
use crate::plan::{Aside, Gathered, Plan};
use crate::sheets::plan_sheets_within;
use crate::solve::{Control, Known, Session, Share, Task, both, in_parallel, rules_out};

pub use crate::bridge::Materials;

/// Proofs of more nodes than this are not gone through while one waits for the plan; `verify` goes through any.
const MOST_NODES: usize = 300;
/// Work for the sheets of one material; a few seconds, where nearly all are proved in a tenth of one.
const SHARE_OF_MATERIAL: Share = Share::steps(4_000_000_000);

/// A checked plan, with what proves its bound.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Planned {
    /// The plan.
    pub plan: Plan,
    /// Prices that prove its lower bound, as far as prices alone prove it.
    pub certificate: Certificate,
    /// What was found beside it.
    pub aside: Aside,
    /// What is cut from sheets, of each material whose sheets the job states; checked.
    pub materials: Vec<MaterialPlan>,
}

/// A checked plan of one job among many.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The plan.
    pub plan: Plan,
    /// What the plans of related jobs may begin with.
    pub start: Start,
}

/// A plan that the search for another one may begin with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Start {
    lowered: Lowered,
    solution: Solution,
    /// What was found of each component, with how much work.
    solved: Vec<(Instance, Share, Arc<Solution>)>,
}

/// What a job comes to where only that is asked, not how it is cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outcome {
    /// How many of each board of the job are taken, by index.
    pub taken: BTreeMap<usize, u32>,
    /// Whether all parts are cut.
    pub is_whole: bool,
    /// Price or length of all boards taken.
    pub value: i64,
    /// As far as the [ways to rip are known](Planner::knows_all_ways) it is proved: no plan that cuts all parts has a
    /// smaller value.
    pub bound: i64,
}

/// Plans jobs that have much in common, and does nothing twice for them.
///
/// No answer depends on which of several threads ends first; see [`Session`].
#[derive(Debug, Default)]
pub struct Planner {
    session: Session,
    gatherer: Gatherer,
}

impl Start {
    /// What of it a search for a like job may begin with: its boards, and how others were cut that came near to it.
    fn boards_for(&self, lowered: &Lowered) -> Vec<BoardUse> {
        let known = [&self.solution.boards[..], &self.solution.patterns].concat();
        lowered.boards_from(&self.lowered, &known)
    }
}

/// What a solution comes to; `None` where it proves that nothing cuts all parts for less than `below`.
fn outcome_of(lowered: &Lowered, solution: &Solution, below: Option<i64>) -> Option<Outcome> {
    let bound = solution.bound;
    let is_useless = bound.missing_pieces > 0 || below.is_some_and(|below| bound.cost >= below);
    (!is_useless).then(|| Outcome {
        taken: lowered.taken(solution),
        is_whole: solution.missing.iter().all(|&count| count == 0),
        value: solution.cost,
        bound: bound.cost,
    })
}

/// Boards of a job that serve the same parts.
///
/// # Panics
/// If a board's cost cannot be worked out; `load` refuses such boards.
pub fn find_kin(job: &Job) -> Vec<Kin> {
    Lowered::new(job).kin()
}

/// Plans `job` with all that is told beside its plan; see [`Planner::plan_with_asides`].
///
/// # Errors
/// The violations, where the check rejects the plan; that is a fault of the program, never of the job.
pub fn plan(job: &Job, control: &Control<'_>) -> Result<Planned, Vec<Violation>> {
    // Boards and sheets have nothing in common, and most of what is cut from boards falls into one component.
    let (planned, materials) = both(
        || Planner::with_proofs().plan_with_asides(job, Share::FULL, control),
        || plan_sheets(job, Materials::Stated, control),
    );
    let planned = planned?;
    Ok(Planned {
        materials: materials?,
        ..planned
    })
}

/// Plans what a job needs of materials that come in sheets, each by itself.
///
/// What drops out of windows is there to be cut only where the mats are: not of those that fit no sheet; and where sheets
/// are too few for the others, the material is planned without it.
///
/// # Errors
/// As [`plan()`].
///
/// # Panics
/// Only if the program itself is at fault.
pub fn plan_sheets(
    job: &Job,
    which: Materials,
    control: &Control<'_>,
) -> Result<Vec<MaterialPlan>, Vec<Violation>> {
    let lowered = lower_sheets(job, which);
    let plans = in_parallel(&lowered, |lowered| {
        let quiet = control.quiet();
        let solve = |lowered: &LoweredSheets| {
            plan_sheets_within(&lowered.sheet_job, SHARE_OF_MATERIAL, &quiet)
        };
        let solution = solve(lowered);
        match lowered.without_fallout(job, &solution) {
            Some(without) => without.raise(job, &solve(&without)),
            None => lowered.raise(job, &solution),
        }
    });
    let all = which == Materials::All;
    let mut violations = check_sheets(job, &plans, all);
    let n_nodes = plans
        .iter()
        .map(|plan| plan.certificate.missing_nodes.len() + plan.certificate.cost_nodes.len());
    if violations.is_empty() && n_nodes.sum::<usize>() <= MOST_NODES {
        violations = prove_sheets(job, &plans, all);
        // What takes too long to follow is no fault; `verify` says so.
        violations.retain(|violation| violation.kind != Kind::TooMuchWork);
    }
    if violations.is_empty() {
        Ok(plans)
    } else {
        Err(violations)
    }
}

impl Planner {
    /// A planner that knows nothing yet.
    pub fn new() -> Planner {
        Planner::default()
    }

    /// A planner that knows what was found for a plan, so that what others have in common with it is not solved again.
    pub fn knowing(start: &Start) -> Planner {
        let mut planner = Planner::new();
        for (own, share, solution) in &start.solved {
            planner.session.recall(own, *share, solution);
        }
        planner
    }

    /// The same, keeping the proof of each bound.
    pub fn with_proofs() -> Planner {
        Planner {
            session: Session::with_proofs(),
            ..Planner::default()
        }
    }

    /// Whether the cutting model has every way to rip every board of `job`; if not, its bounds prove nothing.
    ///
    /// # Panics
    /// If a board's cost cannot be worked out; `load` refuses such boards.
    pub fn knows_all_ways(job: &Job) -> bool {
        Lowered::new(job).origins.is_complete
    }

    /// Plans all `jobs` on all cores, each with a share of work of its own. `done` is called once for each.
    ///
    /// What is solved for one is there for all that are planned later. Once `control.stop` ends the search, only the first
    /// has an answer for certain.
    ///
    /// # Errors
    /// As [`plan()`].
    ///
    /// # Panics
    /// Only if the program itself is at fault; so do the following.
    pub fn plan_all(
        &mut self,
        jobs: &[(Job, Share)],
        control: &Control<'_>,
        done: &(dyn Fn() + Sync),
    ) -> Result<Vec<Option<Answer>>, Vec<Violation>> {
        // To lower a job with many ways to rip takes its time, too.
        let is_open = |number: usize| number == 0 || !(control.stop)();
        let in_time = jobs.iter().enumerate();
        let in_time = in_time.take_while(|(number, _)| is_open(*number));
        let lowered: Vec<(usize, Lowered)> = in_time
            .map(|(number, (job, _))| (number, Lowered::new(job)))
            .collect();
        let n_left_out = jobs.len() - lowered.len();
        let tasks = lowered.iter().map(|(number, lowered)| Task {
            instance: &lowered.instance,
            start: &[],
            share: jobs[*number].1,
        });
        self.session.prepare(&tasks.collect::<Vec<_>>(), control);
        let answers = in_parallel(&lowered, |(number, lowered)| {
            let is_wanted = is_open(*number);
            let share = jobs[*number].1;
            let answer = is_wanted.then(|| self.answer(lowered.clone(), &[], share, control));
            done();
            answer.transpose()
        });
        let left_out = std::iter::repeat_with(|| {
            done();
            Ok(None)
        });
        let answers = answers.into_iter();
        answers
            .map(|answer| Ok(answer?.map(|(answer, _)| answer)))
            .chain(left_out.take(n_left_out))
            .collect()
    }

    /// Plans `job` with nothing beside it, beginning with the cheapest of the `known` plans that is one of it too, the first
    /// of them.
    ///
    /// # Errors
    /// As [`plan()`].
    pub fn plan_from(
        &self,
        job: &Job,
        known: &[&Start],
        share: Share,
        control: &Control<'_>,
    ) -> Result<Answer, Vec<Violation>> {
        let lowered = Lowered::new(job);
        let fitting = known.iter().filter_map(|known| {
            let boards = lowered.start_from(&known.lowered, &known.solution)?;
            Some((known.solution.cost, boards))
        });
        let cheapest = fitting.min_by_key(|&(cost, _)| cost);
        let start = cheapest.map(|(_, boards)| boards).unwrap_or_default();
        let (answer, _) = self.answer(lowered, &start, share, control)?;
        Ok(answer)
    }

    /// Plans `jobs` that differ a little from one that is planned, on all cores, with no more than `budget` for all of them
    /// together; each begins with what it can use of that plan.
    ///
    /// None takes more than `most` at once. What is not proved then has a plan and a bound; nothing is bettered among plans of
    /// one cost. `open` is told how many of them are not decided yet, now and then. What is solved for them is there for all
    /// that come later. Once `control.stop` ends the search, some may have no answer.
    ///
    /// # Errors
    /// As [`plan()`].
    pub fn plan_within(
        &mut self,
        jobs: &[Job],
        near: &Start,
        (budget, most): (Share, Share),
        control: &Control<'_>,
        open: &dyn Fn(usize),
    ) -> Result<Vec<Option<Plan>>, Vec<Violation>> {
        let in_time = jobs.iter().take_while(|_| !(control.stop)());
        let lowered: Vec<Lowered> = in_time.map(Lowered::new).collect();
        let starts: Vec<_> = lowered
            .iter()
            .map(|lowered| near.boards_for(lowered))
            .collect();
        let tasks = lowered.iter().zip(&starts).map(|(lowered, start)| Task {
            instance: &lowered.instance,
            start,
            share: most,
        });
        let tasks: Vec<Task<'_>> = tasks.collect();
        self.session.prepare_within(&tasks, budget, control, open);
        let plans = in_parallel(&lowered, |lowered| {
            let known = Known::default();
            let none = Share::steps(0);
            let solution = self.session.solve(&lowered.instance, &known, none, control);
            // Stopped before anything is proved of it, it tells nothing.
            if solution.end == End::Stopped && solution.bound == Bound::default() {
                return Ok(None);
            }
            let plan = lowered.raise(&solution);
            let violations = check(&plan);
            if violations.is_empty() {
                Ok(Some(plan))
            } else {
                Err(violations)
            }
        });
        let mut plans: Vec<Option<Plan>> = plans.into_iter().collect::<Result<_, _>>()?;
        plans.resize(jobs.len(), None);
        Ok(plans)
    }

    /// Plans `job` with nothing beside it.
    ///
    /// # Errors
    /// As [`plan()`].
    pub fn plan(
        &self,
        job: &Job,
        share: Share,
        control: &Control<'_>,
    ) -> Result<Answer, Vec<Violation>> {
        self.plan_from(job, &[], share, control)
    }

    /// What `job` comes to; `None` where no plan cuts all parts for less than `below`, which is proved as far as the
    /// [ways to rip are known](Planner::knows_all_ways).
    pub fn outcome(
        &self,
        job: &Job,
        below: Option<i64>,
        share: Share,
        control: &Control<'_>,
    ) -> Option<Outcome> {
        let lowered = Lowered::new(job);
        if rules_out(&lowered.instance, below) {
            return None;
        }
        let known = Known { below, start: &[] };
        let instance = &lowered.instance;
        let solution = self.session.solve(instance, &known, share, control);
        outcome_of(&lowered, &solution, below)
    }

    /// What `job` comes to, as [`Planner::outcome`], and the work that it took, which is no more than `share`; the search begins
    /// with what it can use of a plan that is near to it.
    pub fn try_out(
        &self,
        job: &Job,
        below: i64,
        near: &Start,
        share: Share,
        control: &Control<'_>,
    ) -> (Option<Outcome>, u64) {
        let lowered = Lowered::new(job);
        let instance = &lowered.instance;
        if rules_out(instance, Some(below)) {
            return (None, 0);
        }
        let known = Known {
            below: Some(below),
            start: &near.boards_for(&lowered),
        };
        let (solution, work) = self.session.try_out(instance, &known, share, control);
        (outcome_of(&lowered, &solution, Some(below)), work)
    }

    /// The plan of a lowered job, which may begin with boards that cut it, with how far it was bettered among those of its
    /// cost: for long offcuts, and for color where that is asked for.
    fn answer(
        &self,
        lowered: Lowered,
        start: &[BoardUse],
        share: Share,
        control: &Control<'_>,
    ) -> Result<(Answer, Gathered), Vec<Violation>> {
        let instance = &lowered.instance;
        let known = Known { below: None, start };
        let solved = self
            .session
            .solve_components(instance, &known, share, control);
        let gathered = self.gatherer.gather(&lowered, &solved);
        let (solution, gathered) = gather_color(&lowered.job, instance, &lowered.origins, gathered);
        let plan = lowered.raise(&solution);
        let violations = check(&plan);
        if !violations.is_empty() {
            return Err(violations);
        }
        let solved = solved.into_iter();
        let start = Start {
            solved: solved
                .map(|(own, solution)| (own.instance, share, solution))
                .collect(),
            lowered,
            solution,
        };
        Ok((Answer { plan, start }, gathered))
    }
}

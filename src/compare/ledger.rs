//! What is solved already, so that no part of a job is solved twice.
//!
//! An instance falls into parts that share no board; most ways of buying change one of them only.
//! Each part is solved by itself and written down under its whole content, so that what is found again is the same
//! part, whichever way asks for it.
//! No answer depends on which task ends first: what [`Ledger::prepare`] solves is there for all that come after it, and
//! what tasks solve side by side is found again only by one that asks for just the same.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex, MutexGuard};

use crate::audit::Violation;
use crate::bridge::{Origins, gather};
use crate::cutting::{BoardUse, Bound, End, Instance, Solution};
use crate::job::Job;
use crate::pipeline::finish_gathered;
use crate::plan::{Gathered, Plan};
use crate::solve::{Control, Known, solve_knowing};

use super::parts::{Part, split};
use super::start::Lowered;
use super::threads::in_parallel;

/// How often the search for a part of the best mix may ask whether to stop, which it does after equal stretches of
/// work, so that it ends alike on every machine: some ten seconds on one core. `plan` alone has the solver's whole
/// limit.
const BEST_PATIENCE: u32 = 3_000;
/// The same for a part of one way among many: a second or two.
const ROW_PATIENCE: u32 = 400;
/// The same for a set of lengths under trial; what is not decided then is divided further, so little is lost.
const TRIAL_PATIENCE: u32 = 100;

/// How long to search, and for what.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Effort {
    /// Questions to the stop condition before the search gives up.
    patience: u32,
    /// A plan that costs as much as this or more is of no use.
    cutoff: Option<i64>,
}

impl Effort {
    /// For the best mix.
    pub(super) const BEST: Effort = Effort {
        patience: BEST_PATIENCE,
        cutoff: None,
    };
    /// For one way of buying among many.
    pub(super) const ROW: Effort = Effort {
        patience: ROW_PATIENCE,
        cutoff: None,
    };

    /// For a way of which only what costs less than `cutoff` is of use.
    pub(super) fn row_below(cutoff: i64) -> Effort {
        Effort {
            cutoff: Some(cutoff),
            ..Effort::ROW
        }
    }

    /// For a set of lengths under trial.
    pub(super) fn trial(cutoff: Option<i64>) -> Effort {
        Effort {
            patience: TRIAL_PATIENCE,
            cutoff,
        }
    }
}

/// An instance to be solved.
pub(super) struct Task<'t> {
    /// The instance.
    pub(super) instance: &'t Instance,
    /// How long to search.
    pub(super) effort: Effort,
    /// A plan of it that is known, in its own terms; empty where there is none.
    pub(super) start: &'t [BoardUse],
}

/// All numbers of a part; see [`Part::key`].
type Content = Vec<i64>;
/// The answer to a part.
type Solved = Arc<Solution>;

/// Solved parts by their content.
pub(super) struct Ledger<'a> {
    stop: &'a (dyn Fn() -> bool + Sync),
    /// What was prepared, by content, with the effort it was given.
    prepared: Mutex<BTreeMap<Content, (Effort, Solved)>>,
    /// What was solved since, by effort and content.
    later: Mutex<BTreeMap<(Effort, Content), Solved>>,
    /// Solved parts of which the wood is left in few pieces; of a part there is only one answer without a cutoff.
    gathered: Mutex<BTreeMap<Content, Solved>>,
}

impl<'a> Ledger<'a> {
    /// An empty ledger; `stop` ends every search.
    pub(super) fn new(stop: &'a (dyn Fn() -> bool + Sync)) -> Ledger<'a> {
        Ledger {
            stop,
            prepared: Mutex::default(),
            later: Mutex::default(),
            gathered: Mutex::default(),
        }
    }

    /// Plans `job` and checks the plan from the job alone.
    ///
    /// # Errors
    /// The violations, where the check rejects the plan; that is a fault of the program, never of the job.
    pub(super) fn plan(&self, job: &Job, effort: Effort) -> Result<Plan, Vec<Violation>> {
        let (plan, _) = self.plan_lowered(job, &Lowered::new(job), effort)?;
        Ok(plan)
    }

    /// The same of a job that is lowered already, with the solution behind the plan.
    ///
    /// # Errors
    /// As [`Ledger::plan`].
    pub(super) fn plan_lowered(
        &self,
        job: &Job,
        Lowered { instance, origins }: &Lowered,
        effort: Effort,
    ) -> Result<(Plan, Solution), Vec<Violation>> {
        let gathered = self.answer(instance, effort, |part, solved| {
            self.gather_part(job, origins, part, &solved)
        });
        // What is said of the leftover is not asked here.
        let gathered = (gathered, Gathered::Unproved);
        let (plan, solution, _) = finish_gathered(job, instance, origins, gathered)?;
        Ok((plan, solution))
    }

    /// Solves all parts of some instances on all cores, the largest first, so that they are known to all that ask later;
    /// the tasks must have no cutoff.
    ///
    /// Of a part that several instances have, the first one's effort and start count.
    pub(super) fn prepare(&self, tasks: &[Task<'_>]) {
        let mut parts: Vec<(Part, Effort, Vec<BoardUse>)> = Vec::new();
        for task in tasks {
            for part in split(task.instance).0 {
                let is_new = parts.iter().all(|(known, ..)| known.key != part.key);
                if is_new && self.look_up(&part.key, task.effort).is_none() {
                    let start = part.lower(task.start);
                    parts.push((part, task.effort, start));
                }
            }
        }
        parts.sort_by_key(|(part, ..)| std::cmp::Reverse(part.items.len() * part.stocks.len()));
        let solved = in_parallel(&parts, |(part, effort, start)| {
            self.solve_part(part, *effort, start)
        });
        let mut prepared = locked(&self.prepared);
        for ((part, effort, _), solved) in parts.into_iter().zip(solved) {
            prepared.insert(part.key, (effort, solved));
        }
    }

    /// Solves `instance` part by part.
    ///
    /// With a cutoff, the answer may end as soon as its bound shows that it is of no use.
    pub(super) fn solve(&self, instance: &Instance, effort: Effort) -> Solution {
        self.answer(instance, effort, |_, solved| solved)
    }

    /// Solves `instance` part by part, and makes another answer of each part's.
    fn answer(
        &self,
        instance: &Instance,
        effort: Effort,
        better: impl Fn(&Part, Solved) -> Solved,
    ) -> Solution {
        let (parts, mut missing) = split(instance);
        let mut whole = Solution {
            boards: Vec::new(),
            missing: Vec::new(),
            cost: 0,
            bound: Bound {
                missing_pieces: instance
                    .items
                    .iter()
                    .zip(&missing)
                    .map(|(item, &count)| u64::from(item.pieces) * u64::from(count))
                    .sum(),
                cost: 0,
            },
            end: End::Proved,
            certificate: None,
        };
        // What is known goes first, so that a cutoff bites as early as it can.
        let known: Vec<Option<Solved>> = parts
            .iter()
            .map(|part| self.look_up(&part.key, effort))
            .collect();
        let mut bound: i64 = known
            .iter()
            .flatten()
            .fold(0, |sum, part| sum.saturating_add(part.bound.cost));
        for (part, known) in parts.iter().zip(known) {
            let solved = if let Some(known) = known {
                known
            } else {
                let left = Effort {
                    cutoff: effort.cutoff.map(|cutoff| cutoff.saturating_sub(bound)),
                    ..effort
                };
                let solved = self.solve_later(part, left);
                bound = bound.saturating_add(solved.bound.cost);
                solved
            };
            part.add(&better(part, solved), &mut whole, &mut missing);
        }
        whole.missing = missing;
        whole
    }

    /// What is prepared of a part: its proved answer, or that of the best mix, or what was found with just this effort.
    fn look_up(&self, key: &[i64], effort: Effort) -> Option<Solved> {
        let prepared = locked(&self.prepared);
        let (given, solved) = prepared.get(key)?;
        let is_for_all = solved.end == End::Proved || *given == Effort::BEST;
        (is_for_all || *given == effort).then(|| Arc::clone(solved))
    }

    /// The answer to a part that is not prepared.
    fn solve_later(&self, part: &Part, effort: Effort) -> Solved {
        let key = (effort, part.key.clone());
        if let Some(known) = locked(&self.later).get(&key) {
            return Arc::clone(known);
        }
        let solved = self.solve_part(part, effort, &[]);
        Arc::clone(locked(&self.later).entry(key).or_insert(solved))
    }

    /// A part's solution gathered, once for all that have the part.
    fn gather_part(&self, job: &Job, origins: &Origins, part: &Part, solved: &Solved) -> Solved {
        let own = part.origins(origins);
        let mut key = part.key.clone();
        let items = own.items.iter();
        key.extend(items.flat_map(|item| [item.kerf_along.nm(), item.overlap.nm()]));
        if let Some(known) = locked(&self.gathered).get(&key) {
            return Arc::clone(known);
        }
        let (solution, _) = gather(job, &part.instance, &own, Solution::clone(solved));
        let solution = Arc::new(solution);
        Arc::clone(locked(&self.gathered).entry(key).or_insert(solution))
    }

    fn solve_part(&self, part: &Part, effort: Effort, start: &[BoardUse]) -> Solved {
        let questions = AtomicU32::new(0);
        let stopped_here = AtomicBool::new(false);
        let stop = || {
            if (self.stop)() {
                stopped_here.store(true, Ordering::Relaxed);
                return true;
            }
            questions.fetch_add(1, Ordering::Relaxed) >= effort.patience
        };
        let known = Known {
            below: effort.cutoff,
            start,
        };
        let control = Control {
            stop: &stop,
            progress: &|_| {},
        };
        let mut solution = solve_knowing(&part.instance, &known, &control);
        // The whole has none, so the parts need not keep theirs.
        solution.certificate = None;
        if solution.end == End::Stopped && !stopped_here.load(Ordering::Relaxed) {
            // Its own patience ended it: a limit on work, the same on every machine.
            solution.end = End::WorkLimit;
        }
        Arc::new(solution)
    }
}

fn locked<T>(shelf: &Mutex<T>) -> MutexGuard<'_, T> {
    shelf
        .lock()
        .expect("no task panics while it holds the ledger")
}

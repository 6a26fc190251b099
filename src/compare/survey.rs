//! All ways of buying, planned.

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::cutting::{BoardUse, Instance, Solution};
use crate::job::{Buying, Job};
use crate::length::Length;
use crate::plan::{Origins, Plan, Verdict, Violation, check, lower};

use super::Steer;
use super::few_lengths::{Few, Search};
use super::ledger::{Effort, Ledger, Task};
use super::rows::{Comparison, Row};
use super::start::carried_over;
use super::threads::in_parallel;
use super::ways::{Ground, Way};

/// Plans `job` in every way of [`list_ways`](super::list_ways).
///
/// The best mix comes first; what else is done depends on it alone, so that the rows are the same on every machine and
/// with any number of cores, unless `steer.stop` ends a search.
///
/// # Errors
/// The violations, where the check rejects a plan; that is a fault of the program, never of the job.
///
/// # Panics
/// Only if the program itself is at fault.
pub fn compare(
    job: &Job,
    buying: &Buying,
    steer: &Steer<'_>,
) -> Result<Comparison, Vec<Violation>> {
    let ledger = Ledger::new(steer.stop);
    let ground = Ground::new(job, buying);
    let ways = ground.list_ways();
    let n_done = AtomicUsize::new(0);
    let done = || (steer.progress)(n_done.fetch_add(1, Ordering::Relaxed) + 1, ways.len());

    let best = BestMix::new(&ground, &ledger)?;
    done();
    let survey = Survey {
        ground: &ground,
        ledger: &ledger,
        best: &best,
    };
    let plain: Vec<Asked> = ways[1..]
        .iter()
        .filter_map(|way| survey.asked(way))
        .collect();
    let tasks: Vec<Task<'_>> = plain.iter().filter_map(Asked::task).collect();
    ledger.prepare(&tasks);
    let singles: Vec<Option<Few>> = (0..ground.woods.len())
        .map(|wood_idx| survey.best_single(&plain, wood_idx))
        .collect();
    let rows: Vec<Option<Row>> = in_parallel(&ways[1..], |way| {
        let row = if let Way::AtMost(most) = way {
            survey.few_row(*most, &singles)
        } else {
            let asked = plain.iter().find(|asked| asked.way == *way);
            let asked = asked.expect("every way but those of few lengths states its boards");
            survey.row(asked).map(Some)
        };
        done();
        row
    })
    .into_iter()
    .collect::<Result<_, _>>()?;
    let not_found = ways[1..]
        .iter()
        .zip(&rows)
        .filter(|(_, row)| row.is_none())
        .map(|(way, _)| way.clone())
        .collect();
    Ok(Comparison {
        rows: std::iter::once(best.row.clone())
            .chain(rows.into_iter().flatten())
            .collect(),
        not_found,
        woods: ground.woods,
    })
}

/// Plans `job` in one way from nothing, sharing nothing with other ways; `None` where a way of few lengths was not
/// found.
///
/// Where it is proved it is what [`compare()`] says of that way, and it takes as long as that way alone takes.
///
/// # Errors
/// As [`compare()`].
pub fn alone(
    job: &Job,
    buying: &Buying,
    way: &Way,
    steer: &Steer<'_>,
) -> Result<Option<Row>, Vec<Violation>> {
    let ledger = Ledger::new(steer.stop);
    let ground = Ground::new(job, buying);
    if let Some(own) = ground.job_of(way).filter(|_| *way != Way::BestMix) {
        let plan = ledger.plan(&own, Effort::ROW)?;
        return Ok(Some(Row::of(own, way.clone(), plan)));
    }
    let best = BestMix::new(&ground, &ledger)?;
    let survey = Survey {
        ground: &ground,
        ledger: &ledger,
        best: &best,
    };
    let Way::AtMost(most) = way else {
        return Ok(Some(best.row));
    };
    let plain: Vec<Asked> = ground
        .list_ways()
        .iter()
        .filter(|way| matches!(way, Way::OneLength { .. }))
        .filter_map(|way| survey.asked(way))
        .collect();
    let singles: Vec<Option<Few>> = (0..ground.woods.len())
        .map(|wood_idx| survey.best_single(&plain, wood_idx))
        .collect();
    survey.few_row(*most, &singles)
}

/// The best mix, and how it was found.
struct BestMix {
    row: Row,
    instance: Instance,
    origins: Origins,
    solution: Solution,
}

impl BestMix {
    fn new(ground: &Ground<'_>, ledger: &Ledger<'_>) -> Result<BestMix, Vec<Violation>> {
        let job = ground.job.clone();
        let (instance, origins) = lower(&job);
        let effort = Effort::BEST;
        ledger.prepare(&[Task {
            instance: &instance,
            effort,
            start: &[],
        }]);
        let (plan, solution) = ledger.plan_lowered(&job, (&instance, &origins), effort)?;
        Ok(BestMix {
            row: Row::of(job, Way::BestMix, plan),
            instance,
            origins,
            solution,
        })
    }
}

/// A way that states its boards.
struct Asked {
    way: Way,
    job: Job,
    /// What is to be solved for it; `None` where the best mix's own plan is known to be the answer.
    open: Option<Open>,
}

/// An instance with the way back, and a plan of it that is known, if one is.
struct Open {
    instance: Instance,
    origins: Origins,
    start: Vec<BoardUse>,
}

impl Asked {
    fn task(&self) -> Option<Task<'_>> {
        self.open.as_ref().map(|open| Task {
            instance: &open.instance,
            effort: Effort::ROW,
            start: &open.start,
        })
    }
}

/// What all rows share.
struct Survey<'a> {
    ground: &'a Ground<'a>,
    ledger: &'a Ledger<'a>,
    best: &'a BestMix,
}

impl Survey<'_> {
    /// What a way asks for; `None` of few lengths, whose boards must be searched for.
    fn asked(&self, way: &Way) -> Option<Asked> {
        let job = self.ground.job_of(way)?;
        let open = (!self.is_covered(&job)).then(|| {
            let (instance, origins) = lower(&job);
            let best = self.best;
            let start = carried_over(
                &best.solution,
                (&best.instance, &best.origins),
                (&instance, &origins),
            );
            Open {
                instance,
                origins,
                start,
            }
        });
        Some(Asked {
            way: way.clone(),
            job,
            open,
        })
    }

    /// The row of a way that states its boards.
    fn row(&self, asked: &Asked) -> Result<Row, Vec<Violation>> {
        let plan = match &asked.open {
            None => self.best.row.plan.clone(),
            Some(open) => {
                let lowered = (&open.instance, &open.origins);
                let planned = self.ledger.plan_lowered(&asked.job, lowered, Effort::ROW)?;
                planned.0
            }
        };
        Ok(Row::of(asked.job.clone(), asked.way.clone(), plan))
    }

    /// The cheapest way of a single length of a wood that cuts all parts, the first of them.
    fn best_single(&self, plain: &[Asked], wood_idx: usize) -> Option<Few> {
        let singles = plain.iter().filter_map(|asked| match asked.way {
            Way::OneLength {
                wood_idx: other,
                length,
            } if other == wood_idx => Some((asked, length)),
            _ => None,
        });
        let few = |(asked, length): (&Asked, Length)| -> Option<Few> {
            let (value, bound) = match &asked.open {
                None => (self.best.row.plan.value, self.best.row.bound),
                Some(open) => {
                    let solution = self.ledger.solve(&open.instance, Effort::ROW);
                    let is_complete = solution.missing.iter().all(|&count| count == 0);
                    let is_bounded = open.origins.is_complete;
                    is_complete.then_some((
                        solution.cost,
                        if is_bounded { solution.bound.cost } else { 0 },
                    ))?
                }
            };
            Some(Few {
                lengths: BTreeSet::from([length]),
                value,
                bound,
            })
        };
        singles.filter_map(few).min_by_key(|few| few.value)
    }

    /// The row of a few lengths of each wood; `None` where some wood has no such choice.
    fn few_row(&self, most: usize, singles: &[Option<Few>]) -> Result<Option<Row>, Vec<Violation>> {
        let wood_indices: Vec<usize> = (0..self.ground.woods.len()).collect();
        let chosen: Option<Vec<Few>> = in_parallel(&wood_indices, |&wood_idx| {
            let search = Search {
                ground: self.ground,
                wood_idx,
                most,
                ledger: self.ledger,
            };
            search.run(singles[wood_idx].clone())
        })
        .into_iter()
        .collect();
        let Some(chosen) = chosen else {
            return Ok(None);
        };
        let lengths: Vec<Option<BTreeSet<Length>>> =
            chosen.iter().map(|few| Some(few.lengths.clone())).collect();
        let job = self.ground.with_lengths(&lengths);
        let plan: Plan = if self.is_covered(&job) {
            self.best.row.plan.clone()
        } else {
            self.ledger.plan(&job, Effort::ROW)?
        };
        // Woods share no boards, so what the limit adds to the bound of each adds up. A search counts the other woods
        // with the bounds of the best mix.
        let all = self.best.row.plan.lower_bound;
        let added = chosen.iter().map(|few| (few.bound - all).max(0));
        let bound: i64 = all + added.sum::<i64>();
        Ok(Some(Row {
            way: Way::AtMost(most),
            bound: bound.min(plan.value),
            job,
            plan,
        }))
    }

    /// Whether the best mix is proved and `job` has all the boards that it takes and none that it has not: then nothing in
    /// `job` is cheaper than the best mix's own plan, and the work is done.
    fn is_covered(&self, job: &Job) -> bool {
        let best = &self.best.row;
        if best.plan.verdict != Verdict::Optimal || job.boards.len() != best.job.boards.len() {
            return false;
        }
        let is_within = job.boards.iter().zip(&best.job.boards).all(|(own, all)| {
            let fewer = match (own.quantity, all.quantity) {
                (_, None) => true,
                (None, Some(_)) => false,
                (Some(own), Some(all)) => own <= all,
            };
            fewer && (&own.name, own.length, own.price) == (&all.name, all.length, all.price)
        });
        is_within && check(job, &best.plan).is_empty()
    }
}

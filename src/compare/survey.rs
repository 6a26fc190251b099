//! All ways of buying, planned.

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::audit::{Violation, check};
use crate::cutting::BoardUse;
use crate::job::{Buying, Job};
use crate::length::Length;
use crate::plan::{Plan, Verdict};

use super::Steer;
use super::few_lengths::{Few, Search};
use super::ledger::{Effort, Ledger, Task};
use super::rows::{Comparison, Row};
use super::start::{Answered, Lowered, best_start};
use super::threads::in_parallel;
use super::ways::{Ground, Way};

/// Plans `job` in every way of [`list_ways`](super::list_ways).
///
/// The best mix comes first, then single lengths, then few lengths, then all others, which may begin with a plan of one
/// of these. Within each step nothing depends on what else is done, so that the rows are the same on every machine and
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
    let singles = survey.ask_singles(&ways);
    let few_ways: Vec<usize> = ways.iter().filter_map(Way::most_lengths).collect();
    let few: Vec<Option<FewRow>> = in_parallel(&few_ways, |&most| {
        let found = survey.few_row(most, &singles);
        done();
        found
    })
    .into_iter()
    .collect::<Result<_, _>>()?;

    let mut known: Vec<Answered> = singles
        .iter()
        .filter_map(|asked| survey.answer(asked))
        .collect();
    let mut few_rows = Vec::new();
    for FewRow { row, answered } in few.into_iter().flatten() {
        few_rows.push(row);
        known.extend(answered);
    }
    let others = ways[1..].iter().filter(|way| way.is_plain());
    let others: Vec<Asked> = others.map(|way| survey.ask(way, &known)).collect();
    survey.prepare(&others);
    let plain: Vec<&Asked> = others.iter().chain(&singles).collect();
    let plain_rows: Vec<Row> = in_parallel(&plain, |asked| {
        let row = survey.row(asked);
        done();
        row
    })
    .into_iter()
    .collect::<Result<_, _>>()?;

    // In the order of the list.
    let mut found: Vec<Row> = few_rows.into_iter().chain(plain_rows).collect();
    let mut rows = vec![best.row];
    let mut not_found = Vec::new();
    for way in &ways[1..] {
        match found.iter().position(|row| row.way == *way) {
            Some(place) => rows.push(found.swap_remove(place)),
            None => not_found.push(way.clone()),
        }
    }
    Ok(Comparison {
        woods: ground.woods,
        rows,
        not_found,
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
    let Some(most) = way.most_lengths() else {
        return Ok(Some(best.row));
    };
    let singles = survey.ask_singles(&ground.list_ways());
    Ok(survey.few_row(most, &singles)?.map(|few| few.row))
}

/// The best mix, and how it was found.
struct BestMix {
    row: Row,
    answered: Answered,
}

impl BestMix {
    fn new(ground: &Ground<'_>, ledger: &Ledger<'_>) -> Result<BestMix, Vec<Violation>> {
        let job = ground.job.clone();
        let lowered = Lowered::new(&job);
        let effort = Effort::BEST;
        ledger.prepare(&[Task {
            instance: &lowered.instance,
            effort,
            start: &[],
        }]);
        let (plan, solution) = ledger.plan_lowered(&job, &lowered, effort)?;
        Ok(BestMix {
            row: Row::of(job, Way::BestMix, plan),
            answered: Answered { lowered, solution },
        })
    }
}

/// A way that states its boards.
struct Asked {
    way: Way,
    job: Job,
    /// What is to be solved for it, and a plan of it that is known, if one is; `None` where the best mix's own plan is
    /// known to be the answer.
    open: Option<(Lowered, Vec<BoardUse>)>,
}

/// A row of few lengths, with its answer where that is not the best mix's own.
struct FewRow {
    row: Row,
    answered: Option<Answered>,
}

/// What all rows share.
struct Survey<'a> {
    ground: &'a Ground<'a>,
    ledger: &'a Ledger<'a>,
    best: &'a BestMix,
}

impl Survey<'_> {
    /// What a way that states its boards asks for, given some plans of other ways.
    fn ask(&self, way: &Way, known: &[Answered]) -> Asked {
        let job = self
            .ground
            .job_of(way)
            .expect("only a few lengths must be searched for");
        let open = (!self.is_covered(&job)).then(|| {
            let lowered = Lowered::new(&job);
            let start = best_start(known.iter().chain([&self.best.answered]), &lowered);
            (lowered, start)
        });
        Asked {
            way: way.clone(),
            job,
            open,
        }
    }

    /// All ways of a single length, solved.
    fn ask_singles(&self, ways: &[Way]) -> Vec<Asked> {
        let singles = ways
            .iter()
            .filter(|way| matches!(way, Way::OneLength { .. }));
        let singles: Vec<Asked> = singles.map(|way| self.ask(way, &[])).collect();
        self.prepare(&singles);
        singles
    }

    /// Solves what is open.
    fn prepare(&self, asked: &[Asked]) {
        let open = asked.iter().filter_map(|asked| asked.open.as_ref());
        let tasks: Vec<Task<'_>> = open
            .map(|(lowered, start)| Task {
                instance: &lowered.instance,
                effort: Effort::ROW,
                start,
            })
            .collect();
        self.ledger.prepare(&tasks);
    }

    /// The row of a way that states its boards.
    fn row(&self, asked: &Asked) -> Result<Row, Vec<Violation>> {
        let plan = match &asked.open {
            None => self.best_plan_for(&asked.job),
            Some((lowered, _)) => {
                let planned = self.ledger.plan_lowered(&asked.job, lowered, Effort::ROW)?;
                planned.0
            }
        };
        Ok(Row::of(asked.job.clone(), asked.way.clone(), plan))
    }

    /// The answer to a way that was solved; `None` where it is the best mix's own.
    fn answer(&self, asked: &Asked) -> Option<Answered> {
        asked.open.as_ref()?;
        let lowered = Lowered::new(&asked.job);
        let solution = self.ledger.solve(&lowered.instance, Effort::ROW);
        Some(Answered { lowered, solution })
    }

    /// The cheapest way of a single length of a wood that cuts all parts, the first of them.
    fn best_single(&self, singles: &[Asked], wood_idx: usize) -> Option<Few> {
        let few = |asked: &Asked| -> Option<Few> {
            let length = match asked.way {
                Way::OneLength {
                    wood_idx: other,
                    length,
                } if other == wood_idx => length,
                _ => return None,
            };
            let (value, bound) = match self.answer(asked) {
                None => (self.best.row.plan.value, self.best.row.bound),
                Some(Answered { lowered, solution }) => {
                    if solution.missing.iter().any(|&count| count > 0) {
                        return None;
                    }
                    let is_bound = lowered.origins.is_complete;
                    (
                        solution.cost,
                        if is_bound { solution.bound.cost } else { 0 },
                    )
                }
            };
            Some(Few {
                lengths: BTreeSet::from([length]),
                value,
                bound,
            })
        };
        singles.iter().filter_map(few).min_by_key(|few| few.value)
    }

    /// The row of a few lengths of each wood; `None` where some wood has no such choice.
    fn few_row(&self, most: usize, singles: &[Asked]) -> Result<Option<FewRow>, Vec<Violation>> {
        let wood_indices: Vec<usize> = (0..self.ground.woods.len()).collect();
        let chosen: Option<Vec<Few>> = in_parallel(&wood_indices, |&wood_idx| {
            let search = Search {
                ground: self.ground,
                wood_idx,
                most,
                ledger: self.ledger,
            };
            search.run(self.best_single(singles, wood_idx))
        })
        .into_iter()
        .collect();
        let Some(chosen) = chosen else {
            return Ok(None);
        };
        let lengths: Vec<Option<BTreeSet<Length>>> =
            chosen.iter().map(|few| Some(few.lengths.clone())).collect();
        let job = self.ground.with_lengths(&lengths);
        let (plan, answered) = if self.is_covered(&job) {
            (self.best_plan_for(&job), None)
        } else {
            let lowered = Lowered::new(&job);
            let (plan, solution) = self.ledger.plan_lowered(&job, &lowered, Effort::ROW)?;
            (plan, Some(Answered { lowered, solution }))
        };
        // Woods share no boards, so what the limit adds to the bound of each adds up. A search counts the other woods
        // with the bounds of the best mix.
        let all = self.best.row.plan.lower_bound;
        let added = chosen.iter().map(|few| (few.bound - all).max(0));
        let bound: i64 = all + added.sum::<i64>();
        let row = Row {
            way: Way::AtMost(most),
            bound: bound.min(plan.value),
            job,
            plan,
        };
        Ok(Some(FewRow { row, answered }))
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
        is_within && check(&self.best_plan_for(job)).is_empty()
    }

    /// The best mix's plan, as a plan of another job.
    fn best_plan_for(&self, job: &Job) -> Plan {
        Plan {
            job: job.clone(),
            ..self.best.row.plan.clone()
        }
    }
}

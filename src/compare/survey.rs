//! All ways of buying, planned.

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::audit::{Violation, check};
use crate::job::{Job, Way};
use crate::pipeline::{Answer, Materials, Planner, Start, plan_sheets};
use crate::plan::{Plan, Verdict};
use crate::solve::{Control, Share, in_parallel};

use super::Steer;
use super::few_lengths::{Few, Search};
use super::rows::{Comparison, Row};
use super::ways::{Ground, is_plain, is_single, most_lengths};

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
pub fn compare(job: &Job, steer: &Steer<'_>) -> Result<Comparison, Vec<Violation>> {
    let boards = compare_boards(job, steer)?;
    Ok(Comparison {
        materials: plan_sheets(job, Materials::All, &steer.control())?,
        ..boards
    })
}

/// The same without the sheets, which every way of buying boards takes alike: `materials` is empty.
///
/// # Errors
/// As [`compare()`].
pub(super) fn compare_boards(job: &Job, steer: &Steer<'_>) -> Result<Comparison, Vec<Violation>> {
    let control = steer.control();
    let ground = Ground::new(job);
    let ways = ground.list_ways();
    let n_done = AtomicUsize::new(0);
    let done = || (steer.progress)(n_done.fetch_add(1, Ordering::Relaxed) + 1, ways.len());

    let mut survey = Survey::new(&ground, &control)?;
    done();
    let mut found = survey.plan_ways(&ways, is_single, &[], &done)?;
    let mut few_ways: Vec<usize> = ways.iter().filter_map(most_lengths).collect();
    // A choice of two lengths is one of at most three.
    few_ways.sort_unstable();
    let mut known = survey.best_singles(&found);
    for most in few_ways {
        let is_open = !(control.stop)();
        let few = is_open.then(|| survey.plan_few(most, &known)).transpose()?;
        done();
        if let Some((few, chosen)) = few.flatten() {
            found.push(few);
            known = chosen.into_iter().map(Some).collect();
        }
    }
    let others = survey.plan_ways(&ways[1..], is_plain, &found, &done)?;
    found.extend(others);

    // In the order of the list.
    let Survey {
        best, best_start, ..
    } = survey;
    let mut rows = vec![best];
    let mut absent = Vec::new();
    for way in &ways[1..] {
        match found.iter().position(|found| found.row.way == *way) {
            Some(place) => rows.push(found.swap_remove(place).row),
            None => absent.push(way.clone()),
        }
    }
    let (not_tried, not_found) = if (control.stop)() {
        (absent, Vec::new())
    } else {
        (Vec::new(), absent)
    };
    Ok(Comparison {
        materials: Vec::new(),
        woods: ground.woods,
        rows,
        start: best_start,
        not_found,
        not_tried,
    })
}

/// Plans `job` in one way from nothing, sharing nothing with other ways; `None` where a way of few lengths was not
/// found.
///
/// Where it is proved it is what [`compare()`] says of that way, and it takes as long as that way alone takes.
///
/// # Errors
/// As [`compare()`].
pub fn alone(job: &Job, way: &Way, steer: &Steer<'_>) -> Result<Option<Row>, Vec<Violation>> {
    let control = steer.control();
    let ground = Ground::new(job);
    if let Some(gone) = ground.go(way).filter(|_| *way != Way::BestMix) {
        let own = ground.job.by_way(&gone);
        let answer = Planner::new().plan(&own, Share::SHORT, &control)?;
        return Ok(Some(Row::of(own, way.clone(), answer.plan)));
    }
    let mut survey = Survey::new(&ground, &control)?;
    let Some(most) = most_lengths(way) else {
        return Ok(Some(survey.best));
    };
    let singles = survey.plan_ways(&ground.list_ways(), is_single, &[], &|| {})?;
    let few = survey.plan_few(most, &survey.best_singles(&singles))?;
    Ok(few.map(|(few, _)| few.row))
}

/// A row, and what other plans may begin with where it is not the best mix's own plan.
struct Found {
    row: Row,
    start: Option<Start>,
}

/// What all rows share.
struct Survey<'a> {
    ground: &'a Ground,
    control: &'a Control<'a>,
    planner: Planner,
    best: Row,
    best_start: Start,
}

impl<'a> Survey<'a> {
    /// Plans the best mix.
    fn new(ground: &'a Ground, control: &'a Control<'a>) -> Result<Survey<'a>, Vec<Violation>> {
        let mut planner = Planner::new();
        let jobs = [ground.job.clone()];
        let answers = planner.plan_all(&jobs, &[], Share::LONG, control, &|| {})?;
        let first = answers.into_iter().next().flatten();
        let Answer { plan, start } = first.expect("the first job has an answer");
        Ok(Survey {
            ground,
            control,
            planner,
            best: Row::of(ground.job.clone(), Way::BestMix, plan),
            best_start: start,
        })
    }

    /// Plans those `ways` that are `wanted`, all of which state their boards, given some that are planned.
    fn plan_ways(
        &mut self,
        ways: &[Way],
        wanted: impl Fn(&Way) -> bool,
        known: &[Found],
        done: &(dyn Fn() + Sync),
    ) -> Result<Vec<Found>, Vec<Violation>> {
        let asked = ways.iter().filter(|way| wanted(way)).map(|way| {
            let gone = self.ground.go(way);
            let gone = gone.expect("only a few lengths must be searched for");
            let job = self.ground.job.by_way(&gone);
            let is_covered = self.is_covered(&job);
            (way.clone(), job, is_covered)
        });
        let asked: Vec<(Way, Job, bool)> = asked.collect();
        let open = asked.iter().filter(|(.., is_covered)| !is_covered);
        let open: Vec<Job> = open.map(|(_, job, _)| job.clone()).collect();
        let known = known.iter().filter_map(|found| found.start.as_ref());
        let known: Vec<&Start> = known.chain([&self.best_start]).collect();
        let answers = self
            .planner
            .plan_all(&open, &known, Share::SHORT, self.control, done)?;
        let mut answers = answers.into_iter();
        let found = asked.into_iter().filter_map(|(way, job, is_covered)| {
            if is_covered {
                done();
                return Some(self.found(way, job, None));
            }
            let answer = answers.next().flatten()?;
            Some(self.found(way, job, Some(answer)))
        });
        Ok(found.collect())
    }

    /// A way with its answer; `None` where that is the best mix's own.
    fn found(&self, way: Way, job: Job, answer: Option<Answer>) -> Found {
        let (plan, start) = match answer {
            Some(Answer { plan, start }) => (plan, Some(start)),
            None => (self.best_plan_for(&job), None),
        };
        Found {
            row: Row::of(job, way, plan),
            start,
        }
    }

    /// The cheapest way of a single length of each wood that cuts all parts, the first of them.
    fn best_singles(&self, singles: &[Found]) -> Vec<Option<Few>> {
        let best_of = |wood: usize| {
            let few = |Found { row, .. }: &Found| match row.way {
                Way::OneLength { wood_idx, length } if wood_idx == wood && row.is_complete() => {
                    Some(Few {
                        lengths: BTreeSet::from([length]),
                        value: row.plan.value,
                        bound: row.bound,
                    })
                }
                _ => None,
            };
            singles.iter().filter_map(few).min_by_key(|few| few.value)
        };
        (0..self.ground.woods.len()).map(best_of).collect()
    }

    /// The row of a few lengths of each wood, and these, where a choice of no more is known of each; `None` where some wood has
    /// no such choice.
    fn plan_few(
        &self,
        most: usize,
        known: &[Option<Few>],
    ) -> Result<Option<(Found, Vec<Few>)>, Vec<Violation>> {
        let known: Vec<(usize, &Option<Few>)> = known.iter().enumerate().collect();
        let chosen: Option<Vec<Few>> = in_parallel(&known, |&(wood_idx, known)| {
            let search = Search {
                ground: self.ground,
                wood_idx,
                most,
                planner: &self.planner,
                control: self.control,
            };
            search.run(known.clone())
        })
        .into_iter()
        .collect();
        let Some(chosen) = chosen else {
            return Ok(None);
        };
        let woods = chosen.iter().enumerate();
        let woods = woods.map(|(idx, few)| self.ground.in_lengths(idx, few.lengths.clone()));
        let job = self.ground.with_lengths(most, woods.collect());
        let answer = if self.is_covered(&job) {
            None
        } else {
            Some(self.planner.plan(&job, Share::SHORT, self.control)?)
        };
        let mut found = self.found(Way::AtMost(most), job, answer);
        // Woods share no boards, so what the limit adds to the bound of each adds up. A search counts the other woods
        // with the bounds of the best mix.
        let all = self.best.plan.lower_bound;
        let added = chosen.iter().map(|few| (few.bound - all).max(0));
        let bound: i64 = all + added.sum::<i64>();
        found.row.bound = bound.min(found.row.plan.value);
        Ok(Some((found, chosen)))
    }

    /// The best mix's own plan, taken for one of `job`.
    fn best_plan_for(&self, job: &Job) -> Plan {
        Plan {
            job: job.clone(),
            ..self.best.plan.clone()
        }
    }

    /// Whether the best mix is proved and `job` has all the boards that it takes and none that it has not: then nothing in
    /// `job` is cheaper than the best mix's own plan, and the work is done.
    fn is_covered(&self, job: &Job) -> bool {
        let best = &self.best;
        if best.plan.verdict != Verdict::Optimal || job.boards.len() != best.job.boards.len() {
            return false;
        }
        let mut boards = job.boards.iter().zip(&best.job.boards).enumerate();
        let is_within = boards.all(|(idx, (own, all))| {
            let fewer = match (job.supply(idx), best.job.supply(idx)) {
                (_, None) => true,
                (None, Some(_)) => false,
                (Some(own), Some(all)) => own <= all,
            };
            // Uncut it costs less, and gives more.
            let is_same = (&own.name, own.length, own.price, &own.at_yard)
                == (&all.name, all.length, all.price, &all.at_yard);
            fewer && is_same
        });
        is_within && check(&self.best_plan_for(job)).is_empty()
    }
}

//! All ways of buying, planned.

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::audit::{Violation, check};
use crate::job::{Job, Way};
use crate::pipeline::{Answer, Materials, Planner, Start, plan_sheets};
use crate::plan::{Plan, Verdict};
use crate::solve::{Control, Share, both, in_parallel};

use super::Steer;
use super::few_lengths::{Few, Search};
use super::rows::{Comparison, Row, is_same_board};
use super::ways::{Ground, is_plain, is_single, most_lengths};

/// Plans `job` in every way of [`list_ways`](super::list_ways).
///
/// The best mix and single lengths come first, then few lengths, and beside them all others, which may begin with a plan of one
/// of the first. In the end a way that is not proved may take the plan of another.
/// Within each step nothing depends on what else is done, so that the rows are the same on every machine and with any number
/// of cores, unless `steer.stop` ends a search.
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

    let singles: Vec<Way> = ways.iter().filter(|way| is_single(way)).cloned().collect();
    let others: Vec<Way> = ways[1..]
        .iter()
        .filter(|way| is_plain(way))
        .cloned()
        .collect();
    let mut few_ways: Vec<usize> = ways.iter().filter_map(most_lengths).collect();
    // A choice of two lengths is one of at most three.
    few_ways.sort_unstable();

    let (survey, singles) = Survey::begin(&ground, &singles, &control, &done)?;
    let (few, others) = both(
        || survey.plan_few_ways(&few_ways, &singles, &done),
        || survey.plan_others(&others, &singles, &done),
    );
    let mut found: Vec<Row> = singles.into_iter().map(|single| single.row).collect();
    found.extend(few?);
    found.extend(others?);

    // In the order of the list.
    let Survey {
        best, best_start, ..
    } = survey;
    let mut rows = vec![best];
    let mut absent = Vec::new();
    for way in &ways[1..] {
        match found.iter().position(|row| row.way == *way) {
            Some(place) => rows.push(found.swap_remove(place)),
            None => absent.push(way.clone()),
        }
    }
    take_cheaper(&mut rows);
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
    let Some(most) = most_lengths(way) else {
        let (survey, _) = Survey::begin(&ground, &[], &control, &|| {})?;
        return Ok(Some(survey.best));
    };
    let singles = ground.list_ways().into_iter().filter(is_single);
    let (survey, singles) = Survey::begin(&ground, &singles.collect::<Vec<_>>(), &control, &|| {})?;
    let few = survey.plan_few(most, &survey.best_singles(&singles))?;
    Ok(few.map(|(row, _)| row))
}

/// A single length, and what other plans may begin with where it is not the best mix's own plan.
struct Found {
    row: Row,
    start: Option<Start>,
}

/// Gives each way that cuts all parts and is not proved the cheapest plan of another one that can be bought in this way too,
/// where that is cheaper than its own; but not the best mix, which is planned without its ways as well.
fn take_cheaper(rows: &mut [Row]) {
    for idx in 1..rows.len() {
        let own = &rows[idx];
        if own.is_proved() || !own.is_complete() {
            continue;
        }
        let others = rows.iter().filter(|other| {
            let (plan, measure) = (&other.plan, own.plan.measure);
            other.is_complete() && plan.measure == measure && plan.value < own.plan.value
        });
        let taken = others.filter_map(|other| own.with_plan_of(other));
        if let Some(row) = taken.min_by_key(|row| row.plan.value) {
            rows[idx] = row;
        }
    }
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
    /// Plans the best mix and single lengths, side by side; a single length that the best mix turns out to have the plan for
    /// takes that one.
    fn begin(
        ground: &'a Ground,
        singles: &[Way],
        control: &'a Control<'a>,
        done: &(dyn Fn() + Sync),
    ) -> Result<(Survey<'a>, Vec<Found>), Vec<Violation>> {
        let mut planner = Planner::new();
        let singles = singles.iter().map(|way| (way.clone(), ground.job_of(way)));
        let singles: Vec<(Way, Job)> = singles.collect();
        let asked = singles.iter().map(|(_, job)| (job.clone(), Share::SHORT));
        let asked: Vec<(Job, Share)> = [(ground.job.clone(), Share::LONG)]
            .into_iter()
            .chain(asked)
            .collect();
        let mut answers = planner.plan_all(&asked, control, done)?.into_iter();
        let first = answers.next().flatten();
        let Answer { plan, start } = first.expect("the first job has an answer");
        let survey = Survey {
            ground,
            control,
            planner,
            best: Row::of(ground.job.clone(), Way::BestMix, plan),
            best_start: start,
        };
        let singles = singles.into_iter().zip(answers);
        let singles = singles.filter_map(|((way, job), answer)| {
            let Answer { plan, start } = answer?;
            Some(if survey.is_covered(&job) {
                Found {
                    row: Row::of(job.clone(), way, survey.best_plan_for(&job)),
                    start: None,
                }
            } else {
                Found {
                    row: Row::of(job, way, plan),
                    start: Some(start),
                }
            })
        });
        let singles = singles.collect();
        Ok((survey, singles))
    }

    /// Plans ways of a few lengths, each given those before; left out are those for which nothing was found.
    fn plan_few_ways(
        &self,
        few_ways: &[usize],
        singles: &[Found],
        done: &(dyn Fn() + Sync),
    ) -> Result<Vec<Row>, Vec<Violation>> {
        let mut rows = Vec::new();
        let mut known = self.best_singles(singles);
        for &most in few_ways {
            let is_open = !(self.control.stop)();
            let few = is_open.then(|| self.plan_few(most, &known)).transpose()?;
            done();
            if let Some((row, chosen)) = few.flatten() {
                rows.push(row);
                known = chosen.into_iter().map(Some).collect();
            }
        }
        Ok(rows)
    }

    /// Plans ways that state their boards, given single lengths; once the search is to stop, no more of them.
    fn plan_others(
        &self,
        ways: &[Way],
        singles: &[Found],
        done: &(dyn Fn() + Sync),
    ) -> Result<Vec<Row>, Vec<Violation>> {
        let known = singles.iter().filter_map(|single| single.start.as_ref());
        let known: Vec<&Start> = known.chain([&self.best_start]).collect();
        let rows = in_parallel(ways, |way| {
            let is_open = !(self.control.stop)();
            let row = is_open.then(|| {
                let job = self.ground.job_of(way);
                self.plan_row(way.clone(), job, &known)
            });
            done();
            row.transpose()
        });
        rows.into_iter().filter_map(Result::transpose).collect()
    }

    /// The row of a way, the search for its plan beginning with one of the known ones.
    fn plan_row(&self, way: Way, job: Job, known: &[&Start]) -> Result<Row, Vec<Violation>> {
        let plan = if self.is_covered(&job) {
            self.best_plan_for(&job)
        } else {
            let answer = self
                .planner
                .plan_from(&job, known, Share::SHORT, self.control);
            answer?.plan
        };
        Ok(Row::of(job, way, plan))
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
    ) -> Result<Option<(Row, Vec<Few>)>, Vec<Violation>> {
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
        let mut row = self.plan_row(Way::AtMost(most), job, &[])?;
        // Woods share no boards, so what the limit adds to the bound of each adds up. A search counts the other woods
        // with the bounds of the best mix.
        let all = self.best.plan.lower_bound;
        let added = chosen.iter().map(|few| (few.bound - all).max(0));
        let bound: i64 = all + added.sum::<i64>();
        row.bound = bound.min(row.plan.value);
        Ok(Some((row, chosen)))
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
            fewer && is_same_board(own, all)
        });
        is_within && check(&self.best_plan_for(job)).is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Ends;
    use crate::length::Length;
    use crate::samples::{board, empty_job, inches, piece, priced};

    #[test]
    fn a_way_that_is_not_proved_takes_a_cheaper_plan_of_another_that_is_one_of_its_own() {
        let mut job = empty_job();
        job.pieces = vec![piece("slat", inches(30), 4, Ends::Square)];
        job.boards = vec![
            priced(board("short", Length::FOOT * 3, None), 300),
            priced(board("long", Length::FOOT * 6, None), 500),
        ];
        let steer = Steer {
            stop: &|| false,
            progress: &|_, _| {},
        };
        let rows = compare(&job, &steer).expect("no plan is rejected").rows;
        let of = |wanted: i64| {
            rows.iter()
                .find(|row| row.plan.value == wanted)
                .expect("a way costs that")
        };
        let (cheap, dear) = (of(1_000), of(1_200));
        // As if the search for the best mix and for another way with all boards had ended with the dearer plan.
        let unproved = |way: Way, bound: i64| Row {
            way,
            job: cheap.job.clone(),
            plan: Plan {
                job: cheap.job.clone(),
                lower_bound: bound,
                verdict: Verdict::WorkLimit,
                ..dear.plan.clone()
            },
            bound,
        };
        let mut another_yard = unproved(Way::EnoughOfAll, 900);
        another_yard.job.boards[1].price = another_yard.job.boards[0].price;
        let mut rows = [
            unproved(Way::BestMix, 900),
            unproved(Way::AnyLength, 900),
            // What is proved of it is what the other plan costs.
            unproved(Way::AnyLength, 1_000),
            another_yard,
            // This one has no long boards.
            Row {
                bound: 900,
                ..dear.clone()
            },
            cheap.clone(),
        ];
        take_cheaper(&mut rows);
        let values = rows.each_ref().map(|row| row.plan.value);
        assert_eq!(values, [1_200, 1_000, 1_000, 1_200, 1_200, 1_000]);
        assert_eq!((rows[1].bound, rows[1].is_proved()), (900, false));
        assert_eq!((rows[2].bound, rows[2].is_proved()), (1_000, true));
        assert_eq!(rows[1].plan.boards, cheap.plan.boards);
    }
}

//! All ways of buying, planned.

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::job::{Buying, Job};
use crate::length::Length;
use crate::plan::{Measure, Plan, Verdict, Violation, check};
use crate::stock::Board;

use super::Steer;
use super::few_lengths::{Few, Search};
use super::ledger::{Effort, Ledger};
use super::threads::in_parallel;
use super::ways::{Ground, Way};
use super::woods::Wood;

/// A way of buying with its plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// The way.
    pub way: Way,
    /// The job that the plan is of. Its boards have the indices of the compared job's, those left out being there
    /// with quantity 0; another yard's list has its own.
    pub job: Job,
    /// The plan, checked.
    pub plan: Plan,
    /// Proved: nothing bought in this way that cuts as many parts costs less. Of [`Way::AtMost`] it holds for every
    /// choice of as few lengths, not only the chosen ones.
    pub bound: i64,
}

impl Row {
    /// Whether no plan bought in this way is better, by proof.
    pub fn is_proved(&self) -> bool {
        self.bound == self.plan.value
            && (self.is_complete() || self.plan.verdict == Verdict::Optimal)
    }

    /// Whether all parts are cut.
    pub fn is_complete(&self) -> bool {
        self.plan.missing.is_empty()
    }
}

/// Ways of buying side by side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Comparison {
    /// The woods of the job.
    pub woods: Vec<Wood>,
    /// The ways, the best mix first.
    pub rows: Vec<Row>,
    /// Ways of a few lengths for which nothing was found that cuts all parts.
    pub not_found: Vec<Way>,
}

impl Comparison {
    /// The best mix of the job's own boards.
    pub fn best_mix(&self) -> &Row {
        &self.rows[0]
    }

    /// Boards of the best mix's job that could be bought and serve no part.
    pub fn useless_boards(&self) -> impl Iterator<Item = &Board> {
        let boards = self.best_mix().job.boards.iter().enumerate();
        boards
            .filter(|(_, board)| board.quantity != Some(0) && board.in_hand.is_none())
            .filter(|(idx, _)| self.woods.iter().all(|wood| !wood.boards.contains(idx)))
            .map(|(_, board)| board)
    }

    /// What the best mix is measured in.
    pub fn measure(&self) -> Measure {
        self.best_mix().plan.measure
    }

    /// The cheapest open way that cuts all parts, the first of them; the best mix where there is none.
    pub fn best(&self) -> &Row {
        let mix = self.best_mix();
        self.rows
            .iter()
            .filter(|row| row.is_complete() && row.way.is_open())
            .filter(|row| row.plan.measure == mix.plan.measure)
            .min_by_key(|row| row.plan.value)
            .unwrap_or(mix)
    }

    /// How much more a row costs than [`Comparison::best`]; see [`Comparison::above`]. Only a way that is not open may
    /// cost less.
    pub fn difference(&self, row: &Row) -> Option<i64> {
        self.above(row, self.best())
    }

    /// How much more a row costs than another; `None` where they cannot be compared, because parts are missing or one
    /// counts money and the other length.
    pub fn above(&self, row: &Row, other: &Row) -> Option<i64> {
        (row.is_complete() && other.is_complete() && row.plan.measure == other.plan.measure)
            .then(|| row.plan.value - other.plan.value)
    }
}

/// Plans `job` in every way of [`list_ways`](super::list_ways).
///
/// The rows are the same on every machine and with any number of cores, unless `steer.stop` ends a search.
///
/// # Errors
/// The violations, where the check rejects a plan; that is a fault of the program, never of the job.
pub fn compare(
    job: &Job,
    buying: &Buying,
    steer: &Steer<'_>,
) -> Result<Comparison, Vec<Violation>> {
    let ledger = Ledger::new(steer.stop);
    let ground = Ground::new(job, buying);
    let ways = ground.list_ways();
    let (few_ways, plain_ways): (Vec<&Way>, Vec<&Way>) =
        ways.iter().partition(|way| matches!(way, Way::AtMost(_)));
    let searches: Vec<(usize, usize)> = few_ways
        .iter()
        .filter_map(|way| match way {
            Way::AtMost(most) => Some(*most),
            _ => None,
        })
        .flat_map(|most| (0..ground.woods.len()).map(move |wood_idx| (wood_idx, most)))
        .collect();
    let n_tasks = plain_ways.len() + searches.len();
    let n_done = AtomicUsize::new(0);
    let done = || (steer.progress)(n_done.fetch_add(1, Ordering::Relaxed) + 1, n_tasks);

    ledger.prepare(&ground.job);
    let best = best_mix(&ground, &ledger)?;
    done();
    // The best mix fills the ledger; from here on tasks depend on it alone.
    let context = Context {
        ground: &ground,
        ledger: &ledger,
        best: &best,
    };
    let plain: Vec<Row> = in_parallel(&plain_ways[1..], |way| {
        let row = context.plain_row(way);
        done();
        row
    })
    .into_iter()
    .collect::<Result<_, _>>()?;
    let found: Vec<Option<Few>> = in_parallel(&searches, |&(wood_idx, most)| {
        let known = best_single(&plain, wood_idx);
        let found = context.search(wood_idx, most).run(known);
        done();
        found
    });

    let mut rows = vec![best.clone()];
    let mut plain = plain.into_iter();
    for way in &ways[1..] {
        rows.extend(match way {
            Way::AtMost(most) => {
                let chosen: Vec<Option<Few>> = searches
                    .iter()
                    .zip(&found)
                    .filter(|((_, other), _)| other == most)
                    .map(|(_, few)| few.clone())
                    .collect();
                context.few_row(*most, &chosen)?
            }
            _ => plain.next(),
        });
    }
    let not_found = ways
        .iter()
        .filter(|way| rows.iter().all(|row| row.way != **way))
        .cloned()
        .collect();
    Ok(Comparison {
        woods: ground.woods,
        rows,
        not_found,
    })
}

/// Plans `job` in one way from nothing, sharing nothing with other ways; `None` where a way of few lengths was not
/// found.
///
/// It is what [`compare()`] says of that way, and takes as long as that way alone takes.
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
    let most = match way {
        Way::BestMix => return best_mix(&ground, &ledger).map(Some),
        Way::AtMost(most) => *most,
        _ => return planned_row(&ledger, way, job_of(&ground, way)).map(Some),
    };
    let best = best_mix(&ground, &ledger)?;
    let context = Context {
        ground: &ground,
        ledger: &ledger,
        best: &best,
    };
    let mut singles = Vec::new();
    for way in ground.list_ways() {
        if matches!(way, Way::OneLength { .. }) {
            singles.push(context.plain_row(&way)?);
        }
    }
    let chosen: Vec<Option<Few>> = (0..ground.woods.len())
        .map(|wood_idx| {
            context
                .search(wood_idx, most)
                .run(best_single(&singles, wood_idx))
        })
        .collect();
    context.few_row(most, &chosen)
}

/// The best mix, searched longest.
fn best_mix(ground: &Ground<'_>, ledger: &Ledger<'_>) -> Result<Row, Vec<Violation>> {
    let plan = ledger.plan(&ground.job, Effort::BEST)?;
    Ok(Row::of(ground.job.clone(), Way::BestMix, plan))
}

/// The row of a way that states its boards.
fn planned_row(ledger: &Ledger<'_>, way: &Way, job: Job) -> Result<Row, Vec<Violation>> {
    let plan = ledger.plan(&job, Effort::ROW)?;
    Ok(Row::of(job, way.clone(), plan))
}

fn job_of(ground: &Ground<'_>, way: &Way) -> Job {
    ground
        .job_of(way)
        .expect("only a few lengths must be searched for")
}

impl Row {
    /// A way whose bound is that of its plan.
    fn of(job: Job, way: Way, plan: Plan) -> Row {
        Row {
            way,
            job,
            bound: plan.lower_bound,
            plan,
        }
    }
}

/// The cheapest complete row of a single length of a wood, the first of them.
fn best_single(rows: &[Row], wood_idx: usize) -> Option<Few> {
    rows.iter()
        .filter(|row| row.is_complete())
        .filter_map(|row| match row.way {
            Way::OneLength {
                wood_idx: other,
                length,
            } if other == wood_idx => Some((row, length)),
            _ => None,
        })
        .min_by_key(|(row, _)| row.plan.value)
        .map(|(row, length)| Few {
            lengths: BTreeSet::from([length]),
            value: row.plan.value,
            bound: row.bound,
        })
}

/// What all rows share.
struct Context<'a> {
    ground: &'a Ground<'a>,
    ledger: &'a Ledger<'a>,
    best: &'a Row,
}

impl<'a> Context<'a> {
    /// The row of a way that states its boards.
    fn plain_row(&self, way: &Way) -> Result<Row, Vec<Violation>> {
        let job = job_of(self.ground, way);
        match self.covering(&job) {
            Some(plan) => Ok(Row::of(job, way.clone(), plan)),
            None => planned_row(self.ledger, way, job),
        }
    }

    fn search(&self, wood_idx: usize, most: usize) -> Search<'a> {
        Search {
            ground: self.ground,
            wood_idx,
            most,
            ledger: self.ledger,
        }
    }

    /// The row of a few lengths of each wood; `None` where some wood has no such choice.
    fn few_row(&self, most: usize, chosen: &[Option<Few>]) -> Result<Option<Row>, Vec<Violation>> {
        if chosen.iter().any(Option::is_none) {
            return Ok(None);
        }
        let lengths: Vec<Option<BTreeSet<Length>>> = chosen
            .iter()
            .map(|few| few.as_ref().map(|few| few.lengths.clone()))
            .collect();
        let job = self.ground.with_lengths(&lengths);
        let plan = match self.covering(&job) {
            Some(plan) => plan,
            None => self.ledger.plan(&job, Effort::ROW)?,
        };
        // Woods share no boards, so what the limit adds to the bound of each adds up. A search counts the other woods
        // with the bounds of the best mix.
        let all = self.best.plan.lower_bound;
        let added = chosen.iter().flatten().map(|few| (few.bound - all).max(0));
        let bound: i64 = all + added.sum::<i64>();
        Ok(Some(Row {
            way: Way::AtMost(most),
            bound: bound.min(plan.value),
            job,
            plan,
        }))
    }

    /// The best mix's own plan, where it is proved and `job` has all the boards it takes and none that the best mix
    /// has not: then nothing in `job` is cheaper, and the work is done.
    fn covering(&self, job: &Job) -> Option<Plan> {
        let best = self.best;
        if best.plan.verdict != Verdict::Optimal || job.boards.len() != best.job.boards.len() {
            return None;
        }
        let is_within = job.boards.iter().zip(&best.job.boards).all(|(own, all)| {
            let fewer = match (own.quantity, all.quantity) {
                (_, None) => true,
                (None, Some(_)) => false,
                (Some(own), Some(all)) => own <= all,
            };
            fewer && (&own.name, own.length, own.price) == (&all.name, all.length, all.price)
        });
        (is_within && check(job, &best.plan).is_empty()).then(|| best.plan.clone())
    }
}

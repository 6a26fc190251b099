//! What would change with the job: thinner kerf, less trim, narrower faces, strips turned, grain left free, one more or
//! fewer of a frame or a piece; and the price at which a board that is not bought would be.
//!
//! Every answer is found by planning the changed job; none is read off the prices of the linear program, which hold
//! for parts of boards only.

use std::sync::atomic::{AtomicUsize, Ordering};

use crate::audit::Violation;
use crate::frame::Grain;
use crate::job::{Grains, Job, Purpose};
use crate::length::Length;
use crate::pipeline::Planner;
use crate::plan::{Plan, Verdict};
use crate::solve::{Share, in_parallel};

use super::Steer;
use super::not_bought::{NotBought, PriceSearch, list_not_bought};
use super::rows::{Comparison, Row};
use crate::job::Line;

/// Kerf of a thin blade; common practice, no source: 3/32 in, or 2.4 mm.
const THIN_KERF: Length = Length::from_nm(2_381_250);
const THIN_KERF_METRIC: Length = Length::from_nm(2_400_000);
/// How much narrower a face is tried: 1/8 in, or 3 mm.
const LESS_FACE: Length = Length::from_nm(3_175_000);
const LESS_FACE_METRIC: Length = Length::from_nm(3_000_000);
/// The price of a board takes as much work as so many changes.
const PLANS_OF_PRICE: usize = 4;

/// So many changed jobs are held at a time, or as many as have so many lines of frames; a large job has thousands of
/// changes.
const TOGETHER: usize = 64;
const LINES_TOGETHER: usize = 20_000;

/// A change of the job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// Another kerf.
    Kerf(Length),
    /// Another end trim.
    EndTrim(Length),
    /// Every face narrower by this, its lip unchanged.
    NarrowerFaces(Length),
    /// Every moulding milled after cutting, so that its strips may be turned.
    Turned,
    /// Nothing asked of the grain.
    FreeGrain,
    /// As many of a kind of board as needed, by index, where there are several and all are taken.
    EnoughOf(usize),
    /// One frame or piece fewer of a line.
    OneFewer(Line),
    /// One frame or piece more of a line.
    OneMore(Line),
}

/// A changed job with its best mix.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WhatIf {
    /// What is changed.
    pub change: Change,
    /// The changed job.
    pub job: Job,
    /// Its best mix, checked.
    pub plan: Plan,
}

/// What the best mix depends on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reasons {
    /// Changed jobs, each planned anew.
    pub what_ifs: Vec<WhatIf>,
    /// Changes that were not tried, as the search was to stop.
    pub n_untried: usize,
    /// Boards not bought, in the order of the job; empty where boards have no price.
    pub not_bought: Vec<NotBought>,
}

impl WhatIf {
    /// How much more the changed job costs than `purchase`, the plan that was made without the change: no less than the
    /// first by proof, and no more than the second, by the plan that was found. `None` where parts are missing.
    pub fn more(&self, purchase: &Plan) -> Option<(i64, i64)> {
        let is_whole = self.plan.missing.is_empty() && purchase.missing.is_empty();
        is_whole.then(|| {
            let most = self.plan.value - purchase.value;
            let least = self.plan.lower_bound - purchase.value;
            if self.plan.verdict == Verdict::Optimal {
                (most, most)
            } else {
                (least.min(most), most)
            }
        })
    }
}

/// Finds what the best mix of a comparison depends on, with [`Share::MANY`] of work for all of it.
///
/// # Errors
/// The violations, where the check rejects a plan; that is a fault of the program, never of the job.
///
/// # Panics
/// Only if the program itself is at fault.
pub fn find_reasons(comparison: &Comparison, steer: &Steer<'_>) -> Result<Reasons, Vec<Violation>> {
    find_reasons_within(comparison, Share::MANY, steer)
}

/// The same with `budget` for all of it. What is not decided then is told with what is proved of it.
///
/// # Errors
/// As [`find_reasons`].
///
/// # Panics
/// Only if the program itself is at fault.
pub fn find_reasons_within(
    comparison: &Comparison,
    budget: Share,
    steer: &Steer<'_>,
) -> Result<Reasons, Vec<Violation>> {
    let control = steer.control();
    let best = comparison.best_mix();
    // Woods that a change does not touch are known already.
    let mut planner = Planner::knowing(&comparison.start);
    let changes = list_changes(best);
    let boards = list_not_bought(comparison);
    let n_tasks = changes.len() + boards.len();
    // A price takes several plans.
    let n_shares = changes.len() + PLANS_OF_PRICE * boards.len();
    let part = |n_shares_of_it: usize| -> Share {
        let part = wide(budget.work()) * wide(n_shares_of_it) / wide(n_shares.max(1));
        Share::steps(u64::try_from(part).unwrap_or(u64::MAX))
    };
    // Prices first: where the clock ends the search, changes are known in part, and are told.
    let n_done = AtomicUsize::new(0);
    let search = PriceSearch {
        best,
        near: &comparison.start,
        planner: &planner,
        control: &control,
    };
    let not_bought = in_parallel(&boards, |&(board_idx, price)| {
        let found = search.run(board_idx, price, part(PLANS_OF_PRICE));
        (steer.progress)(n_done.fetch_add(1, Ordering::Relaxed) + 1, n_tasks);
        found
    });
    let mut what_ifs = Vec::new();
    let n_together = (LINES_TOGETHER / best.job.frames.len().max(1)).max(TOGETHER);
    let mut n_before = boards.len();
    for changes in changes.chunks(n_together) {
        if (control.stop)() {
            break;
        }
        let jobs = changes.iter().map(|change| changed(&best.job, change));
        let jobs: Vec<Job> = jobs.collect();
        let shares = (part(jobs.len()), Share::SHORT);
        let open = |n_open: usize| {
            (steer.progress)(n_before + jobs.len().saturating_sub(n_open), n_tasks);
        };
        let plans = planner.plan_within(&jobs, &comparison.start, shares, &control, &open)?;
        n_before += jobs.len();
        (steer.progress)(n_before, n_tasks);
        let planned = changes.iter().zip(jobs).zip(plans);
        what_ifs.extend(planned.filter_map(|((&change, job), plan)| {
            let plan = plan?;
            Some(WhatIf { change, job, plan })
        }));
    }
    Ok(Reasons {
        n_untried: changes.len() - what_ifs.len(),
        what_ifs,
        not_bought,
    })
}

fn wide(number: impl TryInto<u128>) -> u128 {
    number.try_into().unwrap_or(u128::MAX)
}

/// All changes that say something of this job.
fn list_changes(best: &Row) -> Vec<Change> {
    let job = &best.job;
    let imperial = job.display.unit.is_imperial();
    let mut changes = Vec::new();
    let thin = if imperial {
        THIN_KERF
    } else {
        THIN_KERF_METRIC
    };
    if job.shop.kerf > thin {
        changes.push(Change::Kerf(thin));
    }
    if job.shop.kerf > Length::ZERO {
        changes.push(Change::Kerf(Length::ZERO));
    }
    if job.shop.end_trim > Length::ZERO {
        changes.push(Change::EndTrim(Length::from_nm(job.shop.end_trim.nm() / 2)));
    }
    let less = if imperial {
        LESS_FACE
    } else {
        LESS_FACE_METRIC
    };
    let used = || {
        job.frames
            .iter()
            .map(|frame| &job.mouldings[frame.moulding_idx])
    };
    if !job.frames.is_empty() && used().all(|moulding| moulding.face_width - less > moulding.lip) {
        changes.push(Change::NarrowerFaces(less));
    }
    if used().any(|moulding| !moulding.may_be_turned()) {
        changes.push(Change::Turned);
    }
    let grains = Grains::new(job);
    if (0..job.frames.len()).any(|frame_idx| grains.granted(frame_idx) != Grain::Free) {
        changes.push(Change::FreeGrain);
    }
    changes.extend(
        (0..job.boards.len())
            .filter(|&board_idx| is_used_up(best, board_idx))
            .map(Change::EnoughOf),
    );
    // Frames inside of others come and go with those.
    let frames = (0..job.frames.len()).filter(|&idx| !job.frames[idx].is_held());
    let frames = frames.map(Line::Frame);
    // Spares follow from the frames.
    let is_wanted = |&idx: &usize| job.pieces[idx].purpose == Purpose::Wanted;
    let pieces = (0..job.pieces.len()).filter(is_wanted).map(Line::Piece);
    for line in frames.chain(pieces) {
        changes.push(Change::OneFewer(line));
        changes.push(Change::OneMore(line));
    }
    changes
}

/// Whether a plan takes all boards of a kind that is bought and of which there are several.
///
/// A single board, as of a sawmill's tally, has no like.
fn is_used_up(best: &Row, board_idx: usize) -> bool {
    let board = &best.job.boards[board_idx];
    let taken = best.plan.boards.iter();
    let n_taken = taken.filter(|taken| taken.board_idx == board_idx).count();
    board.in_hand.is_none()
        && n_taken > 1
        && board
            .quantity
            .and_then(|quantity| usize::try_from(quantity).ok())
            == Some(n_taken)
}

/// The job with a change.
fn changed(job: &Job, change: &Change) -> Job {
    match *change {
        Change::Kerf(kerf) => job.with_kerf(kerf),
        Change::EndTrim(trim) => job.with_end_trim(trim),
        Change::NarrowerFaces(less) => job.with_narrower_faces(less),
        Change::Turned => job.with_turned_rails(),
        Change::FreeGrain => job.without_grain().unwrap_or_else(|| job.clone()),
        Change::EnoughOf(board_idx) => job.with_enough_of(|idx, _| idx == board_idx),
        Change::OneFewer(line) => job.with_one_fewer(line),
        Change::OneMore(line) => job.with_one_more(line),
    }
}

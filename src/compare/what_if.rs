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
use crate::money::Money;
use crate::pipeline::Planner;
use crate::plan::{Measure, Plan};
use crate::solve::{Control, Share, in_parallel};
use crate::stock::{Price, board_cost};

use super::Steer;
use super::rows::{Comparison, Row};
use crate::job::Line;

/// Kerf of a thin blade; common practice, no source: 3/32 in, or 2.4 mm.
const THIN_KERF: Length = Length::from_nm(2_381_250);
const THIN_KERF_METRIC: Length = Length::from_nm(2_400_000);
/// How much narrower a face is tried: 1/8 in, or 3 mm.
const LESS_FACE: Length = Length::from_nm(3_175_000);
const LESS_FACE_METRIC: Length = Length::from_nm(3_000_000);
/// Prices tried for one board; each at least halves what is left in practice, and the answer says if it ended here.
const MOST_PRICES: usize = 40;

/// So many changed jobs are held at a time; a large job has thousands of changes.
const TOGETHER: usize = 64;

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

/// A board that the best mix leaves at the yard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotBought {
    /// Index into `Job::boards`.
    pub board_idx: usize,
    /// What one costs.
    pub price: Money,
    /// The highest price at which the best mix would be cheaper with some of it, all else unchanged; `None` where it
    /// would not be cheaper even for nothing.
    pub pays_at: Option<Money>,
    /// Whether it is proved that it does not pay at the next higher price.
    pub is_proved: bool,
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

/// Finds what the best mix of a comparison depends on.
///
/// # Errors
/// The violations, where the check rejects a plan; that is a fault of the program, never of the job.
///
/// # Panics
/// Only if the program itself is at fault.
pub fn find_reasons(comparison: &Comparison, steer: &Steer<'_>) -> Result<Reasons, Vec<Violation>> {
    let (mut planner, control) = (Planner::new(), steer.control());
    let best = comparison.best_mix();
    let changes = list_changes(best);
    let boards = list_not_bought(comparison);
    let n_done = AtomicUsize::new(0);
    let n_tasks = changes.len() + boards.len();
    let done = || (steer.progress)(n_done.fetch_add(1, Ordering::Relaxed) + 1, n_tasks);
    // Woods that a change does not touch are solved once: here.
    let own = [best.job.clone()];
    let mix = planner.plan_all(&own, &[], Share::LONG, &control, &|| {})?;
    let mix = mix[0].as_ref().expect("the first job has an answer");
    let mut what_ifs = Vec::new();
    for changes in changes.chunks(TOGETHER) {
        if (control.stop)() {
            break;
        }
        let jobs = changes.iter().map(|change| changed(&best.job, change));
        let jobs: Vec<Job> = jobs.collect();
        let answers = planner.plan_all(&jobs, &[&mix.start], Share::SHORT, &control, &done)?;
        let planned = changes.iter().zip(jobs).zip(answers);
        what_ifs.extend(planned.filter_map(|((&change, job), answer)| {
            let plan = answer?.plan;
            Some(WhatIf { change, job, plan })
        }));
    }
    let not_bought = in_parallel(&boards, |&(board_idx, price)| {
        let found = price_that_pays(best, board_idx, price, &planner, &control);
        done();
        found
    });
    Ok(Reasons {
        n_untried: changes.len() - what_ifs.len(),
        what_ifs,
        not_bought,
    })
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

/// Boards with a price of which the best mix takes none, and which serve some part.
fn list_not_bought(comparison: &Comparison) -> Vec<(usize, Money)> {
    let best = comparison.best_mix();
    if best.plan.measure != Measure::Price || !best.is_proved() || !best.is_complete() {
        return Vec::new();
    }
    let is_taken = |idx: usize| best.plan.boards.iter().any(|board| board.board_idx == idx);
    let serves = |idx: usize| {
        comparison
            .woods
            .iter()
            .any(|wood| wood.boards.contains(&idx))
    };
    let boards = best.job.boards.iter().enumerate();
    boards
        .filter(|&(idx, board)| board.in_hand.is_none() && !is_taken(idx) && serves(idx))
        .filter_map(|(idx, board)| {
            let price =
                board_cost(board).expect("load refuses a price that cannot be worked out")?;
            Some((idx, price))
        })
        .collect()
}

/// The highest price at which the best mix with a board is cheaper than the best mix without it.
///
/// A plan that takes `n` of the board and costs `r` besides is cheaper than `v` up to the price `ceil((v - r) / n) - 1`.
/// From the price 0 on, each price tried is the first that the last plan does not bear; the plan found there, if it
/// is cheaper than `v`, bears a higher one, and if there is none the last price was the highest.
///
/// # Source
/// The method of Newton for fractional objectives (W. Dinkelbach, Management Science 13(7), 1967), in whole numbers.
fn price_that_pays(
    best: &Row,
    board_idx: usize,
    price: Money,
    planner: &Planner,
    control: &Control<'_>,
) -> NotBought {
    let value = best.plan.value;
    let mut found = NotBought {
        board_idx,
        price,
        pays_at: None,
        is_proved: false,
    };
    let mut next = 0;
    for _ in 0..MOST_PRICES {
        if (control.stop)() {
            break;
        }
        // Nothing is cheaper at the board's own price than the proved best mix.
        if next >= price.minor() {
            found.is_proved = true;
            break;
        }
        let tried = best
            .job
            .with_price(board_idx, Price::Each(Money::from_minor(next)));
        let Some(outcome) = planner.outcome(&tried, Some(value), Share::SHORT, control) else {
            found.is_proved = Planner::knows_all_ways(&tried);
            break;
        };
        let taken = outcome.taken.get(&board_idx).copied().map_or(0, i64::from);
        // Where the search ended early, nothing cheaper may have been found.
        if outcome.value >= value || taken == 0 {
            break;
        }
        let rest = outcome.value - next * taken;
        // The last price at which this plan is cheaper than the best mix: at least the one that was tried.
        let bears = (value - rest + taken - 1) / taken - 1;
        found.pays_at = Some(Money::from_minor(bears));
        next = bears + 1;
    }
    found
}

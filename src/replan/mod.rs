//! At the bench: the rest of a job planned anew from the boards as they now are, and for the job as it now is.
//!
//! A [`Bench`] is a job with the sheets it has been cut by: the first plan, then one for each time that something came
//! between. [`replan`] is told the [`News`]: which cuts have been made since and which of them were spoiled, what was measured
//! of the boards, and the job, if that has changed. What is done stays, and serves the job as it now is; what still fits stays
//! to be cut; spoiled parts go back into the demand, and what is good of them into the stock, as do parts that are no longer
//! wanted; a begun board is what its cuts have left of it; boards of earlier sheets are bought already and cost nothing more.
//!
//! `parts` says which parts of two jobs are the same, `serve` which cut serves what, `hand` what wood there is, `fit` which cuts
//! can still be made; `rest` makes a job of all that, which is planned and checked like any other, and is the next sheet;
//! `changed` says what became of the sheets before; `offcuts` keeps the
//! names that are written on what is left.
//!
//! This module decides nothing about texts: `report` has the words.

mod bench;
mod changed;
mod demand;
mod fit;
mod hand;
mod names;
mod offcuts;
mod parts;
mod rest;
mod serve;
mod total;

use std::collections::BTreeSet;

use crate::audit::Violation;
use crate::pipeline::{Planned, Planner};
use crate::solve::{Control, Share};

use hand::Hand;
use parts::wood;

pub use bench::{Bench, Marks, Measured, News, Place, Round, Sheet, Stick, Wishes};
pub use changed::{Again, FromLonger, RailInHand};
pub use rest::{Draft, Impossible};
pub use total::Total;

/// Work for each plan of the rest: of the few that are made, up to three for each kind of change where there are wishes for grain or
/// color and else one, none keeps somebody who stands at the saw for longer than some seconds in all.
const SHARE: Share = Share::steps(150_000_000);

/// How much of the old plan stays; the least change that does as well as the greatest is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Change {
    /// All cuts that are still to be made stay where they are, if they still fit; only what is missing is new.
    Nothing,
    /// Boards that are not begun keep their cuts; begun ones are cut otherwise from here on, where they are of a wood of which
    /// something is planned anew.
    BegunBoards,
    /// So are boards on which a cut no longer fits or is no longer wanted; all others keep their cuts.
    TouchedBoards,
    /// So are all boards of those woods; other woods keep their cuts.
    TouchedWoods,
    /// Boards that are not begun may be cut otherwise too.
    AllBoards,
}

/// The rest of a job, planned anew.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Replanned {
    /// The bench with the new sheet, whose job is what is still to be cut beyond what stays: its pieces are the parts, its
    /// rack the boards of the earlier sheets as they now are, its boards what can still be bought.
    pub bench: Bench,
    /// The plan of the new sheet, checked, with its proof.
    pub planned: Planned,
    /// How much of the old plan is changed.
    pub change: Change,
    /// Cuts of the sheets before that were still to be made, and cannot be any more: their board is not there or too short,
    /// there is a knot, or no room for the saw.
    pub misfits: BTreeSet<Place>,
    /// Cuts of the sheets before that were still to be made, and that the job no longer wants.
    pub unwanted: BTreeSet<Place>,
}

impl Replanned {
    /// What has been cut since the sheet before, and what stays.
    ///
    /// # Panics
    /// Never: a new sheet comes with its round.
    pub fn round(&self) -> &Round {
        self.bench.rounds().last().expect("a sheet was added")
    }
}

/// Plans what is left of a job, once the news since the last sheet are known.
///
/// With the greatest [`Change`] the plan has the most freedom, so none is better; the least change that leaves as few
/// parts missing and buys for no more than that is taken. Where `control.stop` ends the search, the best that is known by
/// then is.
///
/// # Errors
/// The violations, where the check rejects a plan; that is a fault of the program, never of the job.
///
/// # Panics
/// If the news are not of this bench: a mark is not an open place, or is there twice.
pub fn replan(
    bench: &Bench,
    news: &News,
    control: &Control<'_>,
) -> Result<Replanned, Vec<Violation>> {
    // Its plans have many boards in common.
    let planner = Planner::with_proofs();
    let planned = |change, kept| planned(bench, news, (change, kept), &planner, control);
    let open = still_open(bench, news);
    let least = planned(Change::Nothing, bench.can_stay(news, &open))?;
    if worth(&least) == (0, 0) || (control.stop)() {
        return Ok(least);
    }
    let most = planned(Change::AllBoards, BTreeSet::new())?;
    if worth(&least) <= worth(&most) {
        return Ok(least);
    }
    let touched = Touched::new(bench, news, &least);
    let mut tried = vec![least.round().kept.clone()];
    for change in [
        Change::BegunBoards,
        Change::TouchedBoards,
        Change::TouchedWoods,
    ] {
        if (control.stop)() {
            break;
        }
        let wished = open.iter().filter(|&&place| touched.keeps(change, place));
        let kept = bench.can_stay(news, &wished.copied().collect());
        if kept.is_empty() {
            return Ok(Replanned { change, ..most });
        }
        if tried.contains(&kept) {
            continue;
        }
        let between = planned(change, kept.clone())?;
        if worth(&between) <= worth(&most) {
            return Ok(between);
        }
        tried.push(kept);
    }
    Ok(most)
}

/// What the news since the last sheet touch.
struct Touched<'b> {
    bench: &'b Bench,
    /// Boards from which something has been cut.
    begun: BTreeSet<Stick>,
    /// Boards on which a cut no longer fits or is no longer wanted.
    boards: BTreeSet<Stick>,
    /// The woods of what is planned anew even where all cuts stay that can.
    woods: BTreeSet<Option<String>>,
}

impl Touched<'_> {
    /// `least` has the rest planned where all cuts stay that can.
    fn new<'b>(bench: &'b Bench, news: &News, least: &Replanned) -> Touched<'b> {
        let made = bench.made();
        let made = made.made().chain(news.marks.made());
        let lost = least.misfits.union(&least.unwanted);
        let after = &least.bench;
        let newest = after.last().places(after.rounds().len());
        let anew = newest.map(|place| after.planned_part(place).1);
        let anew = anew.chain(after.missing());
        Touched {
            bench,
            begun: made.map(|place| bench.stick_at(place)).collect(),
            boards: lost.map(|&place| bench.stick_at(place)).collect(),
            woods: anew.map(|part| wood(after.job(), part)).collect(),
        }
    }

    /// Whether a change leaves an open cut where it is, if that still fits.
    fn keeps(&self, change: Change, place: Place) -> bool {
        let stick = self.bench.stick_at(place);
        let is_whole = !self.begun.contains(&stick);
        // What names no wood may be of any.
        let (job, part) = self.bench.planned_part(place);
        let own = wood(job, part);
        let is_of_another =
            own.is_some() && !self.woods.contains(&None) && !self.woods.contains(&own);
        match change {
            Change::Nothing => true,
            Change::BegunBoards => is_of_another || is_whole,
            Change::TouchedBoards => is_of_another || (is_whole && !self.boards.contains(&stick)),
            Change::TouchedWoods => is_of_another,
            Change::AllBoards => false,
        }
    }
}

/// Cuts that were to be made and have not been since.
fn still_open(bench: &Bench, news: &News) -> BTreeSet<Place> {
    let open = bench.open().into_iter();
    open.filter(|&place| !news.marks.is_made(place)).collect()
}

/// Parts missing, then what is still to be bought.
fn worth(rest: &Replanned) -> (usize, i64) {
    let plan = &rest.planned.plan;
    (plan.missing.len(), plan.value)
}

/// The rest planned with so much of a change, by which these cuts stay.
fn planned(
    bench: &Bench,
    news: &News,
    (change, kept): (Change, BTreeSet<Place>),
    planner: &Planner,
    control: &Control<'_>,
) -> Result<Replanned, Vec<Violation>> {
    let open = still_open(bench, news);
    let fitting = Hand::new(bench, news, bench.job_after(news)).fitting(&open);
    let misfits = &open - &fitting;
    let unwanted = &fitting - &bench.can_stay(news, &open);
    let draft = |wishes| {
        bench
            .draft(news, kept.clone(), wishes)
            .expect("news are of this bench, and what is kept can be")
    };
    let plan = |draft: &Draft| planner.plan_with_asides(&draft.job, SHARE, control);
    let mut wishes = Wishes::default();
    let mut best = draft(wishes);
    let mut planned = plan(&best)?;
    // Grain and color are wishes: frames keep them where as few parts are missing, single rails where it costs nothing.
    let whole = Wishes {
        frames: true,
        ..wishes
    };
    let with_frames = draft(whole);
    if with_frames.job != best.job && !(control.stop)() {
        let other = plan(&with_frames)?;
        if other.plan.missing.len() <= planned.plan.missing.len() {
            (wishes, best, planned) = (whole, with_frames, other);
        }
    }
    let near = draft(Wishes {
        near: true,
        ..wishes
    });
    if near.job != best.job && !(control.stop)() {
        let other = plan(&near)?;
        let worth = |planned: &Planned| (planned.plan.missing.len(), planned.plan.value);
        if worth(&other) <= worth(&planned) {
            (best, planned) = (near, other);
        }
    }
    let mut bench = bench.clone();
    bench.push(best, planned.plan, planned.certificate.clone());
    planned.plan = bench.last().plan.clone();
    Ok(Replanned {
        bench,
        planned,
        change,
        misfits,
        unwanted,
    })
}

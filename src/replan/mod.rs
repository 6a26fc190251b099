//! After a miscut: the rest of a job planned anew from the boards as they now are.
//!
//! A [`Bench`] is a job with the sheets it has been cut by: the first plan, then one for each miscut. [`replan`] is told
//! which cuts have been made since and which of them were spoiled. What is done stays; spoiled parts go back into the
//! demand; a begun board is what its cuts have left of it; boards of earlier sheets are bought already and cost nothing
//! more. `rest` makes a job of all that, which is planned and checked like any other, and is the next sheet.
//!
//! This module decides nothing about texts: `report` has the words.

mod bench;
mod names;
mod rest;
mod spares;

use std::collections::BTreeSet;

use crate::audit::Violation;
use crate::pipeline::{Planned, Planner};
use crate::solve::{Control, Share};

pub use bench::{Bench, Marks, Place, Round, Sheet, Stick};
pub use rest::Draft;

/// Work for each plan of the rest: of the three that are made, with what is told beside them, none keeps somebody who
/// stands at the saw for longer than some seconds in all.
const SHARE: Share = Share::steps(150_000_000);

/// How much of the old plan stays; the least change that does as well as the greatest is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Change {
    /// All cuts that are still to be made stay where they are; only what is missing is new.
    Nothing,
    /// Boards that are not begun keep their cuts; begun ones are cut otherwise from here on.
    BegunBoards,
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

/// Plans what is left of a job, of whose sheets some cuts have been made since the last.
///
/// With the greatest [`Change`] the plan has the most freedom, so none is better; the least change that leaves as few
/// parts missing and buys for no more than that is taken. Where `control.stop` ends the search, the best that is known by
/// then is.
///
/// # Errors
/// The violations, where the check rejects a plan; that is a fault of the program, never of the job.
///
/// # Panics
/// If a mark is not an open place of the bench, or is there twice.
pub fn replan(
    bench: &Bench,
    marks: &Marks,
    control: &Control<'_>,
) -> Result<Replanned, Vec<Violation>> {
    // Its three plans have many boards in common.
    let planner = Planner::with_proofs();
    let planned = |change| planned(bench, marks, change, &planner, control);
    let least = planned(Change::Nothing)?;
    if worth(&least) == (0, 0) || (control.stop)() {
        return Ok(least);
    }
    let most = planned(Change::AllBoards)?;
    if worth(&least) <= worth(&most) {
        return Ok(least);
    }
    if (control.stop)() {
        return Ok(most);
    }
    let between = planned(Change::BegunBoards)?;
    Ok(if worth(&between) <= worth(&most) {
        between
    } else {
        most
    })
}

/// Parts missing, then what is still to be bought.
fn worth(rest: &Replanned) -> (usize, i64) {
    let plan = &rest.planned.plan;
    (plan.missing.len(), plan.value)
}

/// The rest planned with so much of a change.
fn planned(
    bench: &Bench,
    marks: &Marks,
    change: Change,
    planner: &Planner,
    control: &Control<'_>,
) -> Result<Replanned, Vec<Violation>> {
    let made = bench.made();
    let begun: BTreeSet<Stick> = made
        .made()
        .chain(marks.made())
        .map(|place| bench.stick(place.sheet, place.board))
        .collect();
    let open = bench.open().into_iter();
    let kept = open
        .filter(|&place| !marks.is_made(place))
        .filter(|place| match change {
            Change::Nothing => true,
            Change::BegunBoards => !begun.contains(&bench.stick(place.sheet, place.board)),
            Change::AllBoards => false,
        })
        .collect();
    let draft = bench
        .draft(marks.clone(), kept)
        .expect("marks are open places, and what is kept is not marked");
    let planned = planner.plan_with_asides(&draft.job, SHARE, control)?;
    let mut bench = bench.clone();
    bench.push(draft, planned.plan.clone(), planned.certificate.clone());
    Ok(Replanned {
        bench,
        planned,
        change,
    })
}

//! After a miscut: the rest of a job planned anew from the boards as they now are.
//!
//! [`replan`] is given the plan that was being cut, and which of its cuts are done and which were spoiled. What is done
//! stays; spoiled parts go back into the demand; a begun board is what its cuts have left of it; boards of the old plan
//! are bought already and cost nothing more. `rest` makes a job of all that, which is planned and checked like any other.
//!
//! This module decides nothing about texts: `report` has the words.

mod rest;
mod spares;

use std::collections::BTreeSet;

use crate::job::Job;
use crate::pipeline::{Planned, plan};
use crate::plan::{Part, Plan, PlannedBoard, Violation};
use crate::solve::Control;
use rest::rest_of;
use spares::from_spares;

/// A cut of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Position in `Plan::boards`.
    pub board: usize,
    /// Position among the board's strips.
    pub strip: usize,
    /// Position among the strip's cuts.
    pub cut: usize,
}

/// What has been cut so far; no cut is both.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Marks {
    /// Cut well.
    pub done: BTreeSet<Place>,
    /// Cut, and spoiled: the part is wanted again, and its wood is gone.
    pub spoiled: BTreeSet<Place>,
}

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
    /// What is still to be cut beyond what stays, as a job: its pieces are the parts, its rack the old plan's boards as
    /// they now are, its boards what can still be bought.
    pub job: Job,
    /// `sources[b]`: which board of the old plan the job's board `b` is, and which strip of it where it is not whole any
    /// more; `None` for what the old plan does not use.
    pub sources: Vec<Option<Source>>,
    /// Its plan, checked.
    pub planned: Planned,
    /// How much of the old plan is changed.
    pub change: Change,
    /// Parts that are cut already.
    pub done: Vec<Part>,
    /// Parts whose rails were spoiled.
    pub spoiled: Vec<Part>,
    /// Which of them are cut from a spare rail, and which: the spare is cut already, or will be.
    pub from_spares: Vec<(Part, Part)>,
    /// Cuts that stay as the old plan has them, in its order.
    pub kept: Vec<Place>,
}

/// A board of the old plan, or a strip of one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    /// Position in the old plan's boards.
    pub board: usize,
    /// Position among its strips; `None` where all of the board is left.
    pub strip: Option<usize>,
}

impl Marks {
    /// Whether a cut has been made, well or not.
    pub fn is_made(&self, place: Place) -> bool {
        self.done.contains(&place) || self.spoiled.contains(&place)
    }

    /// Whether any cut of a board has been made.
    fn has_begun(&self, board: usize) -> bool {
        self.done
            .iter()
            .chain(&self.spoiled)
            .any(|place| place.board == board)
    }
}

/// All cuts of a plan.
pub fn places(plan: &Plan) -> impl Iterator<Item = Place> + '_ {
    plan.boards.iter().enumerate().flat_map(|(board, planned)| {
        let strips = planned.strips.iter().enumerate();
        strips.flat_map(move |(strip, of)| {
            (0..of.cuts.len()).map(move |cut| Place { board, strip, cut })
        })
    })
}

/// The part of a place.
///
/// # Panics
/// If the place is not one of the plan.
pub fn part_at(plan: &Plan, place: Place) -> Part {
    let board: &PlannedBoard = &plan.boards[place.board];
    board.strips[place.strip].cuts[place.cut].part
}

/// Plans the rest of `job`, of which `plan` is a checked plan.
///
/// With the greatest [`Change`] the plan has the most freedom, so none is better; the least change that leaves as few
/// parts missing and buys for no more than that is taken.
///
/// # Errors
/// The violations, where the check rejects a plan; that is a fault of the program, never of the job.
///
/// # Panics
/// If a mark is not a place of the plan.
pub fn replan(
    job: &Job,
    old: &Plan,
    marks: &Marks,
    control: &Control<'_>,
) -> Result<Replanned, Vec<Violation>> {
    let least = planned(job, old, marks, Change::Nothing, control)?;
    if worth(&least) == (0, 0) {
        return Ok(least);
    }
    let most = planned(job, old, marks, Change::AllBoards, control)?;
    if worth(&least) <= worth(&most) {
        return Ok(least);
    }
    let between = planned(job, old, marks, Change::BegunBoards, control)?;
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
    job: &Job,
    old: &Plan,
    marks: &Marks,
    change: Change,
    control: &Control<'_>,
) -> Result<Replanned, Vec<Violation>> {
    let kept: BTreeSet<Place> = places(old)
        .filter(|&place| !marks.is_made(place))
        .filter(|place| match change {
            Change::Nothing => true,
            Change::BegunBoards => !marks.has_begun(place.board),
            Change::AllBoards => false,
        })
        .collect();
    let from_spares = from_spares(job, old, marks);
    let replaced: BTreeSet<Part> = from_spares.iter().map(|&(part, _)| part).collect();
    let (rest, sources) = rest_of(job, old, marks, &kept, &replaced);
    let planned = plan(&rest, control)?;
    Ok(Replanned {
        job: rest,
        sources,
        planned,
        change,
        done: parts(old, &marks.done),
        spoiled: parts(old, &marks.spoiled),
        from_spares,
        kept: kept.into_iter().collect(),
    })
}

fn parts(plan: &Plan, places: &BTreeSet<Place>) -> Vec<Part> {
    places.iter().map(|&place| part_at(plan, place)).collect()
}

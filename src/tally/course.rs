//! What follows each other along a strip: cuts, stretches to skip, and what is left.

use crate::length::Length;
use crate::plan::{Gap, Plan, defects_on, gaps, is_kept};

/// One thing that one comes to along a strip, from its near end on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Course {
    /// The cut at this position among the strip's.
    Cut(usize),
    /// A stretch to skip, between two places from the untrimmed near end.
    Skip {
        /// From.
        from: Length,
        /// To.
        to: Length,
        /// Whether an earlier sheet has cut there; if not it is a defect.
        is_gone: bool,
    },
    /// What is left behind the last cut, or is long enough to keep.
    Left {
        /// Where.
        gap: Gap,
        /// What becomes of it.
        fate: Fate,
    },
}

/// What becomes of a piece that is left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// The job asks for it, as a spare offcut.
    Spare,
    /// It is kept.
    Rack,
    /// It is too short.
    Scrap,
}

/// All that one comes to along a strip of the board at a position of the plan, in order.
///
/// # Panics
/// If there is no such board or strip.
pub fn course(plan: &Plan, position: usize, strip_idx: usize) -> Vec<Course> {
    let job = &plan.job;
    let planned = &plan.boards[position];
    let board = &job.boards[planned.board_idx];
    let wood = planned.wood_of_strip(job, strip_idx);
    let is_gone = |from: Length| wood.gone().any(|(gone, _)| gone == from);
    // Of a rail in hand there is nothing at the ends that could be skipped.
    let is_absent = |from: Length, to: Length| {
        let is_end = from == Length::ZERO || to == board.length;
        board.given.rail.is_some() && is_end && is_gone(from)
    };
    let cuts = planned.strips[strip_idx].cuts.iter().enumerate();
    let cuts = cuts.map(|(idx, cut)| (cut.from, Course::Cut(idx)));
    let defects = defects_on(job, planned, strip_idx).into_iter();
    let skipped = defects.filter(|&(from, to)| !is_absent(from, to));
    let skipped = skipped.map(|(from, to)| {
        let is_gone = is_gone(from);
        (from, Course::Skip { from, to, is_gone })
    });
    let is_spare = |gap: &Gap| {
        plan.spare_offcuts.iter().any(|spare| {
            (spare.board, spare.strip) == (position, strip_idx)
                && (gap.from..gap.to).contains(&spare.from)
        })
    };
    let left = gaps(job, planned, strip_idx).into_iter();
    let left = left.filter_map(|gap| {
        let fate = match is_kept(job, gap.clear) {
            // What is too short before and between cuts is no piece of its own.
            false if !gap.is_last => return None,
            _ if is_spare(&gap) => Fate::Spare,
            true => Fate::Rack,
            false => Fate::Scrap,
        };
        Some((gap.from, Course::Left { gap, fate }))
    });
    let mut course: Vec<(Length, Course)> = cuts.chain(skipped).chain(left).collect();
    course.sort_by_key(|&(from, _)| from);
    course.into_iter().map(|(_, course)| course).collect()
}

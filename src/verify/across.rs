//! Boards on which the places of strips across matter, because a defect leaves part of the width clear.

use std::collections::{BTreeMap, BTreeSet};

use crate::length::Length;
use crate::stock::{Board, Rip, Run};

/// Where strips may begin across a board on which their places matter: at the left edge, or where a defect on that edge ends.
pub(super) fn starts(board: &Board, rip: &Rip) -> BTreeSet<Length> {
    let on_the_left = board.defects.iter().filter_map(|defect| {
        let (from, to) = defect.span(board, rip);
        (from == Length::ZERO && !defect.takes_all(board.width)).then(|| to.max(rip.kerf))
    });
    on_the_left.chain([Length::ZERO]).collect()
}

/// All sections with all places that their strips may have, side by side from one of the [`starts`].
pub(super) fn reachable(board: &Board, rip: &Rip, ripped: &[(usize, Length)]) -> Vec<(usize, Run)> {
    let room = board.width.map_or(Length::ZERO, |width| rip.room(width));
    let mut open = starts(board, rip);
    let mut found = Vec::new();
    while let Some(at) = open.pop_first() {
        for &(section, width) in ripped {
            let end = at + width;
            if end <= room {
                found.push((section, (at, end)));
                open.insert(end + rip.kerf);
            }
        }
    }
    found
}

/// The worth of the best strips side by side on a board on which their places matter.
///
/// `worth(section, across)` is that of a strip of a section at its place.
pub(super) fn best_across(
    board: &Board,
    rip: &Rip,
    ripped: &[(usize, Length)],
    worth: &dyn Fn(usize, Run) -> i64,
) -> i64 {
    // Places come in rising order, so what lies before each is known when it is met.
    let mut so_far: BTreeMap<Length, i64> =
        starts(board, rip).into_iter().map(|at| (at, 0)).collect();
    for (section, (at, end)) in reachable(board, rip, ripped) {
        let with = so_far[&at] + worth(section, (at, end));
        let next = so_far.entry(end + rip.kerf).or_default();
        *next = (*next).max(with);
    }
    so_far.into_values().max().unwrap_or(0)
}

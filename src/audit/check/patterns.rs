//! Which boards are cut alike.

use std::collections::BTreeMap;

use super::{Figure, Place, Violation, Wanted, wrong};
use crate::length::Length;
use crate::plan::{Cut, Plan, PlannedBoard};

/// What makes two boards alike: their kind, where the yard cuts them and what they are resawn into, where their strips begin, and of each cut its strip, its place and way round, and
/// its class; and what is left on purpose.
type Likeness = (
    usize,
    (Vec<Length>, Option<Length>),
    Vec<(usize, Length)>,
    Vec<Option<CutLikeness>>,
    Vec<(usize, Length, Length)>,
);

/// Strip, place, way round, and class.
type CutLikeness = (usize, Length, Length, bool, usize);

/// Boards cut alike stand side by side under one number, and the numbers rise from 1.
pub(super) fn check_patterns(wanted: &Wanted<'_>, plan: &Plan, found: &mut Vec<Violation>) {
    let likeness = |position: usize, board: &PlannedBoard| {
        let of_cut = |(strip_idx, cut): (usize, &Cut)| {
            let (_, part) = wanted.part(cut.part)?;
            Some((strip_idx, cut.from, cut.to, cut.turned, part.class))
        };
        let cuts = board
            .strips
            .iter()
            .enumerate()
            .flat_map(|(strip_idx, strip)| strip.cuts.iter().map(move |cut| (strip_idx, cut)));
        let places = board
            .strips
            .iter()
            .map(|strip| (strip.stretch, strip.from_edge));
        let left = plan.spare_offcuts.iter();
        let left = left.filter(|left| left.board == position);
        (
            board.board_idx,
            (board.yard_cuts().collect(), board.resawn),
            places.collect(),
            cuts.map(of_cut).collect(),
            left.map(|left| (left.strip, left.from, left.to)).collect(),
        )
    };
    let mut numbers: BTreeMap<Likeness, u32> = BTreeMap::new();
    let mut last: Option<(Likeness, u32)> = None;
    let mut next = 1;
    for (position, board) in plan.boards.iter().enumerate() {
        let likeness = likeness(position, board);
        let number = match &last {
            Some((last_likeness, number)) if *last_likeness == likeness => *number,
            _ => {
                let number = *numbers.entry(likeness.clone()).or_insert(next);
                // A pattern met again after another one keeps its number but breaks the sequence.
                if number != next {
                    let place = Place::board(position);
                    found.push(wrong(place, Figure::Pattern, board.pattern, number));
                }
                next += u32::from(number == next);
                last = Some((likeness, number));
                number
            }
        };
        if board.pattern != number {
            let place = Place::board(position);
            found.push(wrong(place, Figure::Pattern, board.pattern, number));
        }
    }
}

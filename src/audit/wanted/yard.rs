//! What boards are parted into: cut at the yard, and resawn.

use super::Wanted;
use super::wood::{Stretch, is_begun};
use crate::audit::nm;
use crate::job::Job;
use crate::length::Length;
use crate::stock::{AtYard, Board, YardPlaces};

/// So many ways to cut a board are looked at; no job has as many.
const MOST_WAYS: usize = 1_000;

/// No board is resawn into more slices.
const MOST_SLICES: i128 = 8;

/// A board of a line, or a stretch of one that the yard cuts off, or a slice of either: a stick with two raw ends.
///
/// Places along it are measured from its own near end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::audit) struct Stick {
    /// The line.
    pub(in crate::audit) board_idx: usize,
    /// From and to, from the near end of the board as it is sold.
    pub(in crate::audit) along: Stretch,
    /// Of a slice, how thick it is once it is planed.
    pub(in crate::audit) slice: Option<Length>,
}

impl Stick {
    pub(in crate::audit) fn length(self) -> i128 {
        self.along.1 - self.along.0
    }
}

impl Wanted<'_> {
    /// A board of a line as it is sold.
    pub(in crate::audit) fn whole(&self, board_idx: usize) -> Stick {
        Stick {
            board_idx,
            along: (0, nm(self.job.boards[board_idx].length)),
            slice: None,
        }
    }

    /// The ways to part a board of a line, each with its sticks from the near end: at the yard, if it cuts the board, and as it
    /// is then or with every stick of that resawn into slices of one of the thicknesses that are wanted.
    pub(in crate::audit) fn partings(&self, board_idx: usize) -> Vec<Vec<Stick>> {
        let mut partings = self.yard_partings(board_idx);
        let n_of_yard = partings.len();
        for (slice, n_slices) in self.slices(board_idx) {
            for nth in 0..n_of_yard {
                let of_yard = partings[nth].iter();
                let sliced = of_yard.flat_map(|&stick| {
                    let slice = Some(slice);
                    (0..n_slices).map(move |_| Stick { slice, ..stick })
                });
                partings.push(sliced.collect());
            }
        }
        partings
    }

    /// The thicknesses that boards of a line are resawn to, rising, each with how many slices one gives.
    fn slices(&self, board_idx: usize) -> Vec<(Length, i128)> {
        let board = &self.job.boards[board_idx];
        let mut wanted: Vec<Length> = self.sections.iter().filter_map(|q| q.thickness).collect();
        wanted.sort_unstable();
        wanted.dedup();
        let of = |thickness| Some((thickness, n_slices(self.job, board, thickness)?));
        wanted.into_iter().filter_map(of).collect()
    }

    /// Whether boards of a line may be parted in any way.
    pub(in crate::audit) fn may_be_parted(&self, board_idx: usize) -> bool {
        self.is_cut_at_yard(board_idx) || self.may_be_resawn(board_idx)
    }

    /// Whether boards of a line may be resawn.
    pub(in crate::audit) fn may_be_resawn(&self, board_idx: usize) -> bool {
        !self.slices(board_idx).is_empty()
    }

    /// The ways to part a board of a line at the yard; the board itself, where it is not cut there.
    fn yard_partings(&self, board_idx: usize) -> Vec<Vec<Stick>> {
        let board = &self.job.boards[board_idx];
        let Some(yard) = &board.at_yard else {
            return vec![vec![self.whole(board_idx)]];
        };
        let far_end = nm(board.length);
        let parting = |cuts: &Vec<i128>| {
            let mut from = 0;
            let mut sticks = Vec::new();
            for &at in cuts {
                sticks.push((from, at));
                from = at + nm(yard.kerf);
            }
            sticks.push((from, far_end));
            let sticks = sticks.into_iter();
            let stick = |along| Stick {
                board_idx,
                along,
                slice: None,
            };
            sticks.map(stick).collect()
        };
        yard_cuts(board).iter().map(parting).collect()
    }

    /// All sticks that a board of a line may be parted into, in any way.
    pub(in crate::audit) fn sticks(&self, board_idx: usize) -> Vec<Stick> {
        let mut sticks = self.partings(board_idx).concat();
        sticks.sort_unstable();
        sticks.dedup();
        sticks
    }

    /// Whether the yard cuts boards of a line.
    pub(in crate::audit) fn is_cut_at_yard(&self, board_idx: usize) -> bool {
        self.job.boards[board_idx].at_yard.is_some()
    }
}

/// How many slices of a thickness a board is resawn into; `None` where it is not: the shop does not resaw, the saw does not
/// take the board, something was done to it already, or there would be but one.
pub(super) fn n_slices(job: &Job, board: &Board, thickness: Length) -> Option<i128> {
    let resaw = job.shop.rip?.resaw?;
    let room = nm(board.thickness?);
    let fits_saw = match (resaw.widest, board.width) {
        (None, _) => true,
        (Some(widest), Some(width)) => width <= widest,
        (Some(_), None) => false,
    };
    let in_hand = board.in_hand.as_ref();
    let is_milled = in_hand.is_some_and(|in_hand| in_hand.moulding.is_some());
    if !fits_saw || is_milled || is_begun(board) {
        return None;
    }
    // One after the other, each with the kerf that parts it from the one before.
    let each = nm(thickness) + nm(resaw.planing);
    let mut n_slices = 0;
    let mut taken = 0;
    while n_slices < MOST_SLICES {
        taken += each + if n_slices > 0 { nm(resaw.kerf) } else { 0 };
        if taken > room {
            break;
        }
        n_slices += 1;
    }
    (n_slices > 1).then_some(n_slices)
}

/// What the yard charges for its cuts of a board, in minor units.
pub(super) fn charges(board: &Board) -> Option<i64> {
    let Some(yard) = &board.at_yard else {
        return Some(0);
    };
    let n_cuts = i64::try_from(fewest(yard, nm(board.length))?).ok()?;
    n_cuts.checked_mul(yard.charge.minor())
}

/// All ways to cut a board as few times as can be: the places of each, rising.
fn yard_cuts(board: &Board) -> Vec<Vec<i128>> {
    let (Some(yard), length) = (&board.at_yard, nm(board.length)) else {
        return vec![Vec::new()];
    };
    let Some(n_cuts) = fewest(yard, length) else {
        return Vec::new();
    };
    // From the far end on: what is still to be parted ends at the cut that was chosen last.
    let mut open = vec![(length, Vec::new())];
    for n_before in (0..n_cuts).rev() {
        let n_before = i128::try_from(n_before).expect("a board has few cuts");
        let mut next: Vec<(i128, Vec<i128>)> = Vec::new();
        for (end, cuts) in open {
            let least = (end - nm(yard.longest) - nm(yard.kerf)).max(1);
            let most = (nm(yard.longest) + nm(yard.kerf)) * n_before + nm(yard.longest);
            let most = most.min(end - nm(yard.kerf) - 1);
            let mut at = first_from(yard, least).filter(|&at| at <= most);
            while let Some(place) = at.filter(|_| next.len() < MOST_WAYS) {
                // What lies before the cut must do with the cuts that are left.
                if fewest(yard, place) == Some(usize::try_from(n_before).unwrap_or(0)) {
                    next.push((place, [&[place], &cuts[..]].concat()));
                }
                at = first_from(yard, place + 1).filter(|&at| at <= most);
            }
        }
        open = next;
    }
    open.into_iter().map(|(_, cuts)| cuts).collect()
}

/// The fewest cuts that leave no stretch longer than will do: the last stretch is as long as can be, and so on towards the
/// near end.
fn fewest(yard: &AtYard, length: i128) -> Option<usize> {
    let (mut end, mut n_cuts) = (length, 0);
    while end > nm(yard.longest) {
        let least = (end - nm(yard.longest) - nm(yard.kerf)).max(1);
        end = first_from(yard, least).filter(|&at| at + nm(yard.kerf) < end)?;
        n_cuts += 1;
    }
    Some(n_cuts)
}

/// The first place at or behind `from` at which the yard may cut.
fn first_from(yard: &AtYard, from: i128) -> Option<i128> {
    match &yard.places {
        YardPlaces::Every(step) => {
            let step = nm(*step);
            Some(from + (step - from % step) % step)
        }
        YardPlaces::Listed(places) => {
            let places = places.iter().map(|&at| nm(at));
            places.filter(|&at| at >= from).min()
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::money::Money;
    use crate::samples;

    proptest! {
        #![proptest_config(cases!())]

        // The other room has its own search, from the near end.
        #[test]
        fn the_ways_to_part_a_board_are_those_of_the_stock(
            length in 1_i64..60,
            longest in 1_i64..30,
            kerf in 0_i64..4,
            places in prop::collection::btree_set(1_i64..60, 0..9),
            step in prop::option::of(1_i64..9),
        ) {
            let nm = Length::from_nm;
            // Places that are no farther apart than the saw is wide are refused when they are read.
            prop_assume!(step.is_none_or(|step| step > kerf));
            let mut apart: Vec<i64> = Vec::new();
            for place in places {
                if apart.last().is_none_or(|last| place - last > kerf) {
                    apart.push(place);
                }
            }
            let places = apart;
            let listed = places.into_iter().map(nm).collect();
            let yard = AtYard {
                longest: nm(longest),
                kerf: nm(kerf),
                charge: Money::from_minor(7),
                places: step.map_or(YardPlaces::Listed(listed), |step| YardPlaces::Every(nm(step))),
            };
            let board = Board {
                at_yard: Some(yard.clone()),
                ..samples::board("oak", nm(length), None)
            };
            let ways = yard.ways(nm(length));
            if ways.len() <= AtYard::MOST_WAYS {
                let mut found = yard_cuts(&board);
                found.sort_unstable();
                let ways: Vec<Vec<i128>> = ways
                    .iter()
                    .map(|cuts| cuts.iter().map(|at| i128::from(at.nm())).collect())
                    .collect();
                prop_assert_eq!(found, ways);
                let n_cuts = yard.fewest_cuts(nm(length));
                prop_assert_eq!(charges(&board), n_cuts.map(|n_cuts| 7 * i64::from(n_cuts)));
            }
        }
    }
}

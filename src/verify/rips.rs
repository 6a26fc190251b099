//! The ways to rip a board, told apart as far as a claim tells them apart.
//!
//! Every board of a plan is taken for ripped in one of the maximal ways that have room for its strips; which of them
//! does not matter, as long as it is one.
//! What a claim lists is just a name for some of these ways: a way it does not list is not counted by any of its cases.

use super::model::Model;
use super::proof::RipWorths;
use super::strips::StripKind;
use crate::stock::Taking;

/// A claim that tells apart the ways of a board with more of them is not checked, and proves nothing.
const MOST_WAYS: usize = 50_000;

/// The ways to cut one board.
pub(super) struct Ways {
    /// Strips that are the whole board.
    whole: Vec<StripKind>,
    /// Strips that are ripped from it.
    ripped: Vec<StripKind>,
    /// How many of each ripped strip a way gives, and which of the claim's rips it is.
    rips: Vec<(Vec<u32>, Option<usize>)>,
}

/// A board has more than [`MOST_WAYS`] ways.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct TooMany;

/// A rip that a claim lists: its number, and for each of its strips the classes that may lie on it.
pub(super) struct Listed<'c> {
    /// Number in the claim.
    pub(super) number: usize,
    /// One for each strip, classes rising.
    pub(super) strips: Vec<&'c [usize]>,
}

impl Ways {
    /// The ways to cut a board of line `board_idx` into parts of the classes `allowed`, which are numbers in `classes`;
    /// or that there are too many.
    pub(super) fn of(
        model: &Model<'_>,
        board_idx: usize,
        classes: &[usize],
        allowed: &[usize],
        listed: &[Listed<'_>],
    ) -> Result<Ways, TooMany> {
        let mut allowed = allowed.to_vec();
        allowed.sort_unstable();
        allowed.dedup();
        let mut ways = Ways {
            whole: Vec::new(),
            ripped: Vec::new(),
            rips: Vec::new(),
        };
        let mut taken: Vec<i64> = Vec::new();
        for (taking, kinds) in model.strips_of(board_idx, classes, &allowed) {
            match taking {
                Taking::Whole => ways.whole.extend(kinds),
                Taking::Ripped { width } => {
                    taken.extend(kinds.iter().map(|_| (width + model.rip_kerf()).nm()));
                    ways.ripped.extend(kinds);
                }
            }
        }
        let room = model.room(board_idx).nm();
        let mut counts = Vec::new();
        let mut found = Vec::new();
        if !maximal(&taken, room, &mut counts, &mut found) {
            return Err(TooMany);
        }
        for counts in found {
            let place = listed
                .iter()
                .find(|listed| ways.are(&counts, listed))
                .map(|listed| listed.number);
            ways.rips.push((counts, place));
        }
        Ok(ways)
    }

    /// Whether a way that gives `counts` of the strips is the one listed.
    fn are(&self, counts: &[u32], listed: &Listed<'_>) -> bool {
        let n_strips: u32 = counts.iter().sum();
        usize::try_from(n_strips) == Ok(listed.strips.len())
            && self.ripped.iter().zip(counts).all(|(kind, &count)| {
                let alike = listed.strips.iter().filter(|open| kind.is_open_to(open));
                u32::try_from(alike.count()) == Ok(count)
            })
    }

    /// The worth of the best board of each rip of the claim, and of the best of all others, where a part of class `n` is
    /// worth `prices[n]`.
    pub(super) fn worths(&self, prices: &[i64]) -> RipWorths {
        // Only ways that there are count: where boards are asked for, even a worthless one would be worth its price.
        let whole = self.whole.iter().map(|kind| kind.worth(prices, 0)).max();
        let mut worths: RipWorths = whole.into_iter().map(|worth| (None, worth)).collect();
        let of_strips: Vec<i64> = self
            .ripped
            .iter()
            .map(|kind| kind.worth(prices, 0))
            .collect();
        for (counts, place) in &self.rips {
            let worth = counts
                .iter()
                .zip(&of_strips)
                .map(|(&count, worth)| i64::from(count) * worth)
                .sum();
            match worths.iter_mut().find(|known| known.0 == *place) {
                Some(known) => known.1 = known.1.max(worth),
                None => worths.push((*place, worth)),
            }
        }
        worths
    }
}

/// Adds to `found` all multisets of strips that fit into `room` and leave none for another; `false` where there are more
/// than [`MOST_WAYS`].
fn maximal(taken: &[i64], room: i64, counts: &mut Vec<u32>, found: &mut Vec<Vec<u32>>) -> bool {
    if counts.len() == taken.len() {
        let is_maximal = taken.iter().all(|&one| one > room);
        if is_maximal && !taken.is_empty() {
            found.push(counts.clone());
        }
        return found.len() <= MOST_WAYS;
    }
    let each = taken[counts.len()];
    let mut left = room;
    counts.push(0);
    loop {
        if !maximal(taken, left, counts, found) {
            return false;
        }
        left -= each;
        if left < 0 {
            counts.pop();
            return true;
        }
        *counts.last_mut().expect("pushed above") += 1;
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use proptest::prelude::*;

    use super::*;

    fn found(taken: &[i64], room: i64) -> Vec<Vec<u32>> {
        let mut found = Vec::new();
        assert!(maximal(taken, room, &mut Vec::new(), &mut found));
        found
    }

    #[test]
    fn two_widths_share_a_board_in_every_maximal_way() {
        // Derived: 21 and 14 of 61 wide, kerfs included: 0 + 4 (56), 1 + 2 (49), 2 + 1 (56).
        assert_eq!(found(&[21, 14], 61), [[0, 4], [1, 2], [2, 1]]);
        assert_eq!(found(&[21, 14], 13), [[0, 0]]);
        assert_eq!(found(&[], 13), Vec::<Vec<u32>>::new());
    }

    #[test]
    fn too_many_ways_are_given_up() {
        let taken: Vec<i64> = (100..120).collect();
        assert!(!maximal(&taken, 1_500, &mut Vec::new(), &mut Vec::new()));
    }

    proptest! {
        #[test]
        fn every_choice_of_strips_lies_within_a_way(
            taken in prop::collection::vec(3_i64..12, 1..4),
            room in 0_i64..40,
            some in prop::collection::vec(0_u32..4, 4),
        ) {
            let ways = found(&taken, room);
            let distinct: BTreeSet<&Vec<u32>> = ways.iter().collect();
            prop_assert_eq!(distinct.len(), ways.len());
            let needed = |way: &[u32]| -> i64 {
                way.iter().zip(&taken).map(|(&count, one)| i64::from(count) * one).sum()
            };
            prop_assert!(ways.iter().all(|way| needed(way) <= room));
            let some = &some[..taken.len()];
            if needed(some) <= room {
                let holds = |way: &Vec<u32>| way.iter().zip(some).all(|(way, some)| way >= some);
                prop_assert!(ways.iter().any(holds), "{some:?} in none of {ways:?}");
            }
        }
    }
}

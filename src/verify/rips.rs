//! The ways to cut a board into strips, told apart as far as a claim tells them apart.
//!
//! Every board of a plan is taken for ripped in one of the maximal ways that have room for its strips; which of them
//! does not matter, as long as it is one.
//! What a claim lists is just a name for some of these ways: a way it does not list is not counted by any of its cases.

use super::across::starts;
use super::model::Model;
use super::proof::RipWorths;
use super::strips::{StripKind, strip_kinds};
use crate::length::Length;
use crate::stock::{Board, Rip, Run, Taking};

/// A claim that tells apart the ways of a board with more of them is not checked, and proves nothing.
const MOST_WAYS: usize = 50_000;

/// The ways to cut one board into strips: of a strip with defects every clear run is one.
#[derive(Default)]
pub(super) struct Ways {
    /// Kinds of strip.
    kinds: Vec<StripKind>,
    /// The strips of each way: indices into `kinds`, rising.
    ways: Vec<Vec<usize>>,
}

/// A board has more than [`MOST_WAYS`] ways.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct TooMany;

/// A rip that a claim lists.
pub(super) struct Listed<'c> {
    /// Number in the claim.
    pub(super) number: usize,
    /// One for each strip: the classes that may lie on it, rising, and its capacity.
    pub(super) strips: Vec<(&'c [usize], i64)>,
}

/// What tells a way apart: the strips it gives, sorted, see [`StripKind::told`].
type Told = Vec<(Vec<usize>, i64)>;

/// Ways with the claim's names for them.
pub(super) struct NamedWays {
    ways: Ways,
    /// `names[w]`: which of the claim's rips way `w` is.
    names: Vec<Option<usize>>,
}

impl Ways {
    /// The ways to cut a board of line `board_idx` into parts of the classes `allowed`, which are numbers in `classes`;
    /// or that there are too many.
    pub(super) fn of(
        model: &Model<'_>,
        board_idx: usize,
        classes: &[usize],
        allowed: &[usize],
    ) -> Result<Ways, TooMany> {
        let mut allowed = allowed.to_vec();
        allowed.sort_unstable();
        allowed.dedup();
        let mut ways = Ways::default();
        // The ways to use one strip of a section, at its place across the board where that matters.
        let of_strip = |ways: &mut Ways, section: usize, across: Option<Run>| {
            let parts = model.of_section(section, classes, &allowed);
            let runs = model.runs(board_idx, section, across).into_iter();
            let kinds = runs.map(|(from, to)| strip_kinds(&parts, to - from));
            let kinds: Vec<Vec<usize>> = kinds
                .map(|kinds| kinds.into_iter().map(|kind| ways.index(kind)).collect())
                .collect();
            ways_of_runs(&kinds)
        };
        for (section, taken) in model.takings[board_idx].iter().enumerate() {
            if *taken == Some(Taking::Whole) {
                let whole = of_strip(&mut ways, section, None)?;
                ways.ways.extend(whole);
            }
        }
        let ripped = model.ripped(board_idx);
        let board = &model.job.boards[board_idx];
        let found = match &model.job.shop.rip {
            Some(rip) if board.has_partial_defects() => {
                let mut places = Places {
                    room: board.width.map_or(Length::ZERO, |width| rip.room(width)),
                    kerf: rip.kerf,
                    ripped: &ripped,
                    of_strip: &mut |section, across| of_strip(&mut ways, section, Some(across)),
                    found: Vec::new(),
                    n_visited: 0,
                };
                places.search(board, rip)?;
                places.found
            }
            _ => {
                let mut strips: Vec<(i64, Vec<usize>)> = Vec::new();
                for (section, width) in ripped {
                    let taken = (width + model.rip_kerf()).nm();
                    let of_section = of_strip(&mut ways, section, None)?;
                    strips.extend(of_section.into_iter().map(|way| (taken, way)));
                }
                side_by_side(&strips, model.room(board_idx).nm())?
            }
        };
        ways.ways.extend(found);
        for way in &mut ways.ways {
            way.sort_unstable();
        }
        ways.ways.sort_unstable();
        ways.ways.dedup();
        Ok(ways)
    }

    /// The index of a kind of strip, new if it was not met before.
    fn index(&mut self, kind: StripKind) -> usize {
        let known = self.kinds.iter().position(|known| *known == kind);
        known.unwrap_or_else(|| {
            self.kinds.push(kind);
            self.kinds.len() - 1
        })
    }

    /// All kinds of strip that some way gives.
    pub(super) fn strips(&self) -> impl Iterator<Item = &StripKind> {
        self.ways.iter().flatten().map(|&kind| &self.kinds[kind])
    }

    /// The strips of the ways, where each of them gives just one.
    pub(super) fn single_strips(&self) -> Option<impl Iterator<Item = &StripKind>> {
        let is_single = self.ways.iter().all(|way| way.len() == 1);
        is_single.then(|| self.strips())
    }

    /// The ways with the names that a claim has for some of them.
    pub(super) fn named(self, listed: &[Listed<'_>]) -> NamedWays {
        let listed: Vec<(usize, Told)> = listed
            .iter()
            .map(|rip| {
                let strips = rip.strips.iter().map(|&(open, size)| (open.to_vec(), size));
                let mut strips: Told = strips.collect();
                strips.sort_unstable();
                (rip.number, strips)
            })
            .collect();
        let name = |way: &Vec<usize>| {
            let mut strips: Told = way.iter().map(|&kind| self.kinds[kind].told()).collect();
            strips.sort_unstable();
            let found = listed.iter().find(|(_, known)| *known == strips);
            found.map(|(number, _)| *number)
        };
        NamedWays {
            names: self.ways.iter().map(name).collect(),
            ways: self,
        }
    }
}

impl NamedWays {
    /// The worth of the best board of each rip of the claim, and of the best of all others, where a part of class `n` is
    /// worth `prices[n]`.
    pub(super) fn worths(&self, prices: &[i64]) -> RipWorths {
        let kinds = self.ways.kinds.iter();
        let of_kinds: Vec<i64> = kinds.map(|kind| kind.worth(prices, 0)).collect();
        // Only ways that there are count: where boards are asked for, even a worthless one would be worth its price.
        let mut worths: RipWorths = Vec::new();
        for (way, name) in self.ways.ways.iter().zip(&self.names) {
            let worth = way.iter().map(|&kind| of_kinds[kind]).sum();
            match worths.iter_mut().find(|known| known.0 == *name) {
                Some(known) => known.1 = known.1.max(worth),
                None => worths.push((*name, worth)),
            }
        }
        worths
    }
}

/// All ways to choose one kind for each run that has any.
fn ways_of_runs(runs: &[Vec<usize>]) -> Result<Vec<Vec<usize>>, TooMany> {
    let mut ways = vec![Vec::new()];
    for kinds in runs.iter().filter(|kinds| !kinds.is_empty()) {
        if ways.len().saturating_mul(kinds.len()) > MOST_WAYS {
            return Err(TooMany);
        }
        let longer = ways.iter().flat_map(|way: &Vec<usize>| {
            kinds.iter().map(move |&kind| {
                let mut way = way.clone();
                way.push(kind);
                way
            })
        });
        ways = longer.collect();
    }
    ways.retain(|way| !way.is_empty());
    Ok(ways)
}

/// The ways to lie strips side by side that leave room for no other; each strip with what it takes across the board.
fn side_by_side(strips: &[(i64, Vec<usize>)], room: i64) -> Result<Vec<Vec<usize>>, TooMany> {
    let taken: Vec<i64> = strips.iter().map(|strip| strip.0).collect();
    let mut found = Vec::new();
    if !maximal(&taken, room, &mut Vec::new(), &mut found) {
        return Err(TooMany);
    }
    let ways = found.into_iter().map(|counts| {
        let times = counts.into_iter().zip(strips);
        let kinds = times.flat_map(|(count, (_, way))| (0..count).flat_map(move |_| way.clone()));
        kinds.collect()
    });
    Ok(ways.filter(|way: &Vec<usize>| !way.is_empty()).collect())
}

/// A search for all ways to lie strips side by side where their places matter.
struct Places<'a> {
    room: Length,
    kerf: Length,
    ripped: &'a [(usize, Length)],
    /// The ways to use a strip of a section that begins and ends there across the board.
    of_strip: &'a mut dyn FnMut(usize, Run) -> Result<Vec<Vec<usize>>, TooMany>,
    found: Vec<Vec<usize>>,
    n_visited: usize,
}

impl Places<'_> {
    fn search(&mut self, board: &Board, rip: &Rip) -> Result<(), TooMany> {
        for start in starts(board, rip) {
            self.visit(start, &[])?;
        }
        Ok(())
    }

    fn visit(&mut self, at: Length, way: &[usize]) -> Result<(), TooMany> {
        self.n_visited += 1;
        if self.n_visited > MOST_WAYS {
            return Err(TooMany);
        }
        let mut is_full = true;
        for &(section, width) in self.ripped {
            let end = at + width;
            if end > self.room {
                continue;
            }
            is_full = false;
            let mut strips = (self.of_strip)(section, (at, end))?;
            if strips.is_empty() {
                // Nothing is clear here, so this much is waste.
                strips.push(Vec::new());
            }
            for strip in strips {
                self.visit(end + self.kerf, &[way, &strip].concat())?;
            }
        }
        if is_full && !way.is_empty() {
            self.found.push(way.to_vec());
        }
        Ok(())
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
        #![proptest_config(cases!())]

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

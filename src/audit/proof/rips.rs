//! The ways to cut a board into strips, told apart as far as a claim tells them apart.
//!
//! Every board of a plan is taken for ripped in one of the maximal ways that have room for its strips; which of them
//! does not matter, as long as it is one.
//! What a claim lists is just a name for some of these ways: a way it does not list is not counted by any of its cases.

use std::collections::BTreeMap;

use super::pairs::Asked;
use super::strips::{StripKind, strip_kinds, uncut_kind};
use super::table::RipWorths;
use super::worth::sum;
use super::{MOST_WAYS, TooMuch, Wanted, length};
use crate::audit::wanted::{Stick, Stretch, Taken};
use crate::plan::certificate::StripName;

/// More ways than this are not compared with each other.
const MOST_COMPARED: usize = 5_000;

/// The ways to cut one board into strips: of a strip with defects every clear run is one.
#[derive(Default)]
#[expect(clippy::struct_field_names, reason = "they are what it is named for")]
pub(super) struct Ways {
    /// Kinds of strip.
    kinds: Vec<StripKind>,
    /// The strips of each way: indices into `kinds`, rising.
    ways: Vec<Vec<usize>>,
    /// What the board may stay as it lies for: a class and its kind of strip.
    kept: Vec<(usize, usize)>,
}

/// A rip that a claim lists.
pub(super) struct Listed<'c> {
    /// Number in the claim.
    pub(super) number: usize,
    /// Its strips.
    pub(super) strips: Vec<&'c StripName>,
}

/// What tells a way apart: the strips it gives, sorted, see [`StripKind::told`].
type Told = Vec<(Vec<usize>, i64)>;

/// Ways with the claim's names for them.
pub(super) struct NamedWays {
    ways: Ways,
    /// `names[w]`: which of the claim's rips way `w` is.
    names: Vec<Option<usize>>,
    /// The classes that the board may stay as it lies for, each with the rip that this is.
    pub(super) kept: Vec<(Option<usize>, usize)>,
}

impl Ways {
    /// The ways to cut a board of line `board_idx` into parts of the classes `allowed`, which are numbers in `classes`;
    /// or that there are too many.
    pub(super) fn of(
        wanted: &Wanted<'_>,
        board_idx: usize,
        classes: &[usize],
        allowed: &[usize],
    ) -> Result<Ways, TooMuch> {
        let mut allowed = allowed.to_vec();
        allowed.sort_unstable();
        allowed.dedup();
        let mut ways = Ways::default();
        for sticks in wanted.partings(board_idx) {
            // One way for each stick that serves anything; what may be used need not be.
            let mut of_all: Vec<Vec<usize>> = vec![Vec::new()];
            for stick in sticks {
                let of_stick = ways.of_stick(wanted, stick, classes, &allowed)?;
                if of_stick.is_empty() {
                    continue;
                }
                if of_all.len().saturating_mul(of_stick.len()) > MOST_WAYS {
                    return Err(TooMuch);
                }
                let longer = of_all.iter().flat_map(|way| {
                    of_stick
                        .iter()
                        .map(move |more| [way.as_slice(), more].concat())
                });
                of_all = longer.collect();
                // Slices are alike, so most ways come in every order.
                for way in &mut of_all {
                    way.sort_unstable();
                }
                of_all.sort_unstable();
                of_all.dedup();
            }
            ways.ways
                .extend(of_all.into_iter().filter(|way| !way.is_empty()));
            if ways.ways.len() > MOST_WAYS {
                return Err(TooMuch);
            }
        }
        for way in &mut ways.ways {
            way.sort_unstable();
        }
        ways.ways.sort_unstable();
        ways.ways.dedup();
        if wanted.may_be_resawn(board_idx) {
            ways.drop_poorer()?;
        }
        for number in allowed {
            let class = classes[number];
            let kind = uncut_kind(number, &wanted.classes[class]);
            if let Some(kind) = kind.filter(|_| wanted.may_keep(board_idx, class)) {
                let kind = ways.index(kind);
                ways.kept.push((number, kind));
            }
        }
        Ok(ways)
    }

    /// Drops the ways that are part of a longer one: a board that is used so counts as used in that.
    fn drop_poorer(&mut self) -> Result<(), TooMuch> {
        if self.ways.len() > MOST_COMPARED {
            return Err(TooMuch);
        }
        let counts = |way: &[usize]| {
            let mut counts: BTreeMap<usize, usize> = BTreeMap::new();
            for &kind in way {
                *counts.entry(kind).or_default() += 1;
            }
            counts
        };
        let all: Vec<BTreeMap<usize, usize>> = self.ways.iter().map(|way| counts(way)).collect();
        let is_part = |one: usize, other: usize| {
            let mut kinds = all[one].iter();
            self.ways[one].len() < self.ways[other].len()
                && kinds.all(|(kind, count)| all[other].get(kind) >= Some(count))
        };
        let is_longest = |&one: &usize| (0..all.len()).all(|other| !is_part(one, other));
        let kept: Vec<usize> = (0..all.len()).filter(is_longest).collect();
        self.ways = kept.into_iter().map(|at| self.ways[at].clone()).collect();
        Ok(())
    }

    /// The ways to cut one stick, by itself.
    fn of_stick(
        &mut self,
        wanted: &Wanted<'_>,
        stick: Stick,
        classes: &[usize],
        allowed: &[usize],
    ) -> Result<Vec<Vec<usize>>, TooMuch> {
        let board_idx = stick.board_idx;
        // The ways to use one strip of a section, at its place across the stick where that matters.
        let of_strip = |ways: &mut Ways, section: usize, across: Option<Stretch>| {
            let parts = wanted.of_section(section, classes, allowed);
            let runs = wanted.clear(stick, section, across);
            let kinds = (0..runs.len()).map(|nth| {
                let parts = wanted.open_on(&parts, section, &runs, nth);
                strip_kinds(&parts, length(runs[nth]))
            });
            let kinds: Vec<Vec<usize>> = kinds
                .map(|kinds| kinds.into_iter().map(|kind| ways.index(kind)).collect())
                .collect();
            let mut of_strip = ways_of_runs(&kinds)?;
            let uncut = wanted.uncut(&parts, section, &runs);
            let uncut = uncut.and_then(|(number, class)| uncut_kind(number, class));
            of_strip.extend(uncut.map(|kind| vec![ways.index(kind)]));
            Ok(of_strip)
        };
        let mut all = Vec::new();
        for section in 0..wanted.sections.len() {
            if wanted.taken(stick, section) == Some(Taken::Whole) {
                all.extend(of_strip(self, section, None)?);
            }
        }
        let ripped = wanted.ripped(stick);
        let found = if wanted.has_partial_defects(stick) {
            let mut places = Places {
                room: wanted.room(board_idx).unwrap_or(0),
                kerf: wanted.rip_kerf(),
                starts: wanted.starts(stick),
                ripped: &ripped,
                of_strip: &mut |section, across| of_strip(self, section, Some(across)),
            };
            places.search()?
        } else {
            let mut strips: Vec<(i64, Vec<usize>)> = Vec::new();
            for (section, width) in ripped {
                let taken = i64::try_from(width + wanted.rip_kerf()).map_err(|_| TooMuch)?;
                let of_section = of_strip(self, section, None)?;
                strips.extend(of_section.into_iter().map(|way| (taken, way)));
            }
            side_by_side(&strips, wanted.room_for_strips(board_idx)?)?
        };
        all.extend(found);
        Ok(all)
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
        let mut known: BTreeMap<Told, usize> = BTreeMap::new();
        // What stays as it lies is one strip. Of more strips than the longest way none is listed.
        let most_strips = self.ways.iter().map(Vec::len).max().unwrap_or(0).max(1);
        let possible = listed.iter().filter(|rip| rip.strips.len() <= most_strips);
        for rip in possible {
            let strips = rip.strips.iter();
            let mut strips: Told = strips
                .map(|strip| (strip.classes.clone(), strip.capacity))
                .collect();
            strips.sort_unstable();
            known.entry(strips).or_insert(rip.number);
        }
        let name = |way: &[usize]| {
            let mut strips: Told = way.iter().map(|&kind| self.kinds[kind].told()).collect();
            strips.sort_unstable();
            known.get(&strips).copied()
        };
        NamedWays {
            names: self.ways.iter().map(|way| name(way)).collect(),
            kept: self
                .kept
                .iter()
                .map(|&(number, kind)| (name(&[kind]), number))
                .collect(),
            ways: self,
        }
    }
}

impl NamedWays {
    /// The worth of the best board of each rip of the claim, and of the best of all others, at some prices.
    pub(super) fn worths(&self, asked: Asked<'_>) -> Result<RipWorths, TooMuch> {
        let kinds = self.ways.kinds.iter();
        let of_kinds: Vec<i64> = kinds
            .map(|kind| kind.worth(asked, 0))
            .collect::<Result<_, _>>()?;
        // Only ways that there are count: where boards are asked for, even a worthless one would be worth its price.
        let mut worths: BTreeMap<Option<usize>, i64> = BTreeMap::new();
        for (way, name) in self.ways.ways.iter().zip(&self.names) {
            let worth = sum(way.iter().map(|&kind| Ok(of_kinds[kind])))?;
            let known = worths.entry(*name).or_insert(worth);
            *known = worth.max(*known);
        }
        Ok(worths.into_iter().collect())
    }
}

/// All ways to choose one kind for each run that has any.
fn ways_of_runs(runs: &[Vec<usize>]) -> Result<Vec<Vec<usize>>, TooMuch> {
    let mut ways = vec![Vec::new()];
    for kinds in runs.iter().filter(|kinds| !kinds.is_empty()) {
        if ways.len().saturating_mul(kinds.len()) > MOST_WAYS {
            return Err(TooMuch);
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
fn side_by_side(strips: &[(i64, Vec<usize>)], room: i64) -> Result<Vec<Vec<usize>>, TooMuch> {
    let taken: Vec<i64> = strips.iter().map(|strip| strip.0).collect();
    let mut found = Vec::new();
    if !maximal(&taken, room, &mut Vec::new(), &mut found) {
        return Err(TooMuch);
    }
    let ways = found.into_iter().map(|counts| {
        let times = counts.into_iter().zip(strips);
        let kinds = times.flat_map(|(count, (_, way))| (0..count).flat_map(move |_| way.clone()));
        kinds.collect()
    });
    Ok(ways.filter(|way: &Vec<usize>| !way.is_empty()).collect())
}

/// A search for all ways to lie strips side by side where their places matter; see `places` for where they may begin.
struct Places<'a> {
    room: i128,
    kerf: i128,
    starts: Vec<i128>,
    ripped: &'a [(usize, i128)],
    /// The ways to use a strip of a section that begins and ends there across the board.
    of_strip: &'a mut dyn FnMut(usize, Stretch) -> Result<Vec<Vec<usize>>, TooMuch>,
}

impl Places<'_> {
    /// All ways, some of which may lie within others.
    fn search(&mut self) -> Result<Vec<Vec<usize>>, TooMuch> {
        let mut found = Vec::new();
        let mut n_visited = 0;
        let mut open: Vec<(i128, Vec<usize>)> = vec![(0, Vec::new())];
        while let Some((at, way)) = open.pop() {
            n_visited += 1;
            if n_visited > MOST_WAYS {
                return Err(TooMuch);
            }
            let mut is_full = true;
            for &(section, width) in self.ripped {
                let end = at + width;
                if end > self.room {
                    continue;
                }
                // Where nothing is clear nothing need lie.
                for strip in (self.of_strip)(section, (at, end))? {
                    is_full = false;
                    open.push((end + self.kerf, [way.as_slice(), &strip].concat()));
                }
            }
            let later = self.starts.iter().filter(|&&start| start > at).min();
            if let Some(&start) = later {
                open.push((start, way));
            } else if is_full && !way.is_empty() {
                found.push(way);
            }
        }
        Ok(found)
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

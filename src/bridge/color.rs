//! Rails of one frame from few boards, for their color: which of several equal rails belongs to which frame.
//!
//! The plan's cuts stay where they are; only names change places. (`gather::color` exchanges cuts before.)
//! Frames that ask for it are served one after the other, each from the boards that have most of what it still needs;
//! then names of equal rails change places while that saves a board. Nothing is claimed of the result.

use std::collections::BTreeMap;

use crate::frame::{ChosenBoards, Miter};
use crate::job::{Grains, Job};
use crate::length::Length;
use crate::plan::{Part, Plan};

/// Exchanges that are looked at before the search ends: some hundredths of a second.
const MOST_STEPS: u32 = 100_000;

/// A frame, one copy of it.
type Owner = (usize, u32);

/// What is equal can change places: moulding, miter, the length, or those of a chain, and the boards it must come from.
type Likeness = (Option<usize>, Miter, Vec<Length>, ChosenBoards);

/// A place on a board for a part, or for a chain of them.
struct Slot {
    /// Position of the board in the plan.
    board: usize,
    strip: usize,
    /// Its first cut on the strip.
    first: usize,
    parts: Vec<Part>,
}

/// Lets equal rails change places so that the rails of each frame that asks for it come from few boards.
pub fn match_color(plan: &mut Plan) {
    let job = plan.job.clone();
    let job = &job;
    if !job.any_matches_color() {
        return;
    }
    let slots = slots(plan);
    let mut groups: BTreeMap<Likeness, Vec<usize>> = BTreeMap::new();
    for (idx, slot) in slots.iter().enumerate() {
        groups.entry(likeness(plan, slot)).or_default().push(idx);
    }
    let as_it_is: Vec<Vec<Part>> = slots.iter().map(|slot| slot.parts.clone()).collect();
    let mut search = Search {
        job,
        slots: &slots,
        groups: groups.into_values().collect(),
        named: as_it_is,
    };
    let before = search.n_boards();
    let served = search.serve();
    let old = std::mem::replace(&mut search.named, served);
    if search.n_boards() > before {
        search.named = old;
    }
    search.exchange();
    for (slot, parts) in slots.iter().zip(&search.named) {
        let cuts = &mut plan.boards[slot.board].strips[slot.strip].cuts[slot.first..];
        for (cut, &part) in cuts.iter_mut().zip(parts) {
            cut.part = part;
        }
    }
}

/// The frame a part belongs to, if it asks for rails from few boards.
fn owner_of(job: &Job, part: Part) -> Option<Owner> {
    match part {
        Part::Rail {
            frame_idx, copy, ..
        } => job.matches_color(frame_idx).then_some((frame_idx, copy)),
        Part::Loose { .. } => None,
    }
}

/// Every place of the plan, chains in one.
fn slots(plan: &Plan) -> Vec<Slot> {
    let job = &plan.job;
    let grains = Grains::new(job);
    let n_in_row = |part: Part| match part {
        Part::Rail {
            frame_idx, side, ..
        } => {
            let chains = grains.granted(frame_idx).chains(job.frames[frame_idx].art);
            let chain = chains.iter().find(|chain| chain.contains(&side));
            chain.map_or(1, Vec::len)
        }
        Part::Loose { .. } => 1,
    };
    let mut slots = Vec::new();
    for (board, planned) in plan.boards.iter().enumerate() {
        for (strip, of_strip) in planned.strips.iter().enumerate() {
            let mut first = 0;
            while let Some(cut) = of_strip.cuts.get(first) {
                let end = (first + n_in_row(cut.part)).min(of_strip.cuts.len());
                let parts = of_strip.cuts[first..end].iter().map(|cut| cut.part);
                slots.push(Slot {
                    board,
                    strip,
                    first,
                    parts: parts.collect(),
                });
                first = end;
            }
        }
    }
    slots
}

fn likeness(plan: &Plan, slot: &Slot) -> Likeness {
    let job = &plan.job;
    let strip = &plan.boards[slot.board].strips[slot.strip];
    let cuts = &strip.cuts[slot.first..slot.first + slot.parts.len()];
    let lengths = cuts.iter().map(|cut| cut.to - cut.from).collect();
    let part = slot.parts[0];
    (
        strip.moulding_idx,
        part.miter(job),
        lengths,
        part.boards(job).clone(),
    )
}

struct Search<'a> {
    job: &'a Job,
    slots: &'a [Slot],
    /// Slots that are alike.
    groups: Vec<Vec<usize>>,
    /// `named[s]`: what lies in slot `s`.
    named: Vec<Vec<Part>>,
}

impl Search<'_> {
    fn owner(&self, slot: usize) -> Option<Owner> {
        owner_of(self.job, self.named[slot][0])
    }

    /// For each frame that asks, its boards with the number of its slots there.
    fn by_owner(&self) -> BTreeMap<Owner, BTreeMap<usize, u32>> {
        let mut by_owner: BTreeMap<Owner, BTreeMap<usize, u32>> = BTreeMap::new();
        for (idx, slot) in self.slots.iter().enumerate() {
            if let Some(owner) = self.owner(idx) {
                *by_owner
                    .entry(owner)
                    .or_default()
                    .entry(slot.board)
                    .or_default() += 1;
            }
        }
        by_owner
    }

    /// Boards of all frames that ask, each counted for each frame.
    fn n_boards(&self) -> usize {
        self.by_owner().values().map(BTreeMap::len).sum()
    }

    /// Names dealt frame by frame, each from the board that has most of what it still needs.
    fn serve(&self) -> Vec<Vec<Part>> {
        let mut named: Vec<Option<Vec<Part>>> = vec![None; self.slots.len()];
        // What each frame needs of each group, and what belongs to nobody who asks.
        let mut wanted: BTreeMap<Owner, Vec<(usize, Vec<Part>)>> = BTreeMap::new();
        let mut others: Vec<(usize, Vec<Part>)> = Vec::new();
        for (group, slots) in self.groups.iter().enumerate() {
            for &slot in slots {
                let parts = self.named[slot].clone();
                match self.owner(slot) {
                    Some(owner) => wanted.entry(owner).or_default().push((group, parts)),
                    None => others.push((group, parts)),
                }
            }
        }
        for mut needs in wanted.into_values() {
            needs.sort_unstable();
            while !needs.is_empty() {
                let chosen = self.best_board(&needs, &named);
                needs.retain(|(group, parts)| {
                    let free = self.groups[*group]
                        .iter()
                        .find(|&&slot| self.slots[slot].board == chosen && named[slot].is_none());
                    if let Some(&slot) = free {
                        named[slot] = Some(parts.clone());
                    }
                    free.is_none()
                });
            }
        }
        for (group, parts) in others {
            let free = self.groups[group]
                .iter()
                .find(|&&slot| named[slot].is_none())
                .expect("there are as many slots as names");
            named[*free] = Some(parts);
        }
        named
            .into_iter()
            .map(|parts| parts.expect("there are as many names as slots"))
            .collect()
    }

    /// The first of the boards that have most of what is needed.
    fn best_board(&self, needs: &[(usize, Vec<Part>)], named: &[Option<Vec<Part>>]) -> usize {
        let mut has: BTreeMap<usize, usize> = BTreeMap::new();
        for of_group in needs.chunk_by(|one, other| one.0 == other.0) {
            let mut free: BTreeMap<usize, usize> = BTreeMap::new();
            for &slot in &self.groups[of_group[0].0] {
                if named[slot].is_none() {
                    *free.entry(self.slots[slot].board).or_default() += 1;
                }
            }
            for (board, count) in free {
                *has.entry(board).or_default() += count.min(of_group.len());
            }
        }
        has.into_iter()
            .max_by_key(|&(board, count)| (count, std::cmp::Reverse(board)))
            .map(|(board, _)| board)
            .expect("there are as many slots as names")
    }

    /// Lets two names at a time change places while that saves a board.
    fn exchange(&mut self) {
        let mut by_owner = self.by_owner();
        let mut steps = 0;
        let mut improved = true;
        while improved {
            improved = false;
            for group in self.groups.clone() {
                for (nth, &one) in group.iter().enumerate() {
                    for &other in &group[nth + 1..] {
                        steps += 1;
                        if steps > MOST_STEPS {
                            return;
                        }
                        if self.saves_a_board(one, other, &by_owner) {
                            self.named.swap(one, other);
                            by_owner = self.by_owner();
                            improved = true;
                        }
                    }
                }
            }
        }
    }

    fn saves_a_board(
        &self,
        one: usize,
        other: usize,
        by_owner: &BTreeMap<Owner, BTreeMap<usize, u32>>,
    ) -> bool {
        let (here, there) = (self.slots[one].board, self.slots[other].board);
        let (owner, other_owner) = (self.owner(one), self.owner(other));
        if here == there || owner == other_owner {
            return false;
        }
        // Boards that an owner leaves, less those it comes to.
        let saved = |owner: Option<Owner>, from: usize, to: usize| {
            owner.map_or(0, |owner| {
                let boards = &by_owner[&owner];
                i32::from(boards.get(&from) == Some(&1)) - i32::from(!boards.contains_key(&to))
            })
        };
        saved(owner, here, there) + saved(other_owner, there, here) > 0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::audit::check;
    use crate::bridge::{lower, raise};
    use crate::plan::boards_by_frame;
    use crate::samples::{board, empty_job, first_fit, frame, inches, moulding, rectangle};
    use proptest::prelude::*;

    /// The fewest boards over all ways to name equal slots, by trying them all.
    fn fewest(search: &mut Search<'_>, group: usize, place: usize) -> usize {
        let Some(slots) = search.groups.get(group).cloned() else {
            return search.n_boards();
        };
        if place == slots.len() {
            return fewest(search, group + 1, 0);
        }
        let mut best = usize::MAX;
        for &other in &slots[place..] {
            search.named.swap(slots[place], other);
            best = best.min(fewest(search, group, place + 1));
            search.named.swap(slots[place], other);
        }
        best
    }

    proptest! {
        #![proptest_config(cases!(60))]

        #[test]
        fn frames_come_from_no_more_boards_than_before_and_no_fewer_than_there_can_be(
            sizes in prop::collection::vec(0_usize..2, 1..4),
            length in 60_i64..120,
        ) {
            let mut job = empty_job();
            job.mouldings = vec![moulding("cap", inches(1), None)];
            job.mouldings[0].match_color = true;
            for (idx, &size) in sizes.iter().enumerate() {
                let art = [rectangle(12, 20), rectangle(12, 12)][size];
                job.frames.push(frame(&format!("f{idx}"), 1, art, 0));
            }
            job.boards = vec![board("b", inches(length), None)];
            let (instance, origins) = lower(&job);
            let before = raise(&job, &origins, &first_fit(&instance));
            let mut after = before.clone();
            match_color( &mut after);
            prop_assert_eq!(check( &after), []);
            let total = |plan: &Plan| -> usize {
                boards_by_frame(plan).iter().map(|line| line.2).sum()
            };
            prop_assert!(total(&after) <= total(&before));
            // Trying all is affordable for few equal slots only.
            let slots = slots( &before);
            let mut groups: BTreeMap<Likeness, Vec<usize>> = BTreeMap::new();
            for (idx, slot) in slots.iter().enumerate() {
                groups.entry(likeness( &before, slot)).or_default().push(idx);
            }
            let groups: Vec<Vec<usize>> = groups.into_values().collect();
            if groups.iter().all(|group| group.len() <= 4) {
                let named = slots.iter().map(|slot| slot.parts.clone()).collect();
                let mut search = Search { job: &job, slots: &slots, groups, named };
                prop_assert!(fewest(&mut search, 0, 0) <= total(&after));
            }
        }
    }

    #[test]
    fn two_frames_of_one_size_come_from_a_board_each() {
        // Derived: rails of 14 and 22 in; first fit lays 22 x 4, then 14 x 4. Boards of 4 rails in all: 2 x 22 + 2 x 14 =
        // 72 in and kerfs each.
        let mut job = empty_job();
        job.mouldings = vec![moulding("cap", inches(1), None)];
        job.mouldings[0].match_color = true;
        job.mouldings[0].lip = Length::ZERO;
        job.shop.fit_allowance = Length::ZERO;
        job.frames = vec![
            frame("one", 1, rectangle(12, 20), 0),
            frame("two", 1, rectangle(12, 20), 0),
        ];
        job.boards = vec![board("b", inches(75), None)];
        let (instance, origins) = lower(&job);
        let mut solution = first_fit(&instance);
        let mut both = solution.boards[0].clone();
        both.patterns[0].counts = vec![(0, 2), (1, 2)];
        both.times = 2;
        solution.cost = instance.stocks[0].cost * 2;
        solution.boards = vec![both];
        let mut plan = raise(&job, &origins, &solution);
        // As they might be dealt: the long rails of one frame with the short ones of the other.
        let (left, right) = plan.boards.split_at_mut(1);
        for (one, other) in left[0].strips[0].cuts[..2]
            .iter_mut()
            .zip(&mut right[0].strips[0].cuts)
        {
            std::mem::swap(&mut one.part, &mut other.part);
        }
        assert_eq!(boards_by_frame(&plan), [(0, 1, 2), (1, 1, 2)]);
        match_color(&mut plan);
        assert_eq!(check(&plan), []);
        assert_eq!(boards_by_frame(&plan), [(0, 1, 1), (1, 1, 1)]);
    }

    #[test]
    fn rails_that_nobody_matches_take_the_places_that_are_left() {
        let mut job = empty_job();
        job.mouldings = vec![moulding("cap", inches(1), None)];
        job.frames = vec![
            frame("one", 1, rectangle(12, 20), 0),
            frame("two", 1, rectangle(12, 20), 0),
        ];
        job.frames[0].match_color = Some(true);
        job.boards = vec![board("b", inches(75), None)];
        let (instance, origins) = lower(&job);
        let before = raise(&job, &origins, &first_fit(&instance));
        let mut after = before.clone();
        match_color(&mut after);
        assert_eq!(check(&after), []);
        let of_one = |plan: &Plan| boards_by_frame(plan)[0].2;
        assert!(of_one(&after) <= of_one(&before));
    }
}

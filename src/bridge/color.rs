//! Rails of one frame from few boards, for their color: which of several equal rails belongs to which frame.
//!
//! The plan's cuts stay where they are; only names change places. (`gather::color` exchanges cuts before.)
//! Frames that ask for it are served one after the other, each from the boards that have most of what it still needs;
//! then names of equal rails change places while that saves a board.
//! What that leaves a small integer program betters ([`deal`]). Nothing is claimed of the result.

mod deal;
mod program;

use std::collections::{BTreeMap, VecDeque};

use crate::frame::{ChosenBoards, Miter};
use crate::job::{Grains, Job};
use crate::length::Length;
use crate::plan::{Part, Plan};

use deal::Deal;

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
    rename(plan, true);
}

/// The same without the integer program, for plans of which many are looked at.
pub(super) fn match_color_quickly(plan: &mut Plan) {
    rename(plan, false);
}

/// Names dealt and exchanged, and `closely` then bettered by the integer program.
fn rename(plan: &mut Plan, closely: bool) {
    let job = plan.job.clone();
    let job = &job;
    if !job.any_matches_color() {
        return;
    }
    let slots = slots(plan);
    let mut search = Search::new(job, plan, &slots);
    let before = search.n_boards();
    let served = search.serve();
    let old = std::mem::replace(&mut search.named, served);
    if search.n_boards() > before {
        search.named = old;
    }
    search.exchange();
    if closely {
        search.deal_anew();
    }
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

impl<'a> Search<'a> {
    /// The names as `plan` has them.
    fn new(job: &'a Job, plan: &Plan, slots: &'a [Slot]) -> Search<'a> {
        let mut groups: BTreeMap<Likeness, Vec<usize>> = BTreeMap::new();
        for (idx, slot) in slots.iter().enumerate() {
            groups.entry(likeness(plan, slot)).or_default().push(idx);
        }
        Search {
            job,
            slots,
            groups: groups.into_values().collect(),
            named: slots.iter().map(|slot| slot.parts.clone()).collect(),
        }
    }

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

    /// Which frames have which slots, and which frame each of them is.
    fn deal(&self) -> (Deal, Vec<Owner>) {
        let owners: Vec<Owner> = self.by_owner().into_keys().collect();
        let mut deal = Deal {
            slots: vec![BTreeMap::new(); self.groups.len()],
            given: vec![BTreeMap::new(); owners.len()],
        };
        for (group, slots) in self.groups.iter().enumerate() {
            for &slot in slots {
                let board = self.slots[slot].board;
                *deal.slots[group].entry(board).or_default() += 1;
                let owner = self.owner(slot);
                if let Some(frame) = owner.and_then(|owner| owners.binary_search(&owner).ok()) {
                    *deal.given[frame].entry((group, board)).or_default() += 1;
                }
            }
        }
        (deal, owners)
    }

    /// Names dealt by the integer program, where that saves a board.
    fn deal_anew(&mut self) {
        let (deal, owners) = self.deal();
        let mut better = deal.clone();
        better.better();
        if better != deal {
            self.name_as(&better, &owners);
        }
    }

    /// Names each slot as `deal` has it, those of a frame in their order.
    fn name_as(&mut self, deal: &Deal, owners: &[Owner]) {
        for (group, slots) in self.groups.iter().enumerate() {
            let mut names: BTreeMap<Option<Owner>, VecDeque<Vec<Part>>> = BTreeMap::new();
            for &slot in slots {
                let name = self.named[slot].clone();
                names.entry(self.owner(slot)).or_default().push_back(name);
            }
            for &board in deal.slots[group].keys() {
                let mut here = slots
                    .iter()
                    .filter(|&&slot| self.slots[slot].board == board);
                for (frame, &owner) in owners.iter().enumerate() {
                    let count = deal.given[frame].get(&(group, board)).copied().unwrap_or(0);
                    for _ in 0..count {
                        let name = names.get_mut(&Some(owner)).and_then(VecDeque::pop_front);
                        let slot = here.next().expect("a board gives no more than it has");
                        self.named[*slot] = name.expect("a frame has as many slots as before");
                    }
                }
                for &slot in here {
                    let name = names.get_mut(&None).and_then(VecDeque::pop_front);
                    self.named[slot] = name.expect("what no frame has belongs to nobody who asks");
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
#[expect(clippy::unwrap_used, clippy::panic, reason = "tests fail by panic")]
mod tests;

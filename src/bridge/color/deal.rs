//! Fewer pairs of a frame and a board by a small integer program: which of equal slots go to which frame.
//!
//! With `x[group, frame, board]` the slots of a group that a frame has on a board, and `y[frame, board]` whether it has
//! any there, the sum of all `y` is to be least; each frame gets what it needs of each group, and no board gives more
//! than it has.
//! Frames that share no group are programs of their own. One that is too large for a program is bettered by a few
//! frames at a time, which deal what they and nobody else have.
//!
//! `program` computes in floats, so what it finds is counted anew in whole numbers and only taken where that is better.
//! Work is limited by sizes and nodes, never by a clock.

use std::collections::{BTreeMap, BTreeSet};

use super::program::{Asked, fewer};

/// Variables `x` of one program at the most.
const MOST_PLACES: usize = 120;
/// Frames of one program at the most, where not all come in one.
const MOST_TOGETHER: usize = 8;
/// What all programs of one plan may take: for each node of a search, the number of its variables `x`.
const ALL_WORK: usize = 24_000;
/// What the first node of a search takes counts as so many.
const ROOT_NODES: usize = 8;
/// Boards of a group up to which pairs of them are tried.
const MOST_PAIRED: usize = 64;

/// Which frames have how many slots of which group on which board; frames, groups and boards by number.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Deal {
    /// `slots[g][b]`: slots of group `g` on board `b`, none of them 0.
    pub(super) slots: Vec<BTreeMap<usize, u32>>,
    /// `given[f][(g, b)]`: those of them that frame `f` has, none of them 0.
    pub(super) given: Vec<BTreeMap<(usize, usize), u32>>,
}

impl Deal {
    /// Pairs of a frame and a board from which it comes.
    pub(super) fn n_pairs(&self) -> usize {
        (0..self.given.len())
            .map(|frame| self.n_boards(frame))
            .sum()
    }

    fn n_boards(&self, frame: usize) -> usize {
        let boards: BTreeSet<usize> = self.given[frame].keys().map(|&(_, board)| board).collect();
        boards.len()
    }

    /// What a frame needs of each group.
    pub(super) fn needs(&self, frame: usize) -> BTreeMap<usize, u32> {
        let mut needs = BTreeMap::new();
        for (&(group, _), count) in &self.given[frame] {
            *needs.entry(group).or_default() += count;
        }
        needs
    }

    /// Deals anew where that saves pairs.
    pub(super) fn better(&mut self) {
        let mut work = ALL_WORK;
        for frames in self.components() {
            let least: BTreeMap<usize, usize> = frames
                .iter()
                .map(|&frame| (frame, self.least(frame)))
                .collect();
            let bound = self.least_of_all(&least);
            let n_pairs =
                |deal: &Deal| -> usize { frames.iter().map(|&frame| deal.n_boards(frame)).sum() };
            if n_pairs(self) == bound {
                continue;
            }
            if self.asked(&frames, &least).n_places() <= MOST_PLACES {
                self.deal_anew(&frames, &least, &mut work);
                continue;
            }
            let mut improved = true;
            while improved && n_pairs(self) > bound {
                improved = false;
                for &frame in &frames {
                    if self.n_boards(frame) > least[&frame] {
                        let near = self.near(frame, &frames, &least);
                        improved |= self.deal_anew(&near, &least, &mut work);
                    }
                }
            }
        }
    }

    /// Frames that share a group, directly or by way of others.
    fn components(&self) -> Vec<Vec<usize>> {
        let mut found: Vec<(BTreeSet<usize>, Vec<usize>)> = Vec::new();
        for frame in 0..self.given.len() {
            let mut groups: BTreeSet<usize> = self.needs(frame).into_keys().collect();
            let mut frames = vec![frame];
            found.retain(|(others, members)| {
                let is_apart = others.is_disjoint(&groups);
                if !is_apart {
                    groups.extend(others);
                    frames.extend(members);
                }
                is_apart
            });
            frames.sort_unstable();
            found.push((groups, frames));
        }
        found.into_iter().map(|(_, frames)| frames).collect()
    }

    /// A number of boards below which a frame cannot come from, whatever the others do: 1, 2 or 3.
    fn least(&self, frame: usize) -> usize {
        let needs = self.needs(frame);
        let has = |group: usize, board: usize| self.slots[group].get(&board).copied().unwrap_or(0);
        let boards: BTreeSet<usize> = needs
            .keys()
            .flat_map(|&group| self.slots[group].keys().copied())
            .collect();
        let holds = |chosen: [usize; 2], n: usize| {
            let enough = |(&group, &need): (&usize, &u32)| {
                chosen[..n]
                    .iter()
                    .map(|&board| has(group, board))
                    .sum::<u32>()
                    >= need
            };
            needs.iter().all(enough)
        };
        if boards.iter().any(|&board| holds([board; 2], 1)) {
            return 1;
        }
        let mut pairs = boards
            .iter()
            .flat_map(|&one| boards.range(one + 1..).map(move |&other| [one, other]));
        if boards.len() > MOST_PAIRED || pairs.any(|pair| holds(pair, 2)) {
            2
        } else {
            3
        }
    }

    /// A number of pairs below which no deal comes, from the least of each frame of a component.
    ///
    /// A board holds no more whole frames than the smallest of them have room on, in all and in each group; each frame
    /// beyond those that all boards hold whole comes from one board more.
    fn least_of_all(&self, least: &BTreeMap<usize, usize>) -> usize {
        let whole: Vec<BTreeMap<usize, u32>> = least
            .iter()
            .filter(|&(_, &n_boards)| n_boards == 1)
            .map(|(&frame, _)| self.needs(frame))
            .collect();
        let groups: BTreeSet<usize> = least
            .keys()
            .flat_map(|&frame| self.needs(frame).into_keys())
            .collect();
        let boards: BTreeSet<usize> = groups
            .iter()
            .flat_map(|&group| self.slots[group].keys().copied())
            .collect();
        let most_within = |mut sizes: Vec<u32>, mut room: u32| {
            sizes.sort_unstable();
            let fits = |&size: &u32| {
                let left = room.checked_sub(size);
                room = left.unwrap_or(0);
                left.is_some()
            };
            sizes.iter().copied().take_while(fits).count()
        };
        let held_whole = |board: usize| {
            let room = |group: usize| self.slots[group].get(&board).copied().unwrap_or(0);
            let all = most_within(
                whole.iter().map(|needs| needs.values().sum()).collect(),
                groups.iter().map(|&group| room(group)).sum(),
            );
            let of_groups = groups.iter().map(|&group| {
                let of_group =
                    |needs: &BTreeMap<usize, u32>| needs.get(&group).copied().unwrap_or(0);
                most_within(whole.iter().map(of_group).collect(), room(group))
            });
            of_groups.min().unwrap_or(0).min(all)
        };
        let held: usize = boards.iter().map(|&board| held_whole(board)).sum();
        least.values().sum::<usize>() + whole.len().saturating_sub(held)
    }

    /// A frame with those that have most of what it could come from, as many as make one program, in rising order.
    fn near(&self, frame: usize, frames: &[usize], least: &BTreeMap<usize, usize>) -> Vec<usize> {
        let needs = self.needs(frame);
        let own: BTreeSet<usize> = self.given[frame].keys().map(|&(_, board)| board).collect();
        // On the boards that it has already, and on any.
        let share = |other: usize| {
            let mut share = (0, 0);
            for (&(group, board), count) in &self.given[other] {
                if needs.contains_key(&group) {
                    share.1 += count;
                    share.0 += if own.contains(&board) { *count } else { 0 };
                }
            }
            share
        };
        let mut others: Vec<usize> = frames
            .iter()
            .copied()
            .filter(|&other| other != frame)
            .collect();
        others.sort_by_key(|&other| (std::cmp::Reverse(share(other)), other));
        let mut near = vec![frame];
        for other in others {
            if near.len() == MOST_TOGETHER {
                break;
            }
            near.push(other);
            if self.asked(&near, least).n_places() > MOST_PLACES {
                near.pop();
                break;
            }
        }
        near.sort_unstable();
        near
    }

    /// What is asked of a program that deals what `frames` and nobody else have.
    fn asked(&self, frames: &[usize], least: &BTreeMap<usize, usize>) -> Asked {
        let mut free = self.slots.clone();
        let others = (0..self.given.len()).filter(|frame| !frames.contains(frame));
        for (&(group, board), count) in others.flat_map(|frame| &self.given[frame]) {
            if let Some(left) = free[group].get_mut(&board) {
                *left = left.saturating_sub(*count);
            }
        }
        for of_group in &mut free {
            of_group.retain(|_, &mut left| left > 0);
        }
        Asked {
            free,
            needs: frames.iter().map(|&frame| self.needs(frame)).collect(),
            least: frames.iter().map(|frame| least[frame]).collect(),
            below: frames.iter().map(|&frame| self.n_boards(frame)).sum(),
        }
    }

    /// Deals what `frames` have anew, if a program finds how that saves pairs.
    fn deal_anew(
        &mut self,
        frames: &[usize],
        least: &BTreeMap<usize, usize>,
        work: &mut usize,
    ) -> bool {
        let asked = self.asked(frames, least);
        let n_places = asked.n_places();
        if n_places > MOST_PLACES || *work < n_places {
            return false;
        }
        let (found, n_nodes) = fewer(&asked, *work / n_places);
        *work = work.saturating_sub((n_nodes + ROOT_NODES) * n_places);
        let Some(found) = found else {
            return false;
        };
        let mut dealt = self.clone();
        for (&frame, given) in frames.iter().zip(found) {
            dealt.given[frame] = given;
        }
        let is_better = dealt.holds_for(self) && dealt.n_pairs() < self.n_pairs();
        if is_better {
            *self = dealt;
        }
        is_better
    }

    /// Whether every frame has as much of each group as in `other`, and no board gives more than it has.
    fn holds_for(&self, other: &Deal) -> bool {
        let mut taken: BTreeMap<(usize, usize), u32> = BTreeMap::new();
        for (&place, count) in self.given.iter().flatten() {
            *taken.entry(place).or_default() += count;
        }
        let fits = |(&(group, board), &count): (&(usize, usize), &u32)| {
            self.slots[group]
                .get(&board)
                .is_some_and(|&slots| count <= slots)
        };
        taken.iter().all(fits)
            && (0..self.given.len()).all(|frame| self.needs(frame) == other.needs(frame))
    }
}

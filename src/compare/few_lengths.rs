//! The best choice of at most so many lengths of one wood, by branch and bound over sets of lengths.
//!
//! A set is worth what the best plan from its boards costs; fewer lengths never cost less, so that the bound proved for
//! a set holds for all its subsets.
//! Where the plan of a set uses more lengths than are allowed, every allowed subset lacks one of them: the set divides
//! into the cases "without the first", "with the first, without the second", and so on, which share nothing.
//! So does a set whose plan takes as many as are allowed and is not proved; its last case is what the plan takes.
//! A case whose bound is no less than the best choice so far holds nothing better.
//!
//! # Source
//! The division is our own application of branch and bound (A. H. Land, A. G. Doig, Econometrica 28(3), 1960).

use std::collections::{BTreeMap, BTreeSet};

use crate::job::Job;
use crate::length::Length;
use crate::money::Money;
use crate::pipeline::{Outcome, Planner};
use crate::solve::{Control, Share};

use super::ways::Ground;
use super::woods::Wood;

/// Sets that a search tries before it gives up; then the bound of what is left stands.
const MOST_TRIALS: usize = 150;

/// The best few lengths of one wood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Few {
    /// The lengths.
    pub(super) lengths: BTreeSet<Length>,
    /// What the job costs with them, all other woods as in the best mix.
    pub(super) value: i64,
    /// Proved: no choice of as few lengths costs less.
    pub(super) bound: i64,
}

/// A search for the best few lengths of one wood.
pub(super) struct Search<'a> {
    pub(super) ground: &'a Ground,
    pub(super) wood_idx: usize,
    /// How many lengths are allowed, 1 or more.
    pub(super) most: usize,
    pub(super) planner: &'a Planner,
    pub(super) control: &'a Control<'a>,
}

/// A set of lengths that is not decided yet.
#[derive(Debug)]
struct Case {
    /// Proved: no choice within costs less.
    bound: i64,
    /// Lengths of which a choice may take some.
    allowed: BTreeSet<Length>,
    /// Lengths that every choice of this case takes.
    required: BTreeSet<Length>,
    /// Lengths that the plan of the whole set takes, that of which most is taken first.
    used: Vec<Length>,
}

/// What a set of lengths came to.
enum Tried {
    /// Nothing better is in it.
    Useless,
    /// A plan, and a bound for all plans.
    Planned {
        value: i64,
        bound: i64,
        used: Vec<Length>,
    },
    /// No plan that cuts all parts was found, and it is not proved that there is none.
    Unknown { bound: i64 },
}

impl Search<'_> {
    fn wood(&self) -> &Wood {
        &self.ground.woods[self.wood_idx]
    }

    /// Searches, beginning with a choice that is known, if one is; `None` where no few lengths can be shown to do.
    pub(super) fn run(&self, known: Option<Few>) -> Option<Few> {
        if self.needs_more_boards() {
            return known;
        }
        let mut best = known;
        // What cannot be decided keeps the bound down.
        let mut undecided = i64::MAX;
        if !Planner::knows_all_ways(&self.ground.job) {
            // Where not all ways to rip are known, no bound is one for all plans.
            undecided = 0;
        }
        let mut open: Vec<Case> = Vec::new();
        let all: BTreeSet<Length> = self.wood().lengths.iter().copied().collect();
        let none = BTreeSet::new();
        self.try_set(&all, &none, 0, &mut best, &mut open, &mut undecided);
        if let Some(root) = open.first() {
            // The lengths of which the best mix takes most are a good guess, and a low value cuts off much.
            let guess: BTreeSet<Length> = root.used.iter().copied().take(self.most).collect();
            let mut ignored = (Vec::new(), i64::MAX);
            self.try_set(&guess, &guess, 0, &mut best, &mut ignored.0, &mut ignored.1);
        }
        let mut n_trials = 0;
        while let Some(next) = lowest(&open) {
            let case = open.swap_remove(next);
            if best.as_ref().is_some_and(|best| case.bound >= best.value) {
                continue;
            }
            if n_trials >= MOST_TRIALS {
                undecided = undecided.min(case.bound);
                continue;
            }
            let free = case.used.iter().copied();
            let free: Vec<Length> = free
                .filter(|length| !case.required.contains(length))
                .collect();
            let room = self.most - case.required.len();
            let mut required = case.required.clone();
            let mut try_set = |allowed: &BTreeSet<Length>, required: &BTreeSet<Length>| {
                n_trials += 1;
                let least = case.bound;
                self.try_set(
                    allowed,
                    required,
                    least,
                    &mut best,
                    &mut open,
                    &mut undecided,
                );
            };
            for &without in free.iter().take(room + 1) {
                let mut allowed = case.allowed.clone();
                allowed.remove(&without);
                if required.len() == self.most {
                    allowed.clone_from(&required);
                }
                try_set(&allowed, &required);
                required.insert(without);
            }
            if free.len() == room {
                // The last case: exactly what its plan takes.
                try_set(&required, &required);
            }
        }
        best.map(|best| Few {
            bound: undecided.min(best.value),
            ..best
        })
    }

    /// Whether it is proved that the lengths of which there are most boards are still too few boards.
    fn needs_more_boards(&self) -> bool {
        let job = &self.ground.job;
        let is_bought = |board_idx: usize| {
            job.boards[board_idx].in_hand.is_none() && self.wood().boards.contains(&board_idx)
        };
        let mut supplies: BTreeMap<Length, u64> = BTreeMap::new();
        for &board_idx in self.wood().boards.iter().filter(|&&idx| is_bought(idx)) {
            let board = &job.boards[board_idx];
            let Some(quantity) = board.quantity else {
                return false;
            };
            *supplies.entry(board.length).or_default() += u64::from(quantity);
        }
        let mut supplies: Vec<u64> = supplies.into_values().collect();
        supplies.sort_unstable();
        let most: u64 = supplies.iter().rev().take(self.most).sum();
        // Each of them counts one, all other boards nothing.
        let counted = job.with_prices(|idx, _| Money::from_minor(i64::from(is_bought(idx))));
        let below = i64::try_from(most).map_or(i64::MAX, |most| most.saturating_add(1));
        self.outcome(&counted, Some(below)).is_none() && Planner::knows_all_ways(job)
    }

    /// What a job under trial comes to; what is not decided then is divided further, so little is lost.
    fn outcome(&self, job: &Job, below: Option<i64>) -> Option<Outcome> {
        self.planner.outcome(job, below, Share::BRIEF, self.control)
    }

    /// Plans a set, no choice within which costs less than `least`, and keeps it open where that does not decide it: its plan
    /// takes too many lengths, or it takes few enough and is not proved.
    fn try_set(
        &self,
        allowed: &BTreeSet<Length>,
        required: &BTreeSet<Length>,
        least: i64,
        best: &mut Option<Few>,
        open: &mut Vec<Case>,
        undecided: &mut i64,
    ) {
        let cutoff = best.as_ref().map(|best| best.value);
        let (value, bound, used) = match self.plan_set(allowed, cutoff) {
            Tried::Useless => return,
            Tried::Unknown { bound } => {
                *undecided = (*undecided).min(bound.max(least));
                return;
            }
            Tried::Planned { value, bound, used } => (value, bound.max(least), used),
        };
        let is_choice = used.len() <= self.most;
        if is_choice && best.as_ref().is_none_or(|best| value < best.value) {
            *best = Some(Few {
                lengths: used.iter().copied().collect(),
                value,
                bound,
            });
        }
        if is_choice && bound >= value {
            return;
        }
        // Only lengths that are taken and not required divide a set, and as many of them as are not chosen yet.
        let n_free = used.iter().filter(|length| !required.contains(length));
        if allowed.len() > self.most && n_free.count() >= self.most - required.len() {
            open.push(Case {
                bound,
                allowed: allowed.clone(),
                required: required.clone(),
                used,
            });
        } else {
            *undecided = (*undecided).min(bound);
        }
    }

    fn plan_set(&self, allowed: &BTreeSet<Length>, cutoff: Option<i64>) -> Tried {
        let wood = self.ground.in_lengths(self.wood_idx, allowed.clone());
        let job = self.ground.with_lengths(self.most, vec![wood]);
        let Some(outcome) = self.outcome(&job, cutoff) else {
            return Tried::Useless;
        };
        if !outcome.is_whole {
            return Tried::Unknown {
                bound: outcome.bound,
            };
        }
        Tried::Planned {
            value: outcome.value,
            bound: outcome.bound,
            used: self.lengths_used(&outcome),
        }
    }

    /// Lengths of this wood that are bought, that of which most is bought first.
    fn lengths_used(&self, outcome: &Outcome) -> Vec<Length> {
        let mut taken: Vec<(i64, Length)> = Vec::new();
        for (&board_idx, &count) in &outcome.taken {
            let kind = &self.ground.job.boards[board_idx];
            if kind.in_hand.is_some() || !self.wood().boards.contains(&board_idx) {
                continue;
            }
            let amount = kind.length.nm().saturating_mul(i64::from(count));
            match taken.iter_mut().find(|entry| entry.1 == kind.length) {
                Some(entry) => entry.0 = entry.0.saturating_add(amount),
                None => taken.push((amount, kind.length)),
            }
        }
        taken.sort_by_key(|&(amount, length)| {
            (std::cmp::Reverse(amount), std::cmp::Reverse(length))
        });
        taken.into_iter().map(|(_, length)| length).collect()
    }
}

/// Index of the case with the lowest bound, the oldest of them.
fn lowest(open: &[Case]) -> Option<usize> {
    (0..open.len()).min_by_key(|&idx| (open[idx].bound, idx))
}

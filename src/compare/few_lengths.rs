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
use crate::solve::{Control, Share, in_parallel};

use super::ways::Ground;
use super::woods::Wood;

/// Once a search has tried so many sets it divides no other case; then the bound of what is left stands.
const MOST_TRIALS: usize = 150;
/// So many cases are divided at a time, and all their parts tried at once; on any machine, as the answer depends on it.
const AT_ONCE: usize = 2;
/// Work for a set of more lengths than are allowed.
const OF_LARGE_SET: Share = Share::steps(20_000_000);

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

/// Choices of lengths: those that take what is required, and what else they take of what is allowed.
#[derive(Clone, Debug)]
struct Part {
    /// Lengths of which a choice may take some.
    allowed: BTreeSet<Length>,
    /// Lengths that every choice takes.
    required: BTreeSet<Length>,
    /// Proved: no choice costs less.
    bound: i64,
}

/// Choices that are not decided yet.
#[derive(Debug)]
struct Case {
    part: Part,
    /// Lengths that the plan of all allowed ones takes, that of which most is taken first.
    used: Vec<Length>,
}

/// How far a search has come.
#[derive(Debug)]
struct State {
    /// The best choice so far.
    best: Option<Few>,
    open: Vec<Case>,
    /// What cannot be decided costs no less than this.
    undecided: i64,
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

impl State {
    /// What the best choice so far costs.
    fn value(&self) -> Option<i64> {
        self.best.as_ref().map(|best| best.value)
    }

    /// Takes out the case with the lowest bound, the oldest of them; those that hold nothing better are dropped.
    fn take_lowest(&mut self) -> Option<Case> {
        let value = self.value().unwrap_or(i64::MAX);
        self.open.retain(|case| case.part.bound < value);
        let lowest = (0..self.open.len()).min_by_key(|&idx| (self.open[idx].part.bound, idx))?;
        Some(self.open.remove(lowest))
    }

    /// Takes note of a choice.
    fn take(&mut self, value: i64, bound: i64, used: &[Length]) {
        if self.value().is_none_or(|best| value < best) {
            self.best = Some(Few {
                lengths: used.iter().copied().collect(),
                value,
                bound,
            });
        }
    }
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
        let mut state = State {
            best: known,
            open: Vec::new(),
            undecided: i64::MAX,
        };
        if !Planner::knows_all_ways(&self.ground.job) {
            // Where not all ways to rip are known, no bound is one for all plans.
            state.undecided = 0;
        }
        let all: BTreeSet<Length> = self.wood().lengths.iter().copied().collect();
        let whole = Part {
            allowed: all,
            required: BTreeSet::new(),
            bound: 0,
        };
        self.try_parts(&mut state, &[whole]);
        if let Some(root) = state.open.first() {
            // The lengths of which the best mix takes most are a good guess, and a low value cuts off much.
            let guess: BTreeSet<Length> = root.used.iter().copied().take(self.most).collect();
            let guess = self.plan_set(&guess, state.value(), Share::BRIEF);
            if let Tried::Planned { value, bound, used } = guess {
                state.take(value, bound, &used);
            }
        }
        let mut n_trials = 0;
        loop {
            let mut parts = Vec::new();
            for _ in 0..AT_ONCE {
                let Some(case) = state.take_lowest() else {
                    break;
                };
                if n_trials < MOST_TRIALS {
                    let some = self.divide(&case);
                    n_trials += some.len();
                    parts.extend(some);
                } else {
                    state.undecided = state.undecided.min(case.part.bound);
                }
            }
            if parts.is_empty() && state.open.is_empty() {
                break;
            }
            self.try_parts(&mut state, &parts);
        }
        let undecided = state.undecided;
        state.best.map(|best| Few {
            bound: undecided.min(best.value),
            ..best
        })
    }

    /// The parts of a case, which share no choice.
    fn divide(&self, case: &Case) -> Vec<Part> {
        let Part {
            allowed,
            required,
            bound,
        } = &case.part;
        let free = case.used.iter().copied();
        let free: Vec<Length> = free.filter(|length| !required.contains(length)).collect();
        let room = self.most - required.len();
        let mut required = required.clone();
        let mut parts = Vec::new();
        let part = |allowed, required: &BTreeSet<Length>| Part {
            allowed,
            required: required.clone(),
            bound: *bound,
        };
        for &without in free.iter().take(room + 1) {
            let mut allowed = allowed.clone();
            allowed.remove(&without);
            if required.len() == self.most {
                allowed.clone_from(&required);
            }
            parts.push(part(allowed, &required));
            required.insert(without);
        }
        if free.len() == room {
            // The last case: exactly what its plan takes.
            parts.push(part(required.clone(), &required));
        }
        parts
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
        self.outcome(&counted, Some(below), Share::BRIEF).is_none() && Planner::knows_all_ways(job)
    }

    /// What a job under trial comes to.
    fn outcome(&self, job: &Job, below: Option<i64>, share: Share) -> Option<Outcome> {
        self.planner.outcome(job, below, share, self.control)
    }

    /// Plans some parts at once, and keeps those open that this does not decide: their plan takes too many lengths, or it takes
    /// few enough and is not proved.
    fn try_parts(&self, state: &mut State, parts: &[Part]) {
        let cutoff = state.value();
        let tried = in_parallel(parts, |part| self.plan_part(part, cutoff));
        for (part, tried) in parts.iter().zip(tried) {
            let (value, bound, used) = match tried {
                Tried::Useless => continue,
                Tried::Unknown { bound } => {
                    state.undecided = state.undecided.min(bound.max(part.bound));
                    continue;
                }
                Tried::Planned { value, bound, used } => (value, bound.max(part.bound), used),
            };
            if self.is_choice(&used) {
                state.take(value, bound, &used);
                if bound >= value {
                    continue;
                }
            }
            if self.divides(part, &used) {
                let part = Part {
                    bound,
                    ..part.clone()
                };
                state.open.push(Case { part, used });
            } else {
                state.undecided = state.undecided.min(bound);
            }
        }
    }

    /// Whether a plan that takes these lengths takes few enough.
    fn is_choice(&self, used: &[Length]) -> bool {
        used.len() <= self.most
    }

    /// Whether the lengths that a plan takes divide a part: only those that it does not require do, and as many of them as are
    /// not chosen yet.
    fn divides(&self, part: &Part, used: &[Length]) -> bool {
        let free = used.iter();
        let n_free = free.filter(|length| !part.required.contains(length));
        part.allowed.len() > self.most && n_free.count() >= self.most - part.required.len()
    }

    /// What a part comes to. Of one that its plan divides little must be known; the others are worth more work.
    fn plan_part(&self, part: &Part, cutoff: Option<i64>) -> Tried {
        let leads_on = |tried: &Tried| match tried {
            Tried::Useless => true,
            Tried::Planned { value, bound, used } => {
                self.divides(part, used) || self.is_choice(used) && bound >= value
            }
            Tried::Unknown { .. } => false,
        };
        let is_large = part.allowed.len() > self.most;
        let brief = is_large.then(|| self.plan_set(&part.allowed, cutoff, OF_LARGE_SET));
        brief
            .filter(leads_on)
            .unwrap_or_else(|| self.plan_set(&part.allowed, cutoff, Share::BRIEF))
    }

    fn plan_set(&self, allowed: &BTreeSet<Length>, cutoff: Option<i64>, share: Share) -> Tried {
        let wood = self.ground.in_lengths(self.wood_idx, allowed.clone());
        let job = self.ground.with_lengths(self.most, vec![wood]);
        let Some(outcome) = self.outcome(&job, cutoff, share) else {
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

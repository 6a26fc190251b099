//! A budget of work, dealt to many searches.
//!
//! Each is given the same first. What is left goes to those that are still open, those with the smallest gap first, in
//! rounds of which each gives a search several times as much as the last, as it begins anew but for its plan.
//! Work is counted in the solver's own steps, and a round is dealt before it begins, so that the answers are the same on
//! every machine and with any number of cores.

use std::sync::Arc;

use crate::cutting::{BoardUse, End, Instance, Solution};

use super::in_parallel;
use super::meter::Share;
use super::params::{FIRST_PART, LEAST_WORK, ROUND_FACTOR};

/// A search to which work is dealt.
#[derive(Clone, Debug)]
pub(super) struct Search {
    /// What is solved.
    pub(super) instance: Instance,
    /// The most work that it may be given in one round.
    pub(super) most: Share,
    /// Boards to begin with.
    pub(super) start: Vec<BoardUse>,
    /// What it was given last.
    pub(super) given: Share,
    /// The answer so far.
    pub(super) solved: Option<Arc<Solution>>,
}

impl Search {
    /// A search that has not begun.
    pub(super) fn new(instance: Instance, most: Share, start: Vec<BoardUse>) -> Search {
        Search {
            instance,
            most,
            start,
            given: Share::steps(0),
            solved: None,
        }
    }

    /// Whether more work may tell more.
    fn is_open(&self) -> bool {
        let end = self.solved.as_ref().map(|solved| solved.end);
        end != Some(End::Proved) && self.given < self.most
    }

    /// What is not known of it: pieces that may be missing in vain, then cost.
    fn gap(&self) -> (u64, i64) {
        let Some(solved) = &self.solved else {
            return (u64::MAX, i64::MAX);
        };
        let missing = self.instance.pieces(&solved.missing);
        (
            missing.saturating_sub(solved.bound.missing_pieces),
            solved.cost.saturating_sub(solved.bound.cost),
        )
    }

    /// Takes a further answer.
    fn take(&mut self, solved: Arc<Solution>) {
        let of_use = if solved.patterns.is_empty() {
            // How boards are cut is told only once the root is done.
            std::mem::take(&mut self.start)
        } else {
            solved.patterns.clone()
        };
        let of_use = of_use
            .into_iter()
            .map(|board| BoardUse { times: 0, ..board });
        self.start = solved.boards.iter().cloned().chain(of_use).collect();
        self.solved = Some(match self.solved.take() {
            Some(before) => Arc::new(better(&self.instance, &before, &solved)),
            None => solved,
        });
    }
}

/// Deals `budget` to `searches`; `run` gives the answer that so much work comes to, and the work that it took. `open` is told
/// how many are still open, after each round.
///
/// Each search has [`LEAST_WORK`] at the least, whatever the budget is: one without an answer would be of no use.
pub(super) fn deal(
    searches: &mut [Search],
    budget: Share,
    run: impl Fn(&Search, Share) -> (Arc<Solution>, u64) + Sync,
    open: &dyn Fn(usize),
) {
    let n_searches = u64::try_from(searches.len()).expect("a count in memory fits 64 bits");
    if n_searches == 0 {
        return;
    }
    let mut left = budget.work();
    // With more to deal than usual there is more for the rounds that follow, so that all are known early.
    let first = left.min(Share::MANY.work()) / FIRST_PART;
    let mut share = (first / n_searches).max(LEAST_WORK);
    let mut chosen: Vec<usize> = (0..searches.len()).collect();
    while !chosen.is_empty() {
        let asked: Vec<(Share, &Search)> = chosen
            .iter()
            .map(|&idx| (Share::steps(share).min(searches[idx].most), &searches[idx]))
            .collect();
        let solved = in_parallel(&asked, |(share, search)| run(search, *share));
        let mut is_stopped = false;
        for (&idx, (solved, work)) in chosen.iter().zip(solved) {
            left = left.saturating_sub(work);
            is_stopped |= solved.end == End::Stopped;
            let search = &mut searches[idx];
            search.given = Share::steps(share).min(search.most);
            search.take(solved);
        }
        open(searches.iter().filter(|search| search.is_open()).count());
        if is_stopped {
            return;
        }
        (share, chosen) = next_round(searches, share, left);
    }
}

/// What is dealt next, and to which searches; to none where too little is left.
fn next_round(searches: &[Search], share: u64, left: u64) -> (u64, Vec<usize>) {
    let mut open: Vec<usize> = (0..searches.len())
        .filter(|&idx| searches[idx].is_open())
        .collect();
    open.sort_by_key(|&idx| (searches[idx].gap(), idx));
    let waiting = |share: u64| -> Vec<usize> {
        let open = open.iter().copied();
        open.filter(|&idx| searches[idx].given.work() < share)
            .collect()
    };
    let mut share = share;
    let mut next = waiting(share);
    if next.is_empty() {
        share = share.saturating_mul(ROUND_FACTOR);
        next = waiting(share);
    }
    // What is left for the last one is more than it was given, or of no use.
    let least = share / ROUND_FACTOR * 2;
    if left < share && left >= least {
        share = left;
    }
    let affordable = usize::try_from(left / share.max(1)).unwrap_or(usize::MAX);
    next.truncate(affordable);
    (share, next)
}

/// What two searches for one instance found together: the better plan, and the better bound.
fn better(instance: &Instance, before: &Solution, after: &Solution) -> Solution {
    let worth = |solution: &Solution| (instance.pieces(&solution.missing), solution.cost);
    let plan = if worth(before) < worth(after) {
        before
    } else {
        after
    };
    let bound = before.bound.max(after.bound);
    let is_proved = (bound.missing_pieces, bound.cost) == worth(plan);
    Solution {
        bound,
        end: if is_proved { End::Proved } else { after.end },
        certificate: None,
        ..plan.clone()
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use std::sync::Mutex;

    use super::*;
    use crate::cutting::{Bound, Item};

    /// Searches by their demand: that of number `n` is proved by `n` million steps, and tells the part of it that it was given.
    fn searches(most: u64) -> Vec<Search> {
        let instance = |demand| Instance {
            items: vec![Item {
                size: 1,
                demand,
                pieces: 1,
            }],
            strips: Vec::new(),
            stocks: Vec::new(),
        };
        let numbers = [5, 30, 90, 400];
        numbers
            .iter()
            .map(|&demand| Search::new(instance(demand), Share::steps(most), Vec::new()))
            .collect()
    }

    fn found(search: &Search, share: Share) -> (Arc<Solution>, u64) {
        let wanted = i64::from(search.instance.items[0].demand);
        let work = share.work().min(wanted.unsigned_abs() * 1_000_000);
        let bound = i64::try_from(work / 1_000_000).unwrap();
        let solution = Solution {
            boards: Vec::new(),
            missing: vec![0],
            cost: wanted,
            bound: Bound {
                missing_pieces: 0,
                cost: bound,
            },
            end: if bound == wanted {
                End::Proved
            } else {
                End::WorkLimit
            },
            certificate: None,
            patterns: Vec::new(),
        };
        (Arc::new(solution), work)
    }

    #[test]
    fn a_budget_goes_to_all_first_and_then_to_the_smallest_gaps() {
        let mut dealt = searches(1_000_000_000);
        let asked = Mutex::new(Vec::new());
        let run = |search: &Search, share: Share| {
            let (solution, work) = found(search, share);
            let name = search.instance.items[0].demand;
            asked.lock().unwrap().push((name, share.work(), work));
            (solution, work)
        };
        let n_open = Mutex::new(Vec::new());
        let budget = Share::steps(160_000_000);
        deal(&mut dealt, budget, run, &|open| {
            n_open.lock().unwrap().push(open);
        });
        let mut asked = asked.into_inner().unwrap();
        // A half to all alike: 20 million each, of which the first needs 5. Of the 95 that are left one can have 80, and 30 do.
        let mut first = asked.drain(..4).collect::<Vec<_>>();
        first.sort_unstable();
        let shares: Vec<(u32, u64)> = first
            .iter()
            .map(|&(name, share, _)| (name, share))
            .collect();
        assert_eq!(
            shares,
            [
                (5, 20_000_000),
                (30, 20_000_000),
                (90, 20_000_000),
                (400, 20_000_000)
            ]
        );
        // What is left then, 65 million, goes to the next.
        let then: Vec<(u32, u64)> = asked
            .iter()
            .map(|&(name, share, _)| (name, share))
            .collect();
        assert_eq!(then, [(30, 80_000_000), (90, 65_000_000)]);
        assert_eq!(n_open.into_inner().unwrap(), [3, 2, 2]);
        let work = first.iter().chain(&asked).map(|&(.., work)| work);
        assert!(work.sum::<u64>() <= budget.work());
        let bounds = dealt.iter().map(|search| {
            let solved = search.solved.as_ref().unwrap();
            (solved.bound.cost, solved.cost)
        });
        assert_eq!(
            bounds.collect::<Vec<_>>(),
            [(5, 5), (30, 30), (65, 90), (20, 400)]
        );
    }

    #[test]
    fn none_is_given_more_than_the_most_and_all_something() {
        let mut dealt = searches(50_000_000);
        deal(&mut dealt, Share::steps(u64::MAX), found, &|_| {});
        let given: Vec<u64> = dealt.iter().map(|search| search.given.work()).collect();
        assert_eq!(given, [50_000_000; 4]);
        let mut dealt = searches(50_000_000);
        deal(&mut dealt, Share::steps(1), found, &|_| {});
        let given: Vec<u64> = dealt.iter().map(|search| search.given.work()).collect();
        assert_eq!(given, [LEAST_WORK; 4]);
    }

    #[test]
    fn of_two_answers_the_better_plan_and_the_better_bound_are_kept() {
        let all = searches(1);
        let search = &all[0];
        let answer = |cost, bound| {
            let (solution, _) = found(search, Share::steps(0));
            Solution {
                cost,
                bound: Bound {
                    missing_pieces: 0,
                    cost: bound,
                },
                ..(*solution).clone()
            }
        };
        let both = better(&search.instance, &answer(8, 7), &answer(9, 4));
        assert_eq!(
            (both.cost, both.bound.cost, both.end),
            (8, 7, End::WorkLimit)
        );
        let both = better(&search.instance, &answer(9, 7), &answer(7, 5));
        assert_eq!((both.cost, both.bound.cost, both.end), (7, 7, End::Proved));
    }
}

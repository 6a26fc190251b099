//! The way through a proof: what each of its cases knows, and the tables at their ends.

use super::TooMuch;
use super::effort::Effort;
use super::pairs::{Asked, State};
use super::table::{Case, Condition, table};
use crate::plan::certificate::ProofNode;

/// The largest price of a class that is looked at: far above what a search writes.
const LARGEST_PRICE: i64 = 1 << 40;
/// The largest scale of prices, and price of a condition: beside a board out of all proportion they are large.
const LARGEST_SCALE: i64 = 1 << 60;

/// A proof with more splits by pairs than this is not looked at: far more than a search writes.
const MOST_PAIRS: usize = 4_000;

/// What is so of a pair of parts in a case.
#[derive(Clone, Copy, Debug)]
enum PairCase {
    /// No strip carries both.
    Apart((usize, usize)),
    /// One of each are glued together.
    Together((usize, usize)),
}

/// A step on the way through a proof.
enum Step {
    /// To this node of it.
    Enter(usize),
    /// To this node, where one more condition on a number of boards holds.
    Counted(Condition, usize),
    /// To this node, where a pair lies so.
    Paired(PairCase, usize),
    /// Back, and the last condition holds no more.
    LeaveCounted,
    /// Back, and of the last pair nothing is known.
    LeavePaired,
}

/// What the proof of these nodes proves of a plan whose value is below `claimed`: none has less than the number returned;
/// and how many tables of prices were looked at; 0 where more than is left of the work would have to be done. `None` where they are no tree, or an index or a price is out of range.
///
/// The claim holds if that is at least `claimed`. A proof may be of any depth, so its cases wait on a list.
pub(super) fn proved_by(
    case: &Case<'_>,
    nodes: &[ProofNode],
    claimed: i64,
    effort: &Effort,
) -> Option<(i128, usize)> {
    let mut is_met = vec![false; nodes.len()];
    let (mut counted, mut paired) = (Vec::new(), Vec::new());
    let mut steps = vec![Step::Enter(0)];
    let mut proved = i128::MAX;
    let mut n_tables = 0;
    let mut n_pairs = 0;
    while let Some(step) = steps.pop() {
        let at = match step {
            Step::Enter(at) => at,
            Step::Counted(condition, at) => {
                counted.push(condition);
                steps.push(Step::LeaveCounted);
                at
            }
            Step::Paired(case, at) => {
                paired.push(case);
                steps.push(Step::LeavePaired);
                at
            }
            Step::LeaveCounted => {
                counted.pop();
                continue;
            }
            Step::LeavePaired => {
                paired.pop();
                continue;
            }
        };
        // What is a case twice would be looked at without end.
        if std::mem::replace(is_met.get_mut(at)?, true) {
            return None;
        }
        match &nodes[at] {
            ProofNode::Prices {
                scale,
                classes,
                conditions,
            } => {
                let within = |prices: &[i64], largest: i64| {
                    prices.iter().all(|price| (0..=largest).contains(price))
                };
                if !(1..=LARGEST_SCALE).contains(scale)
                    || !within(classes, LARGEST_PRICE)
                    || !within(conditions, LARGEST_SCALE)
                {
                    return None;
                }
                n_tables += 1;
                let Ok(state) = state_of(case, &paired, effort) else {
                    return Some((0, n_tables));
                };
                let state = state?;
                let asked = Asked {
                    prices: classes,
                    state: &state,
                    effort,
                };
                // What leaves the range of numbers proves nothing, nor what is too much work.
                let by_table = table(case, *scale, asked, conditions, claimed, &counted);
                proved = proved.min(by_table.unwrap_or(0));
            }
            ProofNode::Split {
                kinds,
                rips,
                missing,
                at_most,
                under,
                over,
            } => {
                if *under <= at || *over <= at {
                    return None;
                }
                let n_listed = case.boards.len() + case.rip_kinds.len();
                if effort.spend(n_listed).is_err() {
                    return Some((0, n_tables));
                }
                let [at_most, at_least] = split_by(case, kinds, rips, *missing, *at_most)?;
                steps.push(Step::Counted(at_least, *over));
                steps.push(Step::Counted(at_most, *under));
            }
            ProofNode::Pair {
                pair,
                apart,
                together,
            } => {
                n_pairs += 1;
                if *apart <= at || *together <= at || n_pairs > MOST_PAIRS {
                    return None;
                }
                steps.push(Step::Paired(PairCase::Together(*pair), *together));
                steps.push(Step::Paired(PairCase::Apart(*pair), *apart));
            }
        }
    }
    is_met
        .iter()
        .all(|&is_met| is_met)
        .then_some((proved, n_tables))
}

/// The conditions of both cases of a split: no more boards than so many, and more; `None` where what it counts is not there.
fn split_by(
    case: &Case<'_>,
    kinds: &[usize],
    rips: &[usize],
    missing: bool,
    most: u32,
) -> Option<[Condition; 2]> {
    let at_most = Condition {
        kinds: listed(kinds, case.boards.len())?,
        rips: listed(rips, case.rip_kinds.len())?,
        missing,
        count: most.into(),
        at_most: true,
    };
    let at_least = Condition {
        count: u64::from(most) + 1,
        at_most: false,
        ..at_most.clone()
    };
    Some([at_most, at_least])
}

/// Which of so many are listed; `None` where one is that is not there.
fn listed(list: &[usize], n: usize) -> Option<Vec<bool>> {
    let mut is_listed = vec![false; n];
    for &at in list {
        *is_listed.get_mut(at)? = true;
    }
    Some(is_listed)
}

/// What is to be cut where pairs lie so; `None` where a pair is not there.
fn state_of(
    case: &Case<'_>,
    paired: &[PairCase],
    effort: &Effort,
) -> Result<Option<State>, TooMuch> {
    let mut state = State::new(&case.demand);
    for pair in paired {
        effort.spend(state.size())?;
        let is_there = match *pair {
            PairCase::Apart(pair) => state.set_apart(pair),
            PairCase::Together(pair) => state.glue(pair),
        };
        if is_there.is_none() {
            return Ok(None);
        }
    }
    Ok(Some(state))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests")]
mod tests;

//! What one table of prices proves.
//!
//! The inequality, for prices `p_i` of the parts and `m_j` of the conditions met on the way, worth `U / D` each: every
//! plan that meets the conditions and has a value below the bound has
//!
//! `D value >= U (sum_i d_i p_i + sum_(at least k_j) m_j k_j - sum_(at most k_j) m_j k_j) - sum_s u_s max(0, U V_s - N_s)`
//!
//! less what parts that are left out are worth more than they cost,
//! with `V_s` the worth of the best board of kind `s`, `N_s = D c_s + U (sum_(at most) m_j - sum_(at least) m_j)` over
//! the conditions that count `s`, and `u_s` numbers of boards, as bad as any that such a plan can use.
//! It is the Lagrangian bound of the cutting-stock program (P. C. Gilmore, R. E. Gomory, Operations Research 9(6), 1961,
//! 849-859, doi 10.1287/opre.9.6.849; A. A. Farley, Operations Research 38(5), 1990, 922-923,
//! doi 10.1287/opre.38.5.922).

use std::collections::{BTreeMap, BTreeSet};

use super::TooMuch;
use super::pairs::Asked;

/// Boards of a kind, as a claim sees them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Board<'a> {
    /// What one costs in the measure of the claim.
    pub(super) cost: i64,
    /// How many there are, if that is limited.
    pub(super) supply: Option<u32>,
    /// The classes of parts that are cut from it.
    pub(super) classes: &'a [usize],
    /// The classes for which it may stay as it lies, which costs nothing, each with the rip of the claim that this is.
    pub(super) kept: &'a [(Option<usize>, usize)],
}

/// What it means to leave parts out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Absent {
    /// What is left out costs so many times its weight, in the measure of the claim.
    pub(super) cost: i64,
    /// No plan of interest leaves out more than this, by weight.
    pub(super) most: u64,
}

/// The worth of the best board of a kind at some prices, or the floor if none is worth more.
pub(super) type BestBoard<'a> = &'a dyn Fn(usize, Asked<'_>, i64) -> Result<i64, TooMuch>;

/// What a claim is about, derived from the job.
pub(super) struct Case<'a> {
    /// `demand[n]` parts of class `n`.
    pub(super) demand: Vec<u64>,
    /// What one of class `n` weighs when it is left out: its parts, as of a chain, divided by their common divisor.
    pub(super) weights: Vec<u64>,
    /// What it means to leave parts out.
    pub(super) absent: Absent,
    /// The kinds of board that may hold them.
    pub(super) boards: Vec<Board<'a>>,
    /// What every value below the claim is a multiple of, 1 or more.
    pub(super) step: u64,
    /// What a price is worth, over the scale of its table; 1 or more.
    pub(super) unit: i64,
    /// See [`BestBoard`].
    pub(super) best_board: BestBoard<'a>,
    /// The kind that each rip of the claim is of.
    pub(super) rip_kinds: Vec<usize>,
    /// The worth of the best board of a kind at some prices for each rip of the claim, and for all others together; to be
    /// asked for kinds that have rips.
    pub(super) best_rips: &'a dyn Fn(usize, Asked<'_>) -> Result<RipWorths, TooMuch>,
}

/// Rips of a claim with what the best board of each is worth; `None` stands for all that the claim does not list.
pub(super) type RipWorths = Vec<(Option<usize>, i64)>;

/// A condition met on the way to a table of prices.
#[derive(Clone, Debug)]
pub(super) struct Condition {
    /// By kind: whether it counts all boards.
    pub(super) kinds: Vec<bool>,
    /// By rip: whether it counts the boards that are ripped so.
    pub(super) rips: Vec<bool>,
    /// Whether what is left out counts as so many boards as it weighs.
    pub(super) missing: bool,
    /// The number of boards it names.
    pub(super) count: u64,
    /// Whether there are no more than that, or no fewer.
    pub(super) at_most: bool,
}

/// What one table of prices proves under the conditions of its path; `None` where numbers leave their range.
pub(super) fn table(
    case: &Case<'_>,
    scale: i64,
    asked: Asked<'_>,
    condition_prices: &[i64],
    claimed: i64,
    path: &[Condition],
) -> Option<i128> {
    let Asked { prices, state, .. } = asked;
    if prices.len() != state.demand.len() || condition_prices.len() != path.len() {
        return None;
    }
    // Every kind and every rip is looked at by every condition, and the classes of every kind.
    let looked_at = case.boards.len().saturating_add(case.rip_kinds.len());
    let n_classes: usize = case.boards.iter().map(|board| board.classes.len()).sum();
    let looks = looked_at.saturating_mul(path.len() + 1);
    asked.effort.spend(looks.saturating_add(n_classes)).ok()?;
    let told_apart = told_apart(case, path);
    let (scale, unit) = (i128::from(scale), i128::from(case.unit));
    let mut total: i128 = 0;
    for (&demand, &price) in state.demand.iter().zip(prices) {
        total = total.checked_add(i128::from(demand).checked_mul(price.into())?)?;
    }
    for (condition, &price) in path.iter().zip(condition_prices) {
        let share = i128::from(condition.count).checked_mul(price.into())?;
        total = total.checked_add(if condition.at_most { -share } else { share })?;
    }
    total = total.checked_mul(unit)?;
    let mut excesses = Vec::with_capacity(case.boards.len());
    for told in told_apart.into_iter().enumerate() {
        let excess = excess(case, told, scale, asked, condition_prices, path);
        excesses.push(excess?);
    }
    total = total.checked_sub(largest_excess(case, claimed, path, &excesses)?)?;
    total = total.checked_sub(absent_excess(case, scale, prices, condition_prices, path)?)?;
    // The least multiple of the step that is not below total / scale.
    let step = scale.checked_mul(case.step.into())?;
    let multiples = total.div_euclid(step) + i128::from(total.rem_euclid(step) != 0);
    multiples.checked_mul(case.step.into())
}

/// By how much the best board of a kind is worth more than it costs, with what the conditions that count it add; 0 where
/// it is not, or where there is none. Whether some of these count it by how it is ripped is told beside the kind.
fn excess(
    case: &Case<'_>,
    (kind, is_told_apart): (usize, bool),
    scale: i128,
    asked: Asked<'_>,
    condition_prices: &[i64],
    path: &[Condition],
) -> Option<i128> {
    let board = &case.boards[kind];
    let unit = i128::from(case.unit);
    let is_barred = path
        .iter()
        .any(|condition| condition.at_most && condition.count == 0 && condition.kinds[kind]);
    if is_barred || board.supply == Some(0) {
        return Some(0);
    }
    // A board costs so much more, or less, for the conditions that count it.
    let net_of = |cost: i64, counts: &dyn Fn(&Condition) -> bool| {
        let cost = scale.checked_mul(cost.into())?;
        net(case, cost, condition_prices, path, counts)
    };
    let net = |counts: &dyn Fn(&Condition) -> bool| net_of(board.cost, counts);
    let above = |worth: i64, net: i128| unit.checked_mul(worth.into())?.checked_sub(net);
    let mut most = 0;
    for &(rip, class) in board.kept {
        let net = net_of(0, &|condition| {
            condition.kinds[kind] || rip.is_some_and(|rip| condition.rips[rip])
        })?;
        most = above(*asked.prices.get(class)?, net)?.max(most);
    }
    if is_told_apart {
        for (rip, worth) in (case.best_rips)(kind, asked).ok()? {
            let net = net(&|condition| {
                condition.kinds[kind] || rip.is_some_and(|rip| condition.rips[rip])
            })?;
            most = above(worth, net)?.max(most);
        }
    } else {
        let net = net(&|condition| condition.kinds[kind])?;
        // A board worth no more than this is not worth more than it costs.
        let floor = i64::try_from(net.max(0) / unit).unwrap_or(i64::MAX);
        most = above((case.best_board)(kind, asked, floor).ok()?, net)?.max(most);
    }
    Some(most)
}

/// Of each kind, whether conditions count boards of it by how they are ripped.
fn told_apart(case: &Case<'_>, path: &[Condition]) -> Vec<bool> {
    let mut told_apart = vec![false; case.boards.len()];
    for condition in path {
        for (&is_counted, &of) in condition.rips.iter().zip(&case.rip_kinds) {
            told_apart[of] |= is_counted;
        }
    }
    told_apart
}

/// What a board of this scaled cost costs with what it costs more, or less, for the conditions that count it.
fn net(
    case: &Case<'_>,
    cost: i128,
    condition_prices: &[i64],
    path: &[Condition],
    counts: &dyn Fn(&Condition) -> bool,
) -> Option<i128> {
    let mut net = cost;
    for (condition, &price) in path.iter().zip(condition_prices) {
        if counts(condition) {
            let price = i128::from(case.unit).checked_mul(price.into())?;
            net = net.checked_add(if condition.at_most { price } else { -price })?;
        }
    }
    Some(net)
}

/// By how much what is left out is worth more than it costs: each unit of its weight as much as the most of any, and as
/// many of them as there may be.
fn absent_excess(
    case: &Case<'_>,
    scale: i128,
    prices: &[i64],
    condition_prices: &[i64],
    path: &[Condition],
) -> Option<i128> {
    let counting = path.iter().filter(|condition| condition.missing);
    let most = counting
        .filter(|condition| condition.at_most)
        .fold(case.absent.most, |most, condition| {
            most.min(condition.count)
        });
    let cost = scale.checked_mul(case.absent.cost.into())?;
    let net = net(case, cost, condition_prices, path, &|condition| {
        condition.missing
    })?;
    let mut excess = 0;
    // What is glued is on a strip.
    for (&price, &weight) in prices.iter().zip(&case.weights) {
        let worth = i128::from(case.unit).checked_mul(price.into())?;
        // For each unit of weight, rounded up.
        let each = -(-worth).div_euclid(i128::from(weight.max(1)));
        excess = each.checked_sub(net)?.max(excess);
    }
    excess.checked_mul(most.into())
}

/// The largest total of `excesses`, one for each board of a kind, within what a plan of a value below `claimed` can use.
///
/// Kinds that cost the same share what the value can pay for.
/// Those of them that are counted by the same conditions, and that all may stay as they lie or none may, as board lines alike
/// but in name are, also share the numbers of these conditions, and use no more boards than there are parts for them.
/// Every one of these limits holds for a set that lies within a larger one or apart from it, so the largest total is
/// found by taking the kinds in order (J. Edmonds, in Combinatorial Structures and Their Applications, 1970, 69-87;
/// from memory).
fn largest_excess(
    case: &Case<'_>,
    claimed: i64,
    path: &[Condition],
    excesses: &[i128],
) -> Option<i128> {
    let mut order: Vec<usize> = (0..excesses.len())
        .filter(|&kind| excesses[kind] > 0)
        .collect();
    order.sort_by_key(|&kind| std::cmp::Reverse(excesses[kind]));
    // What need not be paid for is in no set with what must, else these sets would cross that of one cost.
    let mut groups: BTreeMap<(i64, bool, Vec<bool>), Vec<usize>> = BTreeMap::new();
    for (kind, board) in case.boards.iter().enumerate() {
        let counted = path
            .iter()
            .map(|condition| condition.at_most && condition.kinds[kind]);
        let alike = (board.cost, board.kept.is_empty(), counted.collect());
        groups.entry(alike).or_default().push(kind);
    }
    let mut group_of = vec![0; case.boards.len()];
    let mut shared: Vec<u64> = Vec::with_capacity(groups.len());
    for (group, ((_, _, counted), kinds)) in groups.iter().enumerate() {
        for &kind in kinds {
            group_of[kind] = group;
        }
        let counts = path.iter().zip(counted).filter(|(_, counted)| **counted);
        let most = counts.map(|(condition, _)| condition.count).min();
        let parts = kinds.iter().flat_map(|&kind| case.boards[kind].classes);
        let parts = n_parts(case, parts.copied());
        shared.push(most.unwrap_or(u64::MAX).min(parts));
    }
    let mut affordable: BTreeMap<i64, u64> = BTreeMap::new();
    let mut total: i128 = 0;
    for kind in order {
        let Board {
            cost,
            supply,
            classes,
            kept,
        } = case.boards[kind];
        // What stays as it lies need not be paid for.
        let mut unlimited = u64::MAX;
        let shared_payable = affordable.entry(cost).or_insert(if cost > 0 {
            // Only plans of a value below the claim are to be ruled out.
            u64::try_from((claimed - 1).max(0) / cost).unwrap_or(0)
        } else {
            u64::MAX
        });
        let payable = if kept.is_empty() {
            shared_payable
        } else {
            &mut unlimited
        };
        let group = &mut shared[group_of[kind]];
        // A board without a part is of no use, so no more are needed than there are parts for it.
        let taken = supply
            .map_or(u64::MAX, u64::from)
            .min(n_parts(case, classes.iter().copied()))
            .min(*payable)
            .min(*group);
        *payable -= taken;
        *group -= taken;
        total = i128::from(taken)
            .checked_mul(excesses[kind])
            .and_then(|more| more.checked_add(total))?;
    }
    Some(total)
}

/// How many parts there are of some classes, each counted once.
fn n_parts(case: &Case<'_>, classes: impl IntoIterator<Item = usize>) -> u64 {
    let classes: BTreeSet<usize> = classes.into_iter().collect();
    let counts = classes.into_iter().map(|class| case.demand[class]);
    counts.fold(0, u64::saturating_add)
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests")]
mod tests;

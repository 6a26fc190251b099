//! Lower bounds, all in integers.

use super::master::Between;

/// Duals rounded to integers: item `i` is worth `items[i] / scale` times `unit` units of cost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct IntegerDuals {
    /// Of each item, 0 or more.
    pub(super) items: Vec<i64>,
    /// `(set, dual of its lower bound, dual of its upper bound)`; the second is 0 or more, the third 0 or less.
    pub(super) sets: Vec<(usize, i64, i64)>,
    /// What one `unit` of cost is in duals.
    pub(super) scale: i64,
    /// The cost, in whole units, that `scale` stands for; 1 or more.
    pub(super) unit: i64,
}

/// A set of kinds between bounds, with the duals of the bounds.
#[derive(Clone, Copy, Debug)]
pub(super) struct SetTerm {
    /// Dual of the lower bound, 0 or more.
    pub(super) least_dual: i64,
    /// Dual of the upper bound, 0 or less.
    pub(super) most_dual: i64,
    /// The bounds.
    pub(super) number: Between,
}

/// The bound of linear duality, corrected for duals that are too high: a scaled integer.
///
/// `sum d_i y_i + sum_sets (l p + u q) - sum_k n_k max(0, e_k)`, where no board of kind `k` is worth more than
/// `e_k = excesses[k]` above its scaled cost less the duals of its sets, and `most[k]` is the number of boards of
/// kind `k` that no plan of interest exceeds.
///
/// # Source
/// M. Held, R. M. Karp, Mathematical Programming 1 (1971); for integer duals S. Held, W. Cook, E. C. Sewell,
/// Mathematical Programming Computation 4 (2012), doi 10.1007/s12532-012-0042-3.
pub(super) fn lagrangian(
    demand: &[u32],
    duals: &IntegerDuals,
    sets: &[SetTerm],
    excesses: &[i64],
    most: &[u32],
) -> i128 {
    let mut bound: i128 = demand
        .iter()
        .zip(&duals.items)
        .map(|(&demand, &dual)| i128::from(demand) * i128::from(dual))
        .sum();
    for set in sets {
        bound += i128::from(set.number.least) * i128::from(set.least_dual);
        bound += i128::from(set.number.most) * i128::from(set.most_dual);
    }
    for (&excess, &most) in excesses.iter().zip(most) {
        bound -= i128::from(excess.max(0)) * i128::from(most);
    }
    bound
}

/// The least whole cost that is at least `scaled`, in units.
pub(super) fn round_up(scaled: i128, duals: &IntegerDuals) -> i64 {
    if scaled <= 0 {
        return 0;
    }
    let scale = i128::from(duals.scale);
    let cost = (scaled * i128::from(duals.unit) + scale - 1) / scale;
    i64::try_from(cost).unwrap_or(i64::MAX)
}

/// How many boards of a cost a plan below `cutoff` can hold.
pub(super) fn affordable(cutoff: i64, cost: i64) -> u32 {
    if cost <= 0 || cutoff == i64::MAX {
        return u32::MAX;
    }
    u32::try_from((cutoff - 1).max(0) / cost).unwrap_or(u32::MAX)
}

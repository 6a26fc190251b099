//! What is plain of an instance without a search.

use crate::cutting::Instance;

/// Whether no plan cuts everything in `instance` for less than `below`, because some item lies on no strip in supply that
/// is long enough, or because boards filled to their ends would cost as much already.
///
/// # Panics
/// If a layout names a strip that is not there.
#[must_use]
pub fn rules_out(instance: &Instance, below: Option<i64>) -> bool {
    let groups = instance.connected();
    let n_placed: usize = groups.iter().map(|(items, _)| items.len()).sum();
    n_placed < instance.items.len()
        || below.is_some_and(|below| filling_bound(instance, &groups) >= i128::from(below))
}

/// A bound by length alone: no plan costs less than if every board were filled to its end.
///
/// For each component `sum d_i s_i <= sum_s n_s C_s`, with `C_s` the most that a board of stock `s` holds, so that
/// `sum_s n_s c_s >= sum d_i s_i * min_s c_s / C_s`, rounded up.
fn filling_bound(instance: &Instance, groups: &[(Vec<usize>, Vec<usize>)]) -> i128 {
    let capacity = |stock: usize| -> i128 {
        let layouts = instance.stocks[stock].layouts.iter();
        let layouts = layouts.filter(|layout| !layout.kept);
        let held = layouts.map(|layout| {
            let strips = layout.strips.iter();
            let capacities = strips.map(|&strip| i128::from(instance.strips[strip].capacity));
            capacities.sum()
        });
        held.max().unwrap_or(0)
    };
    let of_group = |(items, stocks): &(Vec<usize>, Vec<usize>)| -> i128 {
        // What stays as it lies is held for nothing.
        let kept = stocks
            .iter()
            .flat_map(|&stock| &instance.stocks[stock].layouts)
            .filter(|layout| layout.kept);
        let free: Vec<usize> = kept
            .flat_map(|layout| &layout.strips)
            .flat_map(|&strip| instance.strips[strip].items.iter().copied())
            .collect();
        let items = items
            .iter()
            .filter(|item| !free.contains(item))
            .map(|&item| &instance.items[item]);
        let wanted: i128 = items
            .map(|item| i128::from(item.size) * i128::from(item.demand))
            .sum();
        let rates = stocks.iter().map(|&stock| {
            let cost = i128::from(instance.stocks[stock].cost);
            (cost, capacity(stock))
        });
        let least = rates
            .filter(|&(_, capacity)| capacity > 0)
            .map(|(cost, capacity)| (wanted.saturating_mul(cost) + capacity - 1) / capacity)
            .min();
        least.unwrap_or(0)
    };
    groups.iter().map(of_group).sum()
}

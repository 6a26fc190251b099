//! Splits an instance into connected parts, normalizes each, and carries plans of the parts back.

mod kinds;
mod lower;
mod raise;

use crate::cutting::Instance;

use super::problem::{Problem, StripKind, longest_strips};
use kinds::{drop_dominated, merge_kinds};

/// A part of the instance with the way back.
pub(super) struct Component {
    /// The normalized part.
    pub(super) problem: Problem,
    /// What every cost of the part was divided by; 1 or more.
    pub(super) cost_unit: i64,
    /// `item_origins[i]` are the instance's items that were merged into item `i`.
    item_origins: Vec<Vec<usize>>,
    /// `kind_origins[k]` are the instance's stocks that were merged into kind `k`.
    kind_origins: Vec<Vec<KindOrigin>>,
    /// `replaced[k]` are the instance's stocks in whose place kind `k` can always be used.
    replaced: Vec<Vec<usize>>,
}

/// A stock of the instance behind a kind.
struct KindOrigin {
    stock: usize,
    unlimited: bool,
    /// The layout of the stock behind each layout of the kind.
    layouts: Vec<LayoutOrigin>,
}

/// A layout of a stock behind a layout of a kind.
#[derive(Clone)]
struct LayoutOrigin {
    layout: usize,
    /// For each strip of the original layout, which strip of the kind's layout stands for it, if it holds anything.
    places: Vec<Option<usize>>,
}

/// The greatest common divisor; 0 only of two zeros.
pub(super) fn gcd(mut a: i64, mut b: i64) -> i64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.abs()
}

/// The connected parts of `instance`, and for each item whether it belongs to one.
///
/// Items that no strip in supply can hold belong to none.
pub(super) fn split(instance: &Instance) -> (Vec<Component>, Vec<bool>) {
    let fitting: Vec<Vec<usize>> = (0..instance.strips.len())
        .map(|strip| {
            let mut items: Vec<usize> = instance.fitting(strip).collect();
            items.sort_unstable();
            items.dedup();
            items
        })
        .collect();
    let mut placed = vec![false; instance.items.len()];
    let mut components = Vec::new();
    for (items, stocks) in instance.connected() {
        for &item in &items {
            placed[item] = true;
        }
        components.push(component(instance, &fitting, &items, &stocks));
    }
    (components, placed)
}

#[expect(
    clippy::too_many_lines,
    reason = "one pass in the order in which the parts depend on each other"
)]
fn component(
    instance: &Instance,
    fitting: &[Vec<usize>],
    items: &[usize],
    stocks: &[usize],
) -> Component {
    let mut strip_used = vec![false; instance.strips.len()];
    for &stock in stocks {
        for &strip in instance.stocks[stock]
            .layouts
            .iter()
            .flat_map(|layout| &layout.strips)
        {
            strip_used[strip] = true;
        }
    }
    let used_strips: Vec<usize> = (0..strip_used.len())
        .filter(|&strip| strip_used[strip])
        .collect();
    // Items with equal size, equal pieces and the same strips are one.
    let mut keyed: Vec<(i64, u32, Vec<usize>, usize)> = items
        .iter()
        .map(|&item| {
            let homes = used_strips
                .iter()
                .copied()
                .filter(|&strip| fitting[strip].binary_search(&item).is_ok());
            let size = instance.items[item].size;
            (-size, instance.items[item].pieces, homes.collect(), item)
        })
        .collect();
    keyed.sort();
    let mut item_of = vec![usize::MAX; instance.items.len()];
    let mut item_origins: Vec<Vec<usize>> = Vec::new();
    for (idx, entry) in keyed.iter().enumerate() {
        let same = idx > 0 && {
            let last = &keyed[idx - 1];
            last.0 == entry.0 && last.1 == entry.1 && last.2 == entry.2
        };
        if !same {
            item_origins.push(Vec::new());
        }
        item_of[entry.3] = item_origins.len() - 1;
        item_origins
            .last_mut()
            .expect("the first entry always starts a group")
            .push(entry.3);
    }
    let sizes: Vec<i64> = item_origins
        .iter()
        .map(|origins| instance.items[origins[0]].size)
        .collect();
    let pieces: Vec<u32> = item_origins
        .iter()
        .map(|origins| instance.items[origins[0]].pieces)
        .collect();
    let demand: Vec<u32> = item_origins
        .iter()
        .map(|origins| {
            origins.iter().fold(0u32, |sum, &item| {
                sum.saturating_add(instance.items[item].demand)
            })
        })
        .collect();
    // Strips with equal capacity and equal items are one; a strip that holds nothing is none.
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut strips: Vec<StripKind> = Vec::new();
    let mut strip_of: Vec<Option<usize>> = vec![None; instance.strips.len()];
    for &strip in &used_strips {
        let mut members: Vec<usize> = fitting[strip].iter().map(|&item| item_of[item]).collect();
        members.sort_unstable();
        members.dedup();
        if members.is_empty() {
            continue;
        }
        // Strips that may hold the same set up to what is too long for the shorter share a table of the longer.
        let group = groups
            .iter()
            .position(|known| *known == members)
            .unwrap_or_else(|| {
                groups.push(members);
                groups.len() - 1
            });
        let kind = StripKind {
            capacity: instance.strips[strip].capacity,
            group,
        };
        let place = strips
            .iter()
            .position(|known| *known == kind)
            .unwrap_or_else(|| {
                strips.push(kind);
                strips.len() - 1
            });
        strip_of[strip] = Some(place);
    }
    share_groups(&sizes, &mut groups, &mut strips);
    let (mut kinds, mut kind_origins) = merge_kinds(instance, stocks, &strip_of);
    let mut replaced = drop_dominated(&mut kinds, &mut kind_origins, &strips, &groups);
    for ((kind, origins), replaced) in kinds.iter().zip(&mut kind_origins).zip(&mut replaced) {
        // Of stocks that are alike one without limit is enough.
        let unlimited = origins.iter().position(|origin| origin.unlimited);
        if let Some(kept) =
            unlimited.filter(|_| kind.layouts.iter().all(|layout| layout.len() == 1))
        {
            let only = origins.swap_remove(kept);
            replaced.extend(origins.drain(..).map(|origin| origin.stock));
            origins.push(only);
        }
    }
    let mut cost_unit = kinds.iter().fold(0, |unit, kind| gcd(unit, kind.cost));
    if cost_unit == 0 {
        cost_unit = 1;
    }
    for kind in &mut kinds {
        kind.cost /= cost_unit;
        let mut holds = vec![false; sizes.len()];
        for &strip in kind.layouts.iter().flatten() {
            for &item in &groups[strips[strip].group] {
                holds[item] |= sizes[item] <= strips[strip].capacity;
            }
        }
        let most: u64 = (0..sizes.len())
            .filter(|&item| holds[item])
            .map(|item| u64::from(demand[item]))
            .sum();
        let most = u32::try_from(most).unwrap_or(u32::MAX);
        kind.limited &= kind.limit < most;
        if !kind.limited {
            kind.limit = most;
        }
    }
    Component {
        problem: Problem {
            sizes,
            demand,
            pieces,
            strips,
            groups,
            kinds,
        },
        cost_unit,
        item_origins,
        kind_origins,
        replaced,
    }
}

/// Lets strips share a set of items when the sets differ only by items too long for the strip.
///
/// One table then prices all of them.
fn share_groups(sizes: &[i64], groups: &mut Vec<Vec<usize>>, strips: &mut [StripKind]) {
    let mut home: Vec<usize> = (0..groups.len()).collect();
    let mut order: Vec<usize> = (0..groups.len()).collect();
    order.sort_by_key(|&group| (std::cmp::Reverse(groups[group].len()), group));
    let longest = longest_strips(strips, groups.len());
    for (place, &group) in order.iter().enumerate() {
        for &wider in &order[..place] {
            if home[wider] != wider {
                continue;
            }
            let shared = groups[wider]
                .iter()
                .copied()
                .filter(|&item| sizes[item] <= longest[group]);
            if shared.eq(groups[group].iter().copied()) {
                home[group] = wider;
                break;
            }
        }
    }
    // A strip of a shared set must still refuse what its own set lacks; items longer than its own capacity
    // are refused by length, so only sets that agree up to the strip's capacity may be shared.
    let mut kept: Vec<Vec<usize>> = Vec::new();
    let mut place = vec![usize::MAX; groups.len()];
    for group in 0..groups.len() {
        if home[group] == group {
            place[group] = kept.len();
            kept.push(groups[group].clone());
        }
    }
    for strip in strips.iter_mut() {
        strip.group = place[home[strip.group]];
    }
    *groups = kept;
}

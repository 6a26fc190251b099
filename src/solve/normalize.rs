//! Normalizes a connected instance, and carries plans both ways.

mod kinds;
mod lower;
mod raise;

use crate::cutting::{Instance, Item, common_divisor};

use super::problem::{GroupedStrip, Problem, longest_strips};
use kinds::{drop_dominated, merge_kinds};

/// A connected instance in the form the search works on, with the way back.
pub(super) struct Normalized {
    /// What the search works on.
    pub(super) problem: Problem,
    /// What every cost was divided by; 1 or more.
    pub(super) cost_unit: i64,
    /// What the pieces of every item were divided by; 1 or more.
    pub(super) weigh_one: u32,
    /// `item_origins[i]` are the instance's items that were merged into item `i`.
    item_origins: Vec<Vec<usize>>,
    /// `kind_origins[k]` are the instance's stocks that were merged into kind `k`.
    kind_origins: Vec<Vec<KindOrigin>>,
    /// The instance's stocks of which one alone costs more than a plan that is known.
    dear: Vec<usize>,
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

impl Normalized {
    /// Normalizes a connected instance, of which every item lies on some strip.
    #[expect(
        clippy::too_many_lines,
        reason = "one pass in the order in which its steps depend on each other"
    )]
    pub(super) fn of(instance: &Instance) -> Normalized {
        // Items with equal size, equal pieces and the same strips are one.
        let mut homes: Vec<Vec<usize>> = vec![Vec::new(); instance.items.len()];
        for (strip, kind) in instance.strips.iter().enumerate() {
            for &item in &kind.items {
                homes[item].push(strip);
            }
        }
        let key = |item: usize| {
            let Item { size, pieces, .. } = instance.items[item];
            (-size, pieces, &homes[item])
        };
        let mut order: Vec<usize> = (0..instance.items.len()).collect();
        order.sort_by_key(|&item| (key(item), item));
        let mut item_of = vec![usize::MAX; instance.items.len()];
        let item_origins: Vec<Vec<usize>> = order
            .chunk_by(|&one, &other| key(one) == key(other))
            .map(<[usize]>::to_vec)
            .collect();
        for (own, origins) in item_origins.iter().enumerate() {
            for &item in origins {
                item_of[item] = own;
            }
        }
        let sizes: Vec<i64> = item_origins
            .iter()
            .map(|origins| instance.items[origins[0]].size)
            .collect();
        let pieces = |origins: &Vec<usize>| instance.items[origins[0]].pieces;
        let weigh_one = item_origins.iter().map(pieces);
        let weigh_one = weigh_one.fold(0, common_divisor).max(1);
        let weights = item_origins
            .iter()
            .map(|origins| pieces(origins) / weigh_one)
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
        let mut strips: Vec<GroupedStrip> = Vec::new();
        let mut strip_of: Vec<Option<usize>> = vec![None; instance.strips.len()];
        for (strip, whole) in instance.strips.iter().enumerate() {
            let mut members: Vec<usize> = whole.items.iter().map(|&item| item_of[item]).collect();
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
            let kind = GroupedStrip {
                capacity: whole.capacity,
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
        let (mut kinds, mut kind_origins) = merge_kinds(instance, &strip_of);
        let mut replaced = drop_dominated(&mut kinds, &mut kind_origins, &strips, &groups);
        for ((kind, origins), replaced) in kinds.iter().zip(&mut kind_origins).zip(&mut replaced) {
            // Of stocks that are alike one without limit is enough.
            let unlimited = origins.iter().position(|origin| origin.unlimited);
            if let Some(kept) = unlimited
                .filter(|_| kind.n_kept == 0 && kind.layouts.iter().all(|layout| layout.len() == 1))
            {
                let only = origins.swap_remove(kept);
                replaced.extend(origins.drain(..).map(|origin| origin.stock));
                origins.push(only);
            }
        }
        let mut cost_unit = kinds
            .iter()
            .fold(0, |unit, kind| common_divisor(unit, kind.cost));
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
        Normalized {
            problem: Problem {
                sizes,
                demand,
                weights,
                is_single: item_origins
                    .iter()
                    .map(|origins| origins.len() == 1)
                    .collect(),
                strips,
                groups,
                kinds,
                besides: 0,
            },
            cost_unit,
            weigh_one,
            item_origins,
            kind_origins,
            dear: Vec::new(),
            replaced,
        }
    }

    /// Leaves out the kinds that cost more than `known`, the cost of a plan in units of the problem: no better plan uses one.
    ///
    /// What stays as it lies costs nothing, and is not left out.
    pub(super) fn drop_dearer(&mut self, known: i64) {
        let kinds = std::mem::take(&mut self.problem.kinds).into_iter();
        let origins = std::mem::take(&mut self.kind_origins).into_iter();
        let replaced = std::mem::take(&mut self.replaced).into_iter();
        for ((kind, origins), replaced) in kinds.zip(origins).zip(replaced) {
            if kind.cost > known && kind.n_kept == 0 {
                // Stocks that it replaces cost as much at least.
                self.dear.extend(origins.iter().map(|origin| origin.stock));
                self.dear.extend(replaced);
            } else {
                self.problem.kinds.push(kind);
                self.kind_origins.push(origins);
                self.replaced.push(replaced);
            }
        }
        let kinds = &mut self.problem.kinds;
        let unit = kinds
            .iter()
            .fold(0, |unit, kind| common_divisor(unit, kind.cost))
            .max(1);
        for kind in kinds {
            kind.cost /= unit;
        }
        self.cost_unit *= unit;
    }
}

/// Lets strips share a set of items when the sets differ only by items too long for the strip.
///
/// One table then prices all of them.
fn share_groups(sizes: &[i64], groups: &mut Vec<Vec<usize>>, strips: &mut [GroupedStrip]) {
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

//! What strips of one width are worth where it counts which pieces a strip holds.

use std::collections::BTreeMap;

use super::frontier::Frontier;
use super::proof::MOST_WORK;
use crate::sheets::certificate::Hold;

/// Ways for a strip to have come so far that are told apart before a certificate counts as too much work.
const MOST_WAYS: usize = 20_000;
/// Numbers that all of these ways may keep.
const MOST_COUNTS: usize = 1_000_000;

/// An item on a strip: in the way that takes least of its length.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lying {
    pub(super) item: usize,
    /// Its size along the strip, and a kerf.
    pub(super) along: i64,
    /// Whether it is as wide as the strip.
    pub(super) is_wide: bool,
    /// How many there are at most.
    pub(super) most: u32,
    /// What one is worth.
    pub(super) price: i128,
}

/// What a strip is worth more that holds certain pieces.
#[derive(Clone, Copy, Debug)]
pub(super) struct Held<'a> {
    pub(super) least: &'a [Hold],
    pub(super) price: i128,
}

/// How far a strip has come.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Sofar {
    has_wide: bool,
    /// By what a strip may hold: of each part of it the pieces so far, no more than are asked for; `None` once it is decided
    /// whether the strip holds it.
    counts: Vec<Option<Vec<u32>>>,
}

impl Sofar {
    /// With `count` pieces of an item more, after which items from `later` on are still to come; and what is then worth more.
    fn with(&self, helds: &[Held<'_>], item: usize, count: u32, later: &[Lying]) -> (Sofar, i128) {
        let mut next = self.clone();
        let mut worth = 0;
        for (held, counts) in helds.iter().zip(&mut next.counts) {
            let Some(own) = counts else {
                continue;
            };
            let mut parts = held.least.iter().zip(own.iter_mut());
            let mut has_all = true;
            let mut may_have = true;
            for (hold, so_far) in &mut parts {
                if hold.items.contains(&item) {
                    *so_far = so_far.saturating_add(count).min(hold.at_least);
                }
                has_all &= *so_far == hold.at_least;
                may_have &= *so_far == hold.at_least
                    || later.iter().any(|lying| hold.items.contains(&lying.item));
            }
            if has_all {
                worth += held.price;
            }
            if has_all || !may_have {
                *counts = None;
            }
        }
        (next, worth)
    }
}

/// What the best strip within `room` is worth, at least one of its pieces being as wide as it; `None` where there is none.
/// Pairs of size and worth that are looked at are added to `work`; once they are more than [`MOST_WORK`] what is said is not true.
pub(super) fn best(lying: &[Lying], helds: &[Held<'_>], room: i64, work: &mut u64) -> Option<i128> {
    let is_asked = |item: usize| {
        let mut holds = helds.iter().flat_map(|held| held.least);
        holds.any(|hold| hold.items.contains(&item))
    };
    // What nobody asks for comes first, as long as there are few ways to have come so far.
    let (mut lying, asked): (Vec<Lying>, Vec<Lying>) =
        lying.iter().partition(|lying| !is_asked(lying.item));
    lying.extend(asked);
    let n_parts: usize = helds.iter().map(|held| held.least.len()).sum();
    let counts = helds.iter().map(|held| Some(vec![0; held.least.len()]));
    let start = Sofar {
        has_wide: false,
        counts: counts.collect(),
    };
    let mut ways = BTreeMap::from([(start, Frontier::start())]);
    for (idx, own) in lying.iter().enumerate() {
        let mut next: BTreeMap<Sofar, Frontier> = BTreeMap::new();
        for (sofar, pairs) in &ways {
            let mut pairs = pairs.clone();
            for count in 0..=own.most {
                if count > 0 {
                    pairs = pairs.with(own.along, own.price, room);
                }
                if pairs.is_empty() {
                    break;
                }
                let (mut to, worth) = sofar.with(helds, own.item, count, &lying[idx + 1..]);
                to.has_wide |= own.is_wide && count > 0;
                let found = next.entry(to).or_default();
                *work += (pairs.len() + found.len() + n_parts * (lying.len() - idx)) as u64;
                *found = found.or(&pairs.with(0, worth, room));
            }
            if next.len() > MOST_WAYS || next.len() * n_parts > MOST_COUNTS {
                *work = MOST_WORK + 1;
            }
            if *work > MOST_WORK {
                return None;
            }
        }
        ways = next;
    }
    let full = ways.iter().filter(|(sofar, _)| sofar.has_wide);
    full.filter_map(|(_, pairs)| pairs.within(room)).max()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve::draw::Draw;

    /// The best strip by trying every number of pieces of each item.
    fn tried(lying: &[Lying], helds: &[Held<'_>], room: i64) -> Option<i128> {
        let mut strips: Vec<Vec<u32>> = vec![Vec::new()];
        for own in lying {
            let longer = |strip: &Vec<u32>| {
                let with = |count: u32| [strip.as_slice(), &[count]].concat();
                (0..=own.most).map(with).collect::<Vec<_>>()
            };
            strips = strips.iter().flat_map(longer).collect();
        }
        let worth = |strip: Vec<u32>| {
            let pieces = || lying.iter().zip(&strip);
            let length: i64 = pieces()
                .map(|(own, &count)| own.along * i64::from(count))
                .sum();
            let is_full = pieces().any(|(own, &count)| own.is_wide && count > 0);
            let number = |hold: &Hold| -> u32 {
                let of_hold = pieces().filter(|(own, _)| hold.items.contains(&own.item));
                of_hold.map(|(_, &count)| count).sum()
            };
            let held = helds.iter().filter(|held| {
                let mut parts = held.least.iter();
                parts.all(|hold| number(hold) >= hold.at_least)
            });
            let own: i128 = pieces()
                .map(|(own, &count)| own.price * i128::from(count))
                .sum();
            (is_full && length <= room).then(|| own + held.map(|held| held.price).sum::<i128>())
        };
        strips.into_iter().filter_map(worth).max()
    }

    #[test]
    fn the_best_strip_is_that_of_trying_all() {
        let mut draw = Draw::new();
        let mut below = |most: usize| draw.below(most);
        let int = |number: usize| i64::try_from(number).expect("small");
        let count = |number: usize| u32::try_from(number).expect("small");
        let mut n_changed = 0;
        for _ in 0..400 {
            let n_items = 2 + below(3);
            let lying: Vec<Lying> = (0..n_items)
                .map(|item| Lying {
                    item,
                    along: 2 + int(below(6)),
                    is_wide: item == 0 || below(3) == 0,
                    most: 1 + count(below(3)),
                    price: i128::from(int(below(20))) - 3,
                })
                .collect();
            let room = 8 + int(below(14));
            let mut hold = || {
                let first = below(n_items);
                let last = (first + below(2)).min(n_items - 1);
                Hold {
                    items: (first..=last).collect(),
                    at_least: 1 + count(below(3)),
                }
            };
            let least: Vec<Vec<Hold>> = vec![vec![hold()], vec![hold(), hold()], vec![hold()]];
            let helds: Vec<Held<'_>> = least
                .iter()
                .map(|least| Held {
                    least,
                    price: i128::from(int(below(60))) - 30,
                })
                .collect();
            let mut work = 0;
            let found = best(&lying, &helds, room, &mut work);
            assert_eq!(
                found,
                tried(&lying, &helds, room),
                "{lying:?} {helds:?} {room}"
            );
            n_changed += u32::from(found != tried(&lying, &[], room));
        }
        assert!(n_changed > 100, "{n_changed}");
    }
}

//! The best strip of one width where strips that hold certain pieces are worth more, or less.
//!
//! Of the ways that an item fits the strip, it lies in the one that takes least of its length: that is its widest, and the strip
//! is no wider for it.
//!
//! # Source
//! F. Vanderbeck, Operations Research 48(1), 2000, 111-128 (cases by what columns hold at least; from memory).

use std::collections::BTreeMap;

use super::model::Lane;
use crate::solve::meter::Meter;

/// What a strip holds: `(item, how many at least)` of each, and what it is worth more then.
pub(super) type Held<'a> = (&'a [(usize, u32)], i64);

/// What is known of a strip as its items are gone through.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct State {
    /// Whether a piece is as wide as the strip.
    is_full: bool,
    /// Which of what it may hold is not decided yet; all of their items so far are there.
    alive: Vec<usize>,
}

/// The best strips that came to a state.
#[derive(Clone, Debug)]
struct Reached {
    /// What they are worth, before each place.
    values: Vec<i64>,
    /// The pieces of the last item, and the state before it, before each place.
    steps: Vec<(u16, u32)>,
}

/// States by the order in which they are told apart.
type Stage = Vec<(State, Reached)>;

/// No strip.
const NOTHING: i64 = i64::MIN / 4;

/// What the best strip of a class is worth, and its pieces, which are worth `prices` each; `None` where there is none.
pub(super) fn best_strip(
    lane: &Lane,
    class: usize,
    prices: &[i64],
    helds: &[Held<'_>],
    demand: &[u32],
    meter: &Meter<'_>,
) -> Option<(i64, Vec<(usize, u32)>)> {
    // By item, the widest way that fits.
    let lays: BTreeMap<usize, usize> = (0..lane.ends[class])
        .map(|idx| (lane.lays[idx].item, idx))
        .collect();
    let is_asked = |item: usize| {
        helds
            .iter()
            .any(|(least, _)| least.iter().any(|own| own.0 == item))
    };
    // Items that nothing asks for come first, as long as there is but one state.
    let mut order: Vec<(usize, usize)> = lays.iter().map(|(&item, &lay)| (item, lay)).collect();
    order.sort_by_key(|&(item, _)| (is_asked(item), item));
    let n_places = lane.along_places.len();
    // A strip can hold only what fits it.
    let may_hold = |held: &usize| {
        let (least, _) = helds[*held];
        least.iter().all(|own| lays.contains_key(&own.0))
    };
    let start = State {
        is_full: false,
        alive: (0..helds.len()).filter(may_hold).collect(),
    };
    let nothing = Reached {
        values: vec![0; n_places],
        steps: Vec::new(),
    };
    let mut stages: Vec<Stage> = vec![vec![(start, nothing)]];
    for (at, &(item, lay)) in order.iter().enumerate() {
        let is_wide = lane.lays[lay].across == lane.widths[class];
        let fits = i64::from(demand[item]).min(lane.length / lane.lays[lay].along);
        let is_of_use = prices[item] > 0 || is_asked(item);
        let most = if is_of_use {
            fits
        } else {
            fits.min(i64::from(is_wide))
        };
        let most = u16::try_from(most).unwrap_or(u16::MAX);
        let is_last = |held: usize| {
            let (least, _) = helds[held];
            order[at + 1..]
                .iter()
                .all(|&(later, _)| least.iter().all(|own| own.0 != later))
        };
        let before = stages.last().expect("the start is one");
        let mut after: BTreeMap<State, Reached> = BTreeMap::new();
        for (idx, (state, reached)) in before.iter().enumerate() {
            let idx = u32::try_from(idx).expect("states are few");
            let mut from: Vec<Option<usize>> = (0..n_places).map(Some).collect();
            for count in 0..=most {
                if count > 0 {
                    let back = lane.along_places.back(lay);
                    for place in &mut from {
                        *place = place.and_then(|place| back.from(place));
                    }
                }
                if !meter.spend(n_places as u64) {
                    return None;
                }
                let mut worth = prices[item] * i64::from(count);
                let mut next = state.clone();
                next.is_full |= is_wide && count > 0;
                next.alive.retain(|&held| {
                    let (least, price) = helds[held];
                    let has_enough = least
                        .iter()
                        .all(|&(own, number)| own != item || u32::from(count) >= number);
                    let is_decided = is_last(held);
                    worth += if has_enough && is_decided { price } else { 0 };
                    has_enough && !is_decided
                });
                let to = after.entry(next).or_insert_with(|| Reached {
                    values: vec![NOTHING; n_places],
                    steps: vec![(0, 0); n_places],
                });
                for (place, from) in from.iter().enumerate() {
                    let Some(before) = from.map(|from| reached.values[from]) else {
                        continue;
                    };
                    if before > NOTHING / 2 && before + worth > to.values[place] {
                        to.values[place] = before + worth;
                        to.steps[place] = (count, idx);
                    }
                }
            }
        }
        stages.push(after.into_iter().collect());
    }
    traced(lane, &stages, &order)
}

/// The best strip that all stages lead to, with its pieces; `order` has the item and its lay of each stage behind the start.
fn traced(
    lane: &Lane,
    stages: &[Stage],
    order: &[(usize, usize)],
) -> Option<(i64, Vec<(usize, u32)>)> {
    let n_places = lane.along_places.len();
    let last = stages.last().expect("the start is one").iter().enumerate();
    let (mut at, (_, best)) = last
        .filter(|(_, (state, _))| state.is_full)
        .max_by_key(|(_, (_, reached))| reached.values[n_places - 1])?;
    let value = best.values[n_places - 1];
    if value <= NOTHING / 2 {
        return None;
    }
    let mut place = n_places - 1;
    let mut pieces = Vec::new();
    for (stage, &(item, lay)) in stages[1..].iter().zip(order).rev() {
        let (count, before) = stage[at].1.steps[place];
        for _ in 0..count {
            let from = lane.along_places.back(lay).from(place);
            place = from.expect("the pieces lay before it");
        }
        if count > 0 {
            crate::cutting::add_count(&mut pieces, item, u32::from(count));
        }
        at = before as usize;
    }
    Some((value, pieces))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::job::{Along, Cutter, Item, Kind, SheetJob, Trim};
    use crate::sheets::solver::model::Model;
    use crate::solve::Share;
    use crate::solve::draw::Draw;

    /// What the best strip of a class is worth, by trying every number of pieces, each item lying either way.
    fn tried(
        lane: &Lane,
        class: usize,
        prices: &[i64],
        helds: &[Held<'_>],
        demand: &[u32],
    ) -> Option<i64> {
        // `(length, whether a piece is as wide as the strip, pieces by item)`.
        let mut strips = vec![(0, false, vec![0u32; demand.len()])];
        for lay in &lane.lays[..lane.ends[class]] {
            let mut more = strips.clone();
            for count in 1..=demand[lay.item] {
                for (length, is_full, pieces) in &strips {
                    let mut pieces = pieces.clone();
                    pieces[lay.item] += count;
                    let length = length + lay.along * i64::from(count);
                    let is_full = *is_full || lay.across == lane.widths[class];
                    if length <= lane.length && pieces[lay.item] <= demand[lay.item] {
                        more.push((length, is_full, pieces));
                    }
                }
            }
            strips = more;
        }
        let worth = |pieces: &[u32]| {
            let own: i64 = pieces
                .iter()
                .zip(prices)
                .map(|(&count, price)| i64::from(count) * price)
                .sum();
            let held = helds
                .iter()
                .filter(|(least, _)| least.iter().all(|&(item, number)| pieces[item] >= number));
            own + held.map(|(_, price)| price).sum::<i64>()
        };
        let full = strips.iter().filter(|strip| strip.1);
        full.map(|(_, _, pieces)| worth(pieces)).max()
    }

    #[test]
    fn the_best_strip_is_that_of_trying_all() {
        let mut draw = Draw::new();
        let mut below = |most: usize| draw.below(most);
        let int = |number: usize| i64::try_from(number).expect("small");
        let count = |number: usize| u32::try_from(number).expect("small");
        let mut n_changed = 0;
        for _ in 0..150 {
            let one = |_| Item {
                width: 2 + int(below(6)),
                height: 2 + int(below(6)),
                demand: 1 + count(below(3)),
                turnable: below(2) == 0,
            };
            let items: Vec<Item> = (0..3).map(one).collect();
            let kind = Kind {
                width: 10 + int(below(12)),
                height: 12,
                price: 1,
                supply: None,
                trim: Trim::default(),
            };
            let cutter = Cutter {
                strips: Some(Along::Width),
                ..Cutter::default()
            };
            let job = SheetJob::new(items, vec![kind], cutter).expect("sound");
            let model = Model::new(&job);
            let n_items = model.items.len();
            let demand: Vec<u32> = model.items.iter().map(|item| item.demand).collect();
            let prices: Vec<i64> = (0..n_items).map(|_| int(below(20)) - 3).collect();
            let mut least = |n_parts: usize| -> Vec<(usize, u32)> {
                let parts = (0..n_items)
                    .cycle()
                    .skip(below(n_items))
                    .take(n_parts.min(n_items));
                parts.map(|item| (item, 1 + count(below(3)))).collect()
            };
            let least = [least(1), least(2), least(1)];
            let helds: Vec<Held<'_>> = least
                .iter()
                .map(|least| (least.as_slice(), int(below(60)) - 30))
                .collect();
            let stop = || false;
            let meter = Meter::new(&stop, Share::SHORT);
            let lane = &model.lanes[0];
            for class in 0..lane.widths.len() {
                let found = best_strip(lane, class, &prices, &helds, &demand, &meter);
                let value = found.as_ref().map(|(value, _)| *value);
                let best = tried(lane, class, &prices, &helds, &demand);
                assert_eq!(value, best, "{job:?} {class} {prices:?} {helds:?}");
                n_changed += u32::from(best != tried(lane, class, &prices, &[], &demand));
                // The pieces are worth what is said, as a strip of these alone.
                if let Some((value, pieces)) = found {
                    let mut own = vec![0; n_items];
                    for (item, count) in pieces {
                        own[item] = count;
                    }
                    assert!(own.iter().zip(&demand).all(|(own, most)| own <= most));
                    let alone = tried(lane, class, &prices, &helds, &own);
                    assert!(alone >= Some(value), "{job:?} {class} {own:?}");
                }
            }
        }
        assert!(n_changed > 100, "{n_changed}");
    }
}

//! The worth of the best pattern at given prices, exactly, by lists of undominated loads.
//!
//! Nothing is shared with the solver's pricing: this one works on sizes in nanometers as they are, by the method of
//! G. L. Nemhauser and Z. Ullmann, Management Science 15(9), 1969, 494-505, doi 10.1287/mnsc.15.9.494.

use super::TooMuch;
use super::effort::Effort;

/// More loads than this are not kept at a time.
const MOST_LOADS: usize = 1 << 20;

/// Something that may be cut: its size with kerf, its price, and how many at most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Offer {
    /// Nanometers; positive.
    pub(super) size: i64,
    /// 0 or more.
    pub(super) price: i64,
    /// How many there are.
    pub(super) most: u64,
}

/// A load that no other beats: none as light is worth as much.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Load {
    size: i64,
    worth: i64,
}

/// The worth of the best choice of `offers` within `capacity`, or `floor` if none is worth more.
///
/// Loads that cannot come to more than `floor` are dropped on the way, which makes a proof cheap to check: at the
/// prices of a good proof hardly any pattern is worth more than its board.
///
/// # Errors
/// If worths leave the range of `i64`, or there are too many loads, or more than is left of the work; of offers that take no room, too.
pub(super) fn best_worth(
    offers: &[Offer],
    capacity: i64,
    floor: i64,
    effort: &Effort,
) -> Result<i64, TooMuch> {
    effort.spend(offers.len())?;
    if offers.iter().any(|offer| offer.size <= 0) {
        return Err(TooMuch);
    }
    let mut offers: Vec<Offer> = offers
        .iter()
        .copied()
        .filter(|offer| offer.price > 0 && offer.most > 0 && offer.size <= capacity)
        .collect();
    // Dearest per length first: what is still to come is then worth little, and bounds are sharp.
    offers.sort_by(|one, other| {
        let (one_by_size, other_by_size) = (
            i128::from(one.price) * i128::from(other.size),
            i128::from(other.price) * i128::from(one.size),
        );
        other_by_size
            .cmp(&one_by_size)
            .then(other.size.cmp(&one.size))
    });
    let mut best = floor;
    let mut loads = vec![Load { size: 0, worth: 0 }];
    let mut merged = Vec::new();
    for (idx, offer) in offers.iter().enumerate() {
        let most = i64::try_from(offer.most)
            .unwrap_or(i64::MAX)
            .min(capacity / offer.size);
        // Every count is a sum of distinct shares, as a binary number is; the last share fills up.
        let mut rest = most;
        let mut share = 1;
        while rest > 0 {
            let taken = share.min(rest);
            let worth = offer.price.checked_mul(taken).ok_or(TooMuch)?;
            // No more are taken than there is room for, so the size stays in range.
            effort.spend(loads.len())?;
            let size = offer.size * taken;
            merge(&loads, Load { size, worth }, capacity, &mut merged)?;
            std::mem::swap(&mut loads, &mut merged);
            rest -= taken;
            share = share.saturating_mul(2);
        }
        best = loads.last().map_or(best, |load| best.max(load.worth));
        let next = offers.get(idx + 1);
        loads.retain(|load| {
            next.is_some_and(|next| {
                let to_come = i128::from(next.price) * i128::from(capacity - load.size);
                (i128::from(best) - i128::from(load.worth)) * i128::from(next.size) < to_come
            })
        });
        if loads.is_empty() {
            break;
        }
    }
    Ok(best)
}

/// All undominated loads with or without `added`, by rising size and worth, in place of what was in `merged`.
fn merge(
    loads: &[Load],
    added: Load,
    capacity: i64,
    merged: &mut Vec<Load>,
) -> Result<(), TooMuch> {
    if loads.len() > MOST_LOADS {
        return Err(TooMuch);
    }
    // Loads rise in worth, so the last one shows whether all sums are in range.
    let last = loads.last().map_or(0, |load| load.worth);
    last.checked_add(added.worth).ok_or(TooMuch)?;
    let n_fit = loads.partition_point(|load| load.size <= capacity - added.size);
    let sum = |load: &Load| Load {
        size: load.size + added.size,
        worth: load.worth + added.worth,
    };
    merged.clear();
    merged.reserve(loads.len() + n_fit);
    let mut keep = |load: Load| match merged.last_mut() {
        Some(last) if last.worth >= load.worth => {}
        Some(last) if last.size == load.size => *last = load,
        _ => merged.push(load),
    };
    let mut without = loads;
    for with in loads[..n_fit].iter().map(sum) {
        while let Some((lighter, others)) = without.split_first()
            && (lighter.size, lighter.worth) <= (with.size, with.worth)
        {
            keep(*lighter);
            without = others;
        }
        keep(with);
    }
    without.iter().copied().for_each(keep);
    Ok(())
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn by_trying_all(offers: &[Offer], capacity: i64) -> i64 {
        let Some((first, rest)) = offers.split_first() else {
            return 0;
        };
        let mut best = 0;
        for count in 0..=i64::try_from(first.most).unwrap() {
            let left = capacity - count * first.size;
            if left < 0 {
                break;
            }
            best = best.max(count * first.price + by_trying_all(rest, left));
        }
        best
    }

    #[test]
    fn an_empty_board_is_worth_its_floor() {
        assert_eq!(best_worth(&[], 10, 0, &Effort::new()), Ok(0));
        assert_eq!(
            best_worth(
                &[Offer {
                    size: 11,
                    price: 5,
                    most: 1
                }],
                10,
                3,
                &Effort::new()
            ),
            Ok(3)
        );
    }

    proptest! {
        #![proptest_config(cases!())]

        #[test]
        fn the_best_worth_is_that_of_trying_all(
            offers in prop::collection::vec((1_i64..40, 0_i64..30, 0_u64..4), 0..6),
            capacity in 0_i64..100,
            floor in 0_i64..60,
        ) {
            let offers: Vec<Offer> =
                offers.into_iter().map(|(size, price, most)| Offer { size, price, most }).collect();
            prop_assert_eq!(best_worth(&offers, capacity, floor, &Effort::new()), Ok(by_trying_all(&offers, capacity).max(floor)));
        }
    }
}

//! Where pieces can end on a strip, or strips on a sheet: the sums of sizes.

use super::params::{COARSE_PLACES, DENSE, MOST_PLACES};

/// No place lies so far back.
pub(super) const NOWHERE: u32 = u32::MAX;

/// The way back from each place by a size.
#[derive(Clone, Debug)]
pub(super) enum Back {
    /// Places lie at equal steps, and the size is so many of them.
    Steps(usize),
    /// The last place that leaves room for the size before each place, or [`NOWHERE`].
    Listed(Vec<u32>),
}

impl Back {
    /// The place that leaves room for the size before `place`.
    pub(super) fn from(&self, place: usize) -> Option<usize> {
        match self {
            Back::Steps(steps) => place.checked_sub(*steps),
            Back::Listed(back) => Some(back[place])
                .filter(|&at| at != NOWHERE)
                .map(|at| at as usize),
        }
    }
}

/// The places up to a capacity that sums of some sizes reach, and the way back from each by each size.
///
/// Where most multiples of a common step are reached, all of them are places, as tables are then faster to fill.
/// Where places would be too many, sizes are rounded up to a coarser step: what fits so fits, but not all that fits does.
#[derive(Debug, Default)]
pub(super) struct Places {
    at: Vec<i64>,
    /// By size.
    back: Vec<Back>,
    is_rounded: bool,
}

impl Places {
    /// The places of `(size, how many of it at most)` up to `capacity`.
    pub(super) fn new(sizes: &[(i64, u32)], capacity: i64) -> Places {
        let Some(at) = sums(sizes, capacity) else {
            let step = (capacity / COARSE_PLACES).max(1);
            return Places {
                is_rounded: true,
                ..Places::even(sizes, capacity, step)
            };
        };
        let step = sizes
            .iter()
            .fold(0, |step, &(size, _)| divisor(step, size))
            .max(1);
        let n_even = usize::try_from(capacity / step).unwrap_or(usize::MAX);
        if n_even / DENSE <= at.len() {
            return Places::even(sizes, capacity, step);
        }
        let back = sizes
            .iter()
            .map(|&(size, _)| Back::Listed(listed(&at, size)));
        Places {
            back: back.collect(),
            at,
            is_rounded: false,
        }
    }

    /// All multiples of a step, sizes rounded up to it.
    fn even(sizes: &[(i64, u32)], capacity: i64, step: i64) -> Places {
        let steps =
            |size: i64| usize::try_from((size + step - 1) / step).expect("far fewer places");
        Places {
            at: (0..=capacity / step).map(|cell| cell * step).collect(),
            back: sizes
                .iter()
                .map(|&(size, _)| Back::Steps(steps(size)))
                .collect(),
            is_rounded: false,
        }
    }

    /// Whether no sum of sizes is left out.
    pub(super) fn exact(&self) -> bool {
        !self.is_rounded
    }

    /// Number of places.
    pub(super) fn len(&self) -> usize {
        self.at.len()
    }

    /// The last place within a capacity.
    pub(super) fn last_within(&self, capacity: i64) -> usize {
        self.at
            .partition_point(|&at| at <= capacity)
            .saturating_sub(1)
    }

    /// The way back by the size of this index.
    pub(super) fn back(&self, size: usize) -> &Back {
        &self.back[size]
    }
}

/// The last place that leaves room for a size before each place.
fn listed(at: &[i64], size: i64) -> Vec<u32> {
    let mut before = 0;
    let of_place = |&place: &i64| {
        if place < size {
            return NOWHERE;
        }
        while before + 1 < at.len() && at[before + 1] <= place - size {
            before += 1;
        }
        u32::try_from(before).expect("far fewer places")
    };
    at.iter().map(of_place).collect()
}

fn divisor(one: i64, other: i64) -> i64 {
    if other == 0 {
        one
    } else {
        divisor(other, one % other)
    }
}

/// All sums up to `capacity`, or `None` where they are too many.
pub(super) fn sums(sizes: &[(i64, u32)], capacity: i64) -> Option<Vec<i64>> {
    let mut at = vec![0];
    let mut sizes = sizes.to_vec();
    sizes.sort_unstable();
    // One size twice, as that of two items, is one size as often as both.
    let mut merged: Vec<(i64, u32)> = Vec::new();
    for (size, most) in sizes {
        match merged.last_mut() {
            Some((own, times)) if *own == size => *times = times.saturating_add(most),
            _ => merged.push((size, most)),
        }
    }
    for (size, most) in merged {
        // Each place with how often the size was used last to reach it; a place that others reach begins anew.
        let mut next: Vec<i64> = at.clone();
        let mut fresh: Vec<i64> = at.clone();
        for _ in 0..u64::from(most).min(u64::try_from(capacity / size).unwrap_or(0)) {
            fresh = fresh
                .iter()
                .map(|&at| at + size)
                .filter(|&at| at <= capacity)
                .collect();
            fresh.retain(|at| next.binary_search(at).is_err());
            if fresh.is_empty() {
                break;
            }
            next = merge(&next, &fresh);
            if next.len() > MOST_PLACES {
                return None;
            }
        }
        at = next;
    }
    Some(at)
}

/// Two rising lists with nothing in common as one.
fn merge(one: &[i64], other: &[i64]) -> Vec<i64> {
    let mut all = Vec::with_capacity(one.len() + other.len());
    let mut other = other.iter().copied().peekable();
    for &value in one {
        while let Some(before) = other.next_if(|&next| next < value) {
            all.push(before);
        }
        all.push(value);
    }
    all.extend(other);
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn froms(places: &Places, size: usize) -> Vec<Option<usize>> {
        (0..places.len())
            .map(|place| places.back(size).from(place))
            .collect()
    }

    #[test]
    fn sums_use_no_size_more_often_than_there_are_pieces() {
        // 300 twice, 501 once: 0, 300, 501, 600, 801, 1101; 900 would be a third 300.
        let places = Places::new(&[(300, 2), (501, 1)], 1200);
        assert_eq!(places.at, [0, 300, 501, 600, 801, 1101]);
        assert_eq!(
            froms(&places, 0),
            [None, Some(0), Some(0), Some(1), Some(2), Some(4)]
        );
        assert_eq!(places.last_within(1000), 4);
        assert!(places.exact());
    }

    #[test]
    fn a_sum_reached_in_two_ways_goes_on_from_the_better() {
        // 4 = 2 + 2 = 4 is reached by the size 2 twice, and then by 4 once more: 8 = 4 + 2 + 2.
        assert_eq!(sums(&[(2, 2), (4, 1)], 8), Some(vec![0, 2, 4, 6, 8]));
    }

    #[test]
    fn where_most_multiples_are_sums_all_are_places() {
        // 9 is no sum, but most are: places lie at steps of 3.
        let places = Places::new(&[(6, 2), (3, 0)], 15);
        assert_eq!(places.at, [0, 3, 6, 9, 12, 15]);
        assert_eq!(
            froms(&places, 0),
            [None, None, Some(0), Some(1), Some(2), Some(3)]
        );
        assert!(places.exact());
    }

    #[test]
    fn too_many_sums_are_rounded_up() {
        let sizes: Vec<(i64, u32)> = (0..40)
            .map(|idx| (1_000_003 + 7_919 * idx * idx, 9))
            .collect();
        let places = Places::new(&sizes, 40_000_000);
        assert!(!places.exact());
        assert!(places.len() <= 4_002);
    }
}

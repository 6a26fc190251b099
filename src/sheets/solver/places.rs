//! Where pieces can end on a strip, or strips on a sheet: the sums of sizes.

use super::params::{COARSE_PLACES, MOST_PLACES};

/// No place lies so far back.
pub(super) const NOWHERE: u32 = u32::MAX;

/// The places up to a capacity that sums of some sizes reach, and the way back from each by each size.
///
/// Where these would be too many, sizes are rounded up to a coarser step: what fits so fits, but not all that fits does.
#[derive(Debug, Default)]
pub(super) struct Places {
    at: Vec<i64>,
    /// `back[size][place]` is the last place that leaves room for the size before `place`.
    back: Vec<Vec<u32>>,
    step: Option<i64>,
}

impl Places {
    /// The places of `(size, how many of it at most)` up to `capacity`.
    pub(super) fn new(sizes: &[(i64, u32)], capacity: i64) -> Places {
        if let Some(at) = sums(sizes, capacity) {
            return Places::with(at, sizes, None);
        }
        let step = (capacity / COARSE_PLACES).max(1);
        let rounded: Vec<(i64, u32)> = sizes
            .iter()
            .map(|&(size, most)| (up(size, step), most))
            .collect();
        let at = (0..=capacity / step).map(|cell| cell * step).collect();
        Places::with(at, &rounded, Some(step))
    }

    fn with(at: Vec<i64>, sizes: &[(i64, u32)], step: Option<i64>) -> Places {
        let back = sizes.iter().map(|&(size, _)| {
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
        });
        let back = back.collect();
        Places { at, back, step }
    }

    /// Whether no sum of sizes is left out.
    pub(super) fn exact(&self) -> bool {
        self.step.is_none()
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

    /// The way back from each place by the size of this index.
    pub(super) fn back(&self, size: usize) -> &[u32] {
        &self.back[size]
    }
}

fn up(size: i64, step: i64) -> i64 {
    (size + step - 1) / step * step
}

/// All sums up to `capacity`, or `None` where they are too many.
fn sums(sizes: &[(i64, u32)], capacity: i64) -> Option<Vec<i64>> {
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

    #[test]
    fn sums_use_no_size_more_often_than_there_are_pieces() {
        // 3 twice, 5 once: 0, 3, 5, 6, 8, 11; 9 would be a third 3.
        let places = Places::new(&[(3, 2), (5, 1)], 12);
        assert_eq!(places.at, [0, 3, 5, 6, 8, 11]);
        assert_eq!(places.back(0), [NOWHERE, 0, 0, 1, 2, 4]);
        assert_eq!(places.last_within(10), 4);
        assert!(places.exact());
    }

    #[test]
    fn a_place_reached_in_two_ways_goes_on_from_the_better() {
        // 4 = 2 + 2 = 4 is reached by the size 2 twice, and then by 4 once more: 8 = 4 + 2 + 2.
        let places = Places::new(&[(2, 2), (4, 1)], 8);
        assert_eq!(places.at, [0, 2, 4, 6, 8]);
    }

    #[test]
    fn too_many_sums_are_rounded_up() {
        let sizes: Vec<(i64, u32)> = (0..40)
            .map(|idx| (1_000_003 + 7_919 * idx * idx, 9))
            .collect();
        let places = Places::new(&sizes, 40_000_000);
        assert!(!places.exact());
        assert!(places.len() <= 4_001);
    }
}

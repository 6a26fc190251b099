//! The ways to rip a board: which strips, and how many of each, lie side by side on it.

use std::collections::BTreeSet;

use crate::length::Length;

/// Rip patterns of one board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Rips {
    /// Each a multiset of indices into the widths, rising; no pattern leaves room for one more strip.
    pub(super) patterns: Vec<Vec<usize>>,
    /// Whether these are all there are.
    pub(super) is_complete: bool,
}

/// All maximal multisets of `widths` that fit side by side into `room` with a `kerf` between neighbors, or `most` of
/// them if there are more.
///
/// A strip that is not needed can be left unripped, so patterns that are not maximal add nothing.
/// `widths` may repeat; those above `room` are on no pattern.
/// If there are too many, every width still has patterns with as many of it as fit.
///
/// Cost O(patterns times strips on a board).
pub(super) fn maximal_rips(widths: &[Length], room: Length, kerf: Length, most: usize) -> Rips {
    // Every strip takes its width and a kerf of what is one kerf more than the room.
    let mut by_width: Vec<(Length, usize)> = widths
        .iter()
        .enumerate()
        .filter(|&(_, &width)| width <= room)
        .map(|(idx, &width)| (width + kerf, idx))
        .collect();
    // With the narrowest last, filling up with it leaves no room for any other.
    by_width.sort_unstable_by(|one, other| other.0.cmp(&one.0).then(one.1.cmp(&other.1)));
    let mut search = Search {
        by_width: &by_width,
        found: BTreeSet::new(),
        most,
        is_complete: true,
    };
    search.visit(0, room + kerf, &mut Vec::new());
    if !search.is_complete {
        for first in 0..by_width.len() {
            search.found.insert(filled(&by_width, first, room + kerf));
        }
    }
    Rips {
        patterns: search.found.into_iter().collect(),
        is_complete: search.is_complete,
    }
}

/// As many of one width as fit, then of each narrower one.
fn filled(by_width: &[(Length, usize)], first: usize, mut room: Length) -> Vec<usize> {
    let mut pattern = Vec::new();
    for &(taken, idx) in &by_width[first..] {
        while taken <= room {
            pattern.push(idx);
            room -= taken;
        }
    }
    pattern.sort_unstable();
    pattern
}

/// The search over all patterns, wide strips first.
struct Search<'a> {
    /// Width with kerf, falling, and the index.
    by_width: &'a [(Length, usize)],
    found: BTreeSet<Vec<usize>>,
    most: usize,
    is_complete: bool,
}

impl Search<'_> {
    fn visit(&mut self, at: usize, room: Length, pattern: &mut Vec<usize>) {
        let Some(&(taken, idx)) = self.by_width.get(at) else {
            return;
        };
        if self.found.len() >= self.most {
            self.is_complete = false;
            return;
        }
        let n_before = pattern.len();
        let mut left = room;
        while taken <= left {
            pattern.push(idx);
            left -= taken;
        }
        if at + 1 == self.by_width.len() {
            let mut found = pattern.clone();
            found.sort_unstable();
            if !found.is_empty() {
                self.found.insert(found);
            }
            pattern.truncate(n_before);
            return;
        }
        loop {
            self.visit(at + 1, left, pattern);
            if pattern.len() == n_before {
                return;
            }
            pattern.pop();
            left += taken;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn nm(count: i64) -> Length {
        Length::from_nm(count)
    }

    fn patterns(widths: &[i64], room: i64, kerf: i64) -> Vec<Vec<usize>> {
        let widths: Vec<Length> = widths.iter().copied().map(nm).collect();
        let rips = maximal_rips(&widths, nm(room), nm(kerf), usize::MAX);
        assert!(rips.is_complete);
        rips.patterns
    }

    #[test]
    fn strips_of_one_width_are_as_many_as_the_kerfs_allow() {
        // Derived, in eighths of an inch: floor((B + k) / (w + k)) with k = 1.
        for (board, strip, count) in [(44, 12, 3), (58, 16, 3), (74, 16, 4), (90, 16, 5)] {
            assert_eq!(patterns(&[strip], board, 1), [vec![0; count]]);
        }
        assert_eq!(patterns(&[12], 11, 1), Vec::<Vec<usize>>::new());
    }

    #[test]
    fn two_widths_share_a_board_in_every_maximal_way() {
        // Derived: 60 wide, strips of 20 and 13, kerf 1, so 21 and 14 of 61: 2 + 1 (56), 1 + 2 (49), 0 + 4 (56).
        assert_eq!(
            patterns(&[20, 13], 60, 1),
            [vec![0, 0, 1], vec![0, 1, 1], vec![1, 1, 1, 1]]
        );
    }

    #[test]
    fn too_many_patterns_are_cut_short_and_said_to_be() {
        let widths: Vec<Length> = (0..12).map(|idx| nm(100 + idx)).collect();
        let rips = maximal_rips(&widths, nm(1_000), nm(1), 50);
        assert!(!rips.is_complete);
        assert!(rips.patterns.len() >= 50 && rips.patterns.len() <= 62);
        for idx in 0..widths.len() {
            assert!(
                rips.patterns.iter().any(|pattern| pattern
                    .iter()
                    .filter(|&&strip| strip == idx)
                    .count()
                    >= 8)
            );
        }
    }

    /// Every multiset of `widths` that fits, by trying them all.
    fn all_that_fit(widths: &[i64], room: i64, kerf: i64) -> BTreeSet<Vec<usize>> {
        let mut all = BTreeSet::from([Vec::new()]);
        loop {
            let longer: BTreeSet<Vec<usize>> = all
                .iter()
                .flat_map(|pattern| {
                    (0..widths.len()).map(move |idx| {
                        let mut longer = pattern.clone();
                        longer.push(idx);
                        longer.sort_unstable();
                        longer
                    })
                })
                .filter(|pattern| {
                    let sum: i64 = pattern.iter().map(|&idx| widths[idx] + kerf).sum();
                    sum - kerf <= room
                })
                .collect();
            let n_before = all.len();
            all.extend(longer);
            if all.len() == n_before {
                return all;
            }
        }
    }

    proptest! {
        #![proptest_config(cases!())]

        #[test]
        fn the_patterns_are_exactly_the_maximal_ones(
            widths in prop::collection::vec(3_i64..12, 1..4),
            room in 0_i64..30,
            kerf in 0_i64..3,
        ) {
            let all = all_that_fit(&widths, room, kerf);
            let maximal: Vec<Vec<usize>> = all
                .iter()
                .filter(|pattern| !pattern.is_empty())
                .filter(|pattern| {
                    (0..widths.len()).all(|idx| {
                        let mut longer = (*pattern).clone();
                        longer.push(idx);
                        longer.sort_unstable();
                        !all.contains(&longer)
                    })
                })
                .cloned()
                .collect();
            prop_assert_eq!(patterns(&widths, room, kerf), maximal);
        }
    }
}

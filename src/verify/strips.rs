//! The kinds of strip that can be cut from a length of board, and what each is worth.

use super::knapsack::{Offer, best_worth};
use super::model::Class;
use crate::length::Length;

/// A way to look at a strip: what may lie on it, and how much of that.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct StripKind {
    capacity: i64,
    /// What may lie on it, by rising number.
    open: Vec<Open>,
}

/// Parts of a class as they lie on a strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Open {
    /// The number of the class in its claim.
    number: usize,
    size: i64,
    most: u32,
}

impl StripKind {
    /// The worth of the best run on such a strip, where a part of class `n` is worth `prices[n]`; `floor` if none is
    /// worth more.
    pub(super) fn worth(&self, prices: &[i64], floor: i64) -> i64 {
        let offers: Vec<Offer> = self
            .open
            .iter()
            .map(|open| Offer {
                size: open.size,
                price: prices[open.number],
                most: open.most,
            })
            .collect();
        best_worth(&offers, self.capacity, floor)
    }

    /// What tells it apart in a claim: the classes that may lie on it, rising, and its capacity.
    pub(super) fn told(&self) -> (Vec<usize>, i64) {
        let open = self.open.iter().map(|open| open.number);
        (open.collect(), self.capacity)
    }

    /// Whether all that can be cut from `other` can be cut from this one.
    pub(super) fn holds(&self, other: &StripKind) -> bool {
        self.capacity >= other.capacity && other.open.iter().all(|open| self.open.contains(open))
    }
}

/// The kinds of strip of one section on a `usable` length, none of which another holds; `parts` are its classes with
/// their numbers, rising.
pub(super) fn strip_kinds(parts: &[(usize, &Class)], usable: Length) -> Vec<StripKind> {
    // A run sorted by falling kerf leaves only its smallest unused.
    let mut kerfs: Vec<Length> = parts.iter().map(|(_, class)| class.kerf).collect();
    kerfs.sort_unstable();
    kerfs.dedup();
    // Each run of turned rails takes the saving of one rail more than the sum of its parts.
    let mut runs: Vec<(Length, Length)> = parts
        .iter()
        .map(|(_, class)| (class.kerf, class.saving))
        .filter(|run| run.1 > Length::ZERO)
        .collect();
    runs.sort_unstable();
    runs.dedup();
    let mut kinds: Vec<StripKind> = Vec::new();
    for least in kerfs {
        for chosen in 0..1_u32 << runs.len() {
            let is_chosen = |run: &(Length, Length)| {
                let place = runs.iter().position(|known| known == run);
                place.is_some_and(|place| chosen >> place & 1 == 1)
            };
            let savings: Length = runs
                .iter()
                .filter(|run| is_chosen(run))
                .map(|run| run.1)
                .sum();
            let capacity = (usable + least - savings).nm();
            let open: Vec<Open> = parts
                .iter()
                .filter(|(_, class)| class.kerf >= least)
                .filter(|(_, class)| {
                    class.saving == Length::ZERO || is_chosen(&(class.kerf, class.saving))
                })
                .map(|&(number, class)| Open {
                    number,
                    size: (class.length + class.kerf - class.saving).nm(),
                    most: class.count,
                })
                .filter(|open| open.size <= capacity)
                .collect();
            let kind = StripKind { capacity, open };
            if kind.open.is_empty() || kinds.iter().any(|known| known.holds(&kind)) {
                continue;
            }
            kinds.retain(|known| !kind.holds(known));
            kinds.push(kind);
        }
    }
    kinds
}

#[cfg(test)]
mod tests {
    use super::*;

    fn class(kerf: i64, saving: i64, length: i64) -> Class {
        Class {
            section: 0,
            kerf: Length::from_nm(kerf),
            saving: Length::from_nm(saving),
            length: Length::from_nm(length),
            count: 9,
        }
    }

    fn kinds(classes: &[Class], usable: i64) -> Vec<StripKind> {
        let parts: Vec<(usize, &Class)> = classes.iter().enumerate().collect();
        strip_kinds(&parts, Length::from_nm(usable))
    }

    #[test]
    fn parts_of_one_kerf_have_one_kind_of_strip() {
        let one = kinds(&[class(4, 0, 30), class(4, 0, 50), class(4, 0, 101)], 100);
        assert_eq!(one.len(), 1);
        // What is too long lies on none.
        assert!(one[0].told().0 == [0, 1]);
        // Derived: 30 + 4 + 30 + 4 + 30 = 98 of 100; a part of 50 and one of 30 take 84.
        assert_eq!(one[0].worth(&[3, 5, 100], 0), 9);
        assert_eq!(one[0].worth(&[3, 7, 100], 0), 10);
        assert_eq!(one[0].worth(&[3, 7, 100], 11), 11);
    }

    #[test]
    fn a_wider_kerf_at_the_end_leaves_room_for_fewer_kinds_of_part() {
        // Derived: a strip of 100 is as good as 104 where the smallest kerf is 4, and as 103 where it is 3; two parts take
        // 52 + 52 = 104, 52 + 51 or 51 + 51.
        let two = kinds(&[class(4, 0, 48), class(3, 0, 48)], 100);
        assert_eq!(two.len(), 2);
        let (both, wide) = (&two[0], &two[1]);
        assert!(both.told().0 == [0, 1] && wide.told().0 == [0]);
        assert_eq!(wide.worth(&[5, 9], 0), 10);
        assert_eq!(both.worth(&[5, 5], 0), 10);
    }

    #[test]
    fn turned_rails_save_all_but_one_slant_of_each_run() {
        // Derived: three rails of 40 with a kerf of 2 take 124 as they come; turned, each slant of 12 is shared:
        // 3 * (40 - 12) + 12 + 2 * 2 = 100. No kind without the run is better, so there is one.
        let turned = kinds(&[class(2, 12, 40)], 100);
        assert_eq!(turned.len(), 1);
        assert_eq!(turned[0].worth(&[1], 0), 3);
        assert_eq!(kinds(&[class(2, 12, 40)], 99)[0].worth(&[1], 0), 2);
    }
}

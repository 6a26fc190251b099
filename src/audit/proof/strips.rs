//! The kinds of strip that can be cut from a length of board, and what each is worth.

use std::collections::BTreeSet;

use super::TooMuch;
use super::pairs::Asked;
use crate::audit::wanted::Class;

/// A way to look at a strip: what may lie on it, and how much of that.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct StripKind {
    /// Nanometers.
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
}

impl StripKind {
    /// The worth of the best run on such a strip at some prices; `floor` if none is worth more.
    pub(super) fn worth(&self, asked: Asked<'_>, floor: i64) -> Result<i64, TooMuch> {
        let size_of = |class: usize| {
            let found = self.open.binary_search_by_key(&class, |open| open.number);
            found.ok().map(|at| self.open[at].size)
        };
        asked.best_run(&size_of, self.capacity, floor)
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

/// The kind of strip that has room for a part that is to be left and for nothing else.
pub(super) fn uncut_kind(number: usize, class: &Class) -> Option<StripKind> {
    let size = i64::try_from(class.length_nm).ok()?;
    let open = Open { number, size };
    Some(StripKind {
        capacity: size,
        open: vec![open],
    })
}

/// The kinds of strip of one section on a `usable` length, none of which another holds; `parts` are its classes with
/// their numbers, in any order.
pub(super) fn strip_kinds(parts: &[(usize, &Class)], usable: i128) -> Vec<StripKind> {
    // A run sorted by falling kerf leaves only its smallest unused.
    let kerfs: BTreeSet<i128> = parts.iter().map(|(_, class)| class.kerf_nm).collect();
    // Each run of turned rails takes the saving of one rail more than the sum of its parts.
    let runs: BTreeSet<(i128, i128)> = parts
        .iter()
        .map(|(_, class)| (class.kerf_nm, class.saving_nm))
        .filter(|run| run.1 > 0)
        .collect();
    let mut kinds: Vec<StripKind> = Vec::new();
    for least in kerfs {
        for set in 0..1_u32 << runs.len() {
            let chosen: BTreeSet<(i128, i128)> = runs
                .iter()
                .zip(0..)
                .filter(|(_, bit)| set >> bit & 1 == 1)
                .map(|(&run, _)| run)
                .collect();
            let savings: i128 = chosen.iter().map(|run| run.1).sum();
            let room = usable + least - savings;
            let may_lie = |class: &Class| {
                class.kerf_nm >= least
                    && (class.saving_nm == 0 || chosen.contains(&(class.kerf_nm, class.saving_nm)))
            };
            // What is too long lies on none; the rest is no longer than a board, so it fits 64 bits.
            let open = parts.iter().filter(|(_, class)| may_lie(class));
            let mut open: Vec<Open> = open
                .filter_map(|&(number, class)| {
                    let size = class.length_nm + class.kerf_nm - class.saving_nm;
                    let size = i64::try_from(size).ok().filter(|_| size <= room)?;
                    Some(Open { number, size })
                })
                .collect();
            open.sort_unstable_by_key(|open| open.number);
            open.dedup_by_key(|open| open.number);
            let capacity = i64::try_from(room).unwrap_or(i64::MAX);
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
    use super::super::effort::Effort;
    use super::super::pairs::State;
    use super::*;
    use crate::frame::ChosenBoards;

    fn class(kerf: i128, saving: i128, length: i128) -> Class {
        Class {
            section: 0,
            kerf_nm: kerf,
            saving_nm: saving,
            length_nm: length,
            rail_nm: None,
            boards: ChosenBoards::ANY,
            count: 9,
            n_rails: 1,
        }
    }

    fn kinds(classes: &[Class], usable: i128) -> Vec<StripKind> {
        let parts: Vec<(usize, &Class)> = classes.iter().enumerate().collect();
        strip_kinds(&parts, usable)
    }

    fn worth(kind: &StripKind, prices: &[i64], floor: i64) -> Result<i64, TooMuch> {
        let state = State::new(&vec![9; prices.len()]);
        let asked = Asked {
            prices,
            state: &state,
            effort: &Effort::new(),
        };
        kind.worth(asked, floor)
    }

    #[test]
    fn parts_of_one_kerf_have_one_kind_of_strip() {
        let one = kinds(&[class(4, 0, 30), class(4, 0, 50), class(4, 0, 101)], 100);
        assert_eq!(one.len(), 1);
        // What is too long lies on none.
        assert!(one[0].told().0 == [0, 1]);
        // Derived: 30 + 4 + 30 + 4 + 30 = 98 of 100; a part of 50 and one of 30 take 84.
        assert_eq!(worth(&one[0], &[3, 5, 100], 0), Ok(9));
        assert_eq!(worth(&one[0], &[3, 7, 100], 0), Ok(10));
        assert_eq!(worth(&one[0], &[3, 7, 100], 11), Ok(11));
    }

    #[test]
    fn a_wider_kerf_at_the_end_leaves_room_for_fewer_kinds_of_part() {
        // Derived: a strip of 100 is as good as 104 where the smallest kerf is 4, and as 103 where it is 3; two parts take
        // 52 + 52 = 104, 52 + 51 or 51 + 51.
        let two = kinds(&[class(4, 0, 48), class(3, 0, 48)], 100);
        assert_eq!(two.len(), 2);
        let (both, wide) = (&two[0], &two[1]);
        assert!(both.told().0 == [0, 1] && wide.told().0 == [0]);
        assert_eq!(worth(wide, &[5, 9], 0), Ok(10));
        assert_eq!(worth(both, &[5, 5], 0), Ok(10));
    }

    #[test]
    fn a_kind_of_strip_that_another_holds_is_left_out() {
        // Derived: the part with the smaller kerf is too long, so a strip for it holds no more than one without.
        let one = kinds(&[class(4, 0, 48), class(3, 0, 101)], 100);
        let told: Vec<_> = one.iter().map(StripKind::told).collect();
        assert_eq!(told, [(vec![0], 104)]);
    }

    #[test]
    fn turned_rails_save_all_but_one_slant_of_each_run() {
        // Derived: three rails of 40 with a kerf of 2 take 124 as they come; turned, each slant of 12 is shared:
        // 3 * (40 - 12) + 12 + 2 * 2 = 100. No kind without the run is better, so there is one.
        let turned = kinds(&[class(2, 12, 40)], 100);
        assert_eq!(turned.len(), 1);
        assert_eq!(worth(&turned[0], &[1], 0), Ok(3));
        assert_eq!(worth(&kinds(&[class(2, 12, 40)], 99)[0], &[1], 0), Ok(2));
    }
}

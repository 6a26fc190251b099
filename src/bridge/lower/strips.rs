//! The kinds of strip of an instance.
//!
//! The items of a section fall into classes of one kerf `K` and one overlap `T`; `T` is zero for what is never turned.
//! A strip is made for a set of turned classes, which each lie on it as one run, and for a least kerf `K`: its capacity
//! is `usable + K` less the overlaps `T` of the set, and open to it are the items of the set and all others that are
//! never turned, as far as their kerf is at least `K`.
//! What stays uncut for a spare offcut is a strip that just holds this one item, see [`StripKinds::uncut`].
//! Of a section in which nothing is turned there is therefore one kind of strip for each kerf.

use std::collections::BTreeMap;

use super::runs::OpenRun;
use super::{ItemOrigin, SectionItems};
use crate::cutting::Strip;
use crate::length::Length;

/// The kinds of strip of an instance, each made once however many boards yield it.
#[derive(Default)]
pub(super) struct StripKinds {
    pub(super) strips: Vec<Strip>,
    /// List of items, set of turned classes, kerf, usable length and whether it may be left, to the index in `strips`.
    known: BTreeMap<(usize, u32, Length, Length, bool), usize>,
}

/// Items of one kerf and one overlap, which stand side by side.
struct Class {
    kerf_along: Length,
    overlap: Length,
    items: Vec<usize>,
}

impl StripKinds {
    /// The kind of strip that has room for a spare offcut and nothing else.
    pub(super) fn uncut(&mut self, item: usize, origins: &[ItemOrigin]) -> usize {
        let strip = Strip {
            capacity: origins[item].size(),
            items: vec![item],
        };
        let known = self.strips.iter().position(|known| *known == strip);
        known.unwrap_or_else(|| {
            self.strips.push(strip);
            self.strips.len() - 1
        })
    }

    /// The kinds of strip that a clear run of a section gives, as far as any item fits.
    ///
    /// The section's items stand with falling kerf, then with falling overlap.
    pub(super) fn of_run(
        &mut self,
        section: &SectionItems<'_>,
        OpenRun {
            run: (from, to),
            may_leave,
        }: OpenRun,
        origins: &[ItemOrigin],
    ) -> Vec<usize> {
        let SectionItems {
            list, item_indices, ..
        } = *section;
        let usable = to - from;
        let items = item_indices.iter().copied();
        let items: Vec<usize> = items
            .filter(|&item_idx| may_leave || !origins[item_idx].is_left)
            .collect();
        let (turned, plain) = classes(&items, origins);
        let mut kinds = Vec::new();
        for set in 0..1_u32 << turned.len() {
            let runs: Vec<&Class> = (0..turned.len())
                .filter(|bit| set >> bit & 1 == 1)
                .map(|bit| &turned[bit])
                .collect();
            // The last kerf on the strip is that of the last run, or a smaller one of something that is not turned.
            let last_run = runs.last().map(|class| class.kerf_along);
            let least_kerfs = plain
                .iter()
                .map(|class| class.kerf_along)
                .filter(|&kerf| last_run.is_none_or(|last| kerf < last));
            for kerf_along in last_run.into_iter().chain(least_kerfs) {
                let key = (list, set, kerf_along, usable, may_leave);
                if let Some(&strip_idx) = self.known.get(&key) {
                    kinds.push(strip_idx);
                    continue;
                }
                let overlaps: Length = runs.iter().map(|class| class.overlap).sum();
                let capacity = (usable + kerf_along - overlaps).nm();
                let open = runs
                    .iter()
                    .copied()
                    .chain(plain.iter().filter(|class| class.kerf_along >= kerf_along));
                let mut items: Vec<usize> = open
                    .flat_map(|class| &class.items)
                    .copied()
                    .filter(|&item_idx| origins[item_idx].size() <= capacity)
                    .collect();
                items.sort_unstable();
                // A set of which some run has no item that fits is as good as a smaller set.
                let is_needed = runs
                    .iter()
                    .all(|class| class.items.iter().any(|item| items.contains(item)));
                if !items.is_empty() && is_needed {
                    self.known.insert(key, self.strips.len());
                    kinds.push(self.strips.len());
                    self.strips.push(Strip { capacity, items });
                }
            }
        }
        kinds
    }
}

/// The classes that are turned, with falling kerf, and those that are not.
fn classes(item_indices: &[usize], origins: &[ItemOrigin]) -> (Vec<Class>, Vec<Class>) {
    let likeness = |item: usize| (origins[item].kerf_along, origins[item].overlap);
    item_indices
        .chunk_by(|&one, &other| likeness(one) == likeness(other))
        .map(|items| Class {
            kerf_along: origins[items[0]].kerf_along,
            overlap: origins[items[0]].overlap,
            items: items.to_vec(),
        })
        .partition(|class| class.overlap > Length::ZERO)
}

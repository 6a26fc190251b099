//! Patterns that served one component, brought to another that is like it.
//!
//! Jobs that are compared differ by a frame, a price, a board or a kerf; most patterns of the one are patterns of the
//! other, and each that need not be found anew saves a pricing.
//! They only are columns to begin with, so no proof rests on them.

use super::branch::BranchAndPrice;
use super::master::ColumnSource;
use super::problem::Problem;

/// Items of a pattern with their numbers, items rising.
type Counts = Vec<(usize, u32)>;

/// The patterns that a search had at hand when it ended, with what is needed to know them again.
#[derive(Clone, Debug, Default)]
pub(super) struct Patterns {
    /// `sizes[i]` is what item `i` takes from a strip, in nanometers.
    sizes: Vec<i64>,
    /// `capacities[s]` is what strip `s` holds, in nanometers.
    capacities: Vec<i64>,
    /// A strip and what is cut from it.
    cut: Vec<(usize, Counts)>,
}

impl Patterns {
    /// Those of a search that has ended.
    pub(super) fn of(search: &BranchAndPrice<'_, '_>) -> Patterns {
        let (problem, master) = (search.problem(), search.master());
        let cut = master.at_hand().filter_map(|column| {
            let (ColumnSource::Whole { strip, .. } | ColumnSource::Strip { strip }) =
                master.sources[column.source]
            else {
                return None;
            };
            (!column.counts.is_empty()).then(|| (strip, master.items.spelled_out(&column.counts)))
        });
        let mut cut: Vec<(usize, Counts)> = cut.collect();
        cut.sort();
        cut.dedup();
        Patterns {
            sizes: problem.sizes.clone(),
            capacities: problem.strips.iter().map(|strip| strip.capacity).collect(),
            cut,
        }
    }

    /// How many items of a problem are known here by their size.
    pub(super) fn likeness(&self, problem: &Problem) -> usize {
        let sizes = problem.sizes.iter();
        sizes.filter(|&&size| self.knows(size)).count()
    }

    /// Whether an item of this size is known here; items stand by falling size.
    fn knows(&self, size: i64) -> bool {
        self.sizes.binary_search_by(|own| size.cmp(own)).is_ok()
    }

    /// Whether nothing is known there that is not known here: the same sizes and strips, so that one of both will do.
    pub(super) fn covers(&self, other: &Patterns) -> bool {
        let strips = &other.capacities;
        other.sizes.iter().all(|&size| self.knows(size))
            && strips.iter().all(|strip| self.capacities.contains(strip))
    }

    /// Whether a problem has as many items and strips, so that what is unequal may stand for each other by its place.
    pub(super) fn is_in_order_of(&self, problem: &Problem) -> bool {
        self.sizes.len() == problem.n_items() && self.capacities.len() == problem.strips.len()
    }

    /// Those that a problem can use, cut down to its demand.
    pub(super) fn within(&self, problem: &Problem) -> Vec<(usize, Counts)> {
        let items = places(&self.sizes, &problem.sizes);
        let capacities: Vec<i64> = problem.strips.iter().map(|strip| strip.capacity).collect();
        let strips = places(&self.capacities, &capacities);
        let mut found = Vec::new();
        for (strip, counts) in &self.cut {
            for &strip in &strips[*strip] {
                let own = problem.strips[strip];
                let group = &problem.groups[own.group];
                let mut room = own.capacity;
                let mut kept: Counts = Vec::new();
                for &(item, count) in counts {
                    let mut places = items[item].iter();
                    let Some(&item) = places.find(|&item| group.binary_search(item).is_ok()) else {
                        continue;
                    };
                    let fits = u32::try_from(room / problem.sizes[item].max(1)).unwrap_or(u32::MAX);
                    let count = count.min(problem.demand[item]).min(fits);
                    if count > 0 && kept.last().is_none_or(|last| last.0 < item) {
                        room -= problem.sizes[item] * i64::from(count);
                        kept.push((item, count));
                    }
                }
                if !kept.is_empty() {
                    found.push((strip, kept));
                }
            }
        }
        found
    }
}

/// For each of some lengths its places among others: where they are equal; or by order, where there are as many of
/// both and hardly any is equal, as with another kerf.
fn places(lengths: &[i64], others: &[i64]) -> Vec<Vec<usize>> {
    let equal = |length: &i64| -> Vec<usize> {
        let places = others.iter().enumerate();
        let equal = places.filter(|(_, other)| *other == length);
        equal.map(|(place, _)| place).collect()
    };
    let places: Vec<Vec<usize>> = lengths.iter().map(equal).collect();
    let n_known = places.iter().filter(|places| !places.is_empty()).count();
    if lengths.len() == others.len() && 2 * n_known < lengths.len() {
        return (0..lengths.len()).map(|place| vec![place]).collect();
    }
    places
}

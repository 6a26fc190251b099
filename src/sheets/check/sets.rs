//! Whether every set of sheets that costs no more than something is worth, at some of several prices, less than is wanted.

use std::collections::BTreeMap;

use crate::sheets::job::SheetJob;

/// Cases of sets that are looked at, times prices and groups, before a certificate counts as too much work.
const MOST_CASES: usize = 40_000_000;
/// Groups of kinds that are told apart; each is one level of recursion.
const MOST_GROUPS: usize = 1_000;

/// The kinds of sheets, and prices.
pub(super) struct Sets<'a> {
    job: &'a SheetJob,
    /// By kind: how many can be of use.
    most: &'a [i64],
    views: Vec<View>,
}

/// What sheets and pieces are worth at some prices.
struct View {
    denominator: i128,
    /// What is wanted.
    wanted: i128,
    /// What one sheet of each kind is worth at most.
    kinds: Vec<i128>,
}

/// Kinds that cost the same and are worth the same at all prices: one stands for the other.
struct Group {
    price: i64,
    most: i64,
    /// By view: what a sheet is worth at most.
    worths: Vec<i128>,
}

/// What is looked at, with how much of it so far.
struct Cases<'v> {
    views: &'v [View],
    groups: Vec<Group>,
    n_seen: usize,
}

impl<'a> Sets<'a> {
    /// `most` is how many sheets of each kind can be of use.
    pub(super) fn new(job: &'a SheetJob, most: &'a [i64]) -> Sets<'a> {
        Sets {
            job,
            most,
            views: Vec::new(),
        }
    }

    /// Adds prices of the items, at which one sheet of each kind is worth `kinds` at most.
    pub(super) fn add(&mut self, denominator: i64, prices: &[i64], kinds: Vec<i128>) {
        let items = self.job.items().iter().zip(prices);
        let wanted = items.map(|(item, &price)| i128::from(item.demand) * i128::from(price));
        self.views.push(View {
            denominator: denominator.into(),
            wanted: wanted.sum(),
            kinds,
        });
    }

    /// Whether all sets that cost no more than `budget` are ruled out; `None` where to see it is too much work.
    pub(super) fn are_ruled_out(&self, budget: i64) -> Option<bool> {
        let mut groups: BTreeMap<(i64, Vec<i128>), i64> = BTreeMap::new();
        for (idx, kind) in self.job.kinds().iter().enumerate() {
            let worths = self.views.iter().map(|view| view.kinds[idx]).collect();
            let most = groups.entry((kind.price, worths)).or_default();
            *most = most.saturating_add(self.most[idx]);
        }
        if groups.len() > MOST_GROUPS {
            return None;
        }
        let groups = groups.into_iter().map(|((price, worths), most)| Group {
            price,
            most,
            worths,
        });
        let mut cases = Cases {
            views: &self.views,
            groups: groups.collect(),
            n_seen: 0,
        };
        let wanted: Vec<i128> = self.views.iter().map(|view| view.wanted).collect();
        cases.extend(0, budget, &wanted)
    }
}

impl Cases<'_> {
    /// Whether all sets are ruled out that have so many sheets of the groups before `first` that so much money is left and, at
    /// each of the prices, so much is still `wanted`.
    fn extend(&mut self, first: usize, budget: i64, wanted: &[i128]) -> Option<bool> {
        self.n_seen += self.views.len() * (self.groups.len() - first) + 1;
        if self.n_seen > MOST_CASES {
            return None;
        }
        let mut views = wanted.iter().enumerate();
        if views.any(|(view, &wanted)| wanted > self.at_most(view, first, budget)) {
            return Some(true);
        }
        let Some(own) = self.groups.get(first) else {
            return Some(false);
        };
        let (price, worths) = (own.price, own.worths.clone());
        let (least, most) = if price == 0 {
            // All that costs nothing is there: it rules out no set.
            (own.most, own.most)
        } else {
            (0, own.most.min(budget / price))
        };
        for count in (least..=most).rev() {
            let left = wanted.iter().zip(&worths).map(|(&wanted, worth)| {
                let had = worth.saturating_mul(count.into());
                wanted.saturating_sub(had)
            });
            let left: Vec<i128> = left.collect();
            if !self.extend(first + 1, budget - price * count, &left)? {
                return Some(false);
            }
        }
        Some(true)
    }

    /// What sheets of the groups from `first` on that cost no more than `budget` are worth at most, at the prices of a view.
    fn at_most(&self, view: usize, first: usize, budget: i64) -> i128 {
        let groups = &self.groups[first..];
        if groups.is_empty() {
            return 0;
        }
        let denominator = self.views[view].denominator;
        let mut at_most = denominator * i128::from(budget);
        for group in groups {
            let excess = (group.worths[view] - denominator * i128::from(group.price)).max(0);
            let most = if group.price > 0 {
                group.most.min(budget / group.price)
            } else {
                group.most
            };
            at_most = at_most.saturating_add(excess.saturating_mul(most.into()));
        }
        at_most
    }
}

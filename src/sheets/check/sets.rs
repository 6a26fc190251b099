//! Whether every set of sheets that costs no more than something is worth, at some of several prices, less than is wanted.

use crate::sheets::job::SheetJob;

/// Cases of sets that are looked at, times prices, before a certificate counts as too much work.
const MOST_CASES: usize = 4_000_000;

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
        let wanted: Vec<i128> = self.views.iter().map(|view| view.wanted).collect();
        self.extend(0, budget, &wanted, &mut 0)
    }

    /// The same of sets with so many sheets of the kinds before `kind` that so much money is left and, at each of the prices,
    /// so much is still `wanted`.
    fn extend(
        &self,
        kind: usize,
        budget: i64,
        wanted: &[i128],
        n_cases: &mut usize,
    ) -> Option<bool> {
        *n_cases += self.views.len().max(1);
        if *n_cases > MOST_CASES {
            return None;
        }
        let mut views = self.views.iter().zip(wanted);
        if views.any(|(view, &wanted)| wanted > self.at_most(view, kind, budget)) {
            return Some(true);
        }
        let Some(own) = self.job.kinds().get(kind) else {
            return Some(false);
        };
        let (least, most) = if own.price == 0 {
            // All that costs nothing is there: it rules out no set.
            (self.most[kind], self.most[kind])
        } else {
            (0, self.most[kind].min(budget / own.price))
        };
        for count in (least..=most).rev() {
            let left = wanted.iter().zip(&self.views).map(|(&wanted, view)| {
                let worth = view.kinds[kind].saturating_mul(count.into());
                wanted.saturating_sub(worth)
            });
            let left: Vec<i128> = left.collect();
            if !self.extend(kind + 1, budget - own.price * count, &left, n_cases)? {
                return Some(false);
            }
        }
        Some(true)
    }

    /// What sheets of the kinds from `first` on that cost no more than `budget` are worth at most.
    fn at_most(&self, view: &View, first: usize, budget: i64) -> i128 {
        let kinds = self.job.kinds().iter().enumerate().skip(first);
        let mut at_most: i128 = 0;
        let mut is_any = false;
        for (idx, kind) in kinds {
            is_any = true;
            let cost = view.denominator * i128::from(kind.price);
            let excess = (view.kinds[idx] - cost).max(0);
            let most = if kind.price > 0 {
                self.most[idx].min(budget / kind.price)
            } else {
                self.most[idx]
            };
            at_most = at_most.saturating_add(excess.saturating_mul(most.into()));
        }
        if !is_any {
            return 0;
        }
        at_most.saturating_add(view.denominator * i128::from(budget))
    }
}

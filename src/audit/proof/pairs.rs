//! Proofs by pairs: parts that are glued together, and pairs of which no strip carries both.
//!
//! If some strip carries a part of each of two classes, one of each can be glued there to a longer part, which is cut as
//! one; if none does, the two classes lie apart. One of the two holds for every plan, and in the first case what lay with
//! neither of the two before lies not with the longer part either.
//! Pairs of the same two are one class, as long as none of them must lie apart from anything.

use std::collections::{BTreeMap, BTreeSet};

use super::TooMuch;
use super::effort::Effort;
use super::knapsack::{Offer, best_worth};

/// More choices of whether a part that clashes with others lies on a strip than this are not tried.
const MOST_CHOICES: usize = 5_000;

/// What is to be cut at some node of a proof: the classes of a claim, and behind them the glued parts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct State {
    /// How many of each.
    pub(super) demand: Vec<u64>,
    /// The classes whose parts are glued together in each; of a class itself.
    makeup: Vec<Vec<usize>>,
    /// Which two are glued together in each, the smaller first; none in a class.
    glued_of: Vec<Option<(usize, usize)>>,
    /// Pairs of which no strip carries both; of a pair of equals, more than one.
    clashes: BTreeSet<(usize, usize)>,
}

/// Prices of what is to be cut at a node.
#[derive(Clone, Copy, Debug)]
pub(super) struct Asked<'a> {
    /// Of each class and each glued part.
    pub(super) prices: &'a [i64],
    /// What it is.
    pub(super) state: &'a State,
    /// What may still be done for the certificate.
    pub(super) effort: &'a Effort,
}

impl State {
    /// Nothing is glued yet.
    pub(super) fn new(demand: &[u64]) -> State {
        State {
            demand: demand.to_vec(),
            makeup: (0..demand.len()).map(|class| vec![class]).collect(),
            glued_of: vec![None; demand.len()],
            clashes: BTreeSet::new(),
        }
    }

    /// How much there is to look at when a pair is added.
    pub(super) fn size(&self) -> usize {
        self.n_made_of() + self.clashes.len()
    }

    /// How many classes all parts are made of, together.
    fn n_made_of(&self) -> usize {
        self.makeup.iter().map(Vec::len).sum()
    }

    /// No strip carries both of a pair; `None` where there is no such pair.
    pub(super) fn set_apart(&mut self, (one, other): (usize, usize)) -> Option<()> {
        let is_there = one.max(other) < self.demand.len();
        self.clashes.insert((one.min(other), one.max(other)));
        is_there.then_some(())
    }

    /// Glues one of each of a pair together; `None` where there is none left of either.
    pub(super) fn glue(&mut self, (one, other): (usize, usize)) -> Option<()> {
        for part in [one, other] {
            let left = self.demand.get_mut(part)?;
            *left = left.checked_sub(1)?;
        }
        let glued = self.demand.len();
        let inherited = |&(first, second): &(usize, usize)| {
            let is_of = |part: usize| part == one || part == other;
            let with_first = is_of(first).then_some((second, glued));
            with_first
                .into_iter()
                .chain(is_of(second).then_some((first, glued)))
        };
        let inherited: Vec<(usize, usize)> = self.clashes.iter().flat_map(inherited).collect();
        let pair = Some((one.min(other), one.max(other)));
        let before = self.glued_of.iter().rposition(|&known| known == pair);
        let is_free = |part: usize| {
            let mut clashes = self.clashes.iter();
            !clashes.any(|&(first, second)| first == part || second == part)
        };
        if let Some(before) = before.filter(|&before| inherited.is_empty() && is_free(before)) {
            self.demand[before] += 1;
            return Some(());
        }
        self.clashes.extend(inherited);
        self.glued_of.push(pair);
        self.makeup
            .push([&self.makeup[one][..], &self.makeup[other]].concat());
        self.demand.push(1);
        Some(())
    }
}

impl Asked<'_> {
    /// The worth of the best run of a strip of this capacity, on which a part of a class takes `size_of` it, if it may lie
    /// there; `floor` if none is worth more.
    pub(super) fn best_run(
        &self,
        size_of: &dyn Fn(usize) -> Option<i64>,
        capacity: i64,
        floor: i64,
    ) -> Result<i64, TooMuch> {
        let State {
            demand,
            makeup,
            clashes,
            glued_of: _,
        } = self.state;
        self.effort.spend(self.state.n_made_of())?;
        let offers = makeup.iter().zip(demand).zip(self.prices);
        let mut offers: Vec<Offer> = offers
            .map(|((makeup, &most), &price)| {
                let mut sizes = makeup.iter().map(|&class| size_of(class));
                // What is beyond all numbers fits nowhere.
                let size = sizes.try_fold(0_i64, |sum, size| sum.checked_add(size?));
                Offer {
                    size: size.unwrap_or(1),
                    price,
                    most: if size.is_some() { most } else { 0 },
                }
            })
            .collect();
        for &(one, other) in clashes {
            if one == other {
                offers[one].most = offers[one].most.min(1);
            }
        }
        let mut search = Apart {
            clashes,
            effort: self.effort,
            n_choices: 0,
        };
        search.best(&mut offers, capacity, floor)
    }
}

/// A search for the best choice without both of a clash.
struct Apart<'a> {
    clashes: &'a BTreeSet<(usize, usize)>,
    effort: &'a Effort,
    n_choices: usize,
}

impl Apart<'_> {
    /// The worth of the best choice of `offers` without both of a clash; `floor` if none is worth more.
    ///
    /// Where the best choice that may have both is worth more, one of the parts that clash is left out, or is in and what it
    /// clashes with is left out.
    fn best(&mut self, offers: &mut [Offer], capacity: i64, floor: i64) -> Result<i64, TooMuch> {
        let best = best_worth(offers, capacity, floor, self.effort)?;
        let may_lie = |part: usize| {
            let offer: &Offer = &offers[part];
            offer.most > 0 && offer.price > 0 && offer.size <= capacity
        };
        self.effort.spend(self.clashes.len())?;
        let mut partners: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for &(one, other) in self.clashes {
            if one != other && may_lie(one) && may_lie(other) {
                partners.entry(one).or_default().push(other);
                partners.entry(other).or_default().push(one);
            }
        }
        // With a large part on it little of the strip is left to be looked at.
        let largest = partners
            .into_iter()
            .max_by_key(|(part, partners)| (offers[*part].size, partners.len()));
        let (true, Some((part, partners))) = (best > floor, largest) else {
            return Ok(best);
        };
        self.n_choices += 1;
        if self.n_choices > MOST_CHOICES {
            return Err(TooMuch);
        }
        let Offer { size, price, most } = offers[part];
        offers[part].most = 0;
        let without = self.best(offers, capacity, floor)?;
        offers[part].most = most - 1;
        let left_out: Vec<(usize, u64)> = partners
            .into_iter()
            .map(|partner| (partner, std::mem::take(&mut offers[partner].most)))
            .collect();
        let rest = (without - price).max(0);
        let with = price + self.best(offers, capacity - size, rest)?;
        offers[part].most = most;
        for (partner, most) in left_out {
            offers[partner].most = most;
        }
        Ok(without.max(with))
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn by_trying_all(asked: Asked<'_>, sizes: &[i64], counts: &mut Vec<u64>, capacity: i64) -> i64 {
        let at = counts.len();
        let state = asked.state;
        if at == state.demand.len() {
            let lies = |&(one, other): &(usize, usize)| {
                counts[one] > 0 && counts[other] > u64::from(one == other)
            };
            let pays = counts.iter().zip(asked.prices);
            let worth = pays.map(|(&count, price)| i64::try_from(count).unwrap() * price);
            return if state.clashes.iter().any(lies) {
                0
            } else {
                worth.sum()
            };
        }
        let size: i64 = state.makeup[at].iter().map(|&class| sizes[class]).sum();
        let mut best = 0;
        for count in 0..=state.demand[at] {
            let left = capacity - i64::try_from(count).unwrap() * size;
            if left < 0 {
                break;
            }
            counts.push(count);
            best = best.max(by_trying_all(asked, sizes, counts, left));
            counts.pop();
        }
        best
    }

    #[test]
    fn what_is_glued_is_one_part_and_inherits_what_it_lies_apart_from() {
        let mut state = State::new(&[2, 1, 1]);
        state.set_apart((2, 0)).unwrap();
        state.glue((0, 1)).unwrap();
        assert_eq!(state.demand, [1, 0, 1, 1]);
        assert_eq!(state.makeup[3], [0, 1]);
        assert_eq!(state.clashes, [(0, 2), (2, 3)].into());
        // The second class has no part left, and there is no fifth.
        assert_eq!(state.clone().glue((1, 2)), None);
        assert_eq!(state.clone().glue((4, 0)), None);
        assert_eq!(state.set_apart((0, 4)), None);
    }

    #[test]
    fn pairs_of_the_same_two_are_one_class_while_they_lie_apart_from_nothing() {
        let mut state = State::new(&[5, 5, 5]);
        state.glue((0, 1)).unwrap();
        state.glue((1, 0)).unwrap();
        assert_eq!(state.demand, [3, 3, 5, 2]);
        let mut of_pair = state.clone();
        of_pair.set_apart((3, 2)).unwrap();
        of_pair.glue((0, 1)).unwrap();
        assert_eq!(of_pair.demand, [2, 2, 5, 2, 1]);
        let mut of_one = state.clone();
        of_one.set_apart((1, 2)).unwrap();
        of_one.glue((0, 1)).unwrap();
        assert_eq!(of_one.demand, [2, 2, 5, 2, 1]);
        assert_eq!(of_one.clashes, [(1, 2), (2, 4)].into());
    }

    #[test]
    fn a_glued_part_fits_where_both_do_and_no_clash_lies_beside_it() {
        let mut state = State::new(&[1, 1, 1]);
        state.set_apart((0, 2)).unwrap();
        state.glue((0, 1)).unwrap();
        let prices = [0, 0, 5, 7];
        let asked = Asked {
            prices: &prices,
            state: &state,
            effort: &Effort::new(),
        };
        let size_of = |_: usize| Some(10);
        // Derived: the two together take 20; the third, worth 5, must not lie with them.
        assert_eq!(asked.best_run(&size_of, 30, 0), Ok(7));
        assert_eq!(asked.best_run(&size_of, 19, 0), Ok(5));
        assert_eq!(
            asked.best_run(&|class| (class != 1).then_some(10), 30, 0),
            Ok(5)
        );
    }

    proptest! {
        #![proptest_config(cases!())]

        #[test]
        fn the_best_run_is_that_of_trying_all(
            classes in prop::collection::vec((1_i64..20, 1_u64..4), 2..5),
            steps in prop::collection::vec((0_usize..5, 0_usize..5, any::<bool>()), 0..5),
            prices in prop::collection::vec(0_i64..30, 12),
            capacity in 0_i64..60,
            floor in 0_i64..40,
        ) {
            let (sizes, demand): (Vec<i64>, Vec<u64>) = classes.into_iter().unzip();
            let mut state = State::new(&demand);
            for (one, other, is_glued) in steps {
                let mut next = state.clone();
                let is_done = if is_glued { next.glue((one, other)) } else { next.set_apart((one, other)) };
                if is_done.is_some() {
                    state = next;
                }
            }
            let effort = Effort::new();
            let asked = Asked { prices: &prices[..state.demand.len()], state: &state, effort: &effort };
            let found = asked.best_run(&|class| Some(sizes[class]), capacity, floor);
            let best = by_trying_all(asked, &sizes, &mut Vec::new(), capacity);
            prop_assert_eq!(found, Ok(best.max(floor)));
        }
    }
}

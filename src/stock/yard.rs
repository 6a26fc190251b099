//! Cut at the yard: how a board that is longer than the vehicle takes is parted into stretches that it takes.
//!
//! A board is cut as few times as makes every stretch short enough, for a further cut only divides a stretch; where it may
//! be cut in several ways, each is one. A stretch is a stick of its own, with two ends of its own.

use crate::length::Length;
use crate::money::Money;
use crate::stock::{Board, Defect, Run};

/// How the yard cuts boards of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AtYard {
    /// The longest stretch that will do.
    pub longest: Length,
    /// What the yard's saw takes, behind the place of each cut.
    pub kerf: Length,
    /// What is charged for each cut, beside the price of a board that has one.
    pub charge: Money,
    /// Where it may cut.
    pub places: YardPlaces,
}

/// Where the yard may cut, measured from the near end of the board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum YardPlaces {
    /// At the multiples of a length above zero.
    Every(Length),
    /// At these places, rising.
    Listed(Vec<Length>),
}

impl YardPlaces {
    /// Whether two of them are no farther apart than this: then the saw could not cut at both.
    pub fn are_within(&self, kerf: Length) -> bool {
        match self {
            YardPlaces::Every(step) => *step <= kerf,
            YardPlaces::Listed(places) => places.windows(2).any(|two| two[1] - two[0] <= kerf),
        }
    }
}

impl AtYard {
    /// That a board of this length has been cut at these places, rising, for money that is paid already. Where none of the cuts
    /// could be left out without a longer stretch than there is, [`AtYard::ways`] has this way alone.
    pub fn done(kerf: Length, cuts: Vec<Length>, length: Length) -> AtYard {
        let longest = parted(kerf, &cuts, length)
            .map(|(from, to)| to - from)
            .max();
        AtYard {
            longest: longest.unwrap_or(length),
            kerf,
            charge: Money::ZERO,
            places: YardPlaces::Listed(cuts),
        }
    }

    /// A line of boards that could be cut in more ways than this is refused.
    pub const MOST_WAYS: usize = 64;

    /// The places in a stretch from `from` to `to`, both included, rising.
    fn places_within(&self, from: Length, to: Length) -> Vec<Length> {
        match &self.places {
            YardPlaces::Every(step) => {
                let step = step.nm();
                let first = (from.nm() + step - 1).div_euclid(step);
                let last = to.nm().div_euclid(step);
                (first..=last)
                    .take(AtYard::MOST_WAYS + 1)
                    .map(|times| Length::from_nm(times * step))
                    .collect()
            }
            YardPlaces::Listed(places) => {
                let places = places.iter().copied();
                places.filter(|at| (from..=to).contains(at)).collect()
            }
        }
    }

    /// The last place at which a stretch that begins at `start` may end, so that something is left behind it.
    fn farthest(&self, length: Length, start: Length) -> Option<Length> {
        let most = self.most(length, start);
        let farthest = match &self.places {
            YardPlaces::Every(step) => {
                Some(Length::from_nm(most.nm().div_euclid(step.nm()) * step.nm()))
            }
            YardPlaces::Listed(places) => places.iter().copied().rfind(|&at| at <= most),
        };
        farthest.filter(|&at| at > start)
    }

    /// How far a stretch that begins at `start` may reach.
    fn most(&self, length: Length, start: Length) -> Length {
        (start + self.longest).min(length - self.kerf - Length::from_nm(1))
    }

    /// The fewest cuts that make every stretch of a board of this length short enough; `None` where none do.
    ///
    /// To go as far as can be with each cut is never worse, as it leaves the least to be cut.
    pub fn fewest_cuts(&self, length: Length) -> Option<u32> {
        self.fewest_behind(length, Length::ZERO)
    }

    /// The fewest cuts that do so with what begins at `start`.
    fn fewest_behind(&self, length: Length, mut start: Length) -> Option<u32> {
        let mut n_cuts = 0;
        while length - start > self.longest {
            start = self.farthest(length, start)? + self.kerf;
            n_cuts += 1;
        }
        Some(n_cuts)
    }

    /// All ways to cut a board of this length as few times as can be, each with its places, in rising order; no more than
    /// one above [`MOST_WAYS`](AtYard::MOST_WAYS).
    pub fn ways(&self, length: Length) -> Vec<Vec<Length>> {
        let mut found = Vec::new();
        if let Some(n_cuts) = self.fewest_cuts(length) {
            self.visit(length, n_cuts, &mut Vec::new(), &mut found);
        }
        found
    }

    /// Adds the ways that begin with `cuts` and make `n_left` more.
    fn visit(
        &self,
        length: Length,
        n_left: u32,
        cuts: &mut Vec<Length>,
        found: &mut Vec<Vec<Length>>,
    ) {
        let start = cuts.last().map_or(Length::ZERO, |&at| at + self.kerf);
        let Some(n_behind) = n_left.checked_sub(1) else {
            if length - start <= self.longest {
                found.push(cuts.clone());
            }
            return;
        };
        // What is behind the cut must be short enough for those that are left.
        let behind = (self.longest + self.kerf) * i64::from(n_behind) + self.longest;
        let least = (length - behind - self.kerf).max(start + Length::from_nm(1));
        for at in self.places_within(least, self.most(length, start)) {
            if found.len() > AtYard::MOST_WAYS {
                return;
            }
            let fewest = self.fewest_behind(length, at + self.kerf);
            if fewest != Some(n_behind) {
                continue;
            }
            cuts.push(at);
            self.visit(length, n_behind, cuts, found);
            cuts.pop();
        }
    }
}

impl Board {
    /// The ways in which the yard may cut it, each the places of its cuts; one without any of a board that it does not cut.
    pub fn yard_ways(&self) -> Vec<Vec<Length>> {
        match &self.at_yard {
            Some(at_yard) => at_yard.ways(self.length),
            None => vec![Vec::new()],
        }
    }

    /// Whether the yard is still to cut it: what is in hand has been cut.
    pub fn is_to_be_cut(&self) -> bool {
        self.at_yard.is_some() && self.in_hand.is_none()
    }

    /// How often the yard cuts it.
    pub fn n_yard_cuts(&self) -> u32 {
        let n_cuts = |at_yard: &AtYard| at_yard.fewest_cuts(self.length);
        self.at_yard.as_ref().and_then(n_cuts).unwrap_or(0)
    }

    /// What cuts at these places part it into, from the near end: each stretch from and to.
    pub fn parted(&self, cuts: &[Length]) -> Vec<Run> {
        let kerf = self.at_yard.as_ref().map_or(Length::ZERO, |yard| yard.kerf);
        parted(kerf, cuts, self.length).collect()
    }

    /// Where it has been cut, of what is at home; nothing of a board that is not cut.
    pub fn cuts_done(&self) -> Vec<Length> {
        self.yard_ways().into_iter().next().unwrap_or_default()
    }

    /// Every stretch that it may give, each as a board of its own; of one that the yard does not cut none.
    pub fn stretches(&self) -> impl Iterator<Item = Board> {
        let ways = self.at_yard.iter().flat_map(|_| self.yard_ways());
        let runs = ways.flat_map(|cuts| self.parted(&cuts));
        runs.map(|run| self.stretch(run))
    }

    /// The same board as it is sold, not cut at the yard.
    #[must_use]
    pub fn uncut(&self) -> Board {
        Board {
            at_yard: None,
            ..self.clone()
        }
    }

    /// A stretch of it as a board of its own.
    #[must_use]
    pub fn stretch(&self, (from, to): Run) -> Board {
        let within = |defect: &Defect| {
            let (begin, end) = (defect.from.max(from), defect.to.min(to));
            (begin < end).then(|| Defect {
                from: begin - from,
                to: end - from,
                across: defect.across,
            })
        };
        Board {
            length: to - from,
            defects: self.defects.iter().filter_map(within).collect(),
            at_yard: None,
            ..self.clone()
        }
    }
}

fn parted(kerf: Length, cuts: &[Length], length: Length) -> impl Iterator<Item = Run> {
    let begins = cuts.iter().map(move |&at| at + kerf);
    let begins = std::iter::once(Length::ZERO).chain(begins);
    begins.zip(cuts.iter().copied().chain([length]))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::samples;

    fn feet(count: i64) -> Length {
        Length::FOOT * count
    }

    fn yard(longest: Length, kerf: Length, places: YardPlaces) -> AtYard {
        AtYard {
            longest,
            kerf,
            charge: Money::ZERO,
            places,
        }
    }

    #[test]
    fn a_board_is_cut_wherever_both_stretches_fit() {
        let every_foot = yard(
            feet(8),
            Length::from_nm(3_175_000),
            YardPlaces::Every(feet(1)),
        );
        // Derived: 12 ft in a vehicle of 8: from 4 ft, which leaves 8 less the kerf, to 8.
        let ways = every_foot.ways(feet(12));
        assert_eq!(ways, [4, 5, 6, 7, 8].map(|at| vec![feet(at)]));
        // Derived: 16 ft: at 8 only, and what is left is 8 ft less the kerf. What fits is not cut.
        assert_eq!(every_foot.ways(feet(16)), [[feet(8)]]);
        assert_eq!(every_foot.ways(feet(8)), [Vec::new()]);
        // Derived: 17 ft takes two cuts; of what lies behind the first 8 ft less the kerf fit behind the second.
        assert_eq!(every_foot.fewest_cuts(feet(17)), Some(2));
        // No cut at 20 in only makes 12 ft short enough, and nothing is left behind a cut at the end.
        let listed = |places: Vec<Length>| yard(feet(8), Length::ZERO, YardPlaces::Listed(places));
        assert_eq!(listed(vec![Length::INCH * 20]).fewest_cuts(feet(12)), None);
        assert_eq!(listed(vec![feet(12)]).fewest_cuts(feet(12)), None);
        // Two cuts would do as well as one, and are not made.
        assert_eq!(
            listed([4, 6, 9].map(feet).to_vec()).ways(feet(12)),
            [[feet(4)], [feet(6)]]
        );
    }

    #[test]
    fn a_stretch_has_what_of_a_defect_lies_on_it() {
        let knot = |from, to| Defect {
            from: feet(from),
            to: feet(to),
            across: crate::stock::Across::Full,
        };
        let board = Board {
            defects: vec![knot(1, 2), knot(5, 8)],
            at_yard: Some(yard(feet(6), feet(1), YardPlaces::Every(feet(1)))),
            ..samples::board("oak", feet(12), None)
        };
        let parted = board.parted(&[feet(6)]);
        assert_eq!(parted, [(Length::ZERO, feet(6)), (feet(7), feet(12))]);
        let stretches: Vec<Board> = parted.into_iter().map(|run| board.stretch(run)).collect();
        assert_eq!(stretches[0].defects, [knot(1, 2), knot(5, 6)]);
        assert_eq!(stretches[1].defects, [knot(0, 1)]);
        assert_eq!(stretches[1].length, feet(5));
    }

    /// All sets of places, by trying each.
    fn by_brute_force(at_yard: &AtYard, length: i64, places: &[i64]) -> Vec<Vec<Length>> {
        let nm = Length::from_nm;
        let mut all: Vec<Vec<Length>> = Vec::new();
        for set in 0..1_u32 << places.len() {
            let chosen = (0..places.len()).filter(|bit| set >> bit & 1 == 1);
            let cuts: Vec<Length> = chosen.map(|bit| nm(places[bit])).collect();
            let board = Board {
                at_yard: Some(at_yard.clone()),
                ..samples::board("oak", nm(length), None)
            };
            let fits = |&(from, to): &Run| from < to && to - from <= at_yard.longest;
            if board.parted(&cuts).iter().all(fits) {
                all.push(cuts);
            }
        }
        let fewest = all.iter().map(Vec::len).min();
        all.retain(|cuts| Some(cuts.len()) == fewest);
        all.sort();
        all
    }

    proptest! {
        #![proptest_config(cases!())]

        #[test]
        fn the_ways_are_all_sets_of_as_few_cuts_as_can_be(
            length in 1_i64..40,
            longest in 1_i64..30,
            kerf in 0_i64..4,
            places in prop::collection::btree_set(1_i64..40, 0..8),
            step in 1_i64..9,
        ) {
            let nm = Length::from_nm;
            // Places that are no farther apart than the saw is wide are refused when they are read.
            prop_assume!(step > kerf);
            let mut listed: Vec<i64> = Vec::new();
            for place in places {
                if listed.last().is_none_or(|last| place - last > kerf) {
                    listed.push(place);
                }
            }
            let of_list = YardPlaces::Listed(listed.iter().copied().map(nm).collect());
            let of_list = yard(nm(longest), nm(kerf), of_list);
            prop_assert_eq!(of_list.ways(nm(length)), by_brute_force(&of_list, length, &listed));
            let every = yard(nm(longest), nm(kerf), YardPlaces::Every(nm(step)));
            let multiples: Vec<i64> = (1..40).filter(|at| at % step == 0).collect();
            if multiples.len() <= 13 {
                let found = every.ways(nm(length));
                if found.len() <= AtYard::MOST_WAYS {
                    prop_assert_eq!(found, by_brute_force(&every, length, &multiples));
                }
            }
        }
    }
}

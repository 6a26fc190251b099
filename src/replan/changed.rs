//! What became of the sheets before: cuts that are called off, what was spoiled, and what is in hand of it.

use std::collections::{BTreeMap, BTreeSet};

use super::hand::Hand;
use super::parts::SameNames;
use super::{Bench, News, Place, Stick};
use crate::length::Length;
use crate::plan::{Part, part_label};
use crate::stock::Given;

/// What stands for a part that was spoiled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Again {
    /// It is cut here, or has been.
    At(Place),
    /// It is cut from the spare that is cut here.
    FromSpare(Place),
    /// There is no wood for it.
    Missing,
    /// The job no longer wants it.
    NotWanted,
}

/// A part that was cut and is in no frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RailInHand {
    /// Where it was cut.
    pub place: Place,
    /// What is good of it along its outer edge.
    pub good: Length,
    /// How long it is on the rack, by its shorter edge; nothing or less where no wood is left by that.
    pub on_rack: Length,
    /// Position of the board of the newest sheet that it is, if something is cut from it.
    pub taken: Option<usize>,
}

/// A rail that is cut from a longer spare.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FromLonger {
    /// The rail of the job.
    pub rail: Part,
    /// The spare of the job that it was.
    pub spare: Part,
    /// How long the spare is along its longest edge.
    pub spare_length: Length,
    /// How long the rail is, which is less.
    pub rail_length: Length,
}

impl Bench {
    /// The spare that is cut at a place and that stands for a shorter rail: it is cut as long as it was planned, as its
    /// neighbors on the board are, and then sawn down.
    pub fn from_longer(&self, place: Place) -> Option<FromLonger> {
        let round = self.rounds.last()?;
        let (&spare, &rail) = (round.spent.get(&place)?, round.serves.get(&place)?);
        let cut = self.cut(place);
        let (spare_length, rail_length) = (cut.to - cut.from, rail.length(self.job()));
        (spare_length > rail_length).then_some(FromLonger {
            rail,
            spare,
            spare_length,
            rail_length,
        })
    }

    /// Cuts of the sheets before the newest that have not been made and are not to be made any more: they no longer fit, or
    /// are no longer wanted, or their parts are cut elsewhere now.
    pub fn called_off(&self) -> BTreeSet<Place> {
        let (made, open) = (self.made(), self.open());
        let places = self.places();
        places
            .filter(|place| !made.is_made(*place) && !open.contains(place))
            .collect()
    }

    /// The parts that were served by what was spoiled since the sheet before, each with its name then and what stands for it
    /// now; behind a rail that was to be cut from a spare that spare.
    pub fn spoiled(&self) -> Vec<(Place, String, Again)> {
        let Some(round) = self.rounds.last() else {
            return Vec::new();
        };
        let before = self.before();
        let names = SameNames::new(before.job(), self.job());
        let (served, spent) = (before.serving(), before.spent());
        let places = self.serving().into_iter();
        let at: BTreeMap<Part, Place> = places.map(|(place, part)| (part, place)).collect();
        let spares = &round.spent;
        let again = |part: Part| match names.part(part) {
            None => Again::NotWanted,
            Some(part) => match at.get(&part) {
                Some(place) if spares.contains_key(place) => Again::FromSpare(*place),
                Some(&place) => Again::At(place),
                None => Again::Missing,
            },
        };
        let mut all = Vec::new();
        for &place in round.marks.spoiled.keys() {
            let spare = spent.iter().find(|(_, at, _)| *at == place);
            let spare = spare.map(|&(_, _, spare)| spare);
            for part in served.get(&place).copied().into_iter().chain(spare) {
                all.push((place, part_label(before.job(), part), again(part)));
            }
        }
        all
    }

    /// The parts that were cut and are in no frame, of which something is good.
    pub fn rails_in_hand(&self) -> Vec<RailInHand> {
        let Some(round) = self.rounds.last() else {
            return Vec::new();
        };
        let news = News::default();
        let hand = Hand::new(self, &news, self.job());
        let newest = self.rounds.len();
        let boards = 0..self.last().plan.boards.len();
        let taken: BTreeMap<Stick, usize> = boards
            .map(|board| (self.stick(newest, board), board))
            .collect();
        let earlier = self.before().sticks();
        let made = self.made();
        let serves = &round.serves;
        let idle = made.made().filter(|place| !serves.contains_key(place));
        let new = idle.filter(|place| !earlier.contains(&Stick::Rail(*place)));
        new.map(|place| RailInHand {
            place,
            good: hand.good(place),
            on_rack: hand
                .rail(place, Given::default())
                .map_or(Length::ZERO, |rail| rail.length_on_rack()),
            taken: taken.get(&Stick::Rail(place)).copied(),
        })
        .filter(|rail| rail.good > Length::ZERO)
        .collect()
    }
}

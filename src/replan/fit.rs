//! Which cuts that are still to be made can be made as they were planned.

use std::collections::{BTreeMap, BTreeSet};

use super::hand::Hand;
use super::{Place, Stick};
use crate::length::Length;

/// A cut on its strip.
#[derive(Clone, Copy)]
struct Lies {
    place: Place,
    from: Length,
    to: Length,
    /// What the saw takes beside it now, and what was planned.
    kerf: Length,
    planned_kerf: Length,
    is_made: bool,
}

impl Hand<'_> {
    /// Of the cuts `wished`, which are still to be made, those that still fit: their board is there and is long enough, no
    /// knot lies in them, and the saw has room between them and all that is cut before.
    pub(super) fn fitting(&self, wished: &BTreeSet<Place>) -> BTreeSet<Place> {
        let made = self.bench.made();
        let made: BTreeSet<Place> = made.made().chain(self.news.marks.made()).collect();
        let mut on_strip: BTreeMap<(Stick, usize), Vec<Lies>> = BTreeMap::new();
        for (&place, is_made) in made
            .iter()
            .map(|place| (place, true))
            .chain(wished.iter().map(|place| (place, false)))
        {
            let strip = (self.bench.stick_at(place), self.bench.strip(place));
            let lies = self.lies(place, is_made);
            on_strip.entry(strip).or_default().push(lies);
        }
        let mut fitting = BTreeSet::new();
        for ((stick, strip), mut on_strip) in on_strip {
            on_strip.sort_unstable_by_key(|lies| (lies.from, lies.place));
            let (sheet, board) = self.bench.ripped_by(on_strip[0].place);
            let planned = &self.bench.sheets[sheet].plan.boards[board];
            let stretch = planned.strips[strip].stretch;
            let (begin, length) = self.lying_stretch(stick, planned, stretch);
            let knots = self.knots_on(stick, (begin, length));
            let is_there = self.is_there(stick);
            let trim = self.end_trim(on_strip[0].place);
            let fits = |lies: &Lies| {
                let is_clear = knots
                    .iter()
                    .all(|&(from, to)| lies.to <= from || to <= lies.from);
                is_there && is_clear && lies.from >= trim && lies.to <= length - trim
            };
            let mut before: Vec<Lies> = Vec::new();
            let mut is_pushed = false;
            for lies in on_strip {
                if lies.is_made {
                    // What was cut stays; what was to be cut too near to it does not.
                    while before
                        .last()
                        .is_some_and(|last| !last.is_made && !self.has_room(*last, lies))
                    {
                        before.pop();
                    }
                    before.push(lies);
                    continue;
                }
                // Where the saw takes more, each cut pushes all that follow it along.
                is_pushed |= before
                    .last()
                    .is_some_and(|last| !self.has_room(*last, lies));
                if fits(&lies) && !is_pushed {
                    before.push(lies);
                }
            }
            let kept = before.iter().filter(|lies| !lies.is_made);
            fitting.extend(kept.map(|lies| lies.place));
        }
        fitting
    }

    fn lies(&self, place: Place, is_made: bool) -> Lies {
        let cut = self.bench.cut(place);
        let plan = &self.bench.sheets[place.sheet].plan;
        let miter = cut.part.miter(&plan.job);
        Lies {
            place,
            from: cut.from,
            to: cut.to,
            kerf: miter.kerf_along(self.job.shop.kerf),
            planned_kerf: miter.kerf_along(plan.job.shop.kerf),
            is_made,
        }
    }

    /// Whether there is room for the saw between a cut and the next one on its strip.
    fn has_room(&self, one: Lies, next: Lies) -> bool {
        let kerf = one.kerf.max(next.kerf);
        let shift = if one.is_made {
            self.shift(one.place)
        } else {
            Length::ZERO
        };
        if next.from - (one.to + shift) >= kerf {
            return true;
        }
        // Neighbors of one sheet lie as they were planned, and may share a slanting cut.
        let strip = |place: Place| (place.sheet, place.board, place.strip);
        let planned_kerf = one.planned_kerf.max(next.planned_kerf);
        strip(one.place) == strip(next.place) && kerf <= planned_kerf
    }
}

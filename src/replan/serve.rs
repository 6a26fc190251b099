//! Which part of the job each cut serves that is made, or stays to be made.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use super::parts::{SameNames, all_parts, is_alike, is_of_one_wood, is_spare};
use super::{Bench, News, Place, Stick};
use crate::frame::Miter;
use crate::job::Job;
use crate::plan::Part;

/// What serves what.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Serving {
    /// Each cut with the part of the job that it serves.
    pub(super) serves: BTreeMap<Place, Part>,
    /// Of these, spares that stand for a rail, each with the spare that it was.
    pub(super) spent: BTreeMap<Place, Part>,
}

/// What the cuts that are made well, and those `kept`, serve in `job`.
///
/// Each serves what it did, as long as that is wanted and as long as it was; then any part that is just like it, what is made
/// before what is not. What no part wants serves nothing: a rail in hand, to be cut again.
/// A rail that was spoiled is cut from a spare, where there is one that is long enough, the longest rails first. A square
/// spare will do for every miter; a rail that must come from certain boards takes none from others.
pub(super) fn serving(bench: &Bench, news: &News, job: &Job, kept: &BTreeSet<Place>) -> Serving {
    let made = bench.made();
    // A rail from which something is cut, or is to be, is not whole any more.
    let cut_from: BTreeSet<Stick> = made
        .made()
        .chain(news.marks.made())
        .chain(kept.iter().copied())
        .map(|place| bench.stick_at(place))
        .collect();
    let is_whole = |place: &&Place| !cut_from.contains(&Stick::Rail(**place));
    let done = made.done.union(&news.marks.done).filter(is_whole);
    let mut work = Work {
        bench,
        job,
        there: done.chain(kept).copied().collect(),
        is_served: BTreeSet::new(),
        found: Serving::default(),
    };
    let before = bench.serving();
    let names = SameNames::new(bench.job(), job);
    work.as_before(&before, &names);
    work.alike();
    let lost = news.marks.spoiled.keys();
    let lost = lost.filter_map(|place| names.part(*before.get(place)?));
    work.use_spares(lost.collect());
    work.found
}

struct Work<'b> {
    bench: &'b Bench,
    job: &'b Job,
    /// What can serve, what is made first.
    there: Vec<Place>,
    is_served: BTreeSet<Part>,
    found: Serving,
}

impl Work<'_> {
    fn as_before(&mut self, before: &BTreeMap<Place, Part>, names: &SameNames<'_>) {
        let spent = self.bench.rounds.last().map(|round| &round.spent);
        for place in self.there.clone() {
            let Some(part) = before.get(&place).and_then(|&part| names.part(part)) else {
                continue;
            };
            let spare = spent.and_then(|spent| spent.get(&place));
            let spare_now = spare.and_then(|&spare| names.part(spare));
            // A spare that the job no longer has is a rail in hand.
            if spare.is_some() && spare_now.is_none() {
                continue;
            }
            let will_do = match spare {
                Some(_) => self.is_long_enough(place, part),
                None => is_alike(self.bench.planned_part(place), (self.job, part)),
            };
            if will_do && self.is_allowed(place, part) && self.is_served.insert(part) {
                self.found.serves.insert(place, part);
                if let Some(spare) = spare_now {
                    self.found.spent.insert(place, spare);
                    self.is_served.insert(spare);
                }
            }
        }
    }

    fn alike(&mut self) {
        let is_idle = |place: &Place| !self.found.serves.contains_key(place);
        let mut idle: Vec<Place> = self.there.iter().copied().filter(is_idle).collect();
        if idle.is_empty() {
            return;
        }
        for part in all_parts(self.job) {
            if self.is_served.contains(&part) {
                continue;
            }
            let will_do = |&place: &Place| {
                is_alike(self.bench.planned_part(place), (self.job, part))
                    && self.is_allowed(place, part)
            };
            if let Some(at) = idle.iter().position(will_do) {
                self.found.serves.insert(idle.remove(at), part);
                self.is_served.insert(part);
            }
        }
    }

    fn use_spares(&mut self, lost: BTreeSet<Part>) {
        let is_rail = |part: &Part| matches!(part, Part::Rail { .. });
        let is_wanted = |part: &Part| is_rail(part) && !self.is_served.contains(part);
        let mut lost: Vec<Part> = lost.into_iter().filter(is_wanted).collect();
        lost.sort_by_key(|part| (Reverse(part.length(self.job)), *part));
        let mut spares: Vec<(Part, Place)> = self
            .found
            .serves
            .iter()
            .filter(|(place, part)| {
                is_spare(self.job, **part) && !self.found.spent.contains_key(place)
            })
            .map(|(&place, &part)| (part, place))
            .collect();
        spares.sort_unstable();
        for rail in lost {
            let will_do = |&(_, place): &(Part, Place)| {
                self.is_long_enough(place, rail) && self.is_allowed(place, rail)
            };
            if let Some(at) = spares.iter().position(will_do) {
                let (spare, place) = spares.remove(at);
                self.found.serves.insert(place, rail);
                self.found.spent.insert(place, spare);
                self.is_served.insert(rail);
            }
        }
    }

    /// Whether a rail can be cut from what is at a place, as a spare.
    fn is_long_enough(&self, place: Place, rail: Part) -> bool {
        let (job, own) = self.bench.planned_part(place);
        let miter = own.miter(job);
        let has_angle = miter == Miter::Square || miter == rail.miter(self.job);
        has_angle
            && own.length(job) >= rail.length(self.job)
            && is_of_one_wood((job, own), (self.job, rail))
    }

    /// Whether a part may come from the boards from which this is cut.
    fn is_allowed(&self, place: Place, part: Part) -> bool {
        let (board, _) = self.bench.board_of(self.bench.stick_at(place));
        may_come_from(self.job, part, &board.name)
    }
}

/// Whether a part may come from a line of boards of this name.
pub(super) fn may_come_from(job: &Job, part: Part, line: &str) -> bool {
    part.boards(job)
        .chosen()
        .is_none_or(|mut chosen| chosen.any(|board_idx| job.boards[board_idx].name == line))
}

//! The ways to use one board: strips of each section, side by side where it is ripped, and for a piece on the rack to stay
//! as it lies.

use std::collections::BTreeSet;

use super::rips::maximal_rips;
use super::runs::{Lane, OpenRun, open_runs, uncut_way, ways_across, ways_of_runs};
use super::strips::StripKinds;
use super::{ItemOrigin, Place};
use crate::job::Job;
use crate::length::Length;
use crate::stock::{Board, Parting, Section, Taking};

/// A board has no more ways to be used than this in the model; only jobs with very many narrow mouldings, or boards with
/// very many defects, have more, and their plans are then not called optimal.
pub(super) const MOST_WAYS: usize = 5_000;

/// One way to use a board: strips of the model, each with its place.
#[derive(Clone, Debug, Default)]
pub(super) struct Way {
    pub(super) strips: Vec<usize>,
    pub(super) places: Vec<Place>,
    /// Whether it is a piece on the rack that stays as it lies.
    pub(super) is_kept: bool,
    /// How the board is parted before it is used.
    pub(super) parting: Parting,
}

impl Way {
    /// What tells it from others: whether it is kept, and its strips, sorted.
    fn told(&self) -> (bool, Vec<usize>) {
        let mut strips = self.strips.clone();
        strips.sort_unstable();
        (self.is_kept, strips)
    }

    /// It with what a further stick is used for.
    fn beside(&self, other: &Way, stretch: usize) -> Way {
        let n_strips = self.places.iter().map(|place| place.strip + 1).max();
        let mut both = self.clone();
        both.strips.extend(&other.strips);
        both.places.extend(other.places.iter().map(|&place| Place {
            strip: n_strips.unwrap_or(0) + place.strip,
            stretch,
            ..place
        }));
        both
    }
}

/// Those of some ways that give nothing which another of them does not give, too, beside more strips; what is kept stays.
fn without_poorer(ways: Vec<Way>) -> Vec<Way> {
    let told: Vec<(bool, Vec<usize>)> = ways.iter().map(Way::told).collect();
    let is_poorer = |(is_kept, strips): &(bool, Vec<usize>)| {
        let longer = told.iter().filter(|other| other.1.len() > strips.len());
        !is_kept
            && longer
                .into_iter()
                .any(|other| !other.0 && is_part_of(strips, &other.1))
    };
    let poorer: Vec<bool> = told.iter().map(is_poorer).collect();
    let ways = ways.into_iter().zip(poorer);
    ways.filter(|(_, poorer)| !poorer)
        .map(|(way, _)| way)
        .collect()
}

/// Whether each of `few` has one of its own that is the same among `many`; both are sorted.
fn is_part_of(few: &[usize], many: &[usize]) -> bool {
    let mut many = many.iter();
    few.iter().all(|strip| many.any(|other| other == strip))
}

/// The items of one section that may come from a board.
#[derive(Clone, Copy)]
pub(super) struct SectionItems<'a> {
    /// A number for these items, the same for all boards that they may come from.
    pub(super) list: usize,
    pub(super) item_indices: &'a [usize],
    /// The widest kerf of any item of the section.
    pub(super) widest_kerf: Length,
    /// What is to be left of the section, if anything.
    pub(super) left: Option<LeftItem>,
}

/// A spare offcut that a section asks for.
#[derive(Clone, Copy)]
pub(super) struct LeftItem {
    /// The kind of strip that has room for it and nothing else.
    pub(super) kind: usize,
    /// The rail that is to be cut from it.
    pub(super) rail: Length,
    /// How long a strip must be clear from which nothing is cut.
    pub(super) uncut: Length,
    /// What it takes behind cuts.
    pub(super) behind_cuts: Length,
}

/// The spare offcut among the items of a section.
pub(super) fn left_item(
    job: &Job,
    item_indices: &[usize],
    origins: &[ItemOrigin],
    strips: &mut StripKinds,
) -> Option<LeftItem> {
    let mut items = item_indices.iter();
    let item = *items.find(|&&item| origins[item].is_left)?;
    let rail = origins[item].parts[0].length(job);
    Some(LeftItem {
        kind: strips.uncut(item, origins),
        rail,
        uncut: job.shop.uncut_for(rail),
        behind_cuts: origins[item].length,
    })
}

/// The ways to use one board.
pub(super) struct Ways<'a> {
    /// Ways in groups that share no section but for what is left on purpose.
    pub(super) apart: Vec<Vec<Way>>,
    /// What is ripped from it: sections, each with the width of its strips.
    pub(super) ripped: Vec<(SectionItems<'a>, Length)>,
    /// Parts of all sections that suit it, and what it may stay as it lies for.
    pub(super) n_parts: u64,
    /// Whether these are all ways.
    pub(super) is_complete: bool,
}

impl Default for Ways<'_> {
    fn default() -> Self {
        Ways {
            apart: Vec::new(),
            ripped: Vec::new(),
            n_parts: 0,
            is_complete: true,
        }
    }
}

impl<'a> Ways<'a> {
    /// The ways to use a board that may be parted: of each parting, one way for each stick that serves anything. `ways_of` are
    /// those of a stick as a board of its own.
    ///
    /// Of ways that give the same strips the first is kept; so partings that give the same sticks count once.
    pub(super) fn of_partings(
        board: &Board,
        partings: &[Parting],
        ways_of: &mut dyn FnMut(&Board) -> Ways<'a>,
    ) -> Ways<'a> {
        let mut all = Ways::default();
        let mut found: Vec<Way> = Vec::new();
        let mut seen = BTreeSet::new();
        for parting in partings {
            // What the yard has cut is never as it was sold.
            let mut ways = if parting.is_whole() && board.at_yard.is_none() {
                let of_whole = ways_of(board);
                all.is_complete &= of_whole.is_complete;
                all.n_parts += of_whole.n_parts;
                of_whole.apart.concat()
            } else {
                all.ways_of_sticks(board, parting, ways_of)
            };
            ways.retain(|way| !way.strips.is_empty() && seen.insert(way.told()));
            found.extend(ways);
            if found.len() > MOST_WAYS {
                all.is_complete = false;
                break;
            }
        }
        if partings.iter().any(|parting| parting.slices.is_some()) {
            // What lies on the board as it is mostly lies on one of its slices as well, beside all that the others give.
            found = without_poorer(found);
        }
        all.apart.push(found);
        all
    }

    /// The ways to use the sticks that a board is parted into, all of them together.
    fn ways_of_sticks(
        &mut self,
        board: &Board,
        parting: &Parting,
        ways_of: &mut dyn FnMut(&Board) -> Ways<'a>,
    ) -> Vec<Way> {
        let mut ways = vec![Way {
            parting: parting.clone(),
            ..Way::default()
        }];
        for (stretch, stick) in parting.sticks(board).into_iter().enumerate() {
            // Only a board as a whole stays on the rack as it lies.
            let stick = Board {
                in_hand: None,
                ..stick
            };
            let of_stick = ways_of(&stick);
            self.is_complete &= of_stick.is_complete;
            let of_stick = of_stick.apart.concat();
            if of_stick.is_empty() {
                continue;
            }
            // Slices are alike, so most ways come in every order.
            let mut seen = BTreeSet::new();
            let longer = ways
                .iter()
                .flat_map(|way| of_stick.iter().map(|more| way.beside(more, stretch)))
                .filter(|way| seen.insert(way.told()));
            ways = longer.take(MOST_WAYS + 1).collect();
            self.is_complete &= ways.len() <= MOST_WAYS;
        }
        ways
    }

    /// Adds a section that suits `board`; `false` if no part of it fits any of the board's clear runs.
    ///
    /// A board that is one strip has all its defects in it, however little of the width they take; of one that is ripped
    /// those count that take all of it, others by where the strip lies.
    pub(super) fn add_section(
        &mut self,
        job: &Job,
        board: &Board,
        section: &Section<'_>,
        items: SectionItems<'a>,
        kinds_of: &mut dyn FnMut(OpenRun) -> Vec<usize>,
    ) -> bool {
        let taking = board.taking(job.shop.rip.as_ref(), section.width);
        let runs = board.clear_runs(job.shop.end_trim, items.widest_kerf, |defect| {
            taking == Some(Taking::Whole) || defect.takes_all(board.width)
        });
        let runs = open_runs(runs, job.shop.end_trim, items.widest_kerf);
        let uncut = uncut_way(&runs, items.left, 0);
        let runs: Vec<(OpenRun, Vec<usize>)> =
            runs.into_iter().map(|run| (run, kinds_of(run))).collect();
        if runs.iter().all(|(_, kinds)| kinds.is_empty()) && uncut.is_none() {
            return false;
        }
        if let Some(Taking::Ripped { width }) = taking {
            self.ripped.push((items, width));
        } else {
            let (mut ways, is_complete) = ways_of_runs(&runs, 0);
            // A piece on the rack can stay as it lies for that.
            ways.extend(uncut.filter(|_| board.in_hand.is_none()));
            self.is_complete &= is_complete;
            self.apart.push(ways);
        }
        true
    }

    /// Lets a piece on the rack stay as it lies, where the longest rail of a section that asks for a spare offcut can be cut
    /// from it.
    pub(super) fn keep(
        &mut self,
        job: &Job,
        board: &Board,
        section: &Section<'_>,
        items: SectionItems<'a>,
    ) {
        let Some(left) = items.left.filter(|_| board.in_hand.is_some()) else {
            return;
        };
        let rip = job.shop.rip.as_ref();
        let longest = board.longest_run(section, rip, job.shop.end_trim, items.widest_kerf);
        if longest.is_some_and(|longest| longest >= left.rail) {
            self.n_parts += 1;
            self.apart.push(vec![Way {
                strips: vec![left.kind],
                places: vec![Place {
                    strip: 0,
                    stretch: 0,
                    from_edge: None,
                    from: Length::ZERO,
                }],
                is_kept: true,
                parting: Parting::default(),
            }]);
        }
    }

    /// Adds the ways to rip `board`, once all sections are there.
    pub(super) fn rip(
        &mut self,
        job: &Job,
        board: &Board,
        kinds_of: &mut dyn FnMut(&SectionItems<'a>, OpenRun) -> Vec<usize>,
    ) {
        let (Some(rip), Some(board_width)) = (&job.shop.rip, board.width) else {
            return;
        };
        let ripped = std::mem::take(&mut self.ripped);
        let end_trim = job.shop.end_trim;
        let (ways, is_complete) = if board.has_partial_defects() {
            let lanes: Vec<Lane> = ripped
                .iter()
                .map(|(items, width)| Lane {
                    width: *width,
                    widest_kerf: items.widest_kerf,
                    left: items.left,
                })
                .collect();
            ways_across(board, rip, end_trim, &lanes, &mut |lane, run| {
                kinds_of(&ripped[lane].0, run)
            })
        } else {
            let mut strips: Vec<(Way, Length)> = Vec::new();
            let mut all = true;
            for (items, width) in &ripped {
                let runs = board.clear_runs(end_trim, items.widest_kerf, |_| true);
                let runs = open_runs(runs, end_trim, items.widest_kerf);
                let uncut = uncut_way(&runs, items.left, 0);
                let runs: Vec<(OpenRun, Vec<usize>)> = runs
                    .into_iter()
                    .map(|run| (run, kinds_of(items, run)))
                    .collect();
                let (mut ways, is_complete) = ways_of_runs(&runs, 0);
                ways.extend(uncut);
                all &= is_complete;
                strips.extend(ways.into_iter().map(|way| (way, *width)));
            }
            let widths: Vec<Length> = strips.iter().map(|&(_, width)| width).collect();
            let rips = maximal_rips(&widths, rip.room(board_width), rip.kerf, MOST_WAYS);
            let side_by_side = |pattern: &Vec<usize>| {
                let mut whole = Way::default();
                for (strip, &at) in pattern.iter().enumerate() {
                    let way = &strips[at].0;
                    whole.strips.extend(&way.strips);
                    whole
                        .places
                        .extend(way.places.iter().map(|&place| Place { strip, ..place }));
                }
                whole
            };
            let ways = rips.patterns.iter().map(side_by_side).collect();
            (ways, rips.is_complete && all)
        };
        self.is_complete &= is_complete;
        if !ways.is_empty() {
            self.apart.push(ways);
        }
    }
}

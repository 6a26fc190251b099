//! The ways to use one board: strips of each section, side by side where it is ripped, and for a piece on the rack to stay
//! as it lies.

use std::collections::BTreeSet;

use super::rips::maximal_rips;
use super::runs::{Lane, OpenRun, open_runs, uncut_way, ways_across, ways_of_runs};
use super::strips::StripKinds;
use super::{ItemOrigin, Place};
use crate::job::Job;
use crate::length::Length;
use crate::stock::{Board, Section, Taking, taking};

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
    /// Where the yard cuts the board, if it does.
    pub(super) yard_cuts: Vec<Length>,
}

impl Way {
    /// It with what a further stretch is used for.
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
    /// The ways to use a board that is cut at the yard: of each way to cut it, one way for each stretch that serves
    /// anything. `ways_of` are those of a stretch as a board of its own.
    ///
    /// Of ways that give the same strips the first is kept; so cuts that give the same stretches count once.
    pub(super) fn of_stretches(
        board: &Board,
        ways_of: &mut dyn FnMut(&Board) -> Ways<'a>,
    ) -> Ways<'a> {
        let mut all = Ways::default();
        let mut found = Vec::new();
        let mut seen = BTreeSet::new();
        for yard_cuts in board.yard_ways() {
            let mut ways = vec![Way {
                yard_cuts: yard_cuts.clone(),
                ..Way::default()
            }];
            for (stretch, run) in board.parted(&yard_cuts).into_iter().enumerate() {
                // Only a board as a whole stays on the rack as it lies.
                let stretch_of = Board {
                    in_hand: None,
                    ..board.stretch(run)
                };
                let of_stretch = ways_of(&stretch_of);
                all.is_complete &= of_stretch.is_complete;
                let of_stretch = of_stretch.apart.concat();
                if of_stretch.is_empty() {
                    continue;
                }
                let longer = ways
                    .iter()
                    .flat_map(|way| of_stretch.iter().map(|more| way.beside(more, stretch)));
                ways = longer.take(MOST_WAYS + 1).collect();
                all.is_complete &= ways.len() <= MOST_WAYS;
            }
            let is_new = |way: &Way| {
                let mut strips = way.strips.clone();
                strips.sort_unstable();
                !strips.is_empty() && seen.insert(strips)
            };
            ways.retain(is_new);
            found.extend(ways);
            if found.len() > MOST_WAYS {
                all.is_complete = false;
                break;
            }
        }
        all.apart.push(found);
        all
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
        let taking = taking(job.shop.rip.as_ref(), section.width, board.width);
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
                yard_cuts: Vec::new(),
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

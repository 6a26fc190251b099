//! What the claims of a certificate are about, derived from the job alone.
//!
//! Nothing here is shared with the solver or with the way a plan is made: parts are grouped anew, and the worth of a
//! board is worked out in nanometres by [`best_worth`].

use std::collections::BTreeMap;

use super::knapsack::{Offer, best_worth};
use crate::frame::{Miter, frame_sizes};
use crate::job::{Ends, Job, moulding_section, piece_section};
use crate::length::Length;
use crate::money::Money;
use crate::plan::{Measure, Part};
use crate::stock::{
    Board, Section, Taking, board_cost, folded_material, suits, taking, usable_length,
};

/// What a strip is milled to: all that may lie on one strip has the same.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Milled {
    /// A moulding, by index.
    Moulding(usize),
    /// Plain wood of a material (folded), a thickness and a least width.
    Plain(Option<String>, Option<Length>, Option<Length>),
}

/// Parts that are alike for the saw.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Class {
    /// Which section, counted from 0 in their own order.
    pub(super) section: usize,
    /// What the saw takes along the strip at their ends.
    pub(super) kerf: Length,
    /// Length along the outer edge.
    pub(super) length: Length,
    /// How many there are.
    pub(super) count: u32,
}

/// A job as the certificate sees it.
pub(super) struct Model<'j> {
    job: &'j Job,
    /// All classes of parts.
    pub(super) classes: Vec<Class>,
    /// `costs[b]` is what one board of line `b` costs in the plan's measure.
    pub(super) costs: Vec<i64>,
    /// What the plan's value is measured in.
    pub(super) measure: Measure,
    rails: BTreeMap<(usize, u32), usize>,
    pieces: Vec<usize>,
    /// `takings[b][q]`: how section `q` is taken from board `b`, if the board suits it.
    takings: Vec<Vec<Option<Taking>>>,
    /// `portions[b]`: see [`Model::portions`].
    portions: Vec<Vec<Vec<usize>>>,
}

impl<'j> Model<'j> {
    /// The model of `job`.
    pub(super) fn new(job: &'j Job) -> Model<'j> {
        let mut known: BTreeMap<(Milled, Length, Length), u32> = BTreeMap::new();
        let mut rails = Vec::new();
        let mut pieces = Vec::new();
        for (frame_idx, frame) in job.frames.iter().enumerate() {
            let moulding = &job.mouldings[frame.moulding_idx];
            let sizes = frame_sizes(frame, moulding, job.shop.fit_allowance);
            let kerf = sizes.miter().kerf_along(job.shop.kerf);
            for side in 0..sizes.n_sides() {
                let key = (
                    Milled::Moulding(frame.moulding_idx),
                    kerf,
                    sizes.rail(side).long_point,
                );
                *known.entry(key.clone()).or_default() += frame.quantity;
                rails.push(((frame_idx, side), key));
            }
        }
        for piece in &job.pieces {
            let miter = match piece.ends {
                Ends::Square => Miter::Square,
                Ends::Miter => Miter::RECTANGLE,
            };
            let milled = piece.moulding_idx.map_or_else(
                || {
                    Milled::Plain(
                        piece.material.as_deref().map(folded_material),
                        piece.thickness,
                        piece.width,
                    )
                },
                Milled::Moulding,
            );
            let key = (milled, miter.kerf_along(job.shop.kerf), piece.length);
            *known.entry(key.clone()).or_default() += piece.quantity;
            pieces.push(key);
        }
        let mut sections: Vec<Milled> = known.keys().map(|key| key.0.clone()).collect();
        sections.dedup();
        let place: BTreeMap<&(Milled, Length, Length), usize> = known
            .keys()
            .enumerate()
            .map(|(class, key)| (key, class))
            .collect();
        let classes: Vec<Class> = known
            .iter()
            .map(|((milled, kerf, length), &count)| Class {
                section: sections
                    .binary_search(milled)
                    .expect("every section was listed"),
                kerf: *kerf,
                length: *length,
                count,
            })
            .collect();
        let (measure, costs) = costs(job);
        let takings = takings(job, &sections, &pieces);
        Model {
            rails: rails
                .iter()
                .map(|(rail, key)| (*rail, place[key]))
                .collect(),
            pieces: pieces.iter().map(|key| place[key]).collect(),
            job,
            measure,
            costs,
            portions: takings
                .iter()
                .map(|taken| portions(&classes, taken))
                .collect(),
            classes,
            takings,
        }
    }

    /// The class a part belongs to.
    pub(super) fn class_of(&self, part: Part) -> Option<usize> {
        match part {
            Part::Rail {
                frame_idx, side, ..
            } => self.rails.get(&(frame_idx, side)).copied(),
            Part::Loose { piece_idx, .. } => self.pieces.get(piece_idx).copied(),
        }
    }

    fn usable(&self, board_idx: usize) -> Option<Length> {
        usable_length(self.job.boards[board_idx].length, self.job.shop.end_trim)
    }

    /// Whether a part of `class` can be cut from a board of line `board_idx`, supply apart.
    pub(super) fn fits(&self, class: usize, board_idx: usize) -> bool {
        let class = &self.classes[class];
        self.supply(board_idx) != Some(0)
            && self.takings[board_idx][class.section].is_some()
            && self
                .usable(board_idx)
                .is_some_and(|usable| class.length <= usable)
    }

    /// How many boards of a line there are, if that is limited.
    pub(super) fn supply(&self, board_idx: usize) -> Option<u32> {
        self.job.boards[board_idx].quantity
    }

    /// Whether an unlimited board of line `by` can always stand in for one of line `board_idx` that is cut into parts of
    /// `portion`, and costs no more.
    pub(super) fn replaces(&self, by: usize, board_idx: usize, portion: &[usize]) -> bool {
        let holds_all = portion.iter().all(|&class| {
            let section = self.classes[class].section;
            match (self.takings[board_idx][section], self.takings[by][section]) {
                (_, None) | (None, _) => false,
                // One strip for one strip; whether `by` is ripped for it does not matter.
                (Some(Taking::Whole), Some(_)) => true,
                (Some(Taking::Ripped { .. }), Some(taken)) => {
                    taken != Taking::Whole
                        && self.job.boards[by].width >= self.job.boards[board_idx].width
                }
            }
        });
        holds_all
            && self.supply(by).is_none()
            && self.costs[by] <= self.costs[board_idx]
            && self.usable(by) >= self.usable(board_idx)
    }

    /// The sets of classes that can be cut from one board of a line together, whether they fit it or not: those of each
    /// section for which it is one strip, and those of all sections that are ripped from it.
    pub(super) fn portions(&self, board_idx: usize) -> &[Vec<usize>] {
        &self.portions[board_idx]
    }

    /// The worth of the best board of line `board_idx` cut into parts of the classes `allowed`, where a part of
    /// `classes[n]` is worth `prices[n]`; `floor` if none is worth more.
    pub(super) fn best_board(
        &self,
        board_idx: usize,
        classes: &[usize],
        prices: &[i64],
        allowed: &[usize],
        floor: i64,
    ) -> i64 {
        let Some(usable) = self.usable(board_idx) else {
            return floor;
        };
        let mut best = floor;
        let mut strips: Vec<Offer> = Vec::new();
        let rip_kerf = self.job.shop.rip.map_or(Length::ZERO, |rip| rip.kerf);
        for (section, taken) in self.takings[board_idx].iter().enumerate() {
            let here: Vec<(&Class, i64)> = allowed
                .iter()
                .map(|&n| (&self.classes[classes[n]], prices[n]))
                .filter(|(class, _)| class.section == section)
                .collect();
            match taken {
                None => {}
                Some(Taking::Whole) => best = best_strip(&here, usable, best),
                Some(Taking::Ripped { width }) => strips.push(Offer {
                    size: (*width + rip_kerf).nm(),
                    price: best_strip(&here, usable, 0),
                    most: u32::MAX,
                }),
            }
        }
        if let (Some(rip), Some(width)) = (&self.job.shop.rip, self.job.boards[board_idx].width) {
            best = best_worth(&strips, (rip.room(width) + rip_kerf).nm(), best);
        }
        best
    }
}

/// What values are measured in, and what one board of each line costs.
fn costs(job: &Job) -> (Measure, Vec<i64>) {
    if !job.boards.iter().any(Board::counts_in_money) {
        return (
            Measure::BoardLength,
            job.boards
                .iter()
                .map(|board| board.cost_in_length().nm())
                .collect(),
        );
    }
    let cost = |board| {
        let cost = board_cost(board).expect("load refuses boards whose cost cannot be worked out");
        cost.map_or(0, Money::minor)
    };
    (Measure::Price, job.boards.iter().map(cost).collect())
}

/// How each section is taken from each board; `pieces` are the keys of the loose pieces.
fn takings(
    job: &Job,
    sections: &[Milled],
    pieces: &[(Milled, Length, Length)],
) -> Vec<Vec<Option<Taking>>> {
    let rip = job.shop.rip.as_ref();
    let asked: Vec<Section<'_>> = sections
        .iter()
        .map(|milled| match milled {
            Milled::Moulding(idx) => moulding_section(&job.mouldings[*idx]),
            Milled::Plain(..) => {
                let idx = pieces.iter().position(|key| key.0 == *milled);
                piece_section(
                    &job.pieces[idx.expect("a plain section comes from a piece")],
                    &job.mouldings,
                )
            }
        })
        .collect();
    let how = |section: &Section<'_>, board| {
        if suits(section, board, rip) {
            taking(rip, section.width, board.width)
        } else {
            None
        }
    };
    job.boards
        .iter()
        .map(|board| asked.iter().map(|section| how(section, board)).collect())
        .collect()
}

/// The sets of classes that one board can hold together, given how each section is taken from it.
fn portions(classes: &[Class], takings: &[Option<Taking>]) -> Vec<Vec<usize>> {
    let mut portions = Vec::new();
    let mut ripped = Vec::new();
    for (section, taken) in takings.iter().enumerate() {
        let of_section = (0..classes.len()).filter(|&class| classes[class].section == section);
        match taken {
            None => {}
            Some(Taking::Whole) => portions.push(of_section.collect()),
            Some(Taking::Ripped { .. }) => ripped.extend(of_section),
        }
    }
    if !ripped.is_empty() {
        portions.push(ripped);
    }
    portions
}

/// The worth of the best run of parts on one strip; `floor` if none is worth more.
fn best_strip(parts: &[(&Class, i64)], usable: Length, floor: i64) -> i64 {
    // A run sorted by falling kerf leaves only its smallest unused.
    let mut kerfs: Vec<Length> = parts.iter().map(|(class, _)| class.kerf).collect();
    kerfs.sort_unstable();
    kerfs.dedup();
    let mut best = floor;
    for least in kerfs {
        let offers: Vec<Offer> = parts
            .iter()
            .filter(|(class, _)| class.kerf >= least)
            .map(|(class, price)| Offer {
                size: (class.length + class.kerf).nm(),
                price: *price,
                most: class.count,
            })
            .collect();
        best = best_worth(&offers, (usable + least).nm(), best);
    }
    best
}

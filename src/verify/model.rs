//! What the claims of a certificate are about, derived from the job alone.
//!
//! Nothing here is shared with the solver or with the way a plan is made: parts are grouped anew. `boards` says which
//! board is as good as another, `worth` what the best board is worth.

use std::collections::BTreeMap;

use super::turned::{saving, turned_miters};
use crate::frame::frame_sizes;
use crate::job::{Grains, Job, moulding_section, piece_section};
use crate::length::Length;
use crate::money::Money;
use crate::plan::Part;
use crate::stock::{Board, Section, Taking, board_cost, folded_material, suits, taking};

/// What a strip is milled to: all that may lie on one strip has the same.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Milled {
    /// A moulding, by index.
    Moulding(usize),
    /// Plain wood of a material (folded), a thickness and a least width.
    Plain(Option<String>, Option<Length>, Option<Length>),
}

/// Section, kerf, saving and length, or the lengths of a chain.
type ClassKey = (Milled, Length, Length, Vec<Length>);

/// Parts that are alike for the saw.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Class {
    /// Which section, counted from 0 in their own order.
    pub(super) section: usize,
    /// What the saw takes along the strip at their ends.
    pub(super) kerf: Length,
    /// What each of a run saves where neighbors lie turned end for end; zero where they may not.
    pub(super) saving: Length,
    /// Length along the outer edge; of a chain from the first long point to the last.
    pub(super) length: Length,
    /// How many there are, a chain counting as one.
    pub(super) count: u32,
}

/// A job as the certificate sees it.
pub(super) struct Model<'j> {
    pub(super) job: &'j Job,
    /// All classes of parts.
    pub(super) classes: Vec<Class>,
    /// `costs[b]` is what one board of line `b` costs in the plan's measure.
    pub(super) costs: Vec<i64>,
    rails: BTreeMap<(usize, u32), usize>,
    pieces: Vec<usize>,
    /// `takings[b][q]`: how section `q` is taken from board `b`, if the board suits it.
    pub(super) takings: Vec<Vec<Option<Taking>>>,
    /// `portions[b]`: see [`Model::portions`].
    portions: Vec<Vec<Vec<usize>>>,
}

impl<'j> Model<'j> {
    /// The model of `job`.
    pub(super) fn new(job: &'j Job) -> Model<'j> {
        let turned = turned_miters(job);
        let grains = Grains::new(job);
        let mut known: BTreeMap<ClassKey, u32> = BTreeMap::new();
        let mut rails = Vec::new();
        let mut pieces = Vec::new();
        for (frame_idx, frame) in job.frames.iter().enumerate() {
            let moulding = &job.mouldings[frame.moulding_idx];
            let sizes = frame_sizes(frame, moulding, job.shop.fit_allowance);
            let kerf = sizes.miter().kerf_along(job.shop.kerf);
            for chain in grains.granted(frame_idx).chains(frame.art) {
                // What must stay together is cut as one.
                let lengths: Vec<Length> = chain
                    .iter()
                    .map(|&side| sizes.rail(side).long_point)
                    .collect();
                let saving = match lengths[..] {
                    [only] => saving(job, &turned, frame.moulding_idx, sizes.miter(), only),
                    _ => Length::ZERO,
                };
                let key = (Milled::Moulding(frame.moulding_idx), kerf, saving, lengths);
                *known.entry(key.clone()).or_default() += frame.quantity;
                rails.extend(chain.iter().map(|&side| ((frame_idx, side), key.clone())));
            }
        }
        for piece in &job.pieces {
            let miter = piece.ends.miter();
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
            let saving = piece.moulding_idx.map_or(Length::ZERO, |idx| {
                saving(job, &turned, idx, miter, piece.length)
            });
            let kerf = piece.kerf_along(job.shop.kerf);
            let key = (milled, kerf, saving, vec![piece.length]);
            *known.entry(key.clone()).or_default() += piece.quantity;
            pieces.push(key);
        }
        let mut sections: Vec<Milled> = known.keys().map(|key| key.0.clone()).collect();
        sections.dedup();
        let place: BTreeMap<&ClassKey, usize> = known
            .keys()
            .enumerate()
            .map(|(class, key)| (key, class))
            .collect();
        let classes: Vec<Class> = known
            .iter()
            .map(|((milled, kerf, saving, lengths), &count)| Class {
                section: sections
                    .binary_search(milled)
                    .expect("every section was listed"),
                kerf: *kerf,
                saving: *saving,
                length: lengths.iter().map(|&length| length + *kerf).sum::<Length>() - *kerf,
                count,
            })
            .collect();
        let costs = costs(job);
        let takings = takings(job, &sections, &pieces);
        Model {
            rails: rails
                .iter()
                .map(|(rail, key)| (*rail, place[key]))
                .collect(),
            pieces: pieces.iter().map(|key| place[key]).collect(),
            job,
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

    /// How many boards of a line there are, if that is limited.
    pub(super) fn supply(&self, board_idx: usize) -> Option<u32> {
        self.job.boards[board_idx].quantity
    }

    /// The sets of classes that can be cut from one board of a line together, whether they fit it or not: those of each
    /// section for which it is one strip, and those of all sections that are ripped from it.
    pub(super) fn portions(&self, board_idx: usize) -> &[Vec<usize>] {
        &self.portions[board_idx]
    }
}

/// What one board of each line costs, in money or, where no board has a price, in nanometers.
fn costs(job: &Job) -> Vec<i64> {
    let in_money = job.boards.iter().any(Board::counts_in_money);
    let cost = |board: &Board| {
        if !in_money {
            return board.cost_in_length().nm();
        }
        let cost = board_cost(board).expect("load refuses boards whose cost cannot be worked out");
        cost.map_or(0, Money::minor)
    };
    job.boards.iter().map(cost).collect()
}

/// How each section is taken from each board; `pieces` are the keys of the loose pieces.
fn takings(job: &Job, sections: &[Milled], pieces: &[ClassKey]) -> Vec<Vec<Option<Taking>>> {
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

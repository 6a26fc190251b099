//! The parts of a job, alike ones together.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use crate::frame::{ChosenBoards, Miter};
use crate::job::{Ends, Grains, Job, Piece, moulding_section};
use crate::length::Length;
use crate::plan::Part;
use crate::stock::{Section, folded_material};

/// What a strip is milled to; a strip carries cuts of one section only. The order is that of the plan.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum SectionKey {
    /// A moulding's section, by index.
    Moulding(usize),
    /// Plain wood of this material (folded), thickness and least width.
    Plain(Option<String>, Option<Length>, Option<Length>),
}

/// What makes parts one item, in the order of the instance.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct ItemKey {
    /// What they are milled to.
    pub(super) section: SectionKey,
    /// Whether they are not cut but left, behind all that is.
    pub(super) is_left: bool,
    /// What the saw takes along the strip.
    pub(super) kerf_along: Reverse<Length>,
    /// What neighbors that share a slanting cut save; zero for what is never turned.
    pub(super) overlap: Reverse<Length>,
    /// Length along the outer edge, from the first long point of a chain to the last.
    pub(super) length: Reverse<Length>,
    /// Lengths of the parts in their order: one, or those of a chain.
    pub(super) lengths: Vec<Length>,
    /// The boards they must come from.
    pub(super) boards: ChosenBoards,
}

impl ItemKey {
    /// The key of what is cut from any board.
    fn new(
        section: SectionKey,
        kerf_along: Length,
        overlap: Length,
        lengths: Vec<Length>,
    ) -> ItemKey {
        let with_kerfs: Length = lengths.iter().map(|&length| length + kerf_along).sum();
        ItemKey {
            section,
            is_left: false,
            kerf_along: Reverse(kerf_along),
            overlap: Reverse(overlap),
            length: Reverse(with_kerfs - kerf_along),
            lengths,
            boards: ChosenBoards::ANY,
        }
    }
}

/// So many miters of one moulding are turned, those of the polygons with the fewest sides: each set of them has strips
/// of its own. No job has as many on one moulding.
const MOST_TURNED: usize = 6;

/// All parts of the job, alike ones together, each group in the order of the job.
///
/// Rails that must follow each other are a chain, which stands for one cut; its parts stand in their order.
pub(super) fn group_parts(job: &Job) -> BTreeMap<ItemKey, Vec<Part>> {
    let turning = Turning::new(job);
    let grains = Grains::new(job);
    let mut groups: BTreeMap<ItemKey, Vec<Part>> = BTreeMap::new();
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let sizes = job.frame_sizes(frame_idx);
        let miter = sizes.miter();
        let kerf_along = miter.kerf_along(job.shop.kerf);
        let mut by_lengths: BTreeMap<Vec<Length>, Vec<u32>> = BTreeMap::new();
        for chain in grains.granted(frame_idx).chains(frame.art) {
            let lengths = chain.iter().map(|&side| sizes.rail(side).long_point);
            by_lengths
                .entry(lengths.collect())
                .or_default()
                .extend(chain);
        }
        for (lengths, sides) in by_lengths {
            // Only rails that lie all the same way round carry the grain on, so chains are not turned.
            let overlap = match lengths[..] {
                [only] => turning.overlap(job, Some(frame.moulding_idx), miter, only),
                _ => Length::ZERO,
            };
            let section = SectionKey::Moulding(frame.moulding_idx);
            let key = ItemKey {
                boards: frame.boards.clone(),
                ..ItemKey::new(section, kerf_along, overlap, lengths)
            };
            let group = groups.entry(key).or_default();
            for copy in 1..=frame.quantity {
                group.extend(sides.iter().map(|&side| Part::Rail {
                    frame_idx,
                    copy,
                    side,
                }));
            }
        }
    }
    for (piece_idx, piece) in job.pieces.iter().enumerate() {
        let miter = piece.ends.miter();
        let length = if piece.is_left() {
            job.shop.offcut_for(piece.length)
        } else {
            piece.length
        };
        let key = ItemKey {
            is_left: piece.is_left(),
            boards: piece.boards.clone(),
            ..ItemKey::new(
                section_of_piece(piece),
                piece.kerf_along(job.shop.kerf),
                turning.overlap(job, piece.moulding_idx, miter, length),
                vec![length],
            )
        };
        groups
            .entry(key)
            .or_default()
            .extend((1..=piece.quantity).map(|copy| Part::Loose { piece_idx, copy }));
    }
    groups
}

/// What may be turned end for end.
struct Turning {
    /// The miters that are turned, of each moulding.
    miters: Vec<BTreeSet<Miter>>,
}

impl Turning {
    fn new(job: &Job) -> Turning {
        let mut miters = vec![BTreeSet::new(); job.mouldings.len()];
        for frame in &job.frames {
            miters[frame.moulding_idx].insert(frame.art.miter());
        }
        for piece in &job.pieces {
            if let (Some(idx), Ends::Miter) = (piece.moulding_idx, piece.ends) {
                miters[idx].insert(Miter::RECTANGLE);
            }
        }
        let turned = job.mouldings.iter().zip(miters).map(|(moulding, miters)| {
            let most = if moulding.may_be_turned() {
                MOST_TURNED
            } else {
                0
            };
            miters.into_iter().take(most).collect()
        });
        Turning {
            miters: turned.collect(),
        }
    }

    /// What neighbors of this length that share a slanting cut save; zero for what is not turned.
    ///
    /// A piece that has no short point left is no trapezoid, and is never turned.
    fn overlap(
        &self,
        job: &Job,
        moulding_idx: Option<usize>,
        miter: Miter,
        length: Length,
    ) -> Length {
        let Some(idx) = moulding_idx.filter(|&idx| self.miters[idx].contains(&miter)) else {
            return Length::ZERO;
        };
        let face_width = job.mouldings[idx].face_width;
        if length > miter.run_along(face_width) * 2 {
            miter.overlap(face_width)
        } else {
            Length::ZERO
        }
    }
}

/// The section a loose piece is cut from.
fn section_of_piece(piece: &Piece) -> SectionKey {
    match piece.moulding_idx {
        Some(moulding_idx) => SectionKey::Moulding(moulding_idx),
        None => SectionKey::Plain(
            piece.material.as_deref().map(folded_material),
            piece.thickness,
            piece.width,
        ),
    }
}

/// What a section asks of a board.
pub(super) fn section<'a>(job: &'a Job, key: &'a SectionKey) -> Section<'a> {
    match key {
        SectionKey::Moulding(moulding_idx) => moulding_section(&job.mouldings[*moulding_idx]),
        SectionKey::Plain(material, thickness, width) => Section {
            profile: None,
            material: material.as_deref(),
            thickness: *thickness,
            may_be_thicker: false,
            width: *width,
        },
    }
}

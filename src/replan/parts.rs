//! Parts of jobs that differ: which are the same by name, and which are alike.

use std::collections::BTreeMap;

use crate::frame::Moulding;
use crate::job::{Job, Purpose};
use crate::plan::Part;
use crate::stock::{folded_material, same_material};

/// All parts that are cut for a job, in their order.
pub(super) fn all_parts(job: &Job) -> impl Iterator<Item = Part> + '_ {
    let rails = job
        .frames
        .iter()
        .enumerate()
        .flat_map(|(frame_idx, frame)| {
            (1..=frame.quantity).flat_map(move |copy| {
                (0..frame.art.n_sides()).map(move |side| Part::Rail {
                    frame_idx,
                    copy,
                    side,
                })
            })
        });
    let pieces = job.pieces.iter().enumerate();
    let cut = pieces.filter(|(_, piece)| !piece.is_left());
    rails.chain(cut.flat_map(|(piece_idx, piece)| {
        (1..=piece.quantity).map(move |copy| Part::Loose { piece_idx, copy })
    }))
}

/// Whether a part is a spare rail.
pub(super) fn is_spare(job: &Job, part: Part) -> bool {
    match part {
        Part::Loose { piece_idx, .. } => job.pieces[piece_idx].purpose == Purpose::SpareRail,
        Part::Rail { .. } => false,
    }
}

/// The moulding of a part; `None` of plain wood.
pub(super) fn moulding(job: &Job, part: Part) -> Option<&Moulding> {
    let idx = match part {
        Part::Rail { frame_idx, .. } => Some(job.frames[frame_idx].moulding_idx),
        Part::Loose { piece_idx, .. } => job.pieces[piece_idx].moulding_idx,
    };
    idx.map(|idx| &job.mouldings[idx])
}

/// The material of a part, in lower case; `None` where nothing tells it.
pub(super) fn wood(job: &Job, part: Part) -> Option<String> {
    let own = match part {
        Part::Loose { piece_idx, .. } => job.pieces[piece_idx].material.as_deref(),
        Part::Rail { .. } => None,
    };
    let of_moulding = || moulding(job, part)?.material.as_deref();
    own.or_else(of_moulding).map(folded_material)
}

/// A part, and the job of which it is one.
pub(super) type PartOf<'j> = (&'j Job, Part);

/// Whether what was cut as the one is made of what the other asks for: of one moulding, or both of plain wood of one kind.
pub(super) fn is_of_one_wood(one: PartOf<'_>, other: PartOf<'_>) -> bool {
    match (moulding(one.0, one.1), moulding(other.0, other.1)) {
        (Some(own), Some(asked)) => is_same_moulding((one.0, own), (other.0, asked)),
        (None, None) => {
            let plain = |(job, part): PartOf<'_>| match part {
                Part::Loose { piece_idx, .. } => {
                    let piece = &job.pieces[piece_idx];
                    Some((piece.material.clone(), piece.thickness, piece.width))
                }
                Part::Rail { .. } => None,
            };
            plain(one) == plain(other)
        }
        _ => false,
    }
}

/// Whether two mouldings of two jobs are the same to the saw; one that was renamed is.
fn is_same_moulding((job, own): (&Job, &Moulding), (other, asked): (&Job, &Moulding)) -> bool {
    let is_of = |job: &Job, name: &str| job.mouldings.iter().any(|of| of.name == name);
    let was_renamed = !is_of(other, &own.name) && !is_of(job, &asked.name);
    let wood = match (&own.material, &asked.material) {
        (Some(own), Some(asked)) => same_material(own, asked),
        (own, asked) => own == asked,
    };
    let section = |moulding: &Moulding| {
        (
            moulding.face_width,
            moulding.lip,
            moulding.rabbet_depth,
            moulding.thickness,
            moulding.milled,
            moulding.section,
        )
    };
    (own.name == asked.name || was_renamed) && wood && section(own) == section(asked)
}

/// Whether what was cut as the one can stand for the other as it is.
pub(super) fn is_alike(one: PartOf<'_>, other: PartOf<'_>) -> bool {
    let ((job, own), (other_job, asked)) = (one, other);
    own.length(job) == asked.length(other_job)
        && own.miter(job) == asked.miter(other_job)
        && is_spare(job, own) == is_spare(other_job, asked)
        && is_of_one_wood(one, other)
}

/// From the parts of a job to those of the same name in another.
pub(super) struct SameNames<'j> {
    from: &'j Job,
    to: &'j Job,
    frames: BTreeMap<&'j str, usize>,
    pieces: BTreeMap<&'j str, usize>,
}

impl<'j> SameNames<'j> {
    pub(super) fn new(from: &'j Job, to: &'j Job) -> SameNames<'j> {
        let frames = to.frames.iter().map(|frame| frame.name.as_str());
        let pieces = to.pieces.iter().map(|piece| piece.name.as_str());
        SameNames {
            from,
            to,
            frames: frames.zip(0..).collect(),
            pieces: pieces.zip(0..).collect(),
        }
    }

    /// The part of the same frame, copy and side, or of the same piece and copy, if there is one.
    pub(super) fn part(&self, part: Part) -> Option<Part> {
        if self.from == self.to {
            return Some(part);
        }
        match part {
            Part::Rail {
                frame_idx,
                copy,
                side,
            } => {
                let frame_idx = *self.frames.get(&*self.from.frames[frame_idx].name)?;
                let frame = &self.to.frames[frame_idx];
                (copy <= frame.quantity && side < frame.art.n_sides()).then_some(Part::Rail {
                    frame_idx,
                    copy,
                    side,
                })
            }
            Part::Loose { piece_idx, copy } => {
                let own = &self.from.pieces[piece_idx];
                let piece_idx = *self.pieces.get(&*own.name)?;
                let piece = &self.to.pieces[piece_idx];
                (copy <= piece.quantity && own.purpose == piece.purpose)
                    .then_some(Part::Loose { piece_idx, copy })
            }
        }
    }
}

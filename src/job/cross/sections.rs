//! What a job asks of its boards: the sections that it cuts.

use std::collections::BTreeSet;

use super::Subject;
use crate::frame::Moulding;
use crate::job::{JobSpec, Piece};
use crate::stock::Section;

/// What the rails of a moulding, and the pieces that name it, ask of a board.
pub fn moulding_section(moulding: &Moulding) -> Section<'_> {
    Section {
        material: moulding.material.as_deref(),
        thickness: moulding.thickness,
        may_be_thicker: moulding.thicker_stock,
        width: Some(moulding.face_width),
        profile: moulding.profile_of_strips(),
    }
}

/// What a loose piece asks of a board.
///
/// # Panics
/// If the piece names a moulding that is not there.
pub fn piece_section<'a>(piece: &'a Piece, mouldings: &'a [Moulding]) -> Section<'a> {
    match piece.moulding_idx {
        Some(moulding_idx) => moulding_section(&mouldings[moulding_idx]),
        None => Section {
            material: piece.material.as_deref(),
            thickness: piece.thickness,
            may_be_thicker: false,
            width: piece.width,
            profile: None,
        },
    }
}

/// What the job cuts: each moulding that is used, in the order of the job, then each line of plain pieces.
///
/// # Panics
/// If a `moulding_idx` is out of range.
pub fn wanted_sections(job: &JobSpec) -> Vec<(Subject, Section<'_>)> {
    let by_frames = job.frames.iter().map(|frame| frame.moulding_idx);
    let by_pieces = job.pieces.iter().filter_map(|piece| piece.moulding_idx);
    let used: BTreeSet<usize> = by_frames.chain(by_pieces).collect();
    let mouldings = used.into_iter().map(|idx| {
        (
            Subject::Moulding(idx),
            moulding_section(&job.mouldings[idx]),
        )
    });
    let plain = job
        .pieces
        .iter()
        .enumerate()
        .filter(|(_, piece)| piece.moulding_idx.is_none())
        .map(|(idx, piece)| (Subject::Piece(idx), piece_section(piece, &job.mouldings)));
    mouldings.chain(plain).collect()
}

//! Spare rails and offcuts as loose pieces, derived from what the mouldings ask for.

use std::collections::BTreeSet;

use super::{Ends, JobSpec, Piece, Purpose};
use crate::frame::{ChosenBoards, Outline, Spare};
use crate::length::Length;

impl JobSpec {
    /// Puts the spare rails and offcuts that its mouldings ask for behind the pieces that it wants, in place of any that
    /// are there: they follow from its frames, so whoever changes those derives them again.
    pub fn derive_spares(&mut self) {
        self.pieces.retain(|piece| piece.purpose == Purpose::Wanted);
        let spares = spare_pieces(self);
        self.pieces.extend(spares);
    }
}

/// What the mouldings ask for, in their order; each piece names its moulding.
///
/// Spare rails are as long as the moulding's longest rail, from which any of its rails can be cut again; mitered as the
/// rails of rectangles are, square where that rail is of another polygon.
/// So is the piece that stands for a spare offcut; how much wood that takes depends on where it is left, see
/// [`Shop::offcut_for`](super::Shop::offcut_for) and [`Shop::uncut_for`](super::Shop::uncut_for).
/// A spare has a name that no piece of the job has.
fn spare_pieces(job: &JobSpec) -> Vec<Piece> {
    let mut names: BTreeSet<String> = job.pieces.iter().map(|piece| piece.name.clone()).collect();
    let mut pieces = Vec::new();
    for (moulding_idx, moulding) in job.mouldings.iter().enumerate() {
        let mut n_rails = 0_u64;
        // The longest, and of equally long ones that of a rectangle.
        let mut longest: Option<(Length, bool)> = None;
        let of_moulding = |&idx: &usize| job.frames[idx].moulding_idx == moulding_idx;
        for frame_idx in (0..job.frames.len()).filter(of_moulding) {
            let frame = &job.frames[frame_idx];
            let sizes = job.frame_sizes(frame_idx);
            n_rails += u64::from(frame.quantity) * u64::from(sizes.n_sides());
            let is_rectangle = matches!(frame.art, Outline::Rectangle { .. });
            for side in 0..sizes.n_sides() {
                longest = longest.max(Some((sizes.rail(side).long_point, is_rectangle)));
            }
        }
        let count = match moulding.spare {
            None => 0,
            Some(Spare::Count(count)) => u64::from(count),
            Some(Spare::PerCent(share)) => (n_rails * u64::from(share)).div_ceil(100),
            Some(Spare::Offcut) => 1,
        };
        let (Some((length, is_rectangle)), Ok(quantity @ 1..)) = (longest, u32::try_from(count))
        else {
            continue;
        };
        let is_offcut = moulding.spare == Some(Spare::Offcut);
        let mut name = if is_offcut {
            format!("spare offcut {}", moulding.name)
        } else {
            format!("spare {}", moulding.name)
        };
        while !names.insert(name.clone()) {
            name.push('+');
        }
        let purpose = if is_offcut {
            Purpose::SpareOffcut
        } else {
            Purpose::SpareRail
        };
        let ends = if is_rectangle && !is_offcut {
            Ends::Miter
        } else {
            Ends::Square
        };
        let piece = Piece {
            name,
            length,
            quantity,
            ends,
            moulding_idx: Some(moulding_idx),
            material: None,
            thickness: None,
            width: None,
            boards: ChosenBoards::default(),
            purpose,
        };
        pieces.push(piece);
    }
    pieces
}

//! Loose pieces that follow from the rest of a job: strips of spacers from its frames, spare rails and offcuts from what its
//! mouldings ask for.

use std::collections::BTreeSet;

use super::{Ends, JobSpec, Piece, Purpose, Subject};
use crate::frame::{
    ChosenBoards, Outline, Spacer, SpacerPlace, SpacerStock, Spare, package, spacer_strips,
};
use crate::length::Length;

impl JobSpec {
    /// Puts the strips of spacers, and the spare rails and offcuts that its mouldings ask for, behind the pieces that it
    /// wants, in place of any that are there: they follow from its frames, so whoever changes those derives them again.
    ///
    /// Tells of each what it follows from.
    pub fn derive_pieces(&mut self) -> Vec<Subject> {
        self.pieces.retain(|piece| piece.purpose == Purpose::Wanted);
        let mut names: BTreeSet<String> = self.pieces.iter().map(|it| it.name.clone()).collect();
        let spacers = spacer_pieces(self, &mut names);
        let spares = spare_pieces(self, &mut names);
        let (origins, pieces): (Vec<Subject>, Vec<Piece>) =
            spacers.into_iter().chain(spares).unzip();
        self.pieces.extend(pieces);
        origins
    }
}

/// A name that nothing has yet.
fn unique(mut name: String, names: &mut BTreeSet<String>) -> String {
    while !names.insert(name.clone()) {
        name.push('+');
    }
    name
}

/// The strips of all spacers that are cut from boards, frame by frame.
fn spacer_pieces(job: &JobSpec, names: &mut BTreeSet<String>) -> Vec<(Subject, Piece)> {
    let mut pieces = Vec::new();
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let Some(Spacer {
            width,
            depth,
            is_butted,
            stock: SpacerStock::Boards { material, on_edge },
            ..
        }) = &frame.spacer
        else {
            continue;
        };
        let package = package(frame, &job.mouldings, job.shop.fit_allowance);
        for strips in spacer_strips(frame, &package) {
            let place = match strips.place {
                SpacerPlace::Around => "",
                SpacerPlace::Across => " across",
                SpacerPlace::Upright => " upright",
            };
            let (thickness, ripped) = if *on_edge {
                (width, depth)
            } else {
                (depth, width)
            };
            let piece = Piece {
                name: unique(format!("{} spacer{place}", frame.name), names),
                length: strips.length,
                quantity: frame.quantity.saturating_mul(strips.count),
                ends: match (is_butted, frame.art.n_sides()) {
                    (true, _) => Ends::Square,
                    (false, 4) => Ends::Miter,
                    (false, sides) => Ends::Corner { sides },
                },
                moulding_idx: None,
                material: material.clone(),
                thickness: Some(*thickness),
                width: Some(*ripped),
                boards: ChosenBoards::ANY,
                on_edge: *on_edge,
                purpose: Purpose::Spacer,
            };
            pieces.push((Subject::Frame(frame_idx), piece));
        }
    }
    pieces
}

/// What the mouldings ask for, in their order; each piece names its moulding.
///
/// Spare rails are as long as the moulding's longest rail, from which any of its rails can be cut again; mitered as the
/// rails of rectangles are, square where that rail is of another polygon.
/// So is the piece that stands for a spare offcut; how much wood that takes depends on where it is left, see
/// [`Shop::offcut_for`](super::Shop::offcut_for) and [`Shop::uncut_for`](super::Shop::uncut_for).
/// A spare has a name that no piece of the job has.
fn spare_pieces(job: &JobSpec, names: &mut BTreeSet<String>) -> Vec<(Subject, Piece)> {
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
        let name = if is_offcut {
            format!("spare offcut {}", moulding.name)
        } else {
            format!("spare {}", moulding.name)
        };
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
            name: unique(name, names),
            length,
            quantity,
            ends,
            moulding_idx: Some(moulding_idx),
            material: None,
            thickness: None,
            width: None,
            boards: ChosenBoards::default(),
            on_edge: false,
            purpose,
        };
        pieces.push((Subject::Moulding(moulding_idx), piece));
    }
    pieces
}

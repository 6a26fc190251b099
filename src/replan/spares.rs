//! Which spoiled rails are cut from spare ones.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use super::{Bench, Marks};
use crate::frame::Miter;
use crate::job::{Ends, Job, Purpose};
use crate::length::Length;
use crate::plan::Part;

/// Each rail of a frame among `marks` that was spoiled, and for which there is a spare that is long enough, with that
/// spare; the longest rails first.
///
/// A spare that was spoiled itself, has no wood, or stands for another rail already, is none. A square one will do for
/// every miter; a rail that must come from certain boards takes none from others.
/// Where the spare of a rail is spoiled, that rail is wanted again as well.
pub(super) fn from_spares(bench: &Bench, marks: &Marks) -> Vec<(Part, Part)> {
    let job = bench.job();
    let spoiled_now: Vec<Part> = marks.spoiled.iter().map(|&at| bench.part(at)).collect();
    let (broken, taken): (Vec<_>, Vec<_>) = bench
        .replaced()
        .into_iter()
        .partition(|(_, spare)| spoiled_now.contains(spare));
    let is_gone: BTreeSet<Part> = taken.iter().map(|&(_, spare)| spare).collect();
    let mut spares: Vec<(usize, Part, usize)> = bench
        .spares_there(marks)
        .into_iter()
        .filter(|(part, _)| !is_gone.contains(part))
        .filter_map(|(part, line)| match part {
            Part::Loose { piece_idx, .. } => Some((piece_idx, part, line)),
            Part::Rail { .. } => None,
        })
        .collect();
    spares.sort_unstable();
    let again = broken.into_iter().map(|(rail, _)| rail);
    let mut wanted: Vec<(Length, Part, usize)> = again
        .chain(spoiled_now)
        .filter_map(|part| match part {
            Part::Loose { .. } => None,
            Part::Rail {
                frame_idx, side, ..
            } => {
                let length = job.frame_sizes(frame_idx).rail(side).long_point;
                Some((length, part, job.frames[frame_idx].moulding_idx))
            }
        })
        .collect();
    wanted.sort_by_key(|&(length, part, _)| (Reverse(length), part));
    let mut pairs = Vec::new();
    for (length, part, moulding_idx) in wanted {
        let found = spares.iter().position(|&(piece_idx, _, line)| {
            let spare = &job.pieces[piece_idx];
            let has_angle = spare.ends == Ends::Square || part.miter(job) == Miter::RECTANGLE;
            let is_like_it = spare.moulding_idx == Some(moulding_idx) && has_angle;
            is_like_it && spare.length >= length && part.boards(job).allow(line)
        });
        if let Some(at) = found {
            pairs.push((part, spares.remove(at).1));
        }
    }
    pairs
}

/// Whether a part is a spare rail.
fn is_spare(job: &Job, part: Part) -> bool {
    match part {
        Part::Loose { piece_idx, .. } => job.pieces[piece_idx].purpose == Purpose::SpareRail,
        Part::Rail { .. } => false,
    }
}

impl Bench {
    /// The rails that are cut from spares, and from which, as things stand.
    ///
    /// # Panics
    /// Never, for a bench that [`Bench::push`] made.
    pub fn replaced(&self) -> Vec<(Part, Part)> {
        let mut pairs: Vec<(Part, Part)> = Vec::new();
        for round in &self.rounds {
            // A spare that was spoiled later stands for nothing any more.
            let spoiled: Vec<Part> = round
                .marks
                .spoiled
                .iter()
                .map(|&at| self.part(at))
                .collect();
            pairs.retain(|(_, spare)| !spoiled.contains(spare));
            pairs.extend(&round.from_spares);
        }
        pairs
    }

    /// The spare rails that are cut well, or are to be, once `marks` are made, each with the line of boards it comes from.
    fn spares_there(&self, marks: &Marks) -> BTreeSet<(Part, usize)> {
        let open = self.open();
        let still_open = open.iter().filter(|place| !marks.is_made(**place));
        let made = self.made();
        still_open
            .chain(&made.done)
            .chain(&marks.done)
            .map(|&place| {
                let stick = self.stick(place.sheet, place.board);
                (self.part(place), stick.board_idx)
            })
            .filter(|&(part, _)| is_spare(self.job(), part))
            .collect()
    }
}

//! What the next sheet must cut, as frames and pieces that come from its boards.

use std::collections::{BTreeMap, BTreeSet};

use super::bench::{FrameCopy, Source};
use super::hand::Hand;
use super::names::{PartNames, unique_name};
use super::parts::{all_parts, is_of_one_wood};
use super::serve::may_come_from;
use super::{Round, Stick, Wishes};
use crate::frame::{ChosenBoards, Frame, Grain, Miter};
use crate::job::{Ends, Grains, Job, Piece, Purpose};
use crate::plan::Part;
use crate::stock::Board;

/// The parts that the next sheet must cut, in their order.
pub(super) fn wanted(job: &Job, round: &Round) -> Vec<Part> {
    let served: BTreeSet<&Part> = round.serves.values().chain(round.spent.values()).collect();
    all_parts(job)
        .filter(|part| !served.contains(part))
        .collect()
}

/// The copies of frames that are planned as frames, and all other parts.
pub(super) fn split(job: &Job, wanted: Vec<Part>, wishes: Wishes) -> (Vec<FrameCopy>, Vec<Part>) {
    let mut rails: BTreeMap<FrameCopy, u32> = BTreeMap::new();
    for &part in &wanted {
        if let Part::Rail {
            frame_idx, copy, ..
        } = part
        {
            *rails.entry((frame_idx, copy)).or_default() += 1;
        }
    }
    let grains = Grains::new(job);
    rails.retain(|&(frame_idx, _), count| {
        let is_whole = *count == job.frames[frame_idx].art.n_sides();
        wishes.frames && is_whole && has_wish(job, &grains, frame_idx)
    });
    let is_single = |part: &Part| match part {
        Part::Rail {
            frame_idx, copy, ..
        } => !rails.contains_key(&(*frame_idx, *copy)),
        Part::Loose { .. } => true,
    };
    let single = wanted.into_iter().filter(is_single).collect();
    (rails.into_keys().collect(), single)
}

/// Whether a frame has a wish for grain or color.
fn has_wish(job: &Job, grains: &Grains<'_>, frame_idx: usize) -> bool {
    grains.granted(frame_idx) != Grain::Free || job.matches_color(frame_idx)
}

/// Frames under names of their own.
pub(super) fn unlike(frames: Vec<Frame>) -> Vec<Frame> {
    let mut taken = BTreeSet::new();
    let frames = frames.into_iter();
    frames
        .map(|frame| Frame {
            name: unique_name(&mut taken, frame.name.clone()),
            ..frame
        })
        .collect()
}

/// The boards of the next sheet, and what they are.
pub(super) struct Wood<'d> {
    pub(super) hand: &'d Hand<'d>,
    pub(super) round: &'d Round,
    pub(super) boards: &'d [Board],
    pub(super) sources: &'d [Source],
}

impl Wood<'_> {
    /// The line from which a board comes.
    fn line(&self, at: usize) -> &str {
        match self.sources[at] {
            Source::Line => &self.boards[at].name,
            Source::Whole(stick) | Source::Strip { stick, .. } => {
                &self.hand.bench.board_of(stick).0.name
            }
        }
    }

    /// The stick that a board is, or is of; `None` of one that no sheet takes.
    fn stick(&self, at: usize) -> Option<Stick> {
        match self.sources[at] {
            Source::Line => None,
            Source::Whole(stick) | Source::Strip { stick, .. } => Some(stick),
        }
    }

    /// The stick that a board is of at last, where that is a piece of another.
    fn root(&self, at: usize) -> Option<Stick> {
        self.stick(at).map(|stick| self.hand.bench.root(stick))
    }

    /// Whether a part may come from a board: a choice of boards stands, and a rail in hand serves only its own moulding and
    /// miter.
    fn may_come(&self, part: Part, at: usize) -> bool {
        let job = self.hand.job;
        let is_like_it = || match self.root(at) {
            Some(Stick::Rail(place)) => {
                let (of_job, own) = self.hand.bench.planned_part(place);
                let miter = own.miter(of_job);
                (miter == Miter::Square || miter == part.miter(job))
                    && is_of_one_wood((of_job, own), (job, part))
            }
            _ => true,
        };
        may_come_from(job, part, self.line(at)) && is_like_it()
    }

    /// The boards from which parts that have a choice in common may come.
    fn choice(&self, part: Part, may_come: impl Fn(usize) -> bool) -> ChosenBoards {
        let allowed = (0..self.boards.len()).filter(|&at| may_come(at));
        let allowed: Vec<usize> = allowed.collect();
        let is_free = part.boards(self.hand.job).chosen().is_none();
        if is_free && allowed.len() == self.boards.len() {
            ChosenBoards::ANY
        } else {
            ChosenBoards::only(allowed)
        }
    }

    /// A copy of a frame as a frame of its own.
    pub(super) fn frame(&self, (frame_idx, copy): FrameCopy) -> Frame {
        let job = self.hand.job;
        let frame = &job.frames[frame_idx];
        let rail = |side| Part::Rail {
            frame_idx,
            copy,
            side,
        };
        let sides = 0..frame.art.n_sides();
        let may_come = |at| sides.clone().all(|side| self.may_come(rail(side), at));
        Frame {
            name: if frame.quantity > 1 {
                format!("{} #{copy}", frame.name)
            } else {
                frame.name.clone()
            },
            quantity: 1,
            boards: self.choice(rail(0), may_come),
            ..frame.clone()
        }
    }

    /// The pieces that single parts are.
    pub(super) fn pieces(&self, parts: &[Part]) -> Vec<Piece> {
        let job = self.hand.job;
        let names = PartNames::new(job, all_parts(job));
        let grains = Grains::new(job);
        let near = |part: Part| match part {
            Part::Rail {
                frame_idx, copy, ..
            } if self.round.wishes.near && has_wish(job, &grains, frame_idx) => {
                self.boards_of((frame_idx, copy))
            }
            _ => BTreeSet::new(),
        };
        let piece_of = |&part: &Part| {
            let near = near(part);
            let is_near =
                |at| near.is_empty() || self.root(at).is_some_and(|root| near.contains(&root));
            Piece {
                boards: self.choice(part, |at| self.may_come(part, at) && is_near(at)),
                ..piece(job, part, names.name(part))
            }
        };
        parts.iter().map(piece_of).collect()
    }

    /// The boards from which rails of a frame are cut that are made or stay.
    fn boards_of(&self, frame: FrameCopy) -> BTreeSet<Stick> {
        let serves = self.round.serves.iter();
        let of_frame = serves.filter(|(_, part)| match part {
            Part::Rail {
                frame_idx, copy, ..
            } => (*frame_idx, *copy) == frame,
            Part::Loose { .. } => false,
        });
        of_frame
            .map(|(&place, _)| self.hand.bench.root(self.hand.bench.stick_at(place)))
            .collect()
    }
}

/// A part as a piece of a name of its own.
fn piece(job: &Job, part: Part, name: String) -> Piece {
    match part {
        Part::Rail {
            frame_idx, side, ..
        } => {
            let sizes = job.frame_sizes(frame_idx);
            Piece {
                name,
                length: sizes.rail(side).long_point,
                quantity: 1,
                ends: match sizes.n_sides() {
                    4 => Ends::Miter,
                    sides => Ends::Corner { sides },
                },
                moulding_idx: Some(job.frames[frame_idx].moulding_idx),
                material: None,
                thickness: None,
                width: None,
                boards: ChosenBoards::ANY,
                purpose: Purpose::Wanted,
            }
        }
        Part::Loose { piece_idx, .. } => Piece {
            name,
            quantity: 1,
            ..job.pieces[piece_idx].clone()
        },
    }
}

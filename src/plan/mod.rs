//! A plan: every cut at its place on a named board, what is missing, and what is proved of it.
//!
//! A [`Plan`] knows the job it is a plan of.
//! `names` says what a part is called, `marks` what a board and a cut are, `leftover` what a plan leaves of its boards, `offcuts`
//! what that is numbered by, `aside` what was found beside it,
//! [`certificate`] what proves its bound.

mod aside;
pub mod certificate;
mod color;
mod leftover;
mod marks;
mod names;
mod offcuts;
pub mod sheets;
mod short;

pub use aside::{Aside, Gathered};
pub use color::boards_by_frame;
pub use leftover::{
    Gap, Leftover, LeftoverKind, PieceKind, defects_on, gaps, is_edge_kept, is_end_kept, is_kept,
    leftovers, piece_left, uncut,
};
pub use marks::{ChalkMark, ChalkMarks, CutLabel, StripMark};
pub use names::{part_label, part_side, piece_name};
pub use offcuts::{
    GivenNumber, GivenNumbers, highest_number, length_kept, numbered_leftovers, offcut_name,
};
pub use short::{SHORT_WORK, TINY_WORK, is_short};

use std::borrow::Cow;

use crate::frame::{ChosenBoards, Miter};
use crate::job::{Display, Job};
use crate::length::{self, Length, Rounding};
use crate::money::Money;
use crate::stock::{Board, Run};

/// A rail or a loose piece: one physical part, by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// A rail of a frame.
    Rail {
        /// Index into `Job::frames`.
        frame_idx: usize,
        /// Which of the alike frames, from 1.
        copy: u32,
        /// Which side, from 0: top, right, bottom, left of a rectangle; running round a polygon.
        side: u32,
    },
    /// A loose piece.
    Loose {
        /// Index into `Job::pieces`.
        piece_idx: usize,
        /// Which of the alike pieces, from 1.
        copy: u32,
    },
}

impl Part {
    /// How both ends are cut.
    ///
    /// # Panics
    /// If it is not a part of `job`.
    pub fn miter(self, job: &Job) -> Miter {
        match self {
            Part::Rail { frame_idx, .. } => job.frames[frame_idx].art.miter(),
            Part::Loose { piece_idx, .. } => job.pieces[piece_idx].ends.miter(),
        }
    }

    /// Length of its longest edge, from long point to long point where it is mitered.
    ///
    /// # Panics
    /// If it is not a part of `job`.
    pub fn length(self, job: &Job) -> Length {
        match self {
            Part::Rail {
                frame_idx, side, ..
            } => job.frame_sizes(frame_idx).rail(side).long_point,
            Part::Loose { piece_idx, .. } => job.pieces[piece_idx].length,
        }
    }

    /// Length of its shortest edge, from short point to short point; `None` of a square part, and where its width is not
    /// known.
    ///
    /// That of a loose piece is its length less the run of both miters across the moulding's face, or its width,
    /// or its thickness where it stands on edge.
    ///
    /// # Panics
    /// If it is not a part of `job`.
    pub fn short_point(self, job: &Job) -> Option<Length> {
        match self {
            Part::Rail {
                frame_idx, side, ..
            } => Some(job.frame_sizes(frame_idx).rail(side).short_point),
            Part::Loose { piece_idx, .. } => {
                let piece = &job.pieces[piece_idx];
                match piece.ends.miter() {
                    Miter::Square => None,
                    miter @ Miter::Corner { .. } => {
                        // One that is shorter than its miters ends in a point.
                        let short = piece.length - miter.run_along(self.across_miter(job)?) * 2;
                        (short > Length::ZERO).then_some(short)
                    }
                }
            }
        }
    }

    /// What its miters run across: its width, or its thickness where it stands on edge.
    ///
    /// # Panics
    /// If it is not a part of `job`.
    pub fn across_miter(self, job: &Job) -> Option<Length> {
        match self {
            Part::Loose { piece_idx, .. } if job.pieces[piece_idx].on_edge => {
                job.pieces[piece_idx].thickness
            }
            Part::Loose { .. } | Part::Rail { .. } => self.width(job),
        }
    }

    /// Whether it is sawn standing on edge, so that its miters run across its thickness.
    ///
    /// # Panics
    /// If it is not a part of `job`.
    pub fn is_on_edge(self, job: &Job) -> bool {
        match self {
            Part::Rail { .. } => false,
            Part::Loose { piece_idx, .. } => job.pieces[piece_idx].on_edge,
        }
    }

    /// Its width across: the face of its moulding, or that of a piece of plain wood, where it is known.
    ///
    /// # Panics
    /// If it is not a part of `job`.
    pub fn width(self, job: &Job) -> Option<Length> {
        match self {
            Part::Rail { frame_idx, .. } => {
                Some(job.mouldings[job.frames[frame_idx].moulding_idx].face_width)
            }
            Part::Loose { piece_idx, .. } => {
                let piece = &job.pieces[piece_idx];
                let face = piece.moulding_idx.map(|idx| job.mouldings[idx].face_width);
                face.or(piece.width)
            }
        }
    }

    /// The boards that it must come from.
    ///
    /// # Panics
    /// If it is not a part of `job`.
    pub fn boards(self, job: &Job) -> &ChosenBoards {
        match self {
            Part::Rail { frame_idx, .. } => &job.frames[frame_idx].boards,
            Part::Loose { piece_idx, .. } => &job.pieces[piece_idx].boards,
        }
    }

    /// Whether it is not cut but left, as a spare offcut.
    ///
    /// # Panics
    /// If it is not a part of `job`.
    pub fn is_left(self, job: &Job) -> bool {
        match self {
            Part::Rail { .. } => false,
            Part::Loose { piece_idx, .. } => job.pieces[piece_idx].is_left(),
        }
    }

    /// What the saw takes along the strip at each end; nothing of what is not cut.
    ///
    /// # Panics
    /// If it is not a part of `job`.
    pub fn kerf_along(self, job: &Job) -> Length {
        match self {
            Part::Rail { .. } => self.miter(job).kerf_along(job.shop.kerf),
            Part::Loose { piece_idx, .. } => job.pieces[piece_idx].kerf_along(job.shop.kerf),
        }
    }
}

/// One part at its place on a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cut {
    /// What is cut.
    pub part: Part,
    /// Where its outer edge begins, measured along the outer edge from the (untrimmed) near end of its strip.
    pub from: Length,
    /// Where its outer edge ends.
    pub to: Length,
    /// Whether it lies turned end for end, its outer edge along the strip's other edge; neighbors that lie opposite
    /// ways share one slanting cut, so that the outer edge of one begins before that of the other ends.
    pub turned: bool,
}

/// One board of the plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlannedBoard {
    /// Index into `Job::boards`.
    pub board_idx: usize,
    /// Which of the boards of this kind, from 1.
    pub number: u32,
    /// Boards cut alike stand side by side and share this number, from 1.
    pub pattern: u32,
    /// How thick the slices are that it is resawn into, once they are planed; `None` where it is not resawn.
    pub resawn: Option<Length>,
    /// What the yard cuts it into, from the near end, or of each of that the slices it is resawn into, one after the other;
    /// one, which is all of it, where neither is done.
    pub stretches: Vec<Stretch>,
    /// Its strips, never empty: stretch by stretch, of each from the straightened left edge on; a stretch that is not ripped
    /// is one strip, and one from which nothing is cut has none.
    ///
    /// They lie side by side, but where a board has defects that leave part of its width clear there may be waste between.
    pub strips: Vec<PlannedStrip>,
    /// Pieces of it that are boards of the plan themselves, as a later sheet takes them; none of a plan that is one sheet.
    pub used_again: Vec<PieceKind>,
}

/// What the yard cuts a board into, or a slice of that: a stick of its own, with two raw ends.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// Where it begins, from the near end of the board as it is sold.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// The pieces left beside its strips and their rip kerfs, each as long as the stretch, from its straightened edge on.
    pub beside: Vec<Beside>,
}

/// A piece left beside the strips of a stretch: behind the last of them, and where defects give them places of their own also
/// before the first and between two.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Beside {
    /// Where it begins, measured across the board from the straightened edge.
    pub from_edge: Length,
    /// Its width; more than zero.
    pub width: Length,
}

/// One strip of a board, as long as its stretch of the board.
///
/// Places along it are measured from the near end of the stretch, which is that of the board where it is not cut at the
/// yard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlannedStrip {
    /// Position of its stretch among the board's.
    pub stretch: usize,
    /// The moulding it is milled to; `None` for plain wood.
    pub moulding_idx: Option<usize>,
    /// Its width as ripped; of a board that is not ripped, the board's own, if that is known.
    pub width: Option<Length>,
    /// Where it begins, measured across the board from the straightened edge.
    pub from_edge: Length,
    /// The cuts, in order from the near end; between two defects long ones first as far as the kerfs allow, but none that
    /// is too short to hold behind all that are not, see [`is_short`]. Empty only where all of the strip is left for
    /// a spare offcut.
    pub cuts: Vec<Cut>,
    /// What is left along the outer edge between the last cut's kerf and the far trim, defects and all; zero if nothing.
    /// Of a strip without cuts, all between the trims.
    pub offcut: Length,
}

impl PlannedBoard {
    /// The wood that a stretch of it is, as a board of its own: the board itself where it is neither cut at the yard nor resawn.
    ///
    /// # Panics
    /// If it is not of a plan of `job`, or there is no such stretch.
    pub fn wood<'j>(&self, job: &'j Job, stretch: usize) -> Cow<'j, Board> {
        let board = &job.boards[self.board_idx];
        let Stretch { from, to, .. } = self.stretches[stretch];
        if let Some(thickness) = self.resawn {
            Cow::Owned(board.slice((from, to), thickness))
        } else if (from, to) == (Length::ZERO, board.length) {
            Cow::Borrowed(board)
        } else {
            Cow::Owned(board.stretch((from, to)))
        }
    }

    /// The wood that a strip of it lies on, see [`PlannedBoard::wood`].
    ///
    /// # Panics
    /// As that, or if there is no such strip.
    pub fn wood_of_strip<'j>(&self, job: &'j Job, strip_idx: usize) -> Cow<'j, Board> {
        self.wood(job, self.strips[strip_idx].stretch)
    }

    /// The pieces of it that no strip takes, stretch by stretch: what is left beside the strips, and each stretch that has none.
    pub fn pieces_left(&self) -> Vec<PieceKind> {
        let mut pieces = Vec::new();
        for (stretch, on) in self.stretches.iter().enumerate() {
            let beside = 0..on.beside.len();
            pieces.extend(beside.map(|nth| PieceKind::Edge { stretch, nth }));
            if self.is_parted() && self.strips_of(stretch).next().is_none() {
                pieces.push(PieceKind::Stretch(stretch));
            }
        }
        pieces
    }

    /// Whether its strips have marks of their own, as it is more than one stick.
    pub fn has_strip_marks(&self) -> bool {
        self.strips.len() > 1 || self.is_parted()
    }

    /// Whether it is cut at the yard or resawn, so that each stretch of it is a stick of its own.
    pub fn is_parted(&self) -> bool {
        self.stretches.len() > 1
    }

    /// Whether the yard cuts it.
    pub fn is_cut_at_yard(&self) -> bool {
        self.yard_cuts().next().is_some()
    }

    /// What the yard cuts it into, from its near end, each from and to: of slices that lie over each other one.
    pub fn runs(&self) -> Vec<Run> {
        let stretches = self.stretches.iter();
        let mut runs: Vec<Run> = stretches.map(|on| (on.from, on.to)).collect();
        runs.dedup();
        runs
    }

    /// Where the yard cuts it, from its near end.
    pub fn yard_cuts(&self) -> impl Iterator<Item = Length> {
        let runs = self.runs();
        let n_cuts = runs.len().saturating_sub(1);
        runs.into_iter().take(n_cuts).map(|(_, to)| to)
    }

    /// How many slices it is resawn into; 1 where it is not.
    pub fn n_slices(&self) -> usize {
        self.stretches.len() / self.runs().len().max(1)
    }

    /// The strips of a stretch.
    pub fn strips_of(&self, stretch: usize) -> impl Iterator<Item = &PlannedStrip> {
        let strips = self.strips.iter();
        strips.filter(move |strip| strip.stretch == stretch)
    }

    /// All cuts of the board, strip by strip.
    pub fn cuts(&self) -> impl DoubleEndedIterator<Item = &Cut> {
        self.strips.iter().flat_map(|strip| &strip.cuts)
    }
}

/// What the plan's value is measured in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Minor units of money.
    Price,
    /// Nanometers of board, where no board has a price.
    BoardLength,
}

impl Measure {
    /// What plans of a job are measured in: money if any board has a price, else board length.
    pub fn of(job: &Job) -> Measure {
        if job.boards.iter().any(Board::counts_in_money) {
            Measure::Price
        } else {
            Measure::BoardLength
        }
    }

    /// A value in the job's currency, or to the nearest step as a length of board.
    pub fn text(self, display: &Display, value: i64) -> String {
        match self {
            Measure::Price => display.currency.format(Money::from_minor(value)),
            Measure::BoardLength => {
                let length = Length::from_nm(value);
                format!(
                    "{} of board",
                    length::format(length, display.unit, display.step, Rounding::Nearest)
                )
            }
        }
    }
}

/// Why the search for a better plan ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Proved: no plan leaves fewer parts missing, nor costs less with as few missing.
    Optimal,
    /// The search reached its own limit on work.
    WorkLimit,
    /// The user's time limit or interrupt ended it.
    Stopped,
}

/// A stretch of a strip that no cut touches, because the job asks for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SpareOffcut {
    /// The loose piece that asks for it.
    pub part: Part,
    /// Position of its board in `Plan::boards`.
    pub board: usize,
    /// Position among the board's strips.
    pub strip: usize,
    /// Where the stretch that is asked for begins, from the untrimmed near end of the strip; the offcut may be longer.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
}

/// A piece on the rack that stays as it lies, because the job asks for something to cut a rail from again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct KeptPiece {
    /// The loose piece that asks for it.
    pub part: Part,
    /// Index into `Job::boards`.
    pub board_idx: usize,
}

/// A whole plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    /// What it is a plan of.
    pub job: Job,
    /// The boards to take, in the order in which one would cut.
    pub boards: Vec<PlannedBoard>,
    /// What is left on purpose, so that a rail can be cut from it again, in the order of the boards.
    pub spare_offcuts: Vec<SpareOffcut>,
    /// What stays on the rack to the same end, in the order of the job; each is a piece of its own.
    pub kept_pieces: Vec<KeptPiece>,
    /// Names of what is left of its boards that sheets before have given.
    pub given_numbers: GivenNumbers,
    /// Parts for which there was no wood.
    pub missing: Vec<Part>,
    /// What `value` and `lower_bound` are measured in.
    pub measure: Measure,
    /// Price or length of all boards used.
    pub value: i64,
    /// Proved: no plan with as few parts missing has a smaller value.
    pub lower_bound: i64,
    /// Proved: no plan leaves fewer parts missing.
    pub missing_lower_bound: u64,
    /// What was proved, or why not.
    pub verdict: Verdict,
}

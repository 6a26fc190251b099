//! Jobs that follow from a job: the only way to change one.
//!
//! Whether every part still fits some board is not asked again: a variant may leave parts without wood, and a plan then
//! says so.

use std::collections::BTreeSet;

use crate::frame::{ChosenBoards, Grain, Milled, Spare};
use crate::length::Length;
use crate::money::Money;
use crate::stock::{Board, Price};

use super::{Grains, Job, JobSpec, Piece};

/// One line of what a job asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Line {
    /// Index into the frames.
    Frame(usize),
    /// Index into the pieces.
    Piece(usize),
}

impl Job {
    /// The job as `change` makes it.
    fn varied(&self, change: impl FnOnce(&mut JobSpec)) -> Job {
        let mut spec = self.spec();
        change(&mut spec);
        Job::derived(spec)
    }

    /// The job as `change` makes it, with the spares that its mouldings then ask for.
    fn resized(&self, change: impl FnOnce(&mut JobSpec)) -> Job {
        self.varied(|spec| {
            change(spec);
            spec.derive_spares();
        })
    }

    /// The job in which no frame asks for anything of the grain; `None` if none does so now.
    pub fn without_grain(&self) -> Option<Job> {
        let grains = Grains::new(self);
        let mut frames = 0..self.frames.len();
        let any = frames.any(|frame_idx| grains.granted(frame_idx) != Grain::Free);
        any.then(|| {
            self.varied(|spec| {
                for frame in &mut spec.frames {
                    frame.grain = Some(Grain::Free);
                }
            })
        })
    }

    /// The job in which every frame asks for the grain that it is granted now, whatever boards there are.
    #[must_use]
    pub fn with_granted_grain(&self) -> Job {
        let grains = Grains::new(self);
        self.varied(|spec| {
            for (frame_idx, frame) in spec.frames.iter_mut().enumerate() {
                frame.grain = Some(grains.granted(frame_idx));
            }
        })
    }

    /// The job in which these frames come in pairs, as far as they may.
    #[must_use]
    pub fn with_pairs(&self, frames: &BTreeSet<usize>) -> Job {
        self.varied(|spec| {
            for &frame_idx in frames {
                spec.frames[frame_idx].in_pairs = true;
            }
        })
    }

    /// The job that leaves no offcut on purpose; `None` if none does so now.
    pub fn without_spare_offcuts(&self) -> Option<Job> {
        let all = (0..self.mouldings.len()).collect();
        let any = self.pieces.iter().any(Piece::is_left);
        any.then(|| self.without_spare_offcuts_of(&all).0)
    }

    /// The job that leaves no offcut of some mouldings on purpose, with the indices of its pieces in this one.
    pub fn without_spare_offcuts_of(&self, mouldings: &BTreeSet<usize>) -> (Job, Vec<usize>) {
        let is_dropped = |piece: &Piece| {
            piece.is_left()
                && piece
                    .moulding_idx
                    .is_some_and(|idx| mouldings.contains(&idx))
        };
        let kept: Vec<usize> = (0..self.pieces.len())
            .filter(|&idx| !is_dropped(&self.pieces[idx]))
            .collect();
        let job = self.varied(|spec| {
            spec.pieces.retain(|piece| !is_dropped(piece));
            for &moulding_idx in mouldings {
                let spare = &mut spec.mouldings[moulding_idx].spare;
                spare.take_if(|spare| *spare == Spare::Offcut);
            }
        });
        (job, kept)
    }

    /// The job that does not ask for wood in hand to be used first; `None` if it does not now.
    ///
    /// # Panics
    /// If what wood in hand cost cannot be worked out; `load` refuses such boards.
    pub fn without_rack_first(&self) -> Option<Job> {
        self.shop.in_hand.first.then(|| {
            self.varied(|spec| {
                spec.shop.in_hand.first = false;
                let rules = spec.shop.in_hand;
                for board in &mut spec.boards {
                    if let Some(in_hand) = &board.in_hand {
                        let price = in_hand.price(board, &rules);
                        board.price = price.expect("load works out every price and value");
                    }
                }
            })
        })
    }

    /// The job with other boards; a choice of boards stands for those of the same name, and for none where there is no
    /// such board.
    #[must_use]
    pub fn with_boards(&self, boards: Vec<Board>) -> Job {
        let is_same = |new: usize, old: usize| boards[new].name == self.boards[old].name;
        let among = |chosen: &ChosenBoards| chosen.among(boards.len(), is_same);
        let frames = self.frames.iter().map(|frame| among(&frame.boards));
        let pieces = self.pieces.iter().map(|piece| among(&piece.boards));
        let (frames, pieces): (Vec<_>, Vec<_>) = (frames.collect(), pieces.collect());
        self.varied(|spec| {
            for (frame, chosen) in spec.frames.iter_mut().zip(frames) {
                frame.boards = chosen;
            }
            for (piece, chosen) in spec.pieces.iter_mut().zip(pieces) {
                piece.boards = chosen;
            }
            spec.boards = boards;
        })
    }

    /// The job with no boards but those of which `keep` is true; the others stay in the list, none of them there, so
    /// that indices mean the same.
    #[must_use]
    pub fn with_some_boards(&self, keep: impl Fn(usize, &Board) -> bool) -> Job {
        self.varied(|spec| {
            for (idx, board) in spec.boards.iter_mut().enumerate() {
                if !keep(idx, board) {
                    board.quantity = Some(0);
                }
            }
        })
    }

    /// The job with as many as needed of the boards of which `lift` is true.
    #[must_use]
    pub fn with_enough_of(&self, lift: impl Fn(usize, &Board) -> bool) -> Job {
        self.varied(|spec| {
            for (idx, board) in spec.boards.iter_mut().enumerate() {
                if lift(idx, board) {
                    board.quantity = None;
                }
            }
        })
    }

    /// The job with another price for a line of boards.
    ///
    /// # Panics
    /// If there is no such line.
    #[must_use]
    pub fn with_price(&self, board_idx: usize, price: Price) -> Job {
        self.varied(|spec| spec.boards[board_idx].price = Some(price))
    }

    /// The job with a price for each board of every line.
    #[must_use]
    pub fn with_prices(&self, price: impl Fn(usize, &Board) -> Money) -> Job {
        self.varied(|spec| {
            for (idx, board) in spec.boards.iter_mut().enumerate() {
                board.price = Some(Price::Each(price(idx, board)));
            }
        })
    }

    /// The job with another kerf of the miter saw.
    #[must_use]
    pub fn with_kerf(&self, kerf: Length) -> Job {
        self.varied(|spec| spec.shop.kerf = kerf)
    }

    /// The job with another end trim.
    #[must_use]
    pub fn with_end_trim(&self, end_trim: Length) -> Job {
        self.resized(|spec| spec.shop.end_trim = end_trim)
    }

    /// The job with mouldings narrower by `less`, but those that would be no wider than their lip.
    #[must_use]
    pub fn with_narrower_faces(&self, less: Length) -> Job {
        self.resized(|spec| {
            for moulding in &mut spec.mouldings {
                if moulding.face_width - less > moulding.lip {
                    moulding.face_width -= less;
                }
            }
        })
    }

    /// The job with mouldings that are milled after the rails are cut, so that rails may be turned.
    #[must_use]
    pub fn with_turned_rails(&self) -> Job {
        self.varied(|spec| {
            for moulding in &mut spec.mouldings {
                moulding.milled = Milled::AfterCutting;
            }
        })
    }

    /// The job with one more of a line; spares follow.
    ///
    /// # Panics
    /// If there is no such line.
    #[must_use]
    pub fn with_one_more(&self, line: Line) -> Job {
        self.resized(|spec| *quantity(spec, line) += 1)
    }

    /// The job with one fewer of a line; a line of none is left out, and spares follow.
    ///
    /// # Panics
    /// If there is no such line.
    #[must_use]
    pub fn with_one_fewer(&self, line: Line) -> Job {
        self.resized(|spec| {
            *quantity(spec, line) -= 1;
            spec.frames.retain(|frame| frame.quantity > 0);
            spec.pieces.retain(|piece| piece.quantity > 0);
        })
    }

    /// What is left of the job when no frame is cut as a whole any more: single parts from the boards there still are.
    #[must_use]
    pub fn rest(&self, pieces: Vec<Piece>, boards: Vec<Board>) -> Job {
        self.varied(|spec| {
            spec.frames = Vec::new();
            spec.pieces = pieces;
            spec.boards = boards;
        })
    }
}

fn quantity(spec: &mut JobSpec, line: Line) -> &mut u32 {
    match line {
        Line::Frame(idx) => &mut spec.frames[idx].quantity,
        Line::Piece(idx) => &mut spec.pieces[idx].quantity,
    }
}

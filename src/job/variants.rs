//! Jobs that follow from a job: the only way to change one.
//!
//! Whether every part still fits some board is not asked again: a variant may leave parts without wood, and a plan then
//! says so.

use std::collections::BTreeSet;

use crate::frame::{ChosenBoards, Frame, Grain, Milled, Spare};
use crate::length::Length;
use crate::money::Money;
use crate::stock::{Board, Price};

use super::{GoneWay, Grains, Job, JobSpec, OwnBoards, Piece, PriceRules, Refused, Way};

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
    pub(super) fn varied(&self, change: impl FnOnce(&mut JobSpec)) -> Job {
        let mut spec = self.spec();
        change(&mut spec);
        Job::derived(spec)
    }

    /// The job as `change` makes it, with the spacers and spares that it then asks for.
    fn resized(&self, change: impl FnOnce(&mut JobSpec)) -> Job {
        self.varied(|spec| {
            change(spec);
            spec.derive_pieces();
        })
    }

    /// Whether all that is cut and bought for this job is what it is for the other: they differ in nothing but what customers are
    /// asked, if in anything.
    pub fn is_cut_as(&self, other: &Job) -> bool {
        if self.prices == other.prices {
            return self == other;
        }
        let without = |job: &Job| {
            job.varied(|spec| {
                spec.prices = PriceRules::default();
                if let Some(purchase) = &mut spec.buying.purchase {
                    let before = &purchase.before;
                    purchase.before = before.varied(|spec| spec.prices = PriceRules::default());
                }
            })
        };
        without(self) == without(other)
    }

    /// Whether the other job differs from this in what lies on its racks, of boards and of sheets, and in nothing else that is cut or
    /// bought.
    pub fn differs_in_racks_only(&self, other: &Job) -> bool {
        !self.is_cut_as(other) && self.with_empty_racks().is_cut_as(&other.with_empty_racks())
    }

    /// The job with nothing on its racks; what was bought for it is not there.
    fn with_empty_racks(&self) -> Job {
        let boards = self.boards.iter().filter(|board| !board.is_from_rack());
        let job = self.with_boards(boards.cloned().collect());
        job.varied(|spec| {
            for material in &mut spec.materials {
                material.stock.retain(|stock| stock.label.is_none());
            }
            spec.materials.retain(|material| !material.stock.is_empty());
            if let Some(purchase) = &mut spec.buying.purchase {
                purchase.before = purchase.before.with_empty_racks();
            }
        })
    }

    /// A piece on the rack of the job that the job itself has left, though it was not there `before`.
    pub fn left_by_itself(&self, before: &Job) -> Option<&str> {
        let mut new = self.boards.iter().filter(|board| {
            let mut known = before.boards.iter();
            let is_known = known.any(|other| other.name == board.name);
            let own = board.in_hand.as_ref();
            own.is_some_and(|own| own.is_left_by(&self.title)) && !is_known
        });
        new.next().map(|board| board.name.as_str())
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

    /// The job as it was read: no frame comes in pairs for want of boards.
    #[must_use]
    pub fn as_read(&self) -> Job {
        self.varied(|spec| {
            for frame in &mut spec.frames {
                frame.in_pairs = false;
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
        let names: Vec<String> = boards.iter().map(|board| board.name.clone()).collect();
        self.with_boards_like(boards, |new, old| names[new] == self.boards[old].name)
    }

    /// The job with other boards; a choice of boards stands for those new ones of which `is_same` says that they are an old
    /// one.
    pub(super) fn with_boards_like(
        &self,
        boards: Vec<Board>,
        is_same: impl Fn(usize, usize) -> bool,
    ) -> Job {
        let among = |chosen: &ChosenBoards| chosen.among(boards.len(), &is_same);
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
            let n_old = spec.boards.len();
            for way in &mut spec.buying.ways {
                if let OwnBoards::Named(named) = &mut way.boards {
                    let is_named = |new: &usize| {
                        let mut olds = (0..n_old).filter(|&old| is_same(*new, old));
                        olds.any(|old| named.contains(&old))
                    };
                    *named = (0..boards.len()).filter(is_named).collect();
                }
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

    /// The job for another vehicle; `None` takes boards of any length.
    #[must_use]
    pub fn with_longest(&self, longest: Option<Length>) -> Job {
        self.varied(|spec| {
            spec.buying.longest = longest;
            if let Some(purchase) = &mut spec.buying.purchase {
                purchase.before = purchase.before.with_longest(longest);
            }
            for board in &mut spec.boards {
                // A board on the rack may be one that was cut there before.
                if board.in_hand.is_none() {
                    board.at_yard = spec.buying.at_yard(board).ok().flatten();
                }
            }
        })
    }

    /// The job without the vehicle's limit; `None` if that keeps nothing away now, or where the job is limited to a way of
    /// buying, which keeps more away than the vehicle does.
    pub fn without_vehicle_limit(&self) -> Option<Job> {
        if self.buying.gone.is_some() {
            return None;
        }
        let mut lines = self.boards.iter().enumerate();
        let is_limit = lines.any(|(idx, board)| {
            board.quantity != Some(0) && (board.is_to_be_cut() || self.supply(idx) == Some(0))
        });
        is_limit.then(|| self.with_longest(None))
    }

    /// The job limited to a way of buying, every frame asking for the grain that it is granted with all boards that the
    /// vehicle takes.
    ///
    /// With fewer boards a frame that may come in pairs would be granted less; then ways could not be compared, and
    /// fewer boards could cost less.
    ///
    /// # Panics
    /// If an index of the way is out of range.
    #[must_use]
    pub fn by_way(&self, gone: &GoneWay) -> Job {
        let job = self.with_granted_grain();
        let job = match &gone.way {
            Way::BestMix => return job,
            Way::AtMost(_) | Way::OneLength { .. } => job.with_some_boards(|idx, board| {
                let mut woods = gone.woods.iter();
                let wood = woods.find(|wood| wood.boards.contains(&idx));
                board.in_hand.is_some()
                    || wood.is_none_or(|wood| wood.lengths.contains(&board.length))
            }),
            Way::Uncut => job.with_some_boards(|_, board| !board.is_to_be_cut()),
            Way::AnyLength => job.with_longest(None),
            Way::EnoughOfAll => {
                job.with_enough_of(|_, board| board.in_hand.is_none() && !board.is_tallied)
            }
            // What lies on the rack stays there: there is none of it to be cut, see `JobSpec::supply`.
            Way::WithoutRack => job,
            Way::Own(way_idx) => match &self.buying.ways[*way_idx].boards {
                OwnBoards::Named(named) => job
                    .with_some_boards(|idx, board| named.contains(&idx) || board.in_hand.is_some()),
                OwnBoards::Listed(listed) => {
                    let rack = job.boards.iter().filter(|board| board.in_hand.is_some());
                    job.with_boards(rack.chain(listed).cloned().collect())
                }
            },
        };
        job.varied(|spec| spec.buying.gone = Some(gone.clone()))
    }

    /// The job with another price for a line of boards.
    ///
    /// # Panics
    /// If there is no such line.
    #[must_use]
    pub fn with_price(&self, board_idx: usize, price: Price) -> Job {
        self.varied(|spec| spec.boards[board_idx].price = Some(price))
    }

    /// The job with a price for each board of every line, and none besides: the yard charges nothing for its cuts.
    #[must_use]
    pub fn with_prices(&self, price: impl Fn(usize, &Board) -> Money) -> Job {
        self.varied(|spec| {
            for (idx, board) in spec.boards.iter_mut().enumerate() {
                board.price = Some(Price::Each(price(idx, board)));
                if let Some(at_yard) = &mut board.at_yard {
                    at_yard.charge = Money::ZERO;
                }
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
        self.resized(|spec| {
            for quantity in quantities(spec, line) {
                *quantity += 1;
            }
        })
    }

    /// The job with one fewer of a line; a line of none is left out, and spares follow.
    ///
    /// # Panics
    /// If there is no such line.
    #[must_use]
    pub fn with_one_fewer(&self, line: Line) -> Job {
        self.resized(|spec| {
            for quantity in quantities(spec, line) {
                *quantity -= 1;
            }
            spec.frames.retain(|frame| frame.quantity > 0);
            spec.pieces.retain(|piece| piece.quantity > 0);
        })
    }

    /// The job with other pieces and boards, where the first pieces, and the choice of boards, are of no more matter.
    #[must_use]
    pub fn with_pieces_and_boards(&self, pieces: Vec<Piece>, boards: Vec<Board>) -> Job {
        self.varied(|spec| {
            for frame in &mut spec.frames {
                frame.boards = ChosenBoards::ANY;
            }
            spec.pieces = pieces;
            for piece in &mut spec.pieces {
                piece.boards = ChosenBoards::ANY;
            }
            spec.boards = boards;
        })
    }

    /// A job that asks for one frame alone, and for nothing else; none is chosen for it from what way the job goes.
    ///
    /// # Errors
    /// [`Refused`], where no such frame can be made of what the job has.
    ///
    /// # Panics
    /// If the `moulding_idx` of the frame is out of range.
    pub fn with_frame_alone(&self, frame: Frame) -> Result<Job, Box<Refused>> {
        let mut spec = self.spec();
        spec.frames = vec![frame];
        spec.pieces = Vec::new();
        spec.buying.gone = None;
        for moulding in &mut spec.mouldings {
            moulding.spare = None;
        }
        Job::new(spec).map(|(job, _)| job)
    }

    /// The narrowest piece beside the strips of a ripped board that goes back on the rack: as the shop says, or as wide as the
    /// narrowest strip of the job; `None` where nothing is ripped.
    pub fn narrowest_kept(&self) -> Option<Length> {
        let rip = self.shop.rip?;
        let of_frames = self.frames.iter().map(|frame| frame.moulding_idx);
        let of_pieces = self.pieces.iter().filter_map(|piece| piece.moulding_idx);
        let mouldings = of_frames.chain(of_pieces);
        let of_mouldings = mouldings.map(|idx| self.mouldings[idx].face_width);
        let of_plain = self.pieces.iter().filter_map(|piece| piece.width);
        rip.narrowest_offcut.or_else(|| {
            of_mouldings
                .chain(of_plain)
                .map(|width| rip.strip_width(width))
                .min()
        })
    }

    /// What is left of the job: some frames that are cut as a whole, and single parts, from the boards there still are.
    #[must_use]
    pub fn rest(&self, frames: Vec<Frame>, pieces: Vec<Piece>, boards: Vec<Board>) -> Job {
        let narrowest = self.narrowest_kept();
        self.varied(|spec| {
            // What is worth keeping is asked of the whole job.
            if let Some(rip) = &mut spec.shop.rip {
                rip.narrowest_offcut = narrowest;
            }
            spec.frames = frames;
            spec.pieces = pieces;
            spec.boards = boards;
            // Of what the way leaves out there is nothing among the boards, and its indices mean others.
            spec.buying.gone = None;
            spec.buying.purchase = None;
        })
    }
}

/// How many there are of a line, and of what goes with it: of the frames inside of its own.
fn quantities(spec: &mut JobSpec, line: Line) -> Vec<&mut u32> {
    match line {
        Line::Frame(idx) => {
            let name = spec.frames[idx].name.clone();
            let frames = spec.frames.iter_mut().enumerate();
            let together = frames
                .filter(|(other, frame)| *other == idx || frame.held_by.as_ref() == Some(&name));
            together.map(|(_, frame)| &mut frame.quantity).collect()
        }
        Line::Piece(idx) => vec![&mut spec.pieces[idx].quantity],
    }
}

#[cfg(test)]
mod tests {
    use crate::samples::{empty_job, in16, inches, rip, slat};
    use crate::stock::Rip;

    #[test]
    fn what_is_worth_keeping_of_a_rest_is_what_is_of_the_whole_job() {
        let mut job = empty_job();
        let narrow = slat("narrow", inches(20), 1, in16(20));
        let wide = slat("wide", inches(20), 1, in16(24));
        job.pieces = vec![narrow, wide.clone()];
        assert_eq!(job.narrowest_kept(), None);
        job.shop.rip = Some(rip());
        assert_eq!(job.narrowest_kept(), Some(in16(20)));
        let rest = job.rest(Vec::new(), vec![wide], Vec::new());
        assert_eq!(rest.narrowest_kept(), Some(in16(20)));
        // What the shop says goes before it.
        job.shop.rip = Some(Rip {
            narrowest_offcut: Some(in16(40)),
            ..rip()
        });
        assert_eq!(job.narrowest_kept(), Some(in16(40)));
    }
}

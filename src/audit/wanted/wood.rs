//! What boards are there, what one costs, and how sections are taken from them.

use super::{Stick, Wanted, WantedSection, yard};
use crate::audit::nm;
use crate::frame::ChosenBoards;
use crate::job::{Job, Way};
use crate::length::Length;
use crate::money::Money;
use crate::plan::Measure;
use crate::stock::{Across, Board, Defect, board_cost};

/// A stretch along or across a board: from, to, in nanometers.
pub(in crate::audit) type Stretch = (i128, i128);

/// How a section is taken from a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::audit) enum Taken {
    /// The board is one strip as it is.
    Whole,
    /// Strips of this width are ripped from it.
    Ripped {
        /// Width as ripped, with what planing takes.
        width_nm: i128,
    },
}

/// How a section is taken from a board of the job, resawn or not; `None` where wood, thickness or width forbid it. What either
/// leaves open always suits.
pub(super) fn taken(job: &Job, board: &Board, section: &WantedSection) -> Option<Taken> {
    let same_wood = match (&section.material, &board.material) {
        (Some(wanted), Some(given)) => *wanted == super::comparable(given),
        _ => true,
    };
    let is_resawn = |wanted| yard::n_slices(job, board, wanted).is_some();
    if !same_wood
        || !(is_as_thick(section, board.thickness) || section.thickness.is_some_and(is_resawn))
    {
        return None;
    }
    // What is milled already serves its own profile alone, as it is.
    let milled = board.in_hand.as_ref();
    if let Some(milled) = milled.and_then(|in_hand| in_hand.moulding.as_ref()) {
        let same_size = |wanted: Option<_>, given: Option<_>| match (wanted, given) {
            (Some(wanted), Some(given)) => wanted == given,
            _ => true,
        };
        let fits = section.profile.as_ref() == Some(milled)
            && same_size(section.thickness, board.thickness)
            && same_size(section.width, board.width);
        return fits.then_some(Taken::Whole);
    }
    match (section.width, board.width, job.shop.rip) {
        (Some(wanted), Some(given), Some(rip)) if wanted != given => {
            let width_nm = nm(wanted) + nm(rip.planing);
            let has_room = !is_begun(board) && width_nm <= nm(given) - nm(rip.straightening);
            let over_nm = nm(given) - nm(wanted);
            if has_room {
                return Some(Taken::Ripped { width_nm });
            }
            // It is planed to the width of the section.
            (over_nm > 0 && over_nm <= nm(rip.plane_off)).then_some(Taken::Whole)
        }
        (Some(wanted), Some(given), _) => (wanted <= given).then_some(Taken::Whole),
        _ => Some(Taken::Whole),
    }
}

/// Whether an earlier sheet has ripped a board already, or has cut something from it: it is neither ripped nor resawn again.
pub(super) fn is_begun(board: &Board) -> bool {
    let mut defects = board.defects.iter();
    board.given.is_strip
        || board.given.rail.is_some()
        || defects.any(|defect| defect.across == Across::Gone)
}

/// Whether wood of some thickness does for a section as it is.
fn is_as_thick(section: &WantedSection, given: Option<Length>) -> bool {
    match (section.thickness, given) {
        (Some(wanted), Some(given)) => {
            wanted == given || (section.may_be_thicker && wanted < given)
        }
        _ => true,
    }
}

/// What values are measured in, and what one board of each line costs; `None` where that cannot be worked out.
pub(super) fn costs(job: &Job) -> (Measure, Vec<Option<i64>>) {
    // Of a piece in hand a value of nothing says only that it should be used up first.
    let is_used_up = |board: &Board| {
        board.in_hand.is_some() && matches!(board_cost(board), Ok(Some(Money::ZERO)))
    };
    let mut boards = job.boards.iter();
    if boards.any(|board| board.price.is_some() && !is_used_up(board)) {
        let cost = |board: &Board| match board_cost(&board.uncut()).ok()? {
            Some(money) => money.minor().checked_add(yard::charges(board)?),
            None => Some(0),
        };
        return (Measure::Price, job.boards.iter().map(cost).collect());
    }
    let cost = |board| {
        Some(if is_used_up(board) {
            0
        } else {
            board.length.nm()
        })
    };
    (Measure::BoardLength, job.boards.iter().map(cost).collect())
}

/// How many boards of a line there are at most; `None` where that is not limited. What is to be bought and longer than the
/// vehicle takes is not there; what is in hand is at home, and left there by a way of buying without the rack.
pub(in crate::audit) fn supply(job: &Job, board_idx: usize) -> Option<u32> {
    let board = &job.boards[board_idx];
    let is_shut_out = match (&board.in_hand, job.buying.longest) {
        (None, Some(longest)) => board.at_yard.is_none() && nm(board.length) > nm(longest),
        _ => false,
    };
    let is_rack = matches!(&board.in_hand, Some(in_hand) if !in_hand.is_bought);
    let is_left = is_rack && matches!(&job.buying.gone, Some(gone) if gone.way == Way::WithoutRack);
    if is_shut_out || is_left {
        Some(0)
    } else {
        board.quantity
    }
}

impl Wanted<'_> {
    /// How a section is taken from a stick, as thick as that is; `None` where it does not suit.
    pub(in crate::audit) fn taken(&self, stick: Stick, section: usize) -> Option<Taken> {
        let given = stick.slice.or(self.job.boards[stick.board_idx].thickness);
        let taken = self.takings[stick.board_idx][section];
        taken.filter(|_| is_as_thick(&self.sections[section], given))
    }

    /// The stretch between the trims of a stick; empty or reversed where they leave nothing.
    pub(in crate::audit) fn between_trims(&self, stick: Stick) -> Stretch {
        let trim = nm(self.job.shop.end_trim);
        (trim, stick.length() - trim)
    }

    /// What straightening leaves of the width of a board, for strips and the kerfs between them; `None` where none are
    /// ripped from it.
    pub(in crate::audit) fn room(&self, board_idx: usize) -> Option<i128> {
        let width = self.job.boards[board_idx].width?;
        Some((nm(width) - nm(self.job.shop.rip?.straightening)).max(0))
    }

    /// What the saw that rips takes beside each strip.
    pub(in crate::audit) fn rip_kerf(&self) -> i128 {
        self.job.shop.rip.map_or(0, |rip| nm(rip.kerf))
    }

    /// The defects of a stick, each with what it takes along it.
    fn defects_on(&self, stick: Stick) -> impl Iterator<Item = (&Defect, Stretch)> {
        let (begin, end) = stick.along;
        let defects = self.job.boards[stick.board_idx].defects.iter();
        defects.filter_map(move |defect| {
            let (from, to) = (nm(defect.from).max(begin), nm(defect.to).min(end));
            (from < to).then_some((defect, (from - begin, to - begin)))
        })
    }

    /// Whether a defect of a stick leaves part of the width clear, so that strips can be ripped past it.
    pub(in crate::audit) fn has_partial_defects(&self, stick: Stick) -> bool {
        let board = &self.job.boards[stick.board_idx];
        let is_partial = |defect: &Defect| match (defect.across, board.width) {
            (Across::Full | Across::Gone, _) | (_, None) => false,
            (Across::Left(depth) | Across::Right(depth), Some(width)) => {
                depth.is_none_or(|depth| depth < width)
            }
        };
        self.defects_on(stick).any(|(defect, _)| is_partial(defect))
    }

    /// The stretches along a strip of a section that defects take; the strip lies there `across` the stick, or is the stick.
    ///
    /// Two parts beside a defect need room for the saw between them, so a defect counts as at least as long as the widest
    /// kerf of the section.
    pub(in crate::audit) fn spoiled(
        &self,
        stick: Stick,
        section: usize,
        across: Option<Stretch>,
    ) -> Vec<Stretch> {
        let kerf = self.widest_kerfs[section];
        self.defects_on(stick)
            .filter(|(defect, _)| self.reaches(stick.board_idx, defect, across))
            .map(|(_, (from, to))| (from, to.max(from + kerf)))
            .collect()
    }

    /// The clear stretches along a strip, see [`Wanted::spoiled`], in order; never one of no length.
    pub(in crate::audit) fn clear(
        &self,
        stick: Stick,
        section: usize,
        across: Option<Stretch>,
    ) -> Vec<Stretch> {
        let (mut at, end) = self.between_trims(stick);
        let mut clear = Vec::new();
        for (from, to) in self.spoiled(stick, section, across) {
            clear.push((at, from.min(end)));
            at = at.max(to);
        }
        clear.push((at, end));
        clear.retain(|(from, to)| from < to);
        clear
    }

    /// Whether something may be left behind cuts on the `nth` of the clear stretches of a strip: what is left before a defect
    /// ends at the next cut behind that, where the next job trims it again.
    pub(in crate::audit) fn may_leave(
        &self,
        section: usize,
        clear: &[Stretch],
        nth: usize,
    ) -> bool {
        let lost_nm = self.lost_at_cut(section);
        clear
            .get(nth + 1)
            .is_none_or(|next| next.0 - clear[nth].1 >= lost_nm)
    }

    /// What is lost between something that is left and a part cut behind it, at most: the trim and a kerf.
    pub(in crate::audit) fn lost_at_cut(&self, section: usize) -> i128 {
        nm(self.job.shop.end_trim) + self.widest_kerfs[section]
    }

    /// The longest clear stretch of a strip of a section on any board there is and a choice allows; nothing where there is
    /// none.
    pub(super) fn longest_clear(&self, section: usize, chosen: &ChosenBoards) -> i128 {
        let mut longest = 0;
        for (board_idx, board) in self.job.boards.iter().enumerate() {
            let taken = taken(self.job, board, &self.sections[section]);
            let is_there = supply(self.job, board_idx) != Some(0) && chosen.allow(board_idx);
            let (Some(taken), true) = (taken, is_there) else {
                continue;
            };
            for stick in self.sticks(board_idx) {
                let mut measure = |across| {
                    for (from, to) in self.clear(stick, section, across) {
                        longest = longest.max(to - from);
                    }
                };
                let Taken::Ripped { width_nm } = taken else {
                    measure(None);
                    continue;
                };
                let room = self.room(board_idx).unwrap_or(0);
                for start in std::iter::once(0).chain(self.starts(stick)) {
                    if start + width_nm <= room {
                        measure(Some((start, start + width_nm)));
                    }
                }
            }
        }
        longest
    }

    /// Whether a defect may reach into a strip that begins and ends there across the straightened board.
    ///
    /// Straightening takes an unknown share off either edge: a strip that begins `x` from the straightened edge begins
    /// between `x` and `x + straightening` from the raw one.
    fn reaches(&self, board_idx: usize, defect: &Defect, across: Option<Stretch>) -> bool {
        let width = self.job.boards[board_idx].width;
        let (Some((begin, end)), Some(width), Some(room)) = (across, width, self.room(board_idx))
        else {
            return true;
        };
        // Twice everything, so that half a width stays whole.
        let twice = |depth: Option<_>| depth.map_or(nm(width), |depth| 2 * nm(depth));
        match defect.across {
            Across::Full | Across::Gone => true,
            Across::Left(depth) => 2 * begin < twice(depth),
            Across::Right(depth) => 2 * (room - end) < twice(depth),
        }
    }

    /// Where strips may begin across a stick past defects: where one on the left edge ends. What lies beside it is ripped
    /// off, so there must be room for the kerf.
    pub(in crate::audit) fn starts(&self, stick: Stick) -> Vec<i128> {
        let board = &self.job.boards[stick.board_idx];
        let Some(width) = board.width else {
            return Vec::new();
        };
        let half = nm(width) - nm(width) / 2;
        let ends = self
            .defects_on(stick)
            .filter_map(|(defect, _)| match defect.across {
                Across::Left(depth) => {
                    let depth = depth.map_or(half, nm);
                    (depth < nm(width)).then(|| depth.max(self.rip_kerf()))
                }
                Across::Full | Across::Gone | Across::Right(_) => None,
            });
        ends.collect()
    }
}

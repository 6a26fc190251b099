//! Ripping: how boards that are wider than a section give strips of its width.

use crate::length::Length;
use crate::stock::{Board, Resaw};

/// What is lost when boards are ripped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rip {
    /// Kerf of the saw that rips, between any two strips; zero or more.
    pub kerf: Length,
    /// Width lost to straightening both edges of a board, in total; zero or more.
    pub straightening: Length,
    /// Width added to every strip, to be planed off again; zero or more.
    pub planing: Length,
    /// The most by which a board may be wider than a section that is to be had of it whole, the rest being planed off its
    /// edge; only where it is too narrow to be ripped for that. Zero or more.
    pub plane_off: Length,
    /// The narrowest piece left beside the strips that goes back on the rack; `None` keeps what is as wide as the
    /// narrowest strip of the job.
    pub narrowest_offcut: Option<Length>,
    /// How thick boards are resawn before they are ripped; `None` where they are not.
    pub resaw: Option<Resaw>,
}

/// How a section is taken from a board, by their widths.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taking {
    /// The board is one strip as it is; what it has more of width is planed off its edge, see [`Rip::plane_off`].
    Whole,
    /// Strips of this width are ripped from it.
    Ripped {
        /// Width as ripped: that of the section and the planing.
        width: Length,
    },
}

impl Rip {
    /// Width of the strips for a section of this width.
    pub fn strip_width(&self, section: Length) -> Length {
        section + self.planing
    }

    /// What straightening leaves of a board of this width, for strips and the kerfs between them; zero if nothing.
    pub fn room(&self, board: Length) -> Length {
        (board - self.straightening).max(Length::ZERO)
    }

    /// How many strips of one width a board gives: `floor((B - e + k) / (w + k))` with board width `B`, straightening
    /// `e`, kerf `k` and strip width `w`, so that `q w + (q - 1) k <= B - e`.
    ///
    /// # Panics
    /// If `strip` and kerf are both zero, which no section is.
    pub fn most_strips(&self, board: Length, strip: Length) -> i64 {
        (self.room(board) + self.kerf).nm() / (strip + self.kerf).nm()
    }
}

/// How a section of width `wanted` is taken from a board of width `given`; `None` where the board is too narrow.
///
/// A width that is left open on either side fits as it is, and so does a board that is exactly as wide as the section, or
/// so little wider that it is planed to it because it cannot be ripped. Without `rip`, so does every wider one.
pub fn taking(rip: Option<&Rip>, wanted: Option<Length>, given: Option<Length>) -> Option<Taking> {
    let (Some(wanted), Some(given)) = (wanted, given) else {
        return Some(Taking::Whole);
    };
    match rip {
        Some(rip) if wanted != given => {
            let width = rip.strip_width(wanted);
            let is_planed = wanted < given && given - wanted <= rip.plane_off;
            if width <= rip.room(given) {
                Some(Taking::Ripped { width })
            } else {
                is_planed.then_some(Taking::Whole)
            }
        }
        _ => (wanted <= given).then_some(Taking::Whole),
    }
}

impl Board {
    /// How a section of width `wanted` is taken from it, see [`taking`]. What an earlier sheet has ripped, or has cut something
    /// from, is not ripped once more: it is taken whole or not at all.
    pub fn taking(&self, rip: Option<&Rip>, wanted: Option<Length>) -> Option<Taking> {
        match (taking(rip, wanted, self.width)?, rip, wanted, self.width) {
            (Taking::Ripped { .. }, Some(rip), Some(wanted), Some(given))
                if !self.may_be_ripped() =>
            {
                let is_planed = wanted <= given && given - wanted <= rip.plane_off;
                is_planed.then_some(Taking::Whole)
            }
            (taken, ..) => Some(taken),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A length in eighths of an inch.
    fn in8(eighths: i64) -> Length {
        Length::from_nm(3_175_000 * eighths)
    }

    fn rip(straightening: Length, planing: Length) -> Rip {
        Rip {
            kerf: in8(1),
            straightening,
            planing,
            plane_off: Length::ZERO,
            ..crate::samples::rip()
        }
    }

    #[test]
    fn strips_and_the_kerfs_between_them_fill_a_board() {
        // Derived, in eighths: (44 + 1) / (12 + 1) = 3, (58 + 1) / (16 + 1) = 3, (74 + 1) / 17 = 4, (90 + 1) / 17 = 5.
        let no_loss = rip(Length::ZERO, Length::ZERO);
        for (board, strip, strips) in [(44, 12, 3), (58, 16, 3), (74, 16, 4), (90, 16, 5)] {
            assert_eq!(no_loss.most_strips(in8(board), in8(strip)), strips);
        }
        // No kerf is lost behind the last strip: 3 * 12 + 2 = 38 is enough for three, 37 is not.
        assert_eq!(no_loss.most_strips(in8(38), in8(12)), 3);
        assert_eq!(
            no_loss.most_strips(in8(38) - Length::from_nm(1), in8(12)),
            2
        );
        // Straightening comes off the board, planing onto the strip: (44 - 2 + 1) / (12 + 1 + 1) = 3, and with one
        // eighth less of board 42 / 14 = 3 still, with two less 41 / 14 = 2.
        let loss = rip(in8(2), in8(1));
        let strip = loss.strip_width(in8(12));
        assert_eq!(loss.most_strips(in8(44), strip), 3);
        assert_eq!(loss.most_strips(in8(43), strip), 3);
        assert_eq!(loss.most_strips(in8(42), strip), 2);
    }

    #[test]
    fn a_board_as_wide_as_the_section_is_one_strip_and_a_wider_one_must_bear_the_loss() {
        let loss = rip(in8(2), in8(1));
        let ripped = |width| Some(Taking::Ripped { width: in8(width) });
        for (given, taken) in [
            (11, None),
            (12, Some(Taking::Whole)),
            // 12 + 1 of planing + 2 of straightening = 15.
            (13, None),
            (14, None),
            (15, ripped(13)),
            (90, ripped(13)),
        ] {
            let found = taking(Some(&loss), Some(in8(12)), Some(in8(given)));
            assert_eq!(found, taken, "{given}");
        }
        // Two eighths may be planed off: what is wider by no more, and too narrow to be ripped, is taken whole.
        let planes = Rip {
            plane_off: in8(2),
            ..loss
        };
        for (given, taken) in [
            (11, None),
            (13, Some(Taking::Whole)),
            (14, Some(Taking::Whole)),
            (15, ripped(13)),
        ] {
            let found = taking(Some(&planes), Some(in8(12)), Some(in8(given)));
            assert_eq!(found, taken, "{given}");
        }
        let by_a_hair = in8(14) + Length::from_nm(1);
        assert_eq!(taking(Some(&planes), Some(in8(12)), Some(by_a_hair)), None);
        assert_eq!(
            taking(None, Some(in8(12)), Some(in8(90))),
            Some(Taking::Whole)
        );
        assert_eq!(taking(None, Some(in8(12)), Some(in8(11))), None);
        for (wanted, given) in [(None, Some(in8(90))), (Some(in8(12)), None), (None, None)] {
            assert_eq!(taking(Some(&loss), wanted, given), Some(Taking::Whole));
        }
    }

    #[test]
    fn what_is_ripped_or_begun_already_is_taken_whole_or_not_at_all() {
        let rip = Rip {
            plane_off: in8(2),
            ..rip(Length::ZERO, Length::ZERO)
        };
        let board = |given| Board {
            width: Some(in8(given)),
            ..crate::samples::board("oak", Length::FOOT, None)
        };
        let strip = |given: i64| {
            let mut board = board(given);
            board.given.is_strip = true;
            board
        };
        let begun = |given: i64| {
            let mut board = board(given);
            board.defects.push(crate::stock::Defect {
                from: Length::ZERO,
                to: Length::INCH,
                across: crate::stock::Across::Gone,
            });
            board
        };
        let wanted = Some(in8(12));
        let ripped = Some(Taking::Ripped { width: in8(12) });
        assert_eq!(board(40).taking(Some(&rip), wanted), ripped);
        for made in [&strip as &dyn Fn(i64) -> Board, &begun] {
            assert_eq!(made(40).taking(Some(&rip), wanted), None);
            for given in [12, 14] {
                let whole = Some(Taking::Whole);
                assert_eq!(made(given).taking(Some(&rip), wanted), whole);
            }
            assert_eq!(made(11).taking(Some(&rip), wanted), None);
        }
    }
}

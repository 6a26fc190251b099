//! Chalk marks: one name for each physical board, wherever a board or a cut is named.
//!
//! Boards are marked in the order in which a job takes them: A to Z without I, O and Q, which are read as 1 and 0, then
//! AA, AB and so on with the same letters.
//! A mark stays with its board over all sheets of a job; boards that a later sheet takes go on behind the last one.
//! The letters left out: common practice, no source.

use std::fmt;

use super::{Plan, PlannedBoard};
use crate::job::Job;

/// What is chalked.
const LETTERS: &[u8; 23] = b"ABCDEFGHJKLMNPRSTUVWXYZ";

/// The mark on one board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ChalkMark(u32);

impl ChalkMark {
    /// The mark of the board at this place among all that a job takes, from 0.
    pub fn nth(position: u32) -> ChalkMark {
        ChalkMark(position)
    }

    /// Whether it is the one behind `before`.
    pub fn follows(self, before: ChalkMark) -> bool {
        before.0.checked_add(1) == Some(self.0)
    }

    /// Reads a mark, in capitals or not; `None` of what is none.
    pub fn parse(text: &str) -> Option<ChalkMark> {
        let mut count: u32 = 0;
        for byte in text.bytes() {
            let byte = byte.to_ascii_uppercase();
            let digit = (1..)
                .zip(LETTERS)
                .find(|&(_, &letter)| letter == byte)
                .map(|(digit, _)| digit)?;
            count = count.checked_mul(23)?.checked_add(digit)?;
        }
        count.checked_sub(1).map(ChalkMark)
    }
}

impl fmt::Display for ChalkMark {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut letters = Vec::new();
        let mut left = u64::from(self.0) + 1;
        while left > 0 {
            left -= 1;
            let digit = usize::try_from(left % 23).expect("a digit is small");
            letters.push(char::from(LETTERS[digit]));
            left /= 23;
        }
        out.pad(&letters.iter().rev().collect::<String>())
    }
}

/// A strip of a ripped board, `B4`, or a board that is one strip, `G`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StripMark {
    /// The board.
    pub board: ChalkMark,
    /// Which of its strips, from 1; `None` where it is only one.
    pub strip: Option<u32>,
}

impl StripMark {
    /// Reads such as `G` or `B4`; `None` of anything else.
    pub fn parse(text: &str) -> Option<StripMark> {
        let text = text.trim();
        let letters = text.trim_end_matches(|letter: char| letter.is_ascii_digit());
        let digits = &text[letters.len()..];
        let strip = match digits {
            "" => None,
            _ => Some(digits.parse().ok().filter(|&strip| strip > 0)?),
        };
        let board = ChalkMark::parse(letters)?;
        Some(StripMark { board, strip })
    }
}

impl fmt::Display for StripMark {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}", self.board)?;
        self.strip.map_or(Ok(()), |strip| write!(out, "{strip}"))
    }
}

impl From<ChalkMark> for StripMark {
    fn from(board: ChalkMark) -> StripMark {
        StripMark { board, strip: None }
    }
}

/// A cut: `G-3`, or `B4-2` on the fourth strip of a ripped board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CutLabel {
    /// Where it is.
    pub strip: StripMark,
    /// Its number there, from 1, which no other cut of that strip has on any sheet.
    pub cut: u32,
}

impl fmt::Display for CutLabel {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}-{}", self.strip, self.cut)
    }
}

/// The marks of a plan's boards.
pub struct ChalkMarks<'a> {
    plan: &'a Plan,
    boards: Vec<ChalkMark>,
}

impl Plan {
    /// The marks of its boards: those that earlier sheets gave, then new ones in the order of the plan.
    ///
    /// # Panics
    /// If a board is none of the job's.
    pub fn marks(&self) -> ChalkMarks<'_> {
        let given = self.job.boards.iter().map(|board| board.given.marks);
        let mut next = given.max().unwrap_or(0);
        let mut mark = |own: Option<u32>| {
            ChalkMark(own.unwrap_or_else(|| {
                next += 1;
                next - 1
            }))
        };
        let boards = self
            .boards
            .iter()
            .map(|board| mark(self.job.boards[board.board_idx].given.mark))
            .collect();
        ChalkMarks { plan: self, boards }
    }
}

impl ChalkMarks<'_> {
    /// The mark of a board, by its position in the plan.
    ///
    /// # Panics
    /// If there is no such board, strip or cut; so do the following.
    pub fn board(&self, board: usize) -> ChalkMark {
        self.boards[board]
    }

    /// What is chalked on a board: its mark, and where it is a strip that an earlier sheet ripped, that of the strip.
    pub fn chalked(&self, board: usize) -> StripMark {
        StripMark {
            board: self.board(board),
            strip: self.plan.job.boards[self.plan.boards[board].board_idx]
                .given
                .strip,
        }
    }

    /// The mark of a strip, by its position on its board.
    ///
    /// # Panics
    /// If there is no such board or strip.
    pub fn strip(&self, board: usize, strip: usize) -> StripMark {
        let planned = &self.plan.boards[board];
        let given = self.plan.job.boards[planned.board_idx].given.strip;
        let own = planned
            .has_strip_marks()
            .then(|| u32::try_from(strip + 1).expect("a board has few strips"));
        StripMark {
            board: self.board(board),
            strip: given.or(own),
        }
    }

    /// The label of a cut, by its position on its strip.
    ///
    /// # Panics
    /// If there is no such board or strip.
    pub fn cut(&self, board: usize, strip: usize, cut: usize) -> CutLabel {
        let planned = &self.plan.boards[board];
        CutLabel {
            strip: self.strip(board, strip),
            cut: planned.cut_number(&self.plan.job, cut),
        }
    }
}

impl PlannedBoard {
    /// The number of a cut on its strip, from 1, by its position there; an earlier sheet may have numbered some before.
    ///
    /// # Panics
    /// If it is not of a plan of `job`.
    pub fn cut_number(&self, job: &Job, cut: usize) -> u32 {
        let position = u32::try_from(cut).expect("load caps the number of parts");
        job.boards[self.board_idx].given.cuts + position + 1
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use super::*;
    use crate::bridge::{lower, raise};
    use crate::job::Ends;
    use crate::samples::{board, empty_job, first_fit, inches, piece};

    fn mark(position: u32) -> String {
        ChalkMark::nth(position).to_string()
    }

    #[test]
    fn marks_run_through_the_alphabet_without_what_reads_as_a_figure() {
        let first: String = (0..23).map(mark).collect();
        assert_eq!(first, "ABCDEFGHJKLMNPRSTUVWXYZ");
        // Derived: behind 23 single letters come 23 * 23 = 529 pairs, the last at 23 + 529 - 1 = 551.
        assert_eq!([mark(23), mark(24), mark(45)], ["AA", "AB", "AZ"]);
        assert_eq!([mark(46), mark(551), mark(552)], ["BA", "ZZ", "AAA"]);
    }

    #[test]
    fn a_mark_reads_back_and_nothing_else_is_read() {
        for position in (0..2_000).chain([u32::MAX - 1]) {
            let mark = ChalkMark::nth(position);
            assert_eq!(ChalkMark::parse(&mark.to_string()), Some(mark));
        }
        assert_eq!(ChalkMark::parse("ab"), ChalkMark::parse("AB"));
        for none in ["", "I", "O", "AQ", "A1", "-", "Ä", "A B", "ZZZZZZZZZZ"] {
            assert_eq!(ChalkMark::parse(none), None, "{none}");
        }
        let strip = StripMark::parse(" b4 ").unwrap();
        assert_eq!((strip.to_string().as_str(), strip.strip), ("B4", Some(4)));
        assert_eq!(StripMark::parse("G").unwrap().strip, None);
        for none in ["4", "B0", "B4b", "B99999999999", ""] {
            assert_eq!(StripMark::parse(none), None, "{none}");
        }
    }

    #[test]
    fn cuts_are_named_by_board_and_on_ripped_boards_by_strip() {
        let mut job = empty_job();
        job.pieces = vec![piece("slat", inches(40), 3, Ends::Square)];
        job.boards = vec![board("stick", inches(90), None)];
        let (instance, origins) = lower(&job);
        let mut plan = raise(&job, &origins, &first_fit(&instance));
        // Two boards: two slats of 40 on the first, one on the second.
        let marks = plan.marks();
        let labels = [marks.cut(0, 0, 0), marks.cut(0, 0, 1), marks.cut(1, 0, 0)];
        assert_eq!(labels.map(|label| label.to_string()), ["A-1", "A-2", "B-1"]);
        let again = plan.boards[1].strips[0].clone();
        plan.boards[1].strips.push(again);
        assert_eq!(plan.marks().cut(1, 1, 0).to_string(), "B2-1");
    }
}

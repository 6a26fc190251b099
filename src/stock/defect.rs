//! Defects: stretches of a board that no part may touch, such as knots, checks and stain, and what is clear between them.

use std::collections::BTreeSet;

use crate::length::Length;
use crate::stock::{Board, Rip, Section, Taking, suits, usable_length};

/// A stretch of a board that no part may touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Defect {
    /// Where it begins, measured from the near end of the untrimmed board.
    pub from: Length,
    /// Where it ends, beyond `from`.
    pub to: Length,
    /// How much of the board's width it takes.
    pub across: Across,
}

/// How much of a board's width a defect takes.
///
/// Left and right are those of someone who looks from the near end to the far one, the good face up; strips are ripped
/// from the left edge on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Across {
    /// All of it.
    Full,
    /// All of it, for the wood is not there: it has been cut off, or another plan cuts something from it.
    Gone,
    /// So much of it from the left edge; `None` takes half of it.
    Left(Option<Length>),
    /// So much of it from the right edge; `None` takes half of it.
    Right(Option<Length>),
}

/// The same wood as `defects` of a board of this width, but no two of them overlap that the reader of boards would refuse: where
/// one takes the full width nothing else is told, and of two on one side the deeper. What does not overlap stays as it is.
pub fn told_apart(mut defects: Vec<Defect>, width: Option<Length>) -> Vec<Defect> {
    defects.sort_unstable();
    defects.dedup();
    let is_left = |across: Across| matches!(across, Across::Left(_));
    let is_right = |across: Across| matches!(across, Across::Right(_));
    let may_lie_apart = |one: Across, other: Across| {
        (is_left(one) && is_right(other)) || (is_right(one) && is_left(other))
    };
    let mut pairs = defects.iter().enumerate();
    let overlap = pairs.any(|(idx, one)| {
        let mut later = defects[idx + 1..].iter();
        later.any(|other| !may_lie_apart(one.across, other.across) && other.from < one.to)
    });
    if !overlap {
        return defects;
    }
    let half = width.map(|width| Length::from_nm(width.nm() - width.nm() / 2));
    let depth = |across: Across| match across {
        Across::Left(depth) | Across::Right(depth) => depth.or(half),
        Across::Full | Across::Gone => None,
    };
    let ends: BTreeSet<Length> = defects.iter().flat_map(|of| [of.from, of.to]).collect();
    let mut apart: Vec<Defect> = Vec::new();
    for (&from, &to) in ends.iter().zip(ends.iter().skip(1)) {
        let there = || {
            let there = defects.iter().filter(|of| of.from <= from && to <= of.to);
            there.map(|of| of.across)
        };
        let takes_all = [Across::Gone, Across::Full].into_iter();
        let mut takes_all = takes_all.filter(|all| there().any(|across| across == *all));
        let deepest = |is_side: &dyn Fn(Across) -> bool| {
            let side = there().filter(|&across| is_side(across));
            // Half of a width that is not known may be anything.
            side.max_by_key(|&across| (depth(across).is_none(), depth(across)))
        };
        let found = match takes_all.next() {
            Some(all) => [Some(all), None],
            None => [deepest(&is_left), deepest(&is_right)],
        };
        for across in found.into_iter().flatten() {
            let before = apart.iter_mut().rev().take(2);
            let mut before = before.filter(|of| of.to == from && of.across == across);
            match before.next() {
                Some(before) => before.to = to,
                None => apart.push(Defect { from, to, across }),
            }
        }
    }
    apart.sort_unstable();
    apart
}

/// A clear stretch of a board, from and to, measured from its near end.
pub type Run = (Length, Length);

impl Defect {
    /// The stretch across the straightened board that it may take, measured from the straightened left edge.
    ///
    /// How much each edge loses to straightening is not known before it is done, so the defect counts as reaching inward
    /// as far as if its own edge lost nothing (left), or the other edge lost all (right).
    /// Of a board of unknown width it takes all.
    pub fn span(&self, board: &Board, rip: &Rip) -> Run {
        let Some(width) = board.width else {
            return (Length::ZERO, Length::LONGEST);
        };
        let half = Length::from_nm(width.nm() - width.nm() / 2);
        match self.across {
            Across::Full | Across::Gone => (Length::ZERO, width),
            Across::Left(depth) => (Length::ZERO, depth.unwrap_or(half)),
            Across::Right(depth) => {
                let from = rip.room(width) - depth.unwrap_or(half);
                (from.max(Length::ZERO), width)
            }
        }
    }

    /// Whether it may reach into a strip that begins and ends there across the straightened board.
    pub fn reaches(&self, board: &Board, rip: &Rip, (begin, end): Run) -> bool {
        let (from, to) = self.span(board, rip);
        self.takes_all(board.width) || (from < end && begin < to)
    }

    /// Whether it takes the whole width of a board of this width.
    pub fn takes_all(&self, board_width: Option<Length>) -> bool {
        match self.across {
            Across::Full | Across::Gone => true,
            Across::Left(depth) | Across::Right(depth) => match (depth, board_width) {
                (_, None) => true,
                (depth, Some(width)) => depth.is_some_and(|depth| depth >= width),
            },
        }
    }
}

impl Board {
    /// The clear stretches between the trims and those defects for which `hits` is true, in order; never one of no length.
    ///
    /// Two parts beside a defect need room for the saw between them, so a defect counts as at least `widest_kerf` long.
    pub fn clear_runs(
        &self,
        end_trim: Length,
        widest_kerf: Length,
        hits: impl Fn(&Defect) -> bool,
    ) -> Vec<Run> {
        let Some(usable) = usable_length(self.length, end_trim) else {
            return Vec::new();
        };
        let end = end_trim + usable;
        let mut runs = Vec::new();
        let mut at = end_trim;
        for defect in self.defects.iter().filter(|defect| hits(defect)) {
            let stop = defect.from.min(end);
            if at < stop {
                runs.push((at, stop));
            }
            at = at.max(defect.to.max(defect.from + widest_kerf));
        }
        if at < end {
            runs.push((at, end));
        }
        runs
    }

    /// The longest clear run of a strip of `section`, however it lies on the board and that is cut at the yard; `None` where the board does not suit it
    /// or nothing is clear.
    ///
    /// A strip can be pushed to the left until it touches the straightened edge, or the end of a defect there.
    pub fn longest_run(
        &self,
        section: &Section<'_>,
        rip: Option<&Rip>,
        end_trim: Length,
        widest_kerf: Length,
    ) -> Option<Length> {
        if !suits(section, self, rip) {
            return None;
        }
        if self.at_yard.is_some() {
            let longest = |stretch: Board| stretch.longest_run(section, rip, end_trim, widest_kerf);
            return self.stretches().filter_map(longest).max();
        }
        let ripped = match (self.taking(rip, section.width)?, rip, self.width) {
            (Taking::Ripped { width }, Some(rip), Some(whole)) => Some((width, rip, whole)),
            _ => None,
        };
        let runs = if let Some((width, rip, whole)) = ripped {
            let starts = self.starts(rip).into_iter();
            starts
                .chain([Length::ZERO])
                .filter(|&start| start + width <= rip.room(whole))
                .flat_map(|start| {
                    let across = (start, start + width);
                    let hits = |defect: &Defect| defect.reaches(self, rip, across);
                    self.clear_runs(end_trim, widest_kerf, hits)
                })
                .collect()
        } else {
            self.clear_runs(end_trim, widest_kerf, |_| true)
        };
        runs.into_iter().map(|(from, to)| to - from).max()
    }

    /// Where strips may begin across the board past defects: where one on the left edge ends. What lies beside it is ripped
    /// off, so there must be room for the kerf.
    pub fn starts(&self, rip: &Rip) -> BTreeSet<Length> {
        let partial = self
            .defects
            .iter()
            .filter(|defect| !defect.takes_all(self.width));
        let spans = partial.map(|defect| defect.span(self, rip));
        spans
            .filter(|&(from, _)| from == Length::ZERO)
            .map(|(_, to)| to.max(rip.kerf))
            .collect()
    }

    /// The length of the longest stretch that is clear across the whole width; `None` where nothing is.
    pub fn longest_clear(&self, end_trim: Length) -> Option<Length> {
        self.clear_runs(end_trim, Length::ZERO, |_| true)
            .into_iter()
            .map(|(from, to)| to - from)
            .max()
    }

    /// Whether a defect leaves part of the width clear, so that strips can be ripped past it.
    pub fn has_partial_defects(&self) -> bool {
        let mut defects = self.defects.iter();
        defects.any(|defect| !defect.takes_all(self.width))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::{self, inches};

    fn board(defects: &[(i64, i64, Across)]) -> Board {
        let defects = defects.iter().map(|&(from, to, across)| Defect {
            from: inches(from),
            to: inches(to),
            across,
        });
        Board {
            width: Some(inches(8)),
            quantity: Some(1),
            defects: defects.collect(),
            ..samples::board("board", inches(60), None)
        }
    }

    #[test]
    fn what_is_clear_lies_between_trims_and_defects() {
        let runs = |defects: &[(i64, i64, Across)], kerf| {
            let runs = board(defects).clear_runs(inches(1), inches(kerf), |_| true);
            runs.into_iter()
                .map(|(from, to)| (from.nm() / inches(1).nm(), to.nm() / inches(1).nm()))
                .collect::<Vec<_>>()
        };
        let full = Across::Full;
        assert_eq!(runs(&[], 1), [(1, 59)]);
        assert_eq!(
            runs(&[(10, 12, full), (40, 59, full)], 1),
            [(1, 10), (12, 40)]
        );
        // One at the very end, one within the trim, and one on each side at the same place.
        assert_eq!(runs(&[(0, 5, full), (59, 60, full)], 1), [(5, 59)]);
        let sides = [(10, 20, Across::Left(None)), (15, 25, Across::Right(None))];
        assert_eq!(runs(&sides, 1), [(1, 10), (25, 59)]);
        // A defect shorter than the kerf leaves room for the kerf all the same.
        assert_eq!(runs(&[(10, 11, full)], 3), [(1, 10), (13, 59)]);
        assert_eq!(runs(&[(0, 60, full)], 3), []);
    }

    #[test]
    fn a_defect_on_one_side_reaches_as_far_in_as_straightening_may_leave_it() {
        let rip = Rip {
            kerf: inches(0),
            straightening: inches(1),
            planing: Length::ZERO,
            plane_off: Length::ZERO,
            ..crate::samples::rip()
        };
        let span = |across| {
            let board = board(&[(10, 12, across)]);
            board.defects[0].span(&board, &rip)
        };
        // Derived: 8 in wide, 7 when straightened; 2 in from the right edge begin at 6 at most, at 5 if the left lost all.
        assert_eq!(span(Across::Left(Some(inches(2)))), (inches(0), inches(2)));
        assert_eq!(span(Across::Right(Some(inches(2)))), (inches(5), inches(8)));
        assert_eq!(span(Across::Left(None)), (inches(0), inches(4)));
        assert_eq!(span(Across::Full), (inches(0), inches(8)));
    }

    #[test]
    fn strips_lie_behind_the_end_of_a_defect_on_the_left_edge_if_there_is_room() {
        let rip = Rip {
            kerf: inches(0),
            straightening: inches(1),
            planing: Length::ZERO,
            plane_off: Length::ZERO,
            ..crate::samples::rip()
        };
        let section = Section {
            material: None,
            thickness: None,
            may_be_thicker: false,
            profile: None,
            width: Some(inches(3)),
        };
        let longest = |depth| {
            let left = Across::Left(Some(inches(depth)));
            let board = board(&[(10, 50, left)]);
            board.longest_run(&section, Some(&rip), inches(1), Length::ZERO)
        };
        // Derived: 7 in are left of 8, so a strip of 3 has room behind 4 in, and all of 60 less two trims is clear there.
        assert_eq!(longest(4), Some(inches(58)));
        // Derived: behind 5 in it has none; beside the defect 1 to 10 and 50 to 59 are clear.
        assert_eq!(longest(5), Some(inches(9)));
    }

    #[test]
    fn what_leaves_part_of_the_width_is_told_from_what_takes_all() {
        let left = |depth: i64| board(&[(10, 12, Across::Left(Some(inches(depth))))]);
        assert!(left(7).has_partial_defects());
        assert!(!left(8).has_partial_defects());
        assert!(board(&[(10, 12, Across::Right(None))]).has_partial_defects());
        assert!(!board(&[(10, 12, Across::Full)]).has_partial_defects());
        // Of a board of unknown width nobody knows what is left.
        assert!(left(7).defects[0].takes_all(None));
        // Derived: 60 less a trim of 1 at each end, and 10 to 12: the longer stretch is 12 to 59.
        assert_eq!(left(2).longest_clear(inches(1)), Some(inches(47)));
    }

    #[test]
    fn defects_that_overlap_are_told_apart_and_others_stay() {
        let told = |defects: &[(i64, i64, Across)]| {
            let board = board(defects);
            let apart = told_apart(board.defects, Some(inches(6)));
            let figures = apart.into_iter().map(|of| {
                let whole = |length: Length| length.nm() / Length::INCH.nm();
                (whole(of.from), whole(of.to), of.across)
            });
            figures.collect::<Vec<_>>()
        };
        let (left, right) = (Across::Left(Some(inches(1))), Across::Right(None));
        let deep = Across::Left(None);
        let (full, gone) = (Across::Full, Across::Gone);
        let beside = [(10, 20, left), (12, 30, right), (30, 31, full)];
        assert_eq!(told(&beside), beside);
        assert_eq!(told(&[(30, 36, full), (32, 40, full)]), [(30, 40, full)]);
        // What is gone goes before a knot, a knot before what is at an edge, and of two at an edge the deeper.
        assert_eq!(
            told(&[(0, 20, left), (5, 8, full), (7, 10, gone), (15, 30, deep)]),
            [
                (0, 5, left),
                (5, 7, full),
                (7, 10, gone),
                (10, 15, left),
                (15, 30, deep)
            ]
        );
        // An edge that both are on stays whole beside what is told of the other.
        assert_eq!(
            told(&[(0, 10, left), (0, 10, right), (4, 6, left)]),
            [(0, 10, left), (0, 10, right)]
        );
    }
}

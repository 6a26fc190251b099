//! Sizes far from all others of their row or list, which look as if they were written in another unit.
//!
//! A size is far where it is less than a seventh of the least of the others, or more than seven times the largest; and it is
//! told only where another unit in place of the job's own brings it back among them, to no less than half the least and no
//! more than twice the largest. So small and large pictures side by side, such as 5 x 7 in and 30 x 40 in, say nothing.
//! Loose pieces may be of any size, and what is on the rack was measured.

use super::{Finding, JobSpec, Subject};
use crate::frame::{Frame, Outline};
use crate::length::{Length, Unit};
use crate::stock::Board;

/// A size beyond so many times the largest of the others, or less than the same part of the least, is far from them.
const FAR: i128 = 7;
/// A reading is among the others if it is beyond neither by more than this factor.
const NEAR: i128 = 2;

/// Units that people mix up: not feet and meters with the sizes of pictures.
const OF_PICTURES: [Unit; 3] = [Unit::Millimeter, Unit::Centimeter, Unit::Inch];
const OF_BOARDS: [Unit; 5] = [
    Unit::Millimeter,
    Unit::Centimeter,
    Unit::Inch,
    Unit::Foot,
    Unit::Meter,
];

/// Looks at the artworks, and at the lengths of boards to buy.
pub(super) fn check_scale(job: &JobSpec, findings: &mut Vec<Finding>) {
    // A frame inside of another has the same artwork, and is no row of its own.
    let frames = job.frames.iter();
    let own_sides = |frame: &Frame| {
        if frame.is_held() {
            Vec::new()
        } else {
            sides(frame.art)
        }
    };
    let rows: Vec<Vec<Length>> = frames.map(own_sides).collect();
    let spans = Spans::of(&rows);
    for (frame_idx, own) in rows.iter().enumerate() {
        let others = spans.but(frame_idx);
        // A row as a whole, else a side of it.
        let found = reading(job, own, others, &OF_PICTURES).or_else(|| {
            (0..own.len()).find_map(|side| {
                let partner = own.iter().enumerate().filter(|(idx, _)| *idx != side);
                let others =
                    partner.fold(others, |span, (_, &size)| joined(span, Some((size, size))));
                reading(job, &own[side..=side], others, &OF_PICTURES)
            })
        });
        findings.extend(found.map(|read| read.finding(Subject::Frame(frame_idx))));
    }
    let to_buy = |board: &Board| board.in_hand.is_none().then_some(board.length);
    let rows: Vec<Vec<Length>> = job
        .boards
        .iter()
        .map(|board| to_buy(board).into_iter().collect())
        .collect();
    let spans = Spans::of(&rows);
    for (board_idx, own) in rows.iter().enumerate() {
        let found = reading(job, own, spans.but(board_idx), &OF_BOARDS);
        findings.extend(found.map(|read| read.finding(Subject::Board(board_idx))));
    }
}

/// The least and the largest of some sizes.
type Span = (Length, Length);

fn joined(one: Option<Span>, other: Option<Span>) -> Option<Span> {
    let both = one.zip(other);
    let both = both.map(|(one, other)| (one.0.min(other.0), one.1.max(other.1)));
    both.or(one).or(other)
}

/// What the sizes of all rows span before each row, and behind it.
struct Spans {
    before: Vec<Option<Span>>,
    behind: Vec<Option<Span>>,
}

impl Spans {
    fn of(rows: &[Vec<Length>]) -> Spans {
        let spans: Vec<Option<Span>> = rows
            .iter()
            .map(|row| Some((*row.iter().min()?, *row.iter().max()?)))
            .collect();
        let running = |spans: &mut dyn Iterator<Item = &Option<Span>>| {
            let mut so_far = None;
            let before = spans.map(|span| {
                let before = so_far;
                so_far = joined(so_far, *span);
                before
            });
            before.collect::<Vec<_>>()
        };
        let mut behind = running(&mut spans.iter().rev());
        behind.reverse();
        Spans {
            before: running(&mut spans.iter()),
            behind,
        }
    }

    /// What all rows but one span; nothing where no other has a size.
    fn but(&self, row: usize) -> Option<Span> {
        joined(self.before[row], self.behind[row])
    }
}

fn sides(art: Outline) -> Vec<Length> {
    match art {
        Outline::Rectangle { width, height } => vec![width, height],
        // The side of a polygon says little of how large it is.
        Outline::Regular { .. } => Vec::new(),
    }
}

/// A size that may have been written in another unit.
struct Reading {
    size: Length,
    unit: Unit,
    least: Length,
    largest: Length,
}

impl Reading {
    fn finding(self, subject: Subject) -> Finding {
        Finding::OutOfScale {
            subject,
            size: self.size,
            unit: self.unit,
            least: self.least,
            largest: self.largest,
        }
    }
}

/// The first unit that brings all of `sizes` back among the others, where each is far from them on the same side.
fn reading(
    job: &JobSpec,
    sizes: &[Length],
    others: Option<Span>,
    units: &[Unit],
) -> Option<Reading> {
    let (least, largest) = others?;
    let nm = |length: Length| i128::from(length.nm());
    let is_small = |&size: &Length| FAR * nm(size) < nm(least);
    let is_large = |&size: &Length| nm(size) > FAR * nm(largest);
    if !sizes.iter().all(is_small) && !sizes.iter().all(is_large) {
        return None;
    }
    let own = job.display.unit.length();
    // A size as read in another unit, times the job's own.
    let fits = |unit: Unit, size: &Length| {
        let read = nm(*size) * nm(unit.length());
        NEAR * read >= nm(least) * nm(own) && read <= NEAR * nm(largest) * nm(own)
    };
    let mut units = units.iter().copied();
    let unit = units.find(|&unit| sizes.iter().all(|size| fits(unit, size)))?;
    Some(Reading {
        size: *sizes.first()?,
        unit,
        least,
        largest,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::{board, empty_job, frame, inches, millimeters, moulding};

    /// What is remarked of a job of artworks of these sizes, with bare numbers in `unit`.
    fn remarks(unit: Unit, size: fn(i64) -> Length, art: &[(i64, i64)]) -> Vec<(Subject, Unit)> {
        let mut job = empty_job().spec();
        job.display.unit = unit;
        job.mouldings = vec![moulding("cap", inches(1), None)];
        let rectangle = |&(width, height): &(i64, i64)| Outline::Rectangle {
            width: size(width),
            height: size(height),
        };
        let frames = art.iter().map(|art| frame("f", 1, rectangle(art), 0));
        job.frames = frames.collect();
        found(&job)
    }

    fn found(job: &JobSpec) -> Vec<(Subject, Unit)> {
        let mut findings = Vec::new();
        check_scale(job, &mut findings);
        let of_scale = findings.into_iter().filter_map(|finding| match finding {
            Finding::OutOfScale { subject, unit, .. } => Some((subject, unit)),
            _ => None,
        });
        of_scale.collect()
    }

    #[test]
    fn a_size_in_another_unit_is_told() {
        let first = Subject::Frame(0);
        // Derived: 42 is less than a seventh of 297; A3 is 297 x 420 mm (ISO 216).
        let found = remarks(Unit::Millimeter, millimeters, &[(42, 297)]);
        assert_eq!(found, [(first, Unit::Centimeter)]);
        // A row in centimeters, and one in inches.
        let row = [(21, 30), (297, 420), (420, 594)];
        let found = remarks(Unit::Millimeter, millimeters, &row);
        assert_eq!(found, [(first, Unit::Centimeter)]);
        let found = remarks(Unit::Millimeter, millimeters, &[(11, 14), (280, 355)]);
        assert_eq!(found, [(first, Unit::Inch)]);
        // Derived: 8 x 10 in is 203 x 254 mm.
        let found = remarks(Unit::Inch, inches, &[(203, 254), (8, 10), (11, 14)]);
        assert_eq!(found, [(first, Unit::Millimeter)]);
    }

    #[test]
    fn what_is_usual_says_nothing() {
        let usual: [&[(i64, i64)]; 4] = [
            &[(5, 7), (30, 40)],
            &[(10, 60)],
            &[(8, 8)],
            &[(4, 4), (20, 24), (40, 60)],
        ];
        for art in usual {
            assert_eq!(remarks(Unit::Inch, inches, art), [], "{art:?}");
            assert_eq!(remarks(Unit::Millimeter, inches, art), [], "{art:?}");
            let centimeters = |size| millimeters(size * 25);
            assert_eq!(remarks(Unit::Centimeter, centimeters, art), [], "{art:?}");
        }
    }

    #[test]
    fn a_board_in_feet_among_inches_is_told() {
        let mut job = empty_job().spec();
        let boards = [8, 96, 120].map(|length| board("b", inches(length), None));
        job.boards = boards.to_vec();
        assert_eq!(found(&job), [(Subject::Board(0), Unit::Foot)]);
        job.boards[0].length = inches(48);
        assert_eq!(found(&job), []);
    }
}

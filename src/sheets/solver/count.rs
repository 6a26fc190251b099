//! Numbers that every plan has, by which the search splits.

use super::columns::Column;
use super::model::Model;
use crate::sheets::certificate::{Count, Hold};

/// A number, in terms of the model.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Tally {
    /// Sheets of some beds.
    Sheets { beds: Vec<usize> },
    /// Sheets of a bed, which belongs to the lane, whose widest strip is of a class or a wider one.
    Widest {
        lane: usize,
        bed: usize,
        class: usize,
    },
    /// Strips of a lane, of a class or a wider one.
    Strips { lane: usize, class: usize },
    /// Pieces of an item in such strips.
    Pieces {
        lane: usize,
        class: usize,
        item: usize,
    },
    /// Strips of a lane, of a class or a wider one, that hold of each item at least so many pieces.
    Holding {
        lane: usize,
        class: usize,
        /// `(item, how many)`, by rising item.
        least: Vec<(usize, u32)>,
    },
}

/// A condition of a node: at most so many, or more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Condition {
    /// Index of the tally among the master's.
    pub(super) tally: usize,
    /// Whether it is more than `at`, or `at` at most.
    pub(super) over: bool,
    pub(super) at: u32,
}

impl Condition {
    /// The number in the condition: at least this, or at most.
    pub(super) fn number(self) -> i64 {
        i64::from(self.at) + i64::from(self.over)
    }
}

impl Tally {
    /// How often a column counts.
    pub(super) fn of(&self, column: &Column) -> u32 {
        match (self, column) {
            (Tally::Sheets { beds }, Column::Sheet { bed, .. }) => u32::from(beds.contains(bed)),
            (Tally::Widest { bed, class, .. }, Column::Sheet { bed: own, strips }) => {
                u32::from(bed == own && strips.last().is_some_and(|(wide, _)| wide >= class))
            }
            (
                Tally::Strips { lane, class },
                Column::Strip {
                    lane: own,
                    class: wide,
                    ..
                },
            ) => u32::from(lane == own && wide >= class),
            (
                Tally::Pieces { lane, class, item },
                Column::Strip {
                    lane: own,
                    class: wide,
                    pieces,
                },
            ) if lane == own && wide >= class => {
                let count = pieces.iter().find(|entry| entry.0 == *item);
                count.map_or(0, |entry| entry.1)
            }
            (
                Tally::Holding { lane, class, least },
                Column::Strip {
                    lane: own,
                    class: wide,
                    pieces,
                },
            ) if lane == own && wide >= class => {
                let has = |&(item, number): &(usize, u32)| {
                    pieces
                        .iter()
                        .any(|&(own, count)| own == item && count >= number)
                };
                u32::from(least.iter().all(has))
            }
            _ => 0,
        }
    }

    /// The same number in terms of the job.
    pub(super) fn in_job(&self, model: &Model, kerf: i64) -> Count {
        let beds_of = |lane: usize| model.job_beds(&model.lanes[lane].beds);
        let width_of = |lane: usize, class: usize| model.lanes[lane].widths[class] - kerf;
        match self {
            Tally::Sheets { beds } => Count::Sheets {
                beds: model.job_beds(beds),
                width: 0,
            },
            &Tally::Widest { lane, bed, class } => Count::Sheets {
                beds: model.job_beds(&[bed]),
                width: width_of(lane, class),
            },
            &Tally::Strips { lane, class } => Count::Strips {
                beds: beds_of(lane),
                width: width_of(lane, class),
            },
            &Tally::Pieces { lane, class, item } => Count::Pieces {
                items: model.items[item].own.clone(),
                beds: beds_of(lane),
                width: width_of(lane, class),
            },
            Tally::Holding { lane, class, least } => Count::Holding {
                least: least
                    .iter()
                    .map(|&(item, number)| Hold {
                        items: model.items[item].own.clone(),
                        at_least: number,
                    })
                    .collect(),
                beds: beds_of(*lane),
                width: width_of(*lane, *class),
            },
        }
    }
}

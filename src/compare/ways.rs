//! The ways of buying that make sense for a job, and what it takes to go each: the job of one is made by [`Job::by_way`].

use std::collections::BTreeSet;

use crate::job::{GoneWay, Job, SomeLengths, Way};
use crate::length::Length;
use crate::stock::Board;

use super::woods::{Wood, find_woods};

/// How many lengths a way takes at most, where it says no more of its boards.
pub(super) fn most_lengths(way: &Way) -> Option<usize> {
    match way {
        Way::AtMost(most) => Some(*most),
        _ => None,
    }
}

/// Whether a way is a single length of a wood.
pub(super) fn is_single(way: &Way) -> bool {
    matches!(way, Way::OneLength { .. })
}

/// Whether a way states its boards, and is no single length.
pub(super) fn is_plain(way: &Way) -> bool {
    most_lengths(way).is_none() && !is_single(way)
}

/// All ways that make sense for a job, the best mix first.
///
/// Left out are ways that say the same as one already listed: no limits to lift, no rack to leave, at most so many
/// lengths where no wood has more.
pub fn list_ways(job: &Job) -> Vec<Way> {
    Ground::new(job).list_ways()
}

/// The woods of a job, as far as the vehicle takes their boards.
pub fn woods_to_buy(job: &Job) -> Vec<Wood> {
    Ground::new(job).woods
}

/// What all ways start from.
pub(super) struct Ground {
    /// The job with every frame asking for the grain that it is granted with the boards that the vehicle takes, see
    /// [`Job::by_way`].
    pub(super) job: Job,
    /// Its woods.
    pub(super) woods: Vec<Wood>,
}

impl Ground {
    pub(super) fn new(job: &Job) -> Ground {
        let job = job.with_granted_grain();
        Ground {
            woods: find_woods(&job),
            job,
        }
    }

    /// See [`list_ways`].
    pub(super) fn list_ways(&self) -> Vec<Way> {
        let woods = &self.woods;
        let mut ways = vec![Way::BestMix];
        let most_lengths = woods.iter().map(|wood| wood.lengths.len()).max();
        // With one wood, one length at most is the best of the rows of single lengths, which stand below.
        let fewest = if woods.len() > 1 { 1 } else { 2 };
        ways.extend(
            (fewest..=3)
                .rev()
                .filter(|&most| Some(most) < most_lengths)
                .map(Way::AtMost),
        );
        if self.job.boards.iter().any(Board::is_to_be_cut) {
            ways.push(Way::Uncut);
        }
        if self.job.without_vehicle_limit().is_some() {
            ways.push(Way::AnyLength);
        }
        let serving = || {
            let indices = woods.iter().flat_map(|wood| &wood.boards);
            indices.map(|&board_idx| &self.job.boards[board_idx])
        };
        if serving()
            .any(|board| board.quantity.is_some() && board.in_hand.is_none() && !board.is_tallied)
        {
            ways.push(Way::EnoughOfAll);
        }
        if serving().any(Board::is_from_rack) {
            ways.push(Way::WithoutRack);
        }
        ways.extend((0..self.job.buying.ways.len()).map(Way::Own));
        for (wood_idx, wood) in woods.iter().enumerate() {
            if wood.lengths.len() > 1 {
                let lengths = wood.lengths.iter();
                ways.extend(lengths.map(|&length| Way::OneLength { wood_idx, length }));
            }
        }
        ways
    }

    /// A way with all that it takes to go it; `None` for [`Way::AtMost`], whose boards must be searched for.
    ///
    /// # Panics
    /// If an index of the way is out of range.
    pub(super) fn go(&self, way: &Way) -> Option<GoneWay> {
        let woods = match way {
            Way::AtMost(_) => return None,
            Way::OneLength { wood_idx, length } => {
                vec![self.in_lengths(*wood_idx, BTreeSet::from([*length]))]
            }
            _ => Vec::new(),
        };
        Some(GoneWay {
            way: way.clone(),
            woods,
        })
    }

    /// The job of a way that states its boards.
    ///
    /// # Panics
    /// As [`Ground::go`], and for [`Way::AtMost`].
    pub(super) fn job_of(&self, way: &Way) -> Job {
        let gone = self.go(way);
        let gone = gone.expect("only a few lengths must be searched for");
        self.job.by_way(&gone)
    }

    /// A wood in some of its lengths.
    pub(super) fn in_lengths(&self, wood_idx: usize, lengths: BTreeSet<Length>) -> SomeLengths {
        let boards = self.woods[wood_idx].boards.iter().copied();
        SomeLengths {
            boards: boards
                .filter(|&idx| self.job.boards[idx].in_hand.is_none())
                .collect(),
            lengths,
        }
    }

    /// The job with woods in some lengths only, as a way of `most` lengths.
    pub(super) fn with_lengths(&self, most: usize, woods: Vec<SomeLengths>) -> Job {
        self.job.by_way(&GoneWay {
            way: Way::AtMost(most),
            woods,
        })
    }
}

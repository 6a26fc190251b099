//! The ways of buying, and the job that each of them makes.

use std::collections::BTreeSet;

use crate::job::{Buying, Job, OwnBoards};
use crate::length::Length;
use crate::stock::Board;

use super::woods::{Wood, find_woods};

/// One way of buying.
///
/// A board that the vehicle does not take is bought in one way only, cut at the yard, where the job says how.
/// Every way takes from the rack what serves, but the one without it; every way keeps to the quantities that the job
/// states and to what the vehicle takes, but the two that lift these limits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Way {
    /// Every board of the job, as many of each as the job says there are.
    BestMix,
    /// No more than so many lengths of each wood, the best ones.
    AtMost(usize),
    /// One wood in one length only; other woods as in the best mix.
    OneLength {
        /// Index of the wood.
        wood_idx: usize,
        /// The length.
        length: Length,
    },
    /// Boards that the vehicle does not take are cut at the yard, as the job allows, and may be bought too.
    CutAtYard,
    /// As if the vehicle took boards of any length.
    AnyLength,
    /// As if there were enough of every board that is bought.
    EnoughOfAll,
    /// All boards bought, none from the rack.
    WithoutRack,
    /// One that the job's file lists: an index into [`Buying::ways`].
    Own(usize),
}

impl Way {
    /// Whether one can go it today: not where it lifts a limit.
    pub fn is_open(&self) -> bool {
        !matches!(self, Way::AnyLength | Way::EnoughOfAll)
    }

    /// How many lengths it takes at most, where it says no more of its boards.
    pub(super) fn most_lengths(&self) -> Option<usize> {
        match self {
            Way::AtMost(most) => Some(*most),
            _ => None,
        }
    }

    /// Whether it is a single length of a wood.
    pub(super) fn is_single(&self) -> bool {
        matches!(self, Way::OneLength { .. })
    }

    /// Whether it states its boards, and is no single length.
    pub(super) fn is_plain(&self) -> bool {
        self.most_lengths().is_none() && !self.is_single()
    }
}

/// All ways that make sense for a job, the best mix first.
///
/// Left out are ways that say the same as one already listed: no limits to lift, no rack to leave, at most so many
/// lengths where no wood has more.
pub fn list_ways(job: &Job, buying: &Buying) -> Vec<Way> {
    Ground::new(job, buying).list_ways()
}

/// What all ways start from.
pub(super) struct Ground<'a> {
    /// The job with the boards that the vehicle takes, every frame asking for the grain that it is granted with them.
    ///
    /// With fewer boards a frame that may come in pairs would be granted less; then ways could not be compared, and
    /// fewer boards could cost less.
    pub(super) job: Job,
    /// All boards of the job.
    boards: &'a [Board],
    buying: &'a Buying,
    /// The woods of `job`.
    pub(super) woods: Vec<Wood>,
}

impl<'a> Ground<'a> {
    pub(super) fn new(job: &'a Job, buying: &'a Buying) -> Ground<'a> {
        let fitting = job
            .with_some_boards(|_, board| fits(buying, board))
            .with_granted_grain();
        Ground {
            woods: find_woods(&fitting),
            job: fitting,
            boards: &job.boards,
            buying,
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
        if self.boards.iter().any(|board| board.at_yard.is_some()) {
            ways.push(Way::CutAtYard);
        }
        if self.boards.iter().any(|board| !fits(self.buying, board)) {
            ways.push(Way::AnyLength);
        }
        let serving = || {
            let indices = woods.iter().flat_map(|wood| &wood.boards);
            indices.map(|&board_idx| &self.job.boards[board_idx])
        };
        if serving().any(|board| board.quantity.is_some() && board.in_hand.is_none()) {
            ways.push(Way::EnoughOfAll);
        }
        if serving().any(|board| board.in_hand.is_some()) {
            ways.push(Way::WithoutRack);
        }
        ways.extend((0..self.buying.ways.len()).map(Way::Own));
        for (wood_idx, wood) in woods.iter().enumerate() {
            if wood.lengths.len() > 1 {
                let lengths = wood.lengths.iter();
                ways.extend(lengths.map(|&length| Way::OneLength { wood_idx, length }));
            }
        }
        ways
    }

    /// The job that a way makes; `None` for [`Way::AtMost`], whose boards must be searched for.
    ///
    /// # Panics
    /// If an index of the way is out of range.
    pub(super) fn job_of(&self, way: &Way) -> Option<Job> {
        let job = &self.job;
        Some(match way {
            Way::BestMix => job.clone(),
            Way::AtMost(_) => return None,
            Way::OneLength { wood_idx, length } => {
                let mut lengths = vec![None; self.woods.len()];
                lengths[*wood_idx] = Some(BTreeSet::from([*length]));
                self.with_lengths(&lengths)
            }
            Way::CutAtYard => job
                .with_boards(self.boards.to_vec())
                .with_some_boards(|_, board| fits(self.buying, board) || board.at_yard.is_some()),
            Way::AnyLength => job.with_boards(self.boards.iter().map(Board::uncut).collect()),
            Way::EnoughOfAll => {
                job.with_enough_of(|_, board| board.in_hand.is_none() && fits(self.buying, board))
            }
            Way::WithoutRack => job.with_some_boards(|_, board| board.in_hand.is_none()),
            Way::Own(way_idx) => match &self.buying.ways[*way_idx].boards {
                OwnBoards::Named(named) => job
                    .with_some_boards(|idx, board| named.contains(&idx) || board.in_hand.is_some()),
                OwnBoards::Listed(listed) => {
                    let rack = job.boards.iter().filter(|board| board.in_hand.is_some());
                    let boards = rack.chain(listed).cloned().collect();
                    job.with_boards(boards)
                        .with_some_boards(|_, board| fits(self.buying, board))
                }
            },
        })
    }

    /// The job with each wood in some lengths only.
    ///
    /// `lengths[w]` are the lengths of wood `w`, `None` all; the rack stays.
    pub(super) fn with_lengths(&self, lengths: &[Option<BTreeSet<Length>>]) -> Job {
        self.job.with_some_boards(|idx, board| {
            let mut woods = self.woods.iter().zip(lengths);
            match woods.find(|(wood, _)| wood.boards.contains(&idx)) {
                Some((_, Some(lengths))) => {
                    lengths.contains(&board.length) || board.in_hand.is_some()
                }
                _ => true,
            }
        })
    }
}

/// Whether the vehicle takes a board, or it is at home already.
fn fits(buying: &Buying, board: &Board) -> bool {
    board.in_hand.is_some() || buying.longest.is_none_or(|longest| board.length <= longest)
}

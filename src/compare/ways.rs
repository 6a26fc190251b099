//! The ways of buying, and the job that each of them makes.

use std::collections::BTreeSet;

use crate::job::{Buying, Job, OwnBoards};
use crate::length::Length;
use crate::stock::Board;

use super::woods::Wood;

/// One way of buying.
///
/// Every way takes from the rack what serves, but the one without it; every way keeps to the quantities that the job
/// states, but the one that lifts them.
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
    /// No board longer than this.
    Longest(Length),
    /// As if there were enough of every board that is bought.
    EnoughOfAll,
    /// All boards bought, none from the rack.
    WithoutRack,
    /// One that the job's file lists: an index into [`Buying::ways`].
    Own(usize),
}

/// All ways that make sense for a job, the best mix first.
///
/// Left out are ways that say the same as one already listed: no limits to lift, no rack to leave, a longest board
/// that every board keeps to, at most so many lengths where no wood has more.
pub fn list_ways(job: &Job, buying: &Buying, woods: &[Wood]) -> Vec<Way> {
    let mut ways = vec![Way::BestMix];
    let most_lengths = woods
        .iter()
        .map(|wood| wood.lengths.len())
        .max()
        .unwrap_or(0);
    // With one wood, one length at most is the best of the rows of single lengths, which stand below.
    let fewest = if woods.len() > 1 { 1 } else { 2 };
    ways.extend(
        (fewest..=3)
            .rev()
            .filter(|&most| most < most_lengths)
            .map(Way::AtMost),
    );
    if let Some(longest) = buying.longest
        && job.boards.iter().any(|board| board.length > longest)
    {
        ways.push(Way::Longest(longest));
    }
    let serves = |board_idx: usize| woods.iter().any(|wood| wood.boards.contains(&board_idx));
    let boards = || {
        job.boards
            .iter()
            .enumerate()
            .filter(|&(idx, _)| serves(idx))
            .map(|(_, board)| board)
    };
    if boards().any(|board| board.quantity.is_some() && board.in_hand.is_none()) {
        ways.push(Way::EnoughOfAll);
    }
    if boards().any(|board| board.in_hand.is_some()) {
        ways.push(Way::WithoutRack);
    }
    ways.extend((0..buying.ways.len()).map(Way::Own));
    for (wood_idx, wood) in woods.iter().enumerate() {
        if wood.lengths.len() > 1 {
            ways.extend(
                wood.lengths
                    .iter()
                    .map(|&length| Way::OneLength { wood_idx, length }),
            );
        }
    }
    ways
}

/// The job with no boards but those of which `keep` is true; the others stay in the list, none of them there, so
/// that indices mean the same in every way.
pub(super) fn with_boards(job: &Job, keep: impl Fn(usize, &Board) -> bool) -> Job {
    let mut kept = job.clone();
    for (idx, board) in kept.boards.iter_mut().enumerate() {
        if !keep(idx, board) {
            board.quantity = Some(0);
        }
    }
    kept
}

/// The job with each wood in some lengths only.
///
/// `lengths[w]` are the lengths of wood `w`; the rack stays.
pub(super) fn with_lengths(job: &Job, woods: &[Wood], lengths: &[Option<BTreeSet<Length>>]) -> Job {
    with_boards(job, |idx, board| {
        let chosen = woods
            .iter()
            .zip(lengths)
            .find(|(wood, _)| wood.boards.contains(&idx));
        match chosen {
            Some((_, Some(lengths))) => lengths.contains(&board.length) || board.in_hand.is_some(),
            _ => true,
        }
    })
}

/// The job that a way makes; `None` for [`Way::AtMost`], whose boards must be searched for.
///
/// # Panics
/// If an index of the way is out of range.
pub(super) fn job_of(job: &Job, buying: &Buying, woods: &[Wood], way: &Way) -> Option<Job> {
    Some(match way {
        Way::BestMix => job.clone(),
        Way::AtMost(_) => return None,
        Way::OneLength { wood_idx, length } => {
            let mut lengths = vec![None; woods.len()];
            lengths[*wood_idx] = Some(BTreeSet::from([*length]));
            with_lengths(job, woods, &lengths)
        }
        Way::Longest(longest) => with_boards(job, |_, board| board.length <= *longest),
        Way::WithoutRack => with_boards(job, |_, board| board.in_hand.is_none()),
        Way::EnoughOfAll => {
            let mut lifted = job.clone();
            for board in &mut lifted.boards {
                if board.in_hand.is_none() {
                    board.quantity = None;
                }
            }
            lifted
        }
        Way::Own(way_idx) => match &buying.ways[*way_idx].boards {
            OwnBoards::Named(named) => with_boards(job, |idx, board| {
                named.contains(&idx) || board.in_hand.is_some()
            }),
            OwnBoards::Listed(listed) => {
                let mut other = job.clone();
                other.boards.retain(|board| board.in_hand.is_some());
                other.boards.extend(listed.iter().cloned());
                other
            }
        },
    })
}

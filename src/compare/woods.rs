//! Which boards serve the same parts: one buys each such wood by itself.

use std::collections::BTreeSet;

use crate::job::Job;
use crate::length::Length;
use crate::pipeline::find_kin;

/// Boards that may stand in for each other, and nothing else may.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wood {
    /// Indices into `Job::boards`, rising.
    pub boards: Vec<usize>,
    /// Lengths of those of them that must be bought, rising.
    pub lengths: Vec<Length>,
    /// Mouldings milled from it, as indices into `Job::mouldings`, rising; `None` is plain wood.
    pub sections: Vec<Option<usize>>,
}

/// The woods of a job, in the order of the boards.
///
/// Two boards are of one wood when some part fits both of them, directly or by way of other boards.
/// Boards that no part fits are of none.
pub fn find_woods(job: &Job) -> Vec<Wood> {
    find_kin(job)
        .into_iter()
        .map(|(boards, sections)| {
            let bought = boards
                .iter()
                .filter(|&&idx| job.boards[idx].in_hand.is_none());
            let lengths: BTreeSet<Length> = bought.map(|&idx| job.boards[idx].length).collect();
            Wood {
                boards: boards.into_iter().collect(),
                lengths: lengths.into_iter().collect(),
                sections: sections.into_iter().collect(),
            }
        })
        .collect()
}

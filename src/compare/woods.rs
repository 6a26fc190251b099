//! Which boards serve the same parts: one buys each such wood by itself.

use std::collections::BTreeSet;

use crate::bridge::lower;
use crate::job::Job;
use crate::length::Length;

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
    let (instance, origins) = lower(job);
    let mut woods: Vec<(BTreeSet<usize>, BTreeSet<Option<usize>>)> = Vec::new();
    for (items, stocks) in instance.connected() {
        let mut boards: BTreeSet<usize> = stocks
            .iter()
            .map(|&stock| origins.board_indices[stock])
            .collect();
        let mut sections: BTreeSet<Option<usize>> = items
            .iter()
            .map(|&item| origins.items[item].moulding_idx)
            .collect();
        // A board that suits two sections is two stocks; it joins their parts all the same.
        woods.retain(|(others, other_sections)| {
            let is_apart = others.is_disjoint(&boards);
            if !is_apart {
                boards.extend(others);
                sections.extend(other_sections);
            }
            is_apart
        });
        woods.push((boards, sections));
    }
    woods.sort();
    woods
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

//! The resaw list: what thickness the saw is set to, and which boards are resawn so.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::length::Length;
use crate::plan::Plan;

/// One setting of the saw that resaws, and the boards that are resawn with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Resawing {
    /// How thick the slices are once they are planed.
    pub thickness: Length,
    /// The setting: that and what planing takes.
    pub set_to: Length,
    /// How many slices there are of all boards.
    pub n_slices: u64,
    /// The boards, in the order of the job: position in `Plan::boards`, and how many slices each gives, those of all that the
    /// yard has cut it into together.
    pub boards: Vec<(usize, u64)>,
}

/// All settings, thickest slices first; none where nothing is resawn.
pub(super) fn resaws(plan: &Plan) -> Vec<Resawing> {
    let Some(resaw) = plan.job.shop.rip.and_then(|rip| rip.resaw) else {
        return Vec::new();
    };
    let mut by_thickness: BTreeMap<Reverse<Length>, Vec<usize>> = BTreeMap::new();
    for (position, board) in plan.boards.iter().enumerate() {
        if let Some(thickness) = board.resawn {
            let of_thickness = by_thickness.entry(Reverse(thickness)).or_default();
            of_thickness.push(position);
        }
    }
    let setting = |(Reverse(thickness), mut positions): (Reverse<Length>, Vec<usize>)| {
        positions.sort_by_key(|&at| (plan.boards[at].board_idx, plan.boards[at].number));
        let slices = |at: usize| super::count(plan.boards[at].stretches.len());
        let boards: Vec<(usize, u64)> = positions.into_iter().map(|at| (at, slices(at))).collect();
        Resawing {
            thickness,
            set_to: resaw.set_to(thickness),
            n_slices: boards.iter().map(|&(_, n_slices)| n_slices).sum(),
            boards,
        }
    };
    by_thickness.into_iter().map(setting).collect()
}

//! Cases of claims for tests.

use super::table::{Absent, BestBoard, Board, Case};

/// A case of these demands, of parts of which none may be missing, with figures of 1 for all else.
pub(super) fn case<'a>(
    demand: &[u64],
    boards: Vec<Board<'a>>,
    best_board: BestBoard<'a>,
) -> Case<'a> {
    Case {
        demand: demand.to_vec(),
        weights: vec![1; demand.len()],
        absent: Absent { cost: 0, most: 0 },
        boards,
        step: 1,
        unit: 1,
        best_board,
        rip_kinds: Vec::new(),
        best_rips: &|_, _| Ok(Vec::new()),
    }
}

/// Boards of a kind that are all to be paid for.
pub(super) fn kind(cost: i64, supply: Option<u32>, classes: &[usize]) -> Board<'_> {
    Board {
        cost,
        supply,
        classes,
        kept: &[],
    }
}

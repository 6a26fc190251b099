//! Small exact searches that finish failed dives.

use super::super::heuristic::dive::Remainder;
use super::super::params::REMAINDER_NODES;
use super::super::problem::CutBoard;
use super::super::taken::TakenBoards;
use super::BranchAndPrice;

impl BranchAndPrice<'_, '_> {
    /// Solves what a failed dive left by a search of its own.
    pub(super) fn close(&mut self, remainder: &Remainder) {
        if let Some(taken) = self.completed(remainder)
            && let Some(boards) = taken.into_boards(self.problem)
        {
            self.offer(&boards);
        }
    }

    /// All that was taken, and the rest by a search with few nodes, below the cutoff.
    fn completed(&self, remainder: &Remainder) -> Option<TakenBoards> {
        let (small, items, strips) =
            self.problem
                .restricted(&remainder.demand, &remainder.supply, &remainder.loose);
        let mut inner = BranchAndPrice::new(&small, self.meter, &|_, _| {});
        inner.nested = true;
        inner.ceiling = self.cutoff().saturating_sub(remainder.fixed);
        inner.node_limit = REMAINDER_NODES;
        inner.run();
        let plan = inner.incumbent?;
        let back = |counts: &[(usize, u32)]| -> Vec<(usize, u32)> {
            counts
                .iter()
                .map(|&(item, count)| (items[item], count))
                .collect()
        };
        let mut taken = remainder.taken.clone();
        let n_kinds = self.problem.kinds.len();
        for (board, times) in &plan.boards {
            if board.kind >= n_kinds {
                let strip = strips[board.kind - n_kinds];
                taken.cut(strip, back(&board.counts), *times);
                continue;
            }
            let board = CutBoard {
                kind: board.kind,
                layout: board.layout,
                counts: back(&board.counts),
                parts: board.parts.iter().map(|part| back(part)).collect(),
            };
            taken.boards.push((board, *times));
        }
        Some(taken)
    }
}

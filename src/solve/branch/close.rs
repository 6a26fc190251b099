//! Small exact searches that finish failed dives.

use super::super::heuristic::dive::Remainder;
use super::super::params::REMAINDER_NODES;
use super::super::problem::{Column, Problem};
use super::Search;

impl Search<'_, '_> {
    /// Solves what a failed dive left by a search of its own.
    pub(super) fn close(&mut self, remainder: &Remainder) {
        let ceiling = self.cutoff().saturating_sub(remainder.fixed);
        if let Some(found) = self.solve_part(&remainder.demand, &remainder.supply, ceiling) {
            let mut boards = remainder.boards.clone();
            boards.extend(found);
            self.offer(&boards);
        }
    }

    /// Boards for `demand` from `supply` at a cost below `ceiling`, by a search with few nodes.
    fn solve_part(
        &self,
        demand: &[u32],
        supply: &[u32],
        ceiling: i64,
    ) -> Option<Vec<(Column, u32)>> {
        let (small, items): (Problem, Vec<usize>) = self.problem.restricted(demand, supply);
        let mut inner = Search::new(&small, self.meter, &|_, _| {});
        inner.nested = true;
        inner.ceiling = ceiling;
        inner.node_limit = REMAINDER_NODES;
        inner.run();
        let plan = inner.incumbent?;
        let back = |counts: &[(usize, u32)]| -> Vec<(usize, u32)> {
            counts
                .iter()
                .map(|&(item, count)| (items[item], count))
                .collect()
        };
        let boards = plan.boards.iter().map(|(column, times)| {
            let column = Column {
                kind: column.kind,
                layout: column.layout,
                counts: back(&column.counts),
                parts: column.parts.iter().map(|part| back(part)).collect(),
            };
            (column, *times)
        });
        Some(boards.collect())
    }
}

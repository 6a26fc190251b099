//! The way back: plans in the instance's own terms.

use crate::cutting::{BoardUse, Instance, Pattern};

use super::super::problem::{BoardPlan, CutBoard, Problem};
use super::{KindOrigin, Normalized};

impl Normalized {
    /// The instance's items, rising, and for each the problem's item that it is part of.
    pub(in super::super) fn items(&self) -> (Vec<usize>, Vec<usize>) {
        let mut pairs: Vec<(usize, usize)> = self
            .item_origins
            .iter()
            .enumerate()
            .flat_map(|(item, origins)| origins.iter().map(move |&origin| (origin, item)))
            .collect();
        pairs.sort_unstable();
        pairs.into_iter().unzip()
    }

    /// The stocks that are not needed, each with an unlimited one that replaces it.
    pub(in super::super) fn replaced(&self) -> Vec<(usize, usize)> {
        let mut pairs: Vec<(usize, usize)> = self
            .replaced
            .iter()
            .zip(&self.kind_origins)
            .flat_map(|(replaced, origins)| {
                let by = origins[origins
                    .iter()
                    .position(|origin| origin.unlimited)
                    .unwrap_or(0)]
                .stock;
                replaced.iter().map(move |&stock| (stock, by))
            })
            .collect();
        pairs.sort_unstable();
        pairs
    }

    /// All stocks of the instance that a proof speaks of, rising: those behind the kinds, and those left out as too dear.
    pub(in super::super) fn stocks(&self) -> Vec<usize> {
        let all: Vec<usize> = (0..self.kind_origins.len()).collect();
        let mut stocks = self.stocks_of(&all);
        stocks.extend(&self.dear);
        stocks.sort_unstable();
        stocks
    }

    /// The instance's stocks behind some kinds, rising.
    pub(in super::super) fn stocks_of(&self, kinds: &[usize]) -> Vec<usize> {
        let mut stocks: Vec<usize> = kinds
            .iter()
            .flat_map(|&kind| self.kind_origins[kind].iter().map(|origin| origin.stock))
            .collect();
        stocks.sort_unstable();
        stocks
    }

    /// The instance's stocks, each with a layout, behind some kinds with their layouts; rising.
    pub(in super::super) fn divided_stocks(&self, ways: &[(usize, usize)]) -> Vec<(usize, usize)> {
        let mut divided: Vec<(usize, usize)> = ways
            .iter()
            .flat_map(|&(kind, layout)| {
                self.kind_origins[kind]
                    .iter()
                    .map(move |origin| (origin.stock, origin.layouts[layout].layout))
            })
            .collect();
        divided.sort_unstable();
        divided
    }

    /// The boards of `plan`, whose columns refer to `problem`, in the instance's own terms; and how many of each of the
    /// instance's items are missing.
    pub(in super::super) fn raise(
        &self,
        instance: &Instance,
        problem: &Problem,
        plan: &BoardPlan,
    ) -> (Vec<BoardUse>, Vec<u32>) {
        let mut boards = Vec::new();
        let mut missing = vec![0; instance.items.len()];
        let mut stock_left: Vec<Vec<u32>> = self
            .kind_origins
            .iter()
            .map(|origins| {
                origins
                    .iter()
                    .map(|origin| instance.stocks[origin.stock].supply.unwrap_or(u32::MAX))
                    .collect()
            })
            .collect();
        let mut item_left: Vec<Vec<u32>> = self
            .item_origins
            .iter()
            .map(|origins| {
                origins
                    .iter()
                    .map(|&item| instance.items[item].demand)
                    .collect()
            })
            .collect();
        for (column, times) in &plan.boards {
            if problem.kinds[column.kind].absent {
                for &(item, count) in &column.counts {
                    for (origin, taken) in self.take(&mut item_left, item, count * times) {
                        missing[origin] += taken;
                    }
                }
                continue;
            }
            let mut rest = *times;
            while rest > 0 {
                // A run of boards that are alike in the instance's terms too.
                let (which, left) = stock_left[column.kind]
                    .iter()
                    .copied()
                    .enumerate()
                    .find(|&(_, left)| left > 0)
                    .expect("a plan keeps within the supply");
                let mut run = rest.min(left);
                for &(item, count) in &column.counts {
                    let first = item_left[item]
                        .iter()
                        .copied()
                        .find(|&left| left > 0)
                        .unwrap_or(0);
                    run = run.min((first / count).max(1));
                }
                let board = self.board(
                    column,
                    &self.kind_origins[column.kind][which],
                    run,
                    &mut item_left,
                );
                stock_left[column.kind][which] -= run;
                rest -= run;
                boards.push(board);
            }
        }
        (boards, missing)
    }

    /// Takes `count` pieces of item `item` from the instance's items behind it, in order.
    fn take(&self, item_left: &mut [Vec<u32>], item: usize, mut count: u32) -> Vec<(usize, u32)> {
        let mut taken = Vec::new();
        for (left, &origin) in item_left[item].iter_mut().zip(&self.item_origins[item]) {
            let part = count.min(*left);
            if part > 0 {
                *left -= part;
                count -= part;
                taken.push((origin, part));
            }
        }
        assert!(count == 0, "a plan cuts no more than the demand");
        taken
    }

    fn board(
        &self,
        column: &CutBoard,
        origin: &KindOrigin,
        run: u32,
        item_left: &mut [Vec<u32>],
    ) -> BoardUse {
        let layout = &origin.layouts[column.layout];
        let single = [column.counts.clone()];
        let parts: &[Vec<(usize, u32)>] = if column.parts.is_empty() {
            &single
        } else {
            &column.parts
        };
        let raised: Vec<Pattern> = parts
            .iter()
            .map(|part| {
                let mut counts = Vec::new();
                for &(item, count) in part {
                    if run == 1 {
                        counts.extend(self.take(item_left, item, count));
                    } else {
                        // A longer run takes all its pieces from one item.
                        let taken = self.take(item_left, item, count * run);
                        counts.push((taken[0].0, count));
                        debug_assert_eq!(taken.len(), 1);
                    }
                }
                counts.sort_unstable();
                Pattern { counts }
            })
            .collect();
        let patterns = layout
            .places
            .iter()
            .map(|place| place.map_or_else(Pattern::default, |idx| raised[idx].clone()))
            .collect();
        BoardUse {
            stock: origin.stock,
            layout: layout.layout,
            patterns,
            times: run,
        }
    }
}

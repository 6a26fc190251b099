//! Boards and patterns taken one by one, and the whole boards that they make.

use std::collections::VecDeque;

use crate::cutting::add_count;

use super::master::ColumnSource;
use super::problem::{CutBoard, Problem};

/// `(item, count)`, items rising.
type ItemCounts = Vec<(usize, u32)>;

/// What has been taken so far on the way to a plan, in the problem's own items.
#[derive(Clone, Debug, Default)]
pub(super) struct TakenBoards {
    /// Boards with all their patterns.
    pub(super) boards: Vec<(CutBoard, u32)>,
    /// Ripped boards: kind, layout, how many.
    ripped: Vec<(usize, usize, u32)>,
    /// Patterns for strips of ripped boards: strip, pattern, how many.
    cuts: Vec<(usize, ItemCounts, u32)>,
}

impl TakenBoards {
    /// Takes `times` columns of `source` with the pattern `counts`.
    pub(super) fn add(&mut self, source: &ColumnSource, counts: ItemCounts, times: u32) {
        match *source {
            ColumnSource::Whole { kind, layout, .. } => {
                let board = CutBoard {
                    kind,
                    layout,
                    counts,
                    parts: Vec::new(),
                };
                self.boards.push((board, times));
            }
            ColumnSource::Absent { kind } => {
                let board = CutBoard {
                    kind,
                    layout: 0,
                    counts,
                    parts: Vec::new(),
                };
                self.boards.push((board, times));
            }
            ColumnSource::Ripped { kind, layout, .. } => self.ripped.push((kind, layout, times)),
            ColumnSource::Strip { strip } => self.cut(strip, counts, times),
        }
    }

    /// Takes `times` strips with the pattern `counts`.
    pub(super) fn cut(&mut self, strip: usize, counts: ItemCounts, times: u32) {
        self.cuts.push((strip, counts, times));
    }

    /// Whole boards: the patterns dealt out to the strips of the ripped boards, the cheapest boards first.
    ///
    /// `None` when there are more patterns than strips.
    pub(super) fn into_boards(self, problem: &Problem) -> Option<Vec<(CutBoard, u32)>> {
        let TakenBoards {
            mut boards,
            mut ripped,
            mut cuts,
        } = self;
        cuts.sort();
        let mut waiting: Vec<VecDeque<ItemCounts>> = vec![VecDeque::new(); problem.strips.len()];
        for (strip, counts, times) in cuts {
            for _ in 0..times {
                waiting[strip].push_back(counts.clone());
            }
        }
        ripped
            .sort_by_key(|&(kind, layout, _)| (problem.kinds[kind].cost_in(layout), kind, layout));
        for (kind, layout, times) in ripped {
            for _ in 0..times {
                let parts: Vec<ItemCounts> = problem.kinds[kind].layouts[layout]
                    .iter()
                    .map(|&strip| waiting[strip].pop_front().unwrap_or_default())
                    .collect();
                boards.push((ripped_board(kind, layout, parts), 1));
            }
        }
        waiting.iter().all(VecDeque::is_empty).then_some(boards)
    }
}

/// A board of several strips with a pattern for each.
fn ripped_board(kind: usize, layout: usize, parts: Vec<ItemCounts>) -> CutBoard {
    let mut counts: ItemCounts = Vec::new();
    for &(item, count) in parts.iter().flatten() {
        add_count(&mut counts, item, count);
    }
    CutBoard {
        kind,
        layout,
        counts,
        parts,
    }
}

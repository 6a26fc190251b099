//! A plan of one way of buying as the start of another's search.

use crate::bridge::{Origins, lower};
use crate::cutting::{BoardUse, Instance, Solution};
use crate::job::Job;

/// A job in the cutting model.
pub(super) struct Lowered {
    pub(super) instance: Instance,
    pub(super) origins: Origins,
}

impl Lowered {
    pub(super) fn new(job: &Job) -> Lowered {
        let (instance, origins) = lower(job);
        Lowered { instance, origins }
    }
}

/// A lowered job with its answer.
pub(super) struct Answered {
    pub(super) lowered: Lowered,
    pub(super) solution: Solution,
}

/// The cheapest of some answers that is a plan of another job too, the first of them, in terms of that; empty where none
/// is.
pub(super) fn best_start<'a>(
    answers: impl IntoIterator<Item = &'a Answered>,
    to: &Lowered,
) -> Vec<BoardUse> {
    answers
        .into_iter()
        .filter_map(|answer| Some((answer.solution.cost, carried_over(answer, to)?)))
        .min_by_key(|&(cost, _)| cost)
        .map(|(_, boards)| boards)
        .unwrap_or_default()
}

/// The boards of an answer in terms of `to`; `None` where parts are missing or of another size, or where `to` lacks a
/// board, or has too few of it.
fn carried_over(answer: &Answered, to: &Lowered) -> Option<Vec<BoardUse>> {
    let from = &answer.lowered;
    let sizes = |instance: &Instance| -> Vec<(i64, u32)> {
        let items = instance.items.iter();
        items.map(|item| (item.size, item.pieces)).collect()
    };
    let is_whole = answer.solution.missing.iter().all(|&count| count == 0);
    if !is_whole || sizes(&from.instance) != sizes(&to.instance) {
        return None;
    }
    let layout = |instance: &Instance, stock: usize, layout: usize| {
        let layout = instance.stocks[stock].layouts.get(layout)?;
        let strips = layout.strips.iter().map(|&strip| {
            let strip = &instance.strips[strip];
            (strip.capacity, strip.items.clone())
        });
        Some(strips.collect::<Vec<_>>())
    };
    let mut left: Vec<Option<u32>> = to
        .instance
        .stocks
        .iter()
        .map(|stock| stock.supply)
        .collect();
    let carried = answer.solution.boards.iter().map(|board| {
        let stock = counterpart(board.stock, &from.origins, &to.origins)?;
        let own = layout(&from.instance, board.stock, board.layout);
        if own != layout(&to.instance, stock, board.layout) {
            return None;
        }
        if let Some(left) = &mut left[stock] {
            *left = left.checked_sub(board.times)?;
        }
        Some(BoardUse {
            stock,
            ..board.clone()
        })
    });
    carried.collect()
}

/// The stock that is the same board in another instance: of several, the one in the same place among them.
fn counterpart(stock: usize, from: &Origins, to: &Origins) -> Option<usize> {
    let board_idx = from.board_indices[stock];
    let place = from.board_indices[..stock]
        .iter()
        .filter(|&&idx| idx == board_idx)
        .count();
    let mut same = (0..to.board_indices.len()).filter(|&idx| to.board_indices[idx] == board_idx);
    same.nth(place)
}

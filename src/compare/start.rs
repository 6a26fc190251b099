//! A plan of one way of buying as the start of another's search.

use crate::cutting::{BoardUse, Instance, Solution};
use crate::plan::Origins;

/// The boards of `solution`, of the instance `from`, in terms of `to`, whose job has parts of the same sizes and at least
/// all its boards; empty where the two do not agree on a board or a size.
pub(super) fn carried_over(
    solution: &Solution,
    from: (&Instance, &Origins),
    to: (&Instance, &Origins),
) -> Vec<BoardUse> {
    let sizes = |instance: &Instance| -> Vec<(i64, u32)> {
        let items = instance.items.iter();
        items.map(|item| (item.size, item.pieces)).collect()
    };
    if sizes(from.0) != sizes(to.0) {
        return Vec::new();
    }
    let carried = solution.boards.iter().map(|board| {
        let stock = counterpart(board.stock, from.1, to.1)?;
        let layout = |instance: &Instance, stock: usize| -> Option<Vec<(i64, Vec<usize>)>> {
            let layout = instance.stocks[stock].layouts.get(board.layout)?;
            let strips = layout.strips.iter().map(|&strip| {
                let strip = &instance.strips[strip];
                (strip.capacity, strip.items.clone())
            });
            Some(strips.collect())
        };
        let is_same = layout(from.0, board.stock) == layout(to.0, stock);
        is_same.then(|| BoardUse {
            stock,
            ..board.clone()
        })
    });
    carried.collect::<Option<_>>().unwrap_or_default()
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

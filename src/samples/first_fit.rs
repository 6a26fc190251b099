//! A solver that is simple enough to be right, for tests of what stands round a solver.

use crate::cutting::{BoardUse, Bound, End, Instance, Layout, Pattern, Solution};

/// First fit over the items in their order: on the first open strip with room, else on a strip of the first board
/// that takes it. No claim to be good; bounds are the trivial ones.
pub(crate) fn first_fit(instance: &Instance) -> Solution {
    struct Open {
        /// Position in the list of boards, and of the strip on it.
        board: usize,
        strip_idx: usize,
        strip: usize,
        room: i64,
    }
    let mut left: Vec<Option<u32>> = instance.stocks.iter().map(|stock| stock.supply).collect();
    let mut boards: Vec<BoardUse> = Vec::new();
    let mut open: Vec<Open> = Vec::new();
    let mut missing = vec![0; instance.items.len()];
    for (item_idx, item) in instance.items.iter().enumerate() {
        let takes = |strip: usize, room: i64| {
            instance.strips[strip].items.contains(&item_idx) && item.size <= room
        };
        let mut first_with_room = 0;
        for _ in 0..item.demand {
            // Strips without room for this item have none for the next one like it.
            while first_with_room < open.len()
                && !takes(open[first_with_room].strip, open[first_with_room].room)
            {
                first_with_room += 1;
            }
            if first_with_room == open.len() {
                let fresh = instance
                    .stocks
                    .iter()
                    .enumerate()
                    .find_map(|(stock_idx, stock)| {
                        if left[stock_idx] == Some(0) {
                            return None;
                        }
                        let takes_fresh = |layout: &Layout| {
                            layout
                                .strips
                                .iter()
                                .any(|&strip| takes(strip, instance.strips[strip].capacity))
                        };
                        // The last and the first layout that will do in turn, so that both kinds are met.
                        let layout = if boards.len().is_multiple_of(2) {
                            stock.layouts.iter().rposition(takes_fresh)
                        } else {
                            stock.layouts.iter().position(takes_fresh)
                        }?;
                        Some((stock_idx, layout))
                    });
                let Some((stock, layout)) = fresh else {
                    missing[item_idx] += 1;
                    continue;
                };
                left[stock] = left[stock].map(|n| n - 1);
                let strips = &instance.stocks[stock].layouts[layout].strips;
                for (strip_idx, &strip) in strips.iter().enumerate() {
                    open.push(Open {
                        board: boards.len(),
                        strip_idx,
                        strip,
                        room: instance.strips[strip].capacity,
                    });
                }
                boards.push(BoardUse {
                    stock,
                    layout,
                    patterns: vec![Pattern::default(); strips.len()],
                    times: 1,
                });
                while !takes(open[first_with_room].strip, open[first_with_room].room) {
                    first_with_room += 1;
                }
            }
            let place = &mut open[first_with_room];
            place.room -= item.size;
            let counts = &mut boards[place.board].patterns[place.strip_idx].counts;
            match counts.last_mut() {
                Some((last, count)) if *last == item_idx => *count += 1,
                _ => counts.push((item_idx, 1)),
            }
        }
    }
    let cost = boards
        .iter()
        .map(|board| instance.stocks[board.stock].cost)
        .sum();
    let n_missing: u32 = missing.iter().sum();
    Solution {
        patterns: Vec::new(),
        certificate: None,
        boards,
        missing,
        cost,
        bound: Bound {
            missing_pieces: 0,
            cost: 0,
        },
        end: if cost == 0 && n_missing == 0 {
            End::Proved
        } else {
            End::WorkLimit
        },
    }
}

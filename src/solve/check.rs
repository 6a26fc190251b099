//! The last word before a solution goes out: whether it answers its instance, in integers.

use crate::cutting::{Bound, End, Instance, Solution};

/// Checks in integers that `solution` answers `instance`.
pub(super) fn assert_feasible(instance: &Instance, solution: &Solution) {
    let mut cut: Vec<u64> = vec![0; instance.items.len()];
    let mut used: Vec<u64> = vec![0; instance.stocks.len()];
    let mut cost = 0i128;
    for board in &solution.boards {
        let stock = &instance.stocks[board.stock];
        let layout = &stock.layouts[board.layout];
        assert_eq!(
            layout.strips.len(),
            board.patterns.len(),
            "one pattern for each strip"
        );
        for (&strip, pattern) in layout.strips.iter().zip(&board.patterns) {
            let strip = &instance.strips[strip];
            let mut length = 0i128;
            for &(item, count) in &pattern.counts {
                assert!(
                    strip.items.contains(&item),
                    "an item lies on a strip that may hold it"
                );
                length += i128::from(instance.items[item].size) * i128::from(count);
                cut[item] += u64::from(count) * u64::from(board.times);
            }
            assert!(
                pattern.counts.is_empty() || length <= i128::from(strip.capacity),
                "a pattern fits its strip"
            );
        }
        used[board.stock] += u64::from(board.times);
        cost += i128::from(stock.cost_in(board.layout)) * i128::from(board.times);
    }
    for (idx, item) in instance.items.iter().enumerate() {
        assert_eq!(
            cut[idx] + u64::from(solution.missing[idx]),
            u64::from(item.demand),
            "each piece is cut once"
        );
    }
    for (stock, &used) in instance.stocks.iter().zip(&used) {
        assert!(
            stock.supply.is_none_or(|supply| used <= u64::from(supply)),
            "no stock is used beyond its supply"
        );
    }
    let cost = i64::try_from(cost).unwrap_or(i64::MAX);
    assert_eq!(cost, solution.cost, "the cost is that of the boards");
    let value = Bound {
        missing_pieces: instance.pieces(&solution.missing),
        cost: solution.cost,
    };
    assert!(
        solution.bound <= value,
        "no bound lies above the value it bounds"
    );
    assert_eq!(
        solution.bound == value,
        solution.end == End::Proved,
        "a proof is where value and bound meet"
    );
}

use super::super::pairs::Asked;
use super::super::samples::{case, kind};
use super::super::table::Absent;
use super::*;

fn proved(case: &Case<'_>, nodes: &[ProofNode], claimed: i64) -> Option<(i128, usize)> {
    proved_by(case, nodes, claimed, &Effort::new())
}

/// Four parts of which two fit on a board: no plan has fewer than two boards.
fn two_boards(prices: Vec<i64>) -> i128 {
    let best = |_: usize, asked: Asked<'_>, floor: i64| Ok((2 * asked.prices[0]).max(floor));
    let case = case(&[4], vec![kind(1, None, &[0])], &best);
    proved(
        &case,
        &[ProofNode::Prices {
            scale: 10,
            classes: prices,
            conditions: Vec::new(),
        }],
        2,
    )
    .unwrap()
    .0
}

#[test]
fn good_prices_prove_the_bound() {
    assert_eq!(two_boards(vec![5]), 2);
}

#[test]
fn low_prices_prove_less_and_high_ones_no_more() {
    // 4 x 2 = 8, rounded up to one whole board.
    assert_eq!(two_boards(vec![2]), 1);
    // 4 x 9 = 36, less 1 board x (18 - 10), rounded up: what a plan of fewer than 2 boards cannot undercut.
    assert_eq!(two_boards(vec![9]), 3);
    // Without a price for every class, nothing.
    assert_eq!(two_boards(vec![]), 0);
}

#[test]
fn a_split_proves_what_its_weaker_case_proves() {
    // Three parts, one on a board of cost 3, or two on a board of cost 5 of which there is one: 5 + 3 = 8.
    let best = |kind: usize, asked: Asked<'_>, floor: i64| {
        Ok(((1 + i64::try_from(kind).unwrap()) * asked.prices[0]).max(floor))
    };
    let case = case(
        &[3],
        vec![kind(3, None, &[0]), kind(5, Some(1), &[0])],
        &best,
    );
    let leaf = |price, conditions| ProofNode::Prices {
        scale: 1,
        classes: vec![price],
        conditions,
    };
    let split = |under, over| ProofNode::Split {
        kinds: vec![1],
        rips: Vec::new(),
        missing: false,
        at_most: 0,
        under,
        over,
    };
    let tree = [split(1, 2), leaf(3, vec![0]), leaf(3, vec![0])];
    // Without the second kind 9; with it 9 - (6 - 5) = 8.
    assert_eq!(proved(&case, &tree, 9), Some((8, 2)));
    assert_eq!(proved(&case, &tree, 8), Some((8, 2)));
    // No node may be a case of itself, of two others, of none, or not be there.
    for (under, over) in [(0, 2), (2, 2), (1, 1), (1, 3)] {
        let forged = [split(under, over), leaf(3, vec![0]), leaf(3, vec![0])];
        assert_eq!(proved(&case, &forged, 8), None);
    }
    assert_eq!(proved(&case, &[], 8), None);
}

/// Four chains of two rails; there is one board, which holds one chain.
fn three_missing(prices: (i64, i64), cost: i64, most: u64, claimed: i64) -> i128 {
    let best = |_: usize, asked: Asked<'_>, floor: i64| Ok(asked.prices[0].max(floor));
    let case = Case {
        weights: vec![2],
        absent: Absent { cost, most },
        ..case(&[4], vec![kind(7 * (1 - cost), Some(1), &[0])], &best)
    };
    let (scale, price) = prices;
    let table = ProofNode::Prices {
        scale,
        classes: vec![price],
        conditions: Vec::new(),
    };
    proved(&case, &[table], claimed).unwrap().0
}

#[test]
fn missing_parts_cost_one_each_and_a_chain_costs_its_rails() {
    // Derived: 4 x 2 less the board's 2 is 6; at 3 a chain 12 less 3, less 5 missing rails at most at 3 / 2 - 1.
    assert_eq!(three_missing((1, 2), 1, 5, 6), 6);
    assert_eq!(three_missing((10, 30), 1, 5, 6), 7);
    assert_eq!(three_missing((1, 0), 1, 5, 6), 0);
}

#[test]
fn what_may_be_missing_counts_for_nothing_in_the_value() {
    // Derived: four chains at 7 are 28; three of them may be missing: 28 - 6 x 4 (7 / 2 rounded up) = 4, and 28 - 6 x 7 / 2
    // is 7 at a scale of 10.
    assert_eq!(three_missing((1, 7), 0, 6, 7), 4);
    assert_eq!(three_missing((10, 70), 0, 6, 7), 7);
    assert_eq!(three_missing((10, 70), 0, 8, 7), 0);
}

#[test]
fn a_case_that_counts_missing_parts_limits_them() {
    let best = |_: usize, asked: Asked<'_>, floor: i64| Ok(asked.prices[0].max(floor));
    let case = Case {
        absent: Absent { cost: 1, most: 9 },
        ..case(&[4], vec![kind(0, Some(1), &[0])], &best)
    };
    let leaf = |price, condition| ProofNode::Prices {
        scale: 1,
        classes: vec![price],
        conditions: vec![condition],
    };
    let tree = |missing, under| {
        let split = ProofNode::Split {
            kinds: Vec::new(),
            rips: Vec::new(),
            missing,
            at_most: 1,
            under: 1,
            over: 2,
        };
        [split, under, leaf(1, 0)]
    };
    // Derived: three are missing. Of one missing part at the most: 4 x 9 - 9 (board) - (9 - 1) = 19.
    assert_eq!(proved(&case, &tree(true, leaf(9, 0)), 3), Some((3, 2)));
    // Where the case counts nothing nine may be missing: 4 x 9 - 9 - 9 x 8 is below 0.
    let counts_nothing = proved(&case, &tree(false, leaf(9, 0)), 3).unwrap().0;
    assert!(counts_nothing < 0);
    // A price on the case is paid for by what it counts: 4 x 9 - 8 x 1 - 9 - 1 x (9 - 1 - 8) = 19.
    assert_eq!(proved(&case, &tree(true, leaf(9, 8)), 3), Some((3, 2)));
}

#[test]
fn a_pair_lies_on_one_strip_or_on_none() {
    // Three parts of 10 with 20 in a board of cost 1: two boards; of prices 1 / 2 each both cases prove 3 / 2, rounded up.
    let best = |_: usize, asked: Asked<'_>, floor: i64| asked.best_run(&|_| Some(10), 20, floor);
    let case = case(&[1, 1, 1], vec![kind(1, None, &[0, 1, 2])], &best);
    let leaf = |prices: &[i64]| ProofNode::Prices {
        scale: 2,
        classes: prices.to_vec(),
        conditions: Vec::new(),
    };
    let split = |pair| ProofNode::Pair {
        pair,
        apart: 1,
        together: 2,
    };
    // Apart, each of the two has a board, and the third lies with one: 2 + 2. Together, the third lies alone: 2 + 2.
    let tree = |pair, apart: &[i64], together: &[i64]| [split(pair), leaf(apart), leaf(together)];
    let good = tree((0, 1), &[2, 2, 0], &[0, 0, 2, 2]);
    assert_eq!(proved(&case, &good, 2), Some((2, 2)));
    // What there is no time to look at proves nothing.
    let effort = Effort::of(2);
    assert_eq!(proved_by(&case, &good, 2, &effort), Some((0, 1)));
    assert!(effort.is_spent());
    // The prices of one case are none for the other, and a glued part is one more to be priced.
    let wrong = tree((0, 1), &[2, 0, 2], &[0, 0, 2, 2]);
    assert!(proved(&case, &wrong, 2).unwrap().0 < 2);
    let unpriced = tree((0, 1), &[2, 2, 0], &[0, 0, 2]);
    assert_eq!(proved(&case, &unpriced, 2), Some((0, 2)));
    // There is but one of the first, and no fourth.
    for pair in [(0, 0), (0, 3), (usize::MAX, 0)] {
        assert_eq!(
            proved(&case, &tree(pair, &[2, 2, 0], &[0, 0, 2, 2]), 2),
            None
        );
    }
}

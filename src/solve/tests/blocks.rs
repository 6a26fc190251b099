//! Components whose items no single board may hold together: they are linked by supplies alone.

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::{Control, check_proof, oracle, solved, value};
use crate::cutting::{End, Instance, Item, Layout, PartProof, Stock, Strip};
use crate::solve::{Known, Session, Share, solve_knowing};

/// Two mouldings out of the same boards `(capacity, cost, supply)`, each board for one of them; `items` are `(size, demand)`
/// of each.
fn two_mouldings(stocks: &[(i64, i64, Option<u32>)], items: [&[(i64, u32)]; 2]) -> Instance {
    let n_first = items[0].len();
    let item = |&(size, demand): &(i64, u32)| Item {
        size,
        demand,
        pieces: 1,
    };
    let own = [0..n_first, n_first..n_first + items[1].len()];
    let strips = stocks.iter().flat_map(|stock| {
        own.each_ref().map(|own| Strip {
            capacity: stock.0,
            items: own.clone().collect(),
        })
    });
    let stock = |(idx, &(length, cost, supply)): (usize, &(i64, i64, Option<u32>))| Stock {
        cost,
        length,
        supply,
        layouts: [0, 1]
            .map(|group| Layout {
                strips: vec![2 * idx + group],
                kept: false,
                group,
            })
            .to_vec(),
    };
    Instance {
        items: items
            .iter()
            .flat_map(|items| items.iter().map(item))
            .collect(),
        strips: strips.collect(),
        stocks: stocks.iter().enumerate().map(stock).collect(),
    }
}

/// Whether no layout of a stock in supply has strips for items of two parts.
fn counts_no_board_twice(instance: &Instance, parts: &[PartProof]) -> bool {
    let owner = |item: usize| parts.iter().position(|part| part.items.contains(&item));
    let stocks = instance
        .stocks
        .iter()
        .filter(|stock| stock.supply != Some(0));
    let mut layouts = stocks.flat_map(|stock| &stock.layouts);
    layouts.all(|layout| {
        let items = layout
            .strips
            .iter()
            .flat_map(|&strip| instance.fitting(strip));
        let owners: BTreeSet<Option<usize>> = items.map(owner).collect();
        owners.len() <= 1
    })
}

fn proved(parts: &[PartProof]) -> (u64, i64) {
    (
        parts.iter().map(|part| part.missing).sum(),
        parts.iter().map(|part| part.proves).sum(),
    )
}

#[test]
fn each_block_is_rounded_up_by_itself_where_their_boards_are_there_together() {
    // Seven of 4 take three boards of 10 and one of 5, for 19, or four of 10. There is one board of 5, and each block has it.
    let items: &[(i64, u32)] = &[(4, 7)];
    let instance = two_mouldings(&[(10, 5, None), (5, 4, Some(1))], [items, items]);
    let solution = solved(&instance);
    assert_eq!((solution.end, solution.cost), (End::Proved, 39));
    assert_eq!(oracle(&instance), (0, 39));
    let enough = two_mouldings(&[(10, 5, None), (5, 4, Some(2))], [items, items]);
    let solution = solved(&enough);
    let parts = solution.certificate.unwrap().parts;
    assert_eq!((solution.end, solution.cost), (End::Proved, 38));
    assert_eq!((parts.len(), proved(&parts)), (2, (0, 38)));
    assert!(counts_no_board_twice(&enough, &parts));
    for part in &parts {
        check_proof(&enough, part);
    }
}

proptest! {
    #![proptest_config(cases!(300))]

    #[test]
    fn mouldings_out_of_the_same_boards_have_the_value_of_brute_force(
        stocks in prop::collection::vec((10i64..24, 2i64..12, prop::option::of(0u32..4)), 1..4),
        first in prop::collection::vec((3i64..14, 1u32..4), 1..3),
        second in prop::collection::vec((3i64..14, 1u32..4), 1..3),
        below in 0i64..60,
        steps in 0u64..200_000,
    ) {
        let instance = two_mouldings(&stocks, [&first, &second]);
        let solution = solved(&instance);
        let best = oracle(&instance);
        prop_assert_eq!(value(&instance, &solution), best);
        prop_assert!(solution.end == End::Proved, "open: {:?}", solution.end);
        let parts = &solution.certificate.as_ref().unwrap().parts;
        prop_assert!(counts_no_board_twice(&instance, parts));
        for part in parts {
            check_proof(&instance, part);
        }
        prop_assert!(proved(parts) <= best, "{:?} of {:?}", proved(parts), best);
        // Asked for less than that only, it is told that there is none.
        let known = Known { below: Some(below), start: &[] };
        let control = Control { stop: &|| false, progress: &|_| {} };
        let limited = solve_knowing(&instance, &known, &control);
        let bound = (limited.bound.missing_pieces, limited.bound.cost);
        prop_assert!(bound <= best);
        prop_assert!(best.0 > 0 || limited.bound.cost >= best.1.min(below));
        // Stopped at once or with little work it has a plan and a bound.
        let stopped = Control { stop: &|| true, progress: &|_| {} };
        let short = Session::new().solve(&instance, &Known::default(), Share::steps(steps), &control);
        for solution in [solve_knowing(&instance, &Known::default(), &stopped), short] {
            let bound = (solution.bound.missing_pieces, solution.bound.cost);
            prop_assert!(bound <= best && best <= value(&instance, &solution));
        }
        // The plan itself may be told to begin with.
        let known = Known { below: None, start: &solution.boards };
        let again = solve_knowing(&instance, &known, &control);
        prop_assert_eq!(value(&instance, &again), best);
    }
}

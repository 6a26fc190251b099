//! The solver against a general-purpose one: `microlp` through `good_lp`, on the program over all patterns.
//!
//! P. C. Gilmore, R. E. Gomory, Operations Research 9(6), 1961, 849-859: with every pattern listed, the cutting-stock
//! program needs no column generation, so nothing here is shared with the solver.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![expect(
    clippy::float_arithmetic,
    reason = "the reference solver computes in floats"
)]

use crate::jobs::CONTROL;
use good_lp::{Expression, ProblemVariables, Solution as _, SolverModel as _, microlp, variable};
use longpoint::cutting::{End, Instance, Item, Layout, Stock, Strip};
use longpoint::solve::solve;
use proptest::prelude::*;

/// All ways to cut items into `room`, from item `from` on, counts not above the demand.
fn patterns(items: &[Item], from: usize, room: i64) -> Vec<Vec<u32>> {
    let Some(item) = items.get(from) else {
        return vec![Vec::new()];
    };
    let mut found = Vec::new();
    for count in 0..=item.demand {
        let left = room - i64::from(count) * item.size;
        if left < 0 {
            break;
        }
        for rest in patterns(items, from + 1, left) {
            found.push([vec![count], rest].concat());
        }
    }
    found
}

/// The least cost by the reference solver, as a whole number; every stock is unlimited or limited by its supply.
fn reference(instance: &Instance, whole: bool) -> f64 {
    let mut variables = ProblemVariables::new();
    let mut cost = Expression::default();
    let mut made = vec![Expression::default(); instance.items.len()];
    let mut used = vec![Expression::default(); instance.stocks.len()];
    for (stock_idx, stock) in instance.stocks.iter().enumerate() {
        let strip = &instance.strips[stock.layouts[0].strips[0]];
        for pattern in patterns(&instance.items, 0, strip.capacity) {
            let times = variables.add(if whole {
                variable().integer().min(0).max(100)
            } else {
                variable().min(0)
            });
            cost += f64::from(i32::try_from(stock.cost).unwrap()) * times;
            used[stock_idx] += times;
            for (item_idx, &count) in pattern.iter().enumerate() {
                made[item_idx] += f64::from(count) * times;
            }
        }
    }
    let mut model = variables.minimise(cost.clone()).using(microlp);
    for (made, item) in made.into_iter().zip(&instance.items) {
        model = model.with(made.geq(f64::from(item.demand)));
    }
    for (used, stock) in used.into_iter().zip(&instance.stocks) {
        if let Some(supply) = stock.supply {
            model = model.with(used.leq(f64::from(supply)));
        }
    }
    model.solve().unwrap().eval(cost)
}

fn instances() -> impl Strategy<Value = Instance> {
    let item = (4_i64..20, 1_u32..5);
    let stock = (20_i64..45, 5_i64..40, prop::option::of(1_u32..4));
    (
        prop::collection::vec(item, 1..5),
        prop::collection::vec(stock, 1..3),
    )
        .prop_map(|(items, stocks)| {
            let items: Vec<Item> = items
                .into_iter()
                .map(|(size, demand)| Item {
                    size,
                    demand,
                    pieces: 1,
                })
                .collect();
            let n_items = items.len();
            let strips = stocks
                .iter()
                .map(|&(capacity, _, _)| Strip {
                    capacity,
                    items: (0..n_items).collect(),
                })
                .collect();
            let mut stocks: Vec<Stock> = stocks
                .into_iter()
                .enumerate()
                .map(|(strip, (capacity, cost, supply))| Stock {
                    cost,
                    length: capacity,
                    supply,
                    layouts: vec![Layout {
                        strips: vec![strip],
                        kept: false,
                        group: 0,
                    }],
                })
                .collect();
            // One unlimited stock, so that there always is a plan.
            stocks[0].supply = None;
            Instance {
                items,
                strips,
                stocks,
            }
        })
}

proptest! {
    #![proptest_config(cases!(40))]

    #[test]
    fn the_cost_is_that_of_a_general_purpose_solver_over_all_patterns(instance in instances()) {
        let solution = solve(&instance, &CONTROL);
        prop_assert_eq!(solution.end, End::Proved);
        prop_assert_eq!(solution.bound.cost, solution.cost);
        let cost = f64::from(i32::try_from(solution.cost).unwrap());
        let best = reference(&instance, true);
        prop_assert!((cost - best).abs() < 1e-4, "{} against {}", cost, best);
        // No whole plan is cheaper than the linear program over all patterns.
        prop_assert!(cost > reference(&instance, false) - 1e-4);
    }
}

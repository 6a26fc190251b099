//! Searches that are told what is known before they begin.

use proptest::prelude::*;

use super::{oracle, small_instance, solved, value};
use crate::cutting::{BoardUse, End, Instance, Solution};
use crate::solve::{Control, Known, solve_knowing};

fn knowing(instance: &Instance, below: Option<i64>, start: &[BoardUse]) -> Solution {
    let known = Known { below, start };
    let control = Control {
        stop: &|| false,
        progress: &|_| {},
    };
    solve_knowing(instance, &known, &control)
}

proptest! {
    #![proptest_config(cases!(200))]

    #[test]
    fn below_the_optimum_it_is_proved_that_there_is_nothing(instance in small_instance(true), less in 0_i64..3) {
        let (missing, cost) = oracle(&instance);
        prop_assume!(missing == 0);
        let below = cost - less;
        let found = knowing(&instance, Some(below), &[]);
        prop_assert!(found.bound.cost <= cost);
        // Of an instance that falls apart nothing is known of a part, so all is solved.
        prop_assert!(found.bound.cost >= below);
        prop_assert!(found.cost >= cost);
    }

    #[test]
    fn above_the_optimum_it_is_found(instance in small_instance(true), more in 1_i64..50) {
        let best = oracle(&instance);
        let found = knowing(&instance, Some(best.1 + more), &[]);
        prop_assert_eq!(value(&instance, &found), best);
        prop_assert_eq!(found.end, End::Proved);
    }

    #[test]
    fn a_plan_to_begin_with_changes_no_value(instance in small_instance(true), other in small_instance(true)) {
        let best = oracle(&instance);
        let own = solved(&instance);
        for start in [own.boards, solved(&other).boards] {
            let is_within = start.iter().all(|board| {
                let stock = instance.stocks.get(board.stock);
                stock.is_some_and(|stock| board.layout < stock.layouts.len())
            });
            if is_within {
                let found = knowing(&instance, None, &start);
                prop_assert_eq!(value(&instance, &found), best);
                prop_assert_eq!(found.end, End::Proved);
            }
        }
    }
}

#[test]
fn the_plan_to_begin_with_is_kept_where_nothing_is_better() {
    // Derived: 6 + 4 and 5 + 5 fill two boards of 10; so do 6 + 4 and 5 + 5 the other way round, and no other pair.
    let instance = super::boards(&[(10, 1, None)], &[(6, 1), (5, 2), (4, 1)]);
    let own = solved(&instance);
    let again = knowing(&instance, None, &own.boards);
    assert_eq!((again.cost, again.boards), (2, own.boards));
}

//! The fewest settings against all orders.

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::*;

/// Enough for every strip of a test.
const PLENTY: u64 = 50_000_000;

/// The fewest settings by going through all orders of single cuts, one after the other.
fn by_brute_force(strips: &[Vec<usize>]) -> usize {
    // What can be reached with so many settings: how far each strip is cut, and what the stop is set to.
    let mut now: BTreeSet<(Vec<usize>, Option<usize>)> = BTreeSet::new();
    now.insert((vec![0; strips.len()], None));
    let mut n_settings = 0;
    loop {
        // Everything that can be cut without a new setting.
        let mut todo: Vec<_> = now.iter().cloned().collect();
        let mut next = BTreeSet::new();
        while let Some((at, set)) = todo.pop() {
            if at.iter().zip(strips).all(|(&at, strip)| at == strip.len()) {
                return n_settings;
            }
            for (idx, strip) in strips.iter().enumerate() {
                let Some(&length) = strip.get(at[idx]) else {
                    continue;
                };
                let mut further = at.clone();
                further[idx] += 1;
                let reached = (further, Some(length));
                if set == Some(length) {
                    if now.insert(reached.clone()) {
                        todo.push(reached);
                    }
                } else {
                    next.insert(reached);
                }
            }
        }
        now = next;
        n_settings += 1;
    }
}

/// Whether setting one length after the other cuts all strips.
fn cuts_all(order: &[usize], strips: &[Vec<usize>]) -> bool {
    strips.iter().all(|strip| {
        let mut rest = strip.as_slice();
        for length in order {
            while rest.first() == Some(length) {
                rest = &rest[1..];
            }
        }
        rest.is_empty()
    })
}

#[test]
fn where_all_strips_fall_each_length_is_set_once() {
    let strips = [vec![0, 0, 2, 5], vec![1, 2, 2], vec![], vec![5]];
    let found = fewest_settings(&strips, 0);
    assert_eq!(found.order, [0, 1, 2, 5]);
    assert!(found.is_fewest);
}

#[test]
fn two_lengths_that_stand_in_each_others_way_need_three_settings() {
    let found = fewest_settings(&[vec![0, 1], vec![1, 0]], PLENTY);
    assert_eq!((found.order.len(), found.is_fewest), (3, true));
    // Rows of the grain: each frame long, short, long, short; by hand four settings for each frame, as no other has its
    // lengths.
    let rows = [vec![0, 2, 0, 2], vec![1, 3, 1, 3]];
    assert_eq!(fewest_settings(&rows, PLENTY).order.len(), 8);
    // Three in a ring: 0 before 1, 1 before 2, 2 before 0; one of them twice is enough.
    let ring = [vec![0, 1], vec![1, 2], vec![2, 0]];
    assert_eq!(fewest_settings(&ring, PLENTY).order.len(), 4);
}

#[test]
fn always_taking_the_first_is_beaten() {
    // Always 0 before all: 0 1 0 2 0 3 takes 0 thrice; behind 1, 2 and 3 it is set once.
    let strips = [vec![0, 4], vec![1, 0, 4], vec![2, 0, 4], vec![3, 0, 4]];
    let found = fewest_settings(&strips, PLENTY);
    assert_eq!(found.order, [1, 2, 3, 0, 4]);
    assert!(found.is_fewest);
}

#[test]
fn without_work_the_order_is_whole_but_not_called_the_fewest() {
    let strips = [
        vec![0, 1, 2, 0],
        vec![1, 0, 2, 1],
        vec![2, 1, 0, 2],
        vec![0, 2, 1],
    ];
    let found = fewest_settings(&strips, 0);
    assert!(cuts_all(&found.order, &strips));
    assert!(!found.is_fewest);
    let proved = fewest_settings(&strips, PLENTY);
    assert!(proved.is_fewest && proved.order.len() <= found.order.len());
}

proptest! {
    #![proptest_config(cases!(200))]

    #[test]
    fn no_order_of_all_has_fewer_settings(
        strips in prop::collection::vec(prop::collection::vec(0_usize..5, 0..5), 1..5),
    ) {
        let found = fewest_settings(&strips, PLENTY);
        prop_assert!(cuts_all(&found.order, &strips));
        prop_assert!(found.is_fewest);
        prop_assert_eq!(found.order.len(), by_brute_force(&strips));
        prop_assert!(found.order.windows(2).all(|pair| pair[0] != pair[1]));
    }

    #[test]
    fn whatever_the_limit_all_is_cut_and_what_is_proved_is_true(
        strips in prop::collection::vec(prop::collection::vec(0_usize..8, 1..7), 2..8),
        work in 0_u64..20_000,
    ) {
        let found = fewest_settings(&strips, work);
        prop_assert!(cuts_all(&found.order, &strips));
        let best = fewest_settings(&strips, PLENTY);
        prop_assert!(best.is_fewest);
        prop_assert!(best.order.len() <= found.order.len());
        if found.is_fewest {
            prop_assert_eq!(best.order.len(), found.order.len());
        }
    }
}

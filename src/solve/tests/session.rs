//! What a session remembers, and that it changes no answer.

use std::sync::Mutex;

use proptest::prelude::*;

use super::{boards, small_instance};
use crate::cutting::{End, Instance, Solution};
use crate::solve::{Control, Known, Session, Share, Task, in_parallel, solve_knowing};

const CONTROL: Control<'_> = Control {
    stop: &|| false,
    progress: &|_| {},
};

fn task(instance: &Instance, share: Share) -> Task<'_> {
    Task {
        instance,
        start: &[],
        share,
    }
}

fn asked(session: &Session, instance: &Instance, below: Option<i64>, share: Share) -> Solution {
    let known = Known { below, start: &[] };
    session.solve(instance, &known, share, &CONTROL)
}

/// An instance of both, with nothing in common.
fn beside(one: &Instance, other: &Instance) -> Instance {
    let mut both = one.clone();
    let (n_items, n_strips) = (one.items.len(), one.strips.len());
    both.items.extend(&other.items);
    for mut strip in other.strips.clone() {
        strip.items.iter_mut().for_each(|item| *item += n_items);
        both.strips.push(strip);
    }
    for mut stock in other.stocks.clone() {
        let strips = stock
            .layouts
            .iter_mut()
            .flat_map(|layout| &mut layout.strips);
        strips.for_each(|strip| *strip += n_strips);
        both.stocks.push(stock);
    }
    both
}

/// An instance of one component that takes some work.
fn hard(seed: u32) -> Instance {
    let sizes = (0..12_u32).map(|idx| i64::from(1_000 + (idx * 797 + seed * 389) % 3_011));
    let items: Vec<(i64, u32)> = sizes.zip((0..12).map(|idx| 3 + idx % 5)).collect();
    boards(&[(7_919, 79, None), (5_987, 61, None)], &items)
}

/// Work that `instance` takes in a session of its own.
fn work_of(instance: &Instance, share: Share) -> u64 {
    let session = Session::new();
    asked(&session, instance, None, share);
    session.work()
}

proptest! {
    #![proptest_config(cases!(100))]

    #[test]
    fn a_session_answers_as_the_solver_does(
        one in small_instance(true),
        other in small_instance(true),
        below in prop::option::of(0_i64..60),
    ) {
        let both = beside(&one, &other);
        let session = Session::new();
        for instance in [&both, &one, &both] {
            let known = Known { below, start: &[] };
            let alone = solve_knowing(instance, &known, &CONTROL);
            prop_assert_eq!(
                asked(&session, instance, below, Share::FULL),
                Solution { certificate: None, ..alone }
            );
        }
    }

    #[test]
    fn what_is_prepared_changes_no_value(
        one in small_instance(true),
        other in small_instance(true),
    ) {
        let both = beside(&one, &other);
        let tasks = [&other, &both, &one].map(|instance| task(instance, Share::FULL));
        let all = Session::new().solve_all(&tasks, &CONTROL);
        for (task, solution) in tasks.iter().zip(all) {
            let alone = solve_knowing(task.instance, &Known::default(), &CONTROL);
            prop_assert_eq!(solution, Solution { certificate: None, ..alone });
        }
    }
}

#[test]
fn a_component_is_not_solved_twice() {
    let (one, other, third) = (hard(1), hard(2), hard(3));
    let works = [&one, &other, &third].map(|instance| work_of(instance, Share::SHORT));
    assert!(works.iter().all(|&work| work > 0));
    let total: u64 = works.iter().sum();
    let session = Session::new();
    asked(&session, &beside(&one, &other), None, Share::SHORT);
    assert_eq!(session.work(), works[0] + works[1]);
    // Elsewhere in the instance, and beside something else.
    asked(&session, &beside(&third, &one), None, Share::SHORT);
    assert_eq!(session.work(), total);
    asked(&session, &beside(&other, &third), None, Share::SHORT);
    assert_eq!(session.work(), total);
}

#[test]
fn components_side_by_side_tell_how_far_all_have_come() {
    let both = beside(&hard(1), &hard(2));
    let told = Mutex::new(Vec::new());
    let control = Control {
        stop: &|| false,
        progress: &|progress| told.lock().unwrap().push(progress),
    };
    let solution = Session::new().solve(&both, &Known::default(), Share::FULL, &control);
    assert_eq!(solution.end, End::Proved);
    let told = told.into_inner().unwrap();
    let last = told.last().unwrap();
    assert_eq!(last.value, solution.cost);
    assert!(told.iter().all(|progress| progress.bound <= solution.cost));
}

#[test]
fn two_equal_components_are_solved_once() {
    let one = hard(1);
    let work = work_of(&one, Share::SHORT);
    let both = beside(&one, &one);
    assert_eq!(work_of(&both, Share::SHORT), work);
}

#[test]
fn what_was_prepared_with_more_work_serves_those_who_ask_for_less() {
    let instance = hard(4);
    let mut session = Session::new();
    let (little, less) = (Share::steps(300_000), Share::steps(100_000));
    session.prepare(&[task(&instance, little)], &CONTROL);
    let prepared = session.work();
    let solution = asked(&session, &instance, None, less);
    assert_eq!(
        solution.end,
        End::WorkLimit,
        "else the share is too large for this test"
    );
    asked(&session, &instance, Some(1), less);
    assert_eq!(session.work(), prepared);
    asked(&session, &instance, None, Share::SHORT);
    assert!(session.work() > prepared, "more work is given");
}

#[test]
fn answers_are_the_same_in_every_order_and_on_threads() {
    let parts: Vec<Instance> = (5..9).map(hard).collect();
    let pairs: Vec<Instance> = (0..4)
        .flat_map(|one| (0..one).map(move |other| (one, other)))
        .map(|(one, other)| beside(&parts[one], &parts[other]))
        .collect();
    // Shares that end the search before its proof, so that answers depend on what they were given.
    let asks: Vec<(&Instance, Share, Option<i64>)> = pairs
        .iter()
        .flat_map(|pair| {
            [(100_000, None), (300_000, None), (300_000, Some(1_500))]
                .map(|(steps, below)| (pair, Share::steps(steps), below))
        })
        .collect();
    let run = |session: &Session, asks: &[(&Instance, Share, Option<i64>)]| {
        in_parallel(asks, |&(pair, share, below)| {
            asked(session, pair, below, share)
        })
    };
    let mut session = Session::new();
    session.prepare(&[task(&parts[0], Share::steps(200_000))], &CONTROL);
    let in_order: Vec<Solution> = asks
        .iter()
        .map(|&(pair, share, below)| asked(&session, pair, below, share))
        .collect();
    let mut other = Session::new();
    other.prepare(&[task(&parts[0], Share::steps(200_000))], &CONTROL);
    let reversed: Vec<_> = asks.iter().copied().rev().collect();
    let mut turned = run(&other, &reversed);
    turned.reverse();
    assert_eq!(turned, in_order);
    assert!(
        in_order
            .iter()
            .any(|solution| solution.end == End::WorkLimit)
    );
}

#[test]
fn an_answer_that_was_stopped_serves_only_while_the_search_is_to_stop() {
    let instance = hard(9);
    let mut session = Session::new();
    let stopped = Control {
        stop: &|| true,
        progress: &|_| {},
    };
    session.prepare(&[task(&instance, Share::SHORT)], &stopped);
    let early = session.work();
    let known = Known::default();
    let solution = session.solve(&instance, &known, Share::SHORT, &stopped);
    assert_eq!((solution.end, session.work()), (End::Stopped, early));
    assert_ne!(
        asked(&session, &instance, None, Share::SHORT).end,
        End::Stopped
    );
    assert!(session.work() > early);
}

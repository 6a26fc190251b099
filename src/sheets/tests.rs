//! Solver and check together: tiny jobs against trying everything, jobs drawn as a shop has them, forgeries.

mod drawn;
mod oracle;
mod stacked;

use super::certificate::{Certificate, Count, Node};
use super::check::{PlanFault, ProofFault, check_certificate, check_plan};
use super::job::{Along, Cutter, Item, Kind, SheetJob, Stages, Trim};
use super::plan::SheetPlan;
use super::plan_sheets_within;
use crate::cutting::{Bound, End};
use crate::solve::{Control, Share};
use drawn::{Draw, glass, mats, mats_with_fallout, offcuts, plywood, tiny};

fn planned(job: &SheetJob) -> SheetPlan {
    let control = Control {
        stop: &|| false,
        progress: &|_| {},
    };
    plan_sheets_within(job, Share::SHORT, &control)
}

/// `count` pieces of a size that may be turned.
fn item(width: i64, height: i64, demand: u32) -> Item {
    Item {
        width,
        height,
        demand,
        turnable: true,
    }
}

/// Sheets of a size and price, as many as needed, good to their edges.
fn kind(width: i64, height: i64, price: i64) -> Kind {
    Kind {
        width,
        height,
        price,
        supply: None,
        trim: Trim::default(),
    }
}

fn job(items: &[Item], kinds: &[Kind], cutter: Cutter) -> SheetJob {
    SheetJob::new(items.to_vec(), kinds.to_vec(), cutter).expect("a job without faults")
}

#[test]
fn tiny_jobs_cost_what_trying_every_set_of_pieces_finds() {
    let mut n_short = 0;
    for seed in 0..400 {
        let job = tiny(&mut Draw::new(seed));
        let best = oracle::best(&job);
        let plan = planned(&job);
        assert_eq!((plan.n_missing(), plan.cost), best, "{seed}: {job:?}");
        assert_eq!(plan.end, End::Proved, "{seed}: {job:?}");
        assert_eq!(
            check_certificate(&job, &plan.certificate),
            Ok(()),
            "{seed}: {job:?}"
        );
        n_short += u32::from(plan.n_missing() > 0);
    }
    // Shortage is common among them, and not the rule.
    assert!((100..300).contains(&n_short), "{n_short}");
}

#[test]
fn jobs_as_a_shop_has_them_are_proved() {
    let jobs = (0..8).flat_map(|seed| {
        let draw = || Draw::new(1_000 + seed);
        [mats(&mut draw()), glass(&mut draw()), plywood(&mut draw())]
    });
    for (idx, job) in jobs.enumerate() {
        let plan = planned(&job);
        assert_eq!(plan.end, End::Proved, "{idx}");
        assert_eq!(plan.n_missing(), 0, "{idx}");
        assert_eq!(check_certificate(&job, &plan.certificate), Ok(()), "{idx}");
        assert_eq!(planned(&job), plan, "the same job gives the same plan");
    }
}

#[test]
fn windows_and_offcuts_make_no_plan_dearer_and_its_proof_holds() {
    for seed in 0..8 {
        let draw = || Draw::new(1_000 + seed);
        for (without, with) in [
            (mats(&mut draw()), mats_with_fallout(&mut draw())),
            (glass(&mut draw()), offcuts(&mut draw())),
        ] {
            assert_eq!(without.items(), with.items(), "{seed}");
            let (without, plan) = (planned(&without), planned(&with));
            assert!(plan.cost <= without.cost && plan.n_missing() == 0, "{seed}");
            assert_eq!(
                check_certificate(&with, &plan.certificate),
                Ok(()),
                "{seed}"
            );
        }
    }
}

#[test]
fn the_order_of_items_and_kinds_changes_no_cost() {
    for seed in 0..40 {
        let one = tiny(&mut Draw::new(5_000 + seed));
        let turned = |all: &[Item]| all.iter().rev().copied().collect::<Vec<_>>();
        let kinds: Vec<Kind> = one.kinds().iter().rev().copied().collect();
        let other = job(&turned(one.items()), &kinds, one.cutter());
        let (one, other) = (planned(&one), planned(&other));
        assert_eq!(
            (one.n_missing(), one.cost),
            (other.n_missing(), other.cost),
            "{seed}"
        );
    }
}

#[test]
fn kerf_and_trim_are_kept_to_the_last_unit() {
    // Two pieces of 40 and a kerf of 3 between them take 83; trims of 4 and 5 leave 83 of 92, and 82 of 91.
    let cutter = Cutter {
        kerf: 3,
        ..Cutter::default()
    };
    let sheet = |width: i64| Kind {
        trim: Trim {
            left: 4,
            right: 5,
            bottom: 1,
            top: 1,
        },
        ..kind(width, 42, 10)
    };
    let wide = job(&[item(40, 40, 2)], &[sheet(92)], cutter);
    assert_eq!(planned(&wide).cost, 10);
    let narrow = job(&[item(40, 40, 2)], &[sheet(91)], cutter);
    assert_eq!(planned(&narrow).cost, 20);
    let plan = planned(&wide);
    let stacks = &plan.sheets[0].strips[0].stacks;
    assert_eq!(
        stacks.iter().map(|stack| stack.at).collect::<Vec<_>>(),
        [4, 47]
    );
    assert_eq!(plan.sheets[0].strips[0].at, 1);
}

#[test]
fn a_piece_narrower_than_its_strip_is_trimmed() {
    // One strip 50 wide holds the piece of 50 and, trimmed, that of 30.
    let fixed = |width: i64, height: i64| Item {
        turnable: false,
        ..item(width, height, 1)
    };
    let plan = planned(&job(
        &[fixed(60, 50), fixed(40, 30)],
        &[kind(100, 50, 7)],
        Cutter::default(),
    ));
    assert_eq!(plan.cost, 7);
    assert_eq!(plan.sheets[0].along, Along::Width);
    assert_eq!(plan.sheets[0].strips.len(), 1);
    assert_eq!(plan.sheets[0].strips[0].width, 50);
}

#[test]
fn a_piece_that_must_not_be_turned_is_not() {
    let grain = Item {
        turnable: false,
        ..item(30, 90, 1)
    };
    let plan = planned(&job(
        &[grain],
        &[kind(100, 50, 7), kind(50, 100, 9)],
        Cutter::default(),
    ));
    assert_eq!(plan.cost, 9);
    let plan = planned(&job(
        &[item(30, 90, 1)],
        &[kind(100, 50, 7), kind(50, 100, 9)],
        Cutter::default(),
    ));
    assert_eq!(plan.cost, 7);
    assert!(plan.sheets[0].strips[0].stacks[0].pieces[0].turned);
}

#[test]
fn the_cutter_limits_both_cuts() {
    let items = [item(60, 40, 1)];
    let kinds = [kind(120, 80, 5), kind(80, 80, 4)];
    let with = |cutter: Cutter| planned(&job(&items, &kinds, cutter)).cost;
    assert_eq!(with(Cutter::default()), 4);
    // No cut as long as 80, so no sheet can be parted.
    let short = Cutter {
        longest_first: Some(79),
        ..Cutter::default()
    };
    assert_eq!(planned(&job(&items, &kinds, short)).missing, [1]);
    // The piece is 40 wide across the strip at least.
    let narrow = |most: i64| Cutter {
        longest_second: Some(most),
        ..Cutter::default()
    };
    assert_eq!(with(narrow(40)), 4);
    assert_eq!(planned(&job(&items, &kinds, narrow(39))).missing, [1]);
}

#[test]
fn what_finds_no_sheet_is_named_and_the_least_is_missing() {
    // One sheet holds two of the three pieces; the fourth fits nowhere, and the dear sheet would not help it.
    let dear = Kind {
        supply: Some(0),
        ..kind(500, 500, 90)
    };
    let one = Kind {
        supply: Some(1),
        ..kind(100, 50, 7)
    };
    let job = job(
        &[item(50, 50, 3), item(300, 300, 1)],
        &[one, dear],
        Cutter::default(),
    );
    let plan = planned(&job);
    assert_eq!(plan.missing, [1, 1]);
    assert_eq!(plan.cost, 7);
    let bound = Bound {
        missing_pieces: 2,
        cost: 7,
    };
    assert_eq!((plan.bound, plan.end), (bound, End::Proved));
    assert_eq!(check_certificate(&job, &plan.certificate), Ok(()));
}

#[test]
fn nothing_wanted_is_nothing_cut() {
    let plan = planned(&job(&[], &[kind(10, 10, 1)], Cutter::default()));
    assert_eq!(
        (plan.sheets.len(), plan.cost, plan.end),
        (0, 0, End::Proved)
    );
    let plan = planned(&job(&[item(5, 5, 2)], &[], Cutter::default()));
    assert_eq!(
        (plan.missing, plan.cost, plan.end),
        (vec![2], 0, End::Proved)
    );
}

#[test]
fn sheets_of_price_nothing_are_used_up_first() {
    // The fallout of a window serves a small piece, so that one sheet does.
    let fallout = Kind {
        supply: Some(1),
        ..kind(40, 40, 0)
    };
    let items = [item(100, 100, 1), item(35, 30, 1)];
    let job = job(&items, &[kind(100, 100, 12), fallout], Cutter::default());
    let plan = planned(&job);
    assert_eq!((plan.cost, plan.end), (12, End::Proved));
    assert_eq!(check_certificate(&job, &plan.certificate), Ok(()));
}

#[test]
fn sizes_that_share_no_grid_are_planned_to_the_nanometer() {
    // 14.03 in among sixteenths: 356 362 000 nm. Two of them and a kerf of 1/8 in take 715 899 000 nm.
    let sixteenth = 1_587_500;
    let odd = 356_362_000;
    let cutter = Cutter {
        kerf: 2 * sixteenth,
        ..Cutter::default()
    };
    let items = [item(odd, odd, 2), item(100 * sixteenth, 37 * sixteenth, 5)];
    let room = 2 * odd + 2 * sixteenth;
    let just = job(&items[..1], &[kind(room, odd, 1)], cutter);
    assert_eq!(planned(&just).cost, 1);
    let short = job(&items[..1], &[kind(room - 1, odd, 1)], cutter);
    assert_eq!(planned(&short).cost, 2);
    let sheet = kind(640 * sixteenth, 512 * sixteenth, 3);
    let plan = planned(&job(&items, &[sheet], cutter));
    assert_eq!((plan.cost, plan.end), (3, End::Proved));
}

#[test]
fn strips_of_one_width_are_told_apart_by_what_they_hold() {
    // Of this one all sheets, strips and pieces in strips are whole while strips are not, at prices below those of any plan.
    let job = mats(&mut Draw::new(1_040));
    let plan = planned(&job);
    assert_eq!((plan.cost, plan.end), (plan.bound.cost, End::Proved));
    assert_eq!(check_certificate(&job, &plan.certificate), Ok(()));
    let holding = |node: &Node| {
        matches!(
            node,
            Node::Split {
                count: Count::Holding { .. },
                ..
            }
        )
    };
    assert!(plan.certificate.cost_nodes.iter().any(holding));
    // Strips that hold one piece more, or fewer, are others: no certificate says too much.
    for idx in 0..plan.certificate.cost_nodes.len() {
        for change in [-1_i64, 1] {
            let mut forged = plan.certificate.clone();
            forged.cost += 1;
            if let Node::Split {
                count: Count::Holding { least, .. },
                ..
            } = &mut forged.cost_nodes[idx]
            {
                least[0].at_least = least[0]
                    .at_least
                    .saturating_add_signed(change.try_into().expect("small"));
                assert!(check_certificate(&job, &forged).is_err(), "{idx}");
            }
        }
    }
}

/// A job of three mats on two kinds of sheet, with its plan.
fn sample() -> (SheetJob, SheetPlan) {
    let job = mats(&mut Draw::new(77));
    let plan = planned(&job);
    assert_eq!(check_plan(&job, &plan), []);
    (job, plan)
}

#[test]
fn a_plan_that_cannot_be_cut_is_told() {
    let (job, plan) = sample();
    let faults = |change: &dyn Fn(&mut SheetPlan)| {
        let mut forged = plan.clone();
        change(&mut forged);
        check_plan(&job, &forged)
    };
    let place = PlanFault::Place { sheet: 0, strip: 0 };
    assert!(faults(&|plan| plan.sheets[0].strips[0].stacks[0].at -= 1).contains(&place));
    assert!(faults(&|plan| plan.sheets[0].strips[0].stacks[0].pieces[0].at += 1).contains(&place));
    assert!(faults(&|plan| plan.sheets[0].strips[0].at -= 1).contains(&place));
    assert!(faults(&|plan| plan.cost -= 1).contains(&PlanFault::Cost));
    assert!(faults(&|plan| plan.bound.cost = plan.cost + 1).contains(&PlanFault::Bound));
    assert!(
        faults(&|plan| plan.sheets[0].strips[0].width += 1)
            .contains(&PlanFault::Width { sheet: 0, strip: 0 })
    );
    assert!(faults(&|plan| plan.sheets[0].strips.clear()).contains(&PlanFault::Empty { sheet: 0 }));
    assert_eq!(faults(&|plan| plan.sheets[0].kind = 9), [PlanFault::NoSuch]);
    let twice = faults(&|plan| {
        let stacks = &mut plan.sheets[0].strips[0].stacks;
        stacks.insert(0, stacks[0].clone());
    });
    assert!(twice.contains(&place), "{twice:?}");
    // On each other in one stack, and more stages than the cutter has.
    let stacked = faults(&|plan| {
        let stack = &mut plan.sheets[0].strips[0].stacks[0];
        stack.pieces.push(stack.pieces[0]);
    });
    assert!(stacked.contains(&place), "{stacked:?}");
    assert!(
        stacked.contains(&PlanFault::ThirdCut { sheet: 0, strip: 0 }),
        "{stacked:?}"
    );
    let gone = faults(&|plan| {
        plan.sheets.pop();
    });
    assert!(
        gone.iter()
            .any(|fault| matches!(fault, PlanFault::Number { .. })),
        "{gone:?}"
    );
}

#[test]
fn a_supply_that_is_not_there_is_told() {
    let one = Kind {
        supply: Some(1),
        ..kind(10, 10, 1)
    };
    let own = job(&[item(10, 10, 2)], &[one], Cutter::default());
    let mut plan = planned(&own);
    assert_eq!(plan.missing, [1]);
    plan.sheets.push(plan.sheets[0].clone());
    (plan.missing, plan.cost, plan.bound.missing_pieces) = (vec![0], 2, 0);
    assert_eq!(check_plan(&own, &plan), [PlanFault::Supply { kind: 0 }]);
}

#[test]
fn a_certificate_proves_no_more_than_the_best_plan_costs() {
    for seed in 0..60 {
        let job = tiny(&mut Draw::new(9_000 + seed));
        let plan = planned(&job);
        let more = Certificate {
            cost: plan.cost + 1,
            ..plan.certificate.clone()
        };
        assert!(check_certificate(&job, &more).is_err(), "{seed}");
        let fewer = Certificate {
            missing: plan.n_missing() + 1,
            ..plan.certificate.clone()
        };
        assert!(check_certificate(&job, &fewer).is_err(), "{seed}");
    }
}

#[test]
fn changed_certificates_prove_nothing_false() {
    // Every price of every leaf changed in turn: what still passes claims no more than the cost that is the best.
    let mut n_rejected = 0;
    for seed in 0..30 {
        let job = tiny(&mut Draw::new(20_000 + seed));
        let plan = planned(&job);
        for (idx, node) in plan.certificate.cost_nodes.iter().enumerate() {
            let Node::Leaf {
                prices, conditions, ..
            } = node
            else {
                continue;
            };
            for place in 0..prices.len() + conditions.len() {
                for change in [-1_i64, 1, -1_000_000_007, 1 << 40] {
                    let mut forged = plan.certificate.clone();
                    if let Node::Leaf {
                        prices, conditions, ..
                    } = &mut forged.cost_nodes[idx]
                    {
                        let mut all = prices.iter_mut().chain(conditions);
                        *all.nth(place).expect("counted before") += change;
                    }
                    n_rejected += u32::from(check_certificate(&job, &forged).is_err());
                    forged.cost = plan.cost + 1;
                    assert!(check_certificate(&job, &forged).is_err(), "{seed}");
                }
            }
        }
    }
    assert!(n_rejected > 100, "{n_rejected}");
}

#[test]
fn a_tree_that_leaves_a_case_out_proves_nothing() {
    let (job, _) = sample();
    let leaf = Node::Leaf {
        denominator: 1,
        prices: vec![0; job.items().len()],
        conditions: Vec::new(),
    };
    let forged = |cost_nodes: Vec<Node>| Certificate {
        cost: 1,
        cost_nodes,
        ..Certificate::default()
    };
    let check = |nodes: Vec<Node>| check_certificate(&job, &forged(nodes));
    assert_eq!(check(Vec::new()), Err(ProofFault::Shape { node: 0 }));
    assert_eq!(
        check(vec![leaf.clone()]),
        Err(ProofFault::Short { node: 0 })
    );
    assert_eq!(
        check(vec![leaf.clone(), leaf.clone()]),
        Err(ProofFault::Shape { node: 1 })
    );
    let split = |under: usize, over: usize| Node::Split {
        count: super::certificate::Count::Sheets {
            beds: Vec::new(),
            width: 0,
        },
        at_most: 0,
        under,
        over,
    };
    // Round in a circle, to the same child twice, and out of the list.
    assert_eq!(
        check(vec![split(0, 1), leaf.clone()]),
        Err(ProofFault::Shape { node: 0 })
    );
    assert_eq!(
        check(vec![split(1, 1), leaf.clone()]),
        Err(ProofFault::Shape { node: 0 })
    );
    assert_eq!(
        check(vec![split(1, 2), leaf]),
        Err(ProofFault::Shape { node: 0 })
    );
}

#[test]
fn a_stopped_search_has_a_plan_and_an_honest_bound() {
    let job = mats(&mut Draw::new(31));
    let control = Control {
        stop: &|| true,
        progress: &|_| {},
    };
    let plan = plan_sheets_within(&job, Share::SHORT, &control);
    assert_eq!((plan.end, plan.n_missing()), (End::Stopped, 0));
    let best = planned(&job);
    assert!(plan.bound.cost <= best.cost);
    assert_eq!(check_certificate(&job, &plan.certificate), Ok(()));
}

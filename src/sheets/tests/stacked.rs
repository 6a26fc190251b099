//! Three stages of cuts: stacks, the search for cheaper plans, and the bound on what these cost.

use super::*;
use crate::sheets::certificate::InThree;

/// The same job where third cuts may be made.
fn in_three(job: &SheetJob) -> SheetJob {
    let cutter = Cutter {
        stages: Stages::Three,
        ..job.cutter()
    };
    SheetJob::new(job.items().to_vec(), job.kinds().to_vec(), cutter).expect("a job without faults")
}

#[test]
fn a_stack_is_cut_where_it_makes_a_plan_cheaper() {
    // Derived: a sheet of 100 by 90 is filled by a strip of 60 with the piece of 60 by 60 and, beside it, two of 40 by 30 one
    // above the other, and by a strip of 30 with that of 100 by 30. In two stages the second small piece finds no place: beside
    // the large one lies one, and the long piece takes a strip of its own, along the height one of the whole sheet.
    let fixed = |width: i64, height: i64, demand: u32| Item {
        turnable: false,
        ..item(width, height, demand)
    };
    let two = job(
        &[fixed(60, 60, 1), fixed(40, 30, 2), fixed(100, 30, 1)],
        &[kind(100, 90, 7)],
        Cutter::default(),
    );
    assert_eq!(planned(&two).cost, 14);
    let three = in_three(&two);
    let plan = planned(&three);
    assert_eq!((plan.cost, plan.n_missing()), (7, 0));
    assert_eq!(plan.stages(), Stages::Three);
    // What is proved is still that none in two stages costs less than 14.
    assert_eq!(plan.bound.cost, 14);
    assert_ne!(plan.end, End::Proved);
    // And that none in three costs less than 7: no sheet at all does.
    assert_eq!(plan.certificate.cost_in_three(), 7);
    assert_eq!(check_certificate(&three, &plan.certificate), Ok(()));
    assert_eq!(check_plan(&three, &plan), []);
    let fault = PlanFault::ThirdCut { sheet: 0, strip: 0 };
    assert!(check_plan(&two, &plan).contains(&fault));
    let mut apart = plan.clone();
    apart.sheets[0].strips[0].stacks[1].pieces[1].at += 1;
    assert!(check_plan(&three, &apart).contains(&PlanFault::Width { sheet: 0, strip: 0 }));
}

#[test]
fn no_stack_is_wider_than_the_second_cut() {
    // Derived: two of 40 by 30 one above the other are 60 wide, beside the piece of 60 by 50 in a strip of 60; where second
    // cuts are no longer than 59 that strip is none, and one of the small ones needs another sheet.
    let fixed = |width: i64, height: i64, demand: u32| Item {
        turnable: false,
        ..item(width, height, demand)
    };
    let cost = |longest: i64| {
        let cutter = Cutter {
            longest_second: Some(longest),
            stages: Stages::Three,
            ..Cutter::default()
        };
        let items = [fixed(60, 50, 1), fixed(40, 30, 2), fixed(100, 30, 1)];
        planned(&job(&items, &[kind(100, 90, 7)], cutter)).cost
    };
    assert_eq!((cost(60), cost(59)), (7, 14));
}

#[test]
fn tiny_jobs_in_three_stages_cost_no_less_than_trying_everything_finds() {
    let (mut n_cheaper, mut n_best, mut n_bounded, mut n_met) = (0, 0, 0, 0);
    for seed in 0..40 {
        let two = tiny(&mut Draw::new(70_070 + seed));
        let (missing, cost) = oracle::best(&two);
        let three = in_three(&two);
        let plan = planned(&three);
        let (fewest, best) = oracle::best(&three);
        assert_eq!(
            check_certificate(&three, &plan.certificate),
            Ok(()),
            "{seed}"
        );
        if plan.n_missing() > missing || fewest < missing {
            // With fewer missing than in two stages nothing is searched.
            continue;
        }
        assert_eq!(check_plan(&three, &plan), [], "{seed}");
        assert!((best..=cost).contains(&plan.cost), "{seed}: {three:?}");
        assert!(
            plan.certificate.cost_in_three() <= best,
            "{seed}: {three:?}"
        );
        n_cheaper += u32::from(plan.cost < cost);
        n_best += u32::from(plan.cost < cost && plan.cost == best);
        n_bounded += u32::from(plan.certificate.cost_in_three() > 0);
        n_met += u32::from(
            plan.certificate.cost_in_three() > 0 && plan.certificate.cost_in_three() == best,
        );
    }
    // The search proves nothing; here it finds the best wherever it finds anything.
    assert!(n_cheaper > 1 && n_best == n_cheaper, "{n_cheaper} {n_best}");
    // The bound is that of whole sheets in parts, and mostly tight.
    assert!(
        n_bounded > 5 && n_met * 2 > n_bounded,
        "{n_met} {n_bounded}"
    );
}

#[test]
fn prices_for_three_stages_prove_nothing_false() {
    let (mut n_seen, mut n_rejected) = (0, 0);
    for seed in 0..60 {
        let three = in_three(&tiny(&mut Draw::new(81_000 + seed)));
        let plan = planned(&three);
        let Some(own) = plan.certificate.in_three.clone() else {
            continue;
        };
        let (_, best) = oracle::best(&three);
        n_seen += 1;
        let with = |in_three: InThree| {
            let forged = Certificate {
                in_three: Some(in_three),
                ..plan.certificate.clone()
            };
            check_certificate(&three, &forged)
        };
        for (view, place) in (0..own.prices.len())
            .flat_map(|view| (0..three.items().len()).map(move |place| (view, place)))
        {
            for change in [-1_i64, 1, -1_000_000_007, 1 << 40] {
                let mut forged = own.clone();
                forged.prices[view].prices[place] += change;
                n_rejected += u32::from(with(forged.clone()).is_err());
                forged.cost = best + 1;
                assert_eq!(with(forged), Err(ProofFault::InThree), "{seed}");
            }
        }
        for denominator in [-1, 0, 1, 1 << 60] {
            let mut forged = own.clone();
            for view in &mut forged.prices {
                view.denominator = denominator;
            }
            forged.cost = best + 1;
            assert_eq!(with(forged), Err(ProofFault::InThree), "{seed}");
        }
        let more = InThree {
            cost: best + 1,
            ..own.clone()
        };
        assert_eq!(with(more), Err(ProofFault::InThree), "{seed}");
        let nothing = InThree { cost: 0, ..own };
        assert_eq!(with(nothing), Err(ProofFault::InThree), "{seed}");
        // Of plans that leave nothing missing it says something, of others nothing.
        let missing = Certificate {
            missing: plan.certificate.missing + 1,
            missing_nodes: plan.certificate.cost_nodes.clone(),
            ..plan.certificate.clone()
        };
        assert!(check_certificate(&three, &missing).is_err(), "{seed}");
    }
    assert!(n_seen > 10 && n_rejected > 50, "{n_seen} {n_rejected}");
}

#[test]
fn jobs_as_a_shop_has_them_are_bounded_in_three_stages() {
    let mut n_met = 0;
    for seed in 0..12 {
        let job = in_three(&mats(&mut Draw::new(1_000 + seed)));
        let plan = planned(&job);
        assert_eq!(check_certificate(&job, &plan.certificate), Ok(()), "{seed}");
        assert!(plan.certificate.cost_in_three() <= plan.cost, "{seed}");
        n_met += u32::from(plan.certificate.cost_in_three() == plan.cost);
    }
    assert!(n_met > 4, "{n_met}");
}

#[test]
fn equal_rows_on_the_rack_are_one_to_the_check() {
    // Twenty rows of one sheet each, of two sizes: listed one by one they were 2^20 sets.
    let offcut = |width: i64, price: i64| Kind {
        supply: Some(1),
        ..kind(width, 30, price)
    };
    let mut kinds = vec![kind(100, 90, 70)];
    kinds.extend((0..10).flat_map(|_| [offcut(40, 9), offcut(60, 13)]));
    let items = [item(38, 28, 7), item(55, 25, 6), item(20, 14, 9)];
    let job = in_three(&job(&items, &kinds, Cutter::default()));
    let plan = planned(&job);
    assert!(plan.certificate.in_three.is_some());
    assert_eq!(check_certificate(&job, &plan.certificate), Ok(()));
    // Far more kinds than can be gone through are refused, not followed.
    let own = plan.certificate.in_three.clone().expect("it is there");
    let many = (0..2_000)
        .map(|n| offcut(40 + n, 9 + n))
        .collect::<Vec<_>>();
    let other = in_three(&super::job(&items, &many, Cutter::default()));
    let forged = Certificate {
        in_three: Some(own),
        ..Certificate::default()
    };
    assert!(check_certificate(&other, &forged).is_err());
}

//! Wishes crossed: random jobs with two or three wishes at a time, small ones against an independent program over all
//! sets of rails, larger ones against the rule that no wish makes a plan better.
//!
//! `LONGPOINT_CASES=20 cargo test --test suite crossed:: -- --nocapture` tries twenty times as many jobs and shows how often
//! each pair of wishes has met.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]
#![expect(
    clippy::print_stdout,
    reason = "how often wishes have met is there to be read"
)]

mod program;
mod rules;
pub(crate) mod shop;

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use crate::jobs;
use longpoint::audit::check;
use longpoint::plan::{Plan, Verdict};
use longpoint::planfile::{Finding, PlanFile, verify};
use longpoint::report::csv::rack_csv;
use proptest::prelude::*;
use proptest::test_runner::{TestCaseError, TestRunner};

use program::{Best, Program};
use shop::{Shop, WISHES, Wish, shops};

/// How often each two wishes have met.
#[derive(Default)]
struct Meetings {
    n_jobs: u32,
    of: BTreeMap<(Wish, Wish), u32>,
}

impl Meetings {
    fn note(&mut self, wishes: &BTreeSet<Wish>) {
        self.n_jobs += 1;
        for &one in wishes {
            for &other in wishes.range(one..) {
                *self.of.entry((one, other)).or_default() += 1;
            }
        }
    }

    /// A row for each wish; on the diagonal how many jobs have it.
    fn print(&self, title: &str) {
        println!("{title}: {} jobs", self.n_jobs);
        for one in WISHES {
            let counts = WISHES.iter().map(|&other| {
                let key = (one.min(other), one.max(other));
                format!("{:6}", self.of.get(&key).copied().unwrap_or(0))
            });
            println!("{:>14}{}", format!("{one:?}"), counts.collect::<String>());
        }
    }
}

/// Runs a test on so many jobs, and prints which wishes met.
fn on_jobs(
    config: ProptestConfig,
    strategy: impl Strategy<Value = Shop>,
    title: &str,
    test: impl Fn(&Shop) -> Result<bool, TestCaseError>,
) {
    let meetings = RefCell::new(Meetings::default());
    let result = TestRunner::new(config).run(&strategy, |shop| {
        if test(&shop)? {
            meetings.borrow_mut().note(&shop.wishes);
        }
        Ok(())
    });
    meetings.borrow().print(title);
    if let Err(error) = result {
        panic!("{error}");
    }
}

/// Whether the offcut that the job asks for is called missing.
fn lacks_offcut(plan: &Plan) -> bool {
    plan.missing.iter().any(|part| part.is_left(&plan.job))
}

/// Plans a small job and holds it against the program; `false` where the job cannot be planned at all.
fn is_best(shop: &Shop) -> Result<bool, TestCaseError> {
    let Some(job) = shop.load() else {
        return Ok(false);
    };
    let planned = shop.planned(&job, 4_000);
    let plan = &planned.plan;
    prop_assert_eq!(check(plan), []);
    // Where an offcut is given up for a rail, a plan that misses as many parts may cost less, so nothing is claimed.
    prop_assert!(plan.verdict == Verdict::Optimal || lacks_offcut(plan));
    let in_pairs: Vec<bool> = plan.job.frames.iter().map(|frame| frame.in_pairs).collect();
    let best = |in_pairs: &[bool], with_offcut: bool| -> Best {
        Program::new(shop, in_pairs, with_offcut).best()
    };
    let asks = shop.wishes.contains(&Wish::SpareOffcut);
    // The plan is the best of those that part the rows it parts; of offcut and rails the rails come first.
    let wanted = best(&in_pairs, asks);
    prop_assert_eq!(plan.missing.len(), wanted.missing);
    if asks && lacks_offcut(plan) {
        let without = best(&in_pairs, false);
        prop_assert_eq!(without.missing + 1, wanted.missing);
        prop_assert_eq!(plan.value, without.cost);
    } else {
        prop_assert_eq!(plan.value, wanted.cost);
        if asks && wanted.missing > 0 {
            prop_assert!(best(&in_pairs, false).missing + 1 > wanted.missing);
        }
    }
    // What is left can be cut again, as the rack tells the next job.
    if asks && !lacks_offcut(plan) {
        let next = shop.next(rack_csv(plan));
        prop_assert_eq!(jobs::planned(&next).plan.missing, []);
    }
    // Rows part only where more would be missing, and where they do no way to part more of them misses less.
    if shop.may_part() {
        let rows = vec![false; in_pairs.len()];
        let strict = best(&rows, asks).missing;
        let parted = best(&vec![true; in_pairs.len()], asks).missing;
        prop_assert_eq!(plan.missing.len(), strict.min(parted));
        prop_assert!(in_pairs == rows || plan.missing.len() < strict);
    }
    let verified = verify(&job, &PlanFile::of(&planned).text()).unwrap();
    for finding in &verified.findings {
        // A proof that splits by patterns may say less; why a row is parted no proof says.
        let is_told = match finding {
            Finding::BoundNotProved { .. } => true,
            Finding::PairsNotProved { frame_idx } => in_pairs[*frame_idx],
            _ => false,
        };
        prop_assert!(is_told, "{finding}");
    }
    if plan.missing.is_empty() {
        prop_assert!(verified.proved <= plan.value);
    }
    Ok(true)
}

#[test]
fn small_jobs_are_planned_as_well_as_trying_everything_allows() {
    on_jobs(
        cases!(150),
        shops(1..3, 1, 2..4),
        "against the program",
        is_best,
    );
}

#[test]
fn no_wish_makes_a_plan_better() {
    on_jobs(
        cases!(40),
        shops(2..5, 3, 1..4),
        "against the rules",
        rules::hold,
    );
}

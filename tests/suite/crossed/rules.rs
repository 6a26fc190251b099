//! What must hold between a job and the same job with a wish less, without knowing the best plan of either.

use super::shop::{Shop, Wish};
use longpoint::audit::check;
use longpoint::plan::{Part, Plan, Verdict};
use proptest::prelude::*;
use proptest::test_runner::TestCaseError;

/// Steps of the solver between two looks at the clock that a job may take.
const PATIENCE: u32 = 60;

/// Rails of frames that are missing.
fn n_rails_missing(plan: &Plan) -> usize {
    let is_rail = |part: &&Part| matches!(part, Part::Rail { .. });
    plan.missing.iter().filter(is_rail).count()
}

/// Plans a job with each of its wishes but one; `false` where it cannot be planned at all.
pub(super) fn hold(shop: &Shop) -> Result<bool, TestCaseError> {
    let Some(job) = shop.load() else {
        return Ok(false);
    };
    let with = shop.planned(&job, PATIENCE).plan;
    prop_assert_eq!(check(&with), []);
    for &wish in &shop.wishes {
        let mut looser = shop.clone();
        looser.wishes.remove(&wish);
        let Some(job) = looser.load() else {
            continue;
        };
        let without = looser.planned(&job, PATIENCE).plan;
        let (tight, loose) = match wish {
            // These give wood, or ways to use it.
            Wish::Knots | Wish::Turned | Wish::Rack => (&without, &with),
            // Straightening and planing take wood, too.
            Wish::Rip => continue,
            Wish::Grain
            | Wish::SpareRails
            | Wish::SpareOffcut
            | Wish::Color
            | Wish::Chosen
            | Wish::Few
            | Wish::Shortage => (&with, &without),
        };
        // A long board more may let rows be asked for that came in pairs without it, and that may cost more.
        let by_cost = !shop.may_part() || matches!(wish, Wish::Grain | Wish::Color);
        is_no_better(tight, loose, wish, by_cost)?;
    }
    Ok(true)
}

/// That the plan of the tighter job is no better than that of the looser one allows.
fn is_no_better(
    tight: &Plan,
    loose: &Plan,
    wish: Wish,
    by_cost: bool,
) -> Result<(), TestCaseError> {
    let are_proved = [tight, loose]
        .iter()
        .all(|plan| plan.verdict == Verdict::Optimal);
    let n_missing = |plan: &Plan| match wish {
        // What is asked for on top may be missing; a rail for its sake may not.
        Wish::SpareRails | Wish::SpareOffcut => n_rails_missing(plan),
        _ => plan.missing.len(),
    };
    if are_proved {
        prop_assert!(n_missing(loose) <= n_missing(tight), "{wish:?}");
    }
    if wish == Wish::SpareOffcut && are_proved {
        prop_assert_eq!(n_missing(loose), n_missing(tight));
    }
    if wish == Wish::Color && are_proved {
        prop_assert_eq!(
            (tight.value, &tight.missing.len()),
            (loose.value, &loose.missing.len())
        );
    }
    if by_cost && tight.missing.is_empty() && loose.missing.is_empty() {
        prop_assert!(loose.lower_bound <= tight.value, "{wish:?}");
        if are_proved {
            prop_assert!(loose.value <= tight.value, "{wish:?}");
        }
    }
    Ok(())
}

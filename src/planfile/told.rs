//! What a plan file says that nobody can verify from the job and the file.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::pipeline::Planned;
use crate::plan::{Gathered, Plan, Verdict};

/// What the program that made the plan says of its search. It is not verified, and nothing else in the file depends on it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NotVerified {
    /// Why the search ended.
    pub ended: Ended,
    /// Whether every plan of this cost was tried and none leaves the wood better; null where nothing was looked for.
    pub leftover_proved_best: Option<bool>,
    /// What a plan comes to that keeps in a row all rails that can be; null where this one does. More parts are missing in it.
    pub in_rows: Option<Without>,
    /// What a plan without any wish for the grain comes to; null where there is no such wish.
    pub without_grain: Option<Without>,
    /// What a plan without the spare offcuts comes to; null where none are asked for.
    pub without_spare_offcuts: Option<Without>,
    /// Where parts are missing though boards were bought: what a plan comes to for which more may be bought, what was bought
    /// counting nothing; null where none are missing, or nothing is on sale.
    pub beyond_bought: Option<Without>,
    /// What a plan for a vehicle that takes boards of any length comes to; null where its limit keeps none away.
    pub without_vehicle_limit: Option<Without>,
    /// What a plan comes to that weighs wood in hand at its worth; null where it is not used first.
    pub without_rack_first: Option<Without>,
}

/// Why the search for a better plan ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Ended {
    /// Both bounds were met.
    Proved,
    /// The search reached its own limit on work.
    WorkLimit,
    /// A time limit or an interrupt ended it.
    Stopped,
}

/// The plan of a job without some wish, in figures.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Without {
    /// Boards it takes.
    pub boards: usize,
    /// Its value.
    pub value: i64,
    /// What no such plan can beat.
    pub lower_bound: i64,
    /// Parts for which there is no wood.
    pub missing: usize,
    /// Whether it is proved best.
    pub proved_optimal: bool,
}

impl NotVerified {
    /// What was found beside a plan.
    pub fn of(planned: &Planned) -> NotVerified {
        let aside = &planned.aside;
        NotVerified {
            leftover_proved_best: aside.gathered.map(|known| known == Gathered::Best),
            in_rows: aside.in_rows.as_ref().map(Without::of),
            without_grain: aside.without_grain.as_ref().map(Without::of),
            without_spare_offcuts: aside.without_spare_offcuts.as_ref().map(Without::of),
            beyond_bought: aside.beyond_bought.as_ref().map(Without::of),
            without_vehicle_limit: aside.without_vehicle_limit.as_ref().map(Without::of),
            without_rack_first: aside.without_rack_first.as_ref().map(Without::of),
            ..NotVerified::nothing(&planned.plan)
        }
    }

    /// Nothing but why the search ended.
    pub(super) fn nothing(plan: &Plan) -> NotVerified {
        NotVerified {
            ended: plan.verdict.into(),
            leftover_proved_best: None,
            in_rows: None,
            without_grain: None,
            without_spare_offcuts: None,
            beyond_bought: None,
            without_vehicle_limit: None,
            without_rack_first: None,
        }
    }
}

impl From<Verdict> for Ended {
    fn from(verdict: Verdict) -> Ended {
        match verdict {
            Verdict::Optimal => Ended::Proved,
            Verdict::WorkLimit => Ended::WorkLimit,
            Verdict::Stopped => Ended::Stopped,
        }
    }
}

impl Without {
    fn of(without: &Plan) -> Without {
        Without {
            boards: without.boards.len(),
            value: without.value,
            lower_bound: without.lower_bound,
            missing: without.missing.len(),
            proved_optimal: without.verdict == Verdict::Optimal,
        }
    }
}

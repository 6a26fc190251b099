//! What was found beside a plan, to be told with it.

use super::Plan;

/// What was found beside a plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Aside {
    /// A plan that keeps in a row all rails that can be, checked; `None` where the plan itself does. More parts are missing in
    /// it.
    pub in_rows: Option<Plan>,
    /// A plan of the same job that asks nothing of the grain, checked; `None` where no frame asks for any.
    pub without_grain: Option<Plan>,
    /// A plan of the same job that leaves no spare offcuts on purpose, checked; `None` where none is asked for.
    pub without_spare_offcuts: Option<Plan>,
    /// A plan of the same job for a vehicle that takes boards of any length, checked; `None` where its limit keeps none away.
    pub without_vehicle_limit: Option<Plan>,
    /// Where parts are missing though boards were bought: a plan of the same job in which more may be bought, checked.
    pub beyond_bought: Option<Plan>,
    /// A plan of the same job that does not use wood in hand first, checked; `None` where that is not asked for.
    pub without_rack_first: Option<Plan>,
    /// What is known of the wood that the plan leaves; `None` where nothing was looked for.
    pub gathered: Option<Gathered>,
}

impl Aside {
    /// The plan by which one buys, beside `plan`: where something was bought and does not do, that of what is still to be
    /// bought.
    pub fn to_buy<'p>(&'p self, plan: &'p Plan) -> &'p Plan {
        self.beyond_bought.as_ref().unwrap_or(plan)
    }
}

/// What is known of the wood that a plan leaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gathered {
    /// Every plan of this cost was tried, and none leaves it better.
    Best,
    /// Parts changed boards so that frames match in color, which comes before long offcuts.
    ForColor,
    /// It was bettered as far as exchanges between boards went; nothing is claimed.
    Unproved,
}

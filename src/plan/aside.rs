//! What was found beside a plan, to be told with it.

use super::Plan;

/// What was found beside a plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Aside {
    /// A plan of the same job that asks nothing of the grain, checked; `None` where no frame asks for any.
    pub without_grain: Option<Plan>,
}

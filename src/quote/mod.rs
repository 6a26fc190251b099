//! What a job costs the shop, and what it asks for it.
//!
//! [`count_costs`] tells what each thing that is sold costs: `wood` and the shares of sheets and hardware, and `labor` from
//! the rules. [`quote()`] makes prices of costs by the shop's rules, and sums. [`listed_prices`] finds what a price
//! list asks in place of that. [`estimate()`] needs no plan: it tells what frames of some sizes may cost, by what plans of the
//! past have wasted ([`Wastes`]).
//!
//! All amounts are whole minor units; what is worked out is rounded once, by a stated rule, and sums are sums of what was
//! rounded, so that nothing drifts. Amounts that do not fit are refused by [`TooLarge`].
//! This room knows no texts: `report` has the words of every rule.

mod asked;
mod costs;
mod estimate;
mod labor;
mod listed;
mod waste;
mod wood;

pub use asked::{Priced, Quote, TooLarge, quote};
pub use costs::{Costs, JobCosts, Lack, SoldCosts, count_costs};
pub use estimate::{
    CannotEstimate, Estimate, Estimated, NoEstimate, estimate, usual_inch_sizes, usual_metric_sizes,
};
pub use listed::listed_prices;
pub use waste::{Past, Waste, WasteOf, Wastes};
pub use wood::{WoodShares, share_wood};

#[cfg(test)]
mod tests;

//! Ways of buying for one job, side by side: which boards to fetch, what each way costs, and how sure that is.
//!
//! A way is the job with some of its boards left out, its supplies lifted, or another yard's boards in their place.
//! [`compare()`] plans the job in every way; [`alone`] plans one way from nothing, to see what the comparison shares.
//! `woods` finds which boards serve the same parts, `ways` turns a way into a job, `few_lengths` finds the best choice of a
//! few lengths, and `survey` plans them all and makes the `rows`.
//! `what_if`, `forced`, `shares`, `sheets`, `yard_list` and `materials` answer what one asks next.
//!
//! All plans are asked of one [`Planner`](crate::pipeline::Planner), which solves nothing twice.
//! This module decides nothing about texts: `report` has the words.

mod exchange;
mod few_lengths;
mod forced;
mod gone;
mod materials;
mod not_bought;
mod rows;
mod shares;
mod sheets;
mod survey;
mod ways;
mod what_if;
mod woods;
mod yard_list;

pub use exchange::{Exchange, find_exchanges};
pub use forced::{Forced, find_forced};
pub use gone::plan_way;
pub use materials::{Amount, Kind, Need, Rule, list_needs};
pub use not_bought::NotBought;
pub use rows::{Comparison, Row};
pub use shares::{PaidBefore, WeighedPart, share_boards, share_paid_before, weigh_parts};
pub use sheets::share_sheets;
pub use survey::{alone, compare};
pub use ways::{list_ways, woods_to_buy};
pub use what_if::{Change, Reasons, WhatIf, find_reasons, find_reasons_within};
pub use woods::{Wood, find_woods};
pub use yard_list::{YardLine, yard_list};

use crate::solve::Control;

/// What the caller may steer.
pub struct Steer<'a> {
    /// Asked now and then; `true` ends the search with what is found so far.
    pub stop: &'a (dyn Fn() -> bool + Sync),
    /// Told how many of the tasks are done, and of how many.
    pub progress: &'a (dyn Fn(usize, usize) + Sync),
}

impl Steer<'_> {
    /// The same for a planner, whose own progress is not told.
    fn control(&self) -> Control<'_> {
        Control {
            stop: self.stop,
            progress: &|_| {},
        }
    }
}

//! Ways of buying for one job, side by side: which boards to fetch, what each way costs, and how sure that is.
//!
//! A way is the job with some of its boards left out, its supplies lifted, or another yard's boards in their place.
//! [`compare()`] plans the job in every way; [`alone`] plans one way from nothing, to see what the comparison shares.
//! `woods` finds which boards serve the same parts, `ways` turns a way into a job, `parts` divides that into what shares
//! no board, `ledger` keeps what of it is solved already, `start` carries a plan over, `few_lengths` finds the best choice
//! of a few lengths, and `survey` plans them all and makes the `rows`.
//! `what_if`, `shares`, `yard_list` and `materials` answer what one asks next.
//!
//! This module decides nothing about texts: `report` has the words.

mod few_lengths;
mod ledger;
mod materials;
mod parts;
mod rows;
mod shares;
mod start;
mod survey;
mod threads;
mod ways;
mod what_if;
mod woods;
mod yard_list;

pub use materials::{Amount, Kind, Need, Rule, list_needs, share_sheets};
pub use rows::{Comparison, Row};
pub use shares::share_boards;
pub use survey::{alone, compare};
pub use ways::{Way, list_ways};
pub use what_if::{Change, NotBought, Reasons, WhatIf, find_reasons};
pub use woods::{Wood, find_woods};
pub use yard_list::{YardLine, yard_list};

/// What the caller may steer.
pub struct Steer<'a> {
    /// Asked now and then; `true` ends the search with what is found so far.
    pub stop: &'a (dyn Fn() -> bool + Sync),
    /// Told how many of the tasks are done, and of how many.
    pub progress: &'a (dyn Fn(usize, usize) + Sync),
}

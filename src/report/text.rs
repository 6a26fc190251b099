//! Text for the terminal and the bench, in the order in which a framer needs it: what was found, which boards to
//! take, what they come to, where to rip, where to cut, the sizes of the frames, what to look out for.

mod boards;
mod buying;
mod cautions;
mod color;
mod cut_list;
mod diagram;
mod frames;
mod grain;
mod opening;
mod page;
mod rack;
mod reasons;
mod rest;
mod rips;
mod spare;
mod ways;

use crate::job::Job;
use crate::plan::Plan;

use super::ink::Look;
use crate::tally::Summary;
use page::Page;

pub use rest::rest_text;
pub use ways::ways_text;

/// The whole plan.
///
/// No line is wider than `look.width` columns (80 at least), whatever the names and lengths.
pub fn plan_text(plan: &Plan, summary: &Summary, look: Look) -> String {
    let job = &plan.job;
    let mut page = Page::new(job, look);
    opening::write(&mut page, plan, summary);
    boards::write(&mut page, plan, summary);
    rips::write(&mut page, plan, summary);
    diagram::write(&mut page, plan, summary);
    grain::write(&mut page, plan);
    color::write(&mut page, plan);
    frames::write(&mut page, job);
    cautions::write(&mut page, plan);
    page.into_text()
}

/// The plan of what is new after a miscut: what to take, where to cut and what to look out for. What becomes of the wood
/// is told by the old plan.
fn new_cuts_text(plan: &Plan, summary: &Summary, look: Look) -> String {
    let job = &plan.job;
    let mut page = Page::new(job, look);
    opening::write_found(&mut page, plan, summary);
    boards::write_new(&mut page, job, summary);
    rips::write(&mut page, plan, summary);
    diagram::write(&mut page, plan, summary);
    cautions::write(&mut page, plan);
    page.into_text()
}

/// Only the sizes: frames, sheets to cut and loose pieces. Needs no boards.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn sizes_text(job: &Job, look: Look) -> String {
    let mut page = Page::new(job, look);
    opening::write_title(&mut page, job);
    frames::write(&mut page, job);
    frames::write_sheets(&mut page, job);
    frames::write_pieces(&mut page, job);
    cautions::write_for_sizes(&mut page, job);
    page.into_text()
}

#[cfg(test)]
mod tests;

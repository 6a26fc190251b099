//! What a report says, one file a section, each from counted facts to blocks of a document.
//!
//! The order is that in which a framer needs it: what was found, which boards to take, what they come to, where to rip,
//! where to cut, the sizes of the frames, what to look out for. No section asks how wide the page is.

mod boards;
mod buying;
mod cautions;
mod color;
mod cut_list;
mod diagram;
mod estimate;
mod frames;
mod grain;
mod opening;
mod order;
mod price_rules;
mod quote;
mod rack;
mod reasons;
mod resaws;
mod rest;
mod rips;
mod sheets;
mod spare;
mod stations;
mod unused;
mod ways;

use crate::job::Job;
use crate::plan::Plan;
use crate::stations::saw_order;
use crate::tally::Summary;

use super::document::Document;

pub(crate) use estimate::why_no_estimate;
pub use estimate::{estimate_sheet, estimated_costs_sheet};
pub(crate) use frames::{border_words, rabbet_shown, spacer_words, tight_words, weight_words};
pub use quote::{customer_sheet, shop_sheet};
pub use rest::{left_sheet, rest_sheet, sheets_before};
pub(crate) use sheets::material_name;
pub use stations::stations_sheet;
pub use ways::ways_sheet;

/// The whole plan.
pub fn plan_sheet(summary: &Summary<'_>) -> Document {
    let job = &summary.plan.job;
    let mut doc = Document::new(job);
    opening::write_title(&mut doc, job);
    opening::write_found(&mut doc, summary);
    boards::write(&mut doc, summary);
    unused::write(&mut doc, summary.plan);
    resaws::write(&mut doc, summary);
    rips::write(&mut doc, summary);
    diagram::write(&mut doc, summary);
    grain::write(&mut doc, summary.plan);
    color::write(&mut doc, summary.plan);
    frames::write(&mut doc, job);
    sheets::write(&mut doc, job, &summary.materials);
    cautions::write(&mut doc, summary.plan);
    doc
}

/// The order of sawing by stop.
pub fn order_sheet(plan: &Plan) -> Document {
    let mut doc = Document::new(&plan.job);
    opening::write_title(&mut doc, &plan.job);
    if !plan.boards.is_empty() {
        order::write(&mut doc, plan, &saw_order(plan));
    }
    if !plan.missing.is_empty() {
        opening::write_missing(&mut doc, plan);
    }
    doc
}

/// The plan of what is new after a miscut: what to take, where to cut and what to look out for. What becomes of the wood
/// is told by the old plan.
fn write_new_cuts(doc: &mut Document, summary: &Summary<'_>) {
    opening::write_found(doc, summary);
    boards::write_taken(doc, summary);
    resaws::write(doc, summary);
    rips::write(doc, summary);
    diagram::write(doc, summary);
    grain::write(doc, summary.plan);
    color::write(doc, summary.plan);
    cautions::write(doc, summary.plan);
}

/// Only the sizes: frames, sheets to cut and loose pieces. Needs no boards.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn sizes_sheet(job: &Job) -> Document {
    let mut doc = Document::new(job);
    opening::write_title(&mut doc, job);
    frames::write(&mut doc, job);
    frames::write_sheets(&mut doc, job, "Sheets to cut");
    frames::write_pieces(&mut doc, job);
    cautions::write_for_sizes(&mut doc, job);
    doc
}

#[cfg(test)]
mod tests;

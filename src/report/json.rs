//! Sizes, ways of buying, and quotes, each as one JSON object for scripts; the plan itself is a [`crate::planfile::PlanFile`].
//!
//! Exact, in a fixed order of fields, the same bytes every time; units are those of the plan file.

mod quote;
mod ways;

use serde::Serialize;

use crate::job::Job;
use crate::planfile::{Frame, Settings, Sheet, frames_and_sheets, json_text};

pub use quote::{quote_costs_json, quote_json};
pub use ways::ways_json;

/// Only the sizes.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn sizes_json(job: &Job) -> String {
    let (frames, sheets) = frames_and_sheets(job);
    json_text(&Sizes {
        title: &job.title,
        settings: Settings::of(job),
        frames,
        sheets,
    })
}

#[derive(Serialize)]
struct Sizes<'a> {
    title: &'a str,
    settings: Settings,
    frames: Vec<Frame>,
    sheets: Vec<Sheet>,
}

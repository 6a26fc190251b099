//! A checked plan, written down: for the terminal, as CSV tables and as JSON.
//!
//! Every report is a pure function of the job and the plan; nothing here touches files, clock or terminal, and
//! nothing is decided here but how a figure is shown.
//! Between the facts and a format that is read by people stands a neutral [`document`]: the [`sections`] say it, and
//! [`text`] sets it. Tables ([`csv`]) and [`json`] are written from the facts directly.
//!
//! Tables and JSON carry exact figures. Printed text rounds to the job's step, in a direction that does not mislead:
//! what must be long enough is rounded up, what is there to cut from is rounded down, and `~` marks both.

pub mod csv;
pub mod document;
pub mod figures;
mod hardware_words;
pub mod json;
mod lacks;
pub mod pocket;
pub mod progress;
pub mod sections;
pub mod text;
pub mod verified;
pub mod way_lines;
pub mod way_words;

pub(crate) mod job_changes;
pub(crate) mod naming;
pub(crate) mod other_needs;

#[cfg(test)]
pub(crate) mod samples;

//! A checked plan, written down: for the terminal, as CSV tables and as JSON.
//!
//! Every report is a pure function of the job and the plan; nothing here touches files, clock or terminal, and
//! nothing is decided here but how a figure is shown.
//! Each format has a
//! file of its own: [`text`], [`csv_files`], [`json`].
//!
//! Tables and JSON carry exact figures. Printed text rounds to the job's step, in a direction that does not mislead:
//! what must be long enough is rounded up, what is there to cut from is rounded down, and `~` marks both.

pub mod csv_files;
pub mod json;
pub mod text;
pub mod verified;
pub mod way_lines;
pub mod way_words;

mod bar;
mod figures;
mod ink;
mod layout;
mod naming;
mod table;

pub use ink::Look;

#[cfg(test)]
pub(crate) mod samples;

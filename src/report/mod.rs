//! A checked plan, written down: for the terminal, as CSV tables and as JSON.
//!
//! Every report is a pure function of the job and the plan; nothing here touches files, clock or terminal, and
//! nothing is decided here but how a figure is shown.
//! [`summary`] counts once what several formats show, [`sheet`] gathers the sizes of a frame; then each format has a
//! file of its own: [`text`], [`csv_files`], [`json`].
//!
//! Tables and JSON carry exact figures. Printed text rounds to the job's step, in a direction that does not mislead:
//! what must be long enough is rounded up, what is there to cut from is rounded down, and `~` marks both.

pub mod csv_files;
pub mod json;
pub mod sheet;
pub mod summary;
pub mod text;
pub mod verified;
pub mod way_lines;
pub mod way_words;

mod bar;
mod chains;
mod figures;
mod ink;
mod layout;
mod naming;
mod table;
mod turning;

pub use ink::Look;
pub use summary::Summary;

#[cfg(test)]
mod samples;

//! CSV tables: the cut list, boards to take, rails by frame, sizes of every frame, sheets, offcuts, what is missing.
//!
//! All values are exact.
//! A length stands in two columns: in the job's unit as a decimal number (such as `length-in`), exact where it has a
//! finite decimal and else to nine places, which still tells every nanometre apart; and as whole nanometres
//! (`length-nm`).
//! Amounts of money are decimal numbers in the currency that the column `currency` names.

mod plan_tables;
mod rows;
mod size_tables;

pub use size_tables::frame_sizes;

use crate::job::Job;
use crate::plan::Plan;

use super::summary::Summary;

/// One table, to be written to a file of this name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CsvFile {
    /// The file's name, such as `cut-list.csv`.
    pub name: &'static str,
    /// Its whole text: UTF-8, a header line, rows ending in a line feed.
    pub text: String,
}

/// All tables of a plan.
///
/// # Panics
/// If `plan` is not a plan of `job`, or `summary` not that plan's.
pub fn plan_files(job: &Job, plan: &Plan, summary: &Summary) -> Vec<CsvFile> {
    let file = |name, text| CsvFile { name, text };
    let mut files = vec![
        file("cut-list.csv", plan_tables::cut_list(job, plan)),
        file(
            "boards-to-take.csv",
            plan_tables::boards_to_take(job, summary),
        ),
        file("rails.csv", plan_tables::rails(job, plan)),
        file("offcuts.csv", plan_tables::offcuts(job, plan)),
        file("missing.csv", plan_tables::missing(job, plan)),
    ];
    files.extend(sizes_files(job));
    files
}

/// The tables that need no plan: sizes of the frames, and sheets to cut.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn sizes_files(job: &Job) -> Vec<CsvFile> {
    vec![
        CsvFile {
            name: "frame-sizes.csv",
            text: frame_sizes(job),
        },
        CsvFile {
            name: "sheets.csv",
            text: size_tables::sheets(job),
        },
    ]
}

#[cfg(test)]
mod tests;

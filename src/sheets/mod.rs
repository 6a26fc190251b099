//! Sheet goods: rectangles out of stock sheets by cuts from edge to edge in two stages, planned with a proof, or in three where that is cheaper.
//!
//! First cuts part a sheet into strips, second cuts part each strip into pieces, and a last cut trims a piece that is
//! narrower than its strip.
//! Where the cutter may cut in three stages, second cuts part a strip into stacks, and third cuts these into pieces; in two
//! stages a stack is one piece. Plans in three are searched, and what is proved is proved of plans in two.
//! The first cuts of a sheet may run either way.
//! All is told in whole numbers: sizes of any one unit (nanometers, elsewhere in this crate), prices of another.
//!
//! [`job`] is what is wanted and from what, checked as a whole; [`plan`] the answer with every strip and piece at its place;
//! [`certificate`] what proves the bound.
//! `solver` makes plans; `check` judges a plan, and a certificate, from the job alone and shares nothing with the solver.
//! Frames, boards and money are not known here.
//!
//! # Source
//! P. C. Gilmore, R. E. Gomory, Operations Research 13(1), 1965, 94-120 (two stages, two-level knapsack); strips and
//! compositions of strips as columns of their own after the one-cut and the linked models of E. Silva, F. Alvelos,
//! J. M. Valério de Carvalho, EJOR 205(3), 2010, 699-708 (from memory).

pub mod certificate;
pub mod check;
pub mod job;
pub mod plan;
mod solver;

pub use solver::{plan_sheets, plan_sheets_within};

#[cfg(test)]
mod tests;

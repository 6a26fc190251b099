//! Judges plans and certificates from the job alone; shares nothing with the solver.

mod frontier;
mod holding;
mod layout;
mod leaf;
mod proof;
mod sets;
mod stacked;

pub use layout::{PlanFault, check_plan};
pub use proof::{ProofFault, check_certificate};

//! Sizes picture frames and plans which boards to take and where on each board every rail falls.
//!
//! The data flows one way, and the modules stand in the order in which it passes them:
//!
//! 1. [`load`] reads a job file and its tables into a [`job::Job`], or reports every fault at once.
//! 2. [`frame`] turns an artwork into package, rabbet and rail sizes; [`stock`] knows boards and prices.
//! 3. [`plan`] lowers the job to the integer cutting-stock model of [`cutting`].
//! 4. [`solve`] solves the model and proves a bound in integers.
//! 5. [`plan`] raises the answer to cuts at their places, and checks them from the job alone.
//! 6. [`report`] writes the checked plan as text, CSV and JSON.
//!
//! [`planfile`] writes the plan as one file, reads it again, and verifies it from the job alone.
//! [`replan`] plans the rest of a job after a miscut.
//! [`length`], [`money`] and [`diag`] are used everywhere and use nothing.
//! Lengths are whole nanometres and money is whole minor units throughout.

pub mod diag;
pub mod length;
pub mod money;

pub mod cutting;
pub mod frame;
pub mod stock;

pub mod job;
pub mod solve;

pub mod load;
pub mod plan;

pub mod audit;
pub mod bridge;
pub mod pipeline;

pub mod compare;
pub mod replan;

pub mod planfile;
pub mod report;
pub mod tally;
pub mod verify;

pub mod cli;

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod samples;

//! Sizes picture frames and plans which boards to take and where on each board every rail falls.
//!
//! The data flows one way, and the modules stand in the order in which it passes them:
//!
//! 1. [`load`] reads a job file and its tables into a [`job::Job`], or reports every error at once.
//! 2. [`frame`] turns an artwork into package, rabbet and rail sizes; [`stock`] knows boards and prices.
//! 3. [`pipeline`] plans the job: a private bridge lowers it to the integer cutting-stock model of [`cutting`], [`solve`]
//!    solves that with a bound proved in integers, the bridge raises the answer to a [`plan::Plan`].
//! 4. [`audit`] judges the plan, and the proof of its bound, from the job alone; nothing else is handed on.
//! 5. [`tally`] counts what the plan comes to; [`report`] says it in a document, and sets that as text; CSV stands beside it.
//! 6. [`stations`] counts what each station of the bench is set to; [`paper`] makes pages for it, with drawings.
//! 7. [`planfile`] writes the plan as one file, reads it again, and verifies it from the job alone.
//!
//! [`compare`] plans a job in many ways of buying, [`replan`] the rest of one after a miscut.
//! [`desk`] has the files of a job as tables to type into, and what is typed as changed texts.
//! [`page`] is the page to work at in a browser: from what is known to HTML, and from what is done there to changed texts.
//! [`help`] is the guide that the program shows itself.
//! [`length`], [`money`] and [`diag`] are used everywhere and use nothing.
//! Lengths are whole nanometers and money is whole minor units throughout.
//!
//! # What is public on purpose
//! The way from texts to a checked plan and its reports (`load`, `job`, `pipeline`, `plan`, `planfile`, `compare`,
//! `replan`, `tally`, `stations`, `report`), the way back from what is typed to texts (`desk`), the domain it is told in (`frame`, `stock`, `length`, `money`, `diag`), and, for studies
//! of the solvers themselves, `cutting` and `solve`, and `sheets` for rectangles out of sheets. `audit` is public so that anyone can judge a plan of his own; `cli` has one
//! function, for `main`. How jobs and the model are translated into each other is private.
//!
//! # Example
//! A job from texts in memory, planned and printed:
//! ```
//! use std::path::Path;
//!
//! use longpoint::diag::render;
//! use longpoint::load::{Boards, FileFault, Files, load_job};
//! use longpoint::pipeline;
//! use longpoint::report::sections::plan_sheet;
//! use longpoint::report::text::{Look, set};
//! use longpoint::solve::Control;
//! use longpoint::tally::Summary;
//!
//! struct Texts;
//!
//! impl Files for Texts {
//!     fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
//!         match path.to_str() {
//!             Some("job.toml") => Ok(br#"
//!                 pieces = "pieces.csv"
//!                 [saw]
//!                 kerf = "1/8"
//!                 [[boards]]
//!                 board = "ash"
//!                 length = "8 ft"
//!             "#.to_vec()),
//!             Some("pieces.csv") => Ok(b"piece,length,quantity\nshelf edge,31 1/2,4\n".to_vec()),
//!             _ => Err(FileFault::Missing),
//!         }
//!     }
//! }
//!
//! let (job, warnings) = load_job(Path::new("job.toml"), &Texts, Boards::Needed)
//!     .map_err(|errors| render(&errors, false))?;
//! assert!(warnings.is_empty());
//! let control = Control { stop: &|| false, progress: &|_| {} };
//! let planned = pipeline::plan(&job, &control).expect("every plan is checked before it is given out");
//! let counted = Summary::new(&planned.plan);
//! let look = Look { width: 80, color: false, unicode: false };
//! let text = set(&plan_sheet(&counted), look);
//! // Two pieces and their kerf fit between the trims of a board, three do not.
//! assert!(text.contains("PROVED BEST"));
//! assert_eq!(planned.plan.missing.len(), 0);
//! # Ok::<(), String>(())
//! ```

#[cfg(test)]
#[macro_use]
mod cases;

pub mod diag;
pub mod length;
pub mod money;

pub mod cutting;
pub mod frame;
pub mod stock;

pub mod job;
pub mod sheets;
pub mod solve;

pub mod load;
pub mod plan;

pub mod audit;
pub mod bridge;
pub mod pipeline;

pub mod compare;
pub mod replan;

pub mod desk;
pub mod help;
pub mod page;
pub mod paper;
pub mod planfile;
pub mod program;
pub mod quote;
pub mod report;
pub mod stations;
pub mod tally;

pub mod cli;

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod samples;

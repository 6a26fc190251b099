//! The vehicle's limit as it is typed.

use clap::Args;

use crate::diag::{quoted, safe_text};
use crate::job::Job;
use crate::length::{Length, Unit};

use super::{Fault, typed_length};

/// What the vehicle takes.
#[derive(Debug, Args)]
pub(super) struct Vehicle {
    /// The longest board that the vehicle takes, such as 8' or 2.4m; before what the job file says
    #[arg(long, value_name = "LENGTH")]
    longest: Option<String>,
}

impl Vehicle {
    /// The job with this limit, where one was typed.
    pub(super) fn limit(&self, job: Job) -> Result<Job, Fault> {
        match &self.longest {
            Some(longest) => {
                let longest = read_longest(longest, job.display.unit)?;
                let job = job.with_longest(Some(longest));
                let mut boards = job.boards.iter();
                match boards.find(|board| job.buying.at_yard(board).is_err()) {
                    Some(board) => Err(Fault::Usage(format!(
                        "with this --longest the yard could cut board {} in too many ways, or at too high a cost\n\
                         hint: give `yard-cuts` of the job a larger step, or list the places",
                        quoted(&board.name)
                    ))),
                    None => Ok(job),
                }
            }
            None => Ok(job),
        }
    }
}

/// The longest board that the vehicle takes, as it was typed.
fn read_longest(text: &str, unit: Unit) -> Result<Length, Fault> {
    match typed_length(text, unit) {
        Ok(Length::ZERO) => Err(Fault::Usage("--longest must be more than zero".to_owned())),
        Ok(length) => Ok(length),
        Err(error) => Err(Fault::Usage(format!(
            "{} is not a length for --longest: {}",
            quoted(text),
            safe_text(&error.to_string())
        ))),
    }
}

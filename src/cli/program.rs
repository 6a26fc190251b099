//! The command `program`.

use crate::load::Boards;
use crate::program::{MOST_PATTERNS, TooLarge, program};

use super::args::ProgramArgs;
use super::{Ended, Fault, Input, print, read};

/// Prints the integer program of a job.
pub(super) fn write(args: &ProgramArgs) -> Result<Ended, Fault> {
    let Input { job, .. } = read(&args.job, Boards::Needed)?;
    let job = args.vehicle.limit(job)?;
    let program = program(&job, MOST_PATTERNS).map_err(|TooLarge| {
        Fault::Usage(
            "the integer program of this job is too large: more than two million entries, or amounts that solvers cannot tell apart\n\
             hint: `longpoint plan` solves it all the same; for another solver, take a part of the job"
                .to_owned(),
        )
    })?;
    print(&program.lp())?;
    Ok(Ended::Complete)
}

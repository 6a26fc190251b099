//! What is to be cut of hardware that is sold by length: dust covers off a roll, wire, cleats, spacers.

use crate::job::Job;
use crate::stations::hardware;

use super::rows::{Rows, length, number};

/// A row for each line of frames and length: what it is cut of, what for, how many for all its frames, and how long each is.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn hardware_cuts_csv(job: &Job) -> String {
    let heads = ["hardware", "use", "frame", "cut", "length@"];
    let mut rows = Rows::new(&job.display, &heads);
    for need in hardware(job).needs {
        let of = &job.hardware[need.hardware_idx];
        for cut in need.cuts {
            rows.row(vec![
                of.name.as_str().into(),
                of.hardware_use.code().into(),
                job.frames[cut.frame_idx].name.as_str().into(),
                number(cut.count),
                length(cut.length),
            ]);
        }
    }
    rows.into_text()
}

//! What parts are called.

use std::borrow::Cow;

use crate::frame::side_name;
use crate::job::Job;
use crate::plan::Part;

/// The name to write on the back of a part, such as `Dunes #2 top`, or `spacer #3` for a loose piece.
///
/// The number of the copy stands there only where there is more than one.
///
/// # Panics
/// If `part` is not one of `job`'s.
pub fn part_label(job: &Job, part: Part) -> String {
    let (name, quantity, copy) = match part {
        Part::Rail {
            frame_idx, copy, ..
        } => {
            let frame = &job.frames[frame_idx];
            (&frame.name, frame.quantity, copy)
        }
        Part::Loose { piece_idx, copy } => {
            let piece = &job.pieces[piece_idx];
            (&piece.name, piece.quantity, copy)
        }
    };
    let mut label = name.clone();
    if quantity > 1 {
        label.push_str(&format!(" #{copy}"));
    }
    if let Some(side) = part_side(job, part) {
        label.push(' ');
        label.push_str(&side);
    }
    label
}

/// The side of its frame a rail stands on, such as `top` or `side 3`; `None` for a loose piece.
///
/// # Panics
/// If `part` is not one of `job`'s.
pub fn part_side(job: &Job, part: Part) -> Option<Cow<'static, str>> {
    match part {
        Part::Rail {
            frame_idx, side, ..
        } => Some(side_name(job.frames[frame_idx].art, side)),
        Part::Loose { .. } => None,
    }
}

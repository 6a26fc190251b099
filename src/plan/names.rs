//! What parts are called, and pieces of boards.

use std::borrow::Cow;

use crate::frame::side_name;
use crate::job::Job;
use crate::plan::{Part, PieceKind, PlannedBoard};

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
    let mut words = vec![name.clone()];
    if quantity > 1 {
        words.push(format!("#{copy}"));
    }
    if let Some(side) = part_side(job, part) {
        words.push(side.into_owned());
    }
    words.join(" ")
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

/// What a piece of a board is called that no strip takes: `slice 3`, `stretch 2`, `edge 1 of slice 3`.
///
/// # Panics
/// If it is not of that board.
pub fn piece_name(planned: &PlannedBoard, kind: PieceKind) -> String {
    let at = kind.stretch();
    let n_slices = planned.n_slices();
    let slice = planned.resawn.is_some();
    let slice = slice.then(|| format!("slice {}", at % n_slices + 1));
    let stretch = planned.is_cut_at_yard();
    let stretch = stretch.then(|| format!("stretch {}", at / n_slices + 1));
    let edge = match kind {
        PieceKind::Edge { stretch, nth } => match planned.stretches[stretch].beside.len() {
            1 => Some("edge".to_owned()),
            _ => Some(format!("edge {}", nth + 1)),
        },
        PieceKind::Stretch(_) => None,
    };
    let words: Vec<String> = [edge, slice, stretch].into_iter().flatten().collect();
    words.join(" of ")
}

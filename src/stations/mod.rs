//! What the bench works by, counted from a plan: one file for each station or sheet.
//!
//! Pure facts: lengths, counts, chalk marks and positions in the plan and its job; no text, no width, no drawing.

mod frame_sheet;
mod glue;

pub use frame_sheet::{FrameCopy, FrameSheet, Layer, LayerKind, RailKind, RailPlace, frame_sheets};
pub use glue::{Across, MOST_DIFFERENCE, across, out_of_square};

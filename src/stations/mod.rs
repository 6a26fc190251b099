//! What the bench works by, counted from a plan: one file for each station or sheet.
//!
//! [`saw_order`] says in which order the stop of the saw is set and what is cut at each setting, [`stop_figure`] what is
//! read at the stop. Pure facts: whole nanometers, counts, chalk marks, and positions in the plan and its job; no text, no
//! width, no drawing.

mod frame_sheet;
mod glue;
mod order;
mod stop;

pub use frame_sheet::{FrameCopy, FrameSheet, Layer, LayerKind, RailKind, RailPlace, frame_sheets};
pub use glue::{Across, MOST_DIFFERENCE, across, out_of_square};
pub use order::{Batch, CutRef, Parted, SawOrder, Setting, Stick, saw_order};
pub use stop::{StopFigure, is_measured_elsewhere, opposite_side, stop_figure};

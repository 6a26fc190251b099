//! What is set at each station of the bench, from a plan: facts counted for whoever prints them, with no text and no width.
//!
//! [`saw_order`] says in which order the stop of the saw is set and what is cut at each setting, [`stop_figure`] what is
//! read at the stop, [`labels`] what is written on each part. Lengths are whole nanometers; boards, strips and cuts are positions in the plan, with the chalk marks
//! by which a framer knows them.

mod labels;
mod order;
mod stop;

pub use labels::{FrameLabel, Labels, Mate, PartLabel, RailPlace, labels, labels_in};
pub use order::{Batch, CutRef, Parted, SawOrder, Setting, Stick, saw_order};
pub use stop::{StopFigure, is_measured_elsewhere, opposite_side, stop_figure};

//! What the bench works by, counted from a plan: one file for each station or sheet.
//!
//! Wood comes first (`rip`, `milling`, `rabbet`, `miter`, `order`, `stop`), then the frame (`labels`, `glue`, `keys`), what
//! it holds (`mat`, `closing`), the wall (`hanging`), and the sheet of each frame (`frame_sheet`). Pure facts: whole nanometers, counts, chalk marks, and positions in the plan and its job; no text, no
//! width, no drawing.

mod closing;
mod frame_sheet;
mod glue;
mod hanging;
mod hardware;
mod keys;
mod labels;
mod mat;
mod milling;
mod miter;
mod order;
mod rabbet;
mod rip;
mod stop;

pub use closing::{Closing, Cover, Points, Row, closings, count_points, row};
pub use frame_sheet::{
    FrameCopy, FrameSheet, Layer, LayerKind, RailKind, RailPlace, frame_sheets, mat_round_art,
};
pub use glue::{Across, across, clamp_length, most_difference, out_of_square};
pub use hanging::{Hung, Places, WallRow, Wire, hung, wall_row};
pub use hardware::{
    HardwareAmount, HardwareCut, HardwareList, HardwareNeed, Lacking, WhyLacking, hardware,
};
pub use keys::{Corner, KeySetting, SplineSetting, corners, keys, splines};
pub use labels::{FrameLabel, Mate, PartLabel, RailMates, frame_labels, part_labels};
pub use mat::{HingeSide, MatSetting, mats};
pub use milling::{Milling, millings};
pub use miter::{MiterSetting, TEST_OFF, Tenths, miters, opening};
pub use order::{Batch, CutRef, Parted, SawOrder, Setting, Stick, opposite_part, saw_order};
pub use rabbet::{Rabbet, SawSetting, blade_over, rabbet};
pub use rip::{Edge, RipSetting, beside_strips, planed_edges, rip_settings};
pub use stop::{StopFigure, is_measured_elsewhere, opposite_side, stop_figure};

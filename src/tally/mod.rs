//! What a plan comes to, counted once for all that show it: boards, money, wood, what is left, cautions.

mod at_bench;
mod balance;
mod cautions;
mod chains;
mod course;
mod limits;
mod panes;
mod rack;
#[cfg(test)]
pub(crate) mod rule_of_thumb;
mod sheet;
mod sheets;
mod summary;
mod turning;
mod unused;
mod weights;

pub use crate::job::Weight;
pub use at_bench::AtBench;
pub use balance::{Balance, CountedBy, Idle, balances};
pub use cautions::{Caution, PUSH_STICK, cautions, chosen_by_weight, half_weighed, sizes_cautions};
pub use chains::Chains;
pub use course::{Course, Fate, course};
pub use limits::Limits;
pub use panes::{HEAVY_PANE, LARGE_PANE, NARROW_PANE, PaneTrouble, pane_troubles};
pub use rack::{
    ForStove, NewPiece, RackMoves, for_stove, rack_added, rack_left, rack_left_new, rack_moves,
};
pub use sheet::*;
pub use sheets::{
    LeftOf, MaterialTally, RackSheet, SheetLeft, UnusedSheet, WhySheetUnused, material_tallies,
    sheet_rack_moves,
};
pub use summary::*;
pub use turning::*;
pub use unused::{Unused, WhyUnused, unused};
pub use weights::{FrameWeight, SheetKind, Untold, Unweighed, frame_weight, untold};

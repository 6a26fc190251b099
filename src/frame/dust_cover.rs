//! The dust cover: paper that is glued over the back of a frame.

use super::{Frame, Holding, Outline};
use crate::length::Length;

/// The dust cover of a frame: the outside of the frame, less `margin` at each edge.
///
/// `None` of a tray, which stays open, of a frame inside of another, which is closed with that, and of one that is to have none.
///
/// # Source
/// Common practice, no source: the paper stays inside of the edges, so that it is not seen from the side.
pub fn dust_cover(frame: &Frame, outside: Outline, margin: Length) -> Option<Outline> {
    let is_covered = frame.gets_cover && frame.holding == Holding::Rabbet && !frame.is_held();
    is_covered.then(|| outside.grown(-margin * 2))
}

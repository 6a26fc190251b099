//! Drawings in SVG: boards and sheets as they are cut, corners, frames, sections, bars, and lengths as figures with fractions.
//!
//! Each is a pure function that gives one `<svg>` element, or a part of one, as text; the same input gives the same bytes.
//! Places are whole nanometers, of wood or of paper, and are written in millimeters with three decimals.
//!
//! No crate writes the elements: all that is needed of one is a name, attributes in order and escaping, and the escaping
//! must do more than XML asks, as names come from files: control characters are no XML at all, see [`xml`].

pub mod bars;
pub mod board;
pub mod corner;
pub mod figure;
pub mod frame;
pub mod panel;
pub mod section;
pub mod true_scale;
pub mod xml;

mod described;
mod labelled;
mod scale;
mod strokes;
mod style;
mod wood;

pub use style::{CSS, defs};

//! Papers for the bench: one page of HTML that can be read on a tablet and printed, chapter by chapter, and drawings.
//!
//! Facts come counted (`tally`, `stations`), the rest of a plan as the neutral document of `report`; here it is decided how
//! they look. Templates hold the markup, [`svg`] draws, and nothing that stands in a file is markup. Pure functions: the
//! same plan gives the same bytes.

pub mod svg;

mod besides;
mod boards;
mod cautions;
mod corners;
mod document;
mod first;
mod frames;
mod labels;
mod page;
mod pocket;
mod stops;
mod ways;
mod wood;
mod words;

pub use document::blocks_html;
pub use frames::frame_front;
pub use page::{FIGURES, Papers, content_policy, quote_page, ways_page};
pub use words::{Words, named};

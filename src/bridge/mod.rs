//! The bridge between jobs and the cutting model; nothing else in the program knows both sides.
//!
//! [`lower()`] turns a job into an instance, [`Gatherer`] betters a solution among those of its cost, [`raise()`] turns it
//! into a plan with every cut at its place, and [`match_color()`] renames equal rails for their color.
//! [`raise_certificate()`] names the items and stocks of a proof by parts and boards.
//! [`lower_sheets()`] does the same for what is cut from sheets.
//! [`Lowered`] is a job with its instance; what is known of one is carried over to another there.

mod certificate;
mod color;
mod gather;
mod lower;
mod lowered;
mod raise;
mod sheets;

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod rip_tests;
#[cfg(test)]
mod tests;

pub use certificate::raise_certificate;
pub use color::match_color;
pub use gather::{Gatherer, gather_color};
pub use lower::{ItemOrigin, Origins, Place, lower};
pub use lowered::{Kin, Lowered};
pub use raise::raise;
pub use sheets::{LoweredSheets, Materials, lower_sheets};

//! What is too short to hold at the saw.

use crate::length::Length;

/// Work shorter than this is short work (12 in): it asks for a longer piece, a clamp or a carrier.
///
/// # Source
/// Common practice, no source. No hand within 300 mm of the blade at a crosscut saw: published, UK HSE, cross-cut saws.
pub const SHORT_WORK: Length = Length::from_nm(12 * Length::INCH.nm());

/// Work shorter than this (6 in) is never held by hand, nor against a stop by hand.
///
/// # Source
/// Common practice, no source.
pub const TINY_WORK: Length = Length::from_nm(6 * Length::INCH.nm());

/// Whether a part is too short to be held, so that a board should still be long when it is sawn off.
pub fn is_short(length: Length) -> bool {
    length < SHORT_WORK
}

//! The integer cutting-stock model: items, strips, stocks, patterns. No frames, no saws, no units but integers.
//!
//! Two levels, so that one model serves boards that are one strip, boards that are ripped into several strips,
//! and boards whose knots leave several clear runs: a stock is used in one of its layouts, a layout yields strips,
//! and each strip is cut by one pattern of items.
//!
//! What is sought is lexicographic: fewest missing pieces, then least cost; among equals, least board length and
//! fewest boards are preferred, without a claim.

mod certificate;
mod component;
mod instance;
mod solution;

pub use certificate::{InstanceProof, PartProof, ProofNode};
pub use component::Component;
pub use instance::{Instance, Item, Layout, Stock, Strip, common_divisor};
pub use solution::{BoardUse, Bound, End, Pattern, Solution, add_count};

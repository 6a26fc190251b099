//! Rules that build plans, one file each.

pub(super) mod dive;
pub(super) mod greedy;

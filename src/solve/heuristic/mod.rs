//! Rules that build plans, one file each.

pub(super) mod correction;
pub(super) mod dive;
pub(super) mod fill;
pub(super) mod greedy;

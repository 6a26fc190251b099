//! The desk: that an edit changes what it says and not a byte more, that it can be taken back, and that every fault stands
//! at its field.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod attacks;
mod begun;
mod demos;
mod faults;
mod memory;
mod pasted;

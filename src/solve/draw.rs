//! A fixed sequence that looks random, so that searches differ from each other and are the same on every machine.
//!
//! # Source
//! S. K. Park, K. W. Miller, CACM 31(10), 1988.

/// The sequence.
#[derive(Clone, Debug)]
pub(crate) struct Draw(u64);

impl Draw {
    /// The sequence from its start.
    pub(crate) fn new() -> Draw {
        Draw(2_041)
    }

    /// The next number, below `most`, which is 1 or more.
    pub(crate) fn below(&mut self, most: usize) -> usize {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        usize::try_from(self.0).expect("below 2^31") % most
    }
}

//! Numbers drawn by a fixed rule, the same on every machine.

/// The Lehmer generator `x <- 16807 x mod (2^31 - 1)` (Park and Miller, 1988, CACM 31(10)).
pub(crate) struct Lehmer(u64);

impl Lehmer {
    /// A stream for `seed`, 1 or more.
    pub(crate) fn new(seed: u64) -> Lehmer {
        Lehmer(seed % 2_147_483_647)
    }

    /// A whole number from `low` to `high`, both included.
    pub(crate) fn between(&mut self, low: u64, high: u64) -> u64 {
        self.0 = self.0 * 16_807 % 2_147_483_647;
        low + self.0 * (high - low + 1) / 2_147_483_647
    }
}

//! Numbers drawn by a fixed rule, the same on every machine.

/// The generator of Park and Miller, CACM 31 (1988): `x <- 16807 x mod (2^31 - 1)`.
pub(in crate::solve) struct Lehmer(u64);

impl Lehmer {
    /// A stream for `seed`, 1 or more; its first numbers, which follow the seed, are passed over.
    pub(in crate::solve) fn new(seed: u64) -> Lehmer {
        let mut draw = Lehmer(seed);
        for _ in 0..8 {
            draw.between(0, 1);
        }
        draw
    }

    /// A whole number from `low` to `high`, both included.
    pub(in crate::solve) fn between(&mut self, low: i64, high: i64) -> i64 {
        self.0 = self.0 * 16_807 % 2_147_483_647;
        let part = i128::from(self.0) * i128::from(high - low + 1) / 2_147_483_647;
        low + i64::try_from(part).expect("below the range")
    }
}

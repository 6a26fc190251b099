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

    /// The sequence from another place for each `turn`; from its start for the first, 0.
    pub(crate) fn from_turn(turn: u32) -> Draw {
        Draw(2_041 + u64::from(turn % 1_000_000) * 1_009)
    }

    /// The next number, below `most`, which is 1 or more.
    pub(crate) fn below(&mut self, most: usize) -> usize {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        usize::try_from(self.0).expect("below 2^31") % most
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_differ_and_the_first_is_the_usual_one() {
        let drawn = |mut draw: Draw| -> Vec<usize> { (0..8).map(|_| draw.below(1_000)).collect() };
        assert_eq!(drawn(Draw::from_turn(0)), drawn(Draw::new()));
        assert_ne!(drawn(Draw::from_turn(1)), drawn(Draw::new()));
        // By far more turns than are ever taken the numbers do not run out.
        assert_ne!(drawn(Draw::from_turn(u32::MAX)), vec![0; 8]);
    }
}

//! How much work the check of certificates may take, so that a forged one comes to an end, too.

use std::cell::Cell;

use super::TooMuch;

/// A minute or two where lists of loads are long: more than any certificate that a search writes was seen to take.
const MOST_STEPS: u64 = 2_000_000_000;

/// What is left of the work for the certificates of a file, in steps of a load, a pair or a condition looked at.
#[derive(Debug)]
pub struct Effort {
    left: Cell<u64>,
}

impl Effort {
    /// All that may be done for one file.
    #[must_use]
    pub const fn new() -> Effort {
        Effort::of(MOST_STEPS)
    }

    /// So many steps.
    pub(super) const fn of(steps: u64) -> Effort {
        Effort {
            left: Cell::new(steps),
        }
    }

    /// Takes so many steps.
    ///
    /// # Errors
    /// If there are not as many left; then none is.
    pub(super) fn spend(&self, steps: usize) -> Result<(), TooMuch> {
        let steps = u64::try_from(steps).unwrap_or(u64::MAX);
        let left = self.left.get().checked_sub(steps);
        self.left.set(left.unwrap_or(0));
        left.map(|_| ()).ok_or(TooMuch)
    }

    /// Whether nothing is left.
    pub(super) fn is_spent(&self) -> bool {
        self.left.get() == 0
    }
}

impl Default for Effort {
    fn default() -> Effort {
        Effort::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_too_much_ends_all_that_follows() {
        let effort = Effort::of(10);
        assert_eq!(effort.spend(4), Ok(()));
        assert!(!effort.is_spent());
        assert_eq!(effort.spend(7), Err(TooMuch));
        assert!(effort.is_spent());
        assert_eq!(effort.spend(1), Err(TooMuch));
    }
}

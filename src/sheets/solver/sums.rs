//! What plans can cost: sums of prices.

use super::model::Model;
use super::params::MOST_SUMS;

/// The sums of prices that some sheets can come to.
#[derive(Debug)]
pub(super) struct Sums {
    /// Their common divisor; 1 or more.
    step: i64,
    /// `reached[n]` is whether `n * step` is a sum; empty where there are too many to look at.
    reached: Vec<bool>,
}

impl Sums {
    /// The sums up to `most`.
    pub(super) fn new(model: &Model, most: i64) -> Sums {
        let priced = || model.kinds.iter().filter(|kind| kind.price > 0);
        let step = priced()
            .fold(0, |step, kind| divisor(step, kind.price))
            .max(1);
        let n_cells = most / step + 1;
        if n_cells > MOST_SUMS {
            return Sums {
                step,
                reached: Vec::new(),
            };
        }
        let n_cells = usize::try_from(n_cells.max(1)).expect("few enough");
        let mut reached = vec![false; n_cells];
        reached[0] = true;
        for kind in priced() {
            let limit = kind
                .own_limits
                .iter()
                .fold(0u32, |sum, &own| sum.saturating_add(own));
            let price = usize::try_from(kind.price / step).unwrap_or(usize::MAX);
            // How many of the kind a sum takes at least, given those before.
            let mut taken = vec![0u32; n_cells];
            for cell in price..n_cells {
                if !reached[cell] && reached[cell - price] && taken[cell - price] < limit {
                    reached[cell] = true;
                    taken[cell] = taken[cell - price] + 1;
                }
            }
        }
        Sums { step, reached }
    }

    /// Sums of single pieces: every number is one.
    pub(super) fn of_pieces() -> Sums {
        Sums {
            step: 1,
            reached: Vec::new(),
        }
    }

    /// The least sum that is `least` or more; above what was looked at, a number that no sum lies below.
    pub(super) fn next(&self, least: i64) -> i64 {
        let from = least.max(0).div_euclid(self.step) + i64::from(least.max(0) % self.step != 0);
        let Some(start) = usize::try_from(from)
            .ok()
            .filter(|&from| from < self.reached.len())
        else {
            return from.saturating_mul(self.step);
        };
        let cells = self.reached[start..].iter().position(|&is_sum| is_sum);
        let further = cells.unwrap_or(self.reached.len() - start);
        (from + i64::try_from(further).expect("few enough")).saturating_mul(self.step)
    }
}

fn divisor(one: i64, other: i64) -> i64 {
    if other == 0 {
        one
    } else {
        divisor(other, one % other)
    }
}

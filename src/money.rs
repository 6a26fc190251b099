//! Money in whole minor units (cents, where the currency has them).

use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

/// A sum of money in minor units of the job's currency.
///
/// Arithmetic panics on overflow in every build; prices are capped when read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Money(i64);

impl Money {
    /// Nothing to pay.
    pub const ZERO: Money = Money(0);
    /// The largest price a file may state for one board, in minor units.
    pub const LARGEST: Money = Money(100_000_000_000);

    /// A sum of `minor` minor units.
    pub const fn from_minor(minor: i64) -> Money {
        Money(minor)
    }

    /// This sum in minor units.
    pub const fn minor(self) -> i64 {
        self.0
    }
}

impl Add for Money {
    type Output = Money;
    fn add(self, other: Money) -> Money {
        Money(
            self.0
                .checked_add(other.0)
                .expect("prices are capped when read, so sums fit"),
        )
    }
}

impl AddAssign for Money {
    fn add_assign(&mut self, other: Money) {
        *self = *self + other;
    }
}

impl Sub for Money {
    type Output = Money;
    fn sub(self, other: Money) -> Money {
        Money(
            self.0
                .checked_sub(other.0)
                .expect("prices are capped when read, so differences fit"),
        )
    }
}

impl Mul<i64> for Money {
    type Output = Money;
    fn mul(self, count: i64) -> Money {
        Money(
            self.0
                .checked_mul(count)
                .expect("prices and counts are capped when read, so products fit"),
        )
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Money>>(sums: I) -> Money {
        sums.fold(Money::ZERO, |total, sum| total + sum)
    }
}

/// The name of a currency and how many decimal places its minor unit has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Currency {
    /// The code or sign printed beside amounts, such as `USD`.
    pub code: String,
    /// Decimal places of the major unit: 2 where a cent is a hundredth, 0 where there is none.
    pub decimals: u32,
}

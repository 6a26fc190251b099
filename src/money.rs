//! Money in whole minor units (cents, where the currency has them).

mod amount;
mod percent;

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

pub use amount::{DecimalMark, currency_in, same_currency};
pub use percent::Percent;

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
    /// The code or sign printed beside amounts, such as `USD`; empty prints none.
    pub code: String,
    /// Decimal places of the major unit: 2 where a cent is a hundredth, 0 where there is none.
    pub decimals: u32,
}

/// Why a text is not an amount of money that can be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MoneyError {
    /// Nothing but blanks.
    Empty,
    /// Infinity, or not a number.
    NotFinite,
    /// Less than zero.
    Negative,
    /// More than [`Money::LARGEST`].
    TooLarge,
    /// More decimal places than the currency has.
    TooManyDecimals {
        /// How many it has.
        decimals: u32,
    },
    /// Something else stands where digits should be; `found` is empty at the end of the text.
    ExpectedDigits {
        /// The beginning of what stands there.
        found: String,
    },
    /// One mark with three digits behind it, and nothing tells what it is.
    TwoReadings {
        /// The number, if the mark parts a group of digits.
        grouped: String,
        /// The number, if it marks decimals.
        decimal: String,
    },
    /// It is in another currency.
    OtherCurrency {
        /// The code or sign in the text.
        found: String,
        /// The code or sign of the currency that is meant.
        wanted: String,
    },
}

impl fmt::Display for MoneyError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MoneyError::Empty => out.write_str("no amount is given"),
            MoneyError::NotFinite => out.write_str("an amount must be finite"),
            MoneyError::Negative => out.write_str("an amount must not be negative"),
            MoneyError::TooLarge => out.write_str("the amount is too large"),
            MoneyError::TooManyDecimals { decimals } => {
                write!(out, "the currency has {decimals} decimal places")
            }
            MoneyError::ExpectedDigits { found } if found.is_empty() => {
                out.write_str("expected digits, found nothing more")
            }
            MoneyError::ExpectedDigits { found } => {
                write!(out, "expected digits, found `{found}`")
            }
            MoneyError::TwoReadings { grouped, decimal } => {
                write!(out, "it may be {grouped} or {decimal}")
            }
            MoneyError::OtherCurrency { found, wanted } => {
                write!(out, "`{found}` is another currency than `{wanted}`")
            }
        }
    }
}

impl std::error::Error for MoneyError {}

impl Currency {
    /// The amount as a number with all decimals of the currency, such as `12.50`.
    ///
    /// # Panics
    /// If the currency has more than 18 decimals; a job file may state up to 4.
    pub fn format_amount(&self, money: Money) -> String {
        let sign = if money.0 < 0 { "-" } else { "" };
        let minor = money.0.unsigned_abs();
        let major = 10_u64
            .checked_pow(self.decimals)
            .expect("a currency has few decimals");
        if self.decimals == 0 {
            return format!("{sign}{minor}");
        }
        let width = usize::try_from(self.decimals).unwrap_or(usize::MAX);
        format!("{sign}{}.{:0width$}", minor / major, minor % major)
    }

    /// The amount with the currency's code: a sign stands before the number (`$12.50`), a code after it (`12.50 USD`).
    ///
    /// # Panics
    /// As [`Currency::format_amount`].
    pub fn format(&self, money: Money) -> String {
        let amount = self.format_amount(money);
        if self.code.is_empty() {
            amount
        } else if self.code.chars().any(char::is_alphanumeric) {
            format!("{amount} {}", self.code)
        } else {
            match amount.strip_prefix('-') {
                Some(amount) => format!("-{}{amount}", self.code),
                None => format!("{}{amount}", self.code),
            }
        }
    }
}

/// `amount` in whole shares that are as `weights`, by largest remainder; the shares sum to `amount`.
///
/// # Panics
/// On no whole amounts: a share is no larger than its whole.
pub fn shared(amount: i64, weights: &[i128]) -> Vec<i64> {
    let total: i128 = weights.iter().sum();
    if total <= 0 {
        return vec![0; weights.len()];
    }
    let product = |weight: i128| i128::from(amount) * weight;
    let mut shares: Vec<i64> = weights
        .iter()
        .map(|&weight| {
            i64::try_from(product(weight) / total).expect("a share is no larger than its whole")
        })
        .collect();
    let mut order: Vec<usize> = (0..weights.len()).collect();
    order.sort_by_key(|&idx| std::cmp::Reverse(product(weights[idx]) % total));
    let left = amount - shares.iter().sum::<i64>();
    for &idx in order.iter().take(usize::try_from(left).unwrap_or(0)) {
        shares[idx] += 1;
    }
    shares
}

#[cfg(test)]
mod tests;

//! Percentages: what is added to an amount, or taken off it.

use std::fmt;

/// A percentage in millionths of the whole, so that it has up to four decimals: 8.25 % are 82,500.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Percent(u32);

/// Millionths in the whole.
const WHOLE: u32 = 1_000_000;

impl Percent {
    /// Nothing.
    pub const ZERO: Percent = Percent(0);
    /// All of it.
    pub const ALL: Percent = Percent(WHOLE);
    /// The largest that a file may state, ten thousand percent: a hundred times what it costs is a slip of the decimal mark.
    pub const LARGEST: Percent = Percent(100 * WHOLE);

    /// So many millionths of the whole.
    pub const fn from_millionths(millionths: u32) -> Percent {
        Percent(millionths)
    }

    /// In millionths of the whole.
    pub const fn millionths(self) -> u32 {
        self.0
    }

    /// Reads `8`, `8.25`, `8,25 %` or `8.25%`; point and comma both mark decimals, of which there are up to four.
    ///
    /// `None` if the text is no percentage, is negative, or is above [`Percent::LARGEST`].
    pub fn parse(text: &str) -> Option<Percent> {
        let text = text.trim();
        let text = text.strip_suffix('%').unwrap_or(text).trim_end();
        let (whole, decimals) = text.split_once(['.', ',']).unwrap_or((text, ""));
        let has_mark = whole.len() < text.len();
        let is_digits = |digits: &str| digits.bytes().all(|digit| digit.is_ascii_digit());
        if whole.is_empty() || (has_mark && decimals.is_empty()) || decimals.len() > 4 {
            return None;
        }
        if !is_digits(whole) || !is_digits(decimals) || whole.len() > 8 {
            return None;
        }
        let millionths: u64 = format!("{whole}{decimals:0<4}").parse().ok()?;
        let percent = Percent(u32::try_from(millionths).ok()?);
        (percent <= Percent::LARGEST).then_some(percent)
    }

    /// This percentage of an amount in minor units that is not negative, rounded to the nearest, half up.
    pub fn of(self, amount: i128) -> Option<i128> {
        amount
            .checked_mul(self.0.into())?
            .checked_add(i128::from(WHOLE / 2))
            .map(|millionths| millionths.div_euclid(WHOLE.into()))
    }
}

impl fmt::Display for Percent {
    /// Without needless zeros, with a no-break space before the sign: `8.25 %`.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let decimals = format!("{:04}", self.0 % 10_000);
        let decimals = decimals.trim_end_matches('0');
        let mark = if decimals.is_empty() { "" } else { "." };
        write!(out, "{}{mark}{decimals}\u{a0}%", self.0 / 10_000)
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use super::*;

    #[test]
    fn percentages_are_read_exactly_and_printed_as_they_are() {
        for (text, millionths, shown) in [
            ("8.25 %", 82_500, "8.25\u{a0}%"),
            ("8,25%", 82_500, "8.25\u{a0}%"),
            ("0", 0, "0\u{a0}%"),
            ("150", 1_500_000, "150\u{a0}%"),
            ("33.3333 %", 333_333, "33.3333\u{a0}%"),
            ("10000", 100_000_000, "10000\u{a0}%"),
        ] {
            let percent = Percent::parse(text).unwrap();
            assert_eq!(percent.millionths(), millionths, "{text}");
            assert_eq!(percent.to_string(), shown);
        }
        for text in [
            "",
            "%",
            "-1",
            "1.",
            ".5",
            "8.12345",
            "10000.1",
            "a",
            "1e3",
            "999999999",
            "1/2",
            "+5",
        ] {
            assert_eq!(Percent::parse(text), None, "{text}");
        }
    }

    #[test]
    fn a_share_is_rounded_half_up() {
        // Derived: 8.25 % of 169.86 is 14.01345.
        assert_eq!(Percent::parse("8.25").unwrap().of(16_986), Some(1_401));
        assert_eq!(Percent::parse("50").unwrap().of(1), Some(1));
        assert_eq!(Percent::parse("49.9999").unwrap().of(1), Some(0));
        assert_eq!(Percent::LARGEST.of(i128::MAX), None);
    }
}

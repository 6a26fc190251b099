//! Weights, exact.

/// A weight, whole in kilograms over 10^27, which is a kilogram per cubic meter times a cubic nanometer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Weight(i128);

/// A pound, 0.45359237 kg exactly, and a sixteenth of it.
const POUND: i128 = 453_592_370_000_000_000_000_000_000;
const OUNCE: i128 = POUND / 16;
/// A gram.
const GRAM: i128 = 1_000_000_000_000_000_000_000_000;

/// What weights are written in.
const UNITS: [(&str, i128); 6] = [
    ("kg", 1_000 * GRAM),
    ("lbs", POUND),
    ("lb", POUND),
    ("oz", OUNCE),
    ("g", GRAM),
    ("#", POUND),
];

/// No weight has more digits behind its decimal point, or before it.
const MOST_DIGITS: usize = 6;

impl Weight {
    /// No weight.
    pub const ZERO: Weight = Weight(0);

    /// So many pounds.
    pub const fn pounds(count: u32) -> Weight {
        Weight(count as i128 * POUND)
    }

    /// So many kilograms.
    pub const fn kilograms(count: u32) -> Weight {
        Weight(count as i128 * 1_000 * GRAM)
    }

    /// Of a volume in half cubic nanometers at a density in kilograms per cubic meter, rounded up.
    pub(crate) fn of_halves(half_nm3: i128, density: i128) -> Weight {
        Weight(times(half_nm3, density).saturating_add(1) / 2)
    }

    /// Both together.
    #[must_use]
    pub fn and(self, other: Weight) -> Weight {
        Weight(self.0.saturating_add(other.0))
    }

    /// So many hundredths of it, rounded up.
    #[must_use]
    pub fn hundredths(self, count: u64) -> Weight {
        let product = times(self.0, count.into());
        Weight(product / 100 + i128::from(product % 100 > 0))
    }

    /// In grams, rounded up.
    pub fn grams(self) -> i128 {
        self.0 / GRAM + i128::from(self.0 % GRAM > 0)
    }

    /// In tenths of a pound, rounded up.
    pub fn tenths_of_pounds(self) -> i128 {
        let tenths = times(self.0, 10);
        tenths / POUND + i128::from(tenths % POUND > 0)
    }

    /// Reads a weight with its unit, such as `20 lb`, `7.5 kg`, `450 g` or `12 oz`; `None` of anything else.
    pub fn parse(text: &str) -> Option<Weight> {
        let text = text.trim().to_lowercase();
        let (number, unit) = UNITS
            .iter()
            .find_map(|(unit, size)| Some((text.strip_suffix(unit)?.trim_end(), *size)))?;
        let (whole, decimals) = number.split_once('.').unwrap_or((number, ""));
        let digits = |text: &str| {
            let is_number = text.len() <= MOST_DIGITS && text.bytes().all(|it| it.is_ascii_digit());
            is_number.then(|| text.parse::<i128>().unwrap_or(0))
        };
        if whole.is_empty() || number.ends_with('.') {
            return None;
        }
        let scale = 10_i128.pow(u32::try_from(decimals.len()).ok()?.min(6));
        // A millionth of each unit is whole.
        let parts = digits(whole)? * scale + digits(decimals)?;
        Some(Weight(parts * (unit / scale)))
    }
}

/// A product of measures; what is far beyond any frame stays the greatest number there is.
fn times(one: i128, other: i128) -> i128 {
    one.saturating_mul(other)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_are_read_with_their_units() {
        assert_eq!(Weight::parse("20 lb"), Some(Weight::pounds(20)));
        assert_eq!(Weight::parse("20LBS"), Some(Weight::pounds(20)));
        assert_eq!(Weight::parse("16 oz"), Some(Weight::pounds(1)));
        // Derived: 7.5 kg are 7500 g; 0.45359237 kg are a pound, and 0.453592 kg a little less.
        assert_eq!(Weight::parse("7.5 kg").map(Weight::grams), Some(7_500));
        assert_eq!(Weight::parse("450 g").map(Weight::grams), Some(450));
        let near = Weight::parse("0.453592 kg").unwrap_or_default();
        assert!(near < Weight::pounds(1) && near.grams() == 454);
        for text in [
            "20",
            "lb",
            "-3 kg",
            "1.2.3 kg",
            "1. kg",
            ".5 kg",
            "1 stone",
            "12345678 kg",
        ] {
            assert_eq!(Weight::parse(text), None, "{text}");
        }
    }

    #[test]
    fn hundredths_are_rounded_up() {
        assert_eq!(Weight::pounds(3).hundredths(200), Weight::pounds(6));
        assert_eq!(Weight(1).hundredths(1), Weight(1));
    }
}

//! Shares, gaps, angles and board feet as they are written, for all formats.

use crate::frame::Miter;
use crate::length::Length;
use crate::stock::BoardFeet;

/// Degrees off square as a decimal, to the nearest last place, without needless zeros.
pub(super) fn degrees(miter: Miter, decimals: u32) -> String {
    let (numerator, denominator) = miter.degrees();
    let scale = 10_u64.pow(decimals);
    let (numerator, denominator) = (u64::from(numerator) * scale, u64::from(denominator));
    let scaled = (numerator + denominator / 2) / denominator;
    let places = usize::try_from(decimals).expect("a handful of decimals");
    let text = format!("{}.{:0places$}", scaled / scale, scaled % scale);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// `part / whole` in tenths of a percent, rounded down; 0 of nothing.
pub(super) fn per_mille_down(part: Length, whole: Length) -> i64 {
    if whole <= Length::ZERO {
        return 0;
    }
    let share = i128::from(part.nm()) * 1000 / i128::from(whole.nm());
    i64::try_from(share).expect("a part is no larger than its whole")
}

/// The same of two faces.
pub(super) fn per_mille_of_face(part_nm2: i128, whole_nm2: i128) -> i64 {
    if whole_nm2 <= 0 {
        return 0;
    }
    let share = part_nm2 * 1000 / whole_nm2;
    i64::try_from(share).expect("a part is no larger than its whole")
}

/// Tenths of a percent as text, such as `88.1 %`.
pub(super) fn percent(per_mille: i64) -> String {
    format!("{}.{} %", per_mille / 10, per_mille % 10)
}

/// Board feet to the nearest hundredth, such as `12.83`.
pub(super) fn board_feet(feet: BoardFeet) -> String {
    let hundredths = feet.hundredths();
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

/// How far `value` may lie above the best, in hundredths of a percent rounded up; `None` without a positive bound.
pub(super) fn gap(value: i64, lower_bound: i64) -> Option<i128> {
    if lower_bound <= 0 {
        return None;
    }
    let (value, bound) = (i128::from(value), i128::from(lower_bound));
    let above = (value - bound).max(0) * 10_000;
    Some((above + bound - 1) / bound)
}

/// Hundredths of a percent as text, such as `0.42 %`.
pub(super) fn percent_of_gap(hundredths: i128) -> String {
    format!("{}.{:02} %", hundredths / 100, hundredths % 100)
}

#[cfg(test)]
mod tests;

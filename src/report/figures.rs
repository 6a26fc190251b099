//! Figures as they are written, for all formats: lengths, faces and weights, shares, gaps, angles and board feet.
//!
//! | figure | rounded | why |
//! |---|---|---|
//! | rails, loose pieces, outside and sight sizes | up | a part must not come out short |
//! | weights | up | what holds a frame must hold it |
//! | boards, offcuts, sheets, windows, rabbets | down | there must not be less than is printed |
//! | rabbets to which the stop is set | up | as all that is cut |
//! | where a part ends | up | what a part is cut to must not reach beyond it |
//! | other running distances | to the nearest | they say where to look; the stop block sets the length |
//! | shares of a whole | so that together they are 100 % | what is printed must add up |
//! | gap to the proved bound | up | the plan must not look better than it is |
//!
//! Blanks within a figure that has its unit are no-break spaces.

mod lengths;

use crate::frame::Miter;
use crate::job::Job;
use crate::stock::{BoardFeet, Price};

pub use lengths::{face, length_text, unit_words, weight};

/// Degrees off square as a decimal, to the nearest last place, without needless zeros.
///
/// # Panics
/// If so many decimals do not fit a number.
pub fn degrees(miter: Miter, decimals: u32) -> String {
    let (numerator, denominator) = miter.degrees();
    let scale = 10_u64.pow(decimals);
    let (numerator, denominator) = (u64::from(numerator) * scale, u64::from(denominator));
    let scaled = (numerator + denominator / 2) / denominator;
    let places = usize::try_from(decimals).expect("a handful of decimals");
    let text = format!("{}.{:0places$}", scaled / scale, scaled % scale);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// What each part is of them all, in tenths of a percent: rounded so that together they are exactly 1000, by giving the
/// tenths that rounding down leaves over to the parts that lost most by it; all 0 of nothing.
///
/// Where two lost as much, the first has it, so that the same figures always give the same shares.
///
/// # Panics
/// If a part is negative.
pub fn shares<const N: usize>(parts: [i128; N]) -> [i64; N] {
    let whole: i128 = parts.iter().sum();
    if whole <= 0 {
        return [0; N];
    }
    let mut shares = parts.map(|part| part * 1000 / whole);
    let mut by_loss: Vec<usize> = (0..N).collect();
    by_loss.sort_by_key(|&idx| std::cmp::Reverse(parts[idx] * 1000 % whole));
    let given: i128 = shares.iter().sum();
    let left = usize::try_from(1000 - given).expect("rounding down gives no more than the whole");
    for &idx in by_loss.iter().take(left) {
        shares[idx] += 1;
    }
    shares.map(|share| i64::try_from(share).expect("a part is no larger than its whole"))
}

/// `part / whole` in tenths of a percent, to the nearest; 0 of nothing.
pub fn share(part: i64, whole: i64) -> i64 {
    let (part, whole) = (i128::from(part), i128::from(whole));
    if whole <= 0 {
        return 0;
    }
    i64::try_from((part * 2000 + whole) / (2 * whole)).unwrap_or(i64::MAX)
}

/// Tenths of a percent as text, such as `88.1 %`.
pub fn percent(per_mille: i64) -> String {
    format!("{}.{} %", per_mille / 10, per_mille % 10)
}

/// Whether board feet are told: in inches they are the yard's measure, in metric units only where a price is by them.
pub(crate) fn in_board_feet(job: &Job) -> bool {
    let mut prices = job.boards.iter().map(|board| board.price);
    job.display.unit.is_imperial()
        || prices.any(|price| matches!(price, Some(Price::PerBoardFoot { .. })))
}

/// Board feet to the nearest hundredth, such as `12.83`.
pub fn board_feet(feet: BoardFeet) -> String {
    let hundredths = feet.hundredths();
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

/// How far `value` may lie above the best, in hundredths of a percent rounded up; `None` without a positive bound.
pub fn gap(value: i64, lower_bound: i64) -> Option<i128> {
    if lower_bound <= 0 {
        return None;
    }
    let (value, bound) = (i128::from(value), i128::from(lower_bound));
    let above = (value - bound).max(0) * 10_000;
    Some((above + bound - 1) / bound)
}

/// Hundredths of a percent as text, such as `0.42 %`.
pub fn percent_of_gap(hundredths: i128) -> String {
    format!("{}.{:02} %", hundredths / 100, hundredths % 100)
}

#[cfg(test)]
mod tests;

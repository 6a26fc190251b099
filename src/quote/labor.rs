//! What the work on one frame costs.

use super::asked::TooLarge;
use crate::frame::{package, rectangle_round};
use crate::job::{Job, Serves, Work};
use crate::length::Length;

/// Square nanometers in a square foot and in a square meter.
const SQUARE_FOOT: i128 = square(Length::FOOT);
const SQUARE_METER: i128 = square(Length::METRE);

const fn square(side: Length) -> i128 {
    let side = side.nm() as i128;
    side * side
}

/// What the work on one picture costs in minor units; `frames` are the frame that is hung and those inside of it.
///
/// Each kind of work is rounded to the nearest minor unit, half up.
pub(super) fn labor(job: &Job, frames: &[usize]) -> Result<i128, TooLarge> {
    let rules = &job.prices.labor;
    let (mut corners, mut windows, mut glass) = (0_i128, 0_i128, 0_i128);
    for &idx in frames {
        let frame = &job.frames[idx];
        corners += i128::from(frame.art.n_sides());
        for sheet in package(frame, &job.mouldings, job.shop.fit_allowance).sheets {
            windows += i128::from(sheet.window.is_some());
            if Serves::of(sheet.sheet_use) == Serves::Glazing {
                let (width, height) = rectangle_round(sheet.size);
                glass += i128::from(width.nm()) * i128::from(height.nm());
            }
        }
    }
    let mut sum = 0;
    for (work, count, of) in [
        (rules.frame, 1, 1),
        (rules.corner, corners, 1),
        (rules.window, windows, 1),
        (rules.square_foot, glass, SQUARE_FOOT),
        (rules.square_meter, glass, SQUARE_METER),
    ] {
        let (rate, per) = match work {
            None => continue,
            Some(Work::Money(money)) => (i128::from(money.minor()), 1),
            Some(Work::Seconds(seconds)) => {
                let hour = rules.hour.unwrap_or_default();
                (i128::from(hour.minor()) * i128::from(seconds), 3_600)
            }
        };
        let part = rate.checked_mul(count).ok_or(TooLarge)?;
        let whole = of * per;
        let rounded = part.checked_add(whole / 2).ok_or(TooLarge)?;
        sum += rounded.div_euclid(whole);
    }
    Ok(sum)
}

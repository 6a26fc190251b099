//! How far a search has come, in one line.

use crate::job::Display;
use crate::plan::Measure;

/// The best plan so far, what is proved that none can be below, and the gap between, in hundredths of a percent rounded up.
///
/// Values are minor units of money or nanometers of board, as `measure` says; `value` is `i64::MAX` while there is no plan.
pub fn progress_text(measure: Measure, display: &Display, value: i64, bound: i64) -> String {
    let worth = |value| measure.text(display, value);
    if value == i64::MAX {
        return format!("no plan yet; none can be below {}", worth(bound));
    }
    let gap = (i128::from(value) - i128::from(bound)) * 10_000;
    let gap = (gap + i128::from(value.max(1)) - 1) / i128::from(value.max(1));
    format!(
        "best so far {}, none can be below {}, gap {}.{:02} %",
        worth(value),
        worth(bound),
        gap / 100,
        gap % 100
    )
}

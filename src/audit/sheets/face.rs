//! Whether what is wanted of a material asks by its face alone for sheets that count as much as a plan, whatever its cuts are.
//!
//! Cuts from edge to edge leave a kerf between any two pieces. So if each piece is grown by one kerf to the right and upwards
//! they still lie apart, within the sheet between its trims, grown alike.

use std::collections::BTreeMap;

use super::wanted::{Pieces, Size, counts, droppable};
use crate::audit::nm;
use crate::job::{Job, SheetTrim};
use crate::plan::sheets::MaterialPlan;

/// It is said only where there are no more multiples than this, below the value, of what all that sheets count is a multiple of.
const MOST_STEPS: i128 = 200_000;

/// Whether no sheets that count less than the plan have the face of all that is wanted.
pub(super) fn asks_for(job: &Job, plan: &MaterialPlan, wanted: &Pieces) -> bool {
    let material = job.material(&plan.key);
    let kerf = nm(material.cutting.kerf);
    let face = |(width, height): Size| (nm(width) + kerf) * (nm(height) + kerf);
    let value = i128::from(plan.value);
    let lacking: i128 = wanted.values().map(|piece| face(piece.size)).sum();
    // The most face for each sum below the value.
    let mut sums: BTreeMap<i128, i128> = BTreeMap::from([(0, 0)]);
    let mut take = |price: i128, face: i128, supply: Option<u32>| {
        let supply = match (supply, price) {
            (Some(supply), _) => i128::from(supply),
            // Nothing that is wanted asks for more than there is without end.
            (None, 0) => return false,
            (None, _) => value / price,
        };
        let mut grown = BTreeMap::new();
        for (&sum, &own) in &sums {
            let most = match price {
                0 => supply,
                _ => supply.min((value - 1 - sum) / price),
            };
            // All that costs nothing is taken.
            let least = if price == 0 { most } else { 0 };
            for number in least..=most {
                let best: &mut i128 = grown.entry(sum + number * price).or_default();
                *best = (*best).max(own + number * face);
            }
        }
        sums = grown;
        true
    };
    let steps = (0..material.stock.len()).map(|idx| counts(&material, idx));
    let step = steps.fold(0, |step, price| divisor(step, price));
    if value == 0 {
        return true;
    }
    if step == 0 || (value - 1) / step > MOST_STEPS {
        return false;
    }
    for (idx, stock) in material.stock.iter().enumerate() {
        let SheetTrim {
            left,
            right,
            bottom,
            top,
        } = stock.trim;
        let size = (stock.width - left - right, stock.height - bottom - top);
        if !take(counts(&material, idx), face(size), stock.quantity) {
            return false;
        }
    }
    if let Some(loss) = material.cutting.fallout.filter(|_| plan.has_fallout) {
        for piece in wanted.values() {
            if let Some((width, height)) = droppable(&material, piece) {
                let size = (width - loss * 2, height - loss * 2);
                if !take(0, face(size), Some(1)) {
                    return false;
                }
            }
        }
    }
    sums.values().all(|&face| face < lacking)
}

/// The greatest common divisor.
fn divisor(mut one: i128, mut other: i128) -> i128 {
    while other != 0 {
        (one, other) = (other, one % other);
    }
    one
}

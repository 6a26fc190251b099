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
        let mut left = match (supply, price) {
            // All that costs nothing is taken.
            (Some(supply), 0) => {
                let own = face * i128::from(supply);
                for face in sums.values_mut() {
                    *face += own;
                }
                return true;
            }
            // There is face without end.
            (None, 0) => return false,
            (Some(supply), _) => i128::from(supply).min((value - 1) / price),
            (None, _) => (value - 1) / price,
        };
        // Any number is a sum of 1, 2, 4 and so on, and what is left.
        let mut part = 1;
        while left > 0 {
            part = part.min(left);
            let with = sums
                .iter()
                .map(|(&sum, &own)| (sum + part * price, own + part * face));
            let with: Vec<(i128, i128)> = with.filter(|&(sum, _)| sum < value).collect();
            for (sum, face) in with {
                let best = sums.entry(sum).or_default();
                *best = face.max(*best);
            }
            left -= part;
            part *= 2;
        }
        true
    };
    let steps = (0..material.stock.len()).map(|idx| counts(&material, idx));
    let step = steps.fold(0, divisor);
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

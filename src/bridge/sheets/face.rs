//! Whether the pieces of a job ask by their face alone for sheets that cost as much as a plan, in whatever stages they are cut.

use crate::cutting::common_divisor;
use crate::sheets::job::{Kind, SheetJob};

/// More steps of cost than this are not looked at.
const MOST_STEPS: i64 = 200_000;

/// Whether no sheets that cost less than `value` have as much face as all the pieces; each piece and each sheet between its trims
/// counted with one kerf more at two sides, which cuts from edge to edge take at least. `false` where that is too much work.
pub(super) fn asks_for(job: &SheetJob, value: i64) -> bool {
    let kerf = job.cutter().kerf;
    let face = |width: i64, height: i64| i128::from(width + kerf) * i128::from(height + kerf);
    let wanted = job.items().iter();
    let wanted = wanted.map(|item| face(item.width, item.height) * i128::from(item.demand));
    let wanted: i128 = wanted.sum();
    let usable = |kind: &Kind| {
        let trim = kind.trim;
        face(
            kind.width - trim.left - trim.right,
            kind.height - trim.bottom - trim.top,
        )
    };
    let (free, priced): (Vec<&Kind>, Vec<&Kind>) =
        job.kinds().iter().partition(|kind| kind.price == 0);
    let mut in_hand = 0;
    for kind in free {
        match kind.supply {
            Some(supply) => in_hand += usable(kind) * i128::from(supply),
            None => return value == 0,
        }
    }
    let step = priced
        .iter()
        .fold(0, |step, kind| common_divisor(step, kind.price));
    if value == 0 || step == 0 {
        return value == 0;
    }
    // Sums below the value, in steps.
    let most = (value - 1) / step;
    if most > MOST_STEPS {
        return false;
    }
    let n_sums = usize::try_from(most + 1).expect("limited just now");
    let mut best = vec![in_hand; n_sums];
    for kind in priced {
        let price = usize::try_from(kind.price / step).expect("a price is no less than 0");
        let own = usable(kind);
        let supply = kind.supply.map_or(n_sums, |supply| supply as usize);
        if supply >= n_sums / price {
            for sum in price..n_sums {
                best[sum] = best[sum].max(best[sum - price] + own);
            }
        } else {
            // In parts of 1, 2, 4 and so on, which add up to every number there is.
            let (mut left, mut part) = (supply, 1);
            while left > 0 {
                part = part.min(left);
                let faces = own * i128::try_from(part).expect("a count fits 127 bits");
                for sum in (price * part..n_sums).rev() {
                    best[sum] = best[sum].max(best[sum - price * part] + faces);
                }
                left -= part;
                part *= 2;
            }
        }
    }
    best[n_sums - 1] < wanted
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use super::*;
    use crate::sheets::job::{Cutter, Item, Trim};

    fn kind(price: i64, supply: Option<u32>) -> Kind {
        Kind {
            width: 12,
            height: 12,
            price,
            supply,
            trim: Trim::all(1),
        }
    }

    #[test]
    fn face_alone_asks_for_sheets() {
        let job = |kinds: &[Kind], demand: u32| {
            let item = Item {
                width: 4,
                height: 5,
                demand,
                turnable: true,
            };
            let cutter = Cutter {
                kerf: 1,
                ..Cutter::default()
            };
            SheetJob::new(vec![item], kinds.to_vec(), cutter).unwrap()
        };
        // Derived: a sheet has 11 x 11 = 121, a piece takes 5 x 6 = 30: four fit one by face, five ask for two.
        let sold = kind(7, None);
        assert!(asks_for(&job(&[sold], 4), 7));
        assert!(!asks_for(&job(&[sold], 4), 14));
        assert!(asks_for(&job(&[sold], 5), 14));
        // One that costs nothing is in hand already.
        let free = kind(0, Some(1));
        assert!(!asks_for(&job(&[sold, free], 5), 14));
        assert!(asks_for(&job(&[sold, free], 5), 7));
        assert!(asks_for(&job(&[sold, free], 5), 0));
        assert!(!asks_for(&job(&[sold, kind(0, None)], 5), 7));
        // Of cheaper ones there are only so many.
        let few = kind(3, Some(2));
        assert!(asks_for(&job(&[sold, few], 9), 13));
        assert!(!asks_for(&job(&[sold, few], 8), 13));
    }
}

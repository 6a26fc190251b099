//! Small jobs of a shop, drawn by a rule of our own: no search of them may end before it has its proof.

use super::lehmer::Lehmer;
use super::solved;
use crate::cutting::{End, Instance, Item, Layout, Stock, Strip};

/// Ten to sixty rails of one to three mouldings, in pairs, out of one to eight kinds of board at irregular prices, of which
/// some are few; in a quarter of the jobs each board is ripped into two to five strips of any of two mouldings.
fn drawn(seed: u64) -> Instance {
    let mut draw = Lehmer::new(seed);
    let mut below = |low: usize, high: usize| {
        usize::try_from(draw.between(low as i64, high as i64)).expect("not negative")
    };
    let n_mouldings = below(1, 3);
    let mut left = below(10, 60);
    let mut items = Vec::new();
    let mut moulding_of = Vec::new();
    while left > 0 {
        let demand = (2 * below(1, 3)).min(left);
        left -= demand;
        items.push(Item {
            // In nanometers, 7 to 60 inches in steps of 1/16, with the kerf of 1/8 in at 45 degrees.
            size: below(112, 960) as i64 * 1_587_500 + 4_490_128,
            demand: u32::try_from(demand).expect("at most 6"),
            pieces: 1,
        });
        moulding_of.push(below(0, n_mouldings - 1));
    }
    let n_kinds = below(1, 8);
    let is_ripped = below(0, 3) == 0;
    let mut instance = Instance {
        items,
        strips: Vec::new(),
        stocks: Vec::new(),
    };
    for kind in 0..n_kinds {
        let feet = below(4, 16) as i64;
        // An inch less at the ends.
        let capacity = feet * 304_800_000 - 25_400_000 + 4_490_128;
        let first = instance.strips.len();
        for moulding in 0..n_mouldings {
            let fits = |&item: &usize| {
                moulding_of[item] == moulding && instance.items[item].size <= capacity
            };
            instance.strips.push(Strip {
                capacity,
                items: (0..instance.items.len()).filter(fits).collect(),
            });
        }
        let n_strips = if is_ripped { below(2, 5) } else { 1 };
        let mut layouts = Vec::new();
        for moulding in 0..n_mouldings {
            let next = (moulding + 1) % n_mouldings;
            for n_own in 1..=n_strips {
                if n_own < n_strips && next == moulding {
                    continue;
                }
                let mut strips = vec![first + moulding; n_own];
                strips.resize(n_strips, first + next);
                layouts.push(Layout {
                    strips,
                    kept: false,
                });
            }
        }
        let is_few = kind > 0 && below(0, 3) == 0;
        instance.stocks.push(Stock {
            cost: feet * below(250, 330) as i64 * n_strips as i64,
            length: feet * 304_800_000,
            supply: is_few.then(|| u32::try_from(below(1, 6)).expect("at most 6")),
            layouts,
        });
    }
    instance
}

#[test]
fn searches_of_small_jobs_end_with_a_proof() {
    for seed in 1..=150 {
        let solution = solved(&drawn(seed));
        assert_eq!(solution.end, End::Proved, "seed {seed}");
        assert_eq!(solution.bound.cost, solution.cost, "seed {seed}");
    }
}

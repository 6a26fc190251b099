//! Small jobs of a shop, drawn by a rule of our own: no search of them may end before it has its proof.

use super::lehmer::Lehmer;
use super::solved;
use crate::cutting::{End, Instance, Item, Layout, Stock, Strip};

/// Ten to sixty rails of one to three mouldings, in pairs, out of one to eight kinds of board at irregular prices, of which
/// some are few; in a quarter of the jobs each board is ripped into two to five strips of any of two mouldings.
fn drawn(seed: u64) -> Instance {
    let mut draw = Lehmer::new(seed);
    let index = |number: i64| usize::try_from(number).expect("not negative");
    let count = |number: i64| u32::try_from(number).expect("small and not negative");
    let n_mouldings = index(draw.between(1, 3));
    let mut left = draw.between(10, 60);
    let mut items = Vec::new();
    let mut moulding_of = Vec::new();
    while left > 0 {
        let demand = (2 * draw.between(1, 3)).min(left);
        left -= demand;
        items.push(Item {
            // In nanometers, 7 to 60 inches in steps of 1/16, with the kerf of 1/8 in at 45 degrees.
            size: draw.between(112, 960) * 1_587_500 + 4_490_128,
            demand: count(demand),
            pieces: 1,
        });
        moulding_of.push(index(draw.between(1, 3)) % n_mouldings);
    }
    let n_kinds = draw.between(1, 8);
    let is_ripped = draw.between(0, 3) == 0;
    let mut instance = Instance {
        items,
        strips: Vec::new(),
        stocks: Vec::new(),
    };
    for kind in 0..n_kinds {
        let feet = draw.between(4, 16);
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
        let n_strips = if is_ripped { draw.between(2, 5) } else { 1 };
        let mut layouts = Vec::new();
        for moulding in 0..n_mouldings {
            let next = (moulding + 1) % n_mouldings;
            for n_own in 1..=index(n_strips) {
                if n_own < index(n_strips) && next == moulding {
                    continue;
                }
                let mut strips = vec![first + moulding; n_own];
                strips.resize(index(n_strips), first + next);
                layouts.push(Layout {
                    strips,
                    kept: false,
                    group: 0,
                });
            }
        }
        let is_few = kind > 0 && draw.between(0, 3) == 0;
        instance.stocks.push(Stock {
            cost: feet * draw.between(250, 330) * n_strips,
            length: feet * 304_800_000,
            supply: is_few.then(|| count(draw.between(1, 6))),
            layouts,
        });
    }
    instance
}

#[test]
fn searches_of_small_jobs_end_with_a_proof() {
    for seed in 1..=60 {
        let solution = solved(&drawn(seed));
        assert_eq!(solution.end, End::Proved, "seed {seed}");
        assert_eq!(solution.bound.cost, solution.cost, "seed {seed}");
    }
}

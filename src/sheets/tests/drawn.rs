//! Jobs drawn by fixed rules.

use std::collections::BTreeMap;

use crate::sheets::job::{Along, Cutter, Item, Kind, SheetJob, Trim};

/// The generator of S. K. Park, K. W. Miller, CACM 31(10), 1988.
pub(crate) struct Draw(u64);

impl Draw {
    pub(crate) fn new(seed: u64) -> Draw {
        let mut draw = Draw(seed * 7_919 + 13);
        for _ in 0..5 {
            draw.below(2);
        }
        draw
    }

    fn below(&mut self, most: u64) -> u64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 % most
    }

    /// A number from `least` to `most`.
    fn from(&mut self, least: i64, most: i64) -> i64 {
        let range = u64::try_from(most - least + 1).expect("a range");
        least + i64::try_from(self.below(range)).expect("within the range")
    }

    /// True once in so many times.
    fn once_in(&mut self, times: u64) -> bool {
        self.below(times) == 0
    }
}

fn count(number: i64) -> u32 {
    u32::try_from(number).expect("counts are small")
}

/// Up to seven pieces, up to three kinds of sheet, everything else as it comes.
pub(crate) fn tiny(draw: &mut Draw) -> SheetJob {
    let mut items = Vec::new();
    let mut left = 7;
    for _ in 0..draw.from(1, 5) {
        let demand = draw.from(1, 3).min(left);
        if demand == 0 {
            break;
        }
        left -= demand;
        items.push(Item {
            width: draw.from(1, 12),
            height: draw.from(1, 12),
            demand: count(demand),
            turnable: draw.once_in(2),
        });
    }
    let kinds = (0..draw.from(1, 3)).map(|_| {
        let width = draw.from(6, 18);
        let height = if draw.once_in(4) {
            width
        } else {
            draw.from(6, 18)
        };
        Kind {
            width,
            height,
            price: draw.from(0, 30),
            supply: (!draw.once_in(2)).then(|| count(draw.from(0, 3))),
            trim: Trim {
                left: draw.from(0, 1),
                right: draw.from(0, 1),
                bottom: draw.from(0, 1),
                top: draw.from(0, 1),
            },
        }
    });
    let kinds = kinds.collect();
    let cutter = Cutter {
        kerf: draw.from(0, 2),
        strips: draw
            .once_in(3)
            .then(|| Along::BOTH[usize::from(draw.once_in(2))]),
        longest_first: draw.once_in(6).then(|| draw.from(8, 18)),
        longest_second: draw.once_in(6).then(|| draw.from(4, 12)),
        ..Cutter::default()
    };
    SheetJob::new(items, kinds, cutter).expect("sizes are positive")
}

/// Sheets in eighths of an inch: sides in inches, price in cents.
fn sheet(width: i64, height: i64, price: i64, trim: i64) -> Kind {
    Kind {
        width: 8 * width,
        height: 8 * height,
        price,
        supply: None,
        trim: Trim::all(trim),
    }
}

/// Mats of 3 to 8 sizes, 5 to 60 in all: a picture's size and a border of 2 to 4 in, 3 of 4 turnable; sheets of 32 × 40 and
/// 40 × 60 in at prices out of proportion, a trim of 1/4 in, a kerf of 0 or 1/8 in. The unit is 1/8 in.
pub(crate) fn mats(draw: &mut Draw) -> SheetJob {
    mats_and_windows(draw, false)
}

/// The same with what drops out of the windows, 1/8 in smaller at each side, as sheets of price 0, where that is of use: 3 in
/// at least.
pub(crate) fn mats_with_fallout(draw: &mut Draw) -> SheetJob {
    mats_and_windows(draw, true)
}

fn mats_and_windows(draw: &mut Draw, with_fallout: bool) -> SheetJob {
    // Usual sizes of pictures: common practice.
    const PICTURES: [(i64, i64); 10] = [
        (4, 6),
        (5, 7),
        (8, 10),
        (8, 12),
        (9, 12),
        (11, 14),
        (12, 16),
        (12, 18),
        (16, 20),
        (18, 24),
    ];
    let n_sizes = draw.from(3, 8);
    let each = 60 / n_sizes;
    let mut windows: BTreeMap<(i64, i64), u32> = BTreeMap::new();
    let items = (0..n_sizes).map(|_| {
        let (width, height) = PICTURES[usize::try_from(draw.from(0, 9)).expect("ten sizes")];
        let border = draw.from(4, 8) * 4;
        let demand = count(draw.from(1, each.min(16)));
        // The mat laps 1/4 in over the picture.
        *windows.entry((8 * width - 4, 8 * height - 4)).or_default() += demand;
        Item {
            width: 8 * width + 2 * border,
            height: 8 * height + 2 * border,
            demand,
            turnable: !draw.once_in(4),
        }
    });
    let items = items.collect();
    let mut kinds = Vec::new();
    let small = draw.from(80, 150) * 10;
    let large = small * draw.from(17, 26) / 10;
    let cutter = Cutter {
        kerf: draw.from(0, 1),
        ..Cutter::default()
    };
    kinds.extend([sheet(32, 40, small, 2), sheet(40, 60, large, 2)]);
    let useful = windows
        .into_iter()
        .filter(|&((width, height), _)| width.min(height) >= 26);
    let fallout = useful.map(|((width, height), supply)| Kind {
        width,
        height,
        price: 0,
        supply: Some(supply),
        trim: Trim::all(1),
    });
    kinds.extend(fallout.filter(|_| with_fallout));
    SheetJob::new(items, kinds, cutter).expect("sizes are positive")
}

/// Glass from three sizes of sheet and 4 to 8 single offcuts, each at 5 to 30 % of the smallest sheet.
pub(crate) fn offcuts(draw: &mut Draw) -> SheetJob {
    let plain = glass(draw);
    let mut kinds = plain.kinds().to_vec();
    let price = kinds[0].price;
    kinds.extend((0..draw.from(4, 8)).map(|_| Kind {
        width: draw.from(80, 250),
        height: draw.from(80, 300),
        price: price * draw.from(5, 30) / 100,
        supply: Some(1),
        trim: Trim::all(2),
    }));
    SheetJob::new(plain.items().to_vec(), kinds, plain.cutter()).expect("sizes are positive")
}

/// Glass of 3 to 8 sizes, all turnable, without kerf, from sheets of three sizes.
pub(crate) fn glass(draw: &mut Draw) -> SheetJob {
    let n_sizes = draw.from(3, 8);
    let items = (0..n_sizes).map(|_| Item {
        width: draw.from(64, 200),
        height: draw.from(64, 250),
        demand: count(draw.from(1, 6)),
        turnable: true,
    });
    let items = items.collect();
    let small = draw.from(80, 150) * 10;
    let kinds = vec![
        sheet(32, 40, small, 2),
        sheet(36, 48, small * draw.from(12, 15) / 10, 2),
        sheet(40, 60, small * draw.from(17, 24) / 10, 2),
    ];
    SheetJob::new(items, kinds, Cutter::default()).expect("sizes are positive")
}

/// Plywood of 3 to 8 sizes, none turnable, a kerf of 1/8 in, from sheets of three sizes.
pub(crate) fn plywood(draw: &mut Draw) -> SheetJob {
    let n_sizes = draw.from(3, 8);
    let items = (0..n_sizes).map(|_| Item {
        width: draw.from(60, 400),
        height: draw.from(40, 190),
        demand: count(draw.from(1, 5)),
        turnable: false,
    });
    let items = items.collect();
    let large = draw.from(400, 700) * 10;
    let kinds = vec![
        sheet(96, 48, large, 4),
        sheet(48, 24, large * draw.from(28, 36) / 100, 4),
        sheet(60, 60, large * draw.from(75, 90) / 100, 4),
    ];
    let cutter = Cutter {
        kerf: 1,
        ..Cutter::default()
    };
    SheetJob::new(items, kinds, cutter).expect("sizes are positive")
}

//! Whole solves in memory: shop jobs, and instances drawn by the published rule CUTGEN1.

#![expect(
    clippy::unwrap_used,
    reason = "a bench program stops at the first surprise"
)]

#[path = "drawn/lehmer.rs"]
mod lehmer;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use lehmer::Lehmer;
use longpoint::cutting::{Instance, Item, Layout, Stock, Strip};
use longpoint::solve::{Control, solve};

/// Pieces mitered at 45 degrees on a sixteenth-inch grid, boards of `n_boards` lengths with prices in proportion.
fn shop(n_lengths: usize, n_rails: u64, n_boards: i64) -> Instance {
    let mut draw = Lehmer::new(1_994);
    let sixteenth = 25_400_000 / 16;
    // 1/8 in along a cut of 45 degrees, rounded up: 3 175 000 times the root of 2.
    let kerf = 4_490_128;
    let mut sizes: Vec<i64> = Vec::new();
    while sizes.len() < n_lengths {
        let size = i64::try_from(7 * 16 + draw.between(0, 53 * 16 - 1)).unwrap() * sixteenth + kerf;
        if !sizes.contains(&size) {
            sizes.push(size);
        }
    }
    let each = n_rails / n_lengths as u64;
    let items = sizes
        .iter()
        .map(|&size| Item {
            size,
            demand: u32::try_from(1 + draw.between(0, 2 * each - 1)).unwrap(),
            pieces: 1,
        })
        .collect();
    let feet: Vec<i64> = (0..n_boards).map(|idx| 6 + idx * 10 / n_boards).collect();
    let strips = feet
        .iter()
        .map(|feet| Strip {
            capacity: feet * 304_800_000 - 25_400_000 + kerf,
            items: (0..n_lengths).collect(),
        })
        .collect();
    let stocks = feet
        .iter()
        .enumerate()
        .map(|(strip, feet)| Stock {
            cost: 285 * feet,
            length: feet * 304_800_000,
            supply: None,
            layouts: vec![Layout {
                strips: vec![strip],
                kept: false,
                group: 0,
            }],
        })
        .collect();
    Instance {
        items,
        strips,
        stocks,
    }
}

fn solves(bench: &mut Criterion) {
    let control = Control {
        stop: &|| false,
        progress: &|_| {},
    };
    for (name, instance) in [
        ("10 lengths, 100 rails, 3 boards", shop(10, 100, 3)),
        ("30 lengths, 500 rails, 5 boards", shop(30, 500, 5)),
        ("60 lengths, 800 rails, 5 boards", shop(60, 800, 5)),
        ("200 lengths, 2,000 rails, 5 boards", shop(200, 2_000, 5)),
        ("200 lengths, 20,000 rails, 5 boards", shop(200, 20_000, 5)),
    ] {
        bench.bench_function(name, |bencher| {
            bencher.iter(|| solve(black_box(&instance), &control));
        });
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = solves
}
criterion_main!(benches);

//! Frame-shop jobs drawn by a rule of our own: mitered pieces on a sixteenth-inch or half-millimeter grid.

use crate::job_files::{BoardRow, JobFiles, PieceRow};
use crate::lehmer::Lehmer;

/// The three kinds of shop job.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Price in proportion to length, as many boards as needed.
    Proportional,
    /// Prices up to 12 % off proportion, rounded to 5 cents; some supplies limited.
    Irregular,
    /// The same, and ten to thirty kinds of offcut with one to three of each.
    Offcuts,
}

/// The job of `kind` with number `number`.
pub fn shop_job(kind: Kind, number: u64) -> JobFiles {
    let mut draw = Lehmer::new(1_000 * (kind as u64 + 1) + 7 * number + 1);
    // The first draws of neighboring seeds are alike; leave them.
    for _ in 0..8 {
        draw.between(0, 1);
    }
    let metric = draw.between(0, 1) == 1;
    // One step is 1/16 in or 0.5 mm; a foot has 192 of the one, 300 mm has 600 of the other.
    let (unit, steps_per_unit, foot, kerf) = if metric {
        ("mm", 2, 600, "3.2")
    } else {
        ("in", 16, 192, "0.125")
    };
    let decimal = |steps: u64| {
        let thousandths = steps * 10_000 / steps_per_unit;
        format!("{}.{:04}", thousandths / 10_000, thousandths % 10_000)
    };
    let n_lengths = draw.between(10, 60);
    let n_rails = draw.between(100.max(2 * n_lengths), 2_000);
    let mut lengths: Vec<u64> = Vec::new();
    while (lengths.len() as u64) < n_lengths {
        let length = draw.between(7 * foot / 12, 5 * foot);
        if !lengths.contains(&length) {
            lengths.push(length);
        }
    }
    let shares: Vec<u64> = lengths.iter().map(|_| draw.between(1, 1_000)).collect();
    let total: u64 = shares.iter().sum();
    let pieces = lengths
        .iter()
        .zip(&shares)
        .enumerate()
        .map(|(idx, (&length, &share))| PieceRow {
            name: format!("rail {}", idx + 1),
            length: decimal(length),
            // Rails come in equal pairs.
            quantity: (2 * (n_rails * share / total / 2)).max(2),
            ends: "miter",
            width: None,
        })
        .collect();

    let n_boards = draw.between(1, 12);
    let mut feet: Vec<u64> = Vec::new();
    while (feet.len() as u64) < n_boards {
        // Half feet from 6 to 16 ft.
        let half_feet = draw.between(12, 32);
        if !feet.contains(&half_feet) {
            feet.push(half_feet);
        }
    }
    feet.sort_unstable();
    let cents_per_half_foot = draw.between(60, 400);
    let price_of = |draw: &mut Lehmer, half_feet: u64| {
        if kind == Kind::Proportional {
            half_feet * cents_per_half_foot
        } else {
            let cents = half_feet * cents_per_half_foot * draw.between(880, 1_120) / 1_000;
            (cents + 2) / 5 * 5
        }
    };
    let mut boards: Vec<BoardRow> = Vec::new();
    for &half_feet in &feet {
        let cents = price_of(&mut draw, half_feet);
        let limited =
            kind != Kind::Proportional && draw.between(1, 10) <= 3 && boards.len() + 1 < feet.len();
        boards.push(BoardRow {
            name: format!("board {half_feet}"),
            length: decimal(half_feet * foot / 2),
            quantity: limited.then(|| draw.between(2, 59)),
            price: Some(format!("{}.{:02}", cents / 100, cents % 100)),
            section: None,
        });
    }
    if kind == Kind::Offcuts {
        for idx in 0..draw.between(10, 30) {
            let length = draw.between(4 * foot / 3, 10 * foot);
            let cents = (length * 2 * cents_per_half_foot / foot / 20).max(1);
            boards.push(BoardRow {
                name: format!("offcut {}", idx + 1),
                length: decimal(length),
                quantity: Some(draw.between(1, 3)),
                price: Some(format!("{}.{:02}", cents / 100, cents % 100)),
                section: None,
            });
        }
    }
    JobFiles {
        unit,
        kerf: kerf.to_owned(),
        end_trim: if metric { "12" } else { "0.5" }.to_owned(),
        rip: None,
        pieces,
        boards,
    }
}

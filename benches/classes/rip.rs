//! Rip jobs drawn by a rule of our own: mitered rails of several widths, to be ripped from wide boards on a
//! sixteenth-inch grid.

use crate::job_files::{BoardRow, JobFiles, PieceRow, Rip};
use crate::lehmer::Lehmer;

/// How the boards of a job are sold.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Sold {
    /// Boards of random width and length, one of each, by the board foot.
    Tally,
    /// A few sizes, as many as needed, by the board foot.
    Proportional,
    /// A few sizes, as many as needed, at prices up to 12 % off proportion.
    Irregular,
}

/// The ways of selling, in the order in which jobs of a class take turns.
const WAYS: [Sold; 3] = [Sold::Tally, Sold::Proportional, Sold::Irregular];

/// Sixteenths of an inch to a foot.
const FOOT: u64 = 192;

/// How a job of a class is to be.
struct Extent {
    n_lengths: u64,
    n_widths: u64,
    n_rails: u64,
    n_boards: u64,
    sold: Sold,
}

/// A job of a workshop: up to 20 lengths of rail in two widths.
pub fn shop_job(number: u64) -> (String, JobFiles) {
    let mut draw = stream(11, number);
    let n_lengths = draw.between(4, 20);
    let extent = Extent {
        n_lengths,
        n_widths: 2,
        n_rails: draw.between(2 * n_lengths, 160),
        n_boards: draw.between(2, 6),
        sold: WAYS[usize::try_from(number % 3).unwrap()],
    };
    job(number, &extent, &mut draw)
}

/// A small job: up to 60 rails in up to three widths, and up to eight sizes of board.
pub fn small_job(number: u64) -> (String, JobFiles) {
    let mut draw = stream(13, number);
    let n_lengths = draw.between(2, 12);
    let extent = Extent {
        n_lengths,
        n_widths: draw.between(1, 3).min(n_lengths),
        n_rails: draw.between(2 * n_lengths, 60),
        n_boards: draw.between(1, 8),
        sold: WAYS[usize::try_from(number % 3).unwrap()],
    };
    job(number, &extent, &mut draw)
}

/// A large job: 60 lengths of rail in three widths, 1,000 rails, 8 sizes of board.
pub fn large_job(number: u64) -> (String, JobFiles) {
    let extent = Extent {
        n_lengths: 60,
        n_widths: 3,
        n_rails: 1_000,
        n_boards: 8,
        // Nobody tallies a hundred boards one by one for a single job.
        sold: WAYS[1 + usize::try_from(number % 2).unwrap()],
    };
    job(number, &extent, &mut stream(12, number))
}

/// The numbers for one job of a class.
fn stream(class: u64, number: u64) -> Lehmer {
    let mut draw = Lehmer::new(1_000 * class + 7 * number + 1);
    // The first draws of neighboring seeds are alike; leave them.
    for _ in 0..8 {
        draw.between(0, 1);
    }
    draw
}

/// `sixteenths` of an inch as a decimal number of inches, exactly.
fn inches(sixteenths: u64) -> String {
    format!("{}.{:04}", sixteenths / 16, sixteenths % 16 * 625)
}

/// `cents` as major units.
fn money(cents: u64) -> String {
    format!("{}.{:02}", cents / 100, cents % 100)
}

fn job(number: u64, extent: &Extent, draw: &mut Lehmer) -> (String, JobFiles) {
    let widths = distinct(draw, extent.n_widths, 14, 48);
    let (pieces, area) = rails(draw, extent, &widths);
    let boards = match extent.sold {
        Sold::Tally => tally(draw, area),
        Sold::Proportional | Sold::Irregular => sizes(draw, extent),
    };
    let sold = match extent.sold {
        Sold::Tally => "tally",
        Sold::Proportional => "proportional",
        Sold::Irregular => "irregular",
    };
    let job = JobFiles {
        unit: "in",
        kerf: "0.125".to_owned(),
        end_trim: "0.5".to_owned(),
        rip: Some(Rip {
            kerf: "0.125".to_owned(),
            straightening: "0.25".to_owned(),
            planing: "0.0625".to_owned(),
        }),
        pieces,
        boards,
    };
    (format!("{sold} {number}"), job)
}

/// `count` different numbers from `low` to `high`, in the order drawn.
fn distinct(draw: &mut Lehmer, count: u64, low: u64, high: u64) -> Vec<u64> {
    let mut drawn: Vec<u64> = Vec::new();
    while (drawn.len() as u64) < count {
        let next = draw.between(low, high);
        if !drawn.contains(&next) {
            drawn.push(next);
        }
    }
    drawn
}

/// The rails, and the area that they take with their kerfs, in square sixteenths.
fn rails(draw: &mut Lehmer, extent: &Extent, widths: &[u64]) -> (Vec<PieceRow>, u64) {
    let lengths = distinct(draw, extent.n_lengths, 7 * FOOT / 12, 4 * FOOT);
    let shares: Vec<u64> = lengths.iter().map(|_| draw.between(1, 1_000)).collect();
    let total: u64 = shares.iter().sum();
    let mut area = 0;
    let pieces = lengths
        .iter()
        .zip(&shares)
        .enumerate()
        .map(|(idx, (&length, &share))| {
            // Rails come in equal pairs.
            let quantity = (2 * (extent.n_rails * share / total / 2)).max(2);
            // In turn, so that every width has about as many lengths.
            let width = widths[idx % widths.len()];
            // Miters take 1/8 in times the root of 2, a little under 3/16 in.
            area += quantity * (length + 3) * (width + 3);
            PieceRow {
                name: format!("rail {}", idx + 1),
                length: inches(length),
                quantity,
                ends: "miter",
                width: Some(inches(width)),
            }
        })
        .collect();
    (pieces, area)
}

/// Boards of random size, one of each, with half as much area again as the rails take, and two boards more.
fn tally(draw: &mut Lehmer, area: u64) -> Vec<BoardRow> {
    let cents_per_foot = draw.between(250, 1_200);
    let mut boards = Vec::new();
    let mut bought = 0;
    let mut spare = 2;
    while spare > 0 {
        if 2 * bought >= 3 * area {
            spare -= 1;
        }
        // Widths by the eighth, 4 to 12 in; lengths by the inch, 6 to 12 ft.
        let (width, length) = (2 * draw.between(32, 96), 16 * draw.between(72, 144));
        bought += width * length;
        // A wide board is dearer by the board foot.
        let cents = if width < 6 * 16 {
            cents_per_foot * 17 / 20
        } else if width < 9 * 16 {
            cents_per_foot
        } else {
            cents_per_foot * 23 / 20
        };
        boards.push(BoardRow {
            name: format!("board {}", boards.len() + 1),
            length: inches(length),
            quantity: Some(1),
            price: Some(format!("{}/bf", money(cents))),
            section: Some((inches(width), "1.0000".to_owned())),
        });
    }
    boards
}

/// Boards of a few widths and lengths, every width with every length, as many as needed.
fn sizes(draw: &mut Lehmer, extent: &Extent) -> Vec<BoardRow> {
    // Two lengths while the number is even, else one.
    let n_lengths = if extent.n_boards.is_multiple_of(2) {
        2
    } else {
        1
    };
    let lengths = distinct(draw, n_lengths, 6, 12);
    let widths = distinct(draw, extent.n_boards / n_lengths, 8, 24);
    let cents_per_foot = draw.between(250, 1_200);
    let mut boards = Vec::new();
    for &feet in &lengths {
        for &half_inches in &widths {
            let price = if extent.sold == Sold::Irregular {
                // One inch thick: board feet are feet of length times inches of width, over 12.
                let cents = cents_per_foot * feet * half_inches * draw.between(880, 1_120) / 24_000;
                money((cents + 2) / 5 * 5)
            } else {
                format!("{}/bf", money(cents_per_foot))
            };
            let (width, length) = (8 * half_inches, FOOT * feet);
            boards.push(BoardRow {
                name: format!("board {} x {feet}", inches(width)),
                length: inches(length),
                quantity: None,
                price: Some(price),
                section: Some((inches(width), "1.0000".to_owned())),
            });
        }
    }
    boards
}

//! Jobs that are alike but for one count, written as the files a user would write.

use std::fs;
use std::path::{Path, PathBuf};

use crate::drawn_frames::drawn_frames;
use crate::job_files::{BoardRow, JobFiles, PieceRow};
use crate::lehmer::Lehmer;

/// What a job has how many of.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Count {
    /// Mitered rails in all, of 40 lengths, from five sizes of board.
    Rails,
    /// Lengths of rail, of 4,000 rails, or two of each where that is more, from five sizes of board.
    Lengths,
    /// Sizes of board, for 2,000 rails of 40 lengths.
    Boards,
    /// Frames of three mouldings, each with three sizes of board.
    Frames,
}

impl Count {
    /// Every one.
    pub const ALL: [Count; 4] = [Count::Rails, Count::Lengths, Count::Boards, Count::Frames];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Count::Rails => "rails",
            Count::Lengths => "lengths of rail",
            Count::Boards => "sizes of board",
            Count::Frames => "frames",
        }
    }

    /// The counts that are run.
    pub fn steps(self) -> &'static [u64] {
        match self {
            Count::Rails => &[200, 600, 2_000, 6_000, 20_000, 60_000, 200_000],
            Count::Lengths => &[10, 20, 40, 80, 150, 250, 400],
            Count::Boards => &[1, 2, 5, 10, 20, 50, 100, 200],
            Count::Frames => &[10, 30, 100, 300, 1_000, 3_000, 10_000],
        }
    }

    /// Writes job `number` of those with `count` into `dir`; the path of its TOML file.
    pub fn write(self, count: u64, number: u64, dir: &Path) -> PathBuf {
        match self {
            Count::Rails => rails(count, 40, 5, number).write(dir),
            Count::Lengths => rails(4_000.max(2 * count), count, 5, number).write(dir),
            Count::Boards => rails(2_000, 40, count, number).write(dir),
            Count::Frames => {
                for (name, text) in drawn_frames(count, 20_260 + number).0 {
                    fs::write(dir.join(name), text).unwrap();
                }
                dir.join("job.toml")
            }
        }
    }
}

/// So many rails of so many lengths, 7 in to 5 ft in sixteenths, from so many sizes of board, 6 to 16 ft in half inches, at
/// prices up to 6 % off proportion.
fn rails(n_rails: u64, n_lengths: u64, n_boards: u64, number: u64) -> JobFiles {
    let mut draw = Lehmer::new(7_000 + 13 * number);
    // The first draws of neighboring seeds are alike; leave them.
    for _ in 0..8 {
        draw.between(0, 1);
    }
    let lengths = different(&mut draw, n_lengths, 112, 960);
    let shares: Vec<u64> = lengths.iter().map(|_| draw.between(1, 1_000)).collect();
    let total: u64 = shares.iter().sum();
    let pieces = lengths.iter().zip(&shares).enumerate();
    let pieces = pieces.map(|(idx, (&length, &share))| PieceRow {
        name: format!("rail {}", idx + 1),
        length: format!("{}.{:04}", length / 16, length % 16 * 625),
        // Rails come in equal pairs.
        quantity: (2 * (n_rails * share / total / 2)).max(2),
        ends: "miter",
        width: None,
    });
    let pieces = pieces.collect();
    let mut halves = different(&mut draw, n_boards, 144, 384);
    halves.sort_unstable();
    let boards = halves.into_iter().map(|half_inches| {
        let cents = half_inches * 10 * draw.between(940, 1_060) / 1_000;
        BoardRow {
            name: format!("board {half_inches}"),
            length: format!("{}.{}", half_inches / 2, half_inches % 2 * 5),
            quantity: None,
            price: Some(format!("{}.{:02}", cents / 100, cents % 100)),
            section: None,
        }
    });
    JobFiles {
        unit: "in",
        kerf: "0.125".to_owned(),
        end_trim: "0.5".to_owned(),
        rip: None,
        pieces,
        boards: boards.collect(),
    }
}

/// So many different numbers.
fn different(draw: &mut Lehmer, count: u64, low: u64, high: u64) -> Vec<u64> {
    let mut numbers = Vec::new();
    while (numbers.len() as u64) < count {
        let number = draw.between(low, high);
        if !numbers.contains(&number) {
            numbers.push(number);
        }
    }
    numbers
}

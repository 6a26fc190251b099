//! What rectangles are wanted, and from which sheets they may be cut.

/// A rectangle that is wanted some number of times.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Item {
    /// Size along the width of a sheet, as long as the piece is not turned; positive.
    pub width: i64,
    /// Size along the height of a sheet; positive.
    pub height: i64,
    /// How many are needed.
    pub demand: u32,
    /// Whether it may be turned by a right angle.
    pub turnable: bool,
}

/// What is cut off, or kept clear, at each edge of a sheet; 0 where an edge is good as it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Trim {
    /// At the left edge, where the width begins.
    pub left: i64,
    /// At the right edge.
    pub right: i64,
    /// At the lower edge, where the height begins.
    pub bottom: i64,
    /// At the upper edge.
    pub top: i64,
}

impl Trim {
    /// The same at all four edges.
    #[must_use]
    pub const fn all(trim: i64) -> Trim {
        Trim {
            left: trim,
            right: trim,
            bottom: trim,
            top: trim,
        }
    }
}

/// A kind of sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kind {
    /// Width as it lies; positive.
    pub width: i64,
    /// Height as it lies; positive.
    pub height: i64,
    /// Price of one, 0 or more.
    pub price: i64,
    /// How many there are; `None` means as many as needed.
    pub supply: Option<u32>,
    /// What is lost at the edges.
    pub trim: Trim,
}

/// Which way the strips of a sheet run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Along {
    /// Along its width: a strip is as long as the sheet is wide.
    Width,
    /// Along its height.
    Height,
}

impl Along {
    /// Both, in order.
    pub const BOTH: [Along; 2] = [Along::Width, Along::Height];
}

/// In how many stages of cuts a sheet may be parted, besides a last cut that trims a piece.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stages {
    /// Into strips, and these into pieces.
    #[default]
    Two,
    /// Into strips, these into stacks, and these into pieces.
    Three,
}

/// What the cutter does and can do.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cutter {
    /// Width of a cut; 0 for a knife and for glass that is scored and snapped.
    pub kerf: i64,
    /// The one way in which strips may run, where not both will do.
    pub strips: Option<Along>,
    /// Longest first cut it can make: a sheet that is longer along its strips is not cut that way.
    pub longest_first: Option<i64>,
    /// Longest second cut it can make: no strip is wider.
    pub longest_second: Option<i64>,
    /// In how many stages it may cut.
    pub stages: Stages,
}

/// Sheets of one kind whose strips run one way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Bed {
    /// Index of the kind.
    pub kind: usize,
    /// Which way the strips run.
    pub along: Along,
}

/// A whole job: items, kinds of sheet and the cutter; checked as a whole and never changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetJob {
    items: Vec<Item>,
    kinds: Vec<Kind>,
    cutter: Cutter,
}

/// Something a job cannot have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// An item has a side that is not positive or is longer than [`LARGEST_SIZE`].
    ItemSize {
        /// Index of the item.
        item: usize,
    },
    /// A kind has a side that is not positive or is longer than [`LARGEST_SIZE`].
    KindSize {
        /// Index of the kind.
        kind: usize,
    },
    /// A kind's price is negative or above [`LARGEST_PRICE`].
    KindPrice {
        /// Index of the kind.
        kind: usize,
    },
    /// A kind's trim is negative at an edge, or nothing is left between two edges.
    KindTrim {
        /// Index of the kind.
        kind: usize,
    },
    /// The kerf is negative or above [`LARGEST_SIZE`].
    Kerf,
    /// More than [`MOST_PIECES`] pieces are wanted in all.
    Pieces,
}

/// No side is longer; sums of sizes then stay far within 64 bits.
pub const LARGEST_SIZE: i64 = 1_000_000_000_000;
/// No sheet costs more; a plan's cost then stays within 64 bits.
pub const LARGEST_PRICE: i64 = 1_000_000_000_000;
/// No job wants more pieces.
pub const MOST_PIECES: u64 = 1_000_000;

impl SheetJob {
    /// A job of these parts.
    ///
    /// # Errors
    /// Everything that a job cannot have, by items, kinds and the cutter.
    pub fn new(items: Vec<Item>, kinds: Vec<Kind>, cutter: Cutter) -> Result<SheetJob, Vec<Fault>> {
        let mut faults = Vec::new();
        let is_size = |size: i64| (1..=LARGEST_SIZE).contains(&size);
        for (idx, item) in items.iter().enumerate() {
            if !is_size(item.width) || !is_size(item.height) {
                faults.push(Fault::ItemSize { item: idx });
            }
        }
        for (idx, kind) in kinds.iter().enumerate() {
            if !is_size(kind.width) || !is_size(kind.height) {
                faults.push(Fault::KindSize { kind: idx });
            }
            if !(0..=LARGEST_PRICE).contains(&kind.price) {
                faults.push(Fault::KindPrice { kind: idx });
            }
            let Trim {
                left,
                right,
                bottom,
                top,
            } = kind.trim;
            let is_trim = |before: i64, behind: i64, side: i64| {
                let range = 0..=LARGEST_SIZE;
                let is_within = range.contains(&before) && range.contains(&behind);
                // A side that is none is told already.
                is_within && (before + behind < side || !is_size(side))
            };
            if !is_trim(left, right, kind.width) || !is_trim(bottom, top, kind.height) {
                faults.push(Fault::KindTrim { kind: idx });
            }
        }
        if !(0..=LARGEST_SIZE).contains(&cutter.kerf) {
            faults.push(Fault::Kerf);
        }
        if items.iter().map(|item| u64::from(item.demand)).sum::<u64>() > MOST_PIECES {
            faults.push(Fault::Pieces);
        }
        if faults.is_empty() {
            Ok(SheetJob {
                items,
                kinds,
                cutter,
            })
        } else {
            Err(faults)
        }
    }

    /// What is wanted.
    pub fn items(&self) -> &[Item] {
        &self.items
    }

    /// What it may be cut from.
    pub fn kinds(&self) -> &[Kind] {
        &self.kinds
    }

    /// What the cutter does and can do.
    pub fn cutter(&self) -> Cutter {
        self.cutter
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kind(width: i64, height: i64) -> Kind {
        Kind {
            width,
            height,
            price: 1,
            supply: None,
            trim: Trim::default(),
        }
    }

    fn item(width: i64, height: i64, demand: u32) -> Item {
        Item {
            width,
            height,
            demand,
            turnable: true,
        }
    }

    #[test]
    fn all_that_a_job_cannot_have_is_told_at_once() {
        let kinds = vec![
            kind(10, 10),
            kind(0, 10),
            Kind {
                price: -1,
                ..kind(10, 10)
            },
            // 5 + 5 leaves nothing of 10.
            Kind {
                trim: Trim::all(5),
                ..kind(10, 12)
            },
        ];
        let cutter = Cutter {
            kerf: -1,
            ..Cutter::default()
        };
        let items = vec![item(1, 1, 1_000_000), item(2, -2, 1)];
        assert_eq!(
            SheetJob::new(items, kinds, cutter),
            Err(vec![
                Fault::ItemSize { item: 1 },
                Fault::KindSize { kind: 1 },
                Fault::KindPrice { kind: 2 },
                Fault::KindTrim { kind: 3 },
                Fault::Kerf,
                Fault::Pieces,
            ])
        );
    }

    #[test]
    fn a_trim_that_leaves_something_is_a_trim() {
        let kinds = vec![Kind {
            trim: Trim {
                left: 4,
                right: 5,
                bottom: 0,
                top: 9,
            },
            ..kind(10, 10)
        }];
        assert!(SheetJob::new(vec![item(1, 1, 1)], kinds, Cutter::default()).is_ok());
    }
}

//! How much of everything is read, and why no more.

use std::ops::RangeInclusive;

use crate::job::MOST_PARTS;
use crate::length::Length;

/// Larger files are refused before they are read: 64 MiB is some million rows, more than a job may have.
pub const LARGEST_FILE: u64 = 64 * 1024 * 1024;

/// More rows than a job may have parts, and more than any table of sizes has.
pub(super) const MOST_ROWS: usize = 200_000;

/// Rows of a table of boards, or of what lies on the rack; each is a kind of board of its own to the search.
pub(super) const MOST_KINDS: usize = 20_000;

/// No part is shorter: nothing of wood is, and a board would hold millions.
pub(super) const SHORTEST_PART: Length = Length::from_nm(500_000);

/// Nothing in a shop of frames is longer: a number that would be is not meant so.
pub(super) const LONGEST_IN_A_SHOP: Length = Length::from_nm(10_000_000_000);

/// A table with more errors than this is not read to its end; nobody reads on either.
pub(super) const MOST_ERRORS: usize = 1_000;

/// How many of one thing may be wanted or on hand: a job has no more parts.
pub(super) const SOME: RangeInclusive<u32> = 1..=MOST_PARTS;

/// How many boards of a kind there may be; none is a line that is kept for later.
pub(super) const SOME_OR_NONE: RangeInclusive<u32> = 0..=MOST_PARTS;

/// A longer name would not fit on any list.
pub(super) const LONGEST_NAME: usize = 200;

/// A longer currency would crowd out the amounts beside it.
pub(super) const LONGEST_CURRENCY: usize = 8;

/// The coins of no currency go beyond four decimals.
pub(super) const DECIMALS: RangeInclusive<u32> = 0..=4;

/// Sides of a regular polygon: with more, no angle of a saw is fine enough.
pub(super) const SIDES: RangeInclusive<u32> = 3..=48;

/// More mats on top of each other fit no rabbet.
pub(super) const LAYERS: RangeInclusive<u32> = 1..=9;

/// Keys across a corner: more leave no wood between them.
pub(super) const KEYS: RangeInclusive<u32> = 0..=9;
/// Labels side by side, or below each other: more would be smaller than what is written on them.
pub(super) const LABELS_IN_LINE: RangeInclusive<u32> = 1..=50;

/// A weight, from nothing to all of it.
pub(super) const LONG_OFFCUTS: RangeInclusive<u32> = 0..=100;

/// The thickest board that is named in quarters; a text beyond is taken as any other length.
pub(super) const MOST_QUARTERS: i64 = 64;

/// Names longer than this get no suggestion; comparing them takes time and finds nothing.
pub(super) const LONGEST_COMPARED: usize = 64;

/// A frame has this many columns; longer lists are not read.
pub(super) const MOST_LISTED: usize = 24;

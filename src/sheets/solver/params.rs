//! Every limit of the search, each with what it decides.

/// Places that sums of sizes may have along a strip or across a sheet; beyond, sizes are rounded up to fewer places and
/// nothing is proved.
pub(super) const MOST_PLACES: usize = 40_000;
/// All multiples of the sizes' common step are places where at least one of so many is a sum.
pub(super) const DENSE: usize = 4;
/// Places to which they are rounded then.
pub(super) const COARSE_PLACES: i64 = 4_000;

/// Prices are told in parts of the dearest sheet: this many, or fewer where sums would grow too large.
pub(super) const FINEST_SCALE: i64 = 1 << 36;
/// No sum of prices over a whole demand may be above this, so that tables of 64-bit numbers never overflow.
pub(super) const WORTH_LIMIT: i128 = 1 << 61;
/// A column that is worth no more than its cost and this, in parts of [`FINEST_SCALE`], is noise of the floats.
pub(super) const LEAST_GAIN: i64 = 16;

/// What a missing piece costs the linear program at first, in units of the dearest sheet.
pub(super) const FIRST_PENALTY: f64 = 12.0;
/// Rows miss their sides by more than this when the program cannot meet them.
pub(super) const SHORT_ABOVE: f64 = 1e-6;
/// A value this near to a whole number counts as whole where only the search, not the proof, is concerned.
pub(super) const INTEGRAL_WITHIN: f64 = 1e-6;
/// Rounds of pricing of one node; far more than any needs.
pub(super) const MAX_ROUNDS: usize = 2_000;
/// Work of one round besides what is counted, so that tiny jobs reach the limit too.
pub(super) const ROUND_WORK: u64 = 2_000;

/// Conditions on what strips hold on the way to a case: for each the states of a strip may double.
pub(super) const MOST_HOLDING: usize = 6;
/// Nodes of the largest tree that is searched; its certificate would be larger than the plan is worth.
pub(super) const LARGEST_TREE: usize = 4_000;
/// Every so many times that the search does not go on with a case's own children, the next to be looked at is, of those of
/// least bound, the one nearest to the root.
pub(super) const TURNS: u64 = 20;
/// Dives from the root's solution.
pub(super) const ROOT_DIVES: u32 = 2;
/// Dives from a node whose counts are whole, where only the plan is wanting.
pub(super) const LAST_DIVES: u32 = 12;
/// Dives take no more than this part of all work, but for those of [`LAST_DIVES`].
pub(super) const DIVE_PART: u64 = 6;
/// Pricings after each step of a dive.
pub(super) const DIVE_ROUNDS: usize = 2;
/// By how much a scatter may change the order of fractions in a dive.
pub(super) const DIVE_DISTURBANCE: f64 = 0.4;
/// Steps of fixed scatters: the fractional parts of their multiples lie evenly (the golden ratio, the plastic number).
pub(super) const SCATTER: [f64; 2] = [0.618_033_988_749_894_9, 0.754_877_666_246_692_8];

/// Values of sequential value correction are parts of the dearest sheet: this many.
pub(super) const VALUE_SCALE: i64 = 1 << 24;
/// Passes of sequential value correction before anything is known.
pub(super) const FIRST_PASSES: u32 = 6;
/// Passes from the root's prices.
pub(super) const ROOT_PASSES: u32 = 4;
/// Rounds of filling some sheets anew at each node.
pub(super) const NODE_ROUNDS: u32 = 20;
/// These rounds take no more than one part of so many of all work after [`REFILL_FROM`].
pub(super) const REFILL_PART: u64 = 3;
/// Work before the first of these rounds: most jobs are proved with less, by a plan that splits and dives find.
pub(super) const REFILL_FROM: u64 = 30_000_000;

/// Prices up to which sums of prices are looked at one by one; beyond, only their common divisor is.
pub(super) const MOST_SUMS: i64 = 4_000_000;
/// What is nearer to a whole number than this is no fraction to split by.
pub(super) const LEAST_FRACTION: f64 = 1e-5;
/// Strips that a search for sheets puts somewhere before it gives up.
pub(super) const PACK_NODES: u32 = 3_000;
/// What an item is worth at least in a dive, as a share of the dearest sheet that its area has of all: one part of so many.
pub(super) const LEAST_SHARE: i64 = 1 << 12;
/// Columns up to which a dive prices strips of all classes; beyond, those alone that the best sheets have.
pub(super) const SMALL_POOL: usize = 400;
/// Columns, for each row and besides, at which the dear ones are set aside between two pricings.
pub(super) const CROWDED: (usize, usize) = (4, 400);
/// Columns with a reduced cost below this are never set aside: they may be as good as basic ones.
pub(super) const DEAR_ABOVE: f64 = 1e-6;

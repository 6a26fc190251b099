//! Every tolerance and limit of the search, each with what it decides.

/// Work after which the search gives up, in steps of [`super::meter::Meter`]; about a minute on one core.
pub(super) const FULL_WORK: u64 = 60_000_000_000;
/// The same for the one answer that others are measured by; some ten seconds.
pub(super) const LONG_WORK: u64 = 6_000_000_000;
/// The same for one answer among many; a second or two.
pub(super) const SHORT_WORK: u64 = 800_000_000;
/// The same for a trial of which little is lost when it is not decided.
pub(super) const BRIEF_WORK: u64 = 200_000_000;
/// Work for all answers to one question, where they are many; some five seconds on two cores.
pub(super) const MANY_WORK: u64 = 2_400_000_000;
/// Of a budget for many searches one part in so many is dealt to all of them equally.
pub(super) const FIRST_PART: u64 = 2;
/// What one search is given of it at the least; enough for a plan and a bound.
pub(super) const LEAST_WORK: u64 = 4_000_000;
/// So many times as much is given to a search that begins anew.
pub(super) const ROUND_FACTOR: u64 = 4;
/// Of the work that is left one part in so many is for all blocks of a component together.
pub(super) const PART_OF_BLOCKS: u64 = 4;
/// Steps between two questions to the caller's stop condition; a few milliseconds.
pub(super) const POLL_EVERY: u64 = 2_000_000;

/// A kind of board that costs this many times as much as the cheapest is out of proportion: duals are told in units of the
/// dearest, so it makes the prices of all others a matter of rounding. It is left out where a plan without it costs less.
pub(super) const OUT_OF_PROPORTION: i64 = 100;

/// Nodes of the search for the fewest boards of a kind that is out of proportion.
pub(super) const TIER_NODES: u64 = 400;

/// No certificate has a larger price of a class of parts; checks look at no more.
pub(super) const MOST_OF_CLASS: i64 = 1 << 40;
/// The same of the price of a case, and of a scale.
pub(super) const MOST_OF_CASE: i64 = 1 << 60;
/// How many times the unit of the others a dear board may cost: scales of these grow by it, and are 2^29 at the most.
pub(super) const MOST_TIMES: i64 = 1 << 30;

/// A basic variable counts as negative below minus this; larger values stop the dual simplex early.
pub(super) const PRIMAL_TOLERANCE: f64 = 1e-9;
/// A reduced cost counts as negative below minus this, costs being scaled to at most 1; more where penalties are high.
pub(super) const DUAL_TOLERANCE: f64 = 1e-10;
/// No pivot is smaller than this.
pub(super) const PIVOT_TOLERANCE: f64 = 1e-7;
/// How far below zero the ratio test may let a basic variable go to find a larger pivot.
pub(super) const RATIO_SLACK: f64 = 1e-10;
/// Size of the disturbance of right-hand sides; without it degenerate vertices stall the simplex.
pub(super) const DISTURBANCE: f64 = 1e-3;
/// Exchanges before a factorized basis is factorized anew.
pub(super) const ETA_LIMIT: usize = 64;
/// Rows up to which the inverse of the basis is written out.
pub(super) const EXPLICIT_ROWS: usize = 700;
/// Exchanges before an inverse that is written out is made anew.
pub(super) const INVERSE_UPDATES: usize = 1000;
/// Rows may be missed by no more than this before the inverse is made anew.
pub(super) const RESIDUAL_TOLERANCE: f64 = 1e-7;
/// A residual below this is not worth a correction.
pub(super) const SMALL_RESIDUAL: f64 = 1e-11;
/// A pivot computed by its row and by its column may differ by this share of it.
pub(super) const PIVOT_MISMATCH: f64 = 1e-7;
/// A reference weight above this is the sign to begin with all of them anew.
pub(super) const LARGEST_REFERENCE: f64 = 1e7;
/// Exchanges of one run of the dual simplex.
pub(super) const DUAL_LIMIT: u32 = 20_000;
/// A reduced cost below minus this does not take part in the dual simplex.
pub(super) const SLIGHT: f64 = 1e-7;
/// Exchanges without progress before the primal simplex stops where it is.
pub(super) const STALL_LIMIT: usize = 500;
/// A pivot of the factorization is at least this share of the largest in its column.
pub(super) const PIVOT_SHARE: f64 = 0.1;
/// A column whose largest entry is below this cannot pivot.
pub(super) const SINGULAR_BELOW: f64 = 1e-10;

/// Up to this many cells a board is divided along the common divisor of all sizes.
pub(super) const FINE_CELLS: i64 = 12000;
/// Cells on the longest board when sizes share no grid.
pub(super) const COARSE_CELLS: i64 = 4000;
/// Nodes of one search in the knapsack; beyond them the bound of the table stands, and the grid is refined.
pub(super) const SEARCH_NODES: u32 = 20_000;

/// What a missing piece costs the linear program at first, in units of the dearest board.
pub(super) const FIRST_PENALTY: f64 = 12.0;
/// Factor by which the penalty grows while pieces stay missing.
pub(super) const PENALTY_STEP: f64 = 40.0;
/// The penalty grows no further; beyond, duals lose their digits.
pub(super) const LARGEST_PENALTY: f64 = 1e6;
/// Patterns of one kind that a pricing may bring, shared among the kinds.
pub(super) const MOST_LEADS: usize = 24;
/// A value this near to a whole number counts as whole where only the search, not the proof, is concerned.
pub(super) const INTEGRAL_WITHIN: f64 = 1e-6;
/// Columns, for each row and besides, at which the dear ones are set aside between two pricings.
pub(super) const CROWDED: (usize, usize) = (4, 1000);
/// The same when a node has been solved.
pub(super) const CROWDED_AT_NODE: (usize, usize) = (8, 400);
/// Pricings after each step of a dive.
pub(super) const DIVE_ROUNDS: usize = 3;
/// Pricings of one node; far more than any needs.
pub(super) const MAX_ROUNDS: usize = 2_000;
/// Dives from the root's solution. Where the numbers of boards are settled near the root, filling them by chance finds good
/// plans sooner.
pub(super) const ROOT_DIVES: u32 = 2;
/// Dives from the root of a tree that follows one given up: there a better plan closes more of the nodes that are hard.
pub(super) const LATER_ROOT_DIVES: u32 = 6;
/// Share of the best duals so far in the point at which the next pricing is done.
pub(super) const SMOOTHING: f64 = 0.7;
/// Work of the simplex between two pricings, in terms of the work of a pricing.
pub(super) const LP_SHARE: u64 = 20;
/// Share of the gap by which a dive lets the program's value rise before it prices again.
pub(super) const DIVE_SHARE: f64 = 0.02;
/// A dive that fails is taken up again by an exact search once at most so many pieces are left.
pub(super) const REMAINDER_PIECES: u64 = 50;
/// Nodes of such a search.
pub(super) const REMAINDER_NODES: u64 = 40;
/// The first tree is given up for another when so many of its nodes have been split by pairs.
pub(super) const FIRST_TREE: u64 = 150;
/// Each later tree may have more of these than the one before by one part out of so many.
pub(super) const TREE_GROWTH: u64 = 5;
/// Nodes of the largest tree that is kept for a certificate; beyond, it would be larger than the plan is worth.
pub(super) const LARGEST_TREE: usize = 4_000;
/// Work of one pass of the pricing loop besides what is counted, so that tiny problems reach the limit too.
pub(super) const ROUND_WORK: u64 = 2_000;
/// How often the cells are refined fourfold; beyond, a table would be slow and large.
pub(super) const FINEST_LEVEL: u32 = 2;
/// Numbers of cells tried where sizes share no grid.
pub(super) const GRID_TRIES: u32 = 24;
/// Power of its size by which an item shares in what a board costs, in sequential value correction; above 1, so that
/// what is large and hard to place comes early.
pub(super) const SIZE_POWER: f64 = 1.02;
/// Passes of sequential value correction at the root.
pub(super) const CORRECTION_PASSES: u32 = 12;
/// They end when they have taken this part of the work done before.
pub(super) const CORRECTION_SHARE: u64 = 8;
/// A bound on a number of boards is taken to raise the value by this at least, in units of the dearest board.
pub(super) const LEAST_RISE: f64 = 1e-5;
/// Dives that find nothing better take no more than this part of all work.
pub(super) const DIVE_PART: u64 = 6;
/// From each of so many nodes a dive is made in any case.
pub(super) const EAGER_NODES: u64 = 10;
/// With one node out of so many, those of such descents counted, the search goes down to where numbers of boards are
/// settled.
pub(super) const PLUNGE_EVERY: u64 = 8;

/// Duals of earlier nodes kept for mixtures.
pub(super) const MOST_KNOWN_DUALS: usize = 200;
/// With more sources than this the program of mixtures would be slow.
pub(super) const MOST_MIXED_SOURCES: usize = 64;
/// A smaller part in a mixture is noise.
pub(super) const LEAST_MIXED: f64 = 1e-9;
/// No dual found before has a larger part: with larger ones all is said of a node that has no plans.
pub(super) const MOST_MIXED: f64 = 1e4;
/// Pivots of that program, for each of its rows.
pub(super) const MIXTURE_PIVOTS: usize = 12;
/// What a step of nothing is taken for where its columns are compared, so that those of the highest gain go first.
pub(super) const MIXTURE_STEP: f64 = 1e-6;
/// A node is split when its bound lies below the value of the program by no more than this part of what is left to the
/// cutoff.
pub(super) const NEAR_SHARE: f64 = 0.05;

/// An entry of a row below this does not let its variable enter in the dual simplex; a smaller one is rounding.
pub(super) const SMALLEST_ENTRY: f64 = 1e-9;
/// A smaller entry does not move a total that is to be bounded.
pub(super) const UNMOVED: f64 = 1e-7;
/// A step below this leaves the primal simplex where it was.
pub(super) const STANDSTILL: f64 = 1e-12;
/// Exchanges, for each row and column and besides, after which the primal simplex stops where it is; far more than any
/// program needs that does not go round in circles.
pub(super) const EXCHANGE_LIMIT: (usize, usize) = (20, 10 * STALL_LIMIT);
/// Turns of dual and primal simplex before a program counts as solved though its end, judged anew, is not optimal.
pub(super) const SOLVE_TURNS: u32 = 8;
/// Exchanges before it is looked at whether they have made a factorized basis slow.
pub(super) const ETA_LEAST: usize = 8;
/// It is slow when they have more nonzeros than this many times its own and so many besides.
pub(super) const ETA_CROWDED: (usize, usize) = (3, 500);
/// The pivot of a singleton, which needs no elimination, is at least this share of the largest in its column.
pub(super) const SINGLETON_SHARE: f64 = 0.01;
/// Irrational steps of fixed scatters: the fractional parts of their multiples lie evenly in one dimension (the golden
/// ratio), or together in two (the plastic number).
pub(super) const SCATTER: [f64; 3] = [
    0.618_033_988_749_894_9,
    0.754_877_666_246_692_8,
    0.569_840_290_998_053_3,
];

/// Duals are rounded to multiples of this part of the dearest board, or of a coarser one.
pub(super) const FINEST_SCALE: i64 = 1 << 29;
/// No pattern may be worth as much as this, so that a table of 32-bit numbers never overflows.
pub(super) const WORTH_LIMIT: i64 = 1 << 30;
/// A pattern that is worth no more than its cost and this is noise of the rounding; each unit of it costs the bound a
/// unit for each board.
pub(super) const LEAST_GAIN: i64 = 2;
/// Patterns that a pricing may bring of each kind, whatever its share of [`MOST_LEADS`] is.
pub(super) const LEAST_LEADS: usize = 4;
/// One pattern for so many items and each kind may come in any case, so that large programs do not wait for columns.
pub(super) const LEADS_PER_ITEM: usize = 4;
/// Steps of work that a node of the search for a pattern counts.
pub(super) const SEARCH_STEPS: u64 = 4;
/// A finer grid is taken only if it leaves less than this part of the slack.
pub(super) const FINER_GAIN: f64 = 0.9;
/// A grid that the sizes share but for a common rest is taken if it leaves less than this part of the slack.
pub(super) const SHARED_GAIN: f64 = 0.5;
/// Such a grid has at least and at most so many cells; fewer tell nothing, more are slow.
pub(super) const SHARED_CELLS: (f64, f64) = (200.0, 2.0 * 12_000.0);
/// Into at most so many parts is the common step divided to look for such a grid.
pub(super) const MOST_PARTS: i64 = 64;
/// With less slack than this, in cells, nothing better is looked for.
pub(super) const GOOD_SLACK: f64 = 0.6;
/// What a quotient is raised by before it is rounded down to whole cells, so that exact multiples stay whole.
pub(super) const CELL_NUDGE: f64 = 1e-9;

/// Rows miss their sides by more than this when the program cannot meet the demand.
pub(super) const SHORT_ABOVE: f64 = 1e-6;
/// With a larger shortfall the value of the program and its duals are those of penalties, and say little of the cost.
pub(super) const SMALL_SHORTFALL: f64 = 1e-5;
/// In a dive the demand is met within this; finer than [`SHORT_ABOVE`], as only whole columns are left to go.
pub(super) const MET_WITHIN: f64 = 1e-7;
/// Columns with a reduced cost below this are never set aside: they may be as good as basic ones.
pub(super) const DEAR_ABOVE: f64 = 1e-6;
/// Of a search's columns those with a smaller reduced cost at the root are kept for others to begin with.
pub(super) const NEARLY_CHEAP: f64 = 0.01;
/// So many of them for each row.
pub(super) const CHEAP_PER_ROW: usize = 4;
/// By how much a scatter may change the order of fractions in a dive.
pub(super) const DIVE_DISTURBANCE: f64 = 0.3;
/// A dive that fails below the root is closed by an exact search at one node out of so many.
pub(super) const CLOSE_EVERY: u64 = 16;
/// What is nearer to a whole number than this is no fraction to split by.
pub(super) const LEAST_FRACTION: f64 = 1e-5;
/// Weight, against 1 of all boards or of one kind, of a split by some kinds or one way to rip, which decides less.
pub(super) const PART_WEIGHT: f64 = 0.9;
/// In sequential value correction the past counts between this many times as much and as little as it would.
pub(super) const INERTIA: f64 = 1.5;
/// Values of sequential value correction are whole numbers up to 2 to this power.
pub(super) const PROFIT_BITS: u32 = 20;

/// In the problem of settled boards the longest of them costs so much, and the others by what they hold.
pub(super) const CAPACITY_COST: i64 = 1_000;
/// Boards that hold less than this part of what the longest does (numerator, denominator) have few patterns, which the
/// program finds better than chance.
pub(super) const SHORT_BOARD: (i64, i64) = (6, 10);
/// So many boards the program leaves to chance, from one stage to the next; first all but the short ones.
pub(super) const FILL_LEFT: [Option<u32>; 4] = [None, Some(60), Some(25), Some(12)];
/// Where the same boards are filled again, it leaves one of so many parts fewer at each of so many tries in turn.
pub(super) const FILL_FEWER: (u32, u32) = (4, 3);
/// Each stage may take so small a part of the work of all.
pub(super) const FILL_SHARE: u64 = 4;
/// Work of one fill at most.
pub(super) const FILL_WORK: u64 = 500_000_000;
/// Work of one fill that is always allowed; some tens of milliseconds.
pub(super) const LEAST_FILL_WORK: u64 = 40_000_000;
/// Fills that find nothing better take no more than this part of all work.
pub(super) const FILL_PART: u64 = 2;
/// Boards that were filled in vain are tried again, drawn otherwise, while fills take no more than this part of all work.
pub(super) const REFILL_PART: u64 = 4;
/// With less to spare than this, in units of the longest board, chance finds nothing.
pub(super) const LEAST_BUDGET: f64 = 1e-6;
/// A pattern drawn is good if it loses no more than this share of what a board may lose in the mean.
pub(super) const FILL_LOSS: f64 = 0.5;
/// Patterns drawn for a board before the best is taken.
pub(super) const FILL_TRIES: u32 = 300;
/// In so many cases of a hundred the largest piece left must be on the board.
pub(super) const FILL_WITH_LARGEST: usize = 70;
/// All patterns are listed, up to [`LISTED_PATTERNS`], of boards that hold less than one part in so many of the longest.
pub(super) const LISTED_BELOW: i64 = 3;
/// Patterns with more pieces are not listed; boards that hold so many are filled well by chance.
pub(super) const MOST_LISTED_PIECES: usize = 200;
/// Steps after which a listing ends, for each pattern that it may list.
pub(super) const STEPS_PER_PATTERN: u64 = 50;
/// Patterns listed of a short board.
pub(super) const LISTED_PATTERNS: usize = 20_000;
/// So many boards at the end are filled by trying all.
pub(super) const FILL_LAST: u32 = 5;
/// Patterns tried for each of them.
pub(super) const LAST_PATTERNS: usize = 4_000;
/// Nodes of that search.
pub(super) const LAST_NODES: u32 = 300;

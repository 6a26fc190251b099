//! Leaves the wood in few, long pieces, among plans of one cost.
//!
//! Every board counts its length `l`, and for each offcut that is kept the square of its length `k`: squares prefer one
//! long piece to two short ones. With `B` the longest board of its component and `w` the weight the shop gives to long offcuts, out of 100,
//! better is the plan with the smaller
//!
//! `(100 - w) B sum l - w sum k^2`, then fewer boards, then the larger `sum k^2`.
//!
//! Of wood on the rack neither length nor number counts: it is there, so among plans of one cost it is used rather than
//! left, and the rack gets smaller.
//!
//! Where it is used before any board is bought, what it is worth counts before all this: the least of it is used that
//! buys for as little.
//!
//! At `w = 0` that is the least board length, then the fewest boards, then the longest offcuts.
//! Cost, and the parts that are cut, stay as they are, so nothing that was proved of the plan changes.
//!
//! Each component is searched by itself, and by [`Gatherer`] only once: `all` tries every plan of its cost
//! as long as there are few, and only then is anything claimed; else `exchange` repacks boards two by two while that
//! helps. Work is counted, so the answer is the same on every machine.
//! Boards that are ripped to several strips, and all boards of a job with defects or with cuts at the yard or of a component
//! in which any may be resawn, stay as they are; `strips` only divides their parts otherwise among their strips and clear runs, and nothing is claimed.

mod all;
mod color;
mod exchange;
mod memory;
mod strips;

pub use color::gather_color;
pub use memory::Gatherer;

use crate::bridge::Origins;
use crate::cutting::{BoardUse, Instance, Pattern, Solution};
use crate::job::Job;
use crate::money::Money;
use crate::plan::Gathered;
use crate::stock::{Board, board_cost};

/// Whether a board lies on the rack; one that an earlier plan of the job takes lies at the bench.
fn is_on_rack(board: &Board) -> bool {
    board.in_hand.is_some() && board.given.mark.is_none()
}

/// Whether each stock lies on the rack.
fn on_rack(job: &Job, origins: &Origins) -> Vec<bool> {
    let boards = origins.board_indices.iter();
    boards.map(|&idx| is_on_rack(&job.boards[idx])).collect()
}

/// What each stock on the rack is worth where wood in hand is used first, so that its cost does not tell; else 0.
fn worth_beside_cost(job: &Job, origins: &Origins) -> Vec<i128> {
    let free = job.without_rack_first();
    let worth = |&board_idx: &usize| {
        let board = free.as_ref().map(|free| &free.boards[board_idx]);
        let cost = board
            .filter(|board| is_on_rack(board))
            .map(|board| board_cost(board).expect("load works out every price"));
        i128::from(cost.flatten().map_or(0, Money::minor))
    };
    origins.board_indices.iter().map(worth).collect()
}

/// What a board counts, smaller being better; sums of these compare plans.
type Score = [i128; 4];

/// A board with what is cut from it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Load {
    stock: usize,
    layout: usize,
    /// `(item, count)`, items rising; never empty.
    counts: Vec<(usize, u32)>,
}

impl Load {
    fn into_board(self) -> BoardUse {
        BoardUse {
            stock: self.stock,
            layout: self.layout,
            patterns: vec![Pattern {
                counts: self.counts,
            }],
            times: 1,
        }
    }
}

/// The wood as this search sees it.
struct Wood<'a> {
    instance: &'a Instance,
    origins: &'a Origins,
    /// Usable length of each stock.
    usable: Vec<i64>,
    /// Whether each stock lies on the rack.
    on_rack: Vec<bool>,
    /// What each stock on the rack is worth, where that does not count in the cost; else 0.
    worth: Vec<i128>,
    longest: i64,
    shortest_kept: i64,
    weight: i64,
}

impl<'a> Wood<'a> {
    fn new(job: &Job, instance: &'a Instance, origins: &'a Origins) -> Wood<'a> {
        let lengths = instance.stocks.iter().map(|stock| stock.length);
        Wood {
            instance,
            origins,
            usable: lengths
                .clone()
                .map(|length| length - 2 * job.shop.end_trim.nm())
                .collect(),
            on_rack: on_rack(job, origins),
            worth: worth_beside_cost(job, origins),
            longest: lengths.max().unwrap_or(0),
            // A piece of no length is none.
            shortest_kept: job.shop.shortest_offcut.nm().max(1),
            weight: i64::from(job.shop.long_offcuts.min(100)),
        }
    }

    /// A way to hold `counts` on one board of `stock`, if there is one: the layout of a single strip.
    fn layout_for(&self, stock: usize, counts: &[(usize, u32)]) -> Option<usize> {
        let size: i64 = counts
            .iter()
            .map(|&(item, count)| self.instance.items[item].size * i64::from(count))
            .sum();
        self.instance.stocks[stock]
            .layouts
            .iter()
            .position(|layout| match layout.strips[..] {
                [strip] if !layout.kept => {
                    let strip = &self.instance.strips[strip];
                    size <= strip.capacity
                        && counts
                            .iter()
                            .all(|(item, _)| strip.items.binary_search(item).is_ok())
                }
                _ => false,
            })
    }

    /// What a board of `stock` counts with `counts` on it.
    fn score(&self, stock: usize, counts: &[(usize, u32)]) -> Score {
        let mut left = self.usable[stock];
        let mut run = None;
        for &(item, count) in counts {
            let origin = &self.origins.items[item];
            if origin.is_left {
                continue;
            }
            left -= self.instance.items[item].size * i64::from(count);
            // Each run of turned rails reaches one overlap further than its parts count.
            if run.replace((origin.kerf_along, origin.overlap))
                != Some((origin.kerf_along, origin.overlap))
            {
                left -= origin.overlap.nm();
            }
        }
        let kept = if left >= self.shortest_kept { left } else { 0 };
        let squared = i128::from(kept) * i128::from(kept);
        let length = i128::from(self.instance.stocks[stock].length) * i128::from(self.longest);
        let weight = i128::from(self.weight);
        if self.on_rack[stock] {
            return [self.worth[stock], -weight * squared, 0, -squared];
        }
        [0, (100 - weight) * length - weight * squared, 1, -squared]
    }

    fn total(&self, loads: &[Load]) -> Score {
        loads.iter().fold([0; 4], |sum, load| {
            plus(sum, self.score(load.stock, &load.counts))
        })
    }
}

fn plus(one: Score, other: Score) -> Score {
    std::array::from_fn(|nth| one[nth] + other[nth])
}

/// A plan that cuts the same parts for the same cost and leaves the wood no worse, with what is known of it.
///
/// `solution` must be one of `instance`, which is a component of what `job` is lowered to, with its own `origins`.
/// What stays on the rack as it lies stays so; where anything may, nothing is claimed, as no other choice of it is tried.
fn gather(
    job: &Job,
    instance: &Instance,
    origins: &Origins,
    mut solution: Solution,
) -> (Solution, Gathered) {
    let boards = solution.boards.into_iter();
    let (kept, cut) = boards.partition(|board| origins.is_kept(board));
    solution.boards = cut;
    let (mut solution, gathered) = gather_cut(job, instance, origins, solution, &kept);
    let may_keep = origins.kept.iter().flatten().any(|&is_kept| is_kept);
    let gathered = if may_keep {
        Gathered::Unproved
    } else {
        gathered
    };
    solution.boards.extend(kept);
    (solution, gathered)
}

/// The same for the boards that are cut, beside those that are kept.
fn gather_cut(
    job: &Job,
    instance: &Instance,
    origins: &Origins,
    mut solution: Solution,
    kept: &[BoardUse],
) -> (Solution, Gathered) {
    if any_parted(job, origins) {
        // Boards change their kind below, where each is one clear run.
        solution.boards = strips::search(job, instance, origins, &solution.boards);
        return (solution, Gathered::Unproved);
    }
    let wood = Wood::new(job, instance, origins);
    let is_plain = |board: &BoardUse| board.patterns.len() == 1;
    let (plain, ripped): (Vec<BoardUse>, Vec<BoardUse>) =
        solution.boards.iter().cloned().partition(is_plain);
    let is_simple = instance
        .stocks
        .iter()
        .flat_map(|stock| &stock.layouts)
        .all(|layout| layout.strips.len() == 1);
    let is_whole = solution.missing.iter().all(|&count| count == 0);
    let is_cheapest = solution.bound.cost == solution.cost;
    let mut gathered = if is_simple && is_whole && is_cheapest {
        Gathered::Best
    } else {
        Gathered::Unproved
    };
    let mut supply: Vec<Option<u32>> = instance.stocks.iter().map(|stock| stock.supply).collect();
    for board in ripped.iter().chain(kept) {
        supply[board.stock] = supply[board.stock].map(|left| left.saturating_sub(board.times));
    }
    let mut boards = strips::search(job, instance, origins, &ripped);
    let stocks: Vec<usize> = (0..instance.stocks.len()).collect();
    let loads = one_by_one(&plain);
    let bettered = all::search(&wood, &loads, &stocks, &supply).unwrap_or_else(|| {
        gathered = Gathered::Unproved;
        exchange::search(&wood, loads, &stocks, &supply)
    });
    boards.extend(bettered.into_iter().map(Load::into_board));
    solution.boards = boards;
    (solution, gathered)
}

/// Whether any board may give a strip of several runs, or several sticks.
fn any_parted(job: &Job, origins: &Origins) -> bool {
    let mut boards = job.boards.iter();
    let mut partings = origins.partings.iter().flatten();
    boards.any(|board| !board.defects.is_empty() || board.at_yard.is_some())
        || partings.any(|parting| parting.slices.is_some())
}

/// Boards of a single strip, one by one.
fn one_by_one(boards: &[BoardUse]) -> Vec<Load> {
    let loads = boards.iter().flat_map(|board| {
        let load = Load {
            stock: board.stock,
            layout: board.layout,
            counts: board.patterns[0].counts.clone(),
        };
        let times = usize::try_from(board.times).expect("a count of boards fits memory");
        std::iter::repeat_n(load, times)
    });
    loads.collect()
}

/// Cost of some boards.
fn cost_of(instance: &Instance, loads: &[Load]) -> i128 {
    loads
        .iter()
        .map(|load| i128::from(instance.stocks[load.stock].cost))
        .sum()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests;

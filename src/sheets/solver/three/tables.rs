//! The knapsacks of patterns in three stages: the best stacks of every width, strips of them, and strips side by side.

use crate::sheets::solver::model::Lane;
use crate::sheets::solver::places::sums;
use crate::solve::meter::Meter;

use super::params::{MOST_WIDTHS, ROW_WORK, TABLE_WORK};

/// A stack: the lays of its pieces in the lane.
pub(super) type Stack = Vec<usize>;

/// The best strips of a lane, for every width that a stack of pieces can have, at some prices.
#[derive(Debug)]
pub(super) struct StripTable {
    stacks: StackTable,
    /// Sums of the lengths of pieces up to that of the lane.
    places: Vec<i64>,
    /// By place and by width: what the best stacks before it are worth. Kept for the way back.
    best: Vec<Vec<i64>>,
}

/// The best stacks, by the length of the longest piece and by width.
#[derive(Debug)]
struct StackTable {
    /// Those of the lane that are of use, by rising length.
    lays: Vec<usize>,
    /// Sums of sizes across, rising from 0.
    widths: Vec<i64>,
    /// By lay, and by width: how many of it the best stack of it and those before it has.
    counts: Vec<Vec<u16>>,
    /// By lay, and by width: the way back by one piece.
    backs: Vec<Vec<u32>>,
    /// `(length, how many lays are no longer, what the best stack of these is worth by width)`, by rising length.
    lengths: Vec<(i64, usize, Vec<i64>)>,
}

/// No width lies so far back.
const NOWHERE: u32 = u32::MAX;

impl StackTable {
    /// Fills the table for widths up to `room`, of each item and each way it lies no more than `demand` in a stack; `None` where the
    /// widths are too many.
    fn new(
        lane: &Lane,
        (prices, demand): (&[i64], &[u32]),
        (length, room): (i64, i64),
        meter: &Meter<'_>,
    ) -> Option<StackTable> {
        let is_of_use = |&idx: &usize| {
            let lay = &lane.lays[idx];
            demand[lay.item] > 0
                && prices[lay.item] > 0
                && lay.across <= room
                && lay.along <= length
        };
        let mut lays: Vec<usize> = (0..lane.lays.len()).filter(is_of_use).collect();
        lays.sort_by_key(|&idx| (lane.lays[idx].along, lane.lays[idx].across, idx));
        let sizes = lays.iter().map(|&idx| &lane.lays[idx]);
        let sizes: Vec<(i64, u32)> = sizes.map(|lay| (lay.across, demand[lay.item])).collect();
        let widths = sums(&sizes, room).filter(|widths| widths.len() <= MOST_WIDTHS)?;
        meter.spend(TABLE_WORK);
        let mut table = StackTable {
            lays,
            counts: Vec::new(),
            backs: Vec::new(),
            lengths: Vec::new(),
            widths,
        };
        let mut best = vec![0_i64; table.widths.len()];
        for nth in 0..table.lays.len() {
            let lay = &lane.lays[table.lays[nth]];
            let most = i64::from(demand[lay.item]).min(room / lay.across);
            let most = u16::try_from(most).unwrap_or(u16::MAX);
            let back = backs(&table.widths, lay.across);
            let counts = add_lay(&mut best, &back, prices[lay.item], most);
            meter.spend((usize::from(most) + 1) as u64 * (best.len() + ROW_WORK) as u64);
            table.counts.push(counts);
            table.backs.push(back);
            let is_last = table
                .lays
                .get(nth + 1)
                .is_none_or(|&next| lane.lays[next].along > lay.along);
            // A longer stack that is worth no more is of no use.
            let is_better = table.lengths.last().is_none_or(|last| last.2 != best);
            if is_last && is_better {
                table.lengths.push((lay.along, nth + 1, best.clone()));
            }
        }
        Some(table)
    }

    /// The best stack of some length within a width.
    fn stack(&self, length: usize, width: usize) -> Stack {
        let mut stack = Vec::new();
        let mut at = width;
        for nth in (0..self.lengths[length].1).rev() {
            for _ in 0..self.counts[nth][at] {
                stack.push(self.lays[nth]);
                at = self.backs[nth][at] as usize;
            }
        }
        stack
    }
}

/// The last width that leaves room for a size before each.
fn backs(widths: &[i64], size: i64) -> Vec<u32> {
    let mut before = 0;
    let of_width = |&width: &i64| {
        if width < size {
            return NOWHERE;
        }
        while before + 1 < widths.len() && widths[before + 1] <= width - size {
            before += 1;
        }
        u32::try_from(before).expect("far fewer widths")
    };
    widths.iter().map(of_width).collect()
}

/// Improves the best stacks by up to `most` pieces worth `price` each; tells how many each has of it.
fn add_lay(best: &mut [i64], back: &[u32], price: i64, most: u16) -> Vec<u16> {
    let before = best.to_vec();
    let mut counts = vec![0; best.len()];
    for (width, (best, count)) in best.iter_mut().zip(&mut counts).enumerate() {
        let mut from = width;
        let mut worth = 0;
        for taken in 1..=most {
            if back[from] == NOWHERE {
                break;
            }
            from = back[from] as usize;
            worth += price;
            if before[from] + worth > *best {
                *best = before[from] + worth;
                *count = taken;
            }
        }
    }
    counts
}

impl StripTable {
    /// Fills the tables for strips no wider than `room`, nor than the cutter can cut across, of each item and each way it lies no more than `demand` in a stack;
    /// `None` where sums are too many.
    pub(super) fn new(
        lane: &Lane,
        prices: &[i64],
        demand: &[u32],
        room: i64,
        meter: &Meter<'_>,
    ) -> Option<StripTable> {
        let room = room.min(lane.widest);
        let stacks = StackTable::new(lane, (prices, demand), (lane.length, room), meter)?;
        let sizes = stacks
            .lays
            .iter()
            .map(|&lay| (lane.lays[lay].along, u32::MAX));
        let places = sums(&sizes.collect::<Vec<_>>(), lane.length)
            .filter(|places| places.len() <= MOST_WIDTHS)?;
        let mut best: Vec<Vec<i64>> = Vec::with_capacity(places.len());
        best.push(vec![0; stacks.widths.len()]);
        let mut behind = vec![0; stacks.lengths.len()];
        for place in 1..places.len() {
            let mut own = best[place - 1].clone();
            for ((length, _, values), from) in stacks.lengths.iter().zip(&mut behind) {
                let Some(most) = places[place].checked_sub(*length).filter(|&most| most >= 0)
                else {
                    break;
                };
                while *from + 1 < places.len() && places[*from + 1] <= most {
                    *from += 1;
                }
                for ((own, before), value) in own.iter_mut().zip(&best[*from]).zip(values) {
                    *own = (*own).max(before + value);
                }
            }
            meter.spend(((own.len() + ROW_WORK) * (stacks.lengths.len() + 1)) as u64);
            best.push(own);
        }
        Some(StripTable {
            stacks,
            places,
            best,
        })
    }

    /// What the best strip of each width is worth.
    fn values(&self) -> &[i64] {
        self.best.last().expect("one place at least")
    }

    /// The best strips side by side within a room: their worth, and the width of each as an index, those worth most for their
    /// width first; `None` where sums are too many.
    pub(super) fn side_by_side(&self, room: i64, meter: &Meter<'_>) -> Option<(i64, Vec<usize>)> {
        let widths = &self.stacks.widths;
        let values = self.values();
        let mut worthy: Vec<usize> = Vec::new();
        for width in (1..widths.len()).take_while(|&width| widths[width] <= room) {
            if values[width] > values[width - 1] {
                worthy.push(width);
            }
        }
        // Rooms that matter: sums of the widths of strips.
        let sizes: Vec<(i64, u32)> = worthy.iter().map(|&idx| (widths[idx], u32::MAX)).collect();
        let rooms = sums(&sizes, room)?;
        meter.spend((rooms.len() * (worthy.len() + 1)) as u64);
        let mut best = vec![0_i64; rooms.len()];
        let mut last = vec![0_usize; rooms.len()];
        let mut behind = vec![0_usize; worthy.len()];
        for at in 1..rooms.len() {
            best[at] = best[at - 1];
            for (&width, from) in worthy.iter().zip(&mut behind) {
                let most = rooms[at] - widths[width];
                if most < 0 {
                    break;
                }
                while *from + 1 < rooms.len() && rooms[*from + 1] <= most {
                    *from += 1;
                }
                if best[*from] + values[width] > best[at] {
                    best[at] = best[*from] + values[width];
                    last[at] = width;
                }
            }
        }
        let mut strips = Vec::new();
        let mut at = rooms.len() - 1;
        let worth = best[at];
        while at > 0 {
            if last[at] == 0 {
                at -= 1;
            } else {
                strips.push(last[at]);
                let rest = rooms[at] - widths[last[at]];
                at = rooms.partition_point(|&room| room <= rest) - 1;
            }
        }
        let dense = |width: usize| {
            let worth = i128::from(values[width]) << 40;
            std::cmp::Reverse(worth / i128::from(widths[width]))
        };
        strips.sort_by_key(|&width| (dense(width), width));
        Some((worth, strips))
    }

    /// The stacks of the best strip of a width.
    pub(super) fn strip(&self, width: usize) -> Vec<Stack> {
        let mut strip = Vec::new();
        let mut place = self.places.len() - 1;
        while place > 0 {
            let value = self.best[place][width];
            if value == self.best[place - 1][width] {
                place -= 1;
                continue;
            }
            let found = (0..self.stacks.lengths.len()).find_map(|length| {
                let (long, _, values) = &self.stacks.lengths[length];
                let rest = self.places[place] - long;
                let from = self
                    .places
                    .partition_point(|&place| place <= rest)
                    .checked_sub(1)?;
                (self.best[from][width] + values[width] == value).then_some((length, from))
            });
            let (length, from) = found.expect("some stack made it better");
            strip.push(self.stacks.stack(length, width));
            place = from;
        }
        strip.retain(|stack| !stack.is_empty());
        strip
    }

    /// The width of an index.
    pub(super) fn width(&self, width: usize) -> i64 {
        self.stacks.widths[width]
    }
}

/// The best stack of a strip of some width and length worth most for its length, of each item no more than `demand`.
///
/// It is one of the best strip's, so that what follows it can be good too.
pub(super) fn best_stack(
    lane: &Lane,
    (prices, demand): (&[i64], &[u32]),
    (length, width): (i64, i64),
    meter: &Meter<'_>,
) -> Option<Stack> {
    let stacks = StackTable::new(lane, (prices, demand), (length, width), meter)?;
    if stacks.lengths.is_empty() {
        return None;
    }
    let last = stacks.widths.len() - 1;
    let sizes = stacks.lengths.iter().map(|&(long, ..)| (long, u32::MAX));
    let places = sums(&sizes.collect::<Vec<_>>(), length)?;
    let mut best = vec![0_i64; places.len()];
    let mut taken = vec![usize::MAX; places.len()];
    meter.spend((places.len() * (stacks.lengths.len() + 1)) as u64);
    for place in 1..places.len() {
        best[place] = best[place - 1];
        for (idx, (long, _, values)) in stacks.lengths.iter().enumerate() {
            let rest = places[place] - long;
            if rest < 0 {
                break;
            }
            let from = places.partition_point(|&place| place <= rest) - 1;
            if best[from] + values[last] > best[place] {
                best[place] = best[from] + values[last];
                taken[place] = idx;
            }
        }
    }
    let mut place = places.len() - 1;
    let mut used = Vec::new();
    while place > 0 {
        if taken[place] == usize::MAX {
            place -= 1;
        } else {
            used.push(taken[place]);
            let rest = places[place] - stacks.lengths[taken[place]].0;
            place = places.partition_point(|&place| place <= rest) - 1;
        }
    }
    let dense = |idx: &usize| {
        let (long, _, values) = &stacks.lengths[*idx];
        (i128::from(values[last]) << 40) / i128::from(*long)
    };
    let first = used.into_iter().max_by_key(dense)?;
    Some(stacks.stack(first, last))
}

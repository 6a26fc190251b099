//! Boards filled by chance within a budget of reduced costs.
//!
//! A pattern loses what its board is worth less what its pieces are.
//! All losses of a plan add up to the budget, so one that loses more than its share leaves less for the others: losses
//! tell what is spared where waste does not, as the least waste of a board depends on how many kerfs it has.

#![expect(
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    reason = "values only steer the choice of patterns; plans are checked in integers"
)]

use super::super::super::draw::Draw;
use super::super::super::meter::Meter;
use super::super::super::params::{
    FILL_LAST, FILL_LOSS, FILL_TRIES, FILL_WITH_LARGEST, LISTED_BELOW, LISTED_PATTERNS,
    MOST_LISTED_PIECES, SEARCH_STEPS, STEPS_PER_PATTERN,
};

/// Boards that are alike.
pub(super) struct Sort {
    /// What one holds, in nanometers.
    pub(super) capacity: i64,
    /// How many there are.
    pub(super) number: u32,
    /// What one is worth, in units of the dearest.
    pub(super) price: f64,
    /// Which items may lie on it.
    pub(super) fits: Vec<bool>,
}

/// A pattern and what it loses.
#[derive(Clone)]
pub(super) struct Filled {
    pub(super) loss: f64,
    /// Items, repeated.
    pub(super) items: Vec<usize>,
}

/// Boards, and what is to be cut from them.
pub(super) struct Boards<'m> {
    /// Sizes in nanometers, falling.
    pub(super) sizes: Vec<i64>,
    /// What one of each item is worth.
    pub(super) values: Vec<f64>,
    pub(super) sorts: Vec<Sort>,
    /// The most that a nanometer of any item is worth.
    density: f64,
    draw: Draw,
    pub(super) meter: &'m Meter<'m>,
    /// Nodes of the search for the last boards, in one attempt.
    pub(super) n_nodes: u32,
}

impl<'m> Boards<'m> {
    pub(super) fn new(
        sizes: Vec<i64>,
        values: Vec<f64>,
        sorts: Vec<Sort>,
        draw: Draw,
        meter: &'m Meter<'m>,
    ) -> Boards<'m> {
        let density = values.iter().zip(&sizes);
        let density = density
            .map(|(&value, &size)| value / size as f64)
            .fold(0.0, f64::max);
        Boards {
            sizes,
            values,
            sorts,
            density,
            draw,
            meter,
            n_nodes: 0,
        }
    }

    /// What all boards are worth less what is wanted of each item.
    pub(super) fn budget(&self, demand: &[u32]) -> f64 {
        let boards = self.sorts.iter();
        let boards: f64 = boards.map(|sort| sort.price * f64::from(sort.number)).sum();
        let items = self.values.iter().zip(demand);
        boards
            - items
                .map(|(value, &count)| value * f64::from(count))
                .sum::<f64>()
    }

    /// Fills all boards, the shortest first; each pattern with the index of its sort.
    pub(super) fn attempt(
        &mut self,
        demand: &[u32],
        budget: f64,
    ) -> Option<Vec<(usize, Vec<usize>)>> {
        // An attempt that fails at once counts, too.
        self.meter.spend(SEARCH_STEPS * self.sizes.len() as u64);
        let mut wanted = demand.to_vec();
        let mut budget = budget;
        let mut left: Vec<u32> = self.sorts.iter().map(|sort| sort.number).collect();
        let mut n_left: u32 = left.iter().sum();
        let mut filled = Vec::new();
        let mut order: Vec<usize> = (0..self.sorts.len()).collect();
        order.sort_by_key(|&sort| self.sorts[sort].capacity);
        'boards: for at in order {
            while left[at] > 0 {
                if n_left <= FILL_LAST {
                    break 'boards;
                }
                if self.meter.halted() {
                    return None;
                }
                let pattern = self.next(at, &mut wanted, budget, n_left)?;
                if pattern.loss > budget {
                    return None;
                }
                budget -= pattern.loss;
                for &item in &pattern.items {
                    wanted[item] -= 1;
                }
                left[at] -= 1;
                n_left -= 1;
                filled.push((at, pattern.items));
            }
        }
        self.n_nodes = 0;
        self.last(&mut left, budget, &mut wanted, &mut filled)
            .then_some(filled)
    }

    /// A pattern for a board; an empty one where nothing fits.
    fn next(&mut self, at: usize, wanted: &mut [u32], budget: f64, n_left: u32) -> Option<Filled> {
        let Sort {
            capacity, price, ..
        } = self.sorts[at];
        let Some(largest) = self.largest(at, wanted) else {
            return Some(Filled {
                loss: price,
                items: Vec::new(),
            });
        };
        let longest = self.sorts.iter().map(|sort| sort.capacity).max();
        if longest.is_some_and(|longest| capacity * LISTED_BELOW < longest) {
            let mut patterns = self.patterns(at, None, wanted, budget, LISTED_PATTERNS);
            if patterns.is_empty() {
                return None;
            }
            let mut pick = 0;
            while pick + 1 < patterns.len() && self.draw.below(4) == 0 {
                pick += 1;
            }
            return Some(patterns.swap_remove(pick));
        }
        let forced = self.draw.below(100) < FILL_WITH_LARGEST;
        let share = FILL_LOSS * budget / f64::from(n_left);
        self.drawn(at, forced.then_some(largest), share, wanted)
    }

    /// The largest item wanted that a board holds.
    pub(super) fn largest(&self, at: usize, wanted: &[u32]) -> Option<usize> {
        let Sort {
            capacity, ref fits, ..
        } = self.sorts[at];
        (0..wanted.len())
            .find(|&item| wanted[item] > 0 && fits[item] && self.sizes[item] <= capacity)
    }

    /// A pattern drawn for a board that loses at most `most`, or the one of all tries that loses least.
    ///
    /// Items are drawn by what is left of them, until one or two finish the board; those are the best ones.
    fn drawn(
        &mut self,
        at: usize,
        first: Option<usize>,
        most: f64,
        wanted: &[u32],
    ) -> Option<Filled> {
        let Sort {
            capacity, price, ..
        } = self.sorts[at];
        let fits = &self.sorts[at].fits;
        let wanted = wanted.iter().zip(fits);
        let mut wanted: Vec<u32> = wanted
            .map(|(&count, &fits)| if fits { count } else { 0 })
            .collect();
        let mut begun = Filled {
            loss: price,
            items: Vec::new(),
        };
        let mut room = capacity;
        if let Some(first) = first {
            wanted[first] -= 1;
            room -= self.sizes[first];
            begun.loss -= self.values[first];
            begun.items.push(first);
        }
        let mut bag: Vec<usize> = Vec::new();
        for (item, &count) in wanted.iter().enumerate() {
            // More of one than a board holds change little of what is drawn.
            let most = usize::try_from(room / self.sizes[item].max(1)).unwrap_or(usize::MAX);
            bag.extend(std::iter::repeat_n(item, most.min(count as usize)));
        }
        let largest = bag.first().map_or(0, |&item| self.sizes[item]);
        let mut best: Option<Filled> = None;
        let (mut left, mut best_from) = (Vec::new(), Vec::new());
        let mut pattern = Filled {
            loss: 0.0,
            items: Vec::new(),
        };
        for _ in 0..FILL_TRIES {
            left.clone_from(&wanted);
            pattern.loss = begun.loss;
            pattern.items.clone_from(&begun.items);
            let mut room = room;
            // Two of the largest finish the board.
            let mut n_draws = 0;
            while !bag.is_empty() && room > 2 * largest && n_draws < bag.len() {
                n_draws += 1;
                self.draw_one(&bag, &mut left, &mut room, &mut pattern);
            }
            if !bag.is_empty() && room > largest && self.draw.below(2) == 0 {
                for _ in 0..4 {
                    if self.draw_one(&bag, &mut left, &mut room, &mut pattern) {
                        break;
                    }
                }
            }
            self.finish(room, &left, &mut pattern, &mut best_from);
            self.meter
                .spend(SEARCH_STEPS * (2 * self.sizes.len() as u64 + n_draws as u64));
            let is_better = best.as_ref().is_none_or(|best| pattern.loss < best.loss);
            if !pattern.items.is_empty() && is_better {
                let is_good = pattern.loss <= most;
                best = Some(pattern.clone());
                if is_good {
                    break;
                }
            }
        }
        best
    }

    /// Draws one item; tells whether it went in.
    fn draw_one(
        &mut self,
        bag: &[usize],
        left: &mut [u32],
        room: &mut i64,
        pattern: &mut Filled,
    ) -> bool {
        let item = bag[self.draw.below(bag.len())];
        let goes_in = left[item] > 0 && self.sizes[item] <= *room;
        if goes_in {
            left[item] -= 1;
            *room -= self.sizes[item];
            pattern.loss -= self.values[item];
            pattern.items.push(item);
        }
        goes_in
    }

    /// What is lost less when a board is finished as well as one or two items can.
    #[cfg(test)]
    pub(super) fn finished(&self, room: i64, left: &[u32]) -> f64 {
        let mut pattern = Filled {
            loss: 0.0,
            items: Vec::new(),
        };
        self.finish(room, left, &mut pattern, &mut Vec::new());
        pattern.loss
    }

    /// Adds the one or two items that are worth most in the room left; `best_from` is space to work in.
    fn finish(
        &self,
        room: i64,
        left: &[u32],
        pattern: &mut Filled,
        best_from: &mut Vec<Option<usize>>,
    ) {
        let n = self.sizes.len();
        let value = |item: usize| self.values[item];
        let start = self.sizes.partition_point(|&size| size > room);
        // The item worth most of those from `start` and an index on, which are no larger.
        best_from.clear();
        best_from.resize(n - start + 1, None);
        let mut known: Option<usize> = None;
        for item in (start..n).rev() {
            let is_best = known.is_none_or(|known| value(item) > value(known));
            if left[item] > 0 && is_best {
                known = Some(item);
            }
            best_from[item - start] = known;
        }
        let mut best = (0.0, None, None);
        // The first item that goes in beside one; the smaller the one, the larger it may be.
        let mut rest = n;
        for item in (start..n).filter(|&item| left[item] > 0) {
            while rest > start && self.sizes[rest - 1] <= room - self.sizes[item] {
                rest -= 1;
            }
            let beside = best_from[rest - start];
            // The last of its kind is not there a second time.
            let beside = if beside == Some(item) && left[item] < 2 {
                (rest..n)
                    .filter(|&other| other != item && left[other] > 0)
                    .reduce(|one, other| {
                        if value(other) > value(one) {
                            other
                        } else {
                            one
                        }
                    })
            } else {
                beside
            };
            let sum = value(item) + beside.map_or(0.0, value);
            if sum > best.0 {
                best = (sum, Some(item), beside);
            }
        }
        pattern.loss -= best.0;
        pattern.items.extend(best.1);
        pattern.items.extend(best.2);
    }

    /// Patterns for a board that lose at most `most`, the least loss first, no more than `limit`; all with `first`.
    pub(super) fn patterns(
        &self,
        at: usize,
        first: Option<usize>,
        wanted: &mut [u32],
        most: f64,
        limit: usize,
    ) -> Vec<Filled> {
        let Sort {
            capacity, price, ..
        } = self.sorts[at];
        let mut listing = Listing {
            boards: self,
            fits: &self.sorts[at].fits,
            most,
            limit,
            items: Vec::new(),
            patterns: Vec::new(),
            n_steps: 0,
        };
        match first {
            Some(first) => listing.with(first, capacity, price, wanted),
            None => listing.from(0, capacity, price, wanted),
        }
        let Listing {
            mut patterns,
            n_steps,
            ..
        } = listing;
        self.meter.spend(2 * SEARCH_STEPS * n_steps);
        patterns.sort_by(|one, other| one.loss.total_cmp(&other.loss));
        patterns
    }
}

/// A listing of patterns, depth first.
struct Listing<'a, 'm> {
    boards: &'a Boards<'m>,
    fits: &'a [bool],
    most: f64,
    limit: usize,
    items: Vec<usize>,
    patterns: Vec<Filled>,
    n_steps: u64,
}

impl Listing<'_, '_> {
    /// All patterns that go on with items from `item` on.
    fn from(&mut self, item: usize, room: i64, loss: f64, wanted: &mut [u32]) {
        self.n_steps += 1;
        let is_over = self.patterns.len() >= self.limit
            || self.n_steps > STEPS_PER_PATTERN * self.limit as u64
            || self.items.len() > MOST_LISTED_PIECES;
        if is_over || loss - self.boards.density * room as f64 > self.most {
            return;
        }
        for item in item..wanted.len() {
            if wanted[item] > 0 && self.fits[item] {
                self.with(item, room, loss, wanted);
            }
        }
        if loss <= self.most {
            self.patterns.push(Filled {
                loss,
                items: self.items.clone(),
            });
        }
    }

    /// All patterns that go on with `item` and items behind it.
    fn with(&mut self, item: usize, room: i64, loss: f64, wanted: &mut [u32]) {
        let size = self.boards.sizes[item];
        if size > room {
            return;
        }
        wanted[item] -= 1;
        self.items.push(item);
        self.from(item, room - size, loss - self.boards.values[item], wanted);
        self.items.pop();
        wanted[item] += 1;
    }
}

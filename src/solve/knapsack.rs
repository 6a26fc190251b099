//! Exact integer knapsacks over nanometers: the best pattern for given duals, and all patterns above a value.
//!
//! No table runs over nanometers.
//! Each item gets a whole number of cells `a_i`, and `ratio >= max a_i / s_i`, so that a pattern within a length `r`
//! takes at most `floor(r * ratio)` cells: a table over cells bounds every pattern from above.
//! A depth-first search over items then finds the best pattern in nanometers, cutting off by the table; where sizes
//! share a grid the table is exact and the search walks straight to the answer.
//!
//! # Source
//! P. C. Gilmore, R. E. Gomory, A linear programming approach to the cutting stock problem, part II, Operations
//! Research 11 (1963), doi 10.1287/opre.11.6.863; S. Martello, P. Toth, Knapsack Problems, Wiley 1990, section 2.

mod grid;
mod search;
mod table;

use std::cell::Cell;

use super::meter::Meter;
use super::params::{FINEST_LEVEL, SEARCH_STEPS};
use super::problem::{Problem, longest_strips};
use grid::Grid;
use search::PatternSearch;
use table::{add_layer, count_profit};

/// Worth of what no pattern may be: with all that a pattern is worth it stays below zero.
const NEVER: i32 = -(1 << 30);

/// Which patterns a table is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fill {
    /// Those that fit.
    Fitting,
    /// Those that take every cell.
    Whole,
}

/// Items that may not share a pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Clash {
    /// One item, by its index in the problem.
    pub(super) first: usize,
    /// The other; the same item means that a pattern holds at most one of it.
    pub(super) second: usize,
}

/// One item in the table.
#[derive(Clone, Copy, Debug)]
struct Layer {
    item: usize,
    size: i64,
    cells: usize,
    profit: i32,
    most: u32,
}

/// Knapsacks over one set of items, solved again and again for new profits.
#[derive(Debug)]
pub(super) struct Knapsack {
    grid: Grid,
    sizes: Vec<i64>,
    longest: i64,
    level: u32,
    /// Whether a search was cut short since the last look.
    overrun: Cell<bool>,
    layers: Vec<Layer>,
    /// `table[j * width + c]` is the most that layers `j..` yield in `c` cells.
    table: Vec<i32>,
    width: usize,
    /// What clashes with each item; empty where nothing clashes.
    clashes: Vec<Vec<usize>>,
}

/// What a search for one capacity gave.
#[derive(Clone, Debug, Default)]
pub(super) struct FoundPattern {
    /// The best value found.
    pub(super) value: i32,
    /// `(item, count)` by rising item, counts positive.
    pub(super) counts: Vec<(usize, u32)>,
}

impl Knapsack {
    /// Prepares knapsacks over items of the given sizes, for capacities up to `longest`.
    fn new(sizes: &[i64], longest: i64) -> Knapsack {
        Knapsack {
            grid: Grid::choose(sizes, longest, 0),
            sizes: sizes.to_vec(),
            longest,
            level: 0,
            overrun: Cell::new(false),
            layers: Vec::new(),
            table: Vec::new(),
            width: 0,
            clashes: Vec::new(),
        }
    }

    /// A knapsack for the items of each group of `problem`, up to the longest strip of the group.
    pub(super) fn by_group(problem: &Problem) -> Vec<Knapsack> {
        let longest = longest_strips(&problem.strips, problem.groups.len());
        let groups = problem.groups.iter().zip(longest);
        groups
            .map(|(group, longest)| {
                let sizes: Vec<i64> = group.iter().map(|&item| problem.sizes[item]).collect();
                Knapsack::new(&sizes, longest)
            })
            .collect()
    }

    /// Takes a finer grid if a search was cut short since the last call; tells whether it did.
    pub(super) fn refine(&mut self) -> bool {
        let wanted = self.overrun.replace(false) && self.level < FINEST_LEVEL;
        if wanted {
            self.level += 1;
            self.grid = Grid::choose(&self.sizes, self.longest, self.level);
        }
        wanted
    }

    /// Whether all sizes are whole cells, so that cells tell as much as lengths.
    pub(super) fn is_exact(&self) -> bool {
        self.grid.is_exact()
    }

    /// The cells of an item.
    pub(super) fn cells_of(&self, size: i64) -> usize {
        self.grid.cells_of(size)
    }

    /// How many cells a run of `length` can take.
    pub(super) fn cells(&self, length: i64) -> usize {
        self.grid.cells_within(length)
    }

    /// The largest total of cells times value per cell: no pattern is worth more.
    ///
    /// Prices must be scaled so that this stays below `i32::MAX`.
    pub(super) fn worth_limit(&self, items: &[(usize, i64, i64)]) -> i64 {
        let cells = i64::try_from(self.cells(self.longest)).unwrap_or(i64::MAX);
        items
            .iter()
            .map(|&(_, size, profit)| {
                let own = i64::try_from(self.grid.cells_of(size))
                    .unwrap_or(i64::MAX)
                    .max(1);
                profit.saturating_mul(cells / own + 1)
            })
            .max()
            .unwrap_or(0)
    }

    /// The most that an item of such a size may yield for its worths to stay below `limit`, in the sense of
    /// [`Knapsack::worth_limit`].
    pub(super) fn most_profit(&self, size: i64, limit: i64) -> i64 {
        let cells = i64::try_from(self.cells(self.longest)).unwrap_or(i64::MAX);
        let own = i64::try_from(self.grid.cells_of(size)).unwrap_or(i64::MAX);
        (limit - 1) / (cells / own.max(1) + 1)
    }

    /// Fills the table for items `(item, size, profit, most)`.
    ///
    /// Items of no profit are left out of all patterns, but of whole ones, where they take room that must be taken.
    pub(super) fn fill(
        &mut self,
        items: impl Iterator<Item = (usize, i64, i32, u32)>,
        fill: Fill,
        meter: &Meter<'_>,
    ) {
        let longest = self.longest;
        self.layers.clear();
        for (item, size, profit, most) in items {
            if (profit > 0 || fill == Fill::Whole) && most > 0 && size <= longest {
                let cells = self.grid.cells_of(size);
                let fits = u32::try_from(longest / size).unwrap_or(u32::MAX);
                self.layers.push(Layer {
                    item,
                    size,
                    cells,
                    profit,
                    most: most.min(fits),
                });
            }
        }
        self.layers
            .sort_by_key(|layer| (std::cmp::Reverse(layer.size), layer.item));
        self.width = self.cells(longest) + 1;
        let n_layers = self.layers.len();
        let needed = (n_layers + 1) * self.width;
        if self.table.len() < needed {
            self.table.resize(needed, 0);
        }
        let last = &mut self.table[n_layers * self.width..needed];
        last.fill(match fill {
            Fill::Fitting => 0,
            Fill::Whole => NEVER,
        });
        last[0] = 0;
        let mut steps = 0u64;
        for idx in (0..n_layers).rev() {
            let layer = self.layers[idx];
            let (upper, lower) = self.table.split_at_mut((idx + 1) * self.width);
            let row = &mut upper[idx * self.width..];
            let below = &lower[..self.width];
            steps += add_layer(row, below, layer);
        }
        meter.spend(steps / 4 + n_layers as u64);
        self.clashes.clear();
    }

    /// In a table of whole patterns: the most that those of each number of cells are worth, clashes or not; less than 0
    /// where there are none.
    pub(super) fn by_cells(&self) -> &[i32] {
        &self.table[..self.width]
    }

    /// Sets the pairs that patterns must not hold together; to be called after [`Knapsack::fill`].
    pub(super) fn set_clashes(&mut self, clashes: &[Clash], n_items: usize) {
        self.clashes.clear();
        if !clashes.is_empty() {
            self.clashes.resize(n_items, Vec::new());
            for clash in clashes {
                self.clashes[clash.first].push(clash.second);
                if clash.first != clash.second {
                    self.clashes[clash.second].push(clash.first);
                }
            }
        }
    }

    /// No pattern within `capacity` is worth more than this.
    pub(super) fn bound(&self, capacity: i64) -> i32 {
        if self.width == 0 {
            return 0;
        }
        self.table[self.cells(capacity).min(self.width - 1)]
    }

    /// For each layer, a bound on patterns whose largest item is that layer's, as `(bound, layer)`.
    pub(super) fn leads(&self, capacity: i64, above: i32, leads: &mut Vec<(i32, usize)>) {
        leads.clear();
        let cells = self.cells(capacity).min(self.width.saturating_sub(1));
        for (idx, layer) in self.layers.iter().enumerate() {
            if layer.size > capacity || self.table[idx * self.width + cells] <= above {
                continue;
            }
            let mut best = 0;
            for count in 1..=layer.most {
                let taken = count as usize * layer.cells;
                if taken > cells || i64::from(count) * layer.size > capacity {
                    break;
                }
                let rest = self.table[(idx + 1) * self.width + cells - taken];
                best = best.max(count_profit(layer.profit, count) + rest);
            }
            if best > above {
                leads.push((best, idx));
            }
        }
        leads.sort_by_key(|&(bound, idx)| (std::cmp::Reverse(bound), idx));
    }

    /// The best pattern worth more than `above` within `capacity`, if there is one.
    ///
    /// With `lead`, only patterns whose largest item is that layer's count; `forbidden` patterns never.
    /// The second value tells whether the search was cut short, so that a better pattern may exist.
    pub(super) fn best(
        &self,
        capacity: i64,
        above: i32,
        lead: Option<usize>,
        forbidden: &[&[(usize, u32)]],
        meter: &Meter<'_>,
    ) -> (Option<FoundPattern>, bool) {
        let mut search = PatternSearch::new(self, above, forbidden);
        match lead {
            None => search.descend(0, capacity, 0),
            Some(idx) => search.options(idx, capacity, 0, 1),
        }
        let (nodes, cut_short) = (search.nodes, search.cut_short);
        if cut_short {
            self.overrun.set(true);
        }
        let found = search.found.take();
        meter.spend(u64::from(nodes) * SEARCH_STEPS);
        let found = found.map(|(value, counts)| FoundPattern {
            value,
            counts: self.spelled_out(&counts),
        });
        (found, cut_short)
    }

    fn spelled_out(&self, counts: &[u32]) -> Vec<(usize, u32)> {
        let mut spelled: Vec<(usize, u32)> = counts
            .iter()
            .zip(&self.layers)
            .filter(|(count, _)| **count > 0)
            .map(|(&count, layer)| (layer.item, count))
            .collect();
        spelled.sort_unstable();
        spelled
    }
}

//! The parts of an instance that share no board, each as an instance of its own.

use std::collections::BTreeMap;

use crate::bridge::Origins;
use crate::cutting::{BoardUse, End, Instance, Item, Layout, Pattern, Solution, Stock, Strip};

/// A part of an instance that shares no board with the rest, as an instance of its own.
pub(super) struct Part {
    /// Indices of its items in the whole, rising.
    pub(super) items: Vec<usize>,
    /// Indices of its stocks in the whole, rising.
    pub(super) stocks: Vec<usize>,
    pub(super) instance: Instance,
    /// All numbers of `instance`.
    pub(super) key: Vec<i64>,
}

impl Part {
    /// Where its items and stocks come from, out of that of the whole.
    pub(super) fn origins(&self, whole: &Origins) -> Origins {
        let stocks = self.stocks.iter();
        Origins {
            items: self
                .items
                .iter()
                .map(|&item| whole.items[item].clone())
                .collect(),
            board_indices: stocks
                .clone()
                .map(|&stock| whole.board_indices[stock])
                .collect(),
            places: stocks.map(|&stock| whole.places[stock].clone()).collect(),
            measure: whole.measure,
            is_complete: whole.is_complete,
        }
    }

    /// Those of `boards`, which are of the whole, that are of this part, in its own terms.
    pub(super) fn lower(&self, boards: &[BoardUse]) -> Vec<BoardUse> {
        let pattern = |pattern: &Pattern| -> Option<Pattern> {
            let counts = pattern.counts.iter();
            let counts =
                counts.map(|&(item, count)| Some((self.items.binary_search(&item).ok()?, count)));
            Some(Pattern {
                counts: counts.collect::<Option<_>>()?,
            })
        };
        boards
            .iter()
            .filter_map(|board| {
                Some(BoardUse {
                    stock: self.stocks.binary_search(&board.stock).ok()?,
                    layout: board.layout,
                    patterns: board.patterns.iter().map(pattern).collect::<Option<_>>()?,
                    times: board.times,
                })
            })
            .collect()
    }

    /// Adds this part's solution to that of the whole.
    pub(super) fn add(&self, solved: &Solution, whole: &mut Solution, missing: &mut [u32]) {
        for board in &solved.boards {
            let patterns = board.patterns.iter().map(|pattern| Pattern {
                counts: pattern
                    .counts
                    .iter()
                    .map(|&(item, count)| (self.items[item], count))
                    .collect(),
            });
            whole.boards.push(BoardUse {
                stock: self.stocks[board.stock],
                layout: board.layout,
                patterns: patterns.collect(),
                times: board.times,
            });
        }
        for (&item, &count) in self.items.iter().zip(&solved.missing) {
            missing[item] = count;
        }
        whole.cost = whole.cost.saturating_add(solved.cost);
        whole.bound.cost = whole.bound.cost.saturating_add(solved.bound.cost);
        whole.bound.missing_pieces += solved.bound.missing_pieces;
        whole.end = match (whole.end, solved.end) {
            (End::Stopped, _) | (_, End::Stopped) => End::Stopped,
            (End::WorkLimit, _) | (_, End::WorkLimit) => End::WorkLimit,
            (End::Proved, End::Proved) => End::Proved,
        };
    }
}

/// The parts of `instance`, and how many of each item are missing because no board in supply holds it.
pub(super) fn split(instance: &Instance) -> (Vec<Part>, Vec<u32>) {
    let groups = instance.connected();
    let mut missing: Vec<u32> = instance.items.iter().map(|item| item.demand).collect();
    let parts = groups
        .into_iter()
        .map(|(items, stocks)| {
            for &item in &items {
                missing[item] = 0;
            }
            part(instance, items, stocks)
        })
        .collect();
    (parts, missing)
}

fn part(instance: &Instance, items: Vec<usize>, stocks: Vec<usize>) -> Part {
    let place = |item: usize| {
        items
            .binary_search(&item)
            .expect("all that fits a part's strips is of the part")
    };
    let mut strip_of: BTreeMap<usize, usize> = BTreeMap::new();
    let mut strips: Vec<Strip> = Vec::new();
    let mut own_stocks: Vec<Stock> = Vec::new();
    for &stock in &stocks {
        let stock = &instance.stocks[stock];
        let layouts = stock.layouts.iter().map(|layout| Layout {
            strips: layout
                .strips
                .iter()
                .map(|&strip| {
                    *strip_of.entry(strip).or_insert_with(|| {
                        let whole = &instance.strips[strip];
                        strips.push(Strip {
                            capacity: whole.capacity,
                            items: instance.fitting(strip).map(place).collect(),
                        });
                        strips.len() - 1
                    })
                })
                .collect(),
        });
        own_stocks.push(Stock {
            cost: stock.cost,
            length: stock.length,
            supply: stock.supply,
            layouts: layouts.collect(),
        });
    }
    let own_items: Vec<Item> = items.iter().map(|&item| instance.items[item]).collect();
    let instance = Instance {
        items: own_items,
        strips,
        stocks: own_stocks,
    };
    let key = content(&instance);
    Part {
        items,
        stocks,
        instance,
        key,
    }
}

/// All numbers of an instance in a row; equal rows are equal instances.
fn content(instance: &Instance) -> Vec<i64> {
    let count = |n: usize| i64::try_from(n).expect("a count in memory fits 63 bits");
    let mut row = vec![count(instance.items.len()), count(instance.strips.len())];
    for item in &instance.items {
        row.extend([item.size, i64::from(item.demand), i64::from(item.pieces)]);
    }
    for strip in &instance.strips {
        row.extend([strip.capacity, count(strip.items.len())]);
        row.extend(strip.items.iter().map(|&item| count(item)));
    }
    for stock in &instance.stocks {
        row.extend([
            stock.cost,
            stock.length,
            stock.supply.map_or(-1, i64::from),
            count(stock.layouts.len()),
        ]);
        for layout in &stock.layouts {
            row.push(count(layout.strips.len()));
            row.extend(layout.strips.iter().map(|&strip| count(strip)));
        }
    }
    row
}

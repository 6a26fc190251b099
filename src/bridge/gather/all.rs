//! Every plan of a component that costs the same, while there are few.

use std::collections::BTreeMap;

use super::{Load, Score, Wood, cost_of, plus};

/// Steps of the search before it gives up: some hundredths of a second.
const MOST_STEPS: u32 = 60_000;

/// Components of more parts are not tried: the search goes one call deeper for each part and each board.
const MOST_PARTS: u64 = 1_000;

/// The best of all plans that cut what `loads` cut for what they cost, or `None` where there are too many to try.
///
/// Of plans that are equally good, the one at hand is kept.
pub(super) fn search(
    wood: &Wood<'_>,
    loads: &[Load],
    stocks: &[usize],
    supply: &[Option<u32>],
) -> Option<Vec<Load>> {
    let mut left: BTreeMap<usize, u32> = BTreeMap::new();
    for &(item, count) in loads.iter().flat_map(|load| &load.counts) {
        *left.entry(item).or_default() += count;
    }
    if left.values().map(|&count| u64::from(count)).sum::<u64>() > MOST_PARTS {
        return None;
    }
    let mut search = Search {
        wood,
        stocks,
        items: left.keys().copied().collect(),
        left: left.values().copied().collect(),
        supply: supply.to_vec(),
        budget: cost_of(wood.instance, loads),
        boards: Vec::new(),
        best: loads.to_vec(),
        best_score: wood.total(loads),
        steps: 0,
    };
    search.next_board(0, [0; 4]);
    (search.steps < MOST_STEPS).then_some(search.best)
}

struct Search<'a> {
    wood: &'a Wood<'a>,
    stocks: &'a [usize],
    items: Vec<usize>,
    /// `left[n]`: how many of the `n`-th item are still to be cut.
    left: Vec<u32>,
    supply: Vec<Option<u32>>,
    budget: i128,
    boards: Vec<Load>,
    best: Vec<Load>,
    best_score: Score,
    steps: u32,
}

impl Search<'_> {
    /// Puts the first item that is left on a board of every kind, in every company.
    fn next_board(&mut self, spent: i128, score: Score) {
        let Some(first) = self.left.iter().position(|&count| count > 0) else {
            if spent == self.budget && score < self.best_score {
                self.best_score = score;
                self.best.clone_from(&self.boards);
            }
            return;
        };
        for &stock in self.stocks {
            let cost = i128::from(self.wood.instance.stocks[stock].cost);
            if self.supply[stock] == Some(0) || spent + cost > self.budget {
                continue;
            }
            self.supply[stock] = self.supply[stock].map(|left| left - 1);
            self.left[first] -= 1;
            let mut counts = vec![(self.items[first], 1)];
            self.fill(stock, first, &mut counts, (spent + cost, score));
            self.left[first] += 1;
            self.supply[stock] = self.supply[stock].map(|left| left + 1);
        }
    }

    /// Closes the board as it is, then adds each item from the `from`-th on.
    fn fill(
        &mut self,
        stock: usize,
        from: usize,
        counts: &mut Vec<(usize, u32)>,
        (spent, score): (i128, Score),
    ) {
        self.steps += 1;
        if self.steps >= MOST_STEPS {
            return;
        }
        let Some(layout) = self.wood.layout_for(stock, counts) else {
            return;
        };
        let load = Load {
            stock,
            layout,
            counts: counts.clone(),
        };
        // Boards with the same first item stand in one order only.
        let in_order = self
            .boards
            .last()
            .is_none_or(|last| last.counts[0].0 != counts[0].0 || *last <= load);
        if in_order && self.can_be_paid(spent) {
            let more = self.wood.score(stock, counts);
            self.boards.push(load);
            self.next_board(spent, plus(score, more));
            self.boards.pop();
        }
        for n in from..self.items.len() {
            if self.left[n] == 0 {
                continue;
            }
            self.left[n] -= 1;
            let is_same = counts.last().is_some_and(|last| last.0 == self.items[n]);
            match counts.last_mut() {
                Some(last) if is_same => last.1 += 1,
                _ => counts.push((self.items[n], 1)),
            }
            self.fill(stock, n, counts, (spent, score));
            match counts.last_mut() {
                Some(last) if last.1 > 1 => last.1 -= 1,
                _ => {
                    counts.pop();
                }
            }
            self.left[n] += 1;
        }
    }

    /// Whether what is left can be cut for what is not spent: no stock gives more capacity for its cost than the best.
    fn can_be_paid(&self, spent: i128) -> bool {
        let size: i128 = self
            .left
            .iter()
            .zip(&self.items)
            .map(|(&count, &item)| {
                i128::from(count) * i128::from(self.wood.instance.items[item].size)
            })
            .sum();
        if size == 0 {
            return true;
        }
        let instance = self.wood.instance;
        self.stocks.iter().any(|&stock| {
            let capacity = instance.stocks[stock]
                .layouts
                .iter()
                .flat_map(|layout| &layout.strips)
                .map(|&strip| i128::from(instance.strips[strip].capacity))
                .max()
                .unwrap_or(0);
            size * i128::from(instance.stocks[stock].cost) <= (self.budget - spent) * capacity
        })
    }
}

//! The parts of an instance that share no stock.

use std::collections::BTreeMap;

use super::Instance;

impl Instance {
    /// The wanted items that may lie on a strip which is long enough for them, in the order in which it names them.
    ///
    /// # Panics
    /// If there is no such strip.
    pub fn fitting(&self, strip: usize) -> impl Iterator<Item = usize> + '_ {
        let strip = &self.strips[strip];
        strip.items.iter().copied().filter(|&item| {
            let item = &self.items[item];
            item.size <= strip.capacity && item.demand > 0
        })
    }

    /// Items and stocks, rising, of each part that shares no stock with the others; parts by their first items.
    ///
    /// An item belongs to a stock that has a strip for it; items that no stock in supply has a strip for are of no part.
    ///
    /// # Panics
    /// If a layout names a strip that is not there.
    #[must_use]
    pub fn connected(&self) -> Vec<(Vec<usize>, Vec<usize>)> {
        // Union-find over items; the smallest index of a part is its name.
        let mut parent: Vec<usize> = (0..self.items.len()).collect();
        let mut first_item: Vec<Option<usize>> = vec![None; self.stocks.len()];
        let mut is_placed = vec![false; self.items.len()];
        for (stock, first) in self.stocks.iter().zip(&mut first_item) {
            if stock.supply == Some(0) {
                continue;
            }
            for &strip in stock.layouts.iter().flat_map(|layout| &layout.strips) {
                for item in self.fitting(strip) {
                    is_placed[item] = true;
                    let anchor = *first.get_or_insert(item);
                    let (one, other) = (root(&mut parent, anchor), root(&mut parent, item));
                    parent[one.max(other)] = one.min(other);
                }
            }
        }
        let mut parts: BTreeMap<usize, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
        for item in (0..is_placed.len()).filter(|&item| is_placed[item]) {
            let part = parts.entry(root(&mut parent, item)).or_default();
            part.0.push(item);
        }
        for (stock, first) in first_item.into_iter().enumerate() {
            if let Some(first) = first {
                let part = parts.entry(root(&mut parent, first)).or_default();
                part.1.push(stock);
            }
        }
        parts.into_values().collect()
    }
}

fn root(parent: &mut [usize], mut item: usize) -> usize {
    while parent[item] != item {
        parent[item] = parent[parent[item]];
        item = parent[item];
    }
    item
}

#[cfg(test)]
mod tests {
    use super::super::{Item, Layout, Stock, Strip};
    use super::*;

    #[test]
    fn parts_share_no_stock_and_what_fits_nowhere_is_of_none() {
        // Items 0 and 2 share stock 1; item 1 has stock 0 for itself; item 3 is too long, item 4 has no stock in supply.
        let item = |size| Item {
            size,
            demand: 1,
            pieces: 1,
        };
        let strip = |items: &[usize]| Strip {
            capacity: 10,
            items: items.to_vec(),
        };
        let stock = |strip, supply| Stock {
            cost: 1,
            length: 10,
            supply,
            layouts: vec![Layout {
                strips: vec![strip],
            }],
        };
        let instance = Instance {
            items: [5, 5, 5, 11, 5].map(item).to_vec(),
            strips: vec![strip(&[1]), strip(&[0, 2, 3]), strip(&[4])],
            stocks: vec![stock(0, None), stock(1, Some(2)), stock(2, Some(0))],
        };
        let parts = [(vec![0, 2], vec![1]), (vec![1], vec![0])];
        assert_eq!(instance.connected(), parts);
    }
}

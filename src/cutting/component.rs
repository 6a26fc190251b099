//! The components of an instance: what shares no stock with the rest, each as an instance of its own; and the blocks of one,
//! which share stocks, but no board.

use std::collections::{BTreeMap, BTreeSet};

use super::{
    BoardUse, Bound, End, Instance, InstanceProof, Item, Layout, PartProof, Pattern, ProofNode,
    Solution, Stock, Strip,
};

/// Items and stocks that share nothing with the rest of an instance, as an instance of their own; those of a
/// [block](Instance::blocks) share stocks with the rest, but no board.
///
/// Items, strips and stocks keep their order, so that equal components are equal instances wherever they come from; stocks
/// keep their layouts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Component {
    /// Indices of its items in the whole, rising.
    pub items: Vec<usize>,
    /// Indices of its stocks in the whole, rising.
    pub stocks: Vec<usize>,
    /// The component by itself: every item lies on some strip, every stock has a strip for some item.
    pub instance: Instance,
}

impl Instance {
    /// The components, by their first items; items that no stock in supply has a strip for are of none.
    ///
    /// # Panics
    /// If a layout names a strip that is not there.
    #[must_use]
    pub fn components(&self) -> Vec<Component> {
        self.apart(Together::ByStock)
    }

    /// The blocks, by their first items: what no single board holds together, with all stocks that hold something of
    /// it. They are linked by nothing but supplies, of which each has the whole.
    ///
    /// A plan cuts each of its boards for one block, so what bounds the blocks, each by itself, bounds the whole in sum; and
    /// plans of the blocks are one of the whole where their boards are in supply together.
    /// What the layouts of one [group](Layout::group) hold counts as held together.
    ///
    /// # Panics
    /// If a layout names a strip that is not there.
    #[must_use]
    pub fn blocks(&self) -> Vec<Component> {
        self.apart(Together::ByGroup)
    }

    fn apart(&self, together: Together) -> Vec<Component> {
        let groups = self.grouped(together).into_iter();
        groups
            .map(|(items, stocks)| Component::of(self, items, stocks))
            .collect()
    }

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

    /// Items and stocks of the [components](Instance::components), rising.
    ///
    /// An item belongs to a stock that has a strip for it.
    ///
    /// # Panics
    /// If a layout names a strip that is not there.
    #[must_use]
    pub fn connected(&self) -> Vec<(Vec<usize>, Vec<usize>)> {
        self.grouped(Together::ByStock)
    }

    /// Items in groups, and with each the stocks that have a strip for one of them, rising.
    fn grouped(&self, together: Together) -> Vec<(Vec<usize>, Vec<usize>)> {
        // Union-find over items; the smallest index of a group is its name.
        let mut parent: Vec<usize> = (0..self.items.len()).collect();
        // An item of each stock, or of each group of its layouts.
        let mut first_items: Vec<BTreeMap<usize, usize>> = vec![BTreeMap::new(); self.stocks.len()];
        let mut is_placed = vec![false; self.items.len()];
        for (stock, first_items) in self.stocks.iter().zip(&mut first_items) {
            if stock.supply == Some(0) {
                continue;
            }
            for layout in &stock.layouts {
                let group = match together {
                    Together::ByStock => 0,
                    Together::ByGroup => layout.group,
                };
                for item in layout.strips.iter().flat_map(|&strip| self.fitting(strip)) {
                    is_placed[item] = true;
                    let anchor = *first_items.entry(group).or_insert(item);
                    let (one, other) = (root(&mut parent, anchor), root(&mut parent, item));
                    parent[one.max(other)] = one.min(other);
                }
            }
        }
        let mut groups: BTreeMap<usize, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
        for item in (0..is_placed.len()).filter(|&item| is_placed[item]) {
            let group = groups.entry(root(&mut parent, item)).or_default();
            group.0.push(item);
        }
        for (stock, first_items) in first_items.into_iter().enumerate() {
            for item in first_items.into_values() {
                let (_, stocks) = groups.entry(root(&mut parent, item)).or_default();
                if stocks.last() != Some(&stock) {
                    stocks.push(stock);
                }
            }
        }
        groups.into_values().collect()
    }
}

/// What puts items into one group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Together {
    /// That a stock has strips for both.
    ByStock,
    /// That layouts of one group of a stock have strips for both.
    ByGroup,
}

impl Component {
    fn of(whole: &Instance, items: Vec<usize>, stocks: Vec<usize>) -> Component {
        let own = |indices: &[usize], index: usize| {
            let place = indices.binary_search(&index);
            place.expect("strips and stocks of a component are its own")
        };
        let layouts = stocks
            .iter()
            .flat_map(|&stock| &whole.stocks[stock].layouts);
        let used: BTreeSet<usize> = layouts.flat_map(|layout| &layout.strips).copied().collect();
        let used: Vec<usize> = used.into_iter().collect();
        let strips = used.iter().map(|&strip| {
            // A strip of another block holds nothing of this one.
            let members: BTreeSet<usize> = whole.fitting(strip).collect();
            let members = members.into_iter();
            Strip {
                capacity: whole.strips[strip].capacity,
                items: members
                    .filter_map(|item| items.binary_search(&item).ok())
                    .collect(),
            }
        });
        let layout = |layout: &Layout| Layout {
            strips: layout
                .strips
                .iter()
                .map(|&strip| own(&used, strip))
                .collect(),
            kept: layout.kept,
            group: layout.group,
        };
        let own_items: Vec<Item> = items.iter().map(|&item| whole.items[item]).collect();
        let own_stocks = stocks.iter().map(|&stock| {
            let Stock {
                cost,
                length,
                supply,
                ref layouts,
            } = whole.stocks[stock];
            let layouts = layouts.iter().map(layout).collect();
            Stock {
                cost,
                length,
                supply,
                layouts,
            }
        });
        let instance = Instance {
            strips: strips.collect(),
            stocks: own_stocks.collect(),
            items: own_items,
        };
        Component {
            items,
            stocks,
            instance,
        }
    }

    /// Those of `boards`, which are of the whole, that are of this component, in its own terms.
    #[must_use]
    pub fn lower(&self, boards: &[BoardUse]) -> Vec<BoardUse> {
        let lowered = boards.iter().map(|board| {
            let stock = self.stocks.binary_search(&board.stock).ok()?;
            board.renamed(stock, |item| self.items.binary_search(&item).ok())
        });
        lowered.flatten().collect()
    }

    /// `boards`, which are of this component, in terms of the whole.
    ///
    /// # Panics
    /// If they name an item or a stock that is not there.
    pub fn raise<'a>(&'a self, boards: &'a [BoardUse]) -> impl Iterator<Item = BoardUse> + 'a {
        boards.iter().filter_map(|board| {
            board.renamed(self.stocks[board.stock], |item| Some(self.items[item]))
        })
    }

    /// A proof of this component in terms of the whole.
    fn raise_proof(&self, proof: &PartProof) -> PartProof {
        let stocks = |own: &[usize]| own.iter().map(|&stock| self.stocks[stock]).collect();
        let node = |node: &ProofNode| match node {
            ProofNode::Split {
                stocks: counted,
                divided,
                absent,
                at_most,
                under,
                over,
            } => ProofNode::Split {
                stocks: stocks(counted),
                divided: divided
                    .iter()
                    .map(|&(stock, layout)| (self.stocks[stock], layout))
                    .collect(),
                absent: *absent,
                at_most: *at_most,
                under: *under,
                over: *over,
            },
            // They name items by their places in the part.
            other @ (ProofNode::Leaf { .. } | ProofNode::Pair { .. }) => other.clone(),
        };
        PartProof {
            items: proof.items.iter().map(|&item| self.items[item]).collect(),
            stocks: stocks(&proof.stocks),
            replaced: proof
                .replaced
                .iter()
                .map(|&(stock, by)| (self.stocks[stock], self.stocks[by]))
                .collect(),
            missing_nodes: proof.missing_nodes.iter().map(node).collect(),
            nodes: proof.nodes.iter().map(node).collect(),
            ..*proof
        }
    }
}

impl BoardUse {
    /// The same board with other names; `None` where an item has none.
    fn renamed(&self, stock: usize, name: impl Fn(usize) -> Option<usize>) -> Option<BoardUse> {
        let pattern = |pattern: &Pattern| {
            let counts = pattern.counts.iter();
            let counts = counts.map(|&(item, count)| Some((name(item)?, count)));
            Some(Pattern {
                counts: counts.collect::<Option<_>>()?,
            })
        };
        Some(BoardUse {
            stock,
            layout: self.layout,
            patterns: self.patterns.iter().map(pattern).collect::<Option<_>>()?,
            times: self.times,
        })
    }
}

impl Solution {
    /// The solution of `whole` that those of all its components make up.
    ///
    /// It has a certificate where each of them has one.
    #[must_use]
    pub fn of_components<'a>(
        whole: &Instance,
        solved: impl IntoIterator<Item = (&'a Component, &'a Solution)>,
    ) -> Solution {
        let (mut boards, mut patterns) = (Vec::new(), Vec::new());
        let mut missing: Vec<u32> = whole.items.iter().map(|item| item.demand).collect();
        let mut unplaced = missing.clone();
        let (mut cost, mut bound, mut missing_pieces) = (0_i64, 0_i64, 0);
        let mut end = End::Proved;
        let mut proofs = Some(Vec::new());
        for (component, own) in solved {
            boards.extend(component.raise(&own.boards));
            patterns.extend(component.raise(&own.patterns));
            for (&item, &count) in component.items.iter().zip(&own.missing) {
                missing[item] = count;
                unplaced[item] = 0;
            }
            cost = cost.saturating_add(own.cost);
            bound = bound.saturating_add(own.bound.cost);
            missing_pieces += own.bound.missing_pieces;
            end = end.max(own.end);
            proofs = proofs.zip(own.certificate.as_ref()).map(|(mut all, own)| {
                all.extend(own.parts.iter().map(|proof| component.raise_proof(proof)));
                all
            });
        }
        let n_unplaced = whole.pieces(&unplaced);
        if n_unplaced > 0 {
            let items = (0..).zip(whole.items.iter().copied()).zip(&unplaced);
            let items: Vec<(usize, Item)> = items
                .filter(|(_, count)| **count > 0)
                .map(|(item, _)| item)
                .collect();
            if let Some(proofs) = &mut proofs {
                proofs.push(PartProof::of_unplaced(&items, n_unplaced));
            }
        }
        Solution {
            boards,
            cost,
            bound: Bound {
                missing_pieces: missing_pieces + n_unplaced,
                cost: bound,
            },
            missing,
            end,
            certificate: proofs.map(|parts| InstanceProof { parts }),
            patterns,
        }
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
    use super::*;

    #[test]
    fn components_share_no_stock_and_what_fits_nowhere_is_of_none() {
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
                kept: false,
                group: 0,
            }],
        };
        let instance = Instance {
            items: [5, 5, 5, 11, 5].map(item).to_vec(),
            strips: vec![strip(&[1]), strip(&[0, 2, 3]), strip(&[4])],
            stocks: vec![stock(0, None), stock(1, Some(2)), stock(2, Some(0))],
        };
        let components = instance.components();
        let groups = components
            .iter()
            .map(|own| (own.items.clone(), own.stocks.clone()));
        assert_eq!(
            groups.collect::<Vec<_>>(),
            [(vec![0, 2], vec![1]), (vec![1], vec![0])]
        );
        let first = &components[0].instance;
        assert_eq!(first.strips, [strip(&[0, 1])]);
        assert_eq!(first.stocks, [stock(0, Some(2))]);
        // There and back again.
        let board = |stock, item| BoardUse {
            stock,
            layout: 0,
            patterns: vec![Pattern {
                counts: vec![(item, 1)],
            }],
            times: 1,
        };
        let boards = [board(1, 2), board(0, 1)];
        assert_eq!(components[0].lower(&boards), [board(0, 1)]);
        let raised: Vec<BoardUse> = components[0].raise(&[board(0, 1)]).collect();
        assert_eq!(raised, boards[..1]);
    }

    #[test]
    fn blocks_share_stocks_but_no_layout_of_them() {
        // Stock 0 is cut for item 0 or for item 1, stock 1 for items 1 and 2 together or for item 0, stock 2 for item 0 alone.
        let strip = |item| Strip {
            capacity: 10,
            items: vec![item],
        };
        let stock = |layouts: &[&[usize]]| Stock {
            cost: 1,
            length: 10,
            supply: Some(1),
            layouts: layouts
                .iter()
                .enumerate()
                .map(|(group, strips)| Layout {
                    strips: strips.to_vec(),
                    kept: false,
                    group,
                })
                .collect(),
        };
        let item = Item {
            size: 5,
            demand: 1,
            pieces: 1,
        };
        let instance = Instance {
            items: vec![item; 3],
            strips: [0, 1, 2].map(strip).to_vec(),
            stocks: vec![
                stock(&[&[0], &[1]]),
                stock(&[&[1, 2], &[0]]),
                stock(&[&[0]]),
            ],
        };
        assert_eq!(instance.components().len(), 1);
        // Of one group they are not told apart.
        let mut together = instance.clone();
        for layout in together
            .stocks
            .iter_mut()
            .flat_map(|stock| &mut stock.layouts)
        {
            layout.group = 0;
        }
        assert_eq!(together.blocks().len(), 1);
        let blocks = instance.blocks();
        let groups = blocks
            .iter()
            .map(|own| (own.items.clone(), own.stocks.clone()));
        assert_eq!(
            groups.collect::<Vec<_>>(),
            [(vec![0], vec![0, 1, 2]), (vec![1, 2], vec![0, 1])]
        );
        // Layouts keep their places; what is of another block holds nothing.
        let second = &blocks[1].instance;
        assert_eq!(second.stocks[0].layouts.len(), 2);
        let held = |stock: usize, layout: usize| -> usize {
            let strips = &second.stocks[stock].layouts[layout].strips;
            strips
                .iter()
                .map(|&strip| second.strips[strip].items.len())
                .sum()
        };
        assert_eq!(
            [held(0, 0), held(0, 1), held(1, 0), held(1, 1)],
            [0, 1, 2, 0]
        );
    }
}

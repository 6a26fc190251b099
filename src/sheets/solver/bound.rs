//! Prices in whole numbers, and the bound that follows from them.

use super::count::{Condition, Tally};
use super::master::Goal;
use super::model::Model;
use super::tables::LanePrices;

/// Prices of items and of a node's conditions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Prices {
    /// What one unit of cost is in prices; 1 or more.
    pub(super) denominator: i64,
    /// Of the model's items, 0 or more.
    pub(super) items: Vec<i64>,
    /// Of the conditions on the way from the root: 0 or more of those that ask for more, 0 or less of the others.
    pub(super) conditions: Vec<i64>,
}

impl Prices {
    /// Prices that prove nothing.
    pub(super) fn nothing(model: &Model) -> Prices {
        Prices {
            denominator: 1,
            items: vec![0; model.items.len()],
            conditions: Vec::new(),
        }
    }

    /// The same with `n_conditions` conditions, of which those behind the first count nothing.
    pub(super) fn padded(&self, n_conditions: usize) -> Prices {
        let mut padded = self.clone();
        padded.conditions.resize(n_conditions, 0);
        padded
    }

    /// What pieces and strips of a lane are worth.
    pub(super) fn of_lane(&self, lane: usize, tallies: &[Tally], path: &[Condition]) -> LanePrices {
        let mut prices = LanePrices {
            items: self.items.clone(),
            ..LanePrices::default()
        };
        for (condition, &price) in path
            .iter()
            .zip(&self.conditions)
            .filter(|(_, price)| **price != 0)
        {
            match &tallies[condition.tally] {
                &Tally::Strips { lane: own, class } if own == lane => {
                    prices.strips.push((class, price));
                }
                &Tally::Pieces {
                    lane: own,
                    class,
                    item,
                } if own == lane => {
                    prices.pieces.push((class, item, price));
                }
                &Tally::Widest {
                    lane: own,
                    bed,
                    class,
                } if own == lane => {
                    prices.widest.push((bed, class, price));
                }
                Tally::Holding {
                    lane: own,
                    class,
                    least,
                } if *own == lane => {
                    prices.holding.push((*class, least.clone(), price));
                }
                _ => {}
            }
        }
        prices
    }

    /// What a sheet of a bed counts by itself.
    pub(super) fn of_sheet(&self, bed: usize, tallies: &[Tally], path: &[Condition]) -> i64 {
        let own = path.iter().zip(&self.conditions).filter(|(condition, _)| {
            matches!(&tallies[condition.tally], Tally::Sheets { beds } if beds.contains(&bed))
        });
        own.map(|(_, &price)| price).sum()
    }

    /// `denominator` times a bound on the cost of every plan of a node that is cheaper than `cutoff`, where the strips and
    /// pieces of a sheet of each bed count `worths` at most. See [`crate::sheets::certificate`] for why it holds.
    pub(super) fn bound(
        &self,
        model: &Model,
        goal: Goal,
        tallies: &[Tally],
        path: &[Condition],
        worths: &[i64],
        cutoff: i64,
    ) -> i128 {
        let mut bound: i128 = 0;
        for (item, &price) in model.items.iter().zip(&self.items) {
            bound += i128::from(item.demand) * i128::from(price);
        }
        for (condition, &price) in path.iter().zip(&self.conditions) {
            bound += i128::from(condition.number()) * i128::from(price);
        }
        for (idx, kind) in model.kinds.iter().enumerate() {
            let price = if goal == Goal::FewestMissing {
                0
            } else {
                kind.price
            };
            let beds = model.beds_of(idx);
            let excess = |&bed: &usize| {
                i128::from(worths[bed]) + i128::from(self.of_sheet(bed, tallies, path))
                    - i128::from(self.denominator) * i128::from(price)
            };
            let excess = beds.iter().map(excess).max().unwrap_or(0);
            if excess > 0 {
                let mut most = i64::MAX;
                for condition in path.iter().filter(|condition| !condition.over) {
                    if let Tally::Sheets { beds: counted } = &tallies[condition.tally]
                        && beds.iter().all(|bed| counted.contains(bed))
                    {
                        most = most.min(i64::from(condition.at));
                    }
                }
                if price > 0 {
                    most = most.min((cutoff - 1) / price);
                }
                let n_sheets: i64 = kind
                    .own_limits
                    .iter()
                    .map(|&limit| i64::from(limit).min(most))
                    .sum();
                bound -= excess * i128::from(n_sheets);
            }
        }
        let dearest = self.items.iter().copied().max().unwrap_or(0);
        bound
            - match goal {
                Goal::FewestMissing => {
                    let above = |price: i64| i128::from((price - self.denominator).max(0));
                    let items = model.items.iter().zip(&self.items);
                    items
                        .map(|(item, &price)| i128::from(item.demand) * above(price))
                        .sum()
                }
                Goal::LeastCost { missing } => i128::from(missing) * i128::from(dearest),
            }
    }
}

/// The least whole cost that is at least `scaled / denominator`.
pub(super) fn round_up(scaled: i128, denominator: i64) -> i64 {
    let denominator = i128::from(denominator);
    let rounded = scaled.div_euclid(denominator) + i128::from(scaled.rem_euclid(denominator) != 0);
    i64::try_from(rounded.max(0)).unwrap_or(i64::MAX)
}

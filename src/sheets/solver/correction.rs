//! Sequential value correction: one sheet after another is filled with the strips worth most for their width, at values of
//! the items that learn from waste.
//!
//! # Source
//! E. A. Mukhacheva, A. S. Mukhacheva, sequential value correction; for two stages G. Belov, G. Scheithauer, EJOR 171
//! (2006), doi 10.1016/j.ejor.2004.08.036.

use super::columns::Column;
use super::model::Model;
use super::params::VALUE_SCALE;
use super::relax::plain_table;
use crate::solve::meter::Meter;

/// Columns with how often they are used: whole plans.
pub(super) type Used = Vec<(Column, u32)>;

/// What a pass found.
#[derive(Debug)]
pub(super) struct Greedy {
    pub(super) used: Used,
    /// Pieces that found no place.
    pub(super) n_missing: u64,
    /// What the sheets cost.
    pub(super) cost: i64,
}

/// The values of the items and how passes have changed them.
pub(super) struct Correction<'m> {
    model: &'m Model,
    base: Vec<i64>,
    values: Vec<i64>,
    areas: Vec<i128>,
    n_passes: u32,
    state: u64,
}

/// Strips to put on a sheet.
struct Filled {
    bed: usize,
    strips: Vec<(usize, Vec<(usize, u32)>)>,
    worth: i128,
    left: Vec<u32>,
}

impl<'m> Correction<'m> {
    /// A start from values in parts of the dearest sheet; items without a value count by their area.
    pub(super) fn new(model: &'m Model, values: Option<Vec<i64>>) -> Correction<'m> {
        let area = |width: i64, height: i64| i128::from(width) * i128::from(height);
        let areas: Vec<i128> = model
            .items
            .iter()
            .map(|item| area(item.width, item.height))
            .collect();
        let largest = areas.iter().copied().max().unwrap_or(1);
        let by_area = areas
            .iter()
            .map(|&own| narrow(own * i128::from(VALUE_SCALE) / largest).max(1));
        let base = values.map_or_else(
            || by_area.collect(),
            |values| {
                values
                    .iter()
                    .map(|&value| value.max(1))
                    .collect::<Vec<i64>>()
            },
        );
        Correction {
            model,
            values: base.clone(),
            base,
            areas,
            n_passes: 0,
            state: 2_041,
        }
    }

    /// One pass: sheets until all is cut or nothing is left that could be used; `None` where the meter ended the search.
    pub(super) fn pass(&mut self, meter: &Meter<'_>) -> Option<Greedy> {
        let model = self.model;
        let tilt = [0, -30, 15, 30, -15][self.n_passes as usize % 5];
        self.n_passes += 1;
        let mut left: Vec<u32> = model.items.iter().map(|item| item.demand).collect();
        let mut supply: Vec<u32> = model.kinds.iter().map(|kind| kind.limit).collect();
        let mut used = Used::new();
        let mut cost = 0;
        while left.iter().any(|&count| count > 0) {
            let Some(filled) = self.next_sheet(&left, &supply, tilt, meter) else {
                break;
            };
            if meter.halted() {
                return None;
            }
            let bed = &model.beds[filled.bed];
            supply[bed.kind] -= 1;
            cost += model.kinds[bed.kind].price;
            self.learn(&filled);
            let mut classes = Vec::new();
            for (class, pieces) in filled.strips {
                crate::cutting::add_count(&mut classes, class, 1);
                used.push((
                    Column::Strip {
                        lane: bed.lane,
                        class,
                        pieces,
                    },
                    1,
                ));
            }
            used.push((
                Column::Sheet {
                    bed: filled.bed,
                    strips: classes,
                },
                1,
            ));
            left = filled.left;
        }
        let n_missing = left.iter().map(|&count| u64::from(count)).sum();
        for (item, &count) in left.iter().enumerate().filter(|entry| *entry.1 > 0) {
            used.push((Column::Missing { item }, count));
        }
        self.shake();
        Some(Greedy {
            used,
            n_missing,
            cost,
        })
    }

    /// The sheet worth most for its price; one that takes all that is left, if nothing costs less.
    fn next_sheet(
        &self,
        left: &[u32],
        supply: &[u32],
        tilt: i64,
        meter: &Meter<'_>,
    ) -> Option<Filled> {
        let model = self.model;
        let price = |filled: &Filled| model.kinds[model.beds[filled.bed].kind].price;
        let mut best: Option<Filled> = None;
        let mut last: Option<Filled> = None;
        for bed in (0..model.beds.len()).filter(|&bed| supply[model.beds[bed].kind] > 0) {
            let Some(filled) = self.fill(bed, left, tilt, meter) else {
                continue;
            };
            let takes_all = filled.left.iter().all(|&count| count == 0);
            if takes_all
                && last
                    .as_ref()
                    .is_none_or(|last| price(&filled) < price(last))
            {
                last = Some(Filled {
                    strips: filled.strips.clone(),
                    left: filled.left.clone(),
                    ..filled
                });
            }
            let is_better = best.as_ref().is_none_or(|best| {
                filled.worth * i128::from(price(best)) > best.worth * i128::from(price(&filled))
                    || price(best) == 0 && price(&filled) == 0 && filled.worth > best.worth
            });
            if is_better {
                best = Some(filled);
            }
        }
        match (best, last) {
            (Some(best), Some(last)) if price(&last) <= price(&best) => Some(last),
            (best, _) => best,
        }
    }

    /// Strips for one sheet, each time those worth most for their width.
    fn fill(&self, bed: usize, left: &[u32], tilt: i64, meter: &Meter<'_>) -> Option<Filled> {
        let model = self.model;
        let own = &model.beds[bed];
        let lane = &model.lanes[own.lane];
        let widest = *lane.widths.last()?;
        let mut filled = Filled {
            bed,
            strips: Vec::new(),
            worth: 0,
            left: left.to_vec(),
        };
        let mut room = own.room;
        loop {
            let n_classes = lane.widths.partition_point(|&width| width <= room);
            if n_classes == 0 {
                break;
            }
            let table = plain_table(lane, &self.values, &filled.left, n_classes, meter);
            let weight = |class: usize| {
                let width = i128::from(lane.widths[class]);
                width * (100 + i128::from(tilt) * width / i128::from(widest))
            };
            let mut pick: Option<usize> = None;
            for class in (0..n_classes).filter(|&class| table.values[class] > 0) {
                let value = |class: usize| i128::from(table.values[class]);
                if pick.is_none_or(|best| value(class) * weight(best) > value(best) * weight(class))
                {
                    pick = Some(class);
                }
            }
            let Some(pick) = pick else {
                break;
            };
            let mut pieces = table.strip(pick);
            for (item, count) in &mut pieces {
                // The two ways of an item share its demand.
                *count = (*count).min(filled.left[*item]);
                filled.left[*item] -= *count;
                filled.worth += i128::from(self.values[*item]) * i128::from(*count);
            }
            room -= lane.widths[pick];
            filled.strips.push((pick, pieces));
        }
        (!filled.strips.is_empty()).then_some(filled)
    }

    /// Items on a sheet with much waste become dearer, those on a full one cheaper.
    fn learn(&mut self, filled: &Filled) {
        let price = self.model.kinds[self.model.beds[filled.bed].kind].price;
        if price == 0 {
            return;
        }
        let pieces = || filled.strips.iter().flat_map(|(_, pieces)| pieces);
        let packed: i128 = pieces()
            .map(|&(item, count)| self.areas[item] * i128::from(count))
            .sum();
        let scaled = i128::from(price) * i128::from(VALUE_SCALE) / i128::from(self.model.dearest());
        let mut items: Vec<usize> = pieces().map(|entry| entry.0).collect();
        items.sort_unstable();
        items.dedup();
        for item in items {
            let share = scaled * self.areas[item] / packed.max(1);
            self.values[item] = narrow((7 * i128::from(self.values[item]) + 3 * share) / 10).max(1);
        }
    }

    /// Changes the values a little, now and then from the start, so that the next pass differs.
    fn shake(&mut self) {
        if self.n_passes.is_multiple_of(4) {
            self.values.clone_from(&self.base);
        }
        for idx in 0..self.values.len() {
            let share = 850 + i128::from(self.draw() % 331);
            self.values[idx] = narrow(i128::from(self.values[idx]) * share / 1000).max(1);
        }
    }

    /// A fixed sequence that looks random: the generator of S. K. Park, K. W. Miller, CACM 31(10), 1988.
    fn draw(&mut self) -> u64 {
        self.state = self.state * 48_271 % 2_147_483_647;
        self.state
    }
}

fn narrow(value: i128) -> i64 {
    i64::try_from(value.min(1 << 40)).expect("cut down to it")
}

//! Sequential value correction: one sheet after another is filled with the strips worth most for their width, at values of
//! the items that learn from waste.
//!
//! # Source
//! E. A. Mukhacheva, A. S. Mukhacheva, sequential value correction; for two stages G. Belov, G. Scheithauer, EJOR 171
//! (2006), doi 10.1016/j.ejor.2004.08.036.

use super::loaded::Loaded;
use super::model::Model;
use super::params::VALUE_SCALE;
use super::relax::plain_table;
use crate::solve::draw::Draw;
use crate::solve::meter::Meter;

/// What a pass found.
#[derive(Debug)]
pub(super) struct Greedy {
    pub(super) sheets: Vec<Loaded>,
    /// Pieces that found no place, by item.
    pub(super) left: Vec<u32>,
    /// What the sheets cost.
    pub(super) cost: i64,
}

impl Greedy {
    /// How many pieces found no place.
    pub(super) fn n_missing(&self) -> u64 {
        self.left.iter().map(|&count| u64::from(count)).sum()
    }
}

/// The values of the items and how passes have changed them.
pub(super) struct Correction<'m> {
    model: &'m Model,
    base: Vec<i64>,
    values: Vec<i64>,
    areas: Vec<i128>,
    n_passes: u32,
    draw: Draw,
}

/// A sheet that may come next.
#[derive(Clone, Debug)]
struct Filled {
    sheet: Loaded,
    worth: i128,
    /// What is left of the demand then.
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
            draw: Draw::new(),
        }
    }

    /// The model that is planned.
    pub(super) fn model(&self) -> &'m Model {
        self.model
    }

    /// One pass: sheets for what is `left`, until all is cut, nothing in supply is of use, or they cost more than `most`;
    /// `None` where the meter ended the search.
    pub(super) fn pass(
        &mut self,
        left: Vec<u32>,
        mut supply: Vec<u32>,
        most: i64,
        meter: &Meter<'_>,
    ) -> Option<Greedy> {
        let model = self.model;
        let tilt = [0, -30, 15, 30, -15][self.n_passes as usize % 5];
        self.n_passes += 1;
        let mut found = Greedy {
            sheets: Vec::new(),
            left,
            cost: 0,
        };
        while found.cost <= most && found.left.iter().any(|&count| count > 0) {
            let Some(filled) = self.next_sheet(&found.left, &supply, tilt, meter) else {
                break;
            };
            // The first pass goes through to its end, so that there is a plan.
            if meter.halted() && self.n_passes > 1 {
                return None;
            }
            let kind = model.beds[filled.sheet.bed].kind;
            let times = times_within(&filled, &found.left).min(supply[kind]);
            supply[kind] -= times;
            found.cost += model.kinds[kind].price * i64::from(times);
            self.learn(&filled.sheet);
            for (left, after) in found.left.iter_mut().zip(&filled.left) {
                *left -= times * (*left - after);
            }
            let sheets = std::iter::repeat_n(filled.sheet, times as usize);
            found.sheets.extend(sheets);
        }
        self.shake();
        Some(found)
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
        let price = |filled: &Filled| model.kinds[model.beds[filled.sheet.bed].kind].price;
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
                last = Some(filled.clone());
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
            sheet: Loaded {
                bed,
                strips: Vec::new(),
            },
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
            // As long as there are pieces for it, the same strip is again the best.
            let mut is_whole = true;
            while is_whole && room >= lane.widths[pick] {
                for (item, count) in &mut pieces {
                    // The two ways of an item share its demand.
                    *count = (*count).min(filled.left[*item]);
                    filled.left[*item] -= *count;
                    filled.worth += i128::from(self.values[*item]) * i128::from(*count);
                }
                room -= lane.widths[pick];
                filled.sheet.strips.push((pick, pieces.clone()));
                is_whole = pieces
                    .iter()
                    .all(|&(item, count)| filled.left[item] >= count);
            }
        }
        (!filled.sheet.strips.is_empty()).then_some(filled)
    }

    /// Items on a sheet with much waste become dearer, those on a full one cheaper.
    fn learn(&mut self, sheet: &Loaded) {
        let price = self.model.kinds[self.model.beds[sheet.bed].kind].price;
        if price == 0 {
            return;
        }
        let packed: i128 = sheet
            .pieces()
            .map(|&(item, count)| self.areas[item] * i128::from(count))
            .sum();
        let scaled = i128::from(price) * i128::from(VALUE_SCALE) / i128::from(self.model.dearest());
        let mut items: Vec<usize> = sheet.pieces().map(|entry| entry.0).collect();
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
            let share = 850 + self.draw.below(331) as i128;
            self.values[idx] = narrow(i128::from(self.values[idx]) * share / 1000).max(1);
        }
    }

    /// The next below `most` of a fixed sequence that looks random.
    pub(super) fn draw(&mut self, most: usize) -> usize {
        self.draw.below(most)
    }
}

/// How often a sheet is cut so, of all the times that pieces are left for: half, so that values can learn from the rest.
fn times_within(filled: &Filled, left: &[u32]) -> u32 {
    let items = left
        .iter()
        .zip(&filled.left)
        .filter(|(left, after)| left > after);
    let times = items.map(|(left, after)| left / (left - after)).min();
    times.unwrap_or(1).div_ceil(2)
}

fn narrow(value: i128) -> i64 {
    i64::try_from(value.min(1 << 40)).expect("cut down to it")
}

//! The two knapsacks of two-stage patterns, in whole numbers: the best strip of every width, the best set of strips.

use std::collections::BTreeMap;

use super::holding::{Held, best_strip};
use super::model::Lane;
use super::places::{Back, NOWHERE};
use crate::solve::meter::Meter;

/// `(class, (item, how many at least) of each, price)`.
pub(super) type HoldingPrice = (usize, Vec<(usize, u32)>, i64);

/// What pieces and strips of a lane are worth.
#[derive(Clone, Debug, Default)]
pub(super) struct LanePrices {
    /// Of each item of the model; what is not above 0 is not cut for its own sake.
    pub(super) items: Vec<i64>,
    /// `(class, item, price)`: a piece of the item is worth so much more in strips of this class or a wider one.
    pub(super) pieces: Vec<(usize, usize, i64)>,
    /// `(class, price)`: a strip of this class or a wider one is worth so much more.
    pub(super) strips: Vec<(usize, i64)>,
    /// `(bed, class, price)`: so is a sheet of the bed whose widest strip is of this class or a wider one.
    pub(super) widest: Vec<(usize, usize, i64)>,
    /// `(class, least, price)`: so is a strip of this class or a wider one that holds of each item at least so many.
    pub(super) holding: Vec<HoldingPrice>,
}

impl LanePrices {
    /// What a strip of `class` is worth by itself.
    fn of_strip(&self, class: usize) -> i64 {
        let own = self.strips.iter().filter(|&&(from, _)| from <= class);
        own.map(|&(_, price)| price).sum()
    }

    /// The classes of the widest strip from which on sheets of a bed are worth more, or less, and how much; rising.
    pub(super) fn of_widest(&self, bed: usize) -> Vec<(usize, i64)> {
        let own = self.widest.iter().filter(|entry| entry.0 == bed);
        let mut own: Vec<(usize, i64)> = own.map(|&(_, class, price)| (class, price)).collect();
        own.sort_unstable();
        own
    }

    /// What pieces are worth in strips of `class`.
    fn of_pieces(&self, class: usize) -> Vec<i64> {
        let mut prices = self.items.clone();
        for &(from, item, price) in &self.pieces {
            if from <= class {
                prices[item] += price;
            }
        }
        prices
    }
}

/// The best strip of every class of a lane, each with a piece as wide as it.
#[derive(Debug)]
pub(super) struct StripTable<'m> {
    lane: &'m Lane,
    /// `values[class]` is what the best strip of the class is worth, its own price included; far below 0 where there is none.
    pub(super) values: Vec<i64>,
    sections: Vec<Section>,
    /// The pieces of the best strips of classes in which it counts what a strip holds.
    holding: BTreeMap<usize, Vec<(usize, u32)>>,
}

/// Choices for the classes from one on, in which pieces have the same prices.
#[derive(Debug)]
struct Section {
    first_class: usize,
    /// By lay.
    taken: Vec<Taken>,
    /// By class: whether the best before each place has a piece of the class; empty where none has.
    used: Vec<Vec<bool>>,
}

/// Pieces of a lay on a strip that has a piece of its class.
#[derive(Debug, Default)]
struct Taken {
    /// How many are the last ones before each place; empty where there are none.
    counts: Vec<u16>,
    /// Whether the best before each place, without the lay, has no piece of the class; empty where none has.
    narrower: Vec<bool>,
}

/// No strip.
const NO_STRIP: i64 = i64::MIN / 4;

impl<'m> StripTable<'m> {
    /// Fills the tables, of each item no more than `demand` in each way that it can lie.
    pub(super) fn new(
        lane: &'m Lane,
        prices: &LanePrices,
        demand: &[u32],
        meter: &Meter<'_>,
    ) -> StripTable<'m> {
        StripTable::within(lane, prices, demand, lane.widths.len(), meter)
    }

    /// The same for the first `n_classes` classes.
    pub(super) fn within(
        lane: &'m Lane,
        prices: &LanePrices,
        demand: &[u32],
        n_classes: usize,
        meter: &Meter<'_>,
    ) -> StripTable<'m> {
        let mut firsts: Vec<usize> = prices.pieces.iter().map(|&(class, _, _)| class).collect();
        firsts.push(0);
        firsts.sort_unstable();
        firsts.dedup();
        // From here on it counts what a strip holds.
        let held = prices.holding.iter().map(|held| held.0);
        let n_filled = held.min().unwrap_or(n_classes).min(n_classes);
        firsts.retain(|&first| first < n_filled);
        let mut table = StripTable {
            lane,
            values: Vec::with_capacity(n_classes),
            sections: Vec::new(),
            holding: BTreeMap::new(),
        };
        for (idx, &first_class) in firsts.iter().enumerate() {
            let end = firsts.get(idx + 1).copied().unwrap_or(n_filled);
            table.fill(
                first_class,
                end,
                &prices.of_pieces(first_class),
                demand,
                meter,
            );
        }
        table.hold(n_classes, prices, demand, meter);
        for (class, value) in table.values.iter_mut().enumerate() {
            *value += prices.of_strip(class);
        }
        table
    }

    /// Finds the best strips of the other classes, up to `n_classes`, in which it counts what a strip holds.
    fn hold(&mut self, n_classes: usize, prices: &LanePrices, demand: &[u32], meter: &Meter<'_>) {
        for class in self.values.len()..n_classes {
            let helds = prices.holding.iter().filter(|held| held.0 <= class);
            let helds: Vec<Held<'_>> = helds
                .map(|(_, least, price)| (least.as_slice(), *price))
                .collect();
            let items = prices.of_pieces(class);
            let best = best_strip(self.lane, class, &items, &helds, demand, meter);
            let (value, pieces) = best.unwrap_or((NO_STRIP, Vec::new()));
            self.values.push(value);
            self.holding.insert(class, pieces);
        }
    }

    fn fill(
        &mut self,
        first_class: usize,
        end: usize,
        prices: &[i64],
        demand: &[u32],
        meter: &Meter<'_>,
    ) {
        let lane = self.lane;
        let places = &lane.along_places;
        let last = places.len() - 1;
        // The best before each place, all classes so far.
        let mut best = vec![0i64; places.len()];
        let mut section = Section {
            first_class,
            taken: Vec::new(),
            used: Vec::new(),
        };
        for class in 0..end {
            // The best with a piece of the class; nothing yet.
            let mut with: Option<Vec<i64>> = None;
            let first_lay = class.checked_sub(1).map_or(0, |class| lane.ends[class]);
            for idx in first_lay..lane.ends[class] {
                let lay = &lane.lays[idx];
                let price = prices[lay.item];
                let fits = i64::from(demand[lay.item]).min(lane.length / lay.along);
                // What is worth nothing is there once at most, for the sake of the width.
                let most = if price > 0 { fits } else { fits.min(1) };
                let most = u16::try_from(most).unwrap_or(u16::MAX);
                let taken = if most == 0 {
                    Taken::default()
                } else {
                    meter.spend((usize::from(most) + 1) as u64 * places.len() as u64);
                    add_lay(&best, &mut with, places.back(idx), price, most)
                };
                section.taken.push(taken);
            }
            let Some(with) = with else {
                section.used.push(Vec::new());
                if class >= first_class {
                    self.values.push(NO_STRIP);
                }
                continue;
            };
            if class >= first_class {
                self.values.push(with[last]);
            }
            let used = best.iter().zip(&with).map(|(best, with)| with > best);
            section.used.push(used.collect());
            for (best, &with) in best.iter_mut().zip(&with) {
                *best = (*best).max(with);
            }
        }
        self.sections.push(section);
    }

    /// The pieces of the best strip of a class, by item; none where no strip has that class.
    pub(super) fn strip(&self, class: usize) -> Vec<(usize, u32)> {
        if let Some(known) = self.holding.get(&class) {
            return known.clone();
        }
        let section = self
            .sections
            .partition_point(|section| section.first_class <= class)
            - 1;
        let section = &self.sections[section];
        let lane = self.lane;
        let mut place = lane.along_places.len() - 1;
        let mut counts: Vec<(usize, u32)> = Vec::new();
        for own in (0..=class).rev() {
            let is_used = section.used[own].get(place).copied().unwrap_or(false);
            if own < class && !is_used {
                continue;
            }
            let first_lay = own.checked_sub(1).map_or(0, |own| lane.ends[own]);
            for lay in (first_lay..lane.ends[own]).rev() {
                let taken = &section.taken[lay];
                let count = taken.counts.get(place).copied().unwrap_or(0);
                if count == 0 {
                    continue;
                }
                for _ in 0..count {
                    place = lane
                        .along_places
                        .back(lay)
                        .from(place)
                        .expect("the pieces lay before it");
                }
                crate::cutting::add_count(&mut counts, lane.lays[lay].item, u32::from(count));
                if taken.narrower.get(place).copied().unwrap_or(true) {
                    break;
                }
            }
        }
        counts
    }
}

/// Improves `with`, the best strips that have a piece of a class, by up to `most` pieces of it worth `price` each; `narrower`
/// are the best without one.
fn add_lay(
    narrower: &[i64],
    with: &mut Option<Vec<i64>>,
    back: &Back,
    price: i64,
    most: u16,
) -> Taken {
    let mut taken = Taken {
        counts: vec![0; narrower.len()],
        narrower: Vec::new(),
    };
    let Some(own) = with else {
        let mut own = vec![NO_STRIP; narrower.len()];
        improve(&mut own, &mut taken.counts, narrower, back, price, most);
        *with = Some(own);
        return taken;
    };
    let before: Vec<i64> = own
        .iter()
        .zip(narrower)
        .map(|(&own, &narrower)| own.max(narrower))
        .collect();
    taken.narrower = own
        .iter()
        .zip(narrower)
        .map(|(own, narrower)| narrower >= own)
        .collect();
    improve(own, &mut taken.counts, &before, back, price, most);
    taken
}

/// Improves `own` by 1 to `most` pieces worth `price` each behind the best `before`.
fn improve(
    own: &mut [i64],
    counts: &mut [u16],
    before: &[i64],
    back: &Back,
    price: i64,
    most: u16,
) {
    match back {
        Back::Steps(steps) => {
            for count in 1..=most {
                let shift = usize::from(count) * steps;
                let worth = i64::from(count) * price;
                if shift >= own.len() {
                    break;
                }
                let places = own[shift..].iter_mut().zip(&mut counts[shift..]);
                for ((own, taken), &before) in places.zip(before) {
                    let value = before + worth;
                    let is_better = value > *own;
                    *own = if is_better { value } else { *own };
                    *taken = if is_better { count } else { *taken };
                }
            }
        }
        Back::Listed(back) => {
            for place in 0..own.len() {
                let mut from = place;
                let mut worth = 0;
                for count in 1..=most {
                    if back[from] == NOWHERE {
                        break;
                    }
                    from = back[from] as usize;
                    worth += price;
                    if before[from] + worth > own[place] {
                        own[place] = before[from] + worth;
                        counts[place] = count;
                    }
                }
            }
        }
    }
}

/// The best strips side by side in every room of a lane.
#[derive(Debug)]
struct SheetTable<'m> {
    lane: &'m Lane,
    best: Vec<i64>,
    /// The last class before each place; `NOWHERE` where the place before it is as good.
    last: Vec<u32>,
}

/// The best strips of one sheet.
#[derive(Clone, Debug, Default)]
pub(super) struct BestSheet {
    /// What they are worth, with what the sheet is worth for the widest of them.
    pub(super) value: i64,
    /// `(class, how many)`, by rising class.
    pub(super) strips: Vec<(usize, u32)>,
}

/// The best sheets of a lane, strips of each class being worth `values`.
#[derive(Debug)]
pub(super) struct Sheets<'m> {
    lane: &'m Lane,
    values: Vec<i64>,
    /// The table of all classes, and those of the narrower ones that were asked for, by the number of classes.
    tables: Vec<(usize, SheetTable<'m>)>,
}

impl<'m> Sheets<'m> {
    /// Fills the table of all classes.
    pub(super) fn new(lane: &'m Lane, values: &[i64], meter: &Meter<'_>) -> Sheets<'m> {
        let table = SheetTable::new(lane, values, meter);
        Sheets {
            lane,
            values: values.to_vec(),
            tables: vec![(values.len(), table)],
        }
    }

    /// The best sheet with a room; `widest` are the classes of its widest strip from which on it is worth more or less.
    pub(super) fn best(
        &mut self,
        room: i64,
        widest: &[(usize, i64)],
        meter: &Meter<'_>,
    ) -> BestSheet {
        let (_, all) = &self.tables[0];
        let Some(&(first, _)) = widest.first() else {
            return BestSheet {
                value: all.value(room),
                strips: all.strips(room),
            };
        };
        // The classes from `first` on are parted where the price changes; of each part one strip must be there.
        let below = self.table(first, meter);
        let mut best = BestSheet {
            value: below.value(room),
            strips: below.strips(room),
        };
        let mut price = 0;
        for (idx, &(from, own)) in widest.iter().enumerate() {
            price += own;
            let end = widest.get(idx + 1).map_or(self.values.len(), |next| next.0);
            for class in from..end {
                let rest = room - self.lane.widths[class];
                let strip = self.values[class];
                if rest < 0 || strip <= NO_STRIP / 2 {
                    continue;
                }
                let table = self.table(end, meter);
                let value = table.value(rest) + strip + price;
                if value > best.value {
                    let mut strips = table.strips(rest);
                    crate::cutting::add_count(&mut strips, class, 1);
                    best = BestSheet { value, strips };
                }
            }
        }
        best
    }

    /// The table of the first `n_classes` classes.
    fn table(&mut self, n_classes: usize, meter: &Meter<'_>) -> &SheetTable<'m> {
        let known = self.tables.iter().position(|&(own, _)| own == n_classes);
        let at = known.unwrap_or_else(|| {
            let table = SheetTable::new(self.lane, &self.values[..n_classes], meter);
            self.tables.push((n_classes, table));
            self.tables.len() - 1
        });
        &self.tables[at].1
    }
}

impl<'m> SheetTable<'m> {
    /// Fills the table, strips of each class being worth `values`.
    fn new(lane: &'m Lane, values: &[i64], meter: &Meter<'_>) -> SheetTable<'m> {
        let places = &lane.across_places;
        let mut worthy: Vec<usize> = Vec::new();
        let mut top = 0;
        for (class, &value) in values.iter().enumerate() {
            // A strip that is worth no more than a narrower one is of no use.
            if value > top {
                worthy.push(class);
            }
            top = top.max(value);
        }
        let mut best = vec![0i64; places.len()];
        let mut last = vec![NOWHERE; places.len()];
        for place in 1..places.len() {
            best[place] = best[place - 1];
            for &class in &worthy {
                let Some(from) = places.back(class).from(place) else {
                    break;
                };
                let value = best[from] + values[class];
                if value > best[place] {
                    best[place] = value;
                    last[place] = u32::try_from(class).expect("classes are few");
                }
            }
        }
        meter.spend((places.len() * (worthy.len() + 1)) as u64);
        SheetTable { lane, best, last }
    }

    /// What the best strips within a room are worth.
    fn value(&self, room: i64) -> i64 {
        self.best[self.lane.across_places.last_within(room)]
    }

    /// These strips, by class.
    fn strips(&self, room: i64) -> Vec<(usize, u32)> {
        let places = &self.lane.across_places;
        let mut place = places.last_within(room);
        let mut counts = Vec::new();
        while place > 0 {
            let class = self.last[place];
            if class == NOWHERE {
                place -= 1;
            } else {
                crate::cutting::add_count(&mut counts, class as usize, 1);
                let from = places.back(class as usize).from(place);
                place = from.expect("the strip lay before it");
            }
        }
        counts
    }
}

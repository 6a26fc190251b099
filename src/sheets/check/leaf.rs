//! What the strips and pieces of one sheet are worth at most, at the prices of a leaf.

use std::collections::BTreeMap;

use super::frontier::Frontier;
use super::holding::{self, Held, Lying};
use crate::sheets::certificate::Count;
use crate::sheets::job::{Along, Bed, Kind, SheetJob, Trim};

/// A condition on the way to a leaf.
#[derive(Clone, Copy, Debug)]
pub(super) struct Condition<'a> {
    pub(super) count: &'a Count,
    /// The number in it: at most that, or at least that.
    pub(super) number: i64,
    /// Whether it is at least.
    pub(super) over: bool,
    pub(super) price: i64,
}

/// Usable size along the strips of a bed, and across them.
pub(super) fn usable(kind: &Kind, along: Along) -> (i64, i64) {
    let Trim {
        left,
        right,
        bottom,
        top,
    } = kind.trim;
    let (width, height) = (kind.width - left - right, kind.height - bottom - top);
    match along {
        Along::Width => (width, height),
        Along::Height => (height, width),
    }
}

/// Whether the cutter can part sheets of a kind so.
pub(super) fn is_bed(job: &SheetJob, bed: Bed) -> bool {
    let kind = &job.kinds()[bed.kind];
    let first = if bed.along == Along::Width {
        kind.width
    } else {
        kind.height
    };
    job.cutter().strips.is_none_or(|only| only == bed.along)
        && job.cutter().longest_first.is_none_or(|most| first <= most)
}

/// The ways that an item may lie on strips that run `way`: `(along, across)`.
pub(super) fn lies(job: &SheetJob, item: usize, way: Along) -> Vec<(i64, i64)> {
    let own = job.items()[item];
    let natural = match way {
        Along::Width => (own.width, own.height),
        Along::Height => (own.height, own.width),
    };
    let mut ways = vec![natural];
    if own.turnable && own.width != own.height {
        ways.push((natural.1, natural.0));
    }
    let most = job.cutter().longest_second.unwrap_or(i64::MAX);
    ways.retain(|&(_, across)| across <= most);
    ways
}

/// A piece as it may lie on a strip: `(across, along, item)`.
type Lie = (i64, i64, usize);

/// What strips of one length and direction are worth: by their width, without a kerf.
type Strips = BTreeMap<i64, i128>;

/// The worths of sheets at the prices of one leaf, each kind of strip worked out once.
pub(super) struct Worths<'a> {
    pub(super) job: &'a SheetJob,
    /// By item; 0 for those that count nothing.
    pub(super) prices: &'a [i64],
    pub(super) conditions: &'a [Condition<'a>],
    /// By usable length, direction and the conditions that count such strips.
    known: BTreeMap<(i64, Along, Vec<usize>), Strips>,
    /// Pairs looked at.
    pub(super) work: u64,
}

impl<'a> Worths<'a> {
    pub(super) fn new(
        job: &'a SheetJob,
        prices: &'a [i64],
        conditions: &'a [Condition<'a>],
    ) -> Worths<'a> {
        Worths {
            job,
            prices,
            conditions,
            known: BTreeMap::new(),
            work: 0,
        }
    }

    /// What one sheet of a bed counts at most, with its strips and pieces.
    pub(super) fn of(&mut self, bed: Bed) -> i128 {
        let (length, room) = usable(&self.job.kinds()[bed.kind], bed.along);
        let counting = |condition: &Condition<'_>| match condition.count {
            Count::Sheets { .. } => false,
            Count::Strips { beds, .. }
            | Count::Pieces { beds, .. }
            | Count::Holding { beds, .. } => beds.contains(&bed),
        };
        let own: Vec<usize> = (0..self.conditions.len())
            .filter(|&idx| counting(&self.conditions[idx]))
            .collect();
        let key = (length, bed.along, own);
        if !self.known.contains_key(&key) {
            let strips = self.strips(length, bed.along, &key.2);
            self.known.insert(key.clone(), strips);
        }
        let kerf = self.job.cutter().kerf;
        let room = room + kerf;
        let mut side_by_side = Frontier::start();
        let mut most = None;
        for (&width, &worth) in &self.known[&key] {
            let mut repeated = if worth > 0 {
                side_by_side.clone()
            } else {
                Frontier::default()
            };
            while !repeated.is_empty() {
                repeated = repeated.with(width + kerf, worth, room);
                self.work += (side_by_side.len() + repeated.len()) as u64;
                side_by_side = side_by_side.or(&repeated);
            }
            // With one strip as wide as this, and others that are no wider.
            let rest = side_by_side.within(room - width - kerf);
            most = most.max(rest.map(|rest| rest + worth + self.of_sheet(bed, width)));
        }
        most.unwrap_or(0)
    }

    /// What conditions give a sheet of a bed whose widest strip has a width.
    fn of_sheet(&self, bed: Bed, width: i64) -> i128 {
        let counting = self.conditions.iter().filter(|condition| {
            matches!(condition.count, Count::Sheets { beds, width: least } if *least <= width && beds.contains(&bed))
        });
        counting.map(|condition| i128::from(condition.price)).sum()
    }

    /// What strips of each width are worth: the best pieces of which the widest is just as wide.
    fn strips(&mut self, length: i64, way: Along, own: &[usize]) -> Strips {
        let kerf = self.job.cutter().kerf;
        let room = length + kerf;
        let n_items = self.job.items().len();
        let mut pieces: Vec<Lie> = Vec::new();
        for item in (0..n_items).filter(|&item| self.job.items()[item].demand > 0) {
            let fitting = lies(self.job, item, way)
                .into_iter()
                .filter(|&(along, _)| along <= length);
            pieces.extend(fitting.map(|(along, across)| (across, along + kerf, item)));
        }
        pieces.sort_unstable();
        let mut strips = Strips::new();
        let mut narrower = Frontier::start();
        // Prices of pieces may change with the width of the strip.
        let mut prices = self.prices_in(i64::MIN, own);
        let mut first = 0;
        while first < pieces.len() {
            let width = pieces[first].0;
            let end = pieces.partition_point(|piece| piece.0 <= width);
            let here = self.prices_in(width, own);
            if here != prices {
                narrower = Frontier::start();
                prices = here;
                for piece in &pieces[..first] {
                    let taken = self.repeated(&narrower, piece, &prices, room);
                    narrower = narrower.or(&taken);
                }
            }
            let mut with = Frontier::default();
            for piece in &pieces[first..end] {
                let either = narrower.or(&with);
                let taken = self.repeated(&either, piece, &prices, room);
                with = with.or(&taken);
            }
            let helds = self.helds(width, own);
            let best = if helds.is_empty() {
                with.within(room)
            } else {
                let lying = self.lying(&pieces[..end], width, &prices);
                holding::best(&lying, &helds, room, &mut self.work)
            };
            if let Some(best) = best {
                let strip: i128 = own.iter().map(|&idx| self.of_strip(idx, width)).sum();
                strips.insert(width, best + strip);
            }
            narrower = narrower.or(&with);
            first = end;
        }
        strips
    }

    /// A frontier with one piece more of an item, or several, up to its demand.
    fn repeated(
        &mut self,
        start: &Frontier,
        &(_, along, item): &Lie,
        prices: &[i128],
        room: i64,
    ) -> Frontier {
        let mut all = Frontier::default();
        let mut last = start.clone();
        for _ in 0..self.job.items()[item].demand {
            last = last.with(along, prices[item], room);
            self.work += (all.len() + last.len() + 1) as u64;
            if last.is_empty() {
                break;
            }
            all = all.or(&last);
            if prices[item] <= 0 {
                break;
            }
        }
        all
    }

    /// What pieces count in strips so wide that some conditions may count.
    fn prices_in(&self, width: i64, own: &[usize]) -> Vec<i128> {
        let mut prices: Vec<i128> = self.prices.iter().map(|&price| i128::from(price)).collect();
        for &idx in own {
            if let Count::Pieces {
                items,
                width: least,
                ..
            } = self.conditions[idx].count
                && *least <= width
            {
                for &item in items {
                    prices[item] += i128::from(self.conditions[idx].price);
                }
            }
        }
        prices
    }

    /// What strips of a width are worth more for what they hold.
    fn helds(&self, width: i64, own: &[usize]) -> Vec<Held<'a>> {
        let held = |&idx: &usize| match &self.conditions[idx] {
            Condition {
                count: Count::Holding {
                    least, width: from, ..
                },
                price,
                ..
            } if *from <= width && *price != 0 => Some(Held {
                least,
                price: i128::from(*price),
            }),
            _ => None,
        };
        own.iter().filter_map(held).collect()
    }

    /// Each item that fits a strip of a width, in the way that takes least of its length.
    fn lying(&self, pieces: &[Lie], width: i64, prices: &[i128]) -> Vec<Lying> {
        let mut shortest: BTreeMap<usize, Lie> = BTreeMap::new();
        for &piece in pieces {
            let known = shortest.entry(piece.2).or_insert(piece);
            if piece.1 < known.1 {
                *known = piece;
            }
        }
        let lying = shortest.into_values().map(|(across, along, item)| Lying {
            item,
            along,
            is_wide: across == width,
            most: self.job.items()[item].demand,
            price: prices[item],
        });
        lying.collect()
    }

    /// What a condition gives a strip of a width.
    fn of_strip(&self, idx: usize, width: i64) -> i128 {
        match self.conditions[idx].count {
            Count::Strips { width: least, .. } if *least <= width => {
                i128::from(self.conditions[idx].price)
            }
            _ => 0,
        }
    }
}

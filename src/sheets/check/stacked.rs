//! What one sheet is worth at most in three stages of cuts, at prices of its pieces alone.

use std::collections::BTreeMap;

use super::frontier::Frontier;
use super::leaf::{lies, usable};
use crate::sheets::job::{Along, Bed, SheetJob};

/// The worths of sheets at some prices, each size of sheet worked out once.
///
/// Wherever sizes are put one beside the other each has a kerf behind it, and so has the room.
pub(super) struct StackedWorths<'a> {
    job: &'a SheetJob,
    prices: &'a [i64],
    /// By usable length and width, and direction of the strips.
    known: BTreeMap<(i64, i64, Along), i128>,
    /// Pairs looked at.
    pub(super) work: u64,
}

/// Stacks as long as their longest piece, or shorter: that length, and what is to be had within a width.
type Stacks = Vec<(i64, Frontier)>;

impl<'a> StackedWorths<'a> {
    /// `prices` are those of the items, 0 or more.
    pub(super) fn new(job: &'a SheetJob, prices: &'a [i64]) -> StackedWorths<'a> {
        StackedWorths {
            job,
            prices,
            known: BTreeMap::new(),
            work: 0,
        }
    }

    /// What the pieces of one sheet of a bed count at most.
    pub(super) fn of(&mut self, bed: Bed) -> i128 {
        let (length, width) = usable(&self.job.kinds()[bed.kind], bed.along);
        let key = (length, width, bed.along);
        if let Some(&known) = self.known.get(&key) {
            return known;
        }
        let kerf = self.job.cutter().kerf;
        let stacks = self.stacks(length, width, bed.along);
        let mut widths: Vec<i64> = stacks
            .iter()
            .flat_map(|(_, stacks)| stacks.sizes())
            .collect();
        widths.sort_unstable();
        widths.dedup();
        let mut side_by_side = Frontier::start();
        let mut last = 0;
        for width_of_strip in widths {
            let worth = self.strip(&stacks, width_of_strip, length + kerf);
            // A strip that is worth no more than a narrower one is of no use.
            if worth > last {
                last = worth;
                side_by_side = self.repeated(&side_by_side, width_of_strip, worth, width + kerf);
            }
        }
        let most = side_by_side.within(width + kerf).unwrap_or(0);
        self.known.insert(key, most);
        most
    }

    /// The stacks that a strip within a sheet can have, by rising length.
    fn stacks(&mut self, length: i64, width: i64, way: Along) -> Stacks {
        let kerf = self.job.cutter().kerf;
        let widest = self.job.cutter().longest_second.unwrap_or(width).min(width);
        let room = widest + kerf;
        let mut by_length: BTreeMap<i64, Vec<(i64, usize)>> = BTreeMap::new();
        for item in (0..self.job.items().len()).filter(|&item| self.prices[item] > 0) {
            for (along, across) in lies(self.job, item, way) {
                if along <= length && across <= widest {
                    by_length.entry(along).or_default().push((across, item));
                }
            }
        }
        let mut best = Frontier::start();
        let mut stacks = Stacks::new();
        for (along, pieces) in by_length {
            for (across, item) in pieces {
                let mut with = best.clone();
                for _ in 0..self.job.items()[item].demand {
                    with = with.with(across + kerf, i128::from(self.prices[item]), room);
                    self.work += (best.len() + with.len() + 1) as u64;
                    if with.is_empty() {
                        break;
                    }
                    best = best.or(&with);
                }
            }
            stacks.push((along + kerf, best.clone()));
        }
        stacks
    }

    /// What the best row of stacks within a width of strip is worth.
    fn strip(&mut self, stacks: &Stacks, width: i64, room: i64) -> i128 {
        let mut row = Frontier::start();
        let mut last = 0;
        for (length, stacks) in stacks {
            let worth = stacks.within(width).unwrap_or(0);
            // A longer stack that is worth no more is of no use.
            if worth > last {
                last = worth;
                row = self.repeated(&row, *length, worth, room);
            }
        }
        row.within(room).unwrap_or(0)
    }

    /// A frontier with something added any number of times.
    fn repeated(&mut self, start: &Frontier, size: i64, worth: i128, room: i64) -> Frontier {
        let mut all = start.clone();
        let mut more = start.clone();
        while !more.is_empty() {
            more = more.with(size, worth, room);
            self.work += (all.len() + more.len() + 1) as u64;
            all = all.or(&more);
        }
        all
    }
}

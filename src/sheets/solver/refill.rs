//! Some sheets of a plan are emptied and their pieces put on sheets anew, again and again: a large neighborhood of the plan.
//!
//! # Source
//! P. Shaw, CP 1998, LNCS 1520, 417-431 (large neighborhood search; from memory).

use super::correction::Correction;
use super::loaded::Loaded;
use crate::solve::meter::Meter;

impl Correction<'_> {
    /// One round: two to five sheets are filled anew. What costs no more takes their place; tells whether it costs less.
    pub(super) fn refill(&mut self, sheets: &mut Vec<Loaded>, meter: &Meter<'_>) -> bool {
        let model = self.model();
        if sheets.len() < 2 {
            return false;
        }
        let n_emptied = (2 + self.draw(4)).min(sheets.len());
        let mut emptied = Vec::new();
        for _ in 0..n_emptied {
            let at = self.draw(sheets.len());
            emptied.push(sheets.swap_remove(at));
        }
        let price = |sheet: &Loaded| model.kinds[model.beds[sheet.bed].kind].price;
        let cost: i64 = emptied.iter().map(price).sum();
        let mut left = vec![0; model.items.len()];
        for &(item, count) in emptied.iter().flat_map(Loaded::pieces) {
            left[item] += count;
        }
        let mut supply: Vec<u32> = model.kinds.iter().map(|kind| kind.limit).collect();
        for sheet in sheets.iter() {
            supply[model.beds[sheet.bed].kind] -= 1;
        }
        let found = self.pass(left, supply, cost, meter);
        let found = found.filter(|found| found.n_missing() == 0 && found.cost <= cost);
        let Some(found) = found else {
            sheets.extend(emptied);
            return false;
        };
        sheets.extend(found.sheets);
        found.cost < cost
    }
}

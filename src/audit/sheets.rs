//! Judges what is cut from sheets, and the proof of its bound, from the job alone.
//!
//! What is wanted, where it may lie and what a sheet counts are derived here once more; a proof is followed by
//! [`check_certificate`](crate::sheets::check::check_certificate), which shares nothing with the solver, on a job for it that is
//! put together here.

mod face;
mod proof;
mod wanted;

use std::collections::BTreeSet;

use super::nm;
use super::violation::{Figure, Kind, Place, Violation};
use crate::job::{Job, Material, MaterialKey, SheetTrim};
use crate::plan::Verdict;
use crate::plan::sheets::{
    MaterialPlan, PlannedSheet, SheetCut, SheetPiece, SheetSource, SheetStrip,
};
use crate::sheets::job::{Along, Stages};

pub use proof::prove_sheets;
use wanted::{Pieces, Size, counts, droppable, wanted};

/// Every way in which the plans of some materials contradict the job or themselves; empty where they are sound.
///
/// They must be those of all materials whose sheets the job states, in the order of their keys; of others none, or all that
/// the job needs where `all` is set. That a bound holds is looked at by [`prove_sheets`].
///
/// # Panics
/// Only if `job` breaks its own invariants.
pub fn check_sheets(job: &Job, plans: &[MaterialPlan], all: bool) -> Vec<Violation> {
    let wanted = wanted(job, all);
    let mut found = Vec::new();
    let is_in_order = plans.windows(2).all(|two| two[0].key < two[1].key);
    let keys: BTreeSet<&MaterialKey> = plans.iter().map(|plan| &plan.key).collect();
    if !is_in_order || !keys.iter().copied().eq(wanted.keys()) {
        return vec![Place::WHOLE.has(Kind::WrongMaterials)];
    }
    for (position, plan) in plans.iter().enumerate() {
        let judge = Judge {
            job,
            material: &job.material(&plan.key),
            wanted: &wanted[&plan.key],
            plan,
            place: Place::material(position),
        };
        judge.check(&mut found);
    }
    found
}

/// One material being judged.
struct Judge<'a> {
    job: &'a Job,
    material: &'a Material,
    wanted: &'a Pieces,
    plan: &'a MaterialPlan,
    place: Place,
}

/// Where things may lie in one direction: from and to.
type Span = (i128, i128);

impl Judge<'_> {
    fn check(&self, found: &mut Vec<Violation>) {
        self.check_presence(found);
        let mut taken = vec![0_u64; self.material.stock.len()];
        let mut value: i128 = 0;
        // Mats that are cut on earlier sheets, and whose fallout is not used.
        let mut fresh: BTreeSet<SheetPiece> = BTreeSet::new();
        for (position, sheet) in self.plan.sheets.iter().enumerate() {
            let place = self.place.with_sheet(position);
            match sheet.source {
                SheetSource::Stock(idx) if idx < taken.len() => {
                    taken[idx] += 1;
                    value += counts(self.material, idx);
                }
                SheetSource::Fallout(mat) if fresh.remove(&mat) => {}
                SheetSource::Stock(_) | SheetSource::Fallout(_) => {
                    found.push(place.has(Kind::NoSuchSheet));
                    continue;
                }
            }
            self.check_sheet(sheet, place, found);
            fresh.extend(sheet.cuts().map(|cut| cut.piece));
        }
        for (stock, taken) in self.material.stock.iter().zip(taken) {
            if let Some(supply) = stock.quantity
                && taken > u64::from(supply)
            {
                found.push(self.place.has(Kind::SupplyExceeded { taken, supply }));
            }
        }
        self.check_figures(value, found);
    }

    /// Size and trims of a sheet; `None` where the job has none, or what drops out of that window may not be cut.
    fn blank(&self, source: SheetSource) -> Option<(Size, SheetTrim)> {
        match source {
            SheetSource::Stock(idx) => {
                let stock = self.material.stock.get(idx)?;
                Some(((stock.width, stock.height), stock.trim))
            }
            SheetSource::Fallout(mat) => {
                let window = droppable(self.material, self.wanted.get(&mat)?)?;
                let loss = self.material.cutting.fallout?;
                self.plan
                    .has_fallout
                    .then_some((window, SheetTrim::all(loss)))
            }
        }
    }

    /// Every piece is there once, cut or missing, and no other; what drops out is there only where all are cut that can be.
    fn check_presence(&self, found: &mut Vec<Violation>) {
        let mut seen: BTreeSet<SheetPiece> = BTreeSet::new();
        let cut = self.plan.sheets.iter().flat_map(PlannedSheet::cuts);
        let cut = cut.map(|cut| cut.piece);
        for piece in cut.chain(self.plan.missing.iter().copied()) {
            if !self.wanted.contains_key(&piece) {
                found.push(self.place.has(Kind::UnknownPart));
            } else if !seen.insert(piece) {
                found.push(self.place.has(Kind::RepeatedPart));
            }
        }
        if self.wanted.keys().any(|piece| !seen.contains(piece)) {
            found.push(self.place.has(Kind::LostPart));
        }
        let can_be_cut = |piece| self.wanted.get(piece).is_some_and(|wanted| wanted.fits);
        let may_drop =
            self.material.cutting.fallout.is_some() && !self.plan.missing.iter().any(can_be_cut);
        if self.plan.has_fallout && !may_drop {
            found.push(self.place.has(Kind::NoSuchSheet));
        }
    }

    fn check_sheet(&self, sheet: &PlannedSheet, place: Place, found: &mut Vec<Violation>) {
        let Some(((width, height), trim)) = self.blank(sheet.source) else {
            found.push(place.has(Kind::NoSuchSheet));
            return;
        };
        let across_page: Span = (nm(trim.left), nm(width) - nm(trim.right));
        let up_page: Span = (nm(trim.bottom), nm(height) - nm(trim.top));
        let (lengthwise, crosswise, first_cut) = match sheet.along {
            Along::Width => (across_page, up_page, width),
            Along::Height => (up_page, across_page, height),
        };
        let cutting = &self.material.cutting;
        if cutting.longest_first.is_some_and(|most| first_cut > most) {
            found.push(place.has(Kind::CutTooLong));
        }
        if sheet.strips.is_empty() {
            found.push(place.has(Kind::EmptyBoard));
        }
        let mut free = Free::new(crosswise, nm(cutting.kerf));
        for (position, strip) in sheet.strips.iter().enumerate() {
            let place = place.with_strip(position);
            free.take(
                nm(strip.from),
                nm(strip.from) + nm(strip.width),
                place,
                found,
            );
            if cutting
                .longest_second
                .is_some_and(|most| strip.width > most)
            {
                found.push(place.has(Kind::CutTooLong));
            }
            self.check_strip(sheet.along, strip, lengthwise, place, found);
        }
    }

    /// The stacks of a strip lie one after another, the pieces of each one above another from the edge of the strip, and strip
    /// and stacks are as large as these ask for.
    fn check_strip(
        &self,
        along: Along,
        strip: &SheetStrip,
        lengthwise: Span,
        place: Place,
        found: &mut Vec<Violation>,
    ) {
        let kerf = nm(self.material.cutting.kerf);
        let wrong = |figure: Figure, planned: i128, wanted: i128| Kind::Wrong {
            figure,
            planned: Some(planned),
            wanted: Some(wanted),
        };
        let begin = nm(strip.from);
        let mut free = Free::new(lengthwise, kerf);
        let mut widest = None;
        for stack in &strip.stacks {
            let from = nm(stack.from);
            free.take(from, from + nm(stack.length), place, found);
            if stack.cuts.len() > 1 && !self.material.cutting.third_cuts {
                found.push(place.has(Kind::ThirdCut));
            }
            // A stack may end anywhere; that the strip is as wide as the widest is looked at below.
            let mut upwards = Free::new((begin, i128::MAX), kerf);
            for cut in &stack.cuts {
                upwards.take(nm(cut.from), nm(cut.to), place, found);
                self.check_size(along, cut, place, found);
            }
            let Some((first, last)) = stack.cuts.first().zip(stack.cuts.last()) else {
                found.push(place.has(Kind::EmptyStrip));
                continue;
            };
            if nm(first.from) != begin {
                found.push(place.has(wrong(Figure::Begin, nm(first.from), begin)));
            }
            let longest = stack
                .cuts
                .iter()
                .map(|cut| nm(cut.along))
                .max()
                .unwrap_or(0);
            if longest != nm(stack.length) {
                found.push(place.has(wrong(Figure::StackLength, nm(stack.length), longest)));
            }
            widest = widest.max(Some(nm(last.to) - begin));
        }
        match widest {
            None => found.push(place.has(Kind::EmptyStrip)),
            Some(widest) if widest != nm(strip.width) => {
                found.push(place.has(wrong(Figure::StripWidth, nm(strip.width), widest)));
            }
            Some(_) => {}
        }
    }

    /// A piece is as large as it must be, and lies as it may.
    fn check_size(&self, along: Along, cut: &SheetCut, place: Place, found: &mut Vec<Violation>) {
        let Some(wanted) = self.wanted.get(&cut.piece) else {
            return;
        };
        let (width, height): Size = wanted.size;
        if cut.turned && !self.material.cutting.may_turn && width != height {
            found.push(place.has(Kind::MayNotBeTurned));
        }
        let (wide, high) = if cut.turned {
            (height, width)
        } else {
            (width, height)
        };
        let wanted = match along {
            Along::Width => (nm(wide), nm(high)),
            Along::Height => (nm(high), nm(wide)),
        };
        let planned = (nm(cut.along), nm(cut.to) - nm(cut.from));
        for (planned, wanted) in [(planned.0, wanted.0), (planned.1, wanted.1)] {
            if planned != wanted {
                found.push(place.has(Kind::Wrong {
                    figure: Figure::Length,
                    planned: Some(planned),
                    wanted: Some(wanted),
                }));
            }
        }
    }

    /// The value is the sum over the sheets, no bound is above it, and the verdict says whether they meet.
    fn check_figures(&self, value: i128, found: &mut Vec<Violation>) {
        let plan = self.plan;
        if i128::from(plan.value) != value {
            found.push(self.place.has(Kind::Wrong {
                figure: Figure::Value,
                planned: Some(plan.value.into()),
                wanted: Some(value),
            }));
        }
        let any_cuts = || plan.missing.is_empty() && face::asks_for(self.job, plan, self.wanted);
        // Of another value nothing is worked out.
        if i128::from(plan.value) == value && plan.any_cuts != any_cuts() {
            found.push(self.place.has(Kind::Wrong {
                figure: Figure::AnyCuts,
                planned: Some(plan.any_cuts.into()),
                wanted: Some((!plan.any_cuts).into()),
            }));
        }
        let n_missing = u64::try_from(plan.missing.len()).expect("a count fits 64 bits");
        let missing_lower_bound = plan.missing_lower_bound;
        if missing_lower_bound > n_missing {
            found.push(self.place.has(Kind::MissingBoundAboveMissing {
                missing_lower_bound,
                n_missing,
            }));
        }
        let is_fewest = missing_lower_bound == n_missing;
        // The bound is one on plans in two stages: what needs a third may cost less than all of them.
        let is_in_two = plan.stages() == Stages::Two;
        if is_fewest && is_in_two && plan.lower_bound > plan.value {
            found.push(self.place.has(Kind::BoundAboveValue {
                lower_bound: plan.lower_bound,
                value: plan.value,
            }));
        }
        // That on plans in three is one on both.
        let in_three = plan.lower_bound_in_three();
        if in_three > plan.value {
            found.push(self.place.has(Kind::BoundAboveValue {
                lower_bound: in_three,
                value: plan.value,
            }));
        }
        let bounds_meet = if is_in_two {
            is_fewest && plan.lower_bound == plan.value
        } else {
            plan.any_cuts || is_fewest && in_three == plan.value
        };
        if bounds_meet != (plan.verdict == Verdict::Optimal) {
            found.push(self.place.has(Kind::WrongVerdict {
                planned: plan.verdict,
                bounds_meet,
            }));
        }
    }
}

/// What is free in one direction behind what lies there.
struct Free {
    /// The end of what is taken, if anything is.
    last: Option<i128>,
    within: Span,
    kerf: i128,
}

impl Free {
    fn new(within: Span, kerf: i128) -> Free {
        Free {
            last: None,
            within,
            kerf,
        }
    }

    /// What lies from `from` to `to` must be within the trims, and a kerf behind what lies before it.
    fn take(&mut self, from: i128, to: i128, place: Place, found: &mut Vec<Violation>) {
        if from < self.within.0 {
            found.push(place.has(Kind::InNearTrim { from_nm: from }));
        }
        if to > self.within.1 || to <= from {
            found.push(place.has(Kind::InFarTrim { to_nm: to }));
        }
        if let Some(last) = self.last
            && from < last + self.kerf
        {
            found.push(place.has(Kind::NarrowGap {
                gap_nm: from - last,
                needed_nm: self.kerf,
            }));
        }
        self.last = Some(to);
    }
}

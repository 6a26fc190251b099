//! Judges what is cut from sheets, and the proof of its bound, from the job alone.
//!
//! What is wanted, where it may lie and what a sheet counts are derived here once more; a proof is followed by
//! [`check_certificate`], which shares nothing with the solver, on a job for it that is put together here.

use std::collections::{BTreeMap, BTreeSet};

use super::nm;
use super::violation::{Figure, Kind, Place, Violation};
use crate::frame::{package, rectangle_round};
use crate::job::{Job, Material, MaterialKey, Serves, SheetTrim};
use crate::length::Length;
use crate::plan::Verdict;
use crate::plan::sheets::{MaterialPlan, PlannedSheet, SheetCut, SheetPiece, SheetSource};
use crate::sheets::check::{ProofFault, check_certificate};
use crate::sheets::job::{self as model, Along, SheetJob};

/// What is wanted of one material: each piece with its width and height.
type Pieces = BTreeMap<SheetPiece, (Length, Length)>;

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

/// What of the bounds that the plans state is not proved by their certificates; empty where all is.
///
/// # Panics
/// If the plans are not sound, see [`check_sheets`].
pub fn prove_sheets(job: &Job, plans: &[MaterialPlan], all: bool) -> Vec<Violation> {
    let wanted = wanted(job, all);
    let mut found = Vec::new();
    for (position, plan) in plans.iter().enumerate() {
        let place = Place::material(position);
        let sheet_job = sheet_job(job, plan, &wanted[&plan.key]);
        let certificate = &plan.certificate;
        let holds = match check_certificate(&sheet_job, certificate) {
            Ok(()) => true,
            Err(ProofFault::TooMuchWork) => false,
            Err(_) => {
                found.push(place.has(Kind::Malformed));
                false
            }
        };
        let (missing, cost) = if holds {
            (certificate.missing, certificate.cost)
        } else {
            (0, 0)
        };
        if plan.missing_lower_bound > missing {
            let missing = plan.missing_lower_bound;
            found.push(place.has(Kind::MissingNotProved { missing }));
        } else if plan.missing_lower_bound < missing || plan.lower_bound > cost {
            let bound = plan.lower_bound;
            found.push(place.has(Kind::NotProved { bound }));
        }
    }
    found
}

/// What the frames want, by material.
fn wanted(job: &Job, all: bool) -> BTreeMap<MaterialKey, Pieces> {
    let mut wanted: BTreeMap<MaterialKey, Pieces> = BTreeMap::new();
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        for sheet in package(frame, &job.mouldings, job.shop.fit_allowance).sheets {
            let key = job.material_of(&sheet);
            if !all && job.stated_material(&key).is_none() {
                continue;
            }
            let size = rectangle_round(sheet.size);
            let pieces = wanted.entry(key).or_default();
            for copy in 1..=frame.quantity {
                let sheet_use = sheet.sheet_use;
                let piece = SheetPiece {
                    frame_idx,
                    copy,
                    sheet_use,
                };
                pieces.insert(piece, size);
            }
        }
    }
    wanted
}

/// What a sheet of the stock counts: its price, and without one nothing; where no sheet on sale has a price, its face in
/// square millimeters, and nothing on the rack.
fn counts(material: &Material, idx: usize) -> i128 {
    let stock = &material.stock[idx];
    let mut on_sale = material.stock.iter().filter(|stock| stock.label.is_none());
    if on_sale.any(|stock| stock.price.is_some()) {
        return stock.price.map_or(0, |price| price.minor().into());
    }
    if stock.label.is_some() {
        return 0;
    }
    let square_mm = 1_000_000_000_000;
    (nm(stock.width) * nm(stock.height) + square_mm - 1) / square_mm
}

/// Width and height of the window of a mat whose fallout may be cut; what is left of it at both sides is not too small.
fn droppable(job: &Job, material: &Material, piece: SheetPiece) -> Option<(Length, Length)> {
    let loss = material.cutting.fallout?;
    if material.serves != Serves::Mat {
        return None;
    }
    let frame = job.frames.get(piece.frame_idx)?;
    let sheets = package(frame, &job.mouldings, job.shop.fit_allowance).sheets;
    let own = sheets
        .iter()
        .find(|sheet| sheet.sheet_use == piece.sheet_use)?;
    let (width, height) = own.window?.opening.rectangle()?;
    let least = nm(material.cutting.least_piece) + 2 * nm(loss);
    let is_enough = nm(width) >= least
        && nm(height) >= least
        && nm(width.max(height)) <= i128::from(model::LARGEST_SIZE);
    is_enough.then_some((width, height))
}

/// The job of the solver that a certificate speaks of: sizes and kinds in the order that the plan's type states.
fn sheet_job(job: &Job, plan: &MaterialPlan, wanted: &Pieces) -> SheetJob {
    let material = job.material(&plan.key);
    let limit = |length: Length| length.nm().min(model::LARGEST_SIZE);
    let mut demands: BTreeMap<(Length, Length), u32> = BTreeMap::new();
    for &size in wanted.values() {
        *demands.entry(size).or_default() += 1;
    }
    let items = demands
        .iter()
        .map(|(&(width, height), &demand)| model::Item {
            width: limit(width),
            height: limit(height),
            demand,
            turnable: material.cutting.may_turn,
        });
    let mut kinds = Vec::new();
    for (idx, stock) in material.stock.iter().enumerate() {
        let SheetTrim {
            left,
            right,
            bottom,
            top,
        } = stock.trim;
        kinds.push(model::Kind {
            width: stock.width.nm(),
            height: stock.height.nm(),
            price: i64::try_from(counts(&material, idx)).expect("prices and faces are limited"),
            supply: stock.quantity,
            trim: model::Trim {
                left: left.nm(),
                right: right.nm(),
                bottom: bottom.nm(),
                top: top.nm(),
            },
        });
    }
    if plan.has_fallout {
        let mut windows: BTreeMap<(Length, Length), u32> = BTreeMap::new();
        for &piece in wanted.keys() {
            if let Some(window) = droppable(job, &material, piece) {
                *windows.entry(window).or_default() += 1;
            }
        }
        let loss = material.cutting.fallout.unwrap_or_default();
        kinds.extend(
            windows
                .iter()
                .map(|(&(width, height), &count)| model::Kind {
                    width: width.nm(),
                    height: height.nm(),
                    price: 0,
                    supply: Some(count),
                    trim: model::Trim::all(loss.nm()),
                }),
        );
    }
    let cutter = model::Cutter {
        kerf: limit(material.cutting.kerf),
        strips: None,
        longest_first: material.cutting.longest_first.map(Length::nm),
        longest_second: material.cutting.longest_second.map(Length::nm),
    };
    SheetJob::new(items.collect(), kinds, cutter).expect("load refuses what the model would")
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
                SheetSource::Fallout(mat)
                    if self.plan.has_fallout
                        && droppable(self.job, self.material, mat).is_some()
                        && fresh.remove(&mat) => {}
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

    /// Every piece is there once, cut or missing, and no other; what drops out is there only where none is missing.
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
        let may_drop = self.material.cutting.fallout.is_some() && self.plan.missing.is_empty();
        if self.plan.has_fallout && !may_drop {
            found.push(self.place.has(Kind::NoSuchSheet));
        }
    }

    fn check_sheet(&self, sheet: &PlannedSheet, place: Place, found: &mut Vec<Violation>) {
        let blank = sheet.blank(self.job, self.material);
        let trim = blank.trim;
        let across_page: Span = (nm(trim.left), nm(blank.width) - nm(trim.right));
        let up_page: Span = (nm(trim.bottom), nm(blank.height) - nm(trim.top));
        let (lengthwise, crosswise, first_cut) = match sheet.along {
            Along::Width => (across_page, up_page, blank.width),
            Along::Height => (up_page, across_page, blank.height),
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
            let mut along = Free::new(lengthwise, nm(cutting.kerf));
            for cut in &strip.cuts {
                along.take(nm(cut.from), nm(cut.to), place, found);
                self.check_size(sheet.along, cut, place, found);
            }
            let widest = strip.cuts.iter().map(|cut| nm(cut.across)).max();
            match widest {
                None => found.push(place.has(Kind::EmptyStrip)),
                Some(widest) if widest != nm(strip.width) => found.push(place.has(Kind::Wrong {
                    figure: Figure::StripWidth,
                    planned: Some(nm(strip.width)),
                    wanted: Some(widest),
                })),
                Some(_) => {}
            }
        }
    }

    /// A piece is as large as it must be, and lies as it may.
    fn check_size(&self, along: Along, cut: &SheetCut, place: Place, found: &mut Vec<Violation>) {
        let Some(&(width, height)) = self.wanted.get(&cut.piece) else {
            return;
        };
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
        let planned = (nm(cut.to) - nm(cut.from), nm(cut.across));
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
        let n_missing = u64::try_from(plan.missing.len()).expect("a count fits 64 bits");
        let missing_lower_bound = plan.missing_lower_bound;
        if missing_lower_bound > n_missing {
            found.push(self.place.has(Kind::MissingBoundAboveMissing {
                missing_lower_bound,
                n_missing,
            }));
        }
        let is_fewest = missing_lower_bound == n_missing;
        if is_fewest && plan.lower_bound > plan.value {
            found.push(self.place.has(Kind::BoundAboveValue {
                lower_bound: plan.lower_bound,
                value: plan.value,
            }));
        }
        let bounds_meet = is_fewest && plan.lower_bound == plan.value;
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

//! What the certificates of materials prove, on a job for their check that is put together from what is wanted.

use std::collections::BTreeMap;

use super::wanted::{Pieces, Size, counts, droppable, wanted};
use crate::audit::violation::{Kind, Place, Violation};
use crate::job::{Job, SheetTrim};
use crate::length::Length;
use crate::plan::sheets::MaterialPlan;
use crate::sheets::check::{ProofFault, check_certificate};
use crate::sheets::job::{self as model, SheetJob};

/// What of the bounds that the plans state is not proved by their certificates; empty where all is.
///
/// # Panics
/// If the plans are not sound, see [`check_sheets`](super::check_sheets).
pub fn prove_sheets(job: &Job, plans: &[MaterialPlan], all: bool) -> Vec<Violation> {
    let wanted = wanted(job, all);
    let mut found = Vec::new();
    for (position, plan) in plans.iter().enumerate() {
        let place = Place::material(position);
        let sheet_job = sheet_job(job, plan, &wanted[&plan.key]);
        let certificate = &plan.certificate;
        let holds = match check_certificate(&sheet_job, certificate) {
            Ok(()) => true,
            Err(ProofFault::TooMuchWork) => {
                found.push(place.has(Kind::TooMuchWork));
                continue;
            }
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

/// The job of the solver that a certificate speaks of: sizes and kinds in the order that the plan's type states.
fn sheet_job(job: &Job, plan: &MaterialPlan, wanted: &Pieces) -> SheetJob {
    let material = job.material(&plan.key);
    let limit = |length: Length| length.nm().min(model::LARGEST_SIZE);
    let mut demands: BTreeMap<Size, u32> = BTreeMap::new();
    for piece in wanted.values() {
        *demands.entry(piece.size).or_default() += 1;
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
        let mut windows: BTreeMap<Size, u32> = BTreeMap::new();
        for piece in wanted.values() {
            if let Some(window) = droppable(&material, piece) {
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
        // A certificate says itself in how many stages.
        stages: model::Stages::Two,
    };
    SheetJob::new(items.collect(), kinds, cutter).expect("load refuses what the model would")
}

//! What the sheets of a job come to: how many of each size to buy, and what each frame pays for its own.

use std::collections::BTreeMap;

use super::materials::{Amount, Kind, Need, Rule};
use super::shares::shared;
use crate::job::{Job, Line, MaterialKey, Serves};
use crate::money::Money;
use crate::plan::sheets::{MaterialPlan, PlannedSheet, SheetPiece, SheetSource};

/// The sheets to buy, of each material and size a line, as they are planned.
pub(super) fn sheet_needs(job: &Job, materials: &[MaterialPlan]) -> Vec<Need> {
    let needs = materials.iter().flat_map(|plan| needs_of(job, plan));
    needs.collect()
}

/// Those of one material; pieces for which there is no sheet stand on its first line.
fn needs_of(job: &Job, plan: &MaterialPlan) -> Vec<Need> {
    let material = job.material(&plan.key);
    let rule = Rule::Planned {
        stated: job.stated_material(&plan.key).is_some(),
        best_among: plan.best_among(&material),
    };
    let mut missing = count(plan.missing.len());
    let mut needs = Vec::new();
    for (idx, stock) in material.stock.iter().enumerate() {
        let of_it = |sheet: &&PlannedSheet| sheet.source == SheetSource::Stock(idx);
        let sheets = count(plan.sheets.iter().filter(of_it).count());
        if stock.label.is_some() || sheets == 0 {
            continue;
        }
        let cut = plan.sheets.iter().filter(of_it);
        needs.push(Need {
            kind: kind_of(&plan.key),
            amount: Amount::Sheets {
                sheets,
                size: (stock.width, stock.height),
                pieces: count(cut.flat_map(PlannedSheet::cuts).count()),
                missing,
            },
            rule,
            money: stock.price.filter(|_| sheets > 0).map(|price| {
                price * i64::try_from(sheets).expect("a count in memory fits 63 bits")
            }),
        });
        missing = 0;
    }
    // Where nothing is bought they stand on a line of their own.
    if missing > 0
        && let Some(stock) = material.stock.first()
    {
        needs.push(Need {
            kind: kind_of(&plan.key),
            amount: Amount::Sheets {
                sheets: 0,
                size: (stock.width, stock.height),
                pieces: 0,
                missing,
            },
            rule,
            money: None,
        });
    }
    needs
}

fn count(n: usize) -> u64 {
    u64::try_from(n).expect("a count in memory fits 64 bits")
}

fn kind_of(key: &MaterialKey) -> Kind {
    match key.serves {
        Serves::Mat => Kind::Mat(key.name.clone()),
        Serves::Glazing => Kind::Glazing(key.name.clone().unwrap_or_default()),
        Serves::Backing => Kind::Backing(key.name.clone().unwrap_or_default()),
        Serves::DustCover => Kind::DustCover(key.name.clone().unwrap_or_default()),
    }
}

/// What the sheets of each line of frames cost, as far as the job has prices for them.
///
/// The rule: the price of all sheets of a material, with what those from the rack are worth, is shared by the pieces cut from
/// them, in proportion to their faces. Minor units that are left over go to the largest remainders, the earlier line first.
/// The shares sum to the price exactly.
///
/// # Panics
/// If the plans are not of `job`.
pub fn share_sheets(job: &Job, materials: &[MaterialPlan]) -> BTreeMap<Line, Money> {
    let mut shares: BTreeMap<Line, Money> = BTreeMap::new();
    for plan in materials {
        if !job.material(&plan.key).has_prices() {
            continue;
        }
        let mut faces: BTreeMap<Line, i128> = BTreeMap::new();
        for cut in plan.sheets.iter().flat_map(PlannedSheet::cuts) {
            let SheetPiece { frame_idx, .. } = cut.piece;
            let face = i128::from(cut.along.nm()) * i128::from(cut.across().nm());
            *faces.entry(Line::Frame(frame_idx)).or_default() += face;
        }
        let (lines, weights): (Vec<Line>, Vec<i128>) = faces.into_iter().unzip();
        for (line, share) in lines.into_iter().zip(shared(plan.value, &weights)) {
            *shares.entry(line).or_default() += Money::from_minor(share);
        }
    }
    shares
}

//! What is to be bought besides boards, in words: sheets, hangers and so on.

use crate::compare::{Amount, Need, Rule, list_needs};
use crate::job::{HardwareUse, Job};
use crate::length::{Length, Rounding, exact_text, format};
use crate::money::Money;
use crate::plan::sheets::MaterialPlan;
use crate::stations::hardware;
use crate::tally::material_tallies;

use super::document::{Text, count_of, exact, name, say, there, there_with_unit, together, total};
use super::hardware_words;
use super::sections::material_name;
use super::way_words::{kind_name, rule_words};

/// One thing to buy.
pub(crate) struct OtherNeed {
    /// What it is called.
    pub(crate) what: Text,
    /// How much of it, in lots or sheets as it is sold.
    pub(crate) how_much: Text,
    /// What it costs, where the job has a price for it.
    pub(crate) money: Option<Money>,
    /// By which rule it was counted.
    pub(crate) rule: Text,
    /// What is to be cut from it, where that is told in lengths.
    pub(crate) cuts: Option<Text>,
}

/// All that a job needs besides boards, given what is cut from sheets: also what it states no size for, by a simple rule.
pub(crate) fn other_needs(job: &Job, materials: &[MaterialPlan]) -> Vec<OtherNeed> {
    let needs = list_needs(job, materials);
    let needs = needs.iter().map(|need| by_rule(job, need));
    needs.chain(hardware_needs(job)).collect()
}

/// What a job itself says how it is sold: sheets in sizes of its own, and its hardware.
pub(crate) fn stated_needs(job: &Job, materials: &[MaterialPlan]) -> Vec<OtherNeed> {
    let needs = list_needs(job, materials);
    let is_stated = |need: &&Need| matches!(need.rule, Rule::Planned { stated: true, .. });
    let needs = needs.iter().filter(is_stated);
    let needs = needs.map(|need| by_rule(job, need));
    needs.chain(hardware_needs(job)).collect()
}

/// Sheets of the rack that are cut, as they lie there.
pub(crate) struct SheetsInHand {
    /// What is written on them.
    pub(crate) label: String,
    /// What they are of, and their size.
    pub(crate) what: Text,
    /// How many.
    pub(crate) count: u64,
    /// What all of them are worth; `None` where nothing was said.
    pub(crate) worth: Option<Money>,
}

/// The sheets that are taken from the rack, material by material.
pub(crate) fn sheets_in_hand(job: &Job, materials: &[MaterialPlan]) -> Vec<SheetsInHand> {
    let mut all = Vec::new();
    for tally in material_tallies(job, materials) {
        for &(idx, count) in &tally.taken {
            let stock = tally.stock(idx);
            let Some(label) = &stock.label else {
                continue;
            };
            let (width, height) = (there(stock.width), there_with_unit(stock.height));
            let size = together(say!("{} × {}", width, height));
            let each = i64::try_from(count).expect("a count in memory fits 63 bits");
            all.push(SheetsInHand {
                label: label.clone(),
                what: say!("{}, {}", material_name(&tally.plan.key), size),
                count,
                worth: stock.price.map(|price| price * each),
            });
        }
    }
    all
}

fn by_rule(job: &Job, need: &Need) -> OtherNeed {
    OtherNeed {
        what: name(&kind_name(&need.kind)),
        how_much: amount_words(job, need),
        money: need.money,
        rule: rule_words(job, need.rule).into(),
        cuts: None,
    }
}

fn hardware_needs(job: &Job) -> Vec<OtherNeed> {
    let needs = hardware(job).needs.into_iter().map(|need| {
        let of = &job.hardware[need.hardware_idx];
        OtherNeed {
            what: name(&of.name),
            how_much: hardware_words::amount_words(of, &need),
            money: need.money,
            rule: match of.hardware_use {
                // The figure itself, as it is what a frame is looked at for.
                HardwareUse::Points => say!(
                    "no farther apart than {}, on all sides (`point-spacing`)",
                    exact(job.assembly.point_spacing)
                ),
                _ => hardware_words::rule_words(of).into(),
            },
            cuts: hardware_words::cuts_words(job, &need),
        }
    });
    needs.collect()
}

fn amount_words(job: &Job, need: &Need) -> Text {
    match need.amount {
        Amount::Count(count) => count.into(),
        Amount::Length(length) => total(length),
        Amount::Sheets {
            sheets,
            size,
            pieces,
            missing,
        } => {
            let side = |length| sheet_side(job, length);
            let size = together(say!("{} × {}", side(size.0), side(size.1)));
            let laid = (sheets > 0).then(|| {
                say!(
                    "{} {} for {}",
                    together(count_of(sheets, "sheet")),
                    size.clone(),
                    together(count_of(pieces, "piece"))
                )
            });
            let not_laid = (missing > 0).then(|| {
                let pieces = together(count_of(missing, "piece"));
                say!("no sheet of {} or another size for {}", size, pieces)
            });
            Text::join(laid.into_iter().chain(not_laid), "; ")
        }
    }
}

/// A side of a sheet in the job's unit: a common size in inches has no round figure in millimeters.
fn sheet_side(job: &Job, side: Length) -> String {
    let unit = job.display.unit;
    if unit.is_imperial() {
        exact_text(side, unit)
    } else {
        format(side, unit, Length::MILLIMETRE, Rounding::Nearest)
    }
}

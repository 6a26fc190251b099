//! A bench read back: a plan, or the file that an earlier replan wrote.

use std::collections::BTreeSet;

use serde::Deserialize;
use serde_json::value::RawValue;

use crate::job::Job;
use crate::plan::Plan;
use crate::replan::{Bench, Marks, Place};
use crate::verify;

/// The fields of such a file; one without rounds is a plan, whose sheets are those of glass and board.
#[derive(Deserialize)]
struct BenchFields<'t> {
    #[serde(borrow, default)]
    sheets: Vec<&'t RawValue>,
    rounds: Option<Vec<RoundFields>>,
}

#[derive(Deserialize)]
struct RoundFields {
    cut: BTreeSet<PlaceNumbers>,
    spoiled: BTreeSet<PlaceNumbers>,
    kept: BTreeSet<PlaceNumbers>,
}

/// Sheet, board, strip and cut, from 0.
type PlaceNumbers = [usize; 4];

/// The bench of `job` that `text` tells of: every sheet's job is worked out anew, and its plan checked.
///
/// # Errors
/// What is wrong, in words.
pub(super) fn read(job: Job, text: &str) -> Result<Bench, String> {
    let fields: BenchFields<'_> = serde_json::from_str(text).map_err(|error| error.to_string())?;
    let Some(rounds) = fields.rounds else {
        let plan = plan_of(&job, text)?;
        return Ok(Bench::new(job, plan));
    };
    let Some((first, later)) = fields
        .sheets
        .split_first()
        .filter(|(_, later)| later.len() == rounds.len())
    else {
        return Err("it does not have a round for each sheet but the first".to_owned());
    };
    let plan = plan_of(&job, first.get())?;
    let mut bench = Bench::new(job, plan);
    for (sheet, round) in later.iter().zip(&rounds) {
        let marks = Marks {
            done: places(&round.cut),
            spoiled: places(&round.spoiled),
        };
        let draft = bench.draft(marks, places(&round.kept)).map_err(|place| {
            let Place {
                sheet,
                board,
                strip,
                cut,
            } = place;
            format!("cut [{sheet}, {board}, {strip}, {cut}] of a round was not to be made then")
        })?;
        let plan = plan_of(&draft.job, sheet.get())?;
        bench.push(draft, plan);
    }
    Ok(bench)
}

/// A plan of `job`, checked.
fn plan_of(job: &Job, text: &str) -> Result<Plan, String> {
    verify::read_plan(job, text)
        .map_err(|error| error.to_string())?
        .map_err(|findings| {
            let found: Vec<String> = findings.iter().map(ToString::to_string).collect();
            format!("it is no plan of this job: {}", found.join("; "))
        })
}

fn places(numbers: &BTreeSet<PlaceNumbers>) -> BTreeSet<Place> {
    let place = |&[sheet, board, strip, cut]: &PlaceNumbers| Place {
        sheet,
        board,
        strip,
        cut,
    };
    numbers.iter().map(place).collect()
}

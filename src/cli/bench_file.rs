//! A bench read back: a plan, or the file that an earlier replan wrote.

use std::collections::BTreeSet;

use serde::Deserialize;
use serde_json::value::RawValue;

use crate::job::Job;
use crate::plan::Plan;
use crate::replan::{Bench, Draft, Marks, Place};
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
    match fields.rounds {
        None => {
            let plan = plan_of(&job, text)?;
            Ok(Bench::new(plan))
        }
        Some(rounds) => replay(&job, &fields.sheets, &rounds),
    }
}

/// The job of the newest sheet of a bench, and the text of its plan, which is not checked; `None` where `text` is no bench.
///
/// # Errors
/// What is wrong with the sheets before it, in words.
pub(super) fn newest<'t>(job: &Job, text: &'t str) -> Result<Option<(Job, &'t str)>, String> {
    let Ok(BenchFields {
        sheets,
        rounds: Some(rounds),
    }) = serde_json::from_str(text)
    else {
        return Ok(None);
    };
    let (Some((sheet, before)), Some((round, rounds))) = (sheets.split_last(), rounds.split_last())
    else {
        return Ok(None);
    };
    let bench = replay(job, before, rounds)?;
    Ok(Some((draft_of(&bench, round)?.job, sheet.get())))
}

/// The bench that these rounds lead to.
fn replay(job: &Job, sheets: &[&RawValue], rounds: &[RoundFields]) -> Result<Bench, String> {
    let Some((first, later)) = sheets
        .split_first()
        .filter(|(_, later)| later.len() == rounds.len())
    else {
        return Err("it does not have a round for each sheet but the first".to_owned());
    };
    let plan = plan_of(job, first.get())?;
    let mut bench = Bench::new(plan);
    for (sheet, round) in later.iter().zip(rounds) {
        let draft = draft_of(&bench, round)?;
        let plan = plan_of(&draft.job, sheet.get())?;
        bench.push(draft, plan);
    }
    Ok(bench)
}

/// The next sheet of a bench after a round.
fn draft_of(bench: &Bench, round: &RoundFields) -> Result<Draft, String> {
    let marks = Marks {
        done: places(&round.cut),
        spoiled: places(&round.spoiled),
    };
    bench.draft(marks, places(&round.kept)).map_err(|place| {
        let Place {
            sheet,
            board,
            strip,
            cut,
        } = place;
        format!("cut [{sheet}, {board}, {strip}, {cut}] of a round was not to be made then")
    })
}

/// A plan of `job`, checked.
fn plan_of(job: &Job, text: &str) -> Result<Plan, String> {
    verify::read_plan(job, text)
        .map_err(|error| error.to_string())?
        .map_err(|findings| {
            let found: Vec<String> = findings.iter().map(ToString::to_string).collect();
            format!("it is not a plan of this job: {}", found.join("; "))
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

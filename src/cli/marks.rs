//! What has been cut so far: as typed, or as marked in a cut list.

use std::collections::BTreeMap;

use crate::job::Job;
use crate::plan::Plan;
use crate::replan::{Marks, Place, places};

/// How cuts are named on the command line.
const FORM: &str = "write BOARD#NUMBER:CUTS, such as `ash 8 ft#1:1-3,5`, and for a strip of a ripped board BOARD#NUMBER/STRIP:CUTS";

/// The columns of a cut list that say which cut a row is.
const KEYS: [&str; 4] = ["board", "board-number", "strip", "cut"];

/// Adds the cuts that `text` names to the marks; `None` marks what is done, else what is spoiled.
///
/// # Errors
/// What is wrong, in words.
pub(super) fn add_typed(
    marks: &mut Marks,
    job: &Job,
    plan: &Plan,
    text: &str,
    is_spoiled: bool,
) -> Result<(), String> {
    let wrong = |what: &str| format!("`{text}` names no cuts: {what}; {FORM}");
    let (board, cuts) = text
        .rsplit_once(':')
        .ok_or_else(|| wrong("there is no `:`"))?;
    let (board, strip) = match board.rsplit_once('/') {
        Some((board, strip)) if board.contains('#') => (board, strip.trim()),
        _ => (board, "1"),
    };
    let (name, number) = board
        .rsplit_once('#')
        .ok_or_else(|| wrong("there is no `#`"))?;
    for stretch in cuts.split(',') {
        let (first, last) = stretch.split_once('-').unwrap_or((stretch, stretch));
        let number_of = |text: &str| {
            let number = text.trim().parse::<u32>().ok();
            number.filter(|&number| number > 0)
        };
        let (Some(first), Some(last)) = (number_of(first), number_of(last)) else {
            return Err(wrong("a number of a cut is missing"));
        };
        for cut in first..=last {
            let place = find(
                job,
                plan,
                [name.trim(), number.trim(), strip, &cut.to_string()],
            )
            .ok_or_else(|| {
                format!("the plan has no cut {cut} on strip {strip} of `{name}` #{number}")
            })?;
            add(marks, place, is_spoiled)?;
        }
    }
    Ok(())
}

/// Adds what the column `state` of a cut list says: `cut`, `spoiled` or nothing.
///
/// # Errors
/// What is wrong, with its line, in words.
pub(super) fn add_listed(
    marks: &mut Marks,
    job: &Job,
    plan: &Plan,
    text: &str,
) -> Result<(), String> {
    let header = text.lines().next().unwrap_or_default();
    // Spreadsheets write semicolons in some countries.
    let is_semicolon = header.matches(';').count() > header.matches(',').count();
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(if is_semicolon { b';' } else { b',' })
        .flexible(true)
        .from_reader(text.as_bytes());
    let headers: BTreeMap<String, usize> = reader
        .headers()
        .map_err(|error| error.to_string())?
        .iter()
        .enumerate()
        .map(|(idx, name)| (name.trim().to_lowercase(), idx))
        .collect();
    let column = |name: &str| {
        headers
            .get(name)
            .copied()
            .ok_or_else(|| format!("there is no column `{name}`"))
    };
    let state_at = column("state")?;
    let keys = [
        column(KEYS[0])?,
        column(KEYS[1])?,
        column(KEYS[2])?,
        column(KEYS[3])?,
    ];
    for row in reader.records() {
        let row = row.map_err(|error| error.to_string())?;
        let line = row.position().map_or(0, csv::Position::line);
        let state = row.get(state_at).unwrap_or_default().trim().to_lowercase();
        let is_spoiled = match state.as_str() {
            "" => continue,
            "cut" | "done" => false,
            "spoiled" => true,
            _ => {
                return Err(format!(
                    "line {line}: `{state}` is no state; write `cut`, `spoiled` or nothing"
                ));
            }
        };
        let key = keys.map(|at| row.get(at).unwrap_or_default().trim());
        let place = find(job, plan, key).ok_or_else(|| {
            format!(
                "line {line}: the plan has no cut {} on strip {} of `{}` #{}",
                key[3], key[2], key[0], key[1]
            )
        })?;
        add(marks, place, is_spoiled)?;
    }
    Ok(())
}

/// The place with this board, number of the board, strip and cut.
fn find(job: &Job, plan: &Plan, key: [&str; 4]) -> Option<Place> {
    let [name, number, strip, cut] = key;
    let (number, strip, cut) = (
        number.parse::<u32>().ok()?,
        strip.parse::<usize>().ok()?,
        cut.parse::<usize>().ok()?,
    );
    places(plan).find(|place| {
        let board = &plan.boards[place.board];
        job.boards[board.board_idx].name == name
            && board.number == number
            && place.strip + 1 == strip
            && place.cut + 1 == cut
    })
}

fn add(marks: &mut Marks, place: Place, is_spoiled: bool) -> Result<(), String> {
    let (own, other) = if is_spoiled {
        (&mut marks.spoiled, &marks.done)
    } else {
        (&mut marks.done, &marks.spoiled)
    };
    if other.contains(&place) {
        return Err(format!(
            "cut {} on board {} of the plan is marked both as cut and as spoiled",
            place.cut + 1,
            place.board + 1
        ));
    }
    own.insert(place);
    Ok(())
}

//! Cuts that are marked: the list of cuts with other words in its columns `state` and `good`.

use std::collections::BTreeMap;

use crate::diag::quoted;
use crate::length::{Length, Notation, exact_text, parse};

use super::action::{Edit, Step};
use super::cells::Cells;
use super::state::{AtBench, Cutting, Work};

/// What is said of a cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Said<'t> {
    /// It is cut well.
    Cut,
    /// It is not cut yet.
    Open,
    /// It is spoiled; so much is good of it, as it was typed.
    Spoiled(&'t str),
}

/// The list in which the cuts with these labels are marked.
///
/// # Errors
/// Why not, in words.
pub(super) fn mark(work: &Work, labels: &[String], said: Said<'_>) -> Result<Step, String> {
    let cutting = work
        .cutting
        .as_deref()
        .ok_or("nothing is at the bench yet")?;
    let bench = cutting.bench.as_ref().map_err(Clone::clone)?;
    let list = cutting.list.as_ref();
    let list = list.ok_or(
        "the list of cuts is gone: take the plan to the bench again, or plan the rest anew",
    )?;
    let cells = Cells::of(&list.text);
    let column = |name: &str| {
        let column = cells.column(name);
        column.ok_or_else(|| format!("{} has no column {}", list.path.display(), quoted(name)))
    };
    let [marks, cuts, states, goods] = ["mark", "cut", "state", "good"].map(column);
    let (marks, cuts, states, goods) = (marks?, cuts?, states?, goods?);
    let good = match said {
        Said::Spoiled(typed) => good_length(work, bench, labels, typed)?,
        Said::Cut | Said::Open => String::new(),
    };
    let word = match said {
        Said::Cut => "cut",
        Said::Open => "",
        Said::Spoiled(_) => "spoiled",
    };
    let mut changes = BTreeMap::new();
    for label in labels {
        let (mark, cut) = label.rsplit_once('-').unwrap_or((label, ""));
        let mut records = 1..cells.n_records();
        let record =
            records.find(|&at| cells.cell(at, marks) == mark && cells.cell(at, cuts) == cut);
        let record = record
            .ok_or_else(|| format!("{} has no cut {}", list.path.display(), quoted(label)))?;
        changes.insert((record, states), word.to_owned());
        changes.insert((record, goods), good.clone());
    }
    let after = cells.with(&changes);
    let after = after.ok_or_else(|| format!("a row of {} is too short", list.path.display()))?;
    let named = match labels {
        [only] => only.clone(),
        _ => format!("{} cuts", labels.len()),
    };
    let words = match said {
        Said::Cut => format!("{named} cut"),
        Said::Open => format!("{named} not cut"),
        Said::Spoiled(_) => format!("{named} spoiled"),
    };
    Ok(Step {
        words,
        edits: vec![edit(cutting, list.text.clone(), after)],
    })
}

fn edit(cutting: &Cutting, before: String, after: String) -> Edit {
    let path = cutting.list.as_ref().map(|list| list.path.clone());
    Edit {
        path: path.unwrap_or_default(),
        before: Some(before),
        after: Some(after),
        is_own: false,
    }
}

/// The good length of a spoiled cut as the list has it: empty for nothing.
fn good_length(
    work: &Work,
    at: &AtBench,
    labels: &[String],
    typed: &str,
) -> Result<String, String> {
    let typed = typed.trim();
    let job = work
        .job
        .as_ref()
        .ok_or("the files of the job have errors")?;
    let unit = job.display.unit;
    let notation = Notation {
        unit,
        decimal_comma: false,
    };
    if typed.is_empty() {
        return Ok(String::new());
    }
    let good = parse(typed, notation)
        .map_err(|error| format!("{} is not a length: {error}", quoted(typed)))?;
    if good == Length::ZERO {
        return Ok(String::new());
    }
    let bench = &at.bench;
    for (label, place) in bench.labels() {
        if labels.iter().any(|wanted| *wanted == label.to_string()) {
            let (job, part) = bench.planned_part(place);
            let long = part.length(job);
            if good > long {
                let [good, long] = [good, long].map(|length| exact_text(length, unit));
                return Err(format!(
                    "{label} is {long} long, so not {good} of it are good"
                ));
            }
        }
    }
    Ok(typed.to_owned())
}

//! What has been cut so far: as typed, or as marked in a cut list.

use std::collections::{BTreeMap, BTreeSet};

use crate::replan::{Bench, Marks, Place};

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
    named: &Cuts<'_>,
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
            let key = [name.trim(), number.trim(), strip, &cut.to_string()];
            named.mark(marks, key, is_spoiled)?;
        }
    }
    Ok(())
}

/// Adds what the column `state` of a cut list says: `cut`, `spoiled` or nothing.
///
/// # Errors
/// What is wrong, with its line, in words.
pub(super) fn add_listed(marks: &mut Marks, named: &Cuts<'_>, text: &str) -> Result<(), String> {
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
        named
            .mark(marks, key, is_spoiled)
            .map_err(|what| format!("line {line}: {what}"))?;
    }
    Ok(())
}

/// The cuts of a bench by their names.
pub(super) struct Cuts<'b> {
    /// Board, its number, strip and cut, all numbers from 1.
    places: BTreeMap<(&'b str, u32, usize, u32), Place>,
    made: Marks,
    open: BTreeSet<Place>,
}

impl<'b> Cuts<'b> {
    pub(super) fn new(bench: &'b Bench) -> Cuts<'b> {
        let named = |place: Place| {
            let stick = bench.stick(place.sheet, place.board);
            let board = bench.job().boards[stick.board_idx].name.as_str();
            let strip = bench.strip(place) + 1;
            ((board, stick.number, strip, bench.cut_number(place)), place)
        };
        Cuts {
            places: bench.places().map(named).collect(),
            made: bench.made(),
            open: bench.open(),
        }
    }

    /// Marks the cut with this board, number of the board, strip and number.
    fn mark(&self, marks: &mut Marks, key: [&str; 4], is_spoiled: bool) -> Result<(), String> {
        let [board, number, strip, cut] = key;
        let named = format!("cut {cut} on strip {strip} of `{board}` #{number}");
        let place = self
            .find(key)
            .ok_or_else(|| format!("the plan has no {named}"))?;
        if self.made.is_made(place) {
            // A list of an earlier sheet may still have its marks.
            return if self.made.spoiled.contains(&place) == is_spoiled {
                Ok(())
            } else {
                Err(format!("{named} was marked otherwise before"))
            };
        }
        if !self.open.contains(&place) {
            return Err(format!(
                "{named} is not to be made any more: a later sheet has other cuts"
            ));
        }
        let (own, other) = if is_spoiled {
            (&mut marks.spoiled, &marks.done)
        } else {
            (&mut marks.done, &marks.spoiled)
        };
        if other.contains(&place) {
            return Err(format!("{named} is marked both as cut and as spoiled"));
        }
        own.insert(place);
        Ok(())
    }

    fn find(&self, [board, number, strip, cut]: [&str; 4]) -> Option<Place> {
        let key = (
            board,
            number.parse().ok()?,
            strip.parse().ok()?,
            cut.parse().ok()?,
        );
        self.places.get(&key).copied()
    }
}

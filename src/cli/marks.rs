//! What has been cut so far, as typed or as marked in a cut list, found among the cuts of a bench.

use std::collections::{BTreeMap, BTreeSet};

use crate::diag::{Diagnostic, Diagnostics, Place, code, quoted};
use crate::load::{Marked, State};
use crate::replan::{self, Bench, Marks};

/// How cuts are named on the command line.
const FORM: &str = "write BOARD#NUMBER:CUTS, such as `ash 8 ft#1:1-3,5`, and for a strip of a ripped board BOARD#NUMBER/STRIP:CUTS";

/// Reads what was typed for an option: cuts that all are in one state.
pub(super) fn read_typed(
    option: &'static str,
    text: &str,
    state: State,
    faults: &mut Diagnostics,
) -> Vec<Marked> {
    let place = Place::Argument {
        option,
        text: text.to_owned(),
    };
    match parse(text, state, &place) {
        Ok(marked) => marked,
        Err(what) => {
            let error = Diagnostic::error(code::NO_CUTS_NAMED, place, what);
            faults.push(error.with_hint(FORM.to_owned()));
            Vec::new()
        }
    }
}

/// Reads `BOARD#NUMBER/STRIP:CUTS`, or says what is wrong with it.
fn parse(text: &str, state: State, place: &Place) -> Result<Vec<Marked>, String> {
    let number = |text: &str, what: &str| {
        let number = text.trim().parse::<u32>().ok().filter(|&number| number > 0);
        number.ok_or_else(|| format!("{} is not a number of a {what}", quoted(text.trim())))
    };
    let (board, cuts) = text
        .rsplit_once(':')
        .ok_or("there is no `:` before the cuts")?;
    let (board, strip) = match board.rsplit_once('/') {
        Some((board, strip)) if board.contains('#') => (board, strip),
        _ => (board, "1"),
    };
    let (name, of_board) = board
        .rsplit_once('#')
        .ok_or("there is no `#` before the number of the board")?;
    let (of_board, strip) = (number(of_board, "board")?, number(strip, "strip")?);
    cuts.split(',')
        .map(|stretch| {
            let (first, last) = stretch.split_once('-').unwrap_or((stretch, stretch));
            let (first, last) = (number(first, "cut")?, number(last, "cut")?);
            if first > last {
                return Err(format!("cuts {} run backward", quoted(stretch.trim())));
            }
            Ok(Marked {
                board: name.trim().to_owned(),
                number: of_board,
                strip,
                cuts: first..=last,
                state,
                place: place.clone(),
            })
        })
        .collect()
}

/// Finds marked cuts on a bench, and reports those that are not to be found, or are marked in two ways.
pub(super) fn find(bench: &Bench, marked: &[Marked], faults: &mut Diagnostics) -> Marks {
    let cuts = Cuts::new(bench);
    let mut marks = Marks::default();
    for row in marked {
        // One error for each stretch: where a cut is missing, so are mostly all behind it.
        let found = row
            .cuts
            .clone()
            .try_for_each(|cut| cuts.mark(&mut marks, row, cut));
        if let Err((code, what)) = found {
            faults.push(Diagnostic::error(code, row.place.clone(), what));
        }
    }
    marks
}

/// The cuts of a bench by their names.
struct Cuts<'b> {
    /// Board, its number, strip and cut, all numbers from 1.
    places: BTreeMap<(&'b str, u32, usize, u32), replan::Place>,
    made: Marks,
    open: BTreeSet<replan::Place>,
}

impl<'b> Cuts<'b> {
    fn new(bench: &'b Bench) -> Cuts<'b> {
        let named = |place: replan::Place| {
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

    /// Marks one cut of a row, or says with a code why not.
    fn mark(
        &self,
        marks: &mut Marks,
        row: &Marked,
        cut: u32,
    ) -> Result<(), (&'static str, String)> {
        let Marked {
            board,
            number,
            strip,
            ..
        } = row;
        let named = format!("cut {cut} on strip {strip} of {} #{number}", quoted(board));
        let strip = usize::try_from(*strip).unwrap_or(usize::MAX);
        let Some(&place) = self.places.get(&(board.as_str(), *number, strip, cut)) else {
            return Err((code::UNKNOWN_CUT, format!("the plan has no {named}")));
        };
        let is_spoiled = row.state == State::Spoiled;
        if self.made.is_made(place) {
            // A list of an earlier sheet may still have its marks.
            return if self.made.spoiled.contains(&place) == is_spoiled {
                Ok(())
            } else {
                let what = format!("{named} was marked otherwise before");
                Err((code::MARKED_TWICE, what))
            };
        }
        if !self.open.contains(&place) {
            let what = format!("{named} is not to be made any more: a later sheet has other cuts");
            return Err((code::UNKNOWN_CUT, what));
        }
        let (own, other) = if is_spoiled {
            (&mut marks.spoiled, &marks.done)
        } else {
            (&mut marks.done, &marks.spoiled)
        };
        if other.contains(&place) {
            let what = format!("{named} is marked both as cut and as spoiled");
            return Err((code::MARKED_TWICE, what));
        }
        own.insert(place);
        Ok(())
    }
}

#[cfg(test)]
mod tests;

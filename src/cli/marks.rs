//! What has been cut so far, as typed or as marked in a cut list, found among the cuts of a bench.

use std::collections::{BTreeMap, BTreeSet};
use std::mem;

use crate::diag::{Diagnostic, Diagnostics, Place, code, quoted};
use crate::load::{Beside, Marked, NamedStrip, State};
use crate::plan::{CutLabel, StripMark, part_label};
use crate::replan::{self, Bench, Marks};

/// How cuts are named on the command line.
const FORM: &str = "write MARK:CUTS, such as `C:1-3,5`, and for a strip of a ripped board `B4:1`; or BOARD#NUMBER:CUTS, such as \
                    `ash 8 ft#1:1-3,5`, and BOARD#NUMBER/STRIP:CUTS";

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

/// Reads `MARK:CUTS` or `BOARD#NUMBER/STRIP:CUTS`, or says what is wrong with it.
fn parse(text: &str, state: State, place: &Place) -> Result<Vec<Marked>, String> {
    let (strip, cuts) = text
        .rsplit_once(':')
        .ok_or("there is no `:` before the cuts")?;
    let strip = parse_strip(strip)?;
    cuts.split(',')
        .map(|stretch| {
            let (first, last) = stretch.split_once('-').unwrap_or((stretch, stretch));
            let (first, last) = (number(first, "cut")?, number(last, "cut")?);
            if first > last {
                return Err(format!("cuts {} run backward", quoted(stretch.trim())));
            }
            Ok(Marked {
                strip: strip.clone(),
                cuts: first..=last,
                state,
                beside: Beside::default(),
                place: place.clone(),
            })
        })
        .collect()
}

/// Reads a chalk mark, or `BOARD#NUMBER/STRIP`.
fn parse_strip(text: &str) -> Result<NamedStrip, String> {
    let Some((name, of_board)) = text.rsplit_once('#') else {
        chalked(text)?;
        return Ok(NamedStrip::Mark(text.to_owned()));
    };
    let (of_board, strip) = of_board.split_once('/').unwrap_or((of_board, "1"));
    Ok(NamedStrip::OfLine {
        board: name.trim().to_owned(),
        number: number(of_board, "board")?,
        strip: number(strip, "strip")?,
    })
}

/// Reads a chalk mark, or says that it is none.
fn chalked(text: &str) -> Result<StripMark, String> {
    StripMark::parse(text).ok_or_else(|| {
        let text = quoted(text.trim());
        format!("{text} is not a chalk mark such as `G`, or `B4` for a strip of a ripped board")
    })
}

fn number(text: &str, what: &str) -> Result<u32, String> {
    let number = text.trim().parse::<u32>().ok().filter(|&number| number > 0);
    number.ok_or_else(|| format!("{} is not a number of a {what}", quoted(text.trim())))
}

/// Finds marked cuts on a bench, and reports those that are not to be found, or are marked in two ways, and that a list is
/// of another plan.
pub(super) fn find(bench: &Bench, marked: &[Marked], faults: &mut Diagnostics) -> Marks {
    let cuts = Cuts::new(bench);
    let mut marks = Marks::default();
    let mut is_foreign = false;
    for row in marked {
        // One error for each stretch: where a cut is missing, so are mostly all behind it.
        let found = row
            .cuts
            .clone()
            .try_for_each(|cut| cuts.mark(&mut marks, row, cut));
        if let Err((code, what)) = found {
            // Of a list of another plan mostly all rows are wrong, and one says it.
            if code == code::OTHER_PLAN && mem::replace(&mut is_foreign, true) {
                continue;
            }
            faults.push(Diagnostic::error(code, row.place.clone(), what));
        }
    }
    marks
}

/// The cuts of a bench by their names.
struct Cuts<'b> {
    bench: &'b Bench,
    /// Board, its number, strip and cut, all numbers from 1.
    places: BTreeMap<(&'b str, u32, usize, u32), replan::Place>,
    labels: BTreeMap<CutLabel, replan::Place>,
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
            bench,
            places: bench.places().map(named).collect(),
            labels: bench.labels(),
            made: bench.made(),
            open: bench.open(),
        }
    }

    /// A cut in words, and where it is, if there is one; or what is wrong with its mark.
    fn find(
        &self,
        strip: &NamedStrip,
        cut: u32,
    ) -> Result<(String, Option<replan::Place>), String> {
        Ok(match strip {
            NamedStrip::Mark(mark) => {
                let strip = chalked(mark)?;
                let label = CutLabel { strip, cut };
                (format!("cut {label}"), self.labels.get(&label).copied())
            }
            NamedStrip::OfLine {
                board,
                number,
                strip,
            } => {
                let named = format!("cut {cut} on strip {strip} of {} #{number}", quoted(board));
                let strip = usize::try_from(*strip).unwrap_or(usize::MAX);
                let key = (board.as_str(), *number, strip, cut);
                (named, self.places.get(&key).copied())
            }
        })
    }

    /// Compares what a list says beside the name of a cut with the plan.
    fn check_beside(
        &self,
        named: &str,
        place: replan::Place,
        beside: &Beside,
    ) -> Result<(), String> {
        let job = self.bench.job();
        let stick = self.bench.stick(place.sheet, place.board);
        let board = job.boards[stick.board_idx].name.clone();
        let part = part_label(job, self.bench.part(place));
        for (what, told, planned) in [
            ("is of board", &beside.board, board),
            ("makes", &beside.part, part),
        ] {
            if let Some(told) = told.as_ref().filter(|told| **told != planned) {
                return Err(format!(
                    "{named} {what} {} in the list and {} in the plan",
                    quoted(told),
                    quoted(&planned)
                ));
            }
        }
        Ok(())
    }

    /// Marks one cut of a row, or says with a code why not.
    fn mark(
        &self,
        marks: &mut Marks,
        row: &Marked,
        cut: u32,
    ) -> Result<(), (&'static str, String)> {
        let (named, found) = self
            .find(&row.strip, cut)
            .map_err(|what| (code::UNKNOWN_CUT, what))?;
        let Some(place) = found else {
            return Err((code::UNKNOWN_CUT, format!("the plan has no {named}")));
        };
        self.check_beside(&named, place, &row.beside)
            .map_err(|what| (code::OTHER_PLAN, what))?;
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

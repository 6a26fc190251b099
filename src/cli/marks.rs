//! What has been cut so far, as typed or as marked in a cut list, found among the cuts of a bench.

use std::collections::{BTreeMap, BTreeSet};
use std::mem;

use crate::diag::{Diagnostic, Diagnostics, Place, code, quoted};
use crate::length::{Length, Unit, exact_text};
use crate::load::{Beside, Marked, NamedStrip, State};
use crate::plan::{CutLabel, Part, StripMark, part_label};
use crate::replan::{self, Bench, Marks};

use super::typed_length;

/// How cuts are named on the command line.
const FORM: &str = "write MARK:CUTS, such as `C:1-3,5`, and for a strip of a ripped board `B4:1`; or BOARD#NUMBER:CUTS, such as \
                    `ash 8 ft#1:1-3,5`, and BOARD#NUMBER/STRIP:CUTS";

/// How the good length of spoiled cuts is named on the command line.
const FORM_OF_GOOD: &str =
    "write the clear stretch of a spoiled part behind it, as in `--spoiled \"C:3=16 1/2\"`";

/// Reads what was typed for an option: cuts that all are in one state; bare numbers are of `unit`.
pub(super) fn read_typed(
    option: &'static str,
    text: &str,
    state: State,
    unit: Unit,
    faults: &mut Diagnostics,
) -> Vec<Marked> {
    let place = Place::Argument {
        option,
        text: text.to_owned(),
    };
    let (cuts, good) = match text.rsplit_once('=') {
        // What stands before the colon is a name, which may have anything in it.
        Some((cuts, good)) if !good.contains(':') => (cuts, Some(good)),
        _ => (text, None),
    };
    let good = match good.map(|good| typed_length(good, unit)).transpose() {
        Ok(good) => good,
        Err(error) => {
            let what = format!("the good length is not one: {error}");
            let fault = Diagnostic::error(code::GOOD_LENGTH, place, what);
            faults.push(fault.with_hint(FORM_OF_GOOD.to_owned()));
            return Vec::new();
        }
    };
    match parse(cuts, state, good, &place) {
        Ok(marked) => marked,
        Err(what) => {
            let error = Diagnostic::error(code::NO_CUTS_NAMED, place, what);
            faults.push(error.with_hint(FORM.to_owned()));
            Vec::new()
        }
    }
}

/// Reads `MARK:CUTS` or `BOARD#NUMBER/STRIP:CUTS`, or says what is wrong with it.
fn parse(
    text: &str,
    state: State,
    good: Option<Length>,
    place: &Place,
) -> Result<Vec<Marked>, String> {
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
                good,
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

/// Numbers as they are typed: `1-3,5`.
fn stretches(numbers: &BTreeSet<u32>) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &number in numbers {
        match runs.last_mut() {
            Some(run) if run.1 + 1 == number => run.1 = number,
            _ => runs.push((number, number)),
        }
    }
    let runs = runs.into_iter().map(|(first, last)| {
        if first == last {
            first.to_string()
        } else {
            format!("{first}-{last}")
        }
    });
    runs.collect::<Vec<_>>().join(",")
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
            let fault = Diagnostic::error(code, row.place.clone(), what);
            let hint = (code == code::UNKNOWN_CUT).then(|| cuts.still_to_cut(&row.strip));
            faults.push(match hint.flatten() {
                Some(hint) => fault.with_hint(hint),
                None => fault,
            });
        }
    }
    marks
}

/// The cuts of a bench by their names.
struct Cuts<'b> {
    bench: &'b Bench,
    /// Board, its number, strip and cut, all numbers from 1.
    places: BTreeMap<(String, u32, usize, u32), replan::Place>,
    serving: BTreeMap<replan::Place, Part>,
    labels: BTreeMap<CutLabel, replan::Place>,
    made: Marks,
    open: BTreeSet<replan::Place>,
}

impl<'b> Cuts<'b> {
    fn new(bench: &'b Bench) -> Cuts<'b> {
        let named = |place: replan::Place| {
            let (board, number) = bench.stick_name(bench.stick_at(place));
            let strip = bench.strip(place) + 1;
            ((board, number, strip, bench.cut_number(place)), place)
        };
        Cuts {
            bench,
            places: bench.places().map(named).collect(),
            serving: bench.serving(),
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
                let key = (board.clone(), *number, strip, cut);
                (named, self.places.get(&key).copied())
            }
        })
    }

    /// What is to be told of a board that is named without a strip and is ripped, or with one and is not.
    fn how_ripped(&self, strip: &NamedStrip) -> Option<String> {
        let NamedStrip::Mark(mark) = strip else {
            return None;
        };
        let named = StripMark::parse(mark)?;
        let of_board = self.labels.keys().map(|label| label.strip);
        let of_board = of_board.filter(|strip| strip.board == named.board);
        let strips: BTreeSet<StripMark> = of_board.collect();
        let (first, last) = (strips.first()?, strips.last()?);
        let board = named.board;
        match (named.strip, first.strip, last.strip) {
            (None, Some(_), Some(_)) if first == last => Some(format!(
                ": board {board} is ripped, and only strip {first} of it is cut"
            )),
            (None, Some(_), Some(_)) => Some(format!(
                ": board {board} is ripped, and its strips are {first} to {last}"
            )),
            (Some(_), None, None) => Some(format!(": board {board} is one strip, {board}")),
            _ => None,
        }
    }

    /// The cuts still to be made of a board, as they are typed; of all boards their marks, where none is named.
    fn still_to_cut(&self, named: &NamedStrip) -> Option<String> {
        let open = self.labels.iter();
        let open = open.filter(|(_, place)| self.open.contains(place));
        let mut cuts: BTreeMap<StripMark, BTreeSet<u32>> = BTreeMap::new();
        for (label, place) in open {
            let is_of_board = match named {
                NamedStrip::Mark(mark) => {
                    StripMark::parse(mark).is_some_and(|own| own.board == label.strip.board)
                }
                NamedStrip::OfLine { board, number, .. } => {
                    let (name, of_line) = self.bench.stick_name(self.bench.stick_at(*place));
                    (&name, of_line) == (board, *number)
                }
            };
            if is_of_board {
                cuts.entry(label.strip).or_default().insert(label.cut);
            }
        }
        if !cuts.is_empty() {
            let cuts = cuts.iter();
            let cuts = cuts.map(|(strip, cuts)| format!("`{strip}:{}`", stretches(cuts)));
            let cuts = cuts.collect::<Vec<_>>().join(", ");
            return Some(format!("still to be cut on it: {cuts}"));
        }
        let boards: BTreeSet<_> = self.labels.keys().map(|label| label.strip.board).collect();
        let (first, last) = (boards.first()?, boards.last()?);
        Some(if boards.len() == 1 {
            format!("the plan has one board, {first}")
        } else {
            format!("the plan has {} boards, {first} to {last}", boards.len())
        })
    }

    /// Compares what a list says beside the name of a cut with the plan.
    fn check_beside(
        &self,
        named: &str,
        place: replan::Place,
        beside: &Beside,
    ) -> Result<(), String> {
        let (board, _) = self.bench.stick_name(self.bench.stick_at(place));
        let part = self.bench.part_name(place);
        // What a job that has changed calls it is right as well.
        let serves = self.serving.get(&place);
        let now = serves.map(|&part| part_label(self.bench.job(), part));
        for (what, told, planned, now) in [
            ("is of board", &beside.board, board, None),
            ("makes", &beside.part, part, now),
        ] {
            let is_other = |told: &&String| **told != planned && Some(*told) != now.as_ref();
            if let Some(told) = told.as_ref().filter(is_other) {
                return Err(format!(
                    "{named} {what} {} in the list and {} in the plan",
                    quoted(told),
                    quoted(&planned)
                ));
            }
        }
        Ok(())
    }

    /// How much of a spoiled cut is good, or what is wrong with what is said of it.
    fn good(
        &self,
        named: &str,
        place: replan::Place,
        row: &Marked,
    ) -> Result<Length, (&'static str, String)> {
        let Some(good) = row.good else {
            return Ok(Length::ZERO);
        };
        let wrong = |what: String| Err((code::GOOD_LENGTH, what));
        if row.state != State::Spoiled {
            return wrong(format!("{named} is cut well, so all of it is good"));
        }
        let (job, part) = self.bench.planned_part(place);
        let long = part.length(job);
        if good > long {
            let unit = self.bench.job().display.unit;
            let [good, long] = [good, long].map(|length| exact_text(length, unit));
            return wrong(format!(
                "{named} is {long} long, so not {good} of it are good"
            ));
        }
        Ok(good)
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
            let ripped = self.how_ripped(&row.strip).unwrap_or_default();
            let what = format!("the plan has no {named}{ripped}");
            return Err((code::UNKNOWN_CUT, what));
        };
        self.check_beside(&named, place, &row.beside)
            .map_err(|what| (code::OTHER_PLAN, what))?;
        let is_spoiled = row.state == State::Spoiled;
        if self.made.is_made(place) {
            // A list of an earlier sheet may still have its marks.
            let before = self.made.spoiled.get(&place);
            let is_same = match before {
                Some(&before) => is_spoiled && row.good.is_none_or(|good| good == before),
                None => !is_spoiled,
            };
            return if is_same {
                Ok(())
            } else {
                let what = format!("{named} was marked otherwise before");
                Err((code::MARKED_TWICE, what))
            };
        }
        if !self.open.contains(&place) {
            let what = format!("{named} is not to be made any more: a later plan has other cuts");
            return Err((code::UNKNOWN_CUT, what));
        }
        let good = self.good(&named, place, row)?;
        let is_other = if is_spoiled {
            marks.done.contains(&place)
        } else {
            marks.spoiled.contains_key(&place)
        };
        let is_twice = marks
            .spoiled
            .get(&place)
            .is_some_and(|&before| before != good);
        if is_other || is_twice {
            let what = if is_other {
                format!("{named} is marked both as cut and as spoiled")
            } else {
                format!("{named} is marked with two good lengths")
            };
            return Err((code::MARKED_TWICE, what));
        }
        if is_spoiled {
            marks.spoiled.insert(place, good);
        } else {
            marks.done.insert(place);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests;

//! A bench: all its sheets, each as a plan of its own, and what led from one to the next.

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{BENCH_FORMAT, FORMAT_NUMBER, NotVerified, PlanFile, json_text, written_by};
use crate::replan::{self, Bench, Marks, Replanned};

/// A job at the bench: the plan it was begun by, and one more sheet after each miscut.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BenchFile {
    /// `longpoint bench`.
    pub format: String,
    /// Number of the format.
    pub format_number: u32,
    /// The program that wrote the file, with its version; not verified.
    pub written_by: String,
    /// All sheets; the parts of a later one are the pieces of its own job, which follows from the sheets before.
    pub sheets: Vec<PlanFile>,
    /// What led from each sheet to the next.
    pub rounds: Vec<Round>,
}

/// What led from a sheet to the next; each list rises.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Round {
    /// Cuts that had been made well since the sheet before.
    pub cut: Vec<Place>,
    /// Cuts that had been spoiled: their parts are wanted again, and their wood is gone.
    pub spoiled: Vec<Place>,
    /// Cuts that were still to be made and stay as they are.
    pub kept: Vec<Place>,
}

/// Sheet, board, strip and cut, all from 0 in the order of the file; the cut is counted on its strip.
pub type Place = [usize; 4];

impl BenchFile {
    /// The file of a bench; `not_verified` is what is said of each sheet's search.
    pub(super) fn of(bench: &Bench, not_verified: Vec<NotVerified>) -> BenchFile {
        let sheets = bench.sheets().iter().zip(not_verified);
        BenchFile {
            format: BENCH_FORMAT.to_owned(),
            format_number: FORMAT_NUMBER,
            written_by: written_by(),
            sheets: sheets
                .map(|(sheet, told)| PlanFile::with(&sheet.plan, &sheet.certificate, told))
                .collect(),
            rounds: bench.rounds().iter().map(Round::of).collect(),
        }
    }
}

/// The bench as a file, to be read again after the next miscut.
pub fn bench_text(rest: &Replanned) -> String {
    let sheets = rest.bench.sheets().iter();
    let mut told: Vec<NotVerified> = sheets
        .map(|sheet| NotVerified::nothing(&sheet.plan))
        .collect();
    if let Some(newest) = told.last_mut() {
        *newest = NotVerified::of(&rest.planned);
    }
    json_text(&BenchFile::of(&rest.bench, told))
}

impl Round {
    fn of(round: &replan::Round) -> Round {
        let numbers = |places: &BTreeSet<replan::Place>| {
            let places = places.iter();
            places
                .map(|place| [place.sheet, place.board, place.strip, place.cut])
                .collect()
        };
        Round {
            cut: numbers(&round.marks.done),
            spoiled: numbers(&round.marks.spoiled),
            kept: numbers(&round.kept),
        }
    }

    /// The marks that were made, and the places that were kept.
    pub(super) fn raise(&self) -> (Marks, BTreeSet<replan::Place>) {
        let places = |numbers: &[Place]| {
            let numbers = numbers.iter();
            numbers
                .map(|&[sheet, board, strip, cut]| replan::Place {
                    sheet,
                    board,
                    strip,
                    cut,
                })
                .collect()
        };
        let marks = Marks {
            done: places(&self.cut),
            spoiled: places(&self.spoiled),
        };
        (marks, places(&self.kept))
    }
}

//! A bench: all its sheets, each as a plan of its own, and what led from one to the next.

use std::collections::BTreeSet;

use serde::Serialize;
use serde_json::value::RawValue;

use super::{plan_json, write};
use crate::plan::Aside;
use crate::plan::certificate::Certificate;
use crate::replan::{Place, Replanned, Round};
use crate::tally::Summary;

/// The bench, to be read again after the next miscut; the newest sheet comes with its proof.
///
/// # Panics
/// Never, for a bench that `replan` made.
pub fn bench_json(rest: &Replanned) -> String {
    let bench = &rest.bench;
    let newest = bench.rounds().len();
    let sheet = |number: usize| {
        let sheet = &bench.sheets()[number];
        let (certificate, aside) = if number == newest {
            (rest.planned.certificate.clone(), rest.planned.aside.clone())
        } else {
            (Certificate::default(), Aside::default())
        };
        let summary = Summary::new(&sheet.plan).beside(aside);
        let text = plan_json(&sheet.plan, &certificate, &summary);
        RawValue::from_string(text.trim_end().to_owned()).expect("it was just written as JSON")
    };
    write(&BenchObject {
        sheets: (0..=newest).map(sheet).collect(),
        rounds: bench.rounds().iter().map(RoundObject::new).collect(),
    })
}

/// Sheet, board, strip and cut, all counted from 0 in the order of this file.
type PlaceNumbers = [usize; 4];

#[derive(Serialize)]
struct BenchObject {
    sheets: Vec<Box<RawValue>>,
    rounds: Vec<RoundObject>,
}

/// What led from a sheet to the next.
#[derive(Serialize)]
struct RoundObject {
    cut: Vec<PlaceNumbers>,
    spoiled: Vec<PlaceNumbers>,
    kept: Vec<PlaceNumbers>,
}

impl RoundObject {
    fn new(round: &Round) -> RoundObject {
        let numbers = |places: &BTreeSet<Place>| {
            let numbers = places
                .iter()
                .map(|place| [place.sheet, place.board, place.strip, place.cut]);
            numbers.collect()
        };
        RoundObject {
            cut: numbers(&round.marks.done),
            spoiled: numbers(&round.marks.spoiled),
            kept: numbers(&round.kept),
        }
    }
}

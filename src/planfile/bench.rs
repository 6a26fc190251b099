//! A bench: all its sheets, each as a plan of its own, and what led from one to the next.

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{
    BENCH_FORMAT, FORMAT_NUMBER, NotVerified, PlanFile, SourceText, json_text, sources, written_by,
};
use crate::job::Texts;
use crate::length::Length;
use crate::replan::{self, Bench, Marks, Measured, News, Replanned, Stick, Wishes};

/// A job at the bench: the plan it was begun by, and one more sheet for each time that something came between.
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
    /// The files of the job as it was from then on, the job file first; null where it was what it was before.
    pub sources: Option<Vec<SourceText>>,
    /// Cuts that had been made well since the sheet before.
    pub cut: Vec<Place>,
    /// Cuts that had been spoiled: their parts are wanted again.
    pub spoiled: Vec<Spoiled>,
    /// What had been measured of boards of the sheets before.
    pub measured: Vec<MeasuredBoard>,
    /// Cuts that were still to be made and stay as they are.
    pub kept: Vec<Place>,
    /// Whether frames with a wish for grain or color, all of whose rails are cut anew, are frames of the next sheet's job.
    pub frames_stay: bool,
    /// Whether single rails of frames with such a wish come only from boards of their frame's other rails.
    pub near: bool,
}

/// A cut that was spoiled.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spoiled {
    /// Where it was.
    pub place: Place,
    /// How much of its outer edge is good, in one stretch.
    pub good_nm: i64,
}

/// What was measured of a board.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredBoard {
    /// The first sheet that takes it, and its position there, both from 0.
    pub board: [usize; 2],
    /// Its length; null where that was not measured.
    pub length_nm: Option<i64>,
    /// Stretches of its whole width that no part may touch, from and to.
    pub knots_nm: Vec<[i64; 2]>,
}

/// Sheet, board, strip and cut, all from 0 in the order of the file; the cut is counted on its strip.
pub type Place = [usize; 4];

impl BenchFile {
    /// The file of a bench; `not_verified` is what is said of each sheet's search.
    pub(super) fn of(bench: &Bench, not_verified: Vec<NotVerified>) -> BenchFile {
        let sheets = bench.sheets().iter().zip(not_verified);
        let sheets = sheets.map(|(sheet, told)| {
            PlanFile::with(&sheet.plan, &sheet.certificate, &sheet.materials, told)
        });
        let mut sheets: Vec<PlanFile> = sheets.collect();
        if let (Some(file), Some(first)) = (sheets.first_mut(), bench.sheets().first()) {
            file.sources = sources::of(&first.texts);
        }
        let later = bench.sheets().iter().skip(1);
        BenchFile {
            format: BENCH_FORMAT.to_owned(),
            format_number: FORMAT_NUMBER,
            written_by: written_by(),
            sheets,
            rounds: bench
                .rounds()
                .iter()
                .zip(later)
                .map(|(round, sheet)| Round::of(round, &sheet.texts))
                .collect(),
        }
    }
}

/// The bench as a file, to be read again when something else has come between.
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
    fn of(round: &replan::Round, texts: &Texts) -> Round {
        let places = |places: &BTreeSet<replan::Place>| places.iter().map(numbers).collect();
        let spoiled = round.marks.spoiled.iter();
        let measured = round.measured.iter();
        Round {
            sources: round.has_other_job.then(|| sources::of(texts)),
            cut: places(&round.marks.done),
            spoiled: spoiled
                .map(|(place, good)| Spoiled {
                    place: numbers(place),
                    good_nm: good.nm(),
                })
                .collect(),
            measured: measured
                .filter_map(|(&stick, measured)| MeasuredBoard::of(stick, measured))
                .collect(),
            kept: places(&round.kept),
            frames_stay: round.wishes.frames,
            near: round.wishes.near,
        }
    }

    /// What became known then, the places that were kept, and what was kept of wishes; `None` where the job's files hold none.
    pub(super) fn raise(&self) -> Option<(News, BTreeSet<replan::Place>, Wishes)> {
        let places = |numbers: &[Place]| numbers.iter().map(place).collect();
        let job = match &self.sources {
            None => None,
            Some(files) => {
                let texts = sources::texts(files);
                Some((sources::job(&texts)?, texts))
            }
        };
        let spoiled = self.spoiled.iter();
        let marks = Marks {
            done: places(&self.cut),
            spoiled: spoiled
                .map(|spoiled| (place(&spoiled.place), Length::from_nm(spoiled.good_nm)))
                .collect(),
        };
        let measured = self.measured.iter().map(MeasuredBoard::raise);
        let news = News {
            job,
            marks,
            measured: measured.collect::<BTreeMap<_, _>>(),
        };
        let wishes = Wishes {
            frames: self.frames_stay,
            near: self.near,
        };
        Some((news, places(&self.kept), wishes))
    }
}

fn numbers(place: &replan::Place) -> Place {
    [place.sheet, place.board, place.strip, place.cut]
}

fn place(&[sheet, board, strip, cut]: &Place) -> replan::Place {
    replan::Place {
        sheet,
        board,
        strip,
        cut,
    }
}

impl MeasuredBoard {
    fn of(stick: Stick, measured: &Measured) -> Option<MeasuredBoard> {
        let Stick::Board { sheet, board } = stick else {
            return None;
        };
        let knots = measured.knots.iter();
        Some(MeasuredBoard {
            board: [sheet, board],
            length_nm: measured.length.map(Length::nm),
            knots_nm: knots.map(|(from, to)| [from.nm(), to.nm()]).collect(),
        })
    }

    fn raise(&self) -> (Stick, Measured) {
        let [sheet, board] = self.board;
        let knots = self.knots_nm.iter();
        let knots = knots.map(|&[from, to]| (Length::from_nm(from), Length::from_nm(to)));
        let measured = Measured {
            length: self.length_nm.map(Length::from_nm),
            knots: knots.collect(),
        };
        (Stick::Board { sheet, board }, measured)
    }
}

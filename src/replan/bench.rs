//! A job at the bench: the sheets it has been cut by so far, and what has been made.

use std::collections::{BTreeMap, BTreeSet};

use crate::job::Job;
use crate::plan::certificate::Certificate;
use crate::plan::{CutLabel, Part, Plan};

/// A cut of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Which sheet: 0 is the first plan.
    pub sheet: usize,
    /// Position in the boards of the sheet's plan.
    pub board: usize,
    /// Position among the board's strips.
    pub strip: usize,
    /// Position among the strip's cuts.
    pub cut: usize,
}

/// What has been cut; no cut is both.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Marks {
    /// Cut well.
    pub done: BTreeSet<Place>,
    /// Cut, and spoiled: the part is wanted again, and its wood is gone.
    pub spoiled: BTreeSet<Place>,
}

/// One board of the job as one would point at it: its line, and which of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stick {
    /// Index into the boards of the job.
    pub board_idx: usize,
    /// Its number, from 1.
    pub number: u32,
}

/// What a board of a sheet's job is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Source {
    /// A line of the job, by index; numbers are those of the line.
    Line(usize),
    /// A board of an earlier sheet, all of it still there.
    Whole(Stick),
    /// A strip of a board of an earlier sheet, which is being cut by it.
    Strip {
        stick: Stick,
        /// The sheet by which it is ripped, and the board's position there.
        ripped_by: (usize, usize),
        /// Position among its strips.
        strip: usize,
    },
}

impl Source {
    /// The line of the job, by index, that it comes from.
    pub(super) fn line(self) -> usize {
        match self {
            Source::Line(board_idx) => board_idx,
            Source::Whole(stick) | Source::Strip { stick, .. } => stick.board_idx,
        }
    }
}

/// A plan that was cut by, or is to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// The plan: of the job itself, and of a later sheet what was to be planned anew then.
    pub plan: Plan,
    /// What proves its lower bound.
    pub certificate: Certificate,
    /// What each board of its job is.
    pub(super) sources: Vec<Source>,
    /// Of a later sheet, which part of the job each piece is.
    pub(super) parts: Vec<Part>,
}

/// What led from some sheets to the next.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Round {
    /// What had been made since the sheet before.
    pub marks: Marks,
    /// Cuts that were still to be made and stay as they are.
    pub kept: BTreeSet<Place>,
    /// Spoiled rails with the spare that each is cut from.
    pub from_spares: Vec<(Part, Part)>,
}

/// A job at the bench.
///
/// Invariants: there is one sheet more than rounds; the marks and the kept cuts of a round were open before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bench {
    pub(super) sheets: Vec<Sheet>,
    pub(super) rounds: Vec<Round>,
}

impl Marks {
    /// Whether a cut has been made, well or not.
    pub fn is_made(&self, place: Place) -> bool {
        self.done.contains(&place) || self.spoiled.contains(&place)
    }

    /// All cuts that have been made.
    pub fn made(&self) -> impl Iterator<Item = Place> + '_ {
        self.done.iter().chain(&self.spoiled).copied()
    }
}

impl Sheet {
    /// All cuts of the sheet, which is the one of this number.
    fn places(&self, sheet: usize) -> impl Iterator<Item = Place> + '_ {
        let boards = self.plan.boards.iter().enumerate();
        boards.flat_map(move |(board, planned)| {
            let strips = planned.strips.iter().enumerate();
            strips.flat_map(move |(strip, of)| {
                (0..of.cuts.len()).map(move |cut| Place {
                    sheet,
                    board,
                    strip,
                    cut,
                })
            })
        })
    }

    /// The part of the job that a part of the sheet's plan is.
    fn original(&self, part: Part) -> Part {
        match part {
            Part::Loose { piece_idx, .. } => self.parts.get(piece_idx).copied().unwrap_or(part),
            Part::Rail { .. } => part,
        }
    }
}

impl Bench {
    /// A job with its plan, of which nothing has been cut.
    pub fn new(plan: Plan, certificate: Certificate) -> Bench {
        let first = Sheet {
            sources: (0..plan.job.boards.len()).map(Source::Line).collect(),
            parts: Vec::new(),
            plan,
            certificate,
        };
        Bench {
            sheets: vec![first],
            rounds: Vec::new(),
        }
    }

    /// The job.
    pub fn job(&self) -> &Job {
        &self.sheets[0].plan.job
    }

    /// All sheets, the first plan first.
    pub fn sheets(&self) -> &[Sheet] {
        &self.sheets
    }

    /// What led from each sheet to the next.
    pub fn rounds(&self) -> &[Round] {
        &self.rounds
    }

    /// The newest sheet.
    pub fn last(&self) -> &Sheet {
        &self.sheets[self.rounds.len()]
    }

    /// All cuts of all sheets, in their order; some have been made, and some will not be.
    pub fn places(&self) -> impl Iterator<Item = Place> + '_ {
        let sheets = self.sheets.iter().enumerate();
        sheets.flat_map(|(number, sheet)| sheet.places(number))
    }

    /// The cuts that are to be made as things stand, in the order of the sheets.
    pub fn open(&self) -> BTreeSet<Place> {
        let kept = self.rounds.last().map(|round| &round.kept);
        let newest = self.last().places(self.rounds.len());
        newest.chain(kept.into_iter().flatten().copied()).collect()
    }

    /// All that has been made before the newest sheet.
    pub fn made(&self) -> Marks {
        let mut made = Marks::default();
        for round in &self.rounds {
            made.done.extend(&round.marks.done);
            made.spoiled.extend(&round.marks.spoiled);
        }
        made
    }

    /// The part of the job that is cut at a place.
    ///
    /// # Panics
    /// If the place is not one of the bench; so do the following.
    pub fn part(&self, place: Place) -> Part {
        let sheet = &self.sheets[place.sheet];
        let strip = &sheet.plan.boards[place.board].strips[place.strip];
        sheet.original(strip.cuts[place.cut].part)
    }

    /// The parts that the newest sheet has no wood for; a spare offcut is none, as it is there to be cut.
    pub fn missing(&self) -> impl Iterator<Item = Part> + '_ {
        let sheet = self.last();
        let missing = sheet.plan.missing.iter();
        let parts = missing.map(|&part| sheet.original(part));
        parts.filter(|part| !part.is_left(self.job()))
    }

    /// The board that a board of a sheet is, or is of.
    pub fn stick(&self, sheet: usize, board: usize) -> Stick {
        let planned = &self.sheets[sheet].plan.boards[board];
        match self.sheets[sheet].sources[planned.board_idx] {
            Source::Line(board_idx) => Stick {
                board_idx,
                number: planned.number,
            },
            Source::Whole(stick) | Source::Strip { stick, .. } => stick,
        }
    }

    /// Which strip of its board a place is on, counted from 0 on the sheet by which that is ripped.
    pub fn strip(&self, place: Place) -> usize {
        match self.source(place.sheet, place.board) {
            Source::Strip { strip, .. } => strip,
            Source::Line(_) | Source::Whole(_) => place.strip,
        }
    }

    /// The number of a cut on its strip, from 1, which no other cut of that strip has had on any sheet.
    ///
    /// # Panics
    /// If the place is not one of the bench.
    pub fn cut_number(&self, place: Place) -> u32 {
        let sheet = &self.sheets[place.sheet];
        let board_idx = sheet.plan.boards[place.board].board_idx;
        let position = u32::try_from(place.cut).expect("load caps the number of parts");
        sheet.plan.job.boards[board_idx].given.cuts + position + 1
    }

    /// All cuts of all sheets by their labels, each the only one with it.
    pub fn labels(&self) -> BTreeMap<CutLabel, Place> {
        let marks: Vec<_> = self.sheets.iter().map(|sheet| sheet.plan.marks()).collect();
        let label = |place: Place| marks[place.sheet].cut(place.board, place.strip, place.cut);
        self.places().map(|place| (label(place), place)).collect()
    }

    pub(super) fn source(&self, sheet: usize, board: usize) -> Source {
        let sheet = &self.sheets[sheet];
        sheet.sources[sheet.plan.boards[board].board_idx]
    }

    /// All boards that the sheets take, in the order in which they do.
    pub(super) fn sticks(&self) -> Vec<Stick> {
        let mut seen = BTreeSet::new();
        let boards = self.boards().map(|(sheet, board)| self.stick(sheet, board));
        boards.filter(|&stick| seen.insert(stick)).collect()
    }

    /// How many cuts have been numbered on each strip of each board so far.
    pub(super) fn numbered_cuts(&self) -> BTreeMap<(Stick, usize), u32> {
        let mut numbered: BTreeMap<(Stick, usize), u32> = BTreeMap::new();
        for place in self.places() {
            let stick = self.stick(place.sheet, place.board);
            let last = numbered.entry((stick, self.strip(place))).or_default();
            *last = (*last).max(self.cut_number(place));
        }
        numbered
    }

    /// Number of the sheet and position of every board that any sheet takes.
    pub(super) fn boards(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let sheets = self.sheets.iter().enumerate();
        sheets.flat_map(|(number, sheet)| {
            (0..sheet.plan.boards.len()).map(move |board| (number, board))
        })
    }
}

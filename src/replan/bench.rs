//! A job at the bench: the sheets it has been cut by so far, and what has been made.

mod sticks;

use std::collections::{BTreeMap, BTreeSet};

use crate::job::{Job, Texts};
use crate::length::Length;
use crate::plan::certificate::Certificate;
use crate::plan::sheets::MaterialPlan;
use crate::plan::{Cut, CutLabel, Part, PieceKind, Plan, PlannedBoard, part_label};
use crate::stock::Run;

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
    /// Cut, and spoiled: the part is wanted again. So much of it along its outer edge, in one stretch, is good all the same.
    pub spoiled: BTreeMap<Place, Length>,
}

/// A piece of wood that has a chalk mark of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stick {
    /// A board, by where it was taken first.
    Board {
        /// Which sheet.
        sheet: usize,
        /// Position in the boards of the sheet's plan.
        board: usize,
    },
    /// A rail or a piece that was cut, and is now cut again: a spoiled one, or one that the job no longer wants.
    Rail(Place),
    /// What was left of a board that was ripped, resawn or cut at the yard: a piece beside its strips, or a whole stretch or
    /// slice from which nothing is cut.
    Piece {
        /// Which sheet the board was parted by.
        sheet: usize,
        /// Position in the boards of the sheet's plan.
        board: usize,
        /// Which of its pieces.
        kind: PieceKind,
    },
}

/// What was measured of a board at the saw.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Measured {
    /// Its length as it is, where that is not what the job says.
    pub length: Option<Length>,
    /// Stretches of its whole width that no part may touch, from its near end as it was before the first cut.
    pub knots: BTreeSet<Run>,
}

/// What a board of a sheet's job is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Source {
    /// A line of the job; numbers are those of the line.
    Line,
    /// A board of an earlier sheet, or a rail in hand, all of it still there.
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

/// A plan that was cut by, or is to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// The plan: of the job itself, and of a later sheet what was to be planned anew then.
    pub plan: Plan,
    /// What proves its lower bound.
    pub certificate: Certificate,
    /// What is cut from sheets; of a later sheet nothing, as only boards are planned anew.
    pub materials: Vec<MaterialPlan>,
    /// The whole job as it was then.
    pub job: Job,
    /// The files it was read from.
    pub texts: Texts,
    /// What each board of the plan's job is.
    pub(super) sources: Vec<Source>,
    /// Of a later sheet, which part of the whole job each piece is.
    pub(super) parts: Vec<Part>,
    /// Of a later sheet, which frame of the whole job each frame is, and which copy.
    pub(super) frames: Vec<FrameCopy>,
}

/// A frame of a job, by its index, and which of the alike ones, from 1.
pub(super) type FrameCopy = (usize, u32);

/// What has become known since a sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct News {
    /// The job as it now is, with the files it was read from; `None` where it is what it was.
    pub job: Option<(Job, Texts)>,
    /// What has been made.
    pub marks: Marks,
    /// What was measured of boards that the sheets take.
    pub measured: BTreeMap<Stick, Measured>,
}

impl From<Marks> for News {
    fn from(marks: Marks) -> News {
        News {
            marks,
            ..News::default()
        }
    }
}

/// What rails that are cut anew keep of wishes for grain and color.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Wishes {
    /// A frame with such a wish, all of whose rails are cut anew, is planned as a frame, and not as single rails.
    pub frames: bool,
    /// Single rails of a frame with such a wish come from the boards that its other rails come from, where there are any.
    pub near: bool,
}

/// What led from some sheets to the next.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Round {
    /// Whether the job was another from then on; it is that of the next sheet.
    pub has_other_job: bool,
    /// What had been made since the sheet before.
    pub marks: Marks,
    /// What had been measured since the sheet before.
    pub measured: BTreeMap<Stick, Measured>,
    /// Cuts that were still to be made and stay as they are.
    pub kept: BTreeSet<Place>,
    /// What rails that are cut anew keep of wishes.
    pub wishes: Wishes,
    /// What is cut well or stays, and the part of the job that it serves as from then on.
    pub serves: BTreeMap<Place, Part>,
    /// Spares that stand for a rail since it was spoiled: where they are cut, and which spare of the job each was.
    pub spent: BTreeMap<Place, Part>,
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
        self.done.contains(&place) || self.spoiled.contains_key(&place)
    }

    /// All cuts that have been made.
    pub fn made(&self) -> impl Iterator<Item = Place> + '_ {
        self.done.iter().chain(self.spoiled.keys()).copied()
    }
}

impl Measured {
    /// What was measured later as well; the last length counts.
    pub(super) fn add(&mut self, later: &Measured) {
        self.length = later.length.or(self.length);
        self.knots.extend(&later.knots);
    }
}

impl Sheet {
    /// All cuts of the sheet, which is the one of this number.
    pub(super) fn places(&self, sheet: usize) -> impl Iterator<Item = Place> + '_ {
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

    /// The part of the whole job that a part of the sheet's plan is.
    pub(super) fn original(&self, part: Part) -> Part {
        match part {
            Part::Loose { piece_idx, .. } => self.parts.get(piece_idx).copied().unwrap_or(part),
            Part::Rail {
                frame_idx, side, ..
            } => match self.frames.get(frame_idx) {
                Some(&(frame_idx, copy)) => Part::Rail {
                    frame_idx,
                    copy,
                    side,
                },
                None => part,
            },
        }
    }
}

impl Bench {
    /// A job with its plan, of which nothing has been cut.
    pub fn new(plan: Plan, certificate: Certificate) -> Bench {
        Bench::of_files(plan, certificate, Texts::default())
    }

    /// The same, of a job that was read from these files.
    pub fn of_files(plan: Plan, certificate: Certificate, texts: Texts) -> Bench {
        let first = Sheet {
            sources: vec![Source::Line; plan.job.boards.len()],
            parts: Vec::new(),
            frames: Vec::new(),
            job: plan.job.clone(),
            texts,
            plan,
            certificate,
            materials: Vec::new(),
        };
        Bench {
            sheets: vec![first],
            rounds: Vec::new(),
        }
    }

    /// The same with what the first sheet has cut from sheets of glass and board.
    #[must_use]
    pub fn with_sheets(mut self, materials: Vec<MaterialPlan>) -> Bench {
        if let Some(first) = self.sheets.first_mut() {
            first.materials = materials;
        }
        self
    }

    /// The whole job as it was last.
    pub fn job(&self) -> &Job {
        &self.last().job
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

    /// The bench as it was before the newest sheet; the same where there is only one.
    #[must_use]
    pub fn before(&self) -> Bench {
        let mut before = self.clone();
        if before.rounds.pop().is_some() {
            before.sheets.pop();
        }
        before
    }

    /// The board of a sheet's plan at this position.
    pub(super) fn planned(&self, (sheet, board): (usize, usize)) -> (&Job, &PlannedBoard) {
        let plan = &self.sheets[sheet].plan;
        (&plan.job, &plan.boards[board])
    }

    /// The part that was to be cut at a place when it was planned, and the whole job of which it was one.
    ///
    /// # Panics
    /// If the place is not one of the bench; so do the following.
    pub fn planned_part(&self, place: Place) -> (&Job, Part) {
        let sheet = &self.sheets[place.sheet];
        (&sheet.job, sheet.original(self.cut(place).part))
    }

    /// What is cut at a place is called as it was when that was planned.
    pub fn part_name(&self, place: Place) -> String {
        let (job, part) = self.planned_part(place);
        part_label(job, part)
    }

    /// The parts of the job as it was last that are cut well, or are to be cut as things stand, each where that is.
    pub fn serving(&self) -> BTreeMap<Place, Part> {
        let earlier = self.rounds.last().map(|round| &round.serves);
        let earlier = earlier.into_iter().flatten();
        let newest = self.last().places(self.rounds.len());
        let newest = newest.map(|place| (place, self.planned_part(place).1));
        let earlier = earlier.map(|(&place, &part)| (place, part));
        earlier.chain(newest).collect()
    }

    /// The spares that stand for a rail, where they are cut, each with the rail and the spare that it was.
    pub fn spent(&self) -> Vec<(Part, Place, Part)> {
        let Some(round) = self.rounds.last() else {
            return Vec::new();
        };
        let spent = round.spent.iter();
        spent
            .filter_map(|(place, &spare)| Some((*round.serves.get(place)?, *place, spare)))
            .collect()
    }

    /// The parts that the newest sheet has no wood for; a spare offcut is none, as it is there to be cut.
    pub fn missing(&self) -> impl Iterator<Item = Part> + '_ {
        let sheet = self.last();
        let missing = sheet.plan.missing.iter();
        let parts = missing.map(|&part| sheet.original(part));
        parts.filter(|part| !part.is_left(self.job()))
    }

    /// The cut at a place.
    pub fn cut(&self, place: Place) -> &Cut {
        let board = &self.sheets[place.sheet].plan.boards[place.board];
        &board.strips[place.strip].cuts[place.cut]
    }

    /// What a rail in hand is called: what it was cut as, and where.
    pub fn rail_name(&self, place: Place) -> String {
        let sheet = &self.sheets[place.sheet];
        let label = sheet.plan.marks().cut(place.board, place.strip, place.cut);
        format!("{} ({label})", self.part_name(place))
    }

    /// Which strip of its board a place is on, counted from 0 on the sheet by which that is ripped.
    pub fn strip(&self, place: Place) -> usize {
        match self.source(place.sheet, place.board) {
            Source::Strip { strip, .. } => strip,
            Source::Line | Source::Whole(_) => place.strip,
        }
    }

    /// The number of a cut on its strip, from 1, which no other cut of that strip has had on any sheet.
    ///
    /// # Panics
    /// If the place is not one of the bench.
    pub fn cut_number(&self, place: Place) -> u32 {
        let (job, planned) = self.planned((place.sheet, place.board));
        planned.cut_number(job, place.cut)
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

    /// Whether a rail stands in a row on its sheet, or in a frame that is planned as one.
    pub fn is_in_frame(&self, place: Place) -> bool {
        matches!(self.cut(place).part, Part::Rail { .. })
    }

    /// Number of the sheet and position of every board that any sheet takes.
    pub(super) fn boards(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let sheets = self.sheets.iter().enumerate();
        sheets.flat_map(|(number, sheet)| {
            (0..sheet.plan.boards.len()).map(move |board| (number, board))
        })
    }
}

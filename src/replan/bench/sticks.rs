//! The wood at the bench: which piece of it each cut is sawn from, where it begins, how long it is, what it is called.

use std::collections::{BTreeMap, BTreeSet};

use super::{Bench, Marks, Measured, Place, Source, Stick};
use crate::length::Length;
use crate::plan::{PieceKind, piece_name};
use crate::stock::Board;

impl Bench {
    /// How far a stick has been cut from its near end, once `marks` are made as well; zero where nothing has been. What is cut
    /// from pieces of it counts, too.
    pub fn cut_to(&self, stick: Stick, marks: &Marks) -> Length {
        let made = self.made();
        let made = made.made().chain(marks.made());
        let on_it = made.filter_map(|place| {
            let begin = self.begin_on(self.stick_at(place), stick)?;
            Some(begin + self.stretch_begin(place) + self.cut(place).to)
        });
        on_it.max().unwrap_or_default()
    }

    /// Where the last stretch begins of a board that the yard has cut, by the sheet that takes it first; else zero.
    pub fn last_yard_cut(&self, stick: Stick) -> Length {
        let of = match stick {
            Stick::Board { sheet, board } => Some(self.planned((sheet, board)).1),
            Stick::Rail(_) | Stick::Piece { .. } => None,
        };
        let last = of.and_then(|planned| planned.stretches.last());
        last.map_or(Length::ZERO, |last| last.from)
    }

    /// The sheet by which the board of a place is ripped, and the board's position there.
    pub(in crate::replan) fn ripped_by(&self, place: Place) -> (usize, usize) {
        match self.source(place.sheet, place.board) {
            Source::Strip { ripped_by, .. } => ripped_by,
            Source::Line | Source::Whole(_) => (place.sheet, place.board),
        }
    }

    /// Where the stretch of its board that a place is on begins; what the yard does not cut is one stretch.
    fn stretch_begin(&self, place: Place) -> Length {
        let (_, planned) = self.planned(self.ripped_by(place));
        planned.stretches[planned.strips[self.strip(place)].stretch].from
    }

    /// Where a stick begins along another one that it is, or is a piece of; `None` where it is neither.
    fn begin_on(&self, stick: Stick, whole: Stick) -> Option<Length> {
        if stick == whole {
            return Some(Length::ZERO);
        }
        let (from, (sheet, board), kind) = self.piece_of(stick)?;
        let planned = &self.sheets[sheet].plan.boards[board];
        let begin = planned.stretches[kind.stretch()].from;
        Some(self.begin_on(from, whole)? + begin)
    }

    /// Of a piece the stick that it was left of, the sheet and position by which that was parted, and what of it it is.
    pub(in crate::replan) fn piece_of(
        &self,
        stick: Stick,
    ) -> Option<(Stick, (usize, usize), PieceKind)> {
        match stick {
            Stick::Piece { sheet, board, kind } => {
                Some((self.stick(sheet, board), (sheet, board), kind))
            }
            Stick::Board { .. } | Stick::Rail(_) => None,
        }
    }

    /// The board, or the rail in hand, that a stick is or is a piece of.
    pub(in crate::replan) fn root(&self, stick: Stick) -> Stick {
        match self.piece_of(stick) {
            Some((from, ..)) => self.root(from),
            None => stick,
        }
    }

    /// By which sheet and as which board each stick is parted on which one of these places is: also those of which only a
    /// piece is cut.
    pub(in crate::replan) fn parted_by(
        &self,
        places: impl IntoIterator<Item = Place>,
    ) -> BTreeMap<Stick, (usize, usize)> {
        let mut parted = BTreeMap::new();
        for place in places {
            let mut stick = self.stick_at(place);
            parted.insert(stick, self.ripped_by(place));
            while let Some((from, by, _)) = self.piece_of(stick) {
                parted.insert(from, by);
                stick = from;
            }
        }
        parted
    }

    /// The length of a board as it was measured last, or else as the job has it.
    pub fn length(&self, stick: Stick) -> Length {
        let measured = self.measured(stick).length;
        measured.unwrap_or(self.board_of(stick).0.length)
    }

    /// What was measured of a stick before the newest sheet.
    pub(in crate::replan) fn measured(&self, stick: Stick) -> Measured {
        let mut all = Measured::default();
        for measured in self
            .rounds
            .iter()
            .filter_map(|round| round.measured.get(&stick))
        {
            all.add(measured);
        }
        all
    }

    /// The stick that a board of a sheet is, or is of.
    pub fn stick(&self, sheet: usize, board: usize) -> Stick {
        match self.source(sheet, board) {
            Source::Line => Stick::Board { sheet, board },
            Source::Whole(stick) | Source::Strip { stick, .. } => stick,
        }
    }

    /// The stick on which a place is.
    pub fn stick_at(&self, place: Place) -> Stick {
        self.stick(place.sheet, place.board)
    }

    /// The board that a stick is, or that its wood comes from, with its number among those of its line.
    pub fn board_of(&self, stick: Stick) -> (&Board, u32) {
        match stick {
            Stick::Board { sheet, board } => {
                let plan = &self.sheets[sheet].plan;
                let planned = &plan.boards[board];
                (&plan.job.boards[planned.board_idx], planned.number)
            }
            Stick::Rail(place) => self.board_of(self.stick_at(place)),
            Stick::Piece { sheet, board, .. } => self.board_of(self.stick(sheet, board)),
        }
    }

    /// What a stick is called: a board by its line and number, a rail in hand by what it was cut as, a piece by the board that
    /// it was left of.
    pub fn stick_name(&self, stick: Stick) -> (String, u32) {
        match stick {
            Stick::Board { .. } => {
                let (board, number) = self.board_of(stick);
                (board.name.clone(), number)
            }
            Stick::Rail(place) => (self.rail_name(place), 1),
            Stick::Piece { sheet, board, kind } => {
                let plan = &self.sheets[sheet].plan;
                let piece = piece_name(&plan.boards[board], kind);
                let (line, _) = self.board_of(stick);
                let mark = plan.marks().chalked(board);
                (format!("{}, {piece} of {mark}", line.name), 1)
            }
        }
    }

    /// All sticks that the sheets take, in the order in which they do: that of their chalk marks.
    pub fn sticks(&self) -> Vec<Stick> {
        let mut seen = BTreeSet::new();
        let boards = self.boards().map(|(sheet, board)| self.stick(sheet, board));
        boards.filter(|&stick| seen.insert(stick)).collect()
    }

    /// How many cuts have been numbered on each strip of each board so far.
    pub(in crate::replan) fn numbered_cuts(&self) -> BTreeMap<(Stick, usize), u32> {
        let mut numbered: BTreeMap<(Stick, usize), u32> = BTreeMap::new();
        for place in self.places() {
            let stick = self.stick(place.sheet, place.board);
            let last = numbered.entry((stick, self.strip(place))).or_default();
            *last = (*last).max(self.cut_number(place));
        }
        numbered
    }
}

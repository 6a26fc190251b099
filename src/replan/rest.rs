//! What is left to do as a job of its own.

use std::collections::{BTreeMap, BTreeSet};

use super::bench::Source;
use super::names::{PartNames, stick_name};
use super::spares::from_spares;
use super::{Bench, Marks, Place, Round, Sheet, Stick};
use crate::frame::ChosenBoards;
use crate::job::{Ends, Job, Piece, Purpose};
use crate::length::Length;
use crate::money::Money;
use crate::plan::certificate::Certificate;
use crate::plan::{ChalkMark, Part, Plan, PlannedBoard, PlannedStrip, StripMark, defects_on};
use crate::stock::{Across, Board, Defect, Given, InHand, Price};

/// A sheet that is still to be planned, and what led to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// What is to be planned.
    pub job: Job,
    round: Round,
    sources: Vec<Source>,
    parts: Vec<Part>,
}

impl Bench {
    /// The next sheet's job, once `marks` are made and of all other cuts those `kept` stay: of all parts that are neither
    /// done nor kept nor to be cut from spares, with the boards as they then are.
    ///
    /// Boards keep their length and their places: what is cut from them, or is to be, is gone from the board, with the
    /// kerfs at its ends. So nothing is trimmed twice, and what lies between and behind the cuts is used.
    /// Every part is a piece under the name it had. A strip that is ripped already is a board of its own; of what lies
    /// beside it nothing is used.
    ///
    /// # Errors
    /// A place that is marked twice, or that is not open.
    pub fn draft(&self, marks: Marks, kept: BTreeSet<Place>) -> Result<Draft, Place> {
        let open = self.open();
        let mut seen = BTreeSet::new();
        for place in marks.made().chain(kept.iter().copied()) {
            if !open.contains(&place) || !seen.insert(place) {
                return Err(place);
            }
        }
        let round = Round {
            from_spares: from_spares(self, &marks),
            marks,
            kept,
        };
        let (mut boards, mut sources) = self.boards_left(&round);
        for (board_idx, board) in self.lines_left() {
            boards.push(board);
            sources.push(Source::Line(board_idx));
        }
        let parts = self.wanted(&round);
        let job = self.job().rest(self.pieces(&parts, &sources), boards);
        Ok(Draft {
            job,
            round,
            sources,
            parts,
        })
    }

    /// Adds the sheet of a draft, with its plan and what proves that.
    pub fn push(&mut self, draft: Draft, plan: Plan, certificate: Certificate) {
        self.rounds.push(draft.round);
        self.sheets.push(Sheet {
            plan,
            certificate,
            sources: draft.sources,
            parts: draft.parts,
        });
    }

    /// The boards of all sheets as they are, strip by strip where they are cut from.
    fn boards_left(&self, round: &Round) -> (Vec<Board>, Vec<Source>) {
        let made = self.made();
        let fixed = made.made().chain(round.marks.made());
        let mut fixed_on: BTreeMap<Stick, Vec<Place>> = BTreeMap::new();
        for place in fixed.chain(round.kept.iter().copied()) {
            let stick = self.stick(place.sheet, place.board);
            fixed_on.entry(stick).or_default().push(place);
        }
        let numbered = self.numbered_cuts();
        let widest_kerf = widest_kerf(self.job());
        let (mut boards, mut sources) = (Vec::new(), Vec::new());
        let sticks = self.sticks();
        let marks = count(sticks.len());
        for (mark, stick) in (0..).zip(sticks) {
            let line = &self.job().boards[stick.board_idx];
            let given = |strip: Option<usize>| {
                let strips = match strip {
                    Some(strip) => strip..=strip,
                    None => 0..=usize::MAX,
                };
                let on = numbered.range((stick, *strips.start())..=(stick, *strips.end()));
                Given {
                    boards: 0,
                    cuts: on.map(|(_, &cuts)| cuts).max().unwrap_or(0),
                    marks,
                    mark: Some(mark),
                    strip: None,
                }
            };
            let chalked = |strip| StripMark {
                board: ChalkMark::nth(mark),
                strip,
            };
            let Some(fixed) = fixed_on.get(&stick) else {
                boards.push(Board {
                    name: stick_name(self.job(), stick, chalked(None)),
                    ..bought(line, given(None))
                });
                sources.push(Source::Whole(stick));
                continue;
            };
            let ripped_by = self.ripped_by(fixed[0]);
            let planned = &self.sheets[ripped_by.0].plan.boards[ripped_by.1];
            let is_only = planned.strips.len() == 1;
            for strip in 0..planned.strips.len() {
                let of_strip = fixed.iter().filter(|&&place| self.strip(place) == strip);
                let gone = of_strip.map(|&place| self.taken(place, widest_kerf));
                let job = &self.sheets[ripped_by.0].plan.job;
                let given = Given {
                    strip: (!is_only).then_some(count(strip + 1)),
                    ..given(Some(strip))
                };
                let board = strip_left(job, planned, strip, gone, given);
                if board.longest_clear(job.shop.end_trim).is_some() {
                    boards.push(Board {
                        name: stick_name(self.job(), stick, chalked(given.strip)),
                        ..board
                    });
                    sources.push(Source::Strip {
                        stick,
                        ripped_by,
                        strip,
                    });
                }
            }
        }
        (boards, sources)
    }

    /// The sheet by which the board of a place is ripped, and the board's position there.
    fn ripped_by(&self, place: Place) -> (usize, usize) {
        match self.source(place.sheet, place.board) {
            Source::Strip { ripped_by, .. } => ripped_by,
            Source::Line(_) | Source::Whole(_) => (place.sheet, place.board),
        }
    }

    /// What a cut takes of its strip, with room for the saw at both ends whatever is cut beside it.
    fn taken(&self, place: Place, widest_kerf: Length) -> (Length, Length) {
        let planned = &self.sheets[place.sheet].plan.boards[place.board];
        let cut = &planned.strips[place.strip].cuts[place.cut];
        let trim = self.job().shop.end_trim;
        ((cut.from - widest_kerf).max(trim), cut.to + widest_kerf)
    }

    /// The boards of the job that no sheet takes, with their indices.
    fn lines_left(&self) -> Vec<(usize, Board)> {
        let mut used: BTreeMap<usize, u32> = BTreeMap::new();
        let sticks = self.sticks();
        let marks = count(sticks.len());
        for stick in sticks {
            *used.entry(stick.board_idx).or_default() += 1;
        }
        let lines = self.job().boards.iter().enumerate();
        lines
            .map(|(board_idx, board)| {
                let used = used.get(&board_idx).copied().unwrap_or(0);
                let board = Board {
                    quantity: board.quantity.map(|quantity| quantity.saturating_sub(used)),
                    given: Given {
                        boards: used,
                        marks,
                        ..Given::default()
                    },
                    ..board.clone()
                };
                (board_idx, board)
            })
            .filter(|(_, board)| board.quantity != Some(0))
            .collect()
    }

    /// The parts that the next sheet must cut, in their order.
    fn wanted(&self, round: &Round) -> Vec<Part> {
        let open = self.open();
        let is_kept =
            |place: &Place| round.kept.contains(place) || round.marks.done.contains(place);
        let before = self.replaced();
        let spoiled = round.marks.spoiled.iter().map(|&place| self.part(place));
        let spoiled: BTreeSet<Part> = spoiled.collect();
        let (broken, replaced): (Vec<_>, Vec<_>) = before
            .into_iter()
            .partition(|(_, spare)| spoiled.contains(spare));
        let mut wanted: BTreeSet<Part> = open
            .iter()
            .filter(|place| !is_kept(place))
            .map(|&place| self.part(place))
            .chain(self.missing())
            .chain(broken.into_iter().map(|(rail, _)| rail))
            .collect();
        for (rail, _) in replaced.iter().chain(&round.from_spares) {
            wanted.remove(rail);
        }
        wanted.into_iter().collect()
    }

    /// The pieces that parts are, to be cut from boards that come from these sources; a choice of boards stands.
    fn pieces(&self, parts: &[Part], sources: &[Source]) -> Vec<Piece> {
        let first = &self.sheets[0].plan;
        let cut = first.boards.iter().flat_map(PlannedBoard::cuts);
        let all = cut.map(|cut| cut.part).chain(first.missing.iter().copied());
        let names = PartNames::new(self.job(), all);
        parts
            .iter()
            .map(|&part| {
                let chosen = part.boards(self.job());
                let is_of = |source: usize, line: usize| sources[source].line() == line;
                Piece {
                    boards: chosen.among(sources.len(), is_of),
                    ..piece(self.job(), part, names.name(part))
                }
            })
            .collect()
    }
}

fn count(n: usize) -> u32 {
    u32::try_from(n).expect("load caps the number of parts")
}

/// The widest kerf that any part takes along its strip.
fn widest_kerf(job: &Job) -> Length {
    let of_frames = job.frames.iter().map(|frame| frame.art.miter());
    let of_pieces = job.pieces.iter().map(|piece| piece.ends.miter());
    let kerfs = of_frames
        .chain(of_pieces)
        .map(|miter| miter.kerf_along(job.shop.kerf));
    kerfs.max().unwrap_or(job.shop.kerf)
}

/// A part as a piece of a name of its own.
fn piece(job: &Job, part: Part, name: String) -> Piece {
    match part {
        Part::Rail {
            frame_idx, side, ..
        } => {
            let sizes = job.frame_sizes(frame_idx);
            Piece {
                name,
                length: sizes.rail(side).long_point,
                quantity: 1,
                ends: match sizes.n_sides() {
                    4 => Ends::Miter,
                    sides => Ends::Corner { sides },
                },
                moulding_idx: Some(job.frames[frame_idx].moulding_idx),
                material: None,
                thickness: None,
                width: None,
                boards: ChosenBoards::ANY,
                purpose: Purpose::Wanted,
            }
        }
        Part::Loose { piece_idx, .. } => Piece {
            name,
            quantity: 1,
            ..job.pieces[piece_idx].clone()
        },
    }
}

/// A board that is paid for, so that using it costs nothing more, with the numbers that are given.
fn bought(board: &Board, given: Given) -> Board {
    let before = board.in_hand.as_ref();
    Board {
        quantity: Some(1),
        nominal: None,
        price: Some(Price::Each(Money::ZERO)),
        in_hand: Some(InHand {
            value: Some(Price::Each(Money::ZERO)),
            paid: before.map_or(board.price, |in_hand| in_hand.paid),
            from: before.and_then(|in_hand| in_hand.from.clone()),
            is_bought: false,
        }),
        given,
        ..board.clone()
    }
}

/// What is left of a strip without the stretches that are `gone`: a board as long as before, with defects where they are.
fn strip_left(
    job: &Job,
    planned: &PlannedBoard,
    strip_idx: usize,
    gone: impl Iterator<Item = (Length, Length)>,
    given: Given,
) -> Board {
    let of = &job.boards[planned.board_idx];
    let full = |across, (from, to): (Length, Length)| Defect { from, to, across };
    let mut gone: Vec<(Length, Length)> = gone.collect();
    gone.sort_unstable();
    let mut taken: Vec<Defect> = Vec::new();
    for (from, to) in gone {
        let to = to.min(of.length);
        match taken.last_mut() {
            Some(last) if from <= last.to => last.to = last.to.max(to),
            _ => taken.push(full(Across::Gone, (from, to))),
        }
    }
    let own = defects_on(job, planned, strip_idx).into_iter();
    taken.extend(own.map(|stretch| full(Across::Full, stretch)));
    taken.sort_unstable();
    Board {
        width: width_left(job, of, &planned.strips[strip_idx]),
        defects: taken,
        ..bought(of, given)
    }
}

/// The width of a strip: that of what it was ripped for, so that it is taken as it is.
fn width_left(job: &Job, of: &Board, strip: &PlannedStrip) -> Option<Length> {
    match (job.shop.rip, strip.width) {
        (Some(rip), Some(width)) if strip.width != of.width => Some(width - rip.planing),
        (_, width) => width,
    }
}

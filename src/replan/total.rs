//! All sheets of a bench as one plan of the whole job: what is cut, and what is to be cut, on every board that is taken.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::hand::{Hand, widest_kerf};
use super::names::unique_name;
use super::{Bench, News, Place, Stick};
use crate::frame::ChosenBoards;
use crate::job::{Ends, Job, Piece, Purpose};
use crate::length::Length;
use crate::plan::{
    ChalkMark, Cut, GivenNumbers, Measure, Part, Plan, PlannedBoard, PlannedStrip, Stretch, Verdict,
};
use crate::stock::{Board, Given, InHand, title_on_rack};

/// What the sheets of a bench come to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Total {
    /// The plan: every stick is a board of its own, its cuts where they lie. Of what is proved it says nothing.
    ///
    /// Parts that were cut and are in no frame are loose pieces behind those of the job. A rail in hand from which something is
    /// cut is a board as well, and its wood that of such a piece.
    pub plan: Plan,
    /// The parts that were cut and are in no frame, each with the board that it is, if something is cut from it or it is good
    /// for something: an index into the boards of the plan's job.
    pub idle: BTreeMap<Part, Option<usize>>,
}

impl Bench {
    /// The plan of all that is cut in the end: the first where no sheet went on from it, else all as one.
    pub fn whole_plan(&self) -> Cow<'_, Plan> {
        if self.rounds().is_empty() {
            Cow::Borrowed(&self.last().plan)
        } else {
            Cow::Owned(self.total().plan)
        }
    }

    /// All sheets as one plan, once everything is cut that is still to be.
    pub fn total(&self) -> Total {
        self.total_on_sticks().0
    }

    /// All sheets as one plan, and the stick that each of its boards is.
    pub(super) fn total_on_sticks(&self) -> (Total, Vec<Stick>) {
        let news = News::default();
        let job = self.job();
        let hand = Hand::new(self, &news, job);
        let open = self.open();
        let made: BTreeSet<Place> = self.made().made().collect();
        let mut cuts_on: BTreeMap<Stick, Vec<Place>> = BTreeMap::new();
        for &place in made.iter().chain(&open) {
            cuts_on.entry(self.stick_at(place)).or_default().push(place);
        }
        let parted = self.parted_by(made.iter().chain(&open).copied());
        let serving = self.serving();
        let mut total = Work {
            bench: self,
            hand: &hand,
            pieces: job.pieces.clone(),
            names: job.pieces.iter().map(|piece| piece.name.clone()).collect(),
            boards: Vec::new(),
            planned: Vec::new(),
            board_of: BTreeMap::new(),
            part_of: serving.clone(),
        };
        for &place in made.iter().filter(|place| !serving.contains_key(place)) {
            total.add_idle(place);
        }
        for (mark, stick) in (0..).zip(self.sticks()) {
            let places = cuts_on.get(&stick).map_or(&[][..], Vec::as_slice);
            total.add_stick(mark, stick, (places, parted.get(&stick).copied()), &made);
        }
        let rails = made.iter().filter(|place| !serving.contains_key(place));
        for &place in rails {
            let is_new = !total.board_of.contains_key(&Stick::Rail(place));
            if is_new
                && hand.good(place) > Length::ZERO
                && let Some(rail) = hand.rail(place, Given::default())
            {
                let board_idx = total.boards.len();
                total.board_of.insert(Stick::Rail(place), board_idx);
                total.boards.push(as_on_the_rack(job, rail));
            }
        }
        total.add_lines(&parted);
        let idle = made.iter().filter(|place| !serving.contains_key(place));
        let idle = idle.map(|place| {
            let board = total.board_of.get(&Stick::Rail(*place)).copied();
            (total.part_of[place], board)
        });
        let idle = idle.collect();
        let stick_of: BTreeMap<usize, Stick> = total
            .board_of
            .iter()
            .map(|(&stick, &board_idx)| (board_idx, stick))
            .collect();
        let boards = total.planned.iter();
        let sticks: Vec<Stick> = boards.map(|board| stick_of[&board.board_idx]).collect();
        let given_numbers = if self.rounds.is_empty() {
            self.sheets[0].plan.given_numbers.clone()
        } else {
            let whole = sticks.iter().map(|&stick| (stick, None));
            self.given_numbers(&self.before().names(), whole)
        };
        (total.plan(idle, given_numbers), sticks)
    }
}

struct Work<'b> {
    bench: &'b Bench,
    hand: &'b Hand<'b>,
    pieces: Vec<Piece>,
    names: BTreeSet<String>,
    boards: Vec<Board>,
    planned: Vec<PlannedBoard>,
    /// Which board each stick is.
    board_of: BTreeMap<Stick, usize>,
    /// Which part is cut at each place.
    part_of: BTreeMap<Place, Part>,
}

impl Work<'_> {
    /// A part that was cut and is in no frame, as a piece of a name of its own.
    fn add_idle(&mut self, place: Place) {
        let (job, part) = self.bench.planned_part(place);
        let moulding_idx = self.moulding_idx(place);
        let name = unique_name(&mut self.names, self.bench.rail_name(place));
        let ends = match part {
            Part::Rail { frame_idx, .. } => match job.frames[frame_idx].art.n_sides() {
                4 => Ends::Miter,
                sides => Ends::Corner { sides },
            },
            Part::Loose { piece_idx, .. } => job.pieces[piece_idx].ends,
        };
        let part_of_piece = Part::Loose {
            piece_idx: self.pieces.len(),
            copy: 1,
        };
        self.pieces.push(Piece {
            name,
            length: part.length(job),
            quantity: 1,
            ends,
            moulding_idx,
            material: None,
            thickness: None,
            width: None,
            boards: ChosenBoards::ANY,
            on_edge: false,
            purpose: Purpose::Wanted,
        });
        self.part_of.insert(place, part_of_piece);
    }

    /// The moulding of what is cut at a place, as the job has it now.
    fn moulding_idx(&self, place: Place) -> Option<usize> {
        let plan = &self.bench.sheets[place.sheet].plan;
        let strip = &plan.boards[place.board].strips[place.strip];
        same_moulding(&plan.job, strip.moulding_idx, self.bench.job())
    }

    /// A board, a piece of one, or a rail in hand, with what is cut from it on all sheets, and how it is parted.
    fn add_stick(
        &mut self,
        mark: u32,
        stick: Stick,
        (places, parted): (&[Place], Option<(usize, usize)>),
        made: &BTreeSet<Place>,
    ) {
        let piece_of = self.bench.piece_of(stick);
        let given = Given {
            mark: Some(mark),
            is_piece: piece_of.is_some(),
            ..Given::default()
        };
        // A piece from which nothing is cut is still that of its board.
        if piece_of.is_some() && parted.is_none() {
            return;
        }
        let Some(whole) = self.hand.whole(stick, given) else {
            return;
        };
        let is_of_rack = match stick {
            Stick::Board { .. } => self.line(stick).in_hand.is_some(),
            Stick::Rail(_) | Stick::Piece { .. } => false,
        };
        // A piece of the rack from which nothing is cut stays what it is; a board that is not there is none.
        if parted.is_none() && (is_of_rack || !self.hand.is_there(stick)) {
            return;
        }
        let board = match stick {
            Stick::Rail(_) | Stick::Piece { .. } => as_on_the_rack(self.hand.job, whole),
            Stick::Board { .. } => {
                let line = self.line(stick);
                Board {
                    name: format!("{}, {}", line.name, ChalkMark::nth(mark)),
                    nominal: line.nominal,
                    price: line.price,
                    in_hand: line.in_hand.clone(),
                    ..whole
                }
            }
        };
        // Nothing is cut from a rail in hand.
        let is_idle_rail = places.is_empty() && matches!(stick, Stick::Rail(_));
        self.board_of.insert(stick, self.boards.len());
        let board_idx = self.boards.len();
        self.boards.push(board);
        if is_idle_rail {
            return;
        }
        if let Some((from, _, kind)) = piece_of
            && let Some(&from) = self.board_of.get(&from)
        {
            let mut boards = self.planned.iter_mut();
            if let Some(from) = boards.find(|planned| planned.board_idx == from) {
                from.used_again.push(kind);
            }
        }
        let mut planned = self.laid(stick, board_idx, parted);
        let trim = self.hand.job.shop.end_trim;
        let ends: Vec<Length> = planned
            .strips
            .iter()
            .map(|strip| {
                let stretch = &planned.stretches[strip.stretch];
                stretch.to - stretch.from
            })
            .collect();
        // The trims of a rail in hand are not there: here they are those of the job as it is now.
        let first = places.first();
        let begin = first.map_or(Length::ZERO, |&first| trim - self.hand.end_trim(first));
        let as_cut: Vec<Length> = ends.iter().map(|&end| end - begin).collect();
        for (place, moved) in self.moved(places, made, &as_cut) {
            let cut = self.bench.cut(place);
            let moved = moved + begin;
            planned.strips[self.bench.strip(place)].cuts.push(Cut {
                part: self.part_of[&place],
                from: cut.from + moved,
                to: cut.to + moved,
                turned: cut.turned,
            });
        }
        for (idx, strip) in planned.strips.iter_mut().enumerate() {
            // A strip is milled to what is cut from it first.
            let on_it = places
                .iter()
                .filter(|&&place| self.bench.strip(place) == idx);
            strip.moulding_idx = on_it.min().and_then(|&first| self.moulding_idx(first));
        }
        for strip in planned.strips.iter_mut().filter(|_| parted.is_some()) {
            strip.cuts.sort_by_key(|cut| (cut.from, cut.part));
            strip.offcut = Length::ZERO;
        }
        let saw = self.bench.job().shop.kerf;
        let kerf = |part: Part| match part {
            Part::Rail { .. } => part.kerf_along(self.bench.job()),
            Part::Loose { piece_idx, .. } => self.pieces[piece_idx].kerf_along(saw),
        };
        for (strip, &end) in planned.strips.iter_mut().zip(&ends) {
            let from = match strip.cuts.last() {
                Some(last) => last.to + kerf(last.part),
                None => trim,
            };
            strip.offcut = (end - trim - from).max(Length::ZERO);
        }
        self.planned.push(planned);
    }

    /// A board as it is ripped, nothing being cut from it; `parted` is the sheet by which it is, and its position there, if it is.
    fn laid(&self, stick: Stick, board_idx: usize, parted: Option<(usize, usize)>) -> PlannedBoard {
        let number = match stick {
            Stick::Board { .. } => self.bench.board_of(stick).1,
            Stick::Rail(_) | Stick::Piece { .. } => 1,
        };
        let trim = self.hand.job.shop.end_trim;
        let board = &self.boards[board_idx];
        match parted {
            None => {
                // Of what the yard has cut, a stretch from which nothing is cut has no strip.
                let cuts = board.cuts_done();
                let strip = PlannedStrip {
                    stretch: 0,
                    moulding_idx: None,
                    width: board.width,
                    from_edge: Length::ZERO,
                    cuts: Vec::new(),
                    offcut: board.length - trim * 2,
                };
                PlannedBoard {
                    board_idx,
                    number,
                    pattern: 0,
                    strips: cuts.is_empty().then_some(strip).into_iter().collect(),
                    resawn: None,
                    stretches: stretches(board, &cuts),
                    used_again: Vec::new(),
                }
            }
            Some((sheet, at)) => {
                let plan = &self.bench.sheets[sheet].plan;
                let mut planned = plan.boards[at].clone();
                for strip in &mut planned.strips {
                    strip.cuts.clear();
                }
                // It may be longer or shorter than it was thought to be.
                let far_end = planned.stretches.last().map(|last| last.to);
                let at_end = |on: &&mut Stretch| Some(on.to) == far_end;
                for last in planned.stretches.iter_mut().filter(at_end) {
                    last.to = board.length.max(last.from);
                }
                PlannedBoard {
                    board_idx,
                    number,
                    pattern: 0,
                    ..planned
                }
            }
        }
    }

    /// The cuts of a stick, each with how far it lies beyond its place: as far as wider kerfs have pushed it along, and there is
    /// room before what lies behind it; `ends` are where the strips end.
    fn moved(
        &self,
        places: &[Place],
        made: &BTreeSet<Place>,
        ends: &[Length],
    ) -> Vec<(Place, Length)> {
        let mut places = places.to_vec();
        places.sort_unstable_by_key(|&place| (self.bench.strip(place), self.bench.cut(place).from));
        let mut moved: Vec<(Place, Length)> = Vec::new();
        for &place in places.iter().rev() {
            let cut = self.bench.cut(place);
            let behind = moved
                .last()
                .filter(|(next, _)| self.bench.strip(*next) == self.bench.strip(place));
            let room = match behind {
                None => ends[self.bench.strip(place)] - cut.to,
                Some(&(next, by)) => {
                    let next = self.bench.cut(next);
                    let kerf = widest_kerf(self.hand.job);
                    by + (next.from - cut.to - kerf).max(Length::ZERO)
                }
            };
            let pushed = if made.contains(&place) {
                self.hand.shift(place)
            } else {
                Length::ZERO
            };
            moved.push((place, pushed.min(room).max(Length::ZERO)));
        }
        moved
    }

    /// The line of a board as the job has it now, or as it had it when the board was taken.
    fn line(&self, stick: Stick) -> &Board {
        let (own, _) = self.bench.board_of(stick);
        let mut lines = self.bench.job().boards.iter();
        lines.find(|line| line.name == own.name).unwrap_or(own)
    }

    /// The lines of the job without what is taken of them.
    fn add_lines(&mut self, parted: &BTreeMap<Stick, (usize, usize)>) {
        let mut taken: BTreeMap<String, u32> = BTreeMap::new();
        for stick in self.bench.sticks() {
            if let Stick::Board { .. } = stick {
                let name = self.bench.board_of(stick).0.name.clone();
                let is_of_rack = self.line(stick).in_hand.is_some();
                if parted.contains_key(&stick) || (!is_of_rack && self.hand.is_there(stick)) {
                    *taken.entry(name).or_default() += 1;
                }
            }
        }
        for line in &self.bench.job().boards {
            let taken = taken.get(&line.name).copied().unwrap_or(0);
            self.boards.push(Board {
                quantity: line.quantity.map(|quantity| quantity.saturating_sub(taken)),
                ..line.clone()
            });
        }
    }

    fn plan(self, idle: BTreeMap<Part, Option<usize>>, given_numbers: GivenNumbers) -> Total {
        let job = self.bench.job();
        let mut planned = self.planned;
        let mut boards = self.boards;
        let lines = boards.iter().filter(|board| board.given.rail.is_none());
        let mut taken = lines.map(|board| board.name.clone()).collect();
        for rail in boards.iter_mut().filter(|board| board.given.rail.is_some()) {
            rail.name = unique_name(&mut taken, rail.name.clone());
        }
        for (pattern, board) in (1..).zip(&mut planned) {
            board.pattern = pattern;
        }
        let newest = &self.bench.last().plan;
        let plan = Plan {
            job: job.with_pieces_and_boards(self.pieces, boards),
            boards: planned,
            spare_offcuts: Vec::new(),
            kept_pieces: Vec::new(),
            given_numbers,
            missing: self.bench.missing().collect(),
            measure: Measure::of(job),
            value: newest.value,
            lower_bound: 0,
            missing_lower_bound: 0,
            verdict: Verdict::Stopped,
        };
        Total { plan, idle }
    }
}

/// A rail in hand at what its wood cost, which is what it is worth once the job is done, and left by this job on its date.
fn as_on_the_rack(job: &Job, rail: Board) -> Board {
    let in_hand = rail.in_hand.map(|in_hand| InHand {
        value: None,
        job: Some(title_on_rack(&job.title)),
        since: job.date,
        ..in_hand
    });
    Board {
        price: in_hand.as_ref().and_then(|in_hand| in_hand.paid),
        in_hand,
        ..rail
    }
}

/// The moulding of this index in another job, by its name.
fn same_moulding(from: &Job, moulding_idx: Option<usize>, to: &Job) -> Option<usize> {
    let name = &from.mouldings[moulding_idx?].name;
    to.mouldings
        .iter()
        .position(|moulding| moulding.name == *name)
}

/// What cuts at these places part a board into, nothing being left beside any strip.
fn stretches(board: &Board, cuts: &[Length]) -> Vec<Stretch> {
    let parted = board.parted(cuts).into_iter();
    let stretch = |(from, to)| Stretch {
        from,
        to,
        beside: Vec::new(),
    };
    parted.map(stretch).collect()
}

//! What is left to do as a job of its own.

use std::collections::{BTreeMap, BTreeSet};

use super::bench::{FrameCopy, Source};
use super::hand::{Hand, mill, widest_kerf};
use super::names::{PartNames, stick_name, unique_name};
use super::parts::{all_parts, is_of_one_wood};
use super::serve::{Serving, may_come_from, serving};
use super::{Bench, News, Place, Round, Sheet, Stick, Wishes};
use crate::frame::{ChosenBoards, Frame, Grain, Miter};
use crate::job::{Ends, Grains, Job, Piece, Purpose, Texts};
use crate::length::Length;
use crate::plan::certificate::Certificate;
use crate::plan::{ChalkMark, Part, Plan, StripMark};
use crate::stock::{Board, Given, Run};

/// A sheet that is still to be planned, and what led to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// What is to be planned.
    pub job: Job,
    whole: Job,
    texts: Texts,
    round: Round,
    sources: Vec<Source>,
    parts: Vec<Part>,
    frames: Vec<FrameCopy>,
}

/// Why what is said to have happened between two sheets cannot have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Impossible {
    /// A cut is marked or kept twice, or was not to be made then.
    NotToBeMade(Place),
    /// A cut is kept that does not fit any more, or serves nothing.
    NotToBeKept(Place),
    /// More of a spoiled part is good than there is of it.
    TooMuchGood(Place),
    /// Something was measured that is no board of an earlier sheet, or does not lie on it.
    NotMeasured(Stick),
}

impl Bench {
    /// The next sheet's job, once `news` are known and of all other cuts those `kept` stay: of all parts that are neither
    /// done nor kept nor to be cut from spares, with the boards as they then are.
    ///
    /// Boards keep their length and their places: what is cut from them, or is to be, is gone from the board, with the
    /// kerfs at its ends. So nothing is trimmed twice, and what lies between and behind the cuts is used.
    /// Every part is a piece under the name it has; `wishes` says what is kept of those for grain and color. A strip that is ripped already is a board of its own; of what lies
    /// beside it nothing is used. A part that was cut and serves nothing is one too, as far as it is good.
    ///
    /// # Errors
    /// [`Impossible`], where the news do not fit the bench, or what is kept cannot be.
    pub fn draft(
        &self,
        news: &News,
        kept: BTreeSet<Place>,
        wishes: Wishes,
    ) -> Result<Draft, Impossible> {
        self.check(news, &kept)?;
        let whole = self.job_after(news).clone();
        let hand = Hand::new(self, news, &whole);
        let fitting = hand.fitting(&kept);
        if let Some(&place) = kept.difference(&fitting).next() {
            return Err(Impossible::NotToBeKept(place));
        }
        let Serving { serves, spent } = serving(self, news, &whole, &kept);
        if let Some(&place) = kept.iter().find(|place| !serves.contains_key(place)) {
            return Err(Impossible::NotToBeKept(place));
        }
        let round = Round {
            has_other_job: news.job.is_some(),
            marks: news.marks.clone(),
            measured: news.measured.clone(),
            kept,
            wishes,
            serves,
            spent,
        };
        let (boards, sources) = boards(&hand, &round);
        let wood = Wood {
            hand: &hand,
            round: &round,
            boards: &boards,
            sources: &sources,
        };
        let (copies, parts) = split(&whole, wanted(&whole, &round), wishes);
        let frames = copies.iter().map(|&copy| wood.frame(copy)).collect();
        let pieces = wood.pieces(&parts);
        let texts = match &news.job {
            Some((_, texts)) => texts.clone(),
            None => self.last().texts.clone(),
        };
        Ok(Draft {
            job: whole.rest(unlike(frames), pieces, boards),
            texts,
            round,
            sources,
            parts,
            frames: copies,
            whole,
        })
    }

    /// Of the cuts `wished`, which are still to be made, those that can stay as they are: they still fit, and the job still
    /// wants what they make.
    pub(super) fn can_stay(&self, news: &News, wished: &BTreeSet<Place>) -> BTreeSet<Place> {
        let job = self.job_after(news);
        let hand = Hand::new(self, news, job);
        let mut kept = wished.clone();
        // What a cut was made from may serve again where the cut does not stay.
        loop {
            let mut staying = hand.fitting(&kept);
            let Serving { serves, .. } = serving(self, news, job, &staying);
            staying.retain(|place| serves.contains_key(place));
            if staying == kept {
                return kept;
            }
            kept = staying;
        }
    }

    /// The whole job as it then is.
    pub fn job_after<'b>(&'b self, news: &'b News) -> &'b Job {
        news.job.as_ref().map_or(self.job(), |(job, _)| job)
    }

    fn check(&self, news: &News, kept: &BTreeSet<Place>) -> Result<(), Impossible> {
        let open = self.open();
        let mut seen = BTreeSet::new();
        for place in news.marks.made().chain(kept.iter().copied()) {
            if !open.contains(&place) || !seen.insert(place) {
                return Err(Impossible::NotToBeMade(place));
            }
        }
        for (&place, &good) in &news.marks.spoiled {
            let (job, part) = self.planned_part(place);
            if good < Length::ZERO || good > part.length(job) {
                return Err(Impossible::TooMuchGood(place));
            }
        }
        let sticks = self.sticks();
        for (&stick, measured) in &news.measured {
            let is_board = matches!(stick, Stick::Board { .. }) && sticks.contains(&stick);
            let cut_to = self.cut_to(stick, &news.marks);
            let is_length = |length: Length| length > Length::ZERO && length <= Length::LONGEST;
            let is_run = |&(from, to): &Run| from >= Length::ZERO && from < to && is_length(to);
            let is_length_of_board = |length: Length| is_length(length) && length >= cut_to;
            let is_sound =
                measured.length.is_none_or(is_length_of_board) && measured.knots.iter().all(is_run);
            if !is_board || !is_sound {
                return Err(Impossible::NotMeasured(stick));
            }
        }
        Ok(())
    }

    /// Adds the sheet of a draft, with its plan and what proves that.
    pub fn push(&mut self, draft: Draft, plan: Plan, certificate: Certificate) {
        self.rounds.push(draft.round);
        self.sheets.push(Sheet {
            plan,
            certificate,
            job: draft.whole,
            texts: draft.texts,
            sources: draft.sources,
            parts: draft.parts,
            frames: draft.frames,
        });
    }
}

/// All boards from which the next sheet may be cut: those of the sheets as they are, strip by strip where they are cut from,
/// rails in hand, and those of the job that no sheet takes.
fn boards(hand: &Hand<'_>, round: &Round) -> (Vec<Board>, Vec<Source>) {
    let bench = hand.bench;
    let made = bench.made();
    let mut fixed_on: BTreeMap<Stick, Vec<Place>> = BTreeMap::new();
    for place in made.made().chain(round.marks.made()) {
        fixed_on
            .entry(bench.stick_at(place))
            .or_default()
            .push(place);
    }
    for &place in &round.kept {
        fixed_on
            .entry(bench.stick_at(place))
            .or_default()
            .push(place);
    }
    let cut_on = begun_strips(bench, round);
    let numbered = bench.numbered_cuts();
    let mut found = Boards::default();
    let sticks = bench.sticks();
    let marks = count(sticks.len());
    let serves: BTreeSet<Place> = round.serves.keys().copied().collect();
    for (mark, stick) in (0..).zip(sticks) {
        let is_wanted_whole = matches!(stick, Stick::Rail(place) if serves.contains(&place));
        if !hand.is_there(stick) || is_wanted_whole {
            continue;
        }
        let given = |strip: Option<usize>| {
            let strips = match strip {
                Some(strip) => strip..=strip,
                None => 0..=usize::MAX,
            };
            let on = numbered.range((stick, *strips.start())..=(stick, *strips.end()));
            Given {
                cuts: on.map(|(_, &cuts)| cuts).max().unwrap_or(0),
                marks,
                mark: Some(mark),
                ..Given::default()
            }
        };
        let name = |strip| {
            let mark = StripMark {
                board: ChalkMark::nth(mark),
                strip,
            };
            stick_name(hand.job, &bench.stick_name(stick).0, mark)
        };
        let Some(fixed) = fixed_on.get(&stick) else {
            if let Some(board) = hand.whole(stick, given(None)) {
                found.add(board, name(None), Source::Whole(stick));
            }
            continue;
        };
        let ripped_by = hand.ripped_by(fixed[0]);
        let sheet = &bench.sheets[ripped_by.0];
        let planned = &sheet.plan.boards[ripped_by.1];
        let is_only = !planned.has_strip_marks();
        for strip in 0..planned.strips.len() {
            let of_strip = fixed.iter().filter(|&&place| bench.strip(place) == strip);
            let gone = of_strip.map(|&place| taken(hand, place, round.kept.contains(&place)));
            let given = Given {
                strip: (!is_only).then_some(count(strip + 1)),
                rail: sheet.plan.job.boards[planned.board_idx].given.rail,
                ..given(Some(strip))
            };
            let planned = (&sheet.plan.job, planned);
            let mut board = hand.strip_left(stick, planned, strip, gone.collect(), given);
            if cut_on.contains(&(stick, strip)) {
                mill(&mut board, planned, strip);
            }
            if board.longest_clear(hand.job.shop.end_trim).is_some() {
                let source = Source::Strip {
                    stick,
                    ripped_by,
                    strip,
                };
                found.add(board, name(given.strip), source);
            }
        }
    }
    for place in hand.rails_in_hand(&serves) {
        let given = Given {
            marks,
            ..Given::default()
        };
        if let Some(board) = hand.rail(place, given) {
            let name = board.name.clone();
            found.add(board, name, Source::Whole(Stick::Rail(place)));
        }
    }
    found.name_apart(hand.job);
    for board in lines_left(hand, marks) {
        found.boards.push(board);
        found.sources.push(Source::Line);
    }
    (found.boards, found.sources)
}

/// The strips from which something has been cut.
fn begun_strips(bench: &Bench, round: &Round) -> BTreeSet<(Stick, usize)> {
    let made = bench.made();
    let made = made.made().chain(round.marks.made());
    made.map(|place| (bench.stick_at(place), bench.strip(place)))
        .collect()
}

#[derive(Default)]
struct Boards {
    boards: Vec<Board>,
    sources: Vec<Source>,
}

impl Boards {
    /// Names that are those of no other board of the job.
    fn name_apart(&mut self, job: &Job) {
        let names = job.boards.iter().map(|board| board.name.clone());
        let mut taken: BTreeSet<String> = names.collect();
        for board in &mut self.boards {
            board.name = unique_name(&mut taken, board.name.clone());
        }
    }

    fn add(&mut self, board: Board, name: String, source: Source) {
        self.boards.push(Board { name, ..board });
        self.sources.push(source);
    }
}

/// What a cut takes of its strip, with room for the saw at both ends whatever is cut beside it.
fn taken(hand: &Hand<'_>, place: Place, is_kept: bool) -> Run {
    let cut = hand.bench.cut(place);
    let widest_kerf = widest_kerf(hand.job);
    let trim = hand.job.shop.end_trim.min(cut.from);
    let shift = if is_kept {
        Length::ZERO
    } else {
        hand.shift(place)
    };
    (
        (cut.from - widest_kerf).max(trim),
        cut.to + shift + widest_kerf,
    )
}

/// The boards of the job that no sheet takes.
fn lines_left(hand: &Hand<'_>, marks: u32) -> Vec<Board> {
    let mut used: BTreeMap<&str, (u32, u32)> = BTreeMap::new();
    for stick in hand.bench.sticks() {
        if let Stick::Board { .. } = stick {
            let (used, there) = used.entry(&hand.bench.board_of(stick).0.name).or_default();
            *used += 1;
            *there += u32::from(hand.is_there(stick));
        }
    }
    let lines = hand.job.boards.iter().map(|board| {
        let (used, there) = used.get(&*board.name).copied().unwrap_or_default();
        Board {
            quantity: board
                .quantity
                .map(|quantity| quantity.saturating_sub(there)),
            given: Given {
                boards: used,
                marks,
                ..Given::default()
            },
            ..board.clone()
        }
    });
    lines.filter(|board| board.quantity != Some(0)).collect()
}

/// The parts that the next sheet must cut, in their order.
fn wanted(job: &Job, round: &Round) -> Vec<Part> {
    let served: BTreeSet<&Part> = round.serves.values().chain(round.spent.values()).collect();
    all_parts(job)
        .filter(|part| !served.contains(part))
        .collect()
}

/// The copies of frames that are planned as frames, and all other parts.
fn split(job: &Job, wanted: Vec<Part>, wishes: Wishes) -> (Vec<FrameCopy>, Vec<Part>) {
    let mut rails: BTreeMap<FrameCopy, u32> = BTreeMap::new();
    for &part in &wanted {
        if let Part::Rail {
            frame_idx, copy, ..
        } = part
        {
            *rails.entry((frame_idx, copy)).or_default() += 1;
        }
    }
    let grains = Grains::new(job);
    rails.retain(|&(frame_idx, _), count| {
        let is_whole = *count == job.frames[frame_idx].art.n_sides();
        wishes.frames && is_whole && has_wish(job, &grains, frame_idx)
    });
    let is_single = |part: &Part| match part {
        Part::Rail {
            frame_idx, copy, ..
        } => !rails.contains_key(&(*frame_idx, *copy)),
        Part::Loose { .. } => true,
    };
    let single = wanted.into_iter().filter(is_single).collect();
    (rails.into_keys().collect(), single)
}

/// Whether a frame has a wish for grain or color.
fn has_wish(job: &Job, grains: &Grains<'_>, frame_idx: usize) -> bool {
    grains.granted(frame_idx) != Grain::Free || job.matches_color(frame_idx)
}

/// Frames under names of their own.
fn unlike(frames: Vec<Frame>) -> Vec<Frame> {
    let mut taken = BTreeSet::new();
    let frames = frames.into_iter();
    frames
        .map(|frame| Frame {
            name: unique_name(&mut taken, frame.name.clone()),
            ..frame
        })
        .collect()
}

/// The boards of the next sheet, and what they are.
struct Wood<'d> {
    hand: &'d Hand<'d>,
    round: &'d Round,
    boards: &'d [Board],
    sources: &'d [Source],
}

impl Wood<'_> {
    /// The line from which a board comes.
    fn line(&self, at: usize) -> &str {
        match self.sources[at] {
            Source::Line => &self.boards[at].name,
            Source::Whole(stick) | Source::Strip { stick, .. } => {
                &self.hand.bench.board_of(stick).0.name
            }
        }
    }

    /// The stick that a board is, or is of; `None` of one that no sheet takes.
    fn stick(&self, at: usize) -> Option<Stick> {
        match self.sources[at] {
            Source::Line => None,
            Source::Whole(stick) | Source::Strip { stick, .. } => Some(stick),
        }
    }

    /// Whether a part may come from a board: a choice of boards stands, and a rail in hand serves only its own moulding and
    /// miter.
    fn may_come(&self, part: Part, at: usize) -> bool {
        let job = self.hand.job;
        let is_like_it = || match self.stick(at) {
            Some(Stick::Rail(place)) => {
                let (of_job, own) = self.hand.bench.planned_part(place);
                let miter = own.miter(of_job);
                (miter == Miter::Square || miter == part.miter(job))
                    && is_of_one_wood((of_job, own), (job, part))
            }
            _ => true,
        };
        may_come_from(job, part, self.line(at)) && is_like_it()
    }

    /// The boards from which parts that have a choice in common may come.
    fn choice(&self, part: Part, may_come: impl Fn(usize) -> bool) -> ChosenBoards {
        let allowed = (0..self.boards.len()).filter(|&at| may_come(at));
        let allowed: Vec<usize> = allowed.collect();
        let is_free = part.boards(self.hand.job).chosen().is_none();
        if is_free && allowed.len() == self.boards.len() {
            ChosenBoards::ANY
        } else {
            ChosenBoards::only(allowed)
        }
    }

    /// A copy of a frame as a frame of its own.
    fn frame(&self, (frame_idx, copy): FrameCopy) -> Frame {
        let job = self.hand.job;
        let frame = &job.frames[frame_idx];
        let rail = |side| Part::Rail {
            frame_idx,
            copy,
            side,
        };
        let sides = 0..frame.art.n_sides();
        let may_come = |at| sides.clone().all(|side| self.may_come(rail(side), at));
        Frame {
            name: if frame.quantity > 1 {
                format!("{} #{copy}", frame.name)
            } else {
                frame.name.clone()
            },
            quantity: 1,
            boards: self.choice(rail(0), may_come),
            ..frame.clone()
        }
    }

    /// The pieces that single parts are.
    fn pieces(&self, parts: &[Part]) -> Vec<Piece> {
        let job = self.hand.job;
        let names = PartNames::new(job, all_parts(job));
        let grains = Grains::new(job);
        let near = |part: Part| match part {
            Part::Rail {
                frame_idx, copy, ..
            } if self.round.wishes.near && has_wish(job, &grains, frame_idx) => {
                self.boards_of((frame_idx, copy))
            }
            _ => BTreeSet::new(),
        };
        let piece_of = |&part: &Part| {
            let near = near(part);
            let is_near =
                |at| near.is_empty() || self.stick(at).is_some_and(|stick| near.contains(&stick));
            Piece {
                boards: self.choice(part, |at| self.may_come(part, at) && is_near(at)),
                ..piece(job, part, names.name(part))
            }
        };
        parts.iter().map(piece_of).collect()
    }

    /// The sticks from which rails of a frame are cut that are made or stay.
    fn boards_of(&self, frame: FrameCopy) -> BTreeSet<Stick> {
        let serves = self.round.serves.iter();
        let of_frame = serves.filter(|(_, part)| match part {
            Part::Rail {
                frame_idx, copy, ..
            } => (*frame_idx, *copy) == frame,
            Part::Loose { .. } => false,
        });
        of_frame
            .map(|(&place, _)| self.hand.bench.stick_at(place))
            .collect()
    }
}

fn count(n: usize) -> u32 {
    u32::try_from(n).expect("load caps the number of parts")
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

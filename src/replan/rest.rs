//! What is left to do as a job of its own.

use std::collections::{BTreeMap, BTreeSet};

use super::bench::{FrameCopy, Source};
use super::demand::{Wood, split, unlike, wanted};
use super::hand::{Hand, mill, widest_kerf};
use super::names::{stick_name, unique_name};
use super::serve::{Serving, serving};
use super::{Bench, News, Place, Round, Sheet, Stick, Wishes};
use crate::job::{Job, Texts};
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
    /// Every part is a piece under the name it has; `wishes` says what is kept of those for grain and color. A strip that is
    /// ripped already is a board of its own, and so is what lies beside the strips of a board, and a stretch or slice of one
    /// from which nothing is cut. A part that was cut and serves nothing is one too, as far as it is good.
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
            if !matches!(stick, Stick::Board { .. }) || !sticks.contains(&stick) {
                return Err(Impossible::NotMeasured(stick));
            }
            let cut_to = self.cut_to(stick, &news.marks);
            let is_length = |length: Length| length > Length::ZERO && length <= Length::LONGEST;
            let is_run = |&(from, to): &Run| from >= Length::ZERO && from < to && is_length(to);
            let last_cut = self.last_yard_cut(stick);
            let is_length_of_board =
                |length: Length| is_length(length) && length >= cut_to && length > last_cut;
            let is_sound =
                measured.length.is_none_or(is_length_of_board) && measured.knots.iter().all(is_run);
            if !is_sound {
                return Err(Impossible::NotMeasured(stick));
            }
        }
        Ok(())
    }

    /// Adds the sheet of a draft, with its plan and what proves that. What is left of its boards keeps the names that sheets before
    /// have given.
    pub fn push(&mut self, draft: Draft, plan: Plan, certificate: Certificate) {
        self.rounds.push(draft.round);
        self.sheets.push(Sheet {
            plan,
            certificate,
            materials: Vec::new(),
            job: draft.whole,
            texts: draft.texts,
            sources: draft.sources,
            parts: draft.parts,
            frames: draft.frames,
        });
        // Some of what the sheet leaves has a name that its total has given only now.
        let newest = self.rounds.len();
        let boards = 0..self.last().plan.boards.len();
        let sticks = boards.map(|board| match self.source(newest, board) {
            Source::Strip { stick, strip, .. } => (stick, Some(strip)),
            Source::Line | Source::Whole(_) => (self.stick(newest, board), None),
        });
        let given_numbers = self.given_numbers(&self.names(), sticks);
        self.sheets[newest].plan.given_numbers = given_numbers;
    }
}

/// All boards from which the next sheet may be cut: those of the sheets as they are, strip by strip where they are cut from,
/// rails in hand, and those of the job that no sheet takes.
fn boards(hand: &Hand<'_>, round: &Round) -> (Vec<Board>, Vec<Source>) {
    let bench = hand.bench;
    let made = bench.made();
    let fixed = made.made().chain(round.marks.made());
    let fixed: BTreeSet<Place> = fixed.chain(round.kept.iter().copied()).collect();
    let parted = bench.parted_by(fixed.iter().copied());
    let mut fixed_on: BTreeMap<(Stick, usize), Vec<Place>> = BTreeMap::new();
    for place in fixed {
        let strip = (bench.stick_at(place), bench.strip(place));
        fixed_on.entry(strip).or_default().push(place);
    }
    let numbered = bench.numbered_cuts();
    let mut found = Boards::default();
    let sticks = bench.sticks();
    let marks = count(sticks.len());
    let serves: BTreeSet<Place> = round.serves.keys().copied().collect();
    let known: BTreeSet<Stick> = sticks.iter().copied().collect();
    for (mark, stick) in (0..).zip(sticks) {
        // A piece of a board that is parted otherwise by now, or not at all, is not there.
        let is_piece_of_another = bench
            .piece_of(stick)
            .is_some_and(|(from, by, _)| parted.get(&from) != Some(&by));
        let is_wanted_whole = matches!(stick, Stick::Rail(place) if serves.contains(&place));
        if !hand.is_there(stick) || is_wanted_whole || is_piece_of_another {
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
                is_piece: bench.piece_of(stick).is_some(),
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
        let Some(&by) = parted.get(&stick) else {
            let whole = hand.whole(stick, given(None));
            if let Some(board) = whole.filter(|board| hand.is_good_for_something(board)) {
                found.add(board, name(None), Source::Whole(stick));
            }
            continue;
        };
        let (of_job, planned) = bench.planned(by);
        let is_only = !planned.has_strip_marks();
        for strip in 0..planned.strips.len() {
            let on_it = fixed_on.get(&(stick, strip)).map_or(&[][..], Vec::as_slice);
            let gone = on_it
                .iter()
                .map(|&place| taken(hand, place, round.kept.contains(&place)));
            let given = Given {
                strip: (!is_only).then_some(count(strip + 1)),
                rail: of_job.boards[planned.board_idx].given.rail,
                is_strip: true,
                ..given(Some(strip))
            };
            let planned = (of_job, planned);
            let mut board = hand.strip_left(stick, planned, strip, gone.collect(), given);
            // What a strip is milled to is what the first of its cuts is for, be it made or still to be.
            if let Some(&first) = on_it.first() {
                let by = bench.planned((first.sheet, first.board));
                mill(&mut board, by, first.strip);
            }
            if board.longest_clear(hand.job.shop.end_trim).is_some() {
                let source = Source::Strip {
                    stick,
                    ripped_by: by,
                    strip,
                };
                found.add(board, name(given.strip), source);
            }
        }
        found.add_pieces(hand, by, &known, marks);
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

    /// What is left of a board beside its strips, as the sheet has parted it, but what a sheet takes already: that is a stick with
    /// a mark of its own.
    fn add_pieces(
        &mut self,
        hand: &Hand<'_>,
        (sheet, board): (usize, usize),
        known: &BTreeSet<Stick>,
        marks: u32,
    ) {
        let (_, planned) = hand.bench.planned((sheet, board));
        for kind in planned.pieces_left() {
            let piece = Stick::Piece { sheet, board, kind };
            let given = Given {
                marks,
                is_piece: true,
                ..Given::default()
            };
            if !known.contains(&piece)
                && let Some(board) = hand.whole(piece, given)
                && hand.is_good_for_something(&board)
            {
                let name = board.name.clone();
                self.add(board, name, Source::Whole(piece));
            }
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

fn count(n: usize) -> u32 {
    u32::try_from(n).expect("load caps the number of parts")
}

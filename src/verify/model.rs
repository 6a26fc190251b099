//! What the claims of a certificate are about, derived from the job alone.
//!
//! Nothing here is shared with the solver or with the way a plan is made: parts are grouped anew, and the worth of a
//! board is worked out in nanometres by [`best_worth`].

use std::collections::{BTreeMap, BTreeSet};

use super::across::{best_across, reachable};
use super::knapsack::{Offer, best_worth};
use super::strips::{StripKind, strip_kinds};
use crate::frame::{Miter, frame_sizes};
use crate::job::{Ends, Grains, Job, Piece, moulding_section, piece_section};
use crate::length::Length;
use crate::money::Money;
use crate::plan::{Measure, Part};
use crate::stock::{
    Board, Run, Section, Taking, board_cost, folded_material, suits, taking, usable_length,
};

/// What a strip is milled to: all that may lie on one strip has the same.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Milled {
    /// A moulding, by index.
    Moulding(usize),
    /// Plain wood of a material (folded), a thickness and a least width.
    Plain(Option<String>, Option<Length>, Option<Length>),
}

/// Section, kerf, saving and length, or the lengths of a chain.
type ClassKey = (Milled, Length, Length, Vec<Length>);

/// Parts that are alike for the saw.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Class {
    /// Which section, counted from 0 in their own order.
    pub(super) section: usize,
    /// What the saw takes along the strip at their ends.
    pub(super) kerf: Length,
    /// What each of a run saves where neighbors lie turned end for end; zero where they may not.
    pub(super) saving: Length,
    /// Length along the outer edge; of a chain from the first long point to the last.
    pub(super) length: Length,
    /// How many there are, a chain counting as one.
    pub(super) count: u32,
}

/// A job as the certificate sees it.
pub(super) struct Model<'j> {
    job: &'j Job,
    /// All classes of parts.
    pub(super) classes: Vec<Class>,
    /// `costs[b]` is what one board of line `b` costs in the plan's measure.
    pub(super) costs: Vec<i64>,
    /// What the plan's value is measured in.
    pub(super) measure: Measure,
    rails: BTreeMap<(usize, u32), usize>,
    pieces: Vec<usize>,
    /// `takings[b][q]`: how section `q` is taken from board `b`, if the board suits it.
    takings: Vec<Vec<Option<Taking>>>,
    /// `portions[b]`: see [`Model::portions`].
    portions: Vec<Vec<Vec<usize>>>,
}

impl<'j> Model<'j> {
    /// The model of `job`.
    pub(super) fn new(job: &'j Job) -> Model<'j> {
        let turned = turned_miters(job);
        let grains = Grains::new(job);
        let mut known: BTreeMap<ClassKey, u32> = BTreeMap::new();
        let mut rails = Vec::new();
        let mut pieces = Vec::new();
        for (frame_idx, frame) in job.frames.iter().enumerate() {
            let moulding = &job.mouldings[frame.moulding_idx];
            let sizes = frame_sizes(frame, moulding, job.shop.fit_allowance);
            let kerf = sizes.miter().kerf_along(job.shop.kerf);
            for chain in grains.granted(frame_idx).chains(frame.art) {
                // What must stay together is cut as one.
                let lengths: Vec<Length> = chain
                    .iter()
                    .map(|&side| sizes.rail(side).long_point)
                    .collect();
                let saving = match lengths[..] {
                    [only] => saving(job, &turned, frame.moulding_idx, sizes.miter(), only),
                    _ => Length::ZERO,
                };
                let key = (Milled::Moulding(frame.moulding_idx), kerf, saving, lengths);
                *known.entry(key.clone()).or_default() += frame.quantity;
                rails.extend(chain.iter().map(|&side| ((frame_idx, side), key.clone())));
            }
        }
        for piece in &job.pieces {
            let miter = piece.ends.miter();
            let milled = piece.moulding_idx.map_or_else(
                || {
                    Milled::Plain(
                        piece.material.as_deref().map(folded_material),
                        piece.thickness,
                        piece.width,
                    )
                },
                Milled::Moulding,
            );
            let saving = piece.moulding_idx.map_or(Length::ZERO, |idx| {
                saving(job, &turned, idx, miter, piece.length)
            });
            let kerf = miter.kerf_along(job.shop.kerf);
            let key = (milled, kerf, saving, vec![piece.length]);
            *known.entry(key.clone()).or_default() += piece.quantity;
            pieces.push(key);
        }
        let mut sections: Vec<Milled> = known.keys().map(|key| key.0.clone()).collect();
        sections.dedup();
        let place: BTreeMap<&ClassKey, usize> = known
            .keys()
            .enumerate()
            .map(|(class, key)| (key, class))
            .collect();
        let classes: Vec<Class> = known
            .iter()
            .map(|((milled, kerf, saving, lengths), &count)| Class {
                section: sections
                    .binary_search(milled)
                    .expect("every section was listed"),
                kerf: *kerf,
                saving: *saving,
                length: lengths.iter().map(|&length| length + *kerf).sum::<Length>() - *kerf,
                count,
            })
            .collect();
        let (measure, costs) = costs(job);
        let takings = takings(job, &sections, &pieces);
        Model {
            rails: rails
                .iter()
                .map(|(rail, key)| (*rail, place[key]))
                .collect(),
            pieces: pieces.iter().map(|key| place[key]).collect(),
            job,
            measure,
            costs,
            portions: takings
                .iter()
                .map(|taken| portions(&classes, taken))
                .collect(),
            classes,
            takings,
        }
    }

    /// The class a part belongs to.
    pub(super) fn class_of(&self, part: Part) -> Option<usize> {
        match part {
            Part::Rail {
                frame_idx, side, ..
            } => self.rails.get(&(frame_idx, side)).copied(),
            Part::Loose { piece_idx, .. } => self.pieces.get(piece_idx).copied(),
        }
    }

    /// The clear runs along a strip of a board, which begins and ends there across it; `None` where the strip is the board.
    fn runs(&self, board_idx: usize, section: usize, across: Option<Run>) -> Vec<Run> {
        let board = &self.job.boards[board_idx];
        let widest = self
            .classes
            .iter()
            .filter(|class| class.section == section)
            .map(|class| class.kerf)
            .max();
        board.clear_runs(
            self.job.shop.end_trim,
            widest.unwrap_or(Length::ZERO),
            |defect| match (across, &self.job.shop.rip) {
                (Some((begin, end)), Some(rip)) if !defect.takes_all(board.width) => {
                    let (from, to) = defect.span(board, rip);
                    from < end && begin < to
                }
                _ => true,
            },
        )
    }

    /// The longest clear run of a section on a board, wherever across it its strips may lie.
    fn longest_run(&self, board_idx: usize, section: usize) -> Option<Length> {
        let board = &self.job.boards[board_idx];
        let is_ripped = matches!(
            self.takings[board_idx][section],
            Some(Taking::Ripped { .. })
        );
        let longest = |across| {
            let runs = self.runs(board_idx, section, across);
            runs.into_iter().map(|(from, to)| to - from).max()
        };
        match &self.job.shop.rip {
            Some(rip) if is_ripped && board.has_partial_defects() => {
                reachable(board, rip, &self.ripped(board_idx))
                    .into_iter()
                    .filter(|&(other, _)| other == section)
                    .filter_map(|(_, across)| longest(Some(across)))
                    .max()
            }
            _ => longest(None),
        }
    }

    /// The sections that are ripped from a board, each with the width of its strips.
    fn ripped(&self, board_idx: usize) -> Vec<(usize, Length)> {
        let takings = self.takings[board_idx].iter().enumerate();
        takings
            .filter_map(|(section, taken)| match taken {
                Some(Taking::Ripped { width }) => Some((section, *width)),
                Some(Taking::Whole) | None => None,
            })
            .collect()
    }

    /// Whether a part of `class` can be cut from a board of line `board_idx`, supply apart.
    pub(super) fn fits(&self, class: usize, board_idx: usize) -> bool {
        let class = &self.classes[class];
        self.supply(board_idx) != Some(0)
            && self.takings[board_idx][class.section].is_some()
            && self
                .longest_run(board_idx, class.section)
                .is_some_and(|run| class.length <= run)
    }

    /// How many boards of a line there are, if that is limited.
    pub(super) fn supply(&self, board_idx: usize) -> Option<u32> {
        self.job.boards[board_idx].quantity
    }

    /// Whether a board of line `by`, of which there always is one, can stand in for one of line `board_idx` that is cut
    /// into parts of `needed`, which all fit it and can be cut from one board of it together, and costs no more.
    pub(super) fn replaces(&self, by: usize, board_idx: usize, needed: &[usize]) -> bool {
        let takings = |board_idx: usize| {
            needed
                .iter()
                .filter_map(move |&class| self.takings[board_idx][self.classes[class].section])
        };
        // One strip for one strip; whether `by` is ripped for it does not matter.
        // Where there may be several, `by` must give the same ones, side by side.
        let as_wide = takings(by).all(|taken| taken != Taking::Whole)
            && self.job.boards[by].width >= self.job.boards[board_idx].width;
        let usable = |board_idx: usize| {
            usable_length(self.job.boards[board_idx].length, self.job.shop.end_trim)
        };
        // A board without defects bears at its places all that one with defects does.
        let at_its_places = self.job.boards[by].defects.is_empty()
            && (as_wide || self.is_one_strip(board_idx, takings(board_idx)))
            && usable(by) >= usable(board_idx);
        takings(by).count() == needed.len()
            && self.is_ample(by)
            && self.costs[by] <= self.costs[board_idx]
            && (at_its_places || self.holds_single_run(by, board_idx, needed))
    }

    /// Whether no more than one clear run of a board of line `board_idx` can hold any part of the portion, and a run of
    /// `by` is as long for each section.
    fn holds_single_run(&self, by: usize, board_idx: usize, portion: &[usize]) -> bool {
        let fitting = |section: usize| {
            portion
                .iter()
                .filter(move |&&class| self.classes[class].section == section)
                .filter(move |&&class| self.fits(class, board_idx))
        };
        let sections: BTreeSet<usize> = portion
            .iter()
            .filter(|&&class| self.fits(class, board_idx))
            .map(|&class| self.classes[class].section)
            .collect();
        let n_parts: u64 = portion
            .iter()
            .filter(|&&class| self.fits(class, board_idx))
            .map(|&class| u64::from(self.classes[class].count))
            .sum();
        let ripped: Vec<(usize, Length)> = self
            .ripped(board_idx)
            .into_iter()
            .filter(|(section, _)| sections.contains(section))
            .collect();
        if let (Some(rip), Some(board_width), Some(narrowest)) = (
            &self.job.shop.rip,
            self.job.boards[board_idx].width,
            ripped.iter().map(|&(_, width)| width).min(),
        ) && narrowest * 2 + rip.kerf <= rip.room(board_width)
            && n_parts > 1
        {
            return false;
        }
        sections.iter().all(|&section| {
            let shortest = fitting(section)
                .map(|&class| self.classes[class].length)
                .min();
            let board = &self.job.boards[board_idx];
            let places: Vec<Option<Run>> = match &self.job.shop.rip {
                Some(rip) if !ripped.is_empty() && board.has_partial_defects() => {
                    reachable(board, rip, &ripped)
                        .into_iter()
                        .filter(|&(other, _)| other == section)
                        .map(|(_, across)| Some(across))
                        .collect()
                }
                _ => vec![None],
            };
            let useful = places
                .into_iter()
                .map(|across| {
                    let runs = self.runs(board_idx, section, across).into_iter();
                    runs.filter(|&(from, to)| Some(to - from) >= shortest)
                        .count()
                })
                .max()
                .unwrap_or(0);
            (useful <= 1 || n_parts == 1)
                && self.longest_run(by, section) >= self.longest_run(board_idx, section)
                && self.takings[by][section].is_some()
        })
    }

    /// Whether there are as many boards of a line as any plan can use: one for each part that fits it.
    fn is_ample(&self, board_idx: usize) -> bool {
        let Some(supply) = self.supply(board_idx) else {
            return true;
        };
        let fitting: u64 = (0..self.classes.len())
            .filter(|&class| self.fits(class, board_idx))
            .map(|class| u64::from(self.classes[class].count))
            .sum();
        u64::from(supply) >= fitting
    }

    /// Whether a board gives a single strip however sections are taken from it in one of these ways.
    fn is_one_strip(&self, board_idx: usize, takings: impl Iterator<Item = Taking>) -> bool {
        let narrowest = takings
            .filter_map(|taken| match taken {
                Taking::Whole => None,
                Taking::Ripped { width } => Some(width),
            })
            .min();
        match (
            &self.job.shop.rip,
            self.job.boards[board_idx].width,
            narrowest,
        ) {
            (Some(rip), Some(width), Some(narrowest)) => narrowest * 2 + rip.kerf > rip.room(width),
            _ => true,
        }
    }

    /// The sets of classes that can be cut from one board of a line together, whether they fit it or not: those of each
    /// section for which it is one strip, and those of all sections that are ripped from it.
    pub(super) fn portions(&self, board_idx: usize) -> &[Vec<usize>] {
        &self.portions[board_idx]
    }

    /// The worth of the best board of line `board_idx` cut into parts of the classes `allowed`, where a part of
    /// `classes[n]` is worth `prices[n]`; `floor` if none is worth more.
    pub(super) fn best_board(
        &self,
        board_idx: usize,
        classes: &[usize],
        prices: &[i64],
        allowed: &[usize],
        floor: i64,
    ) -> i64 {
        if !self.job.boards[board_idx].defects.is_empty() {
            return self.best_board_with_defects(board_idx, classes, prices, allowed, floor);
        }
        let mut best = floor;
        let mut strips: Vec<Offer> = Vec::new();
        for (taken, kinds) in self.strips_of(board_idx, classes, allowed) {
            match taken {
                Taking::Whole => best = best_of(&kinds, prices, best),
                Taking::Ripped { width } => {
                    strips.push(self.offer(width, best_of(&kinds, prices, 0)));
                }
            }
        }
        best_worth(&strips, self.room(board_idx).nm(), best)
    }

    /// The kinds of strip of each section that can be taken from a board of line `board_idx`, for the classes `allowed`,
    /// which are numbers in `classes`.
    pub(super) fn strips_of(
        &self,
        board_idx: usize,
        classes: &[usize],
        allowed: &[usize],
    ) -> Vec<(Taking, Vec<StripKind>)> {
        let board = &self.job.boards[board_idx];
        let Some(usable) = usable_length(board.length, self.job.shop.end_trim) else {
            return Vec::new();
        };
        // Clear runs between defects hold no more than one run that is longer by a kerf for each defect.
        let widest = self.classes.iter().map(|class| class.kerf).max();
        let defects = i64::try_from(board.defects.len()).unwrap_or(i64::MAX);
        let usable = usable + widest.unwrap_or(Length::ZERO) * defects;
        self.takings[board_idx]
            .iter()
            .enumerate()
            .filter_map(|(section, taken)| {
                let parts = self.of_section(section, classes, allowed);
                Some(((*taken)?, strip_kinds(&parts, usable)))
            })
            .collect()
    }

    /// What the saw that rips takes beside each strip.
    pub(super) fn rip_kerf(&self) -> Length {
        self.job.shop.rip.map_or(Length::ZERO, |rip| rip.kerf)
    }

    /// The room for strips, each with its kerf, on a board of line `board_idx`; zero where it is not ripped.
    pub(super) fn room(&self, board_idx: usize) -> Length {
        match (&self.job.shop.rip, self.job.boards[board_idx].width) {
            (Some(rip), Some(width)) => rip.room(width) + rip.kerf,
            _ => Length::ZERO,
        }
    }

    /// [`Model::best_board`] for a board with defects: the clear runs of each strip count by themselves.
    fn best_board_with_defects(
        &self,
        board_idx: usize,
        classes: &[usize],
        prices: &[i64],
        allowed: &[usize],
        floor: i64,
    ) -> i64 {
        let worth = |section: usize, across: Option<Run>, floor: i64| {
            let parts = self.of_section(section, classes, allowed);
            let best_run =
                |(from, to), floor| best_of(&strip_kinds(&parts, to - from), prices, floor);
            match self.runs(board_idx, section, across)[..] {
                [only] => best_run(only, floor),
                ref runs => runs
                    .iter()
                    .map(|&run| best_run(run, 0))
                    .sum::<i64>()
                    .max(floor),
            }
        };
        let mut best = floor;
        for (section, taken) in self.takings[board_idx].iter().enumerate() {
            if *taken == Some(Taking::Whole) {
                best = worth(section, None, best);
            }
        }
        let ripped = self.ripped(board_idx);
        let board = &self.job.boards[board_idx];
        if let Some(rip) = &self.job.shop.rip
            && board.has_partial_defects()
        {
            return best.max(best_across(board, rip, &ripped, &|section, across| {
                worth(section, Some(across), 0)
            }));
        }
        let strips: Vec<Offer> = ripped
            .into_iter()
            .map(|(section, width)| self.offer(width, worth(section, None, 0)))
            .collect();
        best_worth(&strips, self.room(board_idx).nm(), best)
    }

    /// The classes of one section among the classes `allowed`, which are numbers in `classes`.
    fn of_section(
        &self,
        section: usize,
        classes: &[usize],
        allowed: &[usize],
    ) -> Vec<(usize, &Class)> {
        let parts = allowed.iter().map(|&n| (n, &self.classes[classes[n]]));
        parts
            .filter(|(_, class)| class.section == section)
            .collect()
    }

    /// A ripped strip of a width and a worth, as often as there is room.
    fn offer(&self, width: Length, price: i64) -> Offer {
        Offer {
            size: (width + self.rip_kerf()).nm(),
            price,
            most: u32::MAX,
        }
    }
}

/// The worth of the best run on a strip of the best of these kinds; `floor` if none is worth more.
fn best_of(kinds: &[StripKind], prices: &[i64], floor: i64) -> i64 {
    kinds
        .iter()
        .fold(floor, |best, kind| kind.worth(prices, best))
}

/// So many miters of a moulding are turned end for end at most: those of the fewest sides.
const MOST_TURNED: usize = 6;

/// Numbers of sides whose rails may lie turned end for end, of each moulding.
fn turned_miters(job: &Job) -> Vec<Vec<u32>> {
    let of_moulding = |idx: usize| {
        if !job.mouldings[idx].may_be_turned() {
            return Vec::new();
        }
        let frames = job.frames.iter().filter(|frame| frame.moulding_idx == idx);
        let mut sides: Vec<u32> = frames.map(|frame| frame.art.n_sides()).collect();
        let is_mitered =
            |piece: &&Piece| piece.moulding_idx == Some(idx) && piece.ends == Ends::Miter;
        sides.extend(job.pieces.iter().filter(is_mitered).map(|_| 4));
        sides.sort_unstable();
        sides.dedup();
        sides.truncate(MOST_TURNED);
        sides
    };
    (0..job.mouldings.len()).map(of_moulding).collect()
}

/// What a part of a run saves along the strip by sharing a slanting cut: the run of the slant, rounded down.
fn saving(
    job: &Job,
    turned: &[Vec<u32>],
    moulding_idx: usize,
    miter: Miter,
    length: Length,
) -> Length {
    let Miter::Corner { sides } = miter else {
        return Length::ZERO;
    };
    let face_width = job.mouldings[moulding_idx].face_width;
    let is_trapezoid = length - miter.run_along(face_width) * 2 > Length::ZERO;
    if turned[moulding_idx].contains(&sides) && is_trapezoid {
        miter.overlap(face_width)
    } else {
        Length::ZERO
    }
}

/// What values are measured in, and what one board of each line costs.
fn costs(job: &Job) -> (Measure, Vec<i64>) {
    if !job.boards.iter().any(Board::counts_in_money) {
        return (
            Measure::BoardLength,
            job.boards
                .iter()
                .map(|board| board.cost_in_length().nm())
                .collect(),
        );
    }
    let cost = |board| {
        let cost = board_cost(board).expect("load refuses boards whose cost cannot be worked out");
        cost.map_or(0, Money::minor)
    };
    (Measure::Price, job.boards.iter().map(cost).collect())
}

/// How each section is taken from each board; `pieces` are the keys of the loose pieces.
fn takings(job: &Job, sections: &[Milled], pieces: &[ClassKey]) -> Vec<Vec<Option<Taking>>> {
    let rip = job.shop.rip.as_ref();
    let asked: Vec<Section<'_>> = sections
        .iter()
        .map(|milled| match milled {
            Milled::Moulding(idx) => moulding_section(&job.mouldings[*idx]),
            Milled::Plain(..) => {
                let idx = pieces.iter().position(|key| key.0 == *milled);
                piece_section(
                    &job.pieces[idx.expect("a plain section comes from a piece")],
                    &job.mouldings,
                )
            }
        })
        .collect();
    let how = |section: &Section<'_>, board| {
        if suits(section, board, rip) {
            taking(rip, section.width, board.width)
        } else {
            None
        }
    };
    job.boards
        .iter()
        .map(|board| asked.iter().map(|section| how(section, board)).collect())
        .collect()
}

/// The sets of classes that one board can hold together, given how each section is taken from it.
fn portions(classes: &[Class], takings: &[Option<Taking>]) -> Vec<Vec<usize>> {
    let mut portions = Vec::new();
    let mut ripped = Vec::new();
    for (section, taken) in takings.iter().enumerate() {
        let of_section = (0..classes.len()).filter(|&class| classes[class].section == section);
        match taken {
            None => {}
            Some(Taking::Whole) => portions.push(of_section.collect()),
            Some(Taking::Ripped { .. }) => ripped.extend(of_section),
        }
    }
    if !ripped.is_empty() {
        portions.push(ripped);
    }
    portions
}

//! The wood at the bench as it now is: boards of the sheets, what is left of them, and rails that are cut again.

use std::collections::{BTreeMap, BTreeSet};

use super::parts::{all_parts, is_of_one_wood, moulding};
use super::{Bench, Measured, News, Place, Stick};
use crate::frame::{Milled, Miter, Moulding};
use crate::job::Job;
use crate::length::Length;
use crate::money::Money;
use crate::plan::{PieceKind, PlannedBoard, PlannedStrip, defects_on, piece_left};
use crate::stock::{
    Across, AtYard, Board, Defect, Given, InHand, Price, Run, share_of_price, told_apart,
};

/// The wood at the bench, in the light of some news.
pub(super) struct Hand<'b> {
    pub(super) bench: &'b Bench,
    pub(super) news: &'b News,
    /// The whole job as it now is.
    pub(super) job: &'b Job,
    /// Boards from which something has been cut.
    begun: BTreeSet<Stick>,
    /// How many boards of each line come before each that is not begun.
    ranks: BTreeMap<Stick, u32>,
}

impl<'b> Hand<'b> {
    pub(super) fn new(bench: &'b Bench, news: &'b News, job: &'b Job) -> Hand<'b> {
        let made = bench.made();
        let made = made.made().chain(news.marks.made());
        let begun: BTreeSet<Stick> = bench.parted_by(made).into_keys().collect();
        let mut ranks = BTreeMap::new();
        let mut of_line: BTreeMap<&str, u32> = BTreeMap::new();
        let sticks = bench.sticks();
        let boards = || {
            sticks
                .iter()
                .filter(|stick| matches!(stick, Stick::Board { .. }))
        };
        let fresh = boards().filter(|stick| !begun.contains(stick));
        for &stick in boards().filter(|stick| begun.contains(stick)).chain(fresh) {
            let rank = of_line.entry(&bench.board_of(stick).0.name).or_default();
            ranks.insert(stick, *rank);
            *rank += 1;
        }
        Hand {
            bench,
            news,
            job,
            begun,
            ranks,
        }
    }

    pub(super) fn is_begun(&self, stick: Stick) -> bool {
        self.begun.contains(&stick)
    }

    /// The line of the job of this name.
    fn line(&self, name: &str) -> Option<&'b Board> {
        self.job.boards.iter().find(|board| board.name == name)
    }

    /// Whether a stick is there: a board that is not begun is not where the job as it now is has no more as many of its line.
    pub(super) fn is_there(&self, stick: Stick) -> bool {
        match stick {
            Stick::Rail(_) => true,
            Stick::Piece { sheet, board, .. } => self.is_there(self.bench.stick(sheet, board)),
            Stick::Board { .. } if self.is_begun(stick) => true,
            Stick::Board { .. } => {
                let line = self.line(&self.bench.board_of(stick).0.name);
                let rank = self.ranks.get(&stick).copied().unwrap_or(0);
                line.is_some_and(|line| line.quantity.is_none_or(|quantity| rank < quantity))
            }
        }
    }

    /// All that was measured of a stick.
    fn measured(&self, stick: Stick) -> Measured {
        let mut measured = self.bench.measured(stick);
        if let Some(now) = self.news.measured.get(&stick) {
            measured.add(now);
        }
        measured
    }

    /// The length of a board as it is known now: as measured, or as the job says of its line; no less than what has been cut
    /// from it. A piece is as long as its stretch of that.
    fn length(&self, stick: Stick) -> Length {
        if let Some((from, by, kind)) = self.bench.piece_of(stick) {
            let (_, planned) = self.bench.planned(by);
            return self.lying_stretch(from, planned, kind.stretch()).1;
        }
        let (own, _) = self.bench.board_of(stick);
        let line = self.line(&own.name).unwrap_or(own);
        let length = self.measured(stick).length.unwrap_or(line.length);
        length.max(self.bench.cut_to(stick, &self.news.marks))
    }

    /// The trim at the ends of the stick that a cut is on. A rail in hand has none, but is measured as if it had that of the job
    /// by which it is cut first.
    pub(super) fn end_trim(&self, place: Place) -> Length {
        match self.bench.stick_at(place) {
            Stick::Rail(_) => {
                let (sheet, _) = self.bench.ripped_by(place);
                self.bench.sheets[sheet].plan.job.shop.end_trim
            }
            Stick::Board { .. } | Stick::Piece { .. } => self.job.shop.end_trim,
        }
    }

    /// Stretches that no part may touch, in the full width, which the sheets that were cut by did not know.
    pub(super) fn knots(&self, stick: Stick) -> Vec<Run> {
        if let Some((from, by, kind)) = self.bench.piece_of(stick) {
            let (_, planned) = self.bench.planned(by);
            return self.knots_on(from, self.lying_stretch(from, planned, kind.stretch()));
        }
        let mut knots = self.measured(stick).knots;
        if let Stick::Board { .. } = stick {
            let (own, _) = self.bench.board_of(stick);
            let line = self.line(&own.name).into_iter();
            let new = line.flat_map(|line| &line.defects);
            let new = new.filter(|defect| !own.defects.contains(defect));
            knots.extend(new.map(|defect| (defect.from, defect.to)));
        }
        let mut merged: Vec<Run> = Vec::new();
        for (from, to) in knots {
            match merged.last_mut() {
                Some(last) if from <= last.1 => last.1 = last.1.max(to),
                _ => merged.push((from, to)),
            }
        }
        merged
    }

    /// How far a cut that was made lies beyond its place: when it was cut the saw was thought to take less than it does, so each
    /// kerf before it has pushed it along.
    pub(super) fn shift(&self, place: Place) -> Length {
        let rounds = self.bench.rounds.iter();
        let sheets = rounds.zip(&self.bench.sheets);
        let before = sheets.filter(|(round, _)| round.marks.is_made(place));
        let known = before.map(|(_, sheet)| sheet).next();
        let known = known.unwrap_or(self.bench.last()).job.shop.kerf;
        let (known, is) = (widest_of(self.job, known), widest_kerf(self.job));
        let kerfs = i64::try_from(place.cut).expect("load caps the number of parts");
        (is - known).max(Length::ZERO) * kerfs
    }

    /// A board as it lies there before its first cut.
    pub(super) fn whole(&self, stick: Stick, given: Given) -> Option<Board> {
        if let Stick::Rail(place) = stick {
            return self.rail(place, given);
        }
        if let Some((_, by, kind)) = self.bench.piece_of(stick) {
            return self.piece(stick, by, kind, given);
        }
        let (own, _) = self.bench.board_of(stick);
        let line = self.line(&own.name).unwrap_or(own);
        let length = self.length(stick);
        let knots = self.measured(stick).knots.into_iter().map(knot);
        let defects = line.defects.iter().copied().chain(knots);
        Some(Board {
            length,
            defects: within(length, line.width, defects.collect()),
            at_yard: self.as_cut(stick, length),
            ..bought(line, given)
        })
    }

    /// What was left of a board beside its strips, or a stretch or slice of it from which nothing is cut, as it lies there; `None`
    /// where nothing is there, as the board is shorter than thought.
    fn piece(
        &self,
        stick: Stick,
        by: (usize, usize),
        kind: PieceKind,
        given: Given,
    ) -> Option<Board> {
        let (job, planned) = self.bench.planned(by);
        let of = &job.boards[planned.board_idx];
        let piece = piece_left(job, planned, kind);
        let length = self.length(stick);
        let knots = self.knots(stick).into_iter().map(knot);
        let defects = piece.defects.iter().copied().chain(knots);
        let whole = bought_part(of, piece.width, planned, given);
        let board = Board {
            name: self.bench.stick_name(stick).0,
            length,
            width: piece.width,
            thickness: piece.thickness,
            defects: within(length, piece.width, defects.collect()),
            at_yard: None,
            in_hand: whole.in_hand.clone().map(|in_hand| InHand {
                from: Some(self.bench.board_of(stick).0.name.clone()),
                is_bought: false,
                ..in_hand
            }),
            ..whole
        };
        (length > Length::ZERO).then_some(board)
    }

    /// Whether something could be cut from a board: a stretch of it has clear wood at least beside its defects.
    pub(super) fn is_good_for_something(&self, board: &Board) -> bool {
        let trim = self.job.shop.end_trim;
        let runs = board.clear_runs(trim, Length::ZERO, |of| of.takes_all(board.width));
        !runs.is_empty()
    }

    /// A stretch of a stick, as long as it now is: where it begins, and its length. What the yard has not cut is one stretch.
    pub(super) fn lying_stretch(
        &self,
        stick: Stick,
        planned: &PlannedBoard,
        stretch: usize,
    ) -> Run {
        let stretch = &planned.stretches[stretch];
        let is_last = planned.stretches.last().map(|on| on.to) == Some(stretch.to);
        let end = match stick {
            Stick::Board { .. } | Stick::Piece { .. } if is_last => self.length(stick),
            _ => stretch.to,
        };
        (stretch.from, (end - stretch.from).max(Length::ZERO))
    }

    /// The knots that lie on a stretch of a stick, see [`Hand::knots`], measured from where it begins.
    pub(super) fn knots_on(&self, stick: Stick, (begin, length): Run) -> Vec<Run> {
        let knots = self.knots(stick).into_iter();
        let within = |(from, to): Run| {
            let (from, to) = (from.max(begin), to.min(begin + length));
            (from < to).then(|| (from - begin, to - begin))
        };
        knots.filter_map(within).collect()
    }

    /// How the yard has cut a board that nothing was cut from yet: just as the first sheet that takes it says, whatever its
    /// length is now.
    fn as_cut(&self, stick: Stick, length: Length) -> Option<AtYard> {
        let mut boards = self.bench.boards();
        let (sheet, board) =
            boards.find(|&(sheet, board)| self.bench.stick(sheet, board) == stick)?;
        let plan = &self.bench.sheets[sheet].plan;
        let planned = &plan.boards[board];
        let at_yard = plan.job.boards[planned.board_idx].at_yard.as_ref()?;
        let cuts = planned.yard_cuts().collect();
        Some(AtYard::done(at_yard.kerf, cuts, length))
    }

    /// What is left of a strip without the stretches that are `gone`: a board as long as before, with defects where they are.
    pub(super) fn strip_left(
        &self,
        stick: Stick,
        (job, planned): (&Job, &PlannedBoard),
        strip_idx: usize,
        mut gone: Vec<Run>,
        given: Given,
    ) -> Board {
        let of = &job.boards[planned.board_idx];
        let wood = planned.wood_of_strip(job, strip_idx);
        let stretch = planned.strips[strip_idx].stretch;
        let (begin, length) = self.lying_stretch(stick, planned, stretch);
        gone.sort_unstable();
        let mut taken: Vec<Defect> = Vec::new();
        for (from, to) in gone {
            match taken.last_mut() {
                Some(last) if from <= last.to => last.to = last.to.max(to),
                _ => taken.push(Defect {
                    from,
                    to,
                    across: Across::Gone,
                }),
            }
        }
        let own = defects_on(job, planned, strip_idx);
        let was_gone = |run: &Run| wood.gone().any(|gone| gone == *run);
        let knots = self.knots_on(stick, (begin, length)).into_iter();
        let own = own.into_iter().map(|run| Defect {
            across: if was_gone(&run) {
                Across::Gone
            } else {
                Across::Full
            },
            ..knot(run)
        });
        taken.extend(own.chain(knots.map(knot)));
        let strip = &planned.strips[strip_idx];
        Board {
            width: width_left(job, of, strip),
            thickness: wood.thickness,
            length,
            defects: within(length, strip.width, taken),
            at_yard: None,
            ..bought_part(of, strip.width, planned, given)
        }
    }

    /// How much of a part that was cut is good, along its outer edge; all of one that was not spoiled.
    pub(super) fn good(&self, place: Place) -> Length {
        let spoiled = &self.news.marks.spoiled;
        let known = spoiled.get(&place).copied().or_else(|| {
            let mut rounds = self.bench.rounds.iter();
            rounds.find_map(|round| round.marks.spoiled.get(&place).copied())
        });
        known.unwrap_or_else(|| {
            let (job, part) = self.bench.planned_part(place);
            part.length(job)
        })
    }

    /// A part that was cut, to be cut again: its good stretch, as it lies there.
    ///
    /// Both ends of the stretch are cut, or are in wood that is spoiled anyway, so nothing is trimmed and no kerf is needed
    /// there: what is as long as the stretch can be cut from it. The board has a trim at each end all the same, which is gone.
    /// `None` where nothing is good.
    pub(super) fn rail(&self, place: Place, given: Given) -> Option<Board> {
        let (of_job, part) = self.bench.planned_part(place);
        let plan = &self.bench.sheets[place.sheet].plan;
        let planned = &plan.boards[place.board];
        let strip = &planned.strips[place.strip];
        let of = &plan.job.boards[planned.board_idx];
        let own = moulding(of_job, part);
        let miter = part.miter(of_job);
        let face = if part.is_on_edge(of_job) {
            part.across_miter(of_job)
        } else {
            own.map(|moulding| moulding.face_width).or(strip.width)
        };
        let slant = match (miter, face) {
            (Miter::Corner { .. }, Some(face)) => miter.run_along(face),
            // How wide a mitered piece is may not be known.
            _ => Length::ZERO,
        };
        let mut good = self.good(place);
        if own.is_some_and(Moulding::may_be_turned) && self.may_share(place, good) {
            // The last of two rails that share a slanting cut has its outer edge where this one had its sight edge.
            good -= slant;
        }
        if good <= Length::ZERO {
            return None;
        }
        let trim = self.job.shop.end_trim;
        let length = good + trim * 2;
        let gone = |from, to| Defect {
            from,
            to,
            across: Across::Gone,
        };
        let defects = if trim > Length::ZERO {
            vec![gone(Length::ZERO, trim), gone(length - trim, length)]
        } else {
            Vec::new()
        };
        let given = Given {
            rail: Some(slant),
            ..given
        };
        let rail = bought_part(of, strip.width, planned, given);
        let milled = own.filter(|moulding| moulding.milled == Milled::BeforeCutting);
        let wood = milled.and_then(|moulding| moulding.material.clone());
        let (line, _) = self.bench.board_of(self.bench.stick_at(place));
        Some(Board {
            name: self.bench.rail_name(place),
            length,
            material: of.material.clone().or(wood),
            thickness: milled
                .and_then(|moulding| moulding.thickness)
                .or(planned.resawn)
                .or(of.thickness),
            width: milled.map_or_else(
                || width_left(&plan.job, of, strip),
                |moulding| Some(moulding.face_width),
            ),
            defects,
            at_yard: None,
            in_hand: rail.in_hand.clone().map(|in_hand| InHand {
                moulding: milled
                    .map(|moulding| moulding.profile.clone())
                    .or(in_hand.moulding.clone()),
                from: Some(line.name.clone()),
                is_bought: false,
                ..in_hand
            }),
            ..rail
        })
    }

    /// Whether two parts that the job asks for could share a slanting cut on so much of a part.
    fn may_share(&self, place: Place, good: Length) -> bool {
        let (of_job, own) = self.bench.planned_part(place);
        let miter = own.miter(of_job);
        let face = moulding(of_job, own).map_or(Length::ZERO, |moulding| moulding.face_width);
        let like_it = all_parts(self.job).filter(|&part| {
            part.miter(self.job) == miter && is_of_one_wood((of_job, own), (self.job, part))
        });
        let shortest = like_it.map(|part| part.length(self.job)).min();
        let kerf = miter.kerf_along(self.job.shop.kerf);
        shortest.is_some_and(|length| length * 2 + kerf - miter.overlap(face) <= good)
    }

    /// The parts that were cut and serve nothing, of which something is good, and which no sheet takes yet.
    pub(super) fn rails_in_hand(&self, serves: &BTreeSet<Place>) -> Vec<Place> {
        let sticks: BTreeSet<Stick> = self.bench.sticks().into_iter().collect();
        let made = self.bench.made();
        let idle = made.made().chain(self.news.marks.made());
        let idle = idle.filter(|place| !serves.contains(place));
        let new = idle.filter(|place| !sticks.contains(&Stick::Rail(*place)));
        let new: BTreeSet<Place> = new.collect();
        let is_good = |place: &Place| self.good(*place) > Length::ZERO;
        new.into_iter().filter(is_good).collect()
    }
}

/// The widest kerf that any part takes along its strip.
pub(super) fn widest_kerf(job: &Job) -> Length {
    widest_of(job, job.shop.kerf)
}

/// The same with a saw of this kerf.
fn widest_of(job: &Job, kerf: Length) -> Length {
    let of_frames = job.frames.iter().map(|frame| frame.art.miter());
    let of_pieces = job.pieces.iter().map(|piece| piece.ends.miter());
    let kerfs = of_frames
        .chain(of_pieces)
        .map(|miter| miter.kerf_along(kerf));
    kerfs.max().unwrap_or(kerf)
}

/// A knot as a defect of the full width.
fn knot((from, to): Run) -> Defect {
    Defect {
        from,
        to,
        across: Across::Full,
    }
}

/// Defects apart from each other, as far as a board of this length has them.
fn within(length: Length, width: Option<Length>, defects: Vec<Defect>) -> Vec<Defect> {
    let reach = defects.into_iter().filter(|defect| defect.from < length);
    let reach = reach.map(|defect| Defect {
        to: defect.to.min(length),
        ..defect
    });
    told_apart(reach.collect(), width)
}

/// A board that is paid for, so that using it costs nothing more, with the numbers that are given.
fn bought(board: &Board, given: Given) -> Board {
    let before = board.in_hand.as_ref();
    // The bench knows no size by which a board was sold, so what that came to goes on by the length.
    let price = board.price.map(|price| match board.nominal {
        Some(_) => share_of_price(board, price, None, 1).expect("load works out every price"),
        None => price,
    });
    Board {
        quantity: Some(1),
        nominal: None,
        price: Some(Price::Each(Money::ZERO)),
        in_hand: Some(InHand {
            value: Some(Price::Each(Money::ZERO)),
            paid: before.map_or(price, |in_hand| in_hand.paid),
            ..before.cloned().unwrap_or_default()
        }),
        given,
        ..board.clone()
    }
}

/// A part of such a board that is so wide, or of a slice of it, with its share of what was paid.
fn bought_part(of: &Board, width: Option<Length>, planned: &PlannedBoard, given: Given) -> Board {
    let share = |price| share_of_price(of, price, width, planned.n_slices()).ok();
    let whole = bought(of, given);
    Board {
        in_hand: whole.in_hand.clone().map(|in_hand| InHand {
            paid: in_hand.paid.and_then(share),
            ..in_hand
        }),
        ..whole
    }
}

/// The width of a strip: that of what it was ripped for, so that it is taken as it is.
fn width_left(job: &Job, of: &Board, strip: &PlannedStrip) -> Option<Length> {
    match (job.shop.rip, strip.width) {
        (Some(rip), Some(width)) if strip.width != of.width => Some(width - rip.planing),
        (_, width) => width,
    }
}

/// Has a strip from which something was cut milled to its profile, if that is done before cutting: it serves nothing else
/// any more.
pub(super) fn mill(board: &mut Board, (job, planned): (&Job, &PlannedBoard), strip_idx: usize) {
    let moulding = planned.strips[strip_idx].moulding_idx;
    let moulding = moulding.map(|idx| &job.mouldings[idx]);
    let Some(moulding) = moulding.filter(|moulding| moulding.milled == Milled::BeforeCutting)
    else {
        return;
    };
    board.width = Some(moulding.face_width);
    board.thickness = moulding.thickness.or(board.thickness);
    board.material = board.material.clone().or(moulding.material.clone());
    if let Some(in_hand) = &mut board.in_hand {
        in_hand.moulding = Some(moulding.profile.clone());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::board;
    use crate::stock::{BoardMeasure, NominalSize};

    #[test]
    fn what_was_paid_for_a_size_by_which_wood_is_sold_goes_on_by_the_length() {
        let sold = Board {
            nominal: Some(NominalSize {
                thickness: Length::INCH,
                width: Some(Length::INCH * 8),
            }),
            thickness: Some(Length::INCH),
            width: Some(Length::INCH * 7),
            price: Some(Price::PerBoardFoot {
                money: Money::from_minor(600),
                measure: BoardMeasure::Exact,
            }),
            ..board("pine", Length::FOOT * 6, None)
        };
        let bought = bought(&sold, Given::default());
        assert_eq!(bought.nominal, None);
        // Derived: 1 x 8 in x 6 ft is 4 bf, at 6.00 it is 24.00.
        let paid = bought.in_hand.and_then(|in_hand| in_hand.paid);
        let (money, per) = (Money::from_minor(2400), Length::FOOT * 6);
        assert_eq!(paid, Some(Price::PerLength { money, per }));
    }
}

//! What is left of the boards of a plan, and which of it goes back on the rack.

use std::cmp::Reverse;

use crate::job::Job;
use crate::length::Length;
use crate::plan::{Plan, PlannedBoard, PlannedStrip};
use crate::stock::{Across, Board, Defect, Run, told_apart};

/// A piece of a board that goes back on the rack.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Leftover {
    /// Position of its board in `Plan::boards`.
    pub board: usize,
    /// What of the board it is.
    pub kind: LeftoverKind,
    /// Where it begins along the outer edge, from the untrimmed near end of its stretch of the board.
    pub from: Length,
    /// Where it ends; at the far end of the stretch its trim is still on it.
    pub to: Length,
    /// Its width as it lies there, where that is known.
    pub width: Option<Length>,
    /// Its length without the trims of raw ends, defects and all.
    pub usable: Length,
    /// The longest clear stretch of that.
    pub clear: Length,
}

/// What of a board a leftover is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LeftoverKind {
    /// The end of a strip, by its position on the board; of one with defects also what lies before or between its cuts.
    End(usize),
    /// What no strip takes.
    Piece(PieceKind),
}

/// A piece of a board that no strip of it takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PieceKind {
    /// A piece left beside the strips of a ripped board, as long as the board, or as a stretch of it.
    Edge {
        /// Position of the stretch.
        stretch: usize,
        /// Position among those of [`Stretch::beside`](crate::plan::Stretch).
        nth: usize,
    },
    /// All of a stretch from which nothing is cut, by its position.
    Stretch(usize),
}

impl PieceKind {
    /// Position of its stretch among those of its board.
    pub fn stretch(self) -> usize {
        match self {
            PieceKind::Edge { stretch, .. } | PieceKind::Stretch(stretch) => stretch,
        }
    }
}

impl LeftoverKind {
    /// Position of its stretch among those of its board.
    ///
    /// # Panics
    /// If it is not of that board.
    pub fn stretch(self, planned: &PlannedBoard) -> usize {
        match self {
            LeftoverKind::End(strip_idx) => planned.strips[strip_idx].stretch,
            LeftoverKind::Piece(piece) => piece.stretch(),
        }
    }
}

/// A stretch of a strip from which nothing is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gap {
    /// Where it begins along the outer edge, from the near end of the untrimmed board.
    pub from: Length,
    /// Where it ends; at the far end of the board its trim is still on it.
    pub to: Length,
    /// The length of it between the trims, defects and all.
    pub between_trims: Length,
    /// The longest clear stretch of it between the trims: where it begins and ends.
    pub clear_at: Run,
    /// Length of that stretch.
    pub clear: Length,
    /// Whether it lies behind the last cut.
    pub is_last: bool,
}

/// The stretches of a strip from which nothing is cut, from the near end: what is left behind the last cut, and on a board
/// with defects before and between the others.
///
/// # Panics
/// If the strip is not the one at `strip_idx` of a board of a plan of `job`.
pub fn gaps(job: &Job, planned: &PlannedBoard, strip_idx: usize) -> Vec<Gap> {
    let wood = planned.wood_of_strip(job, strip_idx);
    let board = wood.as_ref();
    let strip = &planned.strips[strip_idx];
    let trim = job.shop.end_trim;
    let far = board.length - trim;
    let mut gaps = Vec::new();
    let mut add = |from: Length, to: Length, is_last: bool| {
        let clear = clear_within(job, board, strip, from, to);
        if let Some(clear_at) = clear {
            gaps.push(Gap {
                from,
                to,
                between_trims: to.min(far) - from.max(trim),
                clear_at,
                clear: clear_at.1 - clear_at.0,
                is_last,
            });
        }
    };
    let last_end = strip.cuts.last().map_or(Length::ZERO, |cut| cut.to);
    let mut end = far - strip.offcut;
    let of_cuts = strip.cuts.iter().map(|cut| {
        let kerf = cut.part.kerf_along(job);
        (cut.from - kerf, cut.to + kerf)
    });
    let mut taken: Vec<Run> = of_cuts.chain(board.gone()).collect();
    taken.sort_unstable();
    let mut from = Length::ZERO;
    for (begin, stop) in taken {
        add(from, begin, from > last_end);
        from = from.max(stop);
    }
    if board.gone().next().is_some() {
        end = from;
    }
    if end < far {
        // Of a strip without cuts all is left, the near end's trim too.
        let from = if strip.cuts.is_empty() && end == trim {
            Length::ZERO
        } else {
            end
        };
        add(from, board.length, true);
    }
    gaps
}

/// The longest clear stretch between `from` and `to` and between the trims; `None` where nothing is clear.
fn clear_within(
    job: &Job,
    board: &Board,
    strip: &PlannedStrip,
    from: Length,
    to: Length,
) -> Option<Run> {
    let runs = board.clear_runs(job.shop.end_trim, Length::ZERO, |defect| {
        reaches(job, board, strip, defect)
    });
    runs.into_iter()
        .map(|(begin, end)| (begin.max(from), end.min(to)))
        .filter(|(begin, end)| begin < end)
        .max_by_key(|&(begin, end)| (end - begin, Reverse(begin)))
}

/// Whether a defect reaches into a strip.
fn reaches(job: &Job, board: &Board, strip: &PlannedStrip, defect: &Defect) -> bool {
    match (job.shop.rip, strip.width) {
        (Some(rip), Some(width)) if strip.width != board.width => {
            defect.reaches(board, &rip, (strip.from_edge, strip.from_edge + width))
        }
        _ => true,
    }
}

/// The defects that reach into a strip, from and to, each within the board.
///
/// # Panics
/// If the strip is not the one at `strip_idx` of a board of a plan of `job`.
pub fn defects_on(job: &Job, planned: &PlannedBoard, strip_idx: usize) -> Vec<Run> {
    let board = planned.wood_of_strip(job, strip_idx);
    let strip = &planned.strips[strip_idx];
    board
        .defects
        .iter()
        .filter(|defect| reaches(job, &board, strip, defect))
        .map(|defect| (defect.from, defect.to))
        .collect()
}

/// Whether a clear length goes back on the rack.
pub fn is_kept(job: &Job, clear: Length) -> bool {
    clear > Length::ZERO && clear >= job.shop.shortest_offcut
}

/// Whether a piece left beside the strips of a stretch of a board, the `nth` of them, goes back on the rack: it must be long
/// enough, and at least as wide as the shop keeps, or as the narrowest strip of the job.
///
/// # Panics
/// If it is not of a plan of `job`.
pub fn is_edge_kept(job: &Job, board: &PlannedBoard, stretch: usize, nth: usize) -> bool {
    let width = board.stretches[stretch].beside[nth].width;
    job.narrowest_kept()
        .is_some_and(|narrowest| width >= narrowest)
        && is_kept(job, edge_clear(job, board, stretch, nth))
}

/// The stretches of a piece between its trims that are good for something: clear ones, and those with defects along an edge
/// where beside all of these enough of the width is clear to be kept, as they are ripped away.
fn useful_runs(job: &Job, piece: &Board, trim: Length) -> Vec<Run> {
    let half = |width: Length| Length::from_nm(width.nm() - width.nm() / 2);
    let is_ripped_away = |width: Length| {
        let deepest = |is_side: fn(Across) -> Option<Option<Length>>| {
            let depths = piece.defects.iter().filter_map(|of| is_side(of.across));
            let depths = depths.map(|depth| depth.unwrap_or(half(width)));
            depths.max().unwrap_or(Length::ZERO)
        };
        let left = deepest(|across| match across {
            Across::Left(depth) => Some(depth),
            _ => None,
        });
        let right = deepest(|across| match across {
            Across::Right(depth) => Some(depth),
            _ => None,
        });
        let rip = job.shop.rip?;
        Some(rip.room(width) - left - right >= job.narrowest_kept()?)
    };
    let is_past = piece.width.and_then(is_ripped_away) == Some(true);
    piece.clear_runs(trim, Length::ZERO, |defect| {
        !is_past || defect.takes_all(piece.width)
    })
}

/// All of a stretch of a board that is cut at the yard, where nothing is cut from it, and something of it is clear.
///
/// # Panics
/// If it is not of a plan of `job`.
pub fn uncut(job: &Job, planned: &PlannedBoard, stretch: usize) -> Option<Gap> {
    if planned.strips_of(stretch).next().is_some() {
        return None;
    }
    let wood = planned.wood(job, stretch);
    let trim = job.shop.end_trim;
    let runs = useful_runs(job, &wood, trim).into_iter();
    let longest = |&(begin, end): &Run| (end - begin, Reverse(begin));
    let clear_at = runs.max_by_key(longest)?;
    Some(Gap {
        from: Length::ZERO,
        to: wood.length,
        between_trims: wood.length - trim * 2,
        clear_at,
        clear: clear_at.1 - clear_at.0,
        is_last: true,
    })
}

/// Whether what is left behind the last cut of a strip goes back on the rack; `false` where nothing is left.
///
/// # Panics
/// If the strip is not the one at `strip_idx` of a board of a plan of `job`.
pub fn is_end_kept(job: &Job, planned: &PlannedBoard, strip_idx: usize) -> bool {
    let mut gaps = gaps(job, planned, strip_idx).into_iter();
    gaps.any(|gap| gap.is_last && is_kept(job, gap.clear))
}

/// The longest stretch of a piece left beside the strips that is good for something: without defects, the whole length.
fn edge_clear(job: &Job, planned: &PlannedBoard, stretch: usize, nth: usize) -> Length {
    let piece = piece_left(job, planned, PieceKind::Edge { stretch, nth });
    let runs = useful_runs(job, &piece, Length::ZERO).into_iter();
    runs.map(|(from, to)| to - from)
        .max()
        .unwrap_or(Length::ZERO)
}

/// A piece that no strip of a board takes, see [`PlannedBoard::pieces_left`], as a board of its own, as long as its stretch.
///
/// # Panics
/// If it is not of a plan of `job`.
pub fn piece_left(job: &Job, planned: &PlannedBoard, kind: PieceKind) -> Board {
    match kind {
        PieceKind::Edge { stretch, nth } => Board {
            width: Some(planned.stretches[stretch].beside[nth].width),
            defects: edge_defects(job, planned, stretch, nth),
            nominal: None,
            ..planned.wood(job, stretch).into_owned()
        },
        PieceKind::Stretch(stretch) => planned.wood(job, stretch).into_owned(),
    }
}

/// The defects that reach into a piece left beside the strips of a stretch, measured from its own edges.
fn edge_defects(job: &Job, planned: &PlannedBoard, stretch: usize, nth: usize) -> Vec<Defect> {
    let wood = planned.wood(job, stretch);
    let board = wood.as_ref();
    let edge = planned.stretches[stretch].beside[nth];
    let Some(rip) = job.shop.rip else {
        return board.defects.clone();
    };
    let (begins, ends) = (edge.from_edge, edge.from_edge + edge.width);
    let reach = |defect: &Defect| {
        let (from, to) = defect.span(board, &rip);
        let across = match defect.across {
            Across::Full | Across::Gone => defect.across,
            Across::Left(_) if to <= begins => return None,
            Across::Left(_) => Across::Left(Some(to - begins)),
            Across::Right(_) if from >= ends => return None,
            // What straightening takes off the other edge is not known, so it may reach in as far as this.
            Across::Right(_) => Across::Right(Some(ends - from)),
        };
        let takes_all = match across {
            Across::Left(Some(depth)) | Across::Right(Some(depth)) => depth >= edge.width,
            _ => true,
        };
        let across = if takes_all { Across::Full } else { across };
        Some(Defect { across, ..*defect })
    };
    board.defects.iter().filter_map(reach).collect()
}

/// All pieces of a plan's boards that go back on the rack: by kind of board, ends before edges and whole stretches, by
/// moulding (plain wood first), widest first, longest first, then in the order of the plan.
pub fn leftovers(plan: &Plan) -> Vec<Leftover> {
    let job = &plan.job;
    let mut found = Vec::new();
    for (position, board) in plan.boards.iter().enumerate() {
        for (strip_idx, strip) in board.strips.iter().enumerate() {
            for gap in gaps(job, board, strip_idx) {
                if is_kept(job, gap.clear) {
                    found.push(Leftover {
                        board: position,
                        kind: LeftoverKind::End(strip_idx),
                        from: gap.from,
                        to: gap.to,
                        width: strip.width,
                        usable: gap.between_trims,
                        clear: gap.clear,
                    });
                }
            }
        }
        let is_used = |kind: PieceKind| board.used_again.contains(&kind);
        for (idx, stretch) in board.stretches.iter().enumerate() {
            let length = stretch.to - stretch.from;
            for (nth, edge) in stretch.beside.iter().enumerate() {
                let kind = PieceKind::Edge { stretch: idx, nth };
                if !is_used(kind) && is_edge_kept(job, board, idx, nth) {
                    found.push(Leftover {
                        board: position,
                        kind: LeftoverKind::Piece(kind),
                        from: Length::ZERO,
                        to: length,
                        width: Some(edge.width),
                        usable: length,
                        clear: edge_clear(job, board, idx, nth),
                    });
                }
            }
            if let Some(uncut) = uncut(job, board, idx).filter(|uncut| is_kept(job, uncut.clear))
                && !is_used(PieceKind::Stretch(idx))
            {
                found.push(Leftover {
                    board: position,
                    kind: LeftoverKind::Piece(PieceKind::Stretch(idx)),
                    from: uncut.from,
                    to: uncut.to,
                    width: job.boards[board.board_idx].width,
                    usable: uncut.between_trims,
                    clear: uncut.clear,
                });
            }
        }
    }
    found.sort_by_key(|left| {
        let board = &plan.boards[left.board];
        let moulding_idx = left.moulding_idx(plan);
        (
            board.board_idx,
            !matches!(left.kind, LeftoverKind::End(_)),
            moulding_idx,
            Reverse(left.width),
            Reverse(left.usable),
        )
    });
    found
}

impl Leftover {
    /// Its defects, measured from its own near end and edges; of what is left of a ripped strip they count in full width.
    ///
    /// # Panics
    /// If it is not of `plan`, or that not of `job`.
    pub fn defects(&self, plan: &Plan) -> Vec<Defect> {
        let job = &plan.job;
        let planned = &plan.boards[self.board];
        let board = match self.kind {
            LeftoverKind::End(strip_idx) => planned.wood_of_strip(job, strip_idx),
            LeftoverKind::Piece(piece) => planned.wood(job, piece.stretch()),
        };
        let all = match self.kind {
            LeftoverKind::Piece(PieceKind::Edge { stretch, nth }) => {
                edge_defects(job, planned, stretch, nth)
            }
            LeftoverKind::Piece(PieceKind::Stretch(_)) => board.defects.clone(),
            LeftoverKind::End(strip_idx) => {
                let strip = &planned.strips[strip_idx];
                let is_ripped = strip.width != board.width;
                let of_strip = board
                    .defects
                    .iter()
                    .filter(|defect| reaches(job, &board, strip, defect));
                of_strip
                    .map(|defect| Defect {
                        across: if is_ripped {
                            Across::Full
                        } else {
                            defect.across
                        },
                        ..*defect
                    })
                    .collect()
            }
        };
        let here = |defect: Defect| {
            let (from, to) = (defect.from.max(self.from), defect.to.min(self.to));
            (from < to).then(|| Defect {
                from: from - self.from,
                to: to - self.from,
                across: defect.across,
            })
        };
        told_apart(all.into_iter().filter_map(here).collect(), self.width)
    }

    /// Position of its stretch among those of its board.
    ///
    /// # Panics
    /// If it is not of `plan`.
    pub fn stretch(&self, plan: &Plan) -> usize {
        self.kind.stretch(&plan.boards[self.board])
    }

    /// The moulding that its strip is milled to; `None` for plain wood and for an edge.
    ///
    /// # Panics
    /// If it is not of `plan`.
    pub fn moulding_idx(&self, plan: &Plan) -> Option<usize> {
        match self.kind {
            LeftoverKind::End(strip_idx) => plan.boards[self.board].strips[strip_idx].moulding_idx,
            LeftoverKind::Piece(_) => None,
        }
    }
}

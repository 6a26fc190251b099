//! Wood in hand that a plan leaves, and why.

use std::collections::BTreeMap;

use crate::frame::ChosenBoards;
use crate::job::{Grains, Job, Subject, chain_length, wanted_sections};
use crate::length::Length;
use crate::plan::{Plan, Verdict};
use crate::stock::{Board, Misfit, Section, misfits};

/// Boards of one line that a plan leaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unused {
    /// Index into `Job::boards`.
    pub board_idx: usize,
    /// How many of them.
    pub count: u32,
    /// Why.
    pub why: WhyUnused,
}

/// Why a plan leaves a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WhyUnused {
    /// It is left on purpose, for a rail that may be spoiled.
    Kept,
    /// Nothing that is wanted is of its wood.
    OtherWood,
    /// It is milled already, to a profile that nothing wants, or in another size.
    Milled,
    /// It is thinner than what is wanted of its wood.
    TooThin,
    /// It is thicker than what is wanted of its wood, which may not be planed down.
    TooThick,
    /// It is narrower than what is wanted of its wood.
    TooNarrow,
    /// It is too wide to be planed to what is wanted, and too narrow to be ripped for it.
    BetweenWidths,
    /// What it suits must come from other boards.
    OtherBoards,
    /// No clear stretch of it is as long as the shortest part that it suits.
    TooShort {
        /// Length of that part, or of the rails in a row.
        needed: Length,
    },
    /// Parts fit on it, and it is proved that no plan with it is better.
    SavesNothing,
    /// Parts fit on it, and the search found no plan with it that is better.
    NoUseFound,
}

/// The wood that a plan leaves while it buys boards or lacks some for parts: pieces in hand, and where parts are missing all
/// boards of which there are only some; in the order of the job.
pub fn unused(plan: &Plan) -> Vec<Unused> {
    let job = &plan.job;
    let n_lines = job.boards.len();
    let mut taken = vec![0_u32; n_lines];
    let mut buys = false;
    for board in &plan.boards {
        taken[board.board_idx] += 1;
        buys |= job.boards[board.board_idx].in_hand.is_none();
    }
    let lacks = !plan.missing.is_empty();
    if !buys && !lacks {
        return Vec::new();
    }
    let mut kept = vec![0_u32; n_lines];
    for piece in &plan.kept_pieces {
        kept[piece.board_idx] += 1;
    }
    let needs = Needs::of(job);
    let mut found = Vec::new();
    for (board_idx, board) in job.boards.iter().enumerate() {
        let Some(quantity) = job
            .supply(board_idx)
            .filter(|_| board.in_hand.is_some() || lacks)
        else {
            continue;
        };
        let mut add = |count: u32, why| {
            if count > 0 {
                found.push(Unused {
                    board_idx,
                    count,
                    why,
                });
            }
        };
        let left = quantity.saturating_sub(taken[board_idx]);
        let on_purpose = kept[board_idx].min(left);
        add(on_purpose, WhyUnused::Kept);
        if left > on_purpose {
            let misfit = needs.misfit(job, board_idx, board);
            let why = misfit.unwrap_or(match plan.verdict {
                Verdict::Optimal => WhyUnused::SavesNothing,
                Verdict::WorkLimit | Verdict::Stopped => WhyUnused::NoUseFound,
            });
            add(left - on_purpose, why);
        }
    }
    found
}

/// What a job wants of its boards.
struct Needs<'j> {
    sections: Vec<SectionNeeds<'j>>,
}

/// What is wanted of one section.
struct SectionNeeds<'j> {
    section: Section<'j>,
    /// The widest kerf of its parts.
    widest_kerf: Length,
    /// The shortest part, or rails in a row, for each choice of boards.
    shortest: BTreeMap<&'j ChosenBoards, Length>,
}

impl<'j> Needs<'j> {
    fn of(job: &'j Job) -> Needs<'j> {
        let grains = Grains::new(job);
        let sections = wanted_sections(job).into_iter().map(|(subject, section)| {
            let mut needs = SectionNeeds {
                section,
                widest_kerf: Length::ZERO,
                shortest: BTreeMap::new(),
            };
            for (frame_idx, frame) in job.frames.iter().enumerate() {
                if subject == Subject::Moulding(frame.moulding_idx) {
                    let chains = grains.granted(frame_idx).chains(frame.art);
                    let lengths = chains
                        .iter()
                        .map(|chain| chain_length(job, frame_idx, chain));
                    let kerf = frame.art.miter().kerf_along(job.shop.kerf);
                    needs.add(&frame.boards, lengths.min(), kerf);
                }
            }
            for (piece_idx, piece) in job.pieces.iter().enumerate() {
                let of_piece = match piece.moulding_idx {
                    Some(moulding_idx) => Subject::Moulding(moulding_idx),
                    None => Subject::Piece(piece_idx),
                };
                if subject == of_piece {
                    let kerf = piece.kerf_along(job.shop.kerf);
                    needs.add(&piece.boards, Some(piece.length), kerf);
                }
            }
            needs
        });
        Needs {
            sections: sections.collect(),
        }
    }

    /// Why nothing fits on a board; `None` if something does.
    fn misfit(&self, job: &Job, board_idx: usize, board: &Board) -> Option<WhyUnused> {
        let rip = job.shop.rip.as_ref();
        let mut suits_any = false;
        let mut too_short: Option<Length> = None;
        // What is of its wood comes nearest.
        let mut nearest: Option<(bool, usize, WhyUnused)> = None;
        for needs in &self.sections {
            let section = &needs.section;
            let misfits = misfits(section, board, rip);
            if !misfits.is_empty() {
                let is_other_wood = misfits.contains(&Misfit::Material);
                let why = why_unsuitable(section, board, &misfits);
                let why = (is_other_wood, misfits.len(), why);
                nearest = Some(nearest.map_or(why, |before| before.min(why)));
                continue;
            }
            suits_any = true;
            let allowed = needs.shortest.iter();
            let allowed = allowed.filter(|(boards, _)| boards.allow(board_idx));
            let Some(needed) = allowed.map(|(_, &needed)| needed).min() else {
                continue;
            };
            let longest = board.longest_run(section, rip, job.shop.end_trim, needs.widest_kerf);
            if longest.is_some_and(|longest| longest >= needed) {
                return None;
            }
            too_short = Some(too_short.map_or(needed, |before| before.min(needed)));
        }
        Some(match (too_short, nearest) {
            (Some(needed), _) => WhyUnused::TooShort { needed },
            (None, Some((_, _, why))) if !suits_any => why,
            _ => WhyUnused::OtherBoards,
        })
    }
}

impl<'j> SectionNeeds<'j> {
    fn add(&mut self, boards: &'j ChosenBoards, length: Option<Length>, kerf: Length) {
        self.widest_kerf = self.widest_kerf.max(kerf);
        if let Some(length) = length {
            let shortest = self.shortest.entry(boards).or_insert(length);
            *shortest = (*shortest).min(length);
        }
    }
}

/// The first of the ways in which a board fails a section that says most of it.
fn why_unsuitable(section: &Section<'_>, board: &Board, misfits: &[Misfit]) -> WhyUnused {
    if board.milled_to().is_some() && !misfits.contains(&Misfit::Material) {
        return WhyUnused::Milled;
    }
    match misfits[0] {
        Misfit::Material => WhyUnused::OtherWood,
        Misfit::Thickness if board.thickness < section.thickness => WhyUnused::TooThin,
        Misfit::Thickness => WhyUnused::TooThick,
        Misfit::Width if board.width < section.width => WhyUnused::TooNarrow,
        Misfit::Width => WhyUnused::BetweenWidths,
        Misfit::Milled => WhyUnused::Milled,
    }
}

#[cfg(test)]
mod tests;

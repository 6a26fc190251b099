//! What to look out for at the saw, where the job's own numbers call for it.
//!
//! # Source
//! Common practice, no source, unless a variant names one.

use std::fmt;

use crate::frame::Milled;
use crate::job::Job;
use crate::length::Length;
use crate::plan::{Part, Plan, PlannedBoard, PlannedStrip};

/// Work shorter than this is short work (12 in): it asks for a longer piece, a clamp or a carrier.
pub const SHORT_WORK: Length = Length::from_nm(12 * Length::INCH.nm());

/// The last stretch of a rip, which a push stick brings past the blade (300 mm).
///
/// # Source
/// Published: UK HSE WIS 16, as restated.
pub const PUSH_STICK: Length = Length::from_nm(300 * Length::MILLIMETRE.nm());

/// One caution, with the numbers that call for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Caution {
    /// Parts shorter than [`SHORT_WORK`] are to be sawn.
    ShortParts {
        /// How many.
        n_parts: u64,
        /// One of the shortest.
        shortest: Part,
        /// Its length.
        length: Length,
    },
    /// Parts shorter than [`SHORT_WORK`] are to be milled after they are sawn: they are not to be planed.
    ShortMilledAfterCutting {
        /// How many.
        n_parts: u64,
        /// Length of the shortest.
        length: Length,
    },
    /// Offcuts shorter than [`SHORT_WORK`] fall between blade and stop block.
    ShortOffcuts {
        /// On how many strips.
        n_strips: u64,
        /// The shortest.
        shortest: Length,
    },
    /// Boards are wider than what is cut from them and have to be ripped.
    ///
    /// Push sticks and guards for ripping: US OSHA 29 CFR 1910.213(c) and (s), from memory.
    /// A push stick for the last 300 mm of a rip: published, UK HSE WIS 16, as restated.
    Ripping {
        /// How many boards.
        n_boards: u64,
        /// Width of the narrowest strip.
        narrowest: Length,
    },
    /// Glazing is to be cut and handled.
    Glazing {
        /// How many sheets.
        n_sheets: u64,
    },
    /// The sheet is only as good as its figures: measure one real kerf and one real board first. Always given.
    MeasureFirst {
        /// The kerf the plan reckons with.
        kerf: Length,
        /// How many boards it reckons with.
        n_boards: u64,
    },
    /// The sheet replaces neither the machine's manual nor local rules nor trained advice. Always given, and last.
    Deferral,
}

/// The cautions that `plan` of `job` calls for, in the order in which one meets them; the last two always.
///
/// # Panics
/// If `plan` names boards or parts that are not `job`'s.
pub fn cautions(plan: &Plan) -> Vec<Caution> {
    let job = &plan.job;
    [
        short_parts(plan),
        short_milled_after_cutting(plan),
        short_offcuts(plan),
        ripping(plan),
        glazing(job),
        Some(Caution::MeasureFirst {
            kerf: job.shop.kerf,
            n_boards: count(plan.boards.len()),
        }),
        Some(Caution::Deferral),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// A count as it stands in a caution.
fn count(n: usize) -> u64 {
    u64::try_from(n).expect("a count in memory fits 64 bits")
}

fn short_parts(plan: &Plan) -> Option<Caution> {
    let short: Vec<(Length, Part)> = plan
        .boards
        .iter()
        .flat_map(PlannedBoard::cuts)
        .map(|cut| (cut.to - cut.from, cut.part))
        .filter(|&(length, _)| length < SHORT_WORK)
        .collect();
    let &(length, shortest) = short.iter().min()?;
    Some(Caution::ShortParts {
        n_parts: count(short.len()),
        shortest,
        length,
    })
}

fn short_milled_after_cutting(plan: &Plan) -> Option<Caution> {
    let job = &plan.job;
    let milled_after = |moulding_idx: Option<usize>| {
        moulding_idx.is_some_and(|idx| job.mouldings[idx].milled == Milled::AfterCutting)
    };
    let short: Vec<Length> = plan
        .boards
        .iter()
        .flat_map(|board| &board.strips)
        .filter(|strip| milled_after(strip.moulding_idx))
        .flat_map(|strip| &strip.cuts)
        .map(|cut| cut.to - cut.from)
        .filter(|&length| length < SHORT_WORK)
        .collect();
    Some(Caution::ShortMilledAfterCutting {
        n_parts: count(short.len()),
        length: short.iter().copied().min()?,
    })
}

fn short_offcuts(plan: &Plan) -> Option<Caution> {
    let short: Vec<Length> = plan
        .boards
        .iter()
        .flat_map(|board| &board.strips)
        .map(|strip| strip.offcut)
        .filter(|&offcut| offcut > Length::ZERO && offcut < SHORT_WORK)
        .collect();
    Some(Caution::ShortOffcuts {
        n_strips: count(short.len()),
        shortest: short.iter().copied().min()?,
    })
}

fn ripping(plan: &Plan) -> Option<Caution> {
    let job = &plan.job;
    let mut n_boards = 0;
    let mut narrowest: Option<Length> = None;
    for board in &plan.boards {
        let Some(board_width) = job.boards[board.board_idx].width else {
            continue;
        };
        let narrow = board
            .strips
            .iter()
            .filter_map(|strip| strip_width(job, strip))
            .min()
            .filter(|&narrow| narrow < board_width);
        if let Some(narrow) = narrow {
            n_boards += 1;
            narrowest = Some(narrowest.map_or(narrow, |least| least.min(narrow)));
        }
    }
    Some(Caution::Ripping {
        n_boards,
        narrowest: narrowest?,
    })
}

/// Width to which a strip is ripped; where the job plans no ripping, that of what is cut from it.
fn strip_width(job: &Job, strip: &PlannedStrip) -> Option<Length> {
    if job.shop.rip.is_some() {
        return strip.width;
    }
    match (strip.moulding_idx, strip.cuts.first()?.part) {
        (Some(moulding_idx), _) => Some(job.mouldings[moulding_idx].face_width),
        (None, Part::Loose { piece_idx, .. }) => job.pieces[piece_idx].width,
        (None, Part::Rail { .. }) => None,
    }
}

fn glazing(job: &Job) -> Option<Caution> {
    let n_sheets: u64 = job
        .frames
        .iter()
        .filter(|frame| frame.glazing.is_some())
        .map(|frame| u64::from(frame.quantity))
        .sum();
    (n_sheets > 0).then_some(Caution::Glazing { n_sheets })
}

/// A length in millimetres to the nanometre, without needless zeros.
struct Millimetres(Length);

impl fmt::Display for Millimetres {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let nm = self.0.nm().unsigned_abs();
        let sign = if self.0 < Length::ZERO { "-" } else { "" };
        let exact = format!("{sign}{}.{:06}", nm / 1_000_000, nm % 1_000_000);
        let short = exact.trim_end_matches('0').trim_end_matches('.');
        write!(out, "{short} mm")
    }
}

impl fmt::Display for Caution {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Caution::ShortParts {
                n_parts, length, ..
            } => write!(
                out,
                "parts shorter than 12 in: {n_parts}, the shortest {}; saw them off a longer piece, and clamp them or \
                 hold them in a carrier",
                Millimetres(length)
            ),
            Caution::ShortMilledAfterCutting { n_parts, length } => write!(
                out,
                "parts shorter than 12 in that are milled after sawing: {n_parts}, the shortest {}; do not plane them",
                Millimetres(length)
            ),
            Caution::ShortOffcuts { n_strips, shortest } => write!(
                out,
                "offcuts shorter than 12 in: {n_strips}, the shortest {}; set the stop on the held side only, and let \
                 the blade come to rest before reaching for one",
                Millimetres(shortest)
            ),
            Caution::Ripping {
                n_boards,
                narrowest,
            } => write!(
                out,
                "boards to be ripped first: {n_boards}, the narrowest strip {}; keep guard and riving knife in place \
                 and push sticks at hand, for the last {} of every rip",
                Millimetres(narrowest),
                Millimetres(PUSH_STICK)
            ),
            Caution::Glazing { n_sheets } => write!(
                out,
                "sheets of glazing: {n_sheets}; if it is glass, protect hands and eyes and carry one sheet at a time"
            ),
            Caution::MeasureFirst { kerf, n_boards } => write!(
                out,
                "before the first of the {n_boards} boards is cut, measure one real kerf against the {} reckoned with, \
                 and one real board of each kind",
                Millimetres(kerf)
            ),
            Caution::Deferral => write!(
                out,
                "this sheet replaces neither the manual of the machine, nor the rules of the place, nor the advice of \
                 someone trained"
            ),
        }
    }
}

#[cfg(test)]
mod tests;

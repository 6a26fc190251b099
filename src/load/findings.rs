//! The findings of the cross checks as diagnostics, each at the row it is about.

use super::record::Origin;
use crate::diag::{Diagnostic, Diagnostics, code, quoted};
use crate::job::{Finding, Job, MOST_PARTS, Subject, moulding_section, piece_section};
use crate::length::{Length, exact_text};
use crate::stock::{Misfit, Section};

/// Where the rows of a job stand, by its indices.
pub(super) struct Origins<'a> {
    pub(super) mouldings: Vec<Origin<'a>>,
    pub(super) frames: Vec<Origin<'a>>,
    pub(super) pieces: Vec<Origin<'a>>,
    pub(super) boards: Vec<Origin<'a>>,
}

impl Origins<'_> {
    fn of(&self, subject: Subject) -> &Origin<'_> {
        match subject {
            Subject::Frame(idx) => &self.frames[idx],
            Subject::Piece(idx) => &self.pieces[idx],
            Subject::Moulding(idx) => &self.mouldings[idx],
            Subject::Board(idx) => &self.boards[idx],
        }
    }
}

/// Reports one finding.
pub(super) fn report(
    finding: &Finding,
    job: &Job,
    origins: &Origins<'_>,
    job_file: &Origin<'_>,
    faults: &mut Diagnostics,
) {
    let length = |length: Length| format!("`{}`", exact_text(length, job.display.unit));
    let error = |subject: Subject, code, what: String| {
        Diagnostic::error(code, origins.of(subject).place(""), what)
    };
    faults.push(match finding {
        Finding::TooManyParts { count } => {
            let what = format!("the job has {count} parts, the limit is {MOST_PARTS}");
            Diagnostic::error(code::TOO_MANY_PARTS, job_file.place(""), what)
        }
        Finding::TrimEatsBoard { board_idx } => {
            let board = &job.boards[*board_idx];
            let what = format!(
                "an end trim of {} at both ends leaves nothing of board {}, which is {} long",
                length(job.shop.end_trim),
                quoted(&board.name),
                length(board.length)
            );
            error(Subject::Board(*board_idx), code::TRIM_EATS_BOARD, what)
        }
        Finding::NoSight { frame_idx } => {
            let frame = &job.frames[*frame_idx];
            let moulding = &job.mouldings[frame.moulding_idx];
            let what = format!(
                "the lip of {} on each side covers all of frame {}",
                length(moulding.lip),
                quoted(&frame.name)
            );
            error(Subject::Frame(*frame_idx), code::NO_SIGHT, what)
        }
        Finding::PartTooLong {
            subject,
            part,
            board_idx,
            usable,
        } => {
            let board = &job.boards[*board_idx];
            let what = format!(
                "{} needs {}, but the longest board that suits, {}, has {} between its trims",
                part_name(*subject, job),
                length(*part),
                quoted(&board.name),
                length(*usable)
            );
            let hint = format!("a board of {} would do", length(*part + job.shop.end_trim * 2));
            error(*subject, code::PART_TOO_LONG, what).with_hint(hint)
        }
        Finding::NoSuitableBoard {
            subject,
            board_idx,
            misfits,
        } => {
            let reasons: Vec<String> = misfits
                .iter()
                .map(|misfit| reason(*misfit, *subject, *board_idx, job))
                .collect();
            let what = format!(
                "no board suits {}: {}",
                subject_name(*subject, job),
                reasons.join(", and ")
            );
            let hint = format!(
                "board {} is the nearest; where a board leaves a property empty, it suits",
                quoted(&job.boards[*board_idx].name)
            );
            error(*subject, code::NO_SUITABLE_BOARD, what).with_hint(hint)
        }
        Finding::ShallowRabbet {
            frame_idx,
            needed,
            rabbet_depth,
        } => {
            let what = format!(
                "the package stands {} out of the rabbet, which is {} deep",
                length(*needed - *rabbet_depth),
                length(*rabbet_depth)
            );
            let place = origins.of(Subject::Frame(*frame_idx)).place("");
            Diagnostic::warning(code::SHALLOW_RABBET, place, what)
                .with_hint(format!("a rabbet of {} would do", length(*needed)))
        }
        Finding::PriceMissing { board_idx } => {
            let what = format!(
                "board {} has no price though others have one: it counts as paid for",
                quoted(&job.boards[*board_idx].name)
            );
            let place = origins.of(Subject::Board(*board_idx)).place("");
            Diagnostic::warning(code::PRICE_MISSING, place, what)
        }
    });
}

/// What is too long.
fn part_name(subject: Subject, job: &Job) -> String {
    match subject {
        Subject::Frame(idx) => format!("a rail of frame {}", quoted(&job.frames[idx].name)),
        _ => subject_name(subject, job),
    }
}

fn subject_name(subject: Subject, job: &Job) -> String {
    let (kind, name) = match subject {
        Subject::Frame(idx) => ("frame", &job.frames[idx].name),
        Subject::Piece(idx) => ("piece", &job.pieces[idx].name),
        Subject::Moulding(idx) => ("moulding", &job.mouldings[idx].name),
        Subject::Board(idx) => ("board", &job.boards[idx].name),
    };
    format!("{kind} {}", quoted(name))
}

/// What is wanted of a property, and what the nearest board has.
fn reason(misfit: Misfit, subject: Subject, board_idx: usize, job: &Job) -> String {
    let board = &job.boards[board_idx];
    let section = match subject {
        Subject::Moulding(idx) => moulding_section(&job.mouldings[idx]),
        Subject::Piece(idx) => piece_section(&job.pieces[idx], &job.mouldings),
        Subject::Frame(_) | Subject::Board(_) => Section {
            material: None,
            thickness: None,
            width: None,
        },
    };
    let length = |length: Option<Length>| match length {
        Some(length) => format!("`{}`", exact_text(length, job.display.unit)),
        None => "any".to_owned(),
    };
    let (property, wanted, given) = match misfit {
        Misfit::Material => {
            let text = |material: Option<&str>| material.map_or("any".to_owned(), quoted);
            (
                "material",
                text(section.material),
                text(board.material.as_deref()),
            )
        }
        Misfit::Thickness => ("thickness", length(section.thickness), length(board.thickness)),
        Misfit::Width => {
            let least = format!("at least {}", length(section.width));
            ("width", least, length(board.width))
        }
    };
    format!("{property} must be {wanted}, the nearest board has {given}")
}

//! Whether every part fits some board that suits it.

use std::collections::BTreeMap;

use super::boards::longest_run;
use super::frames::frame_rails;
use super::{Finding, Subject, moulding_section, piece_section};
use crate::frame::ChosenBoards;
use crate::job::JobSpec;
use crate::length::Length;
use crate::stock::{Section, Taking, misfits, suits, taking};

/// The longest usable board for a section; none is usable if the trims eat them all.
enum Fit {
    Longest { board_idx: usize, usable: Length },
    Eaten,
    Unsuitable,
}

/// Whether every part fits some board that suits it.
pub(super) fn check_fit(job: &JobSpec, findings: &mut Vec<Finding>) {
    if job.boards.is_empty() {
        return;
    }
    let mut mouldings = MouldingFits {
        job,
        fits: BTreeMap::new(),
    };
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let longest = frame_rails(job, frame_idx)
            .map(|rail| rail.long_point)
            .max();
        let subject = Subject::Frame(frame_idx);
        if let Some(chosen) = frame.boards.chosen() {
            let section = moulding_section(&job.mouldings[frame.moulding_idx]);
            let unsuitable = chosen.filter_map(|board_idx| {
                let board = &job.boards[board_idx];
                let misfits = misfits(&section, board, job.shop.rip.as_ref());
                (!misfits.is_empty()).then_some(Finding::ChosenBoardUnsuitable {
                    frame_idx,
                    board_idx,
                    misfits,
                })
            });
            findings.extend(unsuitable);
            let fit = section_fit(job, &section, &frame.boards);
            findings.extend(longest.and_then(|part| too_long(subject, part, &fit)));
            continue;
        }
        let fit = mouldings.fit(frame.moulding_idx, findings);
        findings.extend(longest.and_then(|part| too_long(subject, part, fit)));
    }
    for (piece_idx, piece) in job.pieces.iter().enumerate() {
        let subject = Subject::Piece(piece_idx);
        if let Some(moulding_idx) = piece.moulding_idx {
            let fit = mouldings.fit(moulding_idx, findings);
            findings.extend(too_long(subject, piece.length, fit));
            continue;
        }
        let section = piece_section(piece, &job.mouldings);
        let fit = section_fit(job, &section, &piece.boards);
        if let Fit::Unsuitable = fit {
            findings.push(unsuitable(job, subject, &section));
        }
        findings.extend(too_long(subject, piece.length, &fit));
    }
}

/// The fit of each moulding that is used, found once; a moulding without a board is reported then.
struct MouldingFits<'a> {
    job: &'a JobSpec,
    fits: BTreeMap<usize, Fit>,
}

impl MouldingFits<'_> {
    fn fit(&mut self, moulding_idx: usize, findings: &mut Vec<Finding>) -> &Fit {
        let job = self.job;
        self.fits.entry(moulding_idx).or_insert_with(|| {
            let section = moulding_section(&job.mouldings[moulding_idx]);
            let fit = section_fit(job, &section, &ChosenBoards::ANY);
            if let Fit::Unsuitable = fit {
                findings.push(unsuitable(job, Subject::Moulding(moulding_idx), &section));
            }
            fit
        })
    }
}

fn section_fit(job: &JobSpec, section: &Section<'_>, boards: &ChosenBoards) -> Fit {
    let mut fit = Fit::Unsuitable;
    for (board_idx, board) in job.boards.iter().enumerate() {
        if !boards.allow(board_idx) || !suits(section, board, job.shop.rip.as_ref()) {
            continue;
        }
        let is_ripped = matches!(
            taking(job.shop.rip.as_ref(), section.width, board.width),
            Some(Taking::Ripped { .. })
        );
        match (longest_run(job, board, is_ripped), &fit) {
            (Some(usable), Fit::Longest { usable: most, .. }) if usable <= *most => {}
            (Some(usable), _) => fit = Fit::Longest { board_idx, usable },
            (None, Fit::Unsuitable) => fit = Fit::Eaten,
            (None, _) => {}
        }
    }
    fit
}

/// Boards eaten by their trims are reported as such, so parts that have no others are not.
fn too_long(subject: Subject, part: Length, fit: &Fit) -> Option<Finding> {
    match fit {
        Fit::Longest { board_idx, usable } if part > *usable => Some(Finding::PartTooLong {
            subject,
            part,
            board_idx: *board_idx,
            usable: *usable,
        }),
        Fit::Longest { .. } | Fit::Eaten | Fit::Unsuitable => None,
    }
}

fn unsuitable(job: &JobSpec, subject: Subject, section: &Section<'_>) -> Finding {
    let (board_idx, misfits) = job
        .boards
        .iter()
        .map(|board| misfits(section, board, job.shop.rip.as_ref()))
        .enumerate()
        .min_by_key(|(_, misfits)| misfits.len())
        .expect("the job has boards, else nothing is checked against them");
    Finding::NoSuitableBoard {
        subject,
        board_idx,
        misfits,
    }
}

//! Whether the vehicle takes a board for every part.

use std::collections::BTreeMap;

use super::cross::run_for;
use super::{Finding, Grains, JobSpec, Subject, moulding_section, piece_section};
use crate::frame::ChosenBoards;
use crate::length::Length;
use crate::stock::Section;

/// The longest clear runs for a section: of the boards that there are, and of those that only the vehicle keeps away, with
/// the first board that has it.
#[derive(Clone, Copy)]
struct Runs {
    there: Length,
    shut_out: Option<(usize, Length)>,
}

/// Finds parts, and rails that are to follow each other, for which every board that is long enough is too long for the
/// vehicle.
///
/// # Panics
/// If a `moulding_idx` is out of range.
pub(super) fn check_vehicle(job: &JobSpec, findings: &mut Vec<Finding>) {
    let Some(longest) = job.buying.longest else {
        return;
    };
    let grains = Grains::new(job);
    let mut by_moulding: BTreeMap<usize, Runs> = BTreeMap::new();
    let mut found = |subject, n_rails: usize, length: Length, runs: Runs| {
        let (board_idx, _) = match runs.shut_out {
            Some(shut_out) if length > runs.there && length <= shut_out.1 => shut_out,
            _ => return,
        };
        findings.push(Finding::BeyondVehicle {
            subject,
            n_rails,
            length,
            board_idx,
            longest,
        });
    };
    let of_moulding = |idx: usize, chosen: &ChosenBoards| {
        runs(job, &moulding_section(&job.mouldings[idx]), chosen)
    };
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let (n_rails, length) = grains.longest_chain(frame_idx, grains.granted(frame_idx));
        let idx = frame.moulding_idx;
        let runs = if frame.boards == ChosenBoards::ANY {
            let runs = by_moulding.entry(idx);
            *runs.or_insert_with(|| of_moulding(idx, &ChosenBoards::ANY))
        } else {
            of_moulding(idx, &frame.boards)
        };
        found(Subject::Frame(frame_idx), n_rails, length, runs);
    }
    for (piece_idx, piece) in job.pieces.iter().enumerate() {
        let runs = runs(job, &piece_section(piece, &job.mouldings), &piece.boards);
        found(Subject::Piece(piece_idx), 1, piece.length, runs);
    }
}

fn runs(job: &JobSpec, section: &Section<'_>, chosen: &ChosenBoards) -> Runs {
    let mut runs = Runs {
        there: Length::ZERO,
        shut_out: None,
    };
    for (board_idx, board) in job.boards.iter().enumerate() {
        let is_one = chosen.allow(board_idx) && board.quantity != Some(0);
        let Some(run) = run_for(job, section, board).filter(|_| is_one) else {
            continue;
        };
        if job.supply(board_idx) != Some(0) {
            runs.there = runs.there.max(run);
        } else if runs.shut_out.is_none_or(|(_, most)| run > most) {
            runs.shut_out = Some((board_idx, run));
        }
    }
    runs
}

//! Whether each board can be used at all: its trims, its defects, its width where boards are ripped, its price.

use super::{Finding, Subject, wanted_sections};
use crate::job::JobSpec;
use crate::length::Length;
use crate::stock::{Board, Section, Taking, misfits, same_material, suits, taking, usable_length};

/// The boards that are not on the rack, with their indices: what lies there may wait for another job, so it is no fault
/// if this one cannot use it.
pub(super) fn to_buy(job: &JobSpec) -> impl Iterator<Item = (usize, &Board)> {
    let boards = job.boards.iter().enumerate();
    boards.filter(|(_, board)| board.in_hand.is_none())
}

pub(super) fn check_trim(job: &JobSpec, findings: &mut Vec<Finding>) {
    for (board_idx, board) in to_buy(job) {
        if usable_length(board.length, job.shop.end_trim).is_none() {
            findings.push(Finding::TrimEatsBoard { board_idx });
        } else if longest_run(job, board, true).is_none() {
            findings.push(Finding::NothingClear { board_idx });
        }
    }
}

/// The longest stretch of a board that can carry parts; of a board that is ripped only defects of its whole width count,
/// for strips can be ripped past others.
pub(super) fn longest_run(job: &JobSpec, board: &Board, is_ripped: bool) -> Option<Length> {
    if board.at_yard.is_some() {
        let longest = |stretch: Board| longest_run(job, &stretch, is_ripped);
        return board.stretches().filter_map(longest).max();
    }
    if !is_ripped {
        return board.longest_clear(job.shop.end_trim);
    }
    let runs = board.clear_runs(job.shop.end_trim, Length::ZERO, |defect| {
        defect.takes_all(board.width)
    });
    runs.into_iter().map(|(from, to)| to - from).max()
}

/// The longest stretch of a board that can carry parts of a section; nothing where it does not suit.
pub(in crate::job) fn run_for(
    job: &JobSpec,
    section: &Section<'_>,
    board: &Board,
) -> Option<Length> {
    let rip = job.shop.rip.as_ref();
    let is_ripped = matches!(
        taking(rip, section.width, board.width),
        Some(Taking::Ripped { .. })
    );
    let run = suits(section, board, rip).then(|| longest_run(job, board, is_ripped));
    run.flatten()
}

/// Whether every board can be ripped, where boards are.
pub(super) fn check_rip(job: &JobSpec, findings: &mut Vec<Finding>) {
    let Some(rip) = &job.shop.rip else {
        return;
    };
    let wanted = wanted_sections(job);
    let all_have_boards = !findings
        .iter()
        .any(|finding| matches!(finding, Finding::NoSuitableBoard { .. }));
    for (board_idx, board) in to_buy(job) {
        // A board that is not ripped for a section need not be straightened for it.
        let is_whole = |section: &Section<'_>| {
            taking(Some(rip), section.width, board.width) == Some(Taking::Whole)
        };
        if let Some(width) = board.width
            && rip.room(width) == Length::ZERO
            && !wanted.iter().any(|(_, section)| is_whole(section))
        {
            let narrowest = wanted.iter().min_by_key(|(_, section)| section.width);
            findings.push(Finding::StraighteningEatsBoard {
                board_idx,
                narrowest: narrowest.map(|(subject, _)| *subject),
            });
            continue;
        }
        let of_its_wood = |section: &Section<'_>| match (section.material, &board.material) {
            (Some(wanted), Some(given)) => same_material(wanted, given),
            _ => true,
        };
        let nearest = wanted
            .iter()
            .filter(|(_, section)| of_its_wood(section))
            .map(|(subject, section)| (*subject, misfits(section, board, Some(rip))))
            .min_by_key(|(_, misfits)| misfits.len());
        // Where something has no board at all, that is said already, and of which board it should have been.
        if let Some((subject, misfits)) = nearest
            && !misfits.is_empty()
            && all_have_boards
        {
            findings.push(Finding::UnusedBoard {
                board_idx,
                subject,
                misfits,
            });
        }
    }
    check_whole_boards(job, &wanted, findings);
}

/// Whether a piece without a width takes boards from which others are ripped.
fn check_whole_boards(
    job: &JobSpec,
    wanted: &[(Subject, Section<'_>)],
    findings: &mut Vec<Finding>,
) {
    let rip = job.shop.rip.as_ref();
    let is_ripped = |board: &Board| {
        wanted.iter().any(|(_, section)| {
            suits(section, board, rip)
                && matches!(
                    taking(rip, section.width, board.width),
                    Some(Taking::Ripped { .. })
                )
        })
    };
    for &(subject, section) in wanted {
        let (Subject::Piece(piece_idx), None) = (subject, section.width) else {
            continue;
        };
        let taken = job
            .boards
            .iter()
            .position(|board| suits(&section, board, rip) && is_ripped(board));
        if let Some(board_idx) = taken {
            findings.push(Finding::WholeBoards {
                piece_idx,
                board_idx,
            });
        }
    }
}

/// A job that has left pieces on the rack was cut, and put there; a plan made now is for the same parts once more.
pub(super) fn check_left(job: &JobSpec, findings: &mut Vec<Finding>) {
    let mut left = job.boards.iter().enumerate().filter(|(_, board)| {
        let own = board.in_hand.as_ref();
        own.is_some_and(|own| own.is_left_by(&job.title))
    });
    if let Some((board_idx, _)) = left.next() {
        let n_lines = 1 + left.count();
        findings.push(Finding::LeftByItself { board_idx, n_lines });
    }
}

pub(super) fn check_prices(job: &JobSpec, findings: &mut Vec<Finding>) {
    if !job.boards.iter().any(Board::counts_in_money) {
        return;
    }
    for (board_idx, board) in job.boards.iter().enumerate() {
        if board.price.is_none() {
            findings.push(Finding::PriceMissing { board_idx });
        }
    }
}

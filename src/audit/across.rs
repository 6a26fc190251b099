//! What lies where across a board: its strips, what is left beside them, and which of them a defect reaches.

use super::nm;
use super::violation::Violation;
use super::wanted::WantedSection;
use crate::job::Job;
use crate::plan::{PlannedBoard, PlannedStrip};
use crate::stock::{Across, Defect};

/// Whether a defect of a board may reach into a strip: of a ripped board by where the strip lies across it.
///
/// Straightening takes an unknown share off either edge: a strip that begins `x` from the straightened edge begins between
/// `x` and `x + straightening` from the raw one.
pub(super) fn reaches(job: &Job, board_idx: usize, defect: &Defect, strip: &PlannedStrip) -> bool {
    let board = &job.boards[board_idx];
    let (Some(rip), Some(given), Some(width)) = (job.shop.rip, board.width, strip.width) else {
        return true;
    };
    if width == given {
        return true;
    }
    let (near, depth) = match defect.across {
        Across::Full | Across::Gone => return true,
        Across::Left(depth) => (true, depth),
        Across::Right(depth) => (false, depth),
    };
    // Twice the depth, so that half a width stays whole.
    let depth2 = depth.map_or(nm(given), |depth| 2 * nm(depth));
    let (begin, end) = (nm(strip.from_edge), nm(strip.from_edge) + nm(width));
    if near {
        2 * begin < depth2
    } else {
        2 * (nm(given) - end - nm(rip.straightening)) < depth2
    }
}

/// Widths and places of the strips across one board, and what is left beside them; `sections` are the strips'.
pub(super) fn check_across(
    job: &Job,
    position: usize,
    board: &PlannedBoard,
    sections: &[&WantedSection],
    found: &mut Vec<Violation>,
) {
    let of = &job.boards[board.board_idx];
    let board_width = of.width;
    let may_skip = of
        .defects
        .iter()
        .any(|defect| matches!(defect.across, Across::Left(_) | Across::Right(_)));
    let mut from_edge_nm = 0;
    let mut is_ripped = true;
    for (strip_idx, (strip, section)) in board.strips.iter().zip(sections).enumerate() {
        // A strip is ripped where its width is known, the board's is, and they differ; else the board is the strip.
        let ripped = match (job.shop.rip, section.width, board_width) {
            (Some(rip), Some(wanted), Some(given)) if wanted != given => {
                Some((nm(wanted) + nm(rip.planing), rip))
            }
            _ => None,
        };
        if ripped.is_none() {
            is_ripped = false;
            if board.strips.len() > 1 {
                found.push(Violation::SharedBoard {
                    board: position,
                    strip: strip_idx,
                });
            }
        }
        let planned_nm = strip.width.map(nm);
        let wanted_nm = ripped.map_or(board_width.map(nm), |(width_nm, _)| Some(width_nm));
        if planned_nm != wanted_nm {
            found.push(Violation::WrongStripWidth {
                board: position,
                strip: strip_idx,
                planned_nm,
                wanted_nm,
            });
        }
        // Past a defect that leaves part of the width clear some of the board may stay unused.
        let planned_from_nm = nm(strip.from_edge);
        let is_at_its_place = if may_skip {
            planned_from_nm >= from_edge_nm
        } else {
            planned_from_nm == from_edge_nm
        };
        if !is_at_its_place {
            found.push(Violation::WrongStripPlace {
                board: position,
                strip: strip_idx,
                planned_nm: planned_from_nm,
                wanted_nm: from_edge_nm,
            });
        }
        if may_skip {
            from_edge_nm = from_edge_nm.max(planned_from_nm);
        }
        if let Some((width_nm, rip)) = ripped {
            from_edge_nm += width_nm + nm(rip.kerf);
        }
    }
    let mut left_nm = 0;
    if let (true, Some(rip), Some(given)) = (is_ripped, job.shop.rip, board_width) {
        let end_nm = from_edge_nm - nm(rip.kerf);
        let room_nm = nm(given) - nm(rip.straightening);
        if end_nm > room_nm {
            found.push(Violation::BeyondEdge {
                board: position,
                end_nm,
                room_nm,
            });
        }
        left_nm = (room_nm - from_edge_nm).max(0);
    }
    if nm(board.edge_left) != left_nm {
        found.push(Violation::WrongEdgeLeft {
            board: position,
            planned_nm: nm(board.edge_left),
            wanted_nm: left_nm,
        });
    }
}

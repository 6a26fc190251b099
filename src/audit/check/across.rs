//! Widths and places of the strips across a board, and what is left beside them.

use super::{Figure, Kind, Place, Violation, Wanted, nm, wrong};
use crate::audit::wanted::{Stick, Taken};
use crate::plan::PlannedBoard;

/// The strips across one stretch of a board, which is a stick, and what is left beside them; `sections` are those of all the
/// board's strips, indices into the wanted ones.
pub(super) fn check_across(
    wanted: &Wanted<'_>,
    position: usize,
    (board, stretch, stick): (&PlannedBoard, usize, Stick),
    sections: &[usize],
    found: &mut Vec<Violation>,
) {
    let place = Place::board(position);
    let board_idx = board.board_idx;
    let kerf_nm = wanted.rip_kerf();
    let may_skip = wanted.has_partial_defects(stick);
    let mut from_edge_nm = 0;
    // What lies beside the strips, as they are planned: from where, and how wide.
    let mut beside: Vec<(i128, i128)> = Vec::new();
    let mut is_ripped = true;
    let strips = board.strips.iter().zip(sections).enumerate();
    let on = strips.filter(|(_, (strip, _))| strip.stretch == stretch);
    for (nth, (strip_idx, (strip, &section))) in on.clone().enumerate() {
        let place = place.with_strip(strip_idx);
        let width_nm = match wanted.taken(stick, section) {
            Some(Taken::Ripped { width_nm }) => Some(width_nm),
            // What does not suit was reported already.
            Some(Taken::Whole) | None => None,
        };
        if width_nm.is_none() {
            is_ripped = false;
            if on.clone().count() > 1 {
                found.push(place.has(Kind::SharedBoard));
            }
        }
        let planned_nm = strip.width.map(nm);
        let wanted_nm = width_nm.or(wanted.job.boards[board_idx].width.map(nm));
        if planned_nm != wanted_nm {
            found.push(place.has(Kind::Wrong {
                figure: Figure::StripWidth,
                planned: planned_nm,
                wanted: wanted_nm,
            }));
        }
        // Past a defect that leaves part of the width clear some of the board may stay unused; what is ripped off at its
        // edge needs room for the kerf.
        let at_nm = nm(strip.from_edge);
        let is_past = at_nm >= from_edge_nm && (nth > 0 || at_nm >= kerf_nm);
        if at_nm != from_edge_nm && !(may_skip && width_nm.is_some() && is_past) {
            found.push(wrong(place, Figure::StripPlace, at_nm, from_edge_nm));
        }
        if may_skip {
            let skipped_nm = at_nm - kerf_nm - from_edge_nm;
            if skipped_nm > 0 {
                beside.push((from_edge_nm, skipped_nm));
            }
            from_edge_nm = from_edge_nm.max(at_nm);
        }
        from_edge_nm += width_nm.map_or(0, |width_nm| width_nm + kerf_nm);
    }
    let is_used = on.count() > 0;
    match wanted.room(board_idx) {
        Some(room_nm) if is_used && is_ripped => {
            let end_nm = from_edge_nm - kerf_nm;
            if end_nm > room_nm {
                found.push(place.has(Kind::BeyondEdge { end_nm, room_nm }));
            }
            if room_nm > from_edge_nm {
                beside.push((from_edge_nm, room_nm - from_edge_nm));
            }
        }
        _ => beside.clear(),
    }
    let planned = board.stretches[stretch].beside.iter();
    let mut planned = planned.map(|edge| (nm(edge.from_edge), nm(edge.width)));
    let mut beside = beside.into_iter();
    loop {
        let (planned, wanted) = (planned.next(), beside.next());
        if (planned, wanted) == (None, None) {
            return;
        }
        let (planned_at, planned_nm) = planned.unzip();
        let (wanted_at, wanted_nm) = wanted.unzip();
        for (figure, planned, wanted) in [
            (Figure::EdgePlace, planned_at, wanted_at),
            (Figure::EdgeLeft, planned_nm, wanted_nm),
        ] {
            if planned != wanted {
                found.push(place.has(Kind::Wrong {
                    figure,
                    planned,
                    wanted,
                }));
            }
        }
    }
}

//! Pieces that stay on the rack as they lie, so that a rail can be cut from them.

use super::{Kind, Place, Violation, Wanted};
use crate::plan::Plan;

/// Each stands for a part that is to be left, is on the rack, and long enough for that part's rail; in the order of the job.
pub(super) fn check_kept(wanted: &Wanted<'_>, plan: &Plan, found: &mut Vec<Violation>) {
    if !plan.kept_pieces.is_sorted() {
        found.push(Place::WHOLE.has(Kind::OutOfOrder));
    }
    for kept in &plan.kept_pieces {
        let place = Place::part(kept.part);
        let Some((_, part)) = wanted.part(kept.part).filter(|(_, part)| part.is_left()) else {
            found.push(place.has(Kind::NotLeft));
            continue;
        };
        if kept.board_idx >= wanted.job.boards.len() {
            found.push(place.with_line(kept.board_idx).has(Kind::UnknownBoard));
        } else if !wanted.may_keep(kept.board_idx, part.class) {
            found.push(place.with_line(kept.board_idx).has(Kind::UnsuitableBoard));
        }
    }
}

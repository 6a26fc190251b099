//! Spare offcuts: which they are.

use crate::plan::{Leftover, LeftoverKind, Plan};
use crate::report::ink::Tone;
use crate::report::layout::one_line;
use crate::tally::rack_added;

use super::page::Page;

/// Which offcut each spare one is; nothing where none is asked for.
pub(super) fn write(page: &mut Page<'_>, plan: &Plan) {
    let job = &plan.job;
    if plan.spare_offcuts.is_empty() {
        return;
    }
    let added = rack_added(plan);
    page.space();
    for spare in &plan.spare_offcuts {
        let board = &plan.boards[spare.board];
        let moulding_idx = board.strips[spare.strip].moulding_idx;
        let moulding = moulding_idx.map_or("", |idx| job.mouldings[idx].name.as_str());
        let is_it = |left: &Leftover| {
            left.board == spare.board
                && left.kind == LeftoverKind::End(spare.strip)
                && left.from <= spare.from
                && spare.to <= left.to
        };
        let name = added
            .iter()
            .find(|new| is_it(&new.left))
            .map_or("what is left", |new| new.board.name.as_str());
        let sentence = format!(
            "Spare: the longest rail of {} can be cut again from {}, of {}.",
            one_line(moulding),
            one_line(name),
            one_line(&job.boards[board.board_idx].numbered(board.number)),
        );
        page.prose(2, Tone::Good, &sentence);
    }
}

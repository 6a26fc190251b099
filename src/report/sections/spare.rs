//! Spare offcuts: which they are.

use crate::plan::{KeptPiece, Leftover, LeftoverKind, Part, Plan, SpareOffcut};
use crate::report::document::{Document, Line, Text, Tone, name, say};
use crate::report::naming::board_name;
use crate::tally::rack_added;

/// Which offcut each spare one is; nothing where none is asked for.
pub(super) fn write(doc: &mut Document, plan: &Plan) {
    let added = rack_added(plan);
    let marks = plan.marks();
    let sentence = |spare: &SpareOffcut| {
        let board = &plan.boards[spare.board];
        let moulding = board.strips[spare.strip]
            .moulding_idx
            .map(|idx| name(&plan.job.mouldings[idx].name));
        let is_it = |left: &Leftover| {
            left.board == spare.board
                && left.kind == LeftoverKind::End(spare.strip)
                && left.from <= spare.from
                && spare.to <= left.to
        };
        let offcut = added.iter().find(|new| is_it(&new.left));
        say!(
            "Spare: the longest rail of {} can be cut again from {}, of board {}, {}.",
            moulding,
            offcut.map_or_else(|| Text::from("what is left"), |new| name(&new.board.name)),
            marks.chalked(spare.board).to_string(),
            board_name(&plan.job, board.board_idx),
        )
    };
    let kept = |kept: &KeptPiece| {
        let moulding_idx = match kept.part {
            Part::Rail { frame_idx, .. } => Some(plan.job.frames[frame_idx].moulding_idx),
            Part::Loose { piece_idx, .. } => plan.job.pieces[piece_idx].moulding_idx,
        };
        say!(
            "Spare: the longest rail of {} can be cut again from {}, which stays on the rack as it lies.",
            moulding_idx.map(|idx| name(&plan.job.mouldings[idx].name)),
            board_name(&plan.job, kept.board_idx),
        )
    };
    let sentences = plan.spare_offcuts.iter().map(sentence);
    let sentences = sentences.chain(plan.kept_pieces.iter().map(kept));
    doc.lines(
        sentences
            .map(|sentence| Line::new(Tone::Good, sentence))
            .collect(),
    );
}

//! From how many boards the rails of each frame come that asks for few, for their color.

use crate::plan::{Plan, boards_by_frame};
use crate::report::document::{Document, Kind, Table, Tone};
use crate::report::naming::copy_name;

/// The section on color; nothing where no frame asks.
pub(super) fn write(doc: &mut Document, plan: &Plan) {
    let lines = boards_by_frame(plan);
    if lines.is_empty() {
        return;
    }
    doc.heading("color", "Color: the boards of each frame");
    let mut table = Table::new()
        .column("frame", Kind::Name, Tone::Strong)
        .column("boards", Kind::Number, Tone::Plain);
    for (frame_idx, copy, n_boards) in lines {
        let name = copy_name(&plan.job.frames[frame_idx], copy);
        table.row(vec![name, n_boards.into()]);
    }
    doc.table(table);
    doc.line(
        Tone::Faint,
        "Rails were exchanged so that each frame's come from few boards, for the same cost. That it cannot be fewer is \
         not proved.",
    );
}

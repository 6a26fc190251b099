//! From how many boards the rails of each frame come that asks for few, for their color.

use crate::plan::{Part, Plan, boards_by_frame};
use crate::report::document::{Document, Kind, Table, Tone};
use crate::report::naming::{copy_name, marks_together};

use super::grain::places;

/// The section on color; nothing where no frame asks.
pub(super) fn write(doc: &mut Document, plan: &Plan) {
    let lines = boards_by_frame(plan);
    if lines.is_empty() {
        return;
    }
    doc.heading("color", "Color: the boards of each frame");
    let mut table = Table::new()
        .column("frame", Kind::Name, Tone::Strong)
        .column("boards", Kind::Number, Tone::Plain)
        .column("which", Kind::Prose, Tone::Strong);
    let marks = plan.marks();
    let places = places(plan);
    for (frame_idx, copy, n_boards) in lines {
        let name = copy_name(&plan.job.frames[frame_idx], copy);
        let rails = (0..plan.job.frames[frame_idx].art.n_sides()).filter_map(|side| {
            let rail = Part::Rail {
                frame_idx,
                copy,
                side,
            };
            places.get(&rail).copied()
        });
        table.row(vec![name, n_boards.into(), marks_together(&marks, rails)]);
    }
    doc.table(table);
    doc.line(
        Tone::Faint,
        "Rails were moved so that those of a frame come from few boards, for the same cost; fewer may be possible.",
    );
}

//! From how many boards the rails of each frame come that asks for few, for their color.

use crate::plan::Plan;
use crate::plan::boards_by_frame;
use crate::report::ink::Tone;
use crate::report::naming::copy_name;
use crate::report::table::{Align, Table};

use super::page::Page;

/// The section on color; nothing where no frame asks.
pub(super) fn write(page: &mut Page<'_>, plan: &Plan) {
    let job = &plan.job;
    let lines = boards_by_frame(plan);
    if lines.is_empty() {
        return;
    }
    page.heading("Color: the boards of each frame");
    let mut table = Table::new()
        .column("frame", Align::Name, Tone::Strong)
        .column("boards", Align::Right, Tone::Plain);
    for (frame_idx, copy, n_boards) in lines {
        let name = copy_name(&job.frames[frame_idx], copy);
        table.row(vec![name, n_boards.to_string()]);
    }
    page.table(2, &table);
    page.space();
    page.prose(
        2,
        Tone::Faint,
        "Rails were exchanged so that each frame's come from few boards, for the same cost. That it cannot be fewer is \
         not proved.",
    );
}

//! How the frames go together that have other rails than the sheets before say.

use std::collections::BTreeMap;

use crate::plan::{Part, part_side};
use crate::replan::{Bench, Place};
use crate::report::document::{Document, Kind, Table, Text, Tone, name, say, together};

use super::label;

/// The rails of one frame, in the order in which they go round.
#[derive(Default)]
struct Rails {
    /// Where each is cut; `None` of one that there is no wood for.
    places: BTreeMap<Part, Option<Place>>,
    /// Whether one of them is not what the sheets before say.
    is_other: bool,
}

/// The rails of the frames of which one is cut by a later sheet, or serves where it was not planned, in the order in which they
/// go round.
pub(super) fn write_glue_up(doc: &mut Document, bench: &Bench) {
    let job = bench.job();
    let is_other =
        |place: Place, part: Part| place.sheet > 0 || bench.planned_part(place).1 != part;
    let mut frames: BTreeMap<(usize, u32), Rails> = BTreeMap::new();
    let serving = bench.serving().into_iter();
    let serving = serving.map(|(place, part)| (part, Some(place)));
    for (part, place) in serving.chain(bench.missing().map(|part| (part, None))) {
        if let Part::Rail {
            frame_idx, copy, ..
        } = part
        {
            let rails = frames.entry((frame_idx, copy)).or_default();
            rails.is_other |= place.is_some_and(|place| is_other(place, part));
            rails.places.insert(part, place);
        }
    }
    frames.retain(|_, rails| rails.is_other);
    if frames.is_empty() {
        return;
    }
    doc.heading("glue", "Frames with other rails: how they go together now");
    let mut table = Table::new()
        .column("frame", Kind::Name, Tone::Strong)
        .column("", Kind::Words, Tone::Strong)
        .column("rails", Kind::Prose, Tone::Strong);
    for ((frame_idx, copy), rails) in frames {
        let frame = &job.frames[frame_idx];
        let rails = rails.places.into_iter().map(|(part, place)| {
            let side = part_side(job, part).unwrap_or_default();
            let label = place.map_or_else(|| "–".to_owned(), |place| label(bench, place));
            together(say!("{} {}", side.into_owned(), label))
        });
        table.row(vec![
            name(&frame.name),
            (frame.quantity > 1).then(|| say!("#{}", copy)).into(),
            Text::join(rails, ", "),
        ]);
    }
    doc.table(table);
    doc.line(
        Tone::Faint,
        "The labels of the rails beside a new one still name the old one at their corners: write the new one on.",
    );
}

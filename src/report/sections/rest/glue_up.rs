//! How the frames go together that have other rails than the sheets before say.

use std::collections::{BTreeMap, BTreeSet};

use crate::plan::{Part, part_label, part_side};
use crate::replan::{Bench, Place};
use crate::report::document::{Document, Kind, Table, Text, Tone, name, say, together};

use super::label;

/// The rails of one frame, in the order in which they go round.
#[derive(Default)]
struct Rails {
    /// Where each is cut; `None` of one that there is no wood for.
    places: BTreeMap<Part, Option<Place>>,
    /// Whether one of them serves otherwise than it was planned.
    is_other: bool,
}

impl Rails {
    /// Whether the papers of one sheet do not say how they go together.
    fn is_mixed(&self) -> bool {
        let sheets: BTreeSet<usize> = self
            .places
            .values()
            .flatten()
            .map(|place| place.sheet)
            .collect();
        self.is_other || sheets.len() > 1
    }
}

/// The rails of the frames that are cut by more than one sheet, or of which one serves otherwise than it was planned, in the
/// order in which they go round.
pub(super) fn write_glue_up(doc: &mut Document, bench: &Bench) {
    let job = bench.job();
    // By their names, as the jobs of the sheets may number frames otherwise.
    let is_other = |place: Place, part: Part| bench.part_name(place) != part_label(job, part);
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
    frames.retain(|_, rails| rails.is_mixed());
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

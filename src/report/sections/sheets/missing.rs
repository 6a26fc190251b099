//! The pieces for which there is no sheet, and what hinders each.

use super::{names_together, size};
use crate::job::{Hindrance, Job};
use crate::report::document::{Kind, Table, Text, Tone, exact, say, there};
use crate::tally::MaterialTally;

/// One line for each size.
pub(super) fn table(job: &Job, tally: &MaterialTally<'_>) -> Table {
    let mut table = Table::new()
        .column("missing", Kind::Number, Tone::Bad)
        .column("size", Kind::Words, Tone::Strong)
        .column("for", Kind::Prose, Tone::Plain)
        .column("because", Kind::Prose, Tone::Watch);
    let mut pieces = tally.plan.missing.clone();
    pieces.sort_by_key(|piece| (std::cmp::Reverse(piece.size(job)), *piece));
    for alike in pieces.chunk_by(|one, next| one.size(job) == next.size(job)) {
        let (width, height) = alike[0].size(job);
        table.row(vec![
            alike.len().into(),
            size(width, height),
            names_together(job, alike),
            reason(tally.material.hindrance(width, height)),
        ]);
    }
    table
}

/// Why a piece is missing.
fn reason(hindrance: Option<Hindrance>) -> Text {
    match hindrance {
        None => "all sheets that it fits are used".into(),
        Some(Hindrance::NoSheet) => "there is no sheet of it".into(),
        Some(Hindrance::TooLarge { width, height }) => say!(
            "it is too large: the largest sheet is {} × {} between its trims",
            there(width),
            there(height)
        ),
        Some(Hindrance::NotTurned) => "it would fit turned, and `turn` is false".into(),
        Some(Hindrance::FirstCut { needed, most }) => say!(
            "it needs a cut of {} across a sheet, and `longest-first-cut` is {}",
            exact(needed),
            exact(most)
        ),
        Some(Hindrance::SecondCut { needed, most }) => say!(
            "it needs a cut of {} across a strip, and `longest-second-cut` is {}",
            exact(needed),
            exact(most)
        ),
    }
}
